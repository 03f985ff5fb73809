/* stated_serials.c - see stated_serials.h. */
#include "normalise/file/stated_serials.h"

#include "base/text.h"
#include "normalise/cell/words.h"
#include "normalise/column/question.h"
#include "normalise/row/row_fates.h"

#include <string.h>

/* The serial in a column or above the table, folded; "". */
static const char *stated_by(const struct mr_file_state *state) {
    const char *text = state->serial;
    if (!*text)
        text = mr_preamble_value(state->scratch, state->source,
                                 "serial|serial number|serial no|s n|sn|instrument serial|instrument serial number|"
                                 "device serial|logger serial|logger serial number|seriennummer");
    if (!text)
        return "";
    const char ends[] = {state->source->delimiter, '\0'};
    size_t n = strcspn(text, ends);
    mr_trim(&text, &n);
    mr_unwrap(&text, &n);
    return mr_words_fold(state->scratch, text, n);
}

/* "K8" and "K8-117" may be one device. */
static bool may_be_one(const char *a, const char *b) {
    return !*a || !*b || strstr(a, b) || strstr(b, a);
}

static bool by_pattern(const struct mr_file_state *state) {
    const struct mr_file_rule *rule = state->source->rule;
    return state->plan && mr_is_log(state->plan->kind) && state->log.n && state->file->instrument &&
           !(rule && *rule->instrument);
}

static const char *folded(struct mr_file_state *state, const char *text) {
    return mr_words_fold(state->scratch, text, strlen(text));
}

/* Whether the file's serial is the section's own, by its name or serial. */
static bool is_own(struct mr_file_state *state, const char *serial) {
    const struct mr_instrument *own = state->file->instrument;
    return *serial && (may_be_one(serial, folded(state, own->name)) ||
                       (*own->serial && may_be_one(serial, folded(state, own->serial))));
}

static void set_aside(struct mr_file_state *state, const char *serial, const char *other) {
    const struct mr_instrument *stated = mr_job_instrument(state->job, serial);
    const char *name = stated && stated != state->file->instrument ? stated->name : serial;
    mr_file_ask(state->arena, state->file, MR_ASK_NAME,
                mr_printf(state->arena, "instrument = %s\n# or = %s, if that is the device", name,
                          state->file->instrument->name));
    mr_diag_add(state->diags, MR_ERROR, "other-serial", (struct mr_place){.file = state->source->path}, NULL,
                mr_printf(state->scratch,
                          "Say in job.milrise which device it is: [file \"%s\"] / instrument = %s. File set aside.",
                          state->source->path, name),
                "states the serial \"%s\", while [instrument \"%s\"], which takes the file by its name, has %s",
                serial, state->file->instrument->name, other);
    mr_state_relabel(state, MR_ASIDE_CONTRADICTED);
    state->log.n = 0;
}

/* A serial of another file of the section that this one's contradicts; NULL. */
static const char *rival_of(struct mr_file_state *files, size_t n, size_t self, const char *const *serial) {
    for (size_t i = 0; i < n; i++)
        if (serial[i] && files[i].file->instrument == files[self].file->instrument &&
            files[i].plan->kind == files[self].plan->kind && !may_be_one(serial[i], serial[self]))
            return serial[i];
    return NULL;
}

void mr_hold_serials(struct mr_file_state *files, size_t n) {
    const char **serial = n ? MR_ARRAY(files[0].scratch, const char *, n) : NULL;
    for (size_t i = 0; i < n; i++)
        serial[i] = by_pattern(&files[i]) ? stated_by(&files[i]) : NULL;
    for (size_t i = 0; i < n; i++) {
        if (!serial[i] || !*serial[i] || is_own(&files[i], serial[i]))
            continue;
        const char *own = files[i].file->instrument->serial, *rival = rival_of(files, n, i, serial);
        if (*own)
            set_aside(&files[i], serial[i], mr_printf(files[i].scratch, "the serial \"%s\"", own));
        else if (rival)
            set_aside(&files[i], serial[i], mr_printf(files[i].scratch, "a file of the serial \"%s\" too", rival));
    }
}
