/*
 * statistics_tables.c - the statistics of each film in full: intervals, components of variance, order, capability,
 * doubt; and in short, for charts, the summary and the parts that follow: what stays of the readings when their
 * surveys are gone.
 */
#include "assess/thickness/thickness.h"

#include <math.h>
#include <string.h>

struct statistics_row {
    struct mr_assess *a;
    MR_VEC(struct mr_field) fields;
    MR_VEC(struct mr_value) row;
};

/* One pass over add_all names the fields, each further pass makes a row: title and value cannot drift apart. */
static void col(struct statistics_row *c, const char *key, const char *title, enum mr_unit unit, int decimals,
                struct mr_value value) {
    struct mr_field f = {key, title, unit, decimals};
    MR_PUSH(c->a->arena, &c->fields, f);
    MR_PUSH(c->a->arena, &c->row, value);
}

static void film_col(struct statistics_row *c, const char *stem, const char *title, double um) {
    enum mr_unit u = c->a->job->display.film;
    col(c, mr_printf(c->a->arena, "%s_%s", stem, u == MR_UNIT_MIL ? "mil" : "um"), title, u, mr_film_decimals(u) + 1,
        mr_v_num(mr_from_canonical(u, um)));
}

static void num_col(struct statistics_row *c, const char *key, const char *title, int decimals, double value) {
    col(c, key, title, MR_UNIT_NONE, decimals, mr_v_num(value));
}

static void count_col(struct statistics_row *c, const char *key, const char *title, size_t value) {
    col(c, key, title, MR_UNIT_NONE, 0, mr_v_count((int64_t)value));
}

static void name_cols(struct statistics_row *c, const struct mr_subject *s) {
    col(c, "zone", "Zone", MR_UNIT_NONE, 0, mr_v_text(s->z->name));
    col(c, "coat", "Film", MR_UNIT_NONE, 0,
        mr_v_text(s->coat ? mr_printf(c->a->arena, "coat %d", s->coat) : "system"));
    count_col(c, "spots", "Spots", s->values.n_spots);
}

static double root(double variance) {
    return variance > 0 ? sqrt(variance) : isnan(variance) ? variance : 0;
}

static void interval_cols(struct statistics_row *c, const struct mr_subject *s) {
    const struct mr_film_stats *st = &s->stats;
    name_cols(c, s);
    film_col(c, "mean", "Mean of spots", st->spot.mean);
    film_col(c, "sd", "SD of spots", st->spot.sd);
    film_col(c, "mean_low", "Mean, lower limit", st->mean_ci.low);
    film_col(c, "mean_high", "Mean, upper limit", st->mean_ci.high);
    film_col(c, "sd_low", "SD, lower limit", st->sd_ci.low);
    film_col(c, "sd_high", "SD, upper limit", st->sd_ci.high);
    num_col(c, "k_two_sided", "Factor, two-sided", 4, st->k2);
    film_col(c, "tolerance_low", "Tolerance interval from", st->tolerance.low);
    film_col(c, "tolerance_high", "Tolerance interval to", st->tolerance.high);
    num_col(c, "k_one_sided", "Factor, one-sided", 4, st->k1);
    film_col(c, "lower_bound", "Lower tolerance limit", st->lower_bound);
    film_col(c, "upper_bound", "Upper tolerance limit", st->upper_bound);
    film_col(c, "sd_within_spots", "SD within spots", root(st->nested.component[0]));
    film_col(c, "sd_between_spots", "SD between spots", root(st->nested.component[1]));
    film_col(c, "sd_between_areas", "SD between areas", root(st->nested.component[2]));
}

static void order_cols(struct statistics_row *c, const struct mr_subject *s) {
    const struct mr_film_stats *st = &s->stats;
    name_cols(c, s);
    num_col(c, "grubbs_g", "Grubbs G", 4, st->grubbs.g);
    num_col(c, "grubbs_critical", "Critical G", 4, st->grubbs.critical);
    count_col(c, "esd_outliers", "Outliers, generalised ESD", st->esd_found);
    col(c, "outliers", "Which", MR_UNIT_NONE, 0, mr_v_text(st->outliers));
    num_col(c, "anderson_darling", "Anderson-Darling A2*", 4, st->normality.a2_star);
    num_col(c, "normality_p", "its p", 4, st->normality.p);
    num_col(c, "runs_z", "Runs test Z", 4, st->runs.z);
    num_col(c, "runs_p", "its p", 4, st->runs.p);
    num_col(c, "lag1", "Lag-1 autocorrelation", 4, st->lag1);
    film_col(c, "individuals_low", "Single spots, lower limit", st->individuals.low);
    film_col(c, "individuals_high", "Single spots, upper limit", st->individuals.high);
    count_col(c, "individuals_out", "Spots outside", st->individuals_out);
    film_col(c, "xbar_low", "Area means, lower limit", st->xbar.low);
    film_col(c, "xbar_high", "Area means, upper limit", st->xbar.high);
    count_col(c, "xbar_out", "Areas outside", st->xbar_out);
    film_col(c, "s_high", "SD within areas, upper limit", st->s.high);
    count_col(c, "s_out", "Areas outside by SD", st->s_out);
}

