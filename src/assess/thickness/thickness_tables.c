/*
 * thickness_tables.c - the thickness part's tables of what was measured: statistics in short, spots and areas,
 * surveys.
 */
#include "assess/thickness/thickness.h"

#include <math.h>

static const char *film_name(struct mr_assess *a, const struct mr_subject *s) {
    return s->coat ? mr_printf(a->arena, "coat %d", s->coat) : "system";
}

/* Films are shown in the job's unit; the key of a column says which. */
static const char *film_key(struct mr_assess *a, const char *stem) {
    return mr_printf(a->arena, "%s_%s", stem, a->job->display.film == MR_UNIT_MIL ? "mil" : "um");
}

static struct mr_value film(const struct mr_assess *a, double um) {
    return mr_v_num(mr_from_canonical(a->job->display.film, um));
}

static void summary_table(struct mr_thickness *t) {
    struct mr_assess *a = t->a;
    enum mr_unit u = a->job->display.film;
    int d = mr_film_decimals(u);
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Film", MR_UNIT_NONE, 0},
        {"readings", "Readings", MR_UNIT_NONE, 0},
        {"spots", "Spots", MR_UNIT_NONE, 0},
        {"areas", "Areas", MR_UNIT_NONE, 0},
        {film_key(a, "mean"), "Mean", u, d},
        {film_key(a, "sd"), "SD", u, d},
        {"cv_pct", "CV", MR_UNIT_PCT, 1},
        {film_key(a, "min"), "Least", u, d},
        {film_key(a, "q1"), "Lower quartile", u, d},
        {film_key(a, "median"), "Median", u, d},
        {film_key(a, "q3"), "Upper quartile", u, d},
        {film_key(a, "max"), "Greatest", u, d},
        {"below_pct", "Spots below minimum", MR_UNIT_PCT, 1},
        {"above_pct", "Spots above maximum", MR_UNIT_PCT, 1},
        {film_key(a, "limit_min"), "Specified minimum", u, d},
        {film_key(a, "limit_max"), "Specified maximum", u, d},
    };
    struct mr_table *table =
        mr_table_new(a->arena, "thickness-summary", "Thickness by zone",
                     "Readings of the survey that counts, corrected, in the job's unit. SD with n "
                     "- 1; quartiles by the p(n + 1) rule "
                     "(NIST/SEMATECH e-Handbook 7.2.6.2); shares are of spot means.",
                     MR_COUNT(fields), fields);
    for (size_t i = 0; i < t->subjects.n; i++) {
        const struct mr_subject *s = t->subjects.v[i];
        if (!s->counting)
            continue;
        const struct mr_film_stats *st = &s->stats;
        const struct mr_value row[] = {
            mr_v_text(s->z->name),
            mr_v_text(film_name(a, s)),
            mr_v_count((int64_t)s->values.n_behind),
            mr_v_count((int64_t)s->values.n_spots),
            mr_v_count((int64_t)s->values.n_areas),
            film(a, st->reading.mean),
            film(a, st->reading.sd),
            mr_v_num(100 * st->reading.sd / st->reading.mean),
            film(a, st->reading.min),
            film(a, st->q1),
            film(a, st->median),
            film(a, st->q3),
            film(a, st->reading.max),
            mr_v_num(st->below_pct),
            mr_v_num(st->above_pct),
            film(a, s->min_um),
            film(a, s->max_um),
        };
        mr_table_add(a->arena, table, row);
    }
    mr_add_table(a, table);
}

/* Least and greatest kept reading of a spot, and its lines. */
static void spot_extremes(const struct mr_film *f, const struct mr_film_spot *spot, struct mr_ratio correction,
                          double *low, double *high) {
    *low = *high = MR_NAN;
    for (size_t i = spot->first; i < spot->first + spot->n && spot->taken == spot->n; i++) {
        double um = mr_ratio_um(mr_ratio_subtract(mr_ratio_of(f->readings[i].quanta, 1), correction));
        *low = isnan(*low) || um < *low ? um : *low;
        *high = isnan(*high) || um > *high ? um : *high;
    }
}

static void add_spots(struct mr_thickness *t, const struct mr_subject *s, struct mr_table *table) {
    struct mr_assess *a = t->a;
    const struct mr_film *f = &s->counting->film;
    for (size_t i = 0; i < f->spots.n; i++) {
        const struct mr_film_spot *spot = &f->spots.v[i];
        const struct mr_film_area *area = &f->areas.v[spot->area];
        struct mr_line *lines = MR_ARRAY(a->arena, struct mr_line, spot->n);
        for (size_t k = 0; k < spot->n; k++)
            lines[k] = (struct mr_line){f->readings[spot->first + k].file, f->readings[spot->first + k].line};
        double low, high;
        size_t parts;
        spot_extremes(f, spot, s->limits.correction, &low, &high);
        struct mr_ratio mean = mr_ratio_subtract(mr_film_spot_mean(spot, false), s->limits.correction);
        struct mr_ratio area_mean =
            mr_ratio_subtract(mr_film_area_mean(f, area, false, 1, &parts), s->limits.correction);
        const struct mr_value row[] = {
            mr_v_text(s->z->name),
            mr_v_text(film_name(a, s)),
            mr_v_text(area->name),
            mr_v_text(spot->name),
            spot->taken ? mr_v_count((int64_t)spot->taken) : mr_v_blank("a mean of a number not given"),
            film(a, mr_ratio_um(mean)),
            film(a, low),
            film(a, high),
            film(a, mr_ratio_um(area_mean)),
            mr_v_count((int64_t)parts),
            mr_v_time(f->readings[spot->first].t_utc_ms),
            mr_v_text(f->readings[spot->first].gauge),
            mr_v_text(mr_lines_text(a, lines, spot->n, 4)),
        };
        mr_table_add(a->arena, table, row);
    }
}

static void spot_table(struct mr_thickness *t) {
    struct mr_assess *a = t->a;
    enum mr_unit u = a->job->display.film;
    int d = mr_film_decimals(u);
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Film", MR_UNIT_NONE, 0},
        {"area", "Area", MR_UNIT_NONE, 0},
        {"spot", "Spot", MR_UNIT_NONE, 0},
        {"readings", "Readings", MR_UNIT_NONE, 0},
        {film_key(a, "spot_mean"), "Spot mean", u, d},
        {film_key(a, "min"), "Least", u, d},
        {film_key(a, "max"), "Greatest", u, d},
        {film_key(a, "area_mean"), "Area mean", u, d},
        {"area_spots", "Spots in area", MR_UNIT_NONE, 0},
        {"time", "Time", MR_UNIT_NONE, 0},
        {"gauge", "Gauge", MR_UNIT_NONE, 0},
        {"lines", "File and lines", MR_UNIT_NONE, 0},
    };
    struct mr_table *table =
        mr_table_new(a->arena, "spots", "Spots and areas",
                     "A spot is the mean of gauge readings within a 4 cm circle, an area the mean "
                     "of its spot means (SSPC-PA 2, 3.2 and 8.2). "
                     "Survey that counts, corrected.",
                     MR_COUNT(fields), fields);
    for (size_t i = 0; i < t->subjects.n; i++)
        if (t->subjects.v[i]->counting)
            add_spots(t, t->subjects.v[i], table);
    mr_add_table(a, table);
}

void mr_thickness_tables(struct mr_thickness *t) {
    summary_table(t);
    spot_table(t);
}
