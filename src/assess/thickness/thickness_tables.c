/*
 * thickness_tables.c - the thickness part's tables of what was measured: statistics in short,
 * every reading with the figures that decide whether it is unusual, and each limit with the counts that decide it.
 * The workbook recalculates the tables from each other, so rows of one film stand together and spots and readings
 * keep one order.
 */
#include "assess/thickness/thickness.h"

#include "numeric/select.h"

#include <math.h>

static const char *film_name(struct mr_assess *a, const struct mr_subject *s) {
    return s->coat ? mr_printf(a->arena, "coat %d", s->coat) : "system";
}

static struct mr_value film(const struct mr_assess *a, double um) {
    return mr_v_num(mr_from_canonical(a->job->display.film, um));
}

static void add_summary(struct mr_assess *a, const struct mr_subject *s, struct mr_table *table) {
    const struct mr_film_stats *st = &s->stats;
    const struct mr_film *f = &s->counting->film;
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
        film(a, f->spread_um),
        film(a, f->spread_um * mr_set_num(s->z->settings, MR_DFT_UNUSUAL)),
        f->discards ? mr_v_count((int64_t)f->per_spot) : mr_v_blank("none is left out"),
        mr_v_count(0),
    };
    mr_table_add(a->arena, table, row);
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
        {mr_film_key(a, "mean"), "Mean", u, d},
        {mr_film_key(a, "sd"), "SD", u, d},
        {"cv_pct", "CV", MR_UNIT_PCT, 1},
        {mr_film_key(a, "min"), "Least", u, d},
        {mr_film_key(a, "q1"), "Lower quartile", u, d},
        {mr_film_key(a, "median"), "Median", u, d},
        {mr_film_key(a, "q3"), "Upper quartile", u, d},
        {mr_film_key(a, "max"), "Greatest", u, d},
        {"below_pct", "Spots below minimum", MR_UNIT_PCT, 1},
        {"above_pct", "Spots above maximum", MR_UNIT_PCT, 1},
        {mr_film_key(a, "limit_min"), "Specified minimum", u, d},
        {mr_film_key(a, "limit_max"), "Specified maximum", u, d},
        {mr_film_key(a, "spread_within"), "Spread within spots", u, d + 1},
        {mr_film_key(a, "unusual_beyond"), "Unusual beyond", u, d + 1},
        {"keep_least", "Readings kept in a spot", MR_UNIT_NONE, 0},
        {"changed", "Readings changed since", MR_UNIT_NONE, 0},
    };
    struct mr_table *table = mr_table_new(
        a->arena, "thickness-summary", "Thickness by zone",
        "Readings of the survey that counts, corrected, in the job's unit. SD with n - 1; quartiles by the p(n + 1) "
        "rule (NIST/SEMATECH e-Handbook 7.2.6.2); shares are of spot means. Spread within spots: 1.4826 times the "
        "2/3 quantile of the distances from the spots' medians.",
        MR_COUNT(fields), fields);
    for (size_t i = 0; i < t->subjects.n; i++)
        if (t->subjects.v[i]->counting)
            add_summary(a, t->subjects.v[i], table);
    mr_add_table(a, table);
}

static void add_limit(struct mr_thickness *t, const struct mr_subject *s, const struct mr_rule_verdict *v,
                      struct mr_table *table) {
    static const char *const values[] = {"reading", "spot", "area", "mean"};
    struct mr_assess *a = t->a;
    const struct mr_rule_limit *l = v->limit;
    const bool strict = s->limits.strict ? l->share_strict : l->lenient_strict,
               spots = l->value == MR_RULE_SPOT || l->value == MR_RULE_AREA;
    const struct mr_value row[] = {
        mr_v_text(s->z->name),
        mr_v_text(film_name(a, s)),
        mr_v_text(v->rule->title),
        mr_v_text(mr_limit_text(a, v)),
        mr_v_text(values[l->value]),
        mr_v_text(l->upper ? "at most" : "at least"),
        mr_v_text(l->of_maximum ? "maximum" : "minimum"),
        mr_v_num((double)l->percent / 1000),
        v->missing ? mr_v_blank("not specified") : film(a, mr_ratio_um(v->limit_value)),
        l->shared ? mr_v_text(strict ? "fewer than" : "at most") : mr_v_blank("none may miss"),
        l->shared ? mr_v_num((double)(s->limits.strict ? l->share : l->share_lenient) / 1000) : mr_v_blank(""),
        l->count_from >= 0 ? mr_v_num((double)l->count_from / 1000) : mr_v_blank(""),
        mr_v_text(v->rule->discards ? "usual" : "all"),
        spots ? mr_v_count((int64_t)mr_spot_number(s->z->settings, v->rule)) : mr_v_blank(""),
        mr_v_count((int64_t)v->judged),
        mr_v_count((int64_t)v->failing),
        v->worst == MR_NONE ? mr_v_blank("") : film(a, mr_ratio_um(v->worst_value)),
        mr_v_count((int64_t)v->short_missing),
        mr_v_outcome((int)v->outcome),
        mr_v_text(spots && !v->missing && mr_leaves_aside(s, v->rule)
                      ? "spots with more readings than needed: those beyond the opposite limit are left aside"
                      : ""),
    };
    mr_table_add(a->arena, table, row);
}

