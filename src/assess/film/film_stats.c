/*
 * film_stats.c - see film_stats.h.
 */
#include "assess/film/film_stats.h"

#include "numeric/stable_sort.h"

#include <math.h>
#include <string.h>

struct timed_spot {
    int64_t t_utc_ms;
    size_t spot;
};

static int by_time(const void *a, const void *b) {
    const struct timed_spot *x = a, *y = b;
    return x->t_utc_ms != y->t_utc_ms ? MR_ORDER(x->t_utc_ms, y->t_utc_ms) : MR_ORDER(x->spot, y->spot);
}

/* Subtracted exactly and rounded once, so that a mean on its limit stays on it in the statistics too. */
static double corrected_um(struct mr_ratio value, struct mr_ratio correction) {
    return mr_ratio_um(correction.num ? mr_ratio_subtract(value, correction) : value);
}

static void fill_spots(struct mr_arena *arena, struct mr_arena *scratch, const struct mr_film *film,
                       struct mr_ratio correction, struct mr_film_values *v) {
    struct timed_spot *order = MR_ARRAY(scratch, struct timed_spot, film->spots.n);
    for (size_t s = 0; s < film->spots.n; s++)
        order[s] = (struct timed_spot){film->readings[film->spots.v[s].first].t_utc_ms, s};
    mr_sort_stable(scratch, order, film->spots.n, sizeof *order, by_time);
    for (size_t i = 0; i < film->spots.n; i++) {
        const struct mr_film_spot *spot = &film->spots.v[order[i].spot];
        if (spot->kept_weight == 0)
            continue;
        v->spot_um[v->n_spots] = corrected_um(mr_film_spot_mean(spot, true), correction);
        v->spot_area[v->n_spots] = spot->area;
        v->spot_n[v->n_spots] = spot->kept ? spot->kept : 1;
        v->spot_name[v->n_spots++] = mr_printf(arena, "spot %s, area %s", spot->name, film->areas.v[spot->area].name);
    }
}

/* The readings behind means, as one sample: their number and mean are known, their SD only where every row that
 * stands for several gives its own (sums of squares within rows and between them), the extremes never. */
static struct mr_moments behind_means(const struct mr_film *film, struct mr_ratio correction) {
    struct mr_moments m = {.mean = MR_NAN, .sd = MR_NAN, .min = MR_NAN, .max = MR_NAN};
    double sum = 0, squares = 0;
    for (size_t i = 0; i < film->n; i++) {
        const struct mr_film_reading *r = &film->readings[i];
        size_t n = r->discarded ? 0 : mr_film_weight(r);
        m.n += n;
        sum += (double)n * corrected_um((struct mr_ratio){r->quanta, 1}, correction);
    }
    if (m.n == 0)
        return m;
    m.mean = sum / (double)m.n;
    for (size_t i = 0; i < film->n; i++) {
        const struct mr_film_reading *r = &film->readings[i];
        double n = r->discarded ? 0 : (double)mr_film_weight(r),
               off = corrected_um((struct mr_ratio){r->quanta, 1}, correction) - m.mean;
        squares += n * off * off;
        if (r->is_mean && r->mean_of != 1) /* NaN where its SD is not given */
            squares += (n - 1) * r->mean_sd_um * r->mean_sd_um + (r->mean_of ? 0 : MR_NAN);
    }
    m.sd = m.n > 1 ? sqrt(squares / (double)(m.n - 1)) : MR_NAN;
    return m;
}

struct mr_film_values mr_film_values_of(struct mr_arena *arena, struct mr_arena *scratch, const struct mr_film *film,
                                        struct mr_ratio correction) {
    struct mr_film_values v = {.n_areas = film->areas.n};
    v.reading_um = MR_ARRAY(arena, double, film->n);
    v.reading_area = MR_ARRAY(arena, size_t, film->n);
    v.reading_spot = MR_ARRAY(arena, size_t, film->n);
    v.spot_um = MR_ARRAY(arena, double, film->spots.n);
    v.spot_name = MR_ARRAY(arena, const char *, film->spots.n);
    v.spot_area = MR_ARRAY(arena, size_t, film->spots.n);
    v.spot_n = MR_ARRAY(arena, size_t, film->spots.n);
    for (size_t s = 0; s < film->spots.n; s++) { /* spots lie by area: labels change where a new one begins */
        const struct mr_film_spot *spot = &film->spots.v[s];
        for (size_t i = spot->first; i < spot->first + spot->n; i++) {
            if (film->readings[i].discarded)
                continue;
            v.n_behind += mr_film_behind(&film->readings[i]);
            v.means = v.means || mr_film_behind(&film->readings[i]) != 1;
            v.reading_um[v.n] = corrected_um((struct mr_ratio){film->readings[i].quanta, 1}, correction);
            v.reading_area[v.n] = spot->area;
            v.reading_spot[v.n++] = s;
        }
    }
    fill_spots(arena, scratch, film, correction, &v);
    v.behind = behind_means(film, correction);
    return v;
}

