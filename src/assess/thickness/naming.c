/*
 * naming.c - areas and spots by name: one name however it is spelt, and notes that speak of a repair.
 */
#include "assess/thickness/thickness.h"

#include "base/keyfile.h"
#include "numeric/stable_sort.h"

#include <string.h>

const char *mr_area_id(struct mr_arena *arena, const char *name) {
    return *name ? mr_folded_name(arena, name) : "";
}

int mr_repair_label(struct mr_arena *arena, const char *note) {
    if (!note || !*note)
        return 0;
    const char *text = mr_fold(arena, note, strlen(note));
    if (strstr(text, "before repair") || strstr(text, "not repaired"))
        return -1;
    return strstr(text, "after repair") || strstr(text, "repaired") ? 1 : 0;
}

struct spelling {
    const char *id, *name;
    uint32_t file, line;
};

static int by_spelling(const void *a, const void *b) {
    const struct spelling *x = a, *y = b;
    int order = strcmp(x->id, y->id);
    if (order == 0)
        order = strcmp(x->name, y->name);
    if (order == 0)
        order = MR_ORDER(x->file, y->file);
    return order ? order : MR_ORDER(x->line, y->line);
}

/* "A1 = a 1 = A-1; B2 = b2": names with more than one spelling. */
static const char *folded(struct mr_assess *a, struct mr_arena *scratch, struct spelling *v, size_t n,
                          mr_evidence_list *evidence) {
    const char *text = "";
    mr_sort_stable(scratch, v, n, sizeof *v, by_spelling);
    for (size_t i = 0, end; i < n; i = end) {
        const char *names = "'";
        size_t spellings = 0;
        for (end = i; end < n && strcmp(v[end].id, v[i].id) == 0; end++) {
            if (end > i && strcmp(v[end].name, v[end - 1].name) == 0)
                continue;
            spellings++;
            names = mr_printf(scratch, "%s%s%s'", names, end > i ? " = '" : "", v[end].name);
        }
        if (spellings < 2)
            continue;
        text = mr_printf(scratch, "%s%s%s", text, *text ? "; " : "", names);
        for (size_t k = i; k < end && evidence->n < 12; k++)
            if (k == i || strcmp(v[k].name, v[k - 1].name) != 0)
                mr_add_evidence(a, evidence, mr_line_place(a, v[k].file, v[k].line), v[k].name);
    }
    return text;
}

void mr_note_spellings(struct mr_assess *a, size_t zone, const mr_index_list *at) {
    static const char *const what[] = {"areas", "spots"};
    struct mr_arena *scratch = mr_arena_like(a->arena);
    struct spelling *v = MR_ARRAY(scratch, struct spelling, at->n);
    for (int spots = 0; spots < 2; spots++) {
        mr_evidence_list evidence = {0};
        size_t n = 0;
        for (size_t i = 0; i < at->n; i++) {
            const struct mr_reading *r = a->aligned->readings.v[at->v[i]].reading;
            const char *name = spots ? r->spot : r->area;
            if (*name)
                v[n++] = (struct spelling){mr_area_id(scratch, name), name, r->file, r->line};
        }
        const char *names = folded(a, scratch, v, n, &evidence);
        if (!*names)
            continue;
        struct mr_finding f = mr_blank_finding("names-folded", MR_NOTE, zone, 0);
        f.what = mr_printf(a->arena, "Zone %s: %s spelt in several ways were taken as one: %s.",
                           a->aligned->zones.v[zone].name, what[spots], names);
        f.rule = "case, blanks and punctuation do not tell names apart";
        f.source = MR_SRC_PD;
        f.next_step = "Rename them in the exports if they are different places.";
        f.evidence = evidence;
        mr_add_finding(a, &f);
    }
    mr_arena_free(scratch);
}
