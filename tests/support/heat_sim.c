/*
 * heat_sim.c - see heat_sim.h.
 */
#include "support/heat_sim.h"

#include "assess/heat/rise_line.h"

#include <math.h>

static uint64_t next(struct heat_rng *rng) {
    uint64_t z = rng->state += 0x9e3779b97f4a7c15ULL;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9ULL;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebULL;
    return z ^ (z >> 31);
}

double heat_uniform(struct heat_rng *rng, double low, double high) {
    return low + (high - low) * ((double)(next(rng) >> 11) * 0x1p-53);
}

double heat_normal(struct heat_rng *rng) /* Box and Muller 1958 */
{
    double u = 1.0 - heat_uniform(rng, 0.0, 1.0), v = heat_uniform(rng, 0.0, 1.0);
    return sqrt(-2.0 * log(u)) * cos(2.0 * M_PI * v);
}

static double or (double value, double otherwise) {
    return value > 0.0 ? value : otherwise;
}

static void disturb(struct heat_rng *rng, const struct heat_plan *plan, struct heat_record *record) {
    double hours = record->t_s[record->n - 1] / 3600.0;
    for (int i = 0; i < (int)(plan->spikes_per_h * hours); i++) {
        size_t at = (size_t)heat_uniform(rng, 0.0, (double)record->n);
        record->c[at] += heat_uniform(rng, 5.0, 60.0) * (heat_uniform(rng, 0.0, 1.0) < 0.5 ? -1.0 : 1.0);
    }
    for (int i = 0; i < (int)(plan->dropouts_per_h * hours); i++) {
        size_t at = (size_t)heat_uniform(rng, 0.0, (double)record->n);
        size_t many = 1 + (size_t)(heat_uniform(rng, 0.0, 90.0) / plan->dt_s);
        double value = heat_uniform(rng, 0.0, 1.0) < 0.5 ? NAN : -40.0;
        for (size_t j = at; j < record->n && j < at + many; j++)
            record->c[j] = value;
    }
}

struct heat_record heat_make(struct mr_arena *arena, const struct heat_plan *plan) {
    struct heat_rng rng = {.state = plan->seed};
    struct heat_record record = {.coats = plan->coats};
    double lead = or (plan->lead_s, 3600.0), tail = or (plan->tail_s, 5400.0), spacing = or (plan->spacing_s, 7200.0);
    double tau = heat_uniform(&rng, or (plan->tau_low, 900.0), or (plan->tau_high, 2400.0));
    double at = lead + heat_uniform(&rng, 0.0, 60.0);
    for (int j = 0; j < plan->coats; j++) {
        struct mr_heat_curve *curve = &record.truth[j];
        *curve = (struct mr_heat_curve){
            .onset_s = at,
            .adiabatic_k = 1.0,
            .tau_s = tau,
            .k_per_s = heat_uniform(&rng, or (plan->k_low, 1.0 / 150.0), or (plan->k_high, 1.0 / 50.0))};
        curve->adiabatic_k = plan->rise_k / mr_heat_peak_rise(curve);
        at += j + 1 < plan->coats ? spacing * heat_uniform(&rng, 0.9, 1.1) : 0.0;
    }
    record.n = (size_t)((at + tail) / plan->dt_s);
    record.t_s = MR_ARRAY(arena, double, record.n);
    record.c = MR_ARRAY(arena, double, record.n);
    double phase = heat_uniform(&rng, 0.0, 2.0 * M_PI);
    for (size_t i = 0; i < record.n; i++) {
        double t = plan->dt_s * (double)i, c = 22.0 + plan->drift_k_per_h * t / 3600.0;
        c += plan->drift_k / 2.0 * sin(2.0 * M_PI * t / 28800.0 + phase);
        for (int j = 0; j < plan->coats; j++)
            c += mr_heat_rise(&record.truth[j], t);
        c += plan->noise_k * heat_normal(&rng);
        record.t_s[i] = t;
        record.c[i] = plan->step_k > 0.0 ? plan->step_k * floor(c / plan->step_k + 0.5) : c;
    }
    disturb(&rng, plan, &record);
    return record;
}

