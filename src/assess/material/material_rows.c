/*
 * material_rows.c - rows of the material log that no balance can use: of a level that rises, or of other days.
 */
#include "assess/finding/line_ranges.h"
#include "assess/material/material.h"

void mr_find_rising_level(struct mr_assess *a, const struct mr_material *m) {
    struct mr_finding f = mr_blank_finding("level-rises", MR_WARNING, MR_NONE, 0);
    f.measured = m->before - m->after;
    f.unit = m->unit;
    f.decimals = 2;
    f.rule = "the level after is at most the level before";
    f.source = MR_SRC_PD;
    f.what = mr_printf(a->arena,
                       "Part %c, %s: the level after is above the level before; the row is left out of the balance.",
                       m->part, m->drum[0] != '\0' ? m->drum : "drum not named");
    f.next_step = "Correct the row; log a refill as a drum of its own.";
    struct mr_place at = {a->aligned->data->files.v[m->file].source->path, m->line, 0, 0};
    mr_add_evidence(a, &f.evidence, at, "material log");
    mr_add_finding(a, &f);
}

/* What was drawn on other days was not sprayed in this job. */
void mr_find_other_days(struct mr_assess *a) {
    const struct mr_material *m = &a->aligned->data->materials.v[0];
    struct mr_finding f = mr_blank_finding("material-of-other-days", MR_WARNING, MR_NONE, 0);
    f.what = "Every dated row of the material log lies on days on which nothing was sprayed; none was used.";
    f.rule = "material is drawn in the shifts in which it is sprayed";
    f.source = MR_SRC_PD;
    f.next_step = "Correct the dates in the material log, or add the log of this job's shifts.";
    mr_add_evidence(a, &f.evidence, mr_line_place(a, m->file, m->line), "the first row");
    mr_add_finding(a, &f);
}

/* Drums are weighed before the shift and after it, at most a day apart. */
bool mr_is_beside(const struct mr_shift *shift, int64_t t_utc_ms) {
    return t_utc_ms >= shift->t0_utc_ms - MR_DAY_MS && t_utc_ms <= shift->t1_utc_ms + MR_DAY_MS;
}
