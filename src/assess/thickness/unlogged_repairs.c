/*
 * unlogged_repairs.c - readings whose area or spot is named after a repair ("repair 3", "2 recoated"), where the
 * spray log holds none in the zone: what was sprayed there, when, and into what climate, nobody wrote down.
 */
#include "assess/thickness/thickness.h"

#include "base/keyfile.h"
#include "base/text.h"

#include <string.h>

/* Letter for letter, in a name that is folded. */
static const char *const words[] = {"repair",    "repaired",   "rework",       "reworked",    "recoat",   "recoated",
                                    "respray",   "resprayed",  "touchup",      "patch",       "patched",  "reparatur",
                                    "repariert", "nacharbeit", "ausgebessert", "reparation",  "repare",   "reprise",
                                    "retouche",  "reparacion", "reparado",     "riparazione", "riparato", "reparatie",
                                    "hersteld",  "reparerad",  "naprawa",      "reparo"};

static bool names_repair(const char *id) {
    for (const char *p = id; p && *p;) {
        const size_t n = strcspn(p, " 0123456789-_./#");
        if (n && mr_word_among(p, n, words, MR_COUNT(words)))
            return true;
        p += n + (p[n] != '\0');
    }
    return false;
}

static bool is_logged(const struct mr_alignment *al, size_t zone) {
    for (size_t i = 0; i < al->actions.n; i++)
        if (al->actions.v[i].zone == zone && al->actions.v[i].log->action == MR_ACTION_REPAIR)
            return true;
    return false;
}

void mr_unlogged_repairs_check(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_film *film = s->counting ? &s->counting->film : NULL;
    if (!film || s->closed_by.what)
        return;
    struct mr_line *lines = MR_ARRAY(a->arena, struct mr_line, film->n + 1);
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
    if (!n || is_logged(a->aligned, s->zone))
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
