/*
 * naming.c - areas and spots by name: one name however it is spelt; notes that speak of a repair; places named after
 * a repair ("repair 3", "2 recoated") where the spray log holds none in the zone: what was sprayed there, when, and
 * into what climate, nobody wrote down.
 */
#include "assess/thickness/thickness.h"

#include "base/keyfile.h"
#include "base/text.h"
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

/* Letter for letter, in a name that is folded. */
static const char *const repair_words[] = {
    "repair",       "repaired",   "rework",    "reworked", "recoat",    "recoated",   "respray",
    "resprayed",    "touchup",    "patch",     "patched",  "reparatur", "repariert",  "nacharbeit",
    "ausgebessert", "reparation", "repare",    "reprise",  "retouche",  "reparacion", "reparado",
    "riparazione",  "riparato",   "reparatie", "hersteld", "reparerad", "naprawa",    "reparo"};

static bool names_repair(const char *id) {
    for (const char *p = id; p && *p;) {
        const size_t n = strcspn(p, " 0123456789-_./#");
        if (n && mr_word_among(p, n, repair_words, MR_COUNT(repair_words)))
            return true;
        p += n + (p[n] != '\0');
    }
    return false;
}

static bool has_repair(const struct mr_alignment *al, size_t zone) {
    for (size_t i = 0; i < al->actions.n; i++)
        if (al->actions.v[i].zone == zone && al->actions.v[i].log->action == MR_ACTION_REPAIR)
            return true;
    return false;
}

void mr_unlogged_repairs_check(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_film *film = s->counting ? &s->counting->film : NULL;
    if (!film || s->closed_by.what)
        return;
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, film->n + 1);
    const char *first = NULL;
    size_t n = 0;
    for (size_t i = 0; i < film->n; i++) {
        const struct mr_film_reading *r = &film->readings[i];
        const bool of_area = names_repair(r->area_id);
        if (!of_area && !names_repair(r->spot_id))
            continue;
        const char *name = of_area        ? (r->area_name ? r->area_name : r->area_id)
                           : r->spot_name ? r->spot_name
                                          : r->spot_id;
        first = first ? first : name;
        lines[n++] = (struct mr_line){r->file, r->line};
    }
    if (!n || has_repair(a->aligned, s->zone))
        return;
    struct mr_check c =
        mr_blank_check("thickness.repair-logged", "Repairs in the spray log", "thickness", s->zone, s->coat);
    c.outcome = MR_NOT_SHOWN;
    c.measured = (double)n;
    c.rule = "what was repaired stands in the spray log";
    c.source = MR_SRC_PD;
    c.detail = mr_printf(a->arena, "%s %s in a place named \"%s\", and the spray log holds no repair of the zone.",
                         mr_count_text(a, n, "reading"), n == 1 ? "lies" : "lie",
                         mr_clean_text(a->arena, first, strlen(first), 60));
    mr_add_lines(a, &c.evidence, lines, n, 6, "named after a repair");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "repair-unlogged", MR_WARNING);
    f.what = mr_printf(a->arena, "%s: %s", mr_subject_text(a, s), c.detail);
    f.next_step =
        "Add the repair to the spray log with its start, stop and areas; if nothing was repaired there, give the "
        "place another name.";
    mr_add_finding(a, &f);
}
