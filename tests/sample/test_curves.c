/* What a figure draws as fitted is what was fitted: on every record of the sample the curve runs through the samples.
 */
#include "cli/stages.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>

static int by_value(const void *a, const void *b) {
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* Median distance of the samples from the curve, from the baseline to where the event ends. */
static double distance_k(struct mr_arena *arena, const struct mr_heat_event *e, const struct mr_track *t) {
    double *off = MR_ARRAY(arena, double, t->n);
    size_t n = 0;
    for (size_t i = 0; i < t->n; i++)
        if (mr_track_ms(t, i) >= e->t_baseline && mr_track_ms(t, i) <= e->t_end && !isnan(mr_track_value(t, i)))
            off[n++] = fabs(mr_track_value(t, i) - mr_heat_model_c(e, mr_track_ms(t, i)));
    if (n)
        qsort(off, n, sizeof *off, by_value);
    return n ? off[n / 2] : NAN;
}

Test(sample_curves, a_fitted_curve_runs_through_its_record, .timeout = 300) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_run run;
    size_t judged = 0, on_references = 0;
    cr_assert_eq(mr_run_folder(&run, arena, "sample-data/alder-ford-footbridge", MR_LAST_ASSESS, NULL), MR_OK);
    const struct mr_assessment *a = run.assessment;
    for (size_t i = 0; i < a->heats.n; i++) {
        const struct mr_heat_event *e = &a->heats.v[i];
        if (e->fit != MR_FIT_OK)
            continue;
        const double off = distance_k(arena, e, &a->aligned->tracks.v[e->track]);
        cr_expect_leq(off, 1.5 * e->rmse_k + 0.02, "event %zu of zone %zu: %.3f K off, scatter %.3f K", i, e->zone,
                      off, e->rmse_k);
        judged++;
        on_references += e->n_shared > 0;
    }
    cr_expect_geq(judged, 30);
    cr_expect_gt(on_references, 0, "no record of the sample goes with a reference");
    mr_arena_free(arena);
}
