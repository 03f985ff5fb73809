/*
 * material_rows.c - rows of the material log: whose use of the drums they show, and which ones no balance can use.
 */
#include "assess/finding/line_ranges.h"
#include "assess/material/material.h"

double mr_litres_of(const struct mr_assess *a, const struct mr_material *m, double level) {
    if (m->unit != MR_UNIT_KG)
        return level;
    return level / mr_set_num(&a->job->settings, m->part == 'A' ? MR_DENSITY_A : MR_DENSITY_B);
}

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

/* ---- whose use of the drums a row shows ---- */

static int64_t local_day(const struct mr_assess *a, int64_t t_utc_ms) {
    const int64_t local = mr_local_ms(a->aligned, t_utc_ms);
    return local / MR_DAY_MS - (local % MR_DAY_MS < 0);
}

/* A day without a time: the shift that begins on it, else the one that ends on it. */
static struct mr_level_row row_of_day(struct mr_assess *a, int64_t t_utc_ms) {
    const struct mr_alignment *al = a->aligned;
    const int64_t day = local_day(a, t_utc_ms);
    struct mr_level_row row = {.shift = MR_NONE};
    for (size_t i = 0; i < al->shifts.n; i++) {
        if (local_day(a, al->shifts.v[i].t0_utc_ms) != day)
            continue;
        row.doubt = row.shift == MR_NONE ? NULL : "two shifts began on a day of which a row gives no time";
        row.shift = row.shift == MR_NONE ? i : row.shift;
    }
    for (size_t i = 0; i < al->shifts.n && row.shift == MR_NONE; i++)
        if (local_day(a, al->shifts.v[i].t1_utc_ms) == day)
            row.shift = i;
    return row;
}

/* Drums are read at most a day before the shift or after it. */
static bool is_beside(const struct mr_shift *shift, int64_t t_utc_ms) {
    return t_utc_ms >= shift->t0_utc_ms - MR_DAY_MS && t_utc_ms <= shift->t1_utc_ms + MR_DAY_MS;
}

/* On the morning of a shift, long after the former one, nobody knows which of the two the levels are of. */
static bool is_rather_of_next(const struct mr_assess *a, const struct mr_shift *last, const struct mr_shift *next,
                              int64_t t_utc_ms) {
    return local_day(a, next->t0_utc_ms) == local_day(a, t_utc_ms) &&
           local_day(a, last->t1_utc_ms) != local_day(a, t_utc_ms) &&
           t_utc_ms - last->t1_utc_ms > mr_setting_ms(&a->job->settings, MR_SHIFT_BREAK);
}

static struct mr_level_row row_of_time(struct mr_assess *a, const struct mr_material *m, int64_t t) {
    const struct mr_alignment *al = a->aligned;
    size_t last = MR_NONE, next = MR_NONE;
    for (size_t s = 0; s < al->shifts.n; s++) {
        const struct mr_shift *shift = &al->shifts.v[s];
        if (shift->t0_utc_ms <= t && is_beside(shift, t))
            last = s;
        if (shift->t0_utc_ms > t && is_beside(shift, t) && next == MR_NONE)
            next = s;
    }
    if (next == MR_NONE || (last != MR_NONE && !is_rather_of_next(a, &al->shifts.v[last], &al->shifts.v[next], t)))
        return (struct mr_level_row){.shift = last};
    const char *why =
        mr_printf(a->arena, "the levels of line %u were read at %s, before the first trigger pull at %s", m->line,
                  mr_moment_text(a, t), mr_moment_text(a, al->shifts.v[next].t0_utc_ms));
    return (struct mr_level_row){.shift = next, .doubt = why};
}

struct mr_level_row mr_level_row(struct mr_assess *a, size_t i) {
    const struct mr_alignment *al = a->aligned;
    const struct mr_material *m = &al->data->materials.v[i];
    const int64_t t = i < al->material_utc.n ? al->material_utc.v[i] : MR_T_NONE;
    if (t == MR_T_NONE)
        return (struct mr_level_row){.shift = MR_NONE};
    if (!m->day_only || mr_local_ms(al, t) % MR_DAY_MS != 0)
        return row_of_time(a, m, t);
    struct mr_level_row row = row_of_day(a, t);
    const size_t near = mr_shift_near(al, t);
    row.of_day = true;
    if (row.shift != MR_NONE || near == MR_NONE || !is_beside(&al->shifts.v[near], t))
        return row;
    row.shift = near;
    row.doubt = mr_printf(a->arena, "the levels of line %u are dated %s, not the shift's day", m->line,
                          mr_day_label(a, mr_local_ms(al, t)));
    return row;
}