void heat_score_add(struct heat_score *score, const struct heat_record *record, const mr_heat_list *found) {
    bool used[64] = {false};
    score->events += record->coats;
    size_t matched = 0;
    for (int j = 0; j < record->coats; j++) {
        double near = 300.0;
        if (j)
            near = fmin(near, 0.4 * (record->truth[j].onset_s - record->truth[j - 1].onset_s));
        if (j + 1 < record->coats)
            near = fmin(near, 0.4 * (record->truth[j + 1].onset_s - record->truth[j].onset_s));
        size_t best = 64;
        for (size_t i = 0; i < found->n && i < 64; i++) {
            double off = fabs(found->v[i].onset_s - record->truth[j].onset_s);
            if (!used[i] && off <= near) {
                near = off;
                best = i;
            }
        }
        if (best == 64) {
            score->missed++;
            continue;
        }
        used[best] = true;
        matched++;
        score->found++;
        score->sum_onset_s += near;
        score->worst_onset_s = fmax(score->worst_onset_s, near);
    }
    score->wrong += (int)(found->n - matched);
}

/* Heat per area of one zone as the fit of its log gives it; NaN where the coat is not found. */
static double heat_by_fit(struct mr_arena *arena, struct heat_rng *rng, double adiabatic_k, double capacity) {
    struct mr_heat_curve truth = {1800.0 + heat_uniform(rng, 0.0, 30.0), adiabatic_k,
                                  1.0 / heat_uniform(rng, 50.0, 120.0), capacity / 10.0};
    enum { N = 720 };
    double *t = MR_ARRAY(arena, double, N), *c = MR_ARRAY(arena, double, N);
    for (int i = 0; i < N; i++) {
        t[i] = 10.0 * i;
        c[i] = 21.0 + 0.4 * t[i] / 3600.0 + mr_heat_rise(&truth, t[i]) + 0.3 * heat_normal(rng);
    }
    struct mr_heat_series series = {.n = N, .t_s = t, .value.raw = c};
    struct mr_heat_options options = {.slowest_s = 1800.0, .least_k = 0.5};
    mr_heat_list found = {0};
    mr_heat_find(arena, arena, &series, &options, &found);
    return found.n == 1 && found.v[0].fit == MR_FIT_OK ? found.v[0].curve.adiabatic_k * capacity : MR_NAN;
}

void heat_job_run(struct mr_arena *arena, const struct heat_job *job, bool through_fits,
                  struct heat_job_score *score) {
    struct heat_rng rng = {.state = job->seed};
    struct mr_rise_point *points = MR_ARRAY(arena, struct mr_rise_point, job->zones);
    bool *bad = MR_ARRAY(arena, bool, job->zones);
    size_t n = 0;
    for (size_t z = 0; z < job->zones; z++) {
        double film_um = heat_uniform(&rng, 100.0, 160.0), steel_mm = heat_uniform(&rng, 3.0, 6.0);
        double capacity = steel_mm * 1e-3 * 7850.0 * 440.0 + film_um * 1e-6 * 1900.0 * 1000.0;
        double heat = 590e6 * film_um * 1e-6 * (z < job->bad ? job->share : 1.0);
        double measured = through_fits ? heat_by_fit(arena, &rng, heat / capacity, capacity)
                                       : heat * (1.0 + 0.015 * heat_normal(&rng));
        double shown_um = film_um * (1.0 + job->scatter * heat_normal(&rng));
        bad[n] = z < job->bad;
        if (!isnan(measured))
            points[n++] = (struct mr_rise_point){.film_um = shown_um, .heat = measured};
    }
    struct mr_rise_line line;
    size_t found = 0, wrong = 0;
    if (mr_rise_film(arena, points, n, 0.99, 0.95, &line) == MR_OK)
        for (size_t i = 0; i < n; i++) {
            found += bad[i] && points[i].out;
            wrong += !bad[i] && points[i].out;
        }
    score->jobs++;
    score->jobs_with_bad_found += found == job->bad;
    score->jobs_with_false += wrong > 0;
    score->bad_found += found;
    score->false_found += wrong;
}