static const char *more_text(struct mr_assess *a, const struct mr_film_stats *st) {
    switch (st->more) {
    case MR_MORE_SETTLED:
        return "settled";
    case MR_MORE_SPOTS:
        return mr_printf(a->arena, "%zu more spots", st->more_spots);
    case MR_MORE_NEVER:
        return "no number of spots with this gauge";
    case MR_MORE_UNKNOWN:
        break;
    }
    return "gauge uncertainty not stated";
}

static void doubt_cols(struct statistics_row *c, const struct mr_subject *s) {
    const struct mr_film_stats *st = &s->stats;
    name_cols(c, s);
    num_col(c, "cp", "Cp", 3, st->capability.cp);
    num_col(c, "cp_low", "Cp, lower limit", 3, st->capability.cp_ci.low);
    num_col(c, "cp_high", "Cp, upper limit", 3, st->capability.cp_ci.high);
    num_col(c, "cpk", "Cpk", 3, st->capability.cpk);
    num_col(c, "cpk_low", "Cpk, lower limit", 3, st->capability.cpk_ci.low);
    num_col(c, "cpk_high", "Cpk, upper limit", 3, st->capability.cpk_ci.high);
    col(c, "capability_warning", "Does it apply?", MR_UNIT_NONE, 0,
        mr_v_text(*st->capability_warning     ? st->capability_warning
                  : isnan(st->capability.cpk) ? ""
                                              : "yes"));
    film_col(c, "u_gauge", "Standard uncertainty, gauge", st->u_gauge_um);
    film_col(c, "u_mean", "Standard uncertainty of the mean", st->u_mean_um);
    num_col(c, "p_mean", "Probability that the mean conforms", 4, st->p_mean);
    num_col(c, "p_spot_least", "Least probability of a spot", 4, st->p_spot_least);
    count_col(c, "spots_close", "Close spots", st->spots_close);
    film_col(c, "guard_low", "Guarded lower limit", st->guard_low_um);
    film_col(c, "guard_high", "Guarded upper limit", st->guard_high_um);
    col(c, "more", "To decide a close case", MR_UNIT_NONE, 0, mr_v_text(more_text(c->a, st)));
}

/* All systems of the job as one: zones take the place of areas. */
static bool pool(struct mr_thickness *t, struct mr_film_values *all) {
    struct mr_arena *arena = t->held;
    size_t n = 0, spots = 0, zones = 0;
    for (size_t i = 0; i < t->subjects.n; i++) {
        const struct mr_subject *s = t->subjects.v[i];
        if (s->coat == 0 && s->counting)
            n += s->values.n, spots += s->values.n_spots, zones++;
    }
    *all = (struct mr_film_values){.reading_um = MR_ARRAY(arena, double, n),
                                   .reading_area = MR_ARRAY(arena, size_t, n),
                                   .reading_spot = MR_ARRAY(arena, size_t, n),
                                   .spot_um = MR_ARRAY(arena, double, spots),
                                   .spot_name = MR_ARRAY(arena, const char *, spots),
                                   .spot_area = MR_ARRAY(arena, size_t, spots),
                                   .spot_n = MR_ARRAY(arena, size_t, spots)};
    for (size_t i = 0; i < t->subjects.n; i++) {
        const struct mr_subject *s = t->subjects.v[i];
        if (s->coat != 0 || !s->counting)
            continue;
        for (size_t k = 0; k < s->values.n; k++) {
            all->reading_area[all->n] = all->n_areas;
            all->reading_spot[all->n] = s->values.reading_spot[k];
            all->reading_um[all->n++] = s->values.reading_um[k];
        }
        for (size_t k = 0; k < s->values.n_spots; k++) {
            all->spot_area[all->n_spots] = all->n_areas;
            all->spot_n[all->n_spots] = s->values.spot_n[k];
            all->spot_name[all->n_spots] = mr_printf(arena, "%s, %s", s->z->name, s->values.spot_name[k]);
            all->spot_um[all->n_spots++] = s->values.spot_um[k];
        }
        all->n_areas++;
    }
    return zones > 1;
}

/* The whole job as one film, where it has several zones; limits differ between zones, so there are none here. */
static const struct mr_subject *whole_job(struct mr_thickness *t) {
    static const struct mr_zone name = {.name = "(whole job)"};
    static const struct mr_accuracy unknown = {0};
    struct mr_subject *s = MR_NEW(t->held, struct mr_subject);
    s->z = &name;
    if (!pool(t, &s->values))
        return NULL;
    s->stats = mr_film_stats_of(t->a->arena, mr_work(t->a), &s->values, MR_NAN, MR_NAN, &unknown,
                                &t->a->job->settings, &t->factors);
    return s;
}