double *mr_film_readings_in_time(struct mr_arena *arena, struct mr_arena *scratch, const struct mr_film *film,
                                 struct mr_ratio correction) {
    struct timed_spot *order = MR_ARRAY(scratch, struct timed_spot, film->n);
    double *um = MR_ARRAY(arena, double, film->n);
    size_t n = 0;
    for (size_t i = 0; i < film->n; i++)
        order[i] = (struct timed_spot){film->readings[i].t_utc_ms, i};
    mr_sort_stable(scratch, order, film->n, sizeof *order, by_time);
    for (size_t i = 0; i < film->n; i++) {
        const struct mr_film_reading *r = &film->readings[order[i].spot];
        if (!r->discarded)
            um[n++] = corrected_um((struct mr_ratio){r->quanta, 1}, correction);
    }
    return um;
}

static bool outside(double x, const struct mr_control_limits *chart) {
    return x < chart->low || x > chart->high;
}

/* Areas as subgroups of their spots. Spots come in order of time, so they are gathered by label. */
static void area_chart(struct mr_arena *scratch, const struct mr_film_values *v, struct mr_film_stats *s) {
    size_t areas = v->n_areas, used = 0;
    size_t *n = MR_ARRAY(scratch, size_t, areas), *start = MR_ARRAY(scratch, size_t, areas + 1);
    double *sorted = MR_ARRAY(scratch, double, v->n_spots), *mean = MR_ARRAY(scratch, double, areas),
           *sd = MR_ARRAY(scratch, double, areas);
    for (size_t i = 0; i < v->n_spots; i++)
        start[v->spot_area[i] + 1]++;
    for (size_t a = 0; a < areas; a++)
        start[a + 1] += start[a];
    for (size_t i = 0; i < v->n_spots; i++) {
        size_t a = v->spot_area[i];
        sorted[start[a] + n[a]++] = v->spot_um[i];
    }
    for (size_t a = 0; a < areas; a++) {
        struct mr_moments m = mr_moments_of(sorted + start[a], n[a]);
        mean[a] = m.mean;
        sd[a] = m.sd;
        s->chart_size = n[a] > s->chart_size ? n[a] : s->chart_size; /* limits are for the fullest area */
        used += n[a] > 1;
    }
    s->xbar = s->s = (struct mr_control_limits){MR_NAN, MR_NAN, MR_NAN};
    if (used < 2)
        return;
    mr_xbar_s(mean, sd, n, areas, s->chart_size, &s->xbar, &s->s);
    for (size_t a = 0; a < areas; a++) {
        if (n[a] < s->chart_size) /* held against limits of its own size */
            continue;
        s->xbar_out += outside(mean[a], &s->xbar);
        s->s_out += outside(sd[a], &s->s);
    }
}

static void outliers(struct mr_arena *arena, const struct mr_film_values *v, double alpha, double *work,
                     struct mr_film_stats *s) {
    s->grubbs = mr_grubbs(v->spot_um, v->n_spots, alpha);
    s->outliers = "";
    s->esd_tried = v->n_spots < 15        ? 0
                   : v->n_spots / 10 < 10 ? v->n_spots / 10
                                          : 10; /* HB: the test is good from 15, 25 on */
    if (s->esd_tried == 0)
        return;
    struct mr_outlier *steps = MR_ARRAY(arena, struct mr_outlier, s->esd_tried);
    s->esd_found = mr_esd(v->spot_um, v->n_spots, s->esd_tried, alpha, work, steps);
    for (size_t i = 0; i < s->esd_found; i++)
        s->outliers = mr_printf(arena, "%s%s%s", s->outliers, i ? "; " : "", v->spot_name[steps[i].index]);
}

