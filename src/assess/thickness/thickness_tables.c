/*
 * thickness_tables.c - the thickness part's tables of what was measured: statistics in short, spots and areas,
 * and each limit with the counts that decide it. The workbook recalculates the tables from each other,
 * so rows of one film stand together and spots and readings keep one order.
 */
#include "assess/thickness/thickness.h"
#include "numeric/search.h"

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

static int by_line(const void *item, const void *key) {
    const struct mr_position *p = item;
    const struct mr_film_reading *r = key;
    return p->file != r->file ? MR_ORDER(p->file, r->file) : MR_ORDER(p->line, r->line);
}

/* Middle of the positions of a spot's readings; NaN where none has one. */
static struct mr_position spot_position(const struct mr_assess *a, const struct mr_film *f,
                                        const struct mr_film_spot *spot) {
    const struct mr_data *d = a->aligned->data;
    struct mr_position sum = {0};
    double n = 0;
    for (size_t i = spot->first; i < spot->first + spot->n; i++) {
        const size_t at =
            mr_first_from(&f->readings[i], d->positions.v, d->positions.n, sizeof *d->positions.v, by_line);
        if (at == d->positions.n || by_line(&d->positions.v[at], &f->readings[i]) != 0)
            continue;
        sum.x_mm += d->positions.v[at].x_mm;
        sum.y_mm += d->positions.v[at].y_mm;
        n++;
    }
    sum.x_mm = n > 0 ? sum.x_mm / n : MR_NAN;
    sum.y_mm = n > 0 ? sum.y_mm / n : MR_NAN;
    return sum;
}

static bool has_positions(const struct mr_assess *a) {
    return a->aligned->data->positions.n > 0;
}

static enum mr_unit position_unit(const struct mr_assess *a) {
    return a->job->display.length == MR_UNIT_IN ? MR_UNIT_FT : MR_UNIT_M;
}

static struct mr_value position(const struct mr_assess *a, double mm) {
    return isfinite(mm) ? mr_v_num(mr_from_canonical(position_unit(a), mm)) : mr_v_blank("no position");
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
        const struct mr_position at =
            has_positions(a) ? spot_position(a, f, spot) : (struct mr_position){.x_mm = MR_NAN, .y_mm = MR_NAN};
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
            mr_v_count((int64_t)spot->kept),
            spot->kept_weight
                ? film(a, mr_ratio_um(mr_ratio_subtract(mr_film_spot_mean(spot, true), s->limits.correction)))
                : mr_v_blank("no usual reading"),
            mr_v_count((int64_t)spot->doubted),
            mr_v_time(f->readings[spot->first].t_utc_ms),
            mr_v_text(f->readings[spot->first].gauge),
            mr_v_text(mr_lines_text(a, lines, spot->n, 4)),
            position(a, at.x_mm),
            position(a, at.y_mm),
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
        {mr_film_key(a, "spot_mean"), "Spot mean", u, d},
        {mr_film_key(a, "min"), "Least", u, d},
        {mr_film_key(a, "max"), "Greatest", u, d},
        {mr_film_key(a, "area_mean"), "Area mean", u, d},
        {"area_spots", "Spots in area", MR_UNIT_NONE, 0},
        {"counted", "Usual readings", MR_UNIT_NONE, 0},
        {mr_film_key(a, "counted_mean"), "Mean of usual readings", u, d},
        {"doubted", "In doubt", MR_UNIT_NONE, 0},
        {"time", "Time", MR_UNIT_NONE, 0},
        {"gauge", "Gauge", MR_UNIT_NONE, 0},
        {"lines", "File and lines", MR_UNIT_NONE, 0},
        {position_unit(a) == MR_UNIT_M ? "along_m" : "along_ft", "Along", position_unit(a), 2},
        {position_unit(a) == MR_UNIT_M ? "across_m" : "across_ft", "Across", position_unit(a), 2},
    };
    struct mr_table *table =
        mr_table_new(a->arena, "spots", "Spots and areas",
                     "A spot is the mean of gauge readings within a 4 cm circle, an area the mean "
                     "of its spot means (SSPC-PA 2, 3.2 and 8.2). "
                     "Survey that counts, corrected. Unusual readings that were not repeated are left out of the "
                     "mean of usual readings where the job says so. A reading in doubt completes no spot.",
                     has_positions(a) ? MR_COUNT(fields) : MR_COUNT(fields) - 2, fields);
    for (size_t i = 0; i < t->subjects.n; i++)
        if (t->subjects.v[i]->counting)
            add_spots(t, t->subjects.v[i], table);
    mr_add_table(a, table);
}

