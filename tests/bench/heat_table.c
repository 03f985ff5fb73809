/*
 * heat_table.c - the long tables of what the heat's detection, fits and comparison with film can do. Printed by
 * `make heat-table`; seeds are fixed, so the figures repeat.
 */
#include "support/heat_sim.h"

#include <math.h>
#include <stdio.h>

static void find(struct mr_arena *arena, const struct heat_record *record, mr_heat_list *out) {
    struct mr_heat_series series = {.n = record->n, .t_s = record->t_s, .value.raw = record->c};
    struct mr_heat_options options = {.slowest_s = 1800.0, .least_k = 0.5};
    mr_heat_find(arena, arena, &series, &options, out);
}

struct cover {
    int n, rise, adiabatic;
};

static void add_cover(struct cover *cover, const struct heat_record *record, const mr_heat_list *found) {
    if (found->n != (size_t)record->coats)
        return;
    for (size_t i = 0; i < found->n; i++) {
        const struct mr_heat_found *e = &found->v[i];
        const struct mr_heat_curve *t = &record->truth[i];
        if (e->fit != MR_FIT_OK)
            continue;
        cover->n++;
        cover->rise += fabs(e->rise_fit_k - mr_heat_peak_rise(t)) < 1.96 * e->rise_fit_se_k;
        cover->adiabatic += fabs(e->curve.adiabatic_k - t->adiabatic_k) < 1.96 * e->adiabatic_se_k;
    }
}

static void row(struct mr_arena *arena, struct heat_plan plan, int events) {
    struct heat_score score = {0};
    struct cover cover = {0};
    for (int i = 0; score.events < events; i++) {
        plan.seed = 100000 + (uint64_t)i;
        struct heat_record record = heat_make(arena, &plan);
        mr_heat_list found = {0};
        find(arena, &record, &found);
        heat_score_add(&score, &record, &found);
        add_cover(&cover, &record, &found);
        mr_arena_reset(arena);
    }
    printf("%6.1f %6.2f %5.0f %6d %8.0f %6.1f %6.0f %6.0f | %6d %6d %6d %6d | %6.1f %6.1f | %6.1f %6.1f\n",
           plan.rise_k, plan.noise_k, plan.dt_s, plan.coats, plan.spacing_s, plan.drift_k, plan.spikes_per_h,
           plan.dropouts_per_h, score.events, score.found, score.missed, score.wrong,
           score.sum_onset_s / fmax(score.found, 1), score.worst_onset_s, 100.0 * cover.rise / fmax(cover.n, 1),
           100.0 * cover.adiabatic / fmax(cover.n, 1));
    fflush(stdout);
}

static void events_table(struct mr_arena *arena) {
    printf(
        "  rise  noise  step  coats  spacing    sun spikes  drops | events  found missed  false |  onset error  | "
        "95 %% holds\n"
        "     K      K     s               s      K     /h     /h |                             | mean s  worst |   "
        "rise  adiab\n");
    static const struct heat_plan plans[] = {
        {.coats = 1, .rise_k = 5.0, .dt_s = 10.0, .noise_k = 0.3},
        {.coats = 1, .rise_k = 5.0, .dt_s = 10.0, .noise_k = 0.1},
        {.coats = 1, .rise_k = 5.0, .dt_s = 1.0, .noise_k = 0.3},
        {.coats = 1, .rise_k = 5.0, .dt_s = 10.0, .noise_k = 0.6},
        {.coats = 1, .rise_k = 1.5, .dt_s = 10.0, .noise_k = 0.3},
        {.coats = 1, .rise_k = 1.5, .dt_s = 10.0, .noise_k = 0.1, .drift_k = 3.0},
        {.coats = 1, .rise_k = 5.0, .dt_s = 10.0, .noise_k = 0.3, .drift_k = 3.0},
        {.coats = 1, .rise_k = 5.0, .dt_s = 10.0, .noise_k = 0.3, .drift_k = 6.0},
        {.coats = 1, .rise_k = 5.0, .dt_s = 10.0, .noise_k = 0.3, .spikes_per_h = 4.0, .dropouts_per_h = 3.0},
        {.coats = 3, .rise_k = 5.0, .dt_s = 10.0, .noise_k = 0.3, .spacing_s = 1800.0},
        {.coats = 3, .rise_k = 5.0, .dt_s = 10.0, .noise_k = 0.3, .spacing_s = 600.0},
        {.coats = 2, .rise_k = 5.0, .dt_s = 10.0, .noise_k = 0.3, .spacing_s = 300.0},
        {.coats = 4,
         .rise_k = 5.0,
         .dt_s = 10.0,
         .noise_k = 0.3,
         .spacing_s = 2400.0,
         .drift_k = 6.0,
         .spikes_per_h = 2.0,
         .dropouts_per_h = 2.0},
    };
    for (size_t i = 0; i < MR_COUNT(plans); i++)
        row(arena, plans[i], 2000);
}

static void jobs_table(struct mr_arena *arena, bool through_fits, int jobs) {
    printf("\nJobs of 20 zones, one or two of them with 25 %% less heat; %s\n",
           through_fits ? "heat by fits of simulated logs (10 s, 0.3 K)" : "heat with a standard error of 1.5 %");
    printf("film scatter %%   jobs   one: found   two: both found   false findings in clean jobs\n");
    static const double scatter[] = {0.0, 0.01, 0.02, 0.03, 0.04, 0.05};
    for (size_t s = 0; s < MR_COUNT(scatter); s++) {
        struct heat_job_score one = {0}, clean = {0}, two = {0};
        for (int i = 0; i < jobs; i++) {
            struct heat_job job = {
                .seed = 900000 + (uint64_t)i, .zones = 20, .scatter = scatter[s], .bad = 1, .share = 0.75};
            heat_job_run(arena, &job, through_fits, &one);
            job.seed += 100000;
            job.bad = 2;
            heat_job_run(arena, &job, through_fits, &two);
            job.seed += 100000;
            job.bad = 0;
            heat_job_run(arena, &job, through_fits, &clean);
            mr_arena_reset(arena);
        }
        printf("%14.0f %6d %12zu %17zu %30zu\n", 100.0 * scatter[s], jobs, one.jobs_with_bad_found,
               two.jobs_with_bad_found, clean.false_found);
        fflush(stdout);
    }
}

int main(void) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    events_table(arena);
    jobs_table(arena, true, 100);
    jobs_table(arena, false, 1000);
    mr_arena_free(arena);
    return 0;
}