static void limit_table(struct mr_thickness *t) {
    struct mr_assess *a = t->a;
    enum mr_unit u = a->job->display.film;
    int d = mr_film_decimals(u);
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Film", MR_UNIT_NONE, 0},
        {"rule", "Rule", MR_UNIT_NONE, 0},
        {"limit_name", "Limit", MR_UNIT_NONE, 0},
        {"value", "Judged", MR_UNIT_NONE, 0},
        {"side", "Side", MR_UNIT_NONE, 0},
        {"of", "Specified", MR_UNIT_NONE, 0},
        {"percent", "Share of the specified limit", MR_UNIT_PCT, 0},
        {mr_film_key(a, "limit"), "Limit in force", u, d},
        {"may_miss", "May miss", MR_UNIT_NONE, 0},
        {"may_miss_pct", "Share that may miss", MR_UNIT_PCT, 1},
        {"from_pct", "Counted from, of the minimum", MR_UNIT_PCT, 0},
        {"readings", "Readings taken", MR_UNIT_NONE, 0},
        {"per_spot", "Readings per spot", MR_UNIT_NONE, 0},
        {"judged", "Values judged", MR_UNIT_NONE, 0},
        {"missed", "Values that miss", MR_UNIT_NONE, 0},
        {mr_film_key(a, "worst"), "Worst value", u, d},
        {"short", "Incomplete and missing", MR_UNIT_NONE, 0},
        {"outcome", "By this limit alone", MR_UNIT_NONE, 0},
        {"remark", "Remark", MR_UNIT_NONE, 0},
    };
    struct mr_table *table = mr_table_new(
        a->arena, "thickness-limits", "Thickness limits",
        "Each limit of each rule in force, and the counts that decide it. Whether enough was measured is "
        "a check of its own; where it was not, a limit that holds is not shown.",
        MR_COUNT(fields), fields);
    for (size_t i = 0; i < t->subjects.n; i++) {
        const struct mr_subject *s = t->subjects.v[i];
        if (!s->counting || (!s->limits.has_min && !s->limits.has_max))
            continue;
        for (size_t r = 0; r < s->rules->n; r++)
            for (size_t k = 0; k < s->rules->v[r]->limits.n; k++)
                add_limit(t, s, &s->counting->verdicts[r][k], table);
    }
    if (table->n_rows > 0)
        mr_add_table(a, table);
}

static double reading_um(const struct mr_film_reading *r) {
    return mr_ratio_um((struct mr_ratio){r->quanta, 1});
}

/* Distance from the median of the reading's spot; NaN of spots of one or two. */
static double from_median_um(const struct mr_film *f, const struct mr_film_reading *r, double *work) {
    const struct mr_film_spot *spot = &f->spots.v[r->spot];
    if (spot->n < 3 || isnan(f->spread_um))
        return MR_NAN;
    for (size_t i = 0; i < spot->n; i++)
        work[i] = reading_um(&f->readings[spot->first + i]);
    return fabs(reading_um(r) - mr_median(work, spot->n));
}

static const char *standing_of(const struct mr_film_reading *r) {
    return !r->unusual ? "usual" : r->discarded ? "left out" : r->doubted ? "in doubt" : "unusual";
}