/* The mean of the spots with enough readings, also of those that only a reading in doubt completes: it can miss a
 * limit (rules_judge.c). Returns: their number. */
static size_t judged_area(const struct mr_film *f, const struct mr_film_area *area, bool kept, size_t need,
                          struct mr_ratio *out_mean) {
    struct mr_ratio sum = {0, 1};
    size_t n = 0;
    for (size_t s = area->first; s < area->first + area->n; s++) {
        const struct mr_film_spot *spot = &f->spots.v[s];
        if ((kept ? spot->kept : spot->taken) < need)
            continue;
        sum = mr_ratio_add(sum, mr_film_spot_mean(spot, kept));
        n++;
    }
    *out_mean = n ? mr_ratio_divide(sum, (int64_t)n) : sum;
    return n;
}

/* Areas as a rule sees them: of its complete spots only. */
static void add_areas(struct mr_thickness *t, const struct mr_subject *s, const struct mr_rule *rule,
                      struct mr_table *table) {
    struct mr_assess *a = t->a;
    const struct mr_film *f = &s->counting->film;
    const size_t per_spot = mr_spot_number(s->z->settings, rule), per_area = mr_area_number(s->z->settings, rule);
    for (size_t i = 0; rule->counts_areas && i < f->areas.n; i++) {
        size_t firm;
        struct mr_ratio mean;
        (void)mr_film_area_mean(f, &f->areas.v[i], rule->discards, per_spot, &firm);
        const size_t spots = judged_area(f, &f->areas.v[i], rule->discards, per_spot, &mean);
        const struct mr_value row[] = {
            mr_v_text(s->z->name),
            mr_v_text(film_name(a, s)),
            mr_v_text(rule->title),
            mr_v_text(f->areas.v[i].name),
            mr_v_count((int64_t)f->areas.v[i].n),
            mr_v_count((int64_t)spots),
            mr_v_count((int64_t)firm),
            mr_v_count((int64_t)per_area),
            mr_v_count((int64_t)per_spot),
            mr_v_text(rule->discards ? "usual" : "all"),
            mr_v_text(firm >= per_area    ? "yes"
                      : spots >= per_area ? "in doubt"
                                          : "no"),
            spots ? film(a, mr_ratio_um(mr_ratio_subtract(mean, s->limits.correction))) : mr_v_blank("no whole spot"),
        };
        mr_table_add(a->arena, table, row);
    }
}

static void area_table(struct mr_thickness *t) {
    struct mr_assess *a = t->a;
    enum mr_unit u = a->job->display.film;
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Film", MR_UNIT_NONE, 0},
        {"rule", "Rule", MR_UNIT_NONE, 0},
        {"area", "Area", MR_UNIT_NONE, 0},
        {"spots", "Spots", MR_UNIT_NONE, 0},
        {"complete", "Complete spots", MR_UNIT_NONE, 0},
        {"firm", "Without readings in doubt", MR_UNIT_NONE, 0},
        {"needed", "Spots needed", MR_UNIT_NONE, 0},
        {"per_spot", "Readings per spot", MR_UNIT_NONE, 0},
        {"readings", "Readings taken", MR_UNIT_NONE, 0},
        {"whole", "Area complete", MR_UNIT_NONE, 0},
        {mr_film_key(a, "mean"), "Mean of complete spots", u, mr_film_decimals(u)},
    };
    struct mr_table *table = mr_table_new(a->arena, "thickness-areas", "Areas",
                                          "Areas of the survey that counts, as each rule reckons them: the mean of "
                                          "the means of complete spots. An incomplete area is not judged; one that "
                                          "is complete only with readings in doubt can miss a limit, never hold it.",
                                          MR_COUNT(fields), fields);
    for (size_t i = 0; i < t->subjects.n; i++)
        for (size_t r = 0; t->subjects.v[i]->counting && r < t->subjects.v[i]->rules->n; r++)
            add_areas(t, t->subjects.v[i], t->subjects.v[i]->rules->v[r], table);
    if (table->n_rows > 0)
        mr_add_table(a, table);
}

/* A spot with more readings than it needs is judged without those beyond the opposite limit (rules_judge.c). */
static bool leaves_aside(const struct mr_subject *s, const struct mr_rule *rule) {
    const struct mr_film *f = &s->counting->film;
    for (size_t i = 0; i < f->spots.n; i++)
        if (f->spots.v[i].n > mr_spot_number(s->z->settings, rule))
            return true;
    return false;
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
        mr_v_text(spots && !v->missing && leaves_aside(s, v->rule)
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
    spot_table(t);
    if (!plain_readings(t))
        return;
    limit_table(t);
    area_table(t);
    mr_reading_table(t);
}
