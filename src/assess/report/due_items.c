/*
 * due_items.c - see due_items.h. Steel is accepted before it is coated, hoses and water test are holds before parts
 * run through them; what else comes first, the job says. Common practice, no source.
 */
#include "assess/report/due_items.h"

#include "base/keyfile.h"

#include <string.h>

bool mr_holds_words(const char *text, const char *words) {
    const size_t n = strlen(words);
    for (const char *at = strstr(text, words); at && n; at = strstr(at + 1, words))
        if ((at == text || at[-1] == ' ') && (at[n] == ' ' || at[n] == '\0'))
            return true;
    return false;
}

bool mr_item_on_list(struct mr_arena *arena, const char *list, const char *folded) {
    for (const char *p = list; *p != '\0';) {
        const size_t n = strcspn(p, ",");
        if (strcmp(mr_fold(arena, p, n), folded) == 0)
            return true;
        p += n;
        p += *p == ',';
    }
    return false;
}

static bool holds_one(const char *text, const char *const *words, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (mr_holds_words(text, words[i]))
            return true;
    return false;
}

/* Deeds at the end of work are done after it, whatever they are done to. */
static bool says_due(const char *item) {
    static const char *const first[] = {"water test",     "leak test",        "leak check",    "pressure test",
                                        "hydro test",     "hydrotest",        "before work",   "before spraying",
                                        "before coating", "before the start", "before start",  "before the shift",
                                        "before shift",   "pre start",        "prestart",      "pre spray",
                                        "pre shift",      "start up",         "start of shift"},
                             *const last[] = {"after", "end of", "between coats", "final", "finished"},
                             *const things[] = {"steel",   "surface", "surfaces",    "substrate", "blast", "blasting",
                                                "blasted", "profile", "preparation", "prep",      "hose",  "hoses"},
                             *const deeds[] = {"accepted", "acceptance", "approved",  "approval",
                                               "released", "release",    "inspected", "inspection",
                                               "checked",  "check",      "tested",    "passed",
                                               "measured", "cleaned",    "clean",     "ok"};
    if (holds_one(item, last, MR_COUNT(last)))
        return false;
    return holds_one(item, first, MR_COUNT(first)) ||
           (holds_one(item, things, MR_COUNT(things)) && holds_one(item, deeds, MR_COUNT(deeds)));
}

bool mr_item_is_due(struct mr_arena *arena, const struct mr_settings *settings, const char *folded) {
    const char *stated = mr_set_text(settings, MR_SHIFT_FIRST);
    return *stated ? mr_item_on_list(arena, stated, folded) : says_due(folded);
}