static void statistics_table(struct mr_thickness *t, const char *id, const char *title, const char *note,
                             void (*fill)(struct statistics_row *, const struct mr_subject *),
                             const struct mr_subject *job) {
    struct mr_table *table = NULL;
    for (size_t i = 0; i <= t->subjects.n; i++) {
        const struct mr_subject *s = i < t->subjects.n ? t->subjects.v[i] : job;
        if (!s || (s != job && !s->counting))
            continue;
        struct statistics_row c = {.a = t->a};
        fill(&c, s);
        if (!table)
            table = mr_table_new(t->a->arena, id, title, note, c.fields.n, c.fields.v);
        mr_table_add(t->a->arena, table, c.row.v);
    }
    if (table)
        mr_add_table(t->a, table);
}

void mr_statistics_tables(struct mr_thickness *t) {
    struct mr_assess *a = t->a;
    const struct mr_subject *job = whole_job(t);
    double confidence = mr_set_num(&a->job->settings, MR_DFT_CONFIDENCE),
           coverage = mr_set_num(&a->job->settings, MR_DFT_COVERAGE);
    statistics_table(
        t, "thickness-intervals", "Thickness intervals",
        mr_printf(a->arena,
                  "Over spot means, normal theory, confidence %g %%. Tolerance intervals hold at least %g "
                  "%% of the film (ISO 16269-6, "
                  "exact factors). Components of variance by nested analysis of the readings; a negative "
                  "estimate is shown as 0.",
                  confidence, coverage),
        interval_cols, job);
    statistics_table(t, "thickness-order", "Thickness order",
                     "Outliers (Grubbs; generalised ESD from 15 spots on), normality (Anderson-Darling), runs about "
                     "the median, control limits at three sigma in order of time. NIST/SEMATECH e-Handbook 1.3.5 and "
                     "6.3.2. An outlier is examined, never left out for that reason alone.",
                     order_cols, job);
    statistics_table(
        t, "thickness-doubt", "Thickness doubt",
        "Capability against the specified limits with its confidence limits (e-Handbook 6.1.6), where it applies; "
        "probability of conformance and "
        "limits guarded by the gauge's expanded uncertainty (JCGM 106:2012). The verdicts do not use these.",
        doubt_cols, NULL);
}

/* The files in which readings of the zone stand, each once. */
static void note_files(struct mr_assess *a, const mr_index_list *at, struct mr_zone_film *film) {
    MR_VEC(uint32_t) files = {0};
    for (size_t i = 0; i < at->n; i++) {
        const uint32_t file = a->aligned->readings.v[at->v[i]].reading->file;
        size_t k = files.n;
        while (k > 0 && files.v[k - 1] != file)
            k--;
        if (k == 0)
            MR_PUSH(a->arena, &files, file);
    }
    film->files = files.v;
    film->n_files = files.n;
}

void mr_add_film(struct mr_thickness *t, const struct mr_subject *s, const mr_index_list *at) {
    if (!s->counting)
        return;
    const struct mr_film_stats *st = &s->stats;
    double *spot_um = MR_ARRAY(t->a->arena, double, s->values.n_spots);
    memcpy(spot_um, s->values.spot_um, s->values.n_spots * sizeof *spot_um);
    struct mr_zone_film f = {
        .zone = s->zone,
        .n_readings = s->values.n_behind,
        .n_spots = s->values.n_spots,
        .n_areas = s->values.n_areas,
        .mean_um = st->reading.mean,
        .sd_um = st->reading.sd,
        .cv_pct = 100 * st->reading.sd / st->reading.mean,
        .min_um = st->reading.min,
        .q1_um = st->q1,
        .median_um = st->median,
        .q3_um = st->q3,
        .max_um = st->reading.max,
        .ci_low_um = st->mean_ci.low,
        .ci_high_um = st->mean_ci.high,
        .share_below_pct = st->below_pct,
        .share_above_pct = st->above_pct,
        .n_values = s->values.n,
        .reading_um = mr_film_readings_in_time(t->a->arena, mr_work(t->a), &s->counting->film, s->limits.correction),
        .n_spot_values = s->values.n_spots,
        .spot_um = spot_um,
        .limit_min_um = s->min_um,
        .limit_max_um = s->max_um};
    for (size_t r = 0; r < s->rules->n; r++) {
        struct mr_need need =
            mr_rule_need(s->rules->v[r], s->z->area_m2, s->us, mr_spot_number(s->z->settings, s->rules->v[r]),
                         mr_area_number(s->z->settings, s->rules->v[r]));
        f.need_areas = need.areas > f.need_areas ? need.areas : f.need_areas;
        f.need_spots = need.spots > f.need_spots ? need.spots : f.need_spots;
        f.need_readings = need.readings > f.need_readings ? need.readings : f.need_readings;
    }
    note_files(t->a, at, &f);
    MR_PUSH(t->a->arena, &t->a->out->films, f);
}