static void add_readings(struct mr_thickness *t, const struct mr_subject *s, struct mr_table *table) {
    struct mr_assess *a = t->a;
    const struct mr_film *f = &s->counting->film;
    const struct mr_ratio correction = s->limits.correction;
    double *work = MR_ARRAY(mr_work(a), double, f->n);
    for (size_t i = 0; i < f->n; i++) {
        const struct mr_film_reading *r = &f->readings[i];
        const struct mr_film_spot *spot = &f->spots.v[r->spot];
        const struct mr_value shown = film(a, reading_um(r)),
                              corrected = film(
                                  a, mr_ratio_um(mr_ratio_subtract((struct mr_ratio){r->quanta, 1}, correction)));
        const double from_median = from_median_um(f, r, work);
        const struct mr_value row[] = {
            mr_v_text(s->z->name),
            mr_v_text(s->coat ? mr_printf(a->arena, "coat %d", s->coat) : "system"),
            mr_v_text(f->areas.v[spot->area].name),
            mr_v_text(spot->name),
            shown,
            film(a, mr_ratio_um(correction)),
            corrected,
            isnan(from_median) ? mr_v_blank(MR_FEW_IN_SPOT) : film(a, from_median),
            isnan(from_median) ? mr_v_blank(MR_FEW_IN_SPOT) : film(a, mr_ratio_um((struct mr_ratio){r->others, 1})),
            mr_v_text(standing_of(r)),
            r->discarded ? mr_v_blank(MR_LEFT_OUT) : corrected,
            mr_v_time(r->t_utc_ms),
            mr_v_text(r->gauge),
            mr_v_text(a->aligned->data->files.v[r->file].source->path),
            mr_v_count(r->line),
            shown,
        };
        mr_table_add(a->arena, table, row);
    }
}

static void reading_table(struct mr_thickness *t) {
    struct mr_assess *a = t->a;
    const enum mr_unit u = a->job->display.film;
    const int d = mr_film_decimals(u) + 1;
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Film", MR_UNIT_NONE, 0},
        {"area", "Area", MR_UNIT_NONE, 0},
        {"spot", "Spot", MR_UNIT_NONE, 0},
        {mr_film_key(a, "shown"), "As the gauge showed it", u, d},
        {mr_film_key(a, "correction"), "Correction", u, d},
        {mr_film_key(a, "corrected"), "Corrected", u, d},
        {mr_film_key(a, "from_median"), "From the spot's median", u, d},
        {mr_film_key(a, "others"), "Median of the others", u, d},
        {"standing", "Standing", MR_UNIT_NONE, 0},
        {mr_film_key(a, "usual"), "Usual", u, d},
        {"time", "Time", MR_UNIT_NONE, 0},
        {"gauge", "Gauge", MR_UNIT_NONE, 0},
        {"file", "File", MR_UNIT_NONE, 0},
        {"line", "Line", MR_UNIT_NONE, 0},
        {mr_film_key(a, "reported"), "As reported", u, d},
    };
    struct mr_table *table = mr_table_new(
        a->arena, "gauge-readings", "Gauge readings",
        "Readings of the survey that counts. Corrected: less the base metal or profile and any coat below. Unusual: "
        "farther from the median of the others of its spot than the sheet Thickness by zone says, and no other "
        "reading "
        "within the spread of it. Change a reading under \"As the gauge showed it\" to see what would follow; "
        "\"As reported\" keeps what the file says.",
        MR_COUNT(fields), fields);
    for (size_t i = 0; i < t->subjects.n; i++)
        if (t->subjects.v[i]->counting) {
            add_readings(t, t->subjects.v[i], table);
            mr_work_done(a);
        }
    mr_add_table(a, table);
}

/* Rows that are means of several readings are beyond what plain formulas over single readings can follow: the figures
 * of such a job stay values. */
static bool plain_readings(const struct mr_thickness *t) {
    for (size_t i = 0; i < t->subjects.n; i++) {
        const struct mr_survey *survey = t->subjects.v[i]->counting;
        for (size_t k = 0; survey && k < survey->film.n; k++)
            if (survey->film.readings[k].is_mean)
                return false;
    }
    return true;
}

void mr_thickness_tables(struct mr_thickness *t) {
    summary_table(t);
    mr_spot_table(t);
    if (!plain_readings(t))
        return;
    limit_table(t);
    mr_area_table(t);
    reading_table(t);
}