static const char *warn_capability(struct mr_arena *arena, const struct mr_film_stats *s, double alpha) {
    const char *text = "";
    const struct {
        bool holds;
        const char *why;
    } reasons[] = {
        {s->spot.n < 30, "fewer than 30 spots"},
        {s->normality.p < alpha, "the spots are not normally distributed"},
        {s->individuals_out + s->xbar_out + s->s_out > 0, "spots or areas outside their control limits"},
        {s->runs.p < alpha, "the order of the spots is not random"},
        {fabs(s->lag1) > 2 / sqrt((double)s->spot.n), "neighbouring spots depend on each other"},
    };
    for (size_t i = 0; i < MR_COUNT(reasons); i++)
        if (reasons[i].holds)
            text = mr_printf(arena, "%s%s%s", text, *text ? "; " : "", reasons[i].why);
    return *text ? mr_printf(arena, "does not apply as it stands: %s", text) : "";
}

/* Spots needed so that the mean lies clear of the nearest limit by k standard uncertainties. */
static void more_spots(struct mr_film_stats *s, double min_um, double max_um, double confidence) {
    s->more = MR_MORE_UNKNOWN;
    double distance = fmin(isnan(min_um) ? HUGE_VAL : fabs(s->spot.mean - min_um),
                           isnan(max_um) ? HUGE_VAL : fabs(max_um - s->spot.mean));
    if (isnan(s->u_mean_um) || !isfinite(distance))
        return;
    double k = mr_normal_q(confidence), reach = distance / k;
    if (reach >= s->u_mean_um) {
        s->more = MR_MORE_SETTLED;
        return;
    }
    double room = reach * reach - s->u_gauge_um * s->u_gauge_um;
    double need = room > 0 ? ceil(s->spot.sd * s->spot.sd / room) : HUGE_VAL;
    s->more = need <= 100000 ? MR_MORE_SPOTS : MR_MORE_NEVER;
    if (s->more == MR_MORE_SPOTS)
        s->more_spots = (size_t)need > s->spot.n ? (size_t)need - s->spot.n : 1;
}

/* JCGM 106:2012. The gauge's error is common to all readings of a zone and does not average out; the scatter of the
 * film over the zone does, with the number of spots. */
static void doubt(const struct mr_film_values *v, double min_um, double max_um, const struct mr_accuracy *uncertainty,
                  const struct mr_settings *settings, struct mr_film_stats *s) {
    s->u_gauge_um = s->u_mean_um = s->p_mean = s->p_spot_least = s->guard_low_um = s->guard_high_um = MR_NAN;
    s->more = MR_MORE_UNKNOWN;
    if (!uncertainty->known || v->n_spots == 0 || (isnan(min_um) && isnan(max_um)))
        return;
    double wanted = mr_set_num(settings, MR_DFT_PROBABILITY) / 100, scatter = isnan(s->spot.sd) ? 0 : s->spot.sd;
    s->u_gauge_um = mr_accuracy_um(uncertainty, s->spot.mean) / 2;
    s->u_mean_um =
        v->n_spots > 1 ? sqrt(s->u_gauge_um * s->u_gauge_um + scatter * scatter / (double)v->n_spots) : s->u_gauge_um;
    s->p_mean = mr_conformance_p(s->spot.mean, s->u_mean_um, min_um, max_um);
    s->guard_low_um = min_um + mr_accuracy_um(uncertainty, min_um);
    s->guard_high_um = max_um - mr_accuracy_um(uncertainty, max_um);
    double within = s->nested.component[0] > 0 ? s->nested.component[0] : 0;
    s->p_spot_least = 1;
    for (size_t i = 0; i < v->n_spots; i++) {
        double u = mr_accuracy_um(uncertainty, v->spot_um[i]) / 2;
        double p = mr_conformance_p(v->spot_um[i], sqrt(u * u + within / (double)v->spot_n[i]), min_um, max_um);
        s->p_spot_least = fmin(s->p_spot_least, p);
        s->spots_close += p < wanted;
    }
    more_spots(s, min_um, max_um, wanted);
}

/* A spot on its limit is not beyond it, whatever the conversion of units does to the last digits. */
static double share_pct(const double *x, size_t n, double low, double high) {
    const double slack_um = 1e-9;
    size_t out = 0;
    if (n == 0 || (isnan(low) && isnan(high)))
        return MR_NAN;
    for (size_t i = 0; i < n; i++)
        out += x[i] < low - slack_um || x[i] > high + slack_um;
    return 100.0 * (double)out / (double)n;
}

static struct mr_tolerance_pair tolerance_of(struct mr_arena *arena, mr_tolerance_pairs *known, size_t n,
                                             double coverage, double confidence) {
    for (size_t i = 0; i < known->n; i++) {
        const struct mr_tolerance_pair *p = &known->v[i];
        if (p->n == n && !(fabs(p->coverage - coverage) > 0) && !(fabs(p->confidence - confidence) > 0))
            return *p;
    }
    struct mr_tolerance_pair pair = {n, coverage, confidence, mr_tolerance_k2(n, coverage, confidence),
                                     mr_tolerance_k1(n, coverage, confidence)};
    MR_PUSH(arena, known, pair);
    return pair;
}

struct mr_film_stats mr_film_stats_of(struct mr_arena *arena, struct mr_arena *scratch,
                                      const struct mr_film_values *v, double min_um, double max_um,
                                      const struct mr_accuracy *uncertainty, const struct mr_settings *settings,
                                      mr_tolerance_pairs *known) {
    struct mr_film_stats s = {.reading = mr_moments_of(v->reading_um, v->n),
                              .spot = mr_moments_of(v->spot_um, v->n_spots)};
    double confidence = mr_set_num(settings, MR_DFT_CONFIDENCE) / 100,
           coverage = mr_set_num(settings, MR_DFT_COVERAGE) / 100;
    double alpha = mr_set_num(settings, MR_DFT_OUTLIER) / 100;
    double *work = MR_ARRAY(scratch, double, v->n > v->n_spots ? v->n : v->n_spots);
    memcpy(work, v->reading_um, v->n * sizeof *work);
    mr_sort(work, v->n);
    s.q1 = mr_quantile(work, v->n, 0.25, MR_Q6);
    s.median = mr_median(work, v->n);
    s.q3 = mr_quantile(work, v->n, 0.75, MR_Q6);
    s.mean_ci = mr_mean_interval(s.spot.mean, s.spot.sd, v->n_spots, confidence);
    s.sd_ci = mr_sd_interval(s.spot.sd, v->n_spots, confidence);
    const struct mr_tolerance_pair factors = tolerance_of(arena, known, v->n_spots, coverage, confidence);
    s.k2 = factors.k2;
    s.k1 = factors.k1;
    s.tolerance = (struct mr_interval){s.spot.mean - s.k2 * s.spot.sd, s.spot.mean + s.k2 * s.spot.sd};
    s.lower_bound = s.spot.mean - s.k1 * s.spot.sd;
    s.upper_bound = s.spot.mean + s.k1 * s.spot.sd;
    s.below_pct = share_pct(v->spot_um, v->n_spots, min_um, MR_NAN);
    s.above_pct = share_pct(v->spot_um, v->n_spots, MR_NAN, max_um);
    s.nested = mr_nested_anova(v->reading_um, v->reading_area, v->reading_spot, v->means ? 0 : v->n);
    if (v->means) { /* the spread of means is not that of readings */
        s.reading = v->behind;
        s.q1 = s.median = s.q3 = MR_NAN;
    }
    outliers(arena, v, alpha, work, &s);
    memcpy(work, v->spot_um, v->n_spots * sizeof *work);
    mr_sort(work, v->n_spots);
    s.normality = mr_anderson_darling(work, v->n_spots);
    s.runs = mr_runs_test(v->spot_um, v->n_spots, mr_median(work, v->n_spots));
    s.lag1 = mr_lag1(v->spot_um, v->n_spots);
    s.individuals = mr_individuals(v->spot_um, v->n_spots);
    for (size_t i = 0; i < v->n_spots; i++)
        s.individuals_out += outside(v->spot_um[i], &s.individuals);
    area_chart(scratch, v, &s);
    s.capability =
        mr_capability_of(s.spot.mean, s.spot.sd, v->n_spots, min_um, max_um, (min_um + max_um) / 2, confidence);
    s.capability_warning = isnan(s.capability.cpk) ? "" : warn_capability(arena, &s, alpha);
    doubt(v, min_um, max_um, uncertainty, settings, &s);
    return s;
}
