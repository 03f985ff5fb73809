/*
 * A plain, slow interpolation that the tracks' lookup must agree with.
 */
#include "support/sim_align.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>

enum { SEEDS = 12 };

static double plain_at(const struct mr_track *t, int64_t when, int64_t max_gap) {
    int64_t best0 = INT64_MIN, best1 = INT64_MAX;
    double v0 = NAN, v1 = NAN;
    for (size_t i = 0; i < t->n; i++) {
        if (isnan(mr_track_value(t, i)))
            continue;
        if (mr_track_ms(t, i) <= when && mr_track_ms(t, i) > best0) {
            best0 = mr_track_ms(t, i);
            v0 = mr_track_value(t, i);
        }
        if (mr_track_ms(t, i) >= when && mr_track_ms(t, i) < best1) {
            best1 = mr_track_ms(t, i);
            v1 = mr_track_value(t, i);
        }
    }
    if (isnan(v0) || isnan(v1) || best1 - best0 > max_gap)
        return NAN;
    return best1 == best0 ? v0 : v0 + (v1 - v0) * ((double)(when - best0) / (double)(best1 - best0));
}

/* Random samples in random order with repeats, some missing. */
static void random_channel(struct fixture *f, uint64_t *rng, size_t n, int64_t span) {
    int64_t *t = MR_ARRAY(f->arena, int64_t, n);
    double *v = MR_ARRAY(f->arena, double, n);
    for (size_t i = 0; i < n; i++) {
        t[i] = (int64_t)alignsim_uniform(rng, 0, (double)span);
        v[i] = alignsim_uniform(rng, 0, 1) < 0.2 ? NAN : alignsim_uniform(rng, -5, 5);
    }
    uint32_t file =
        fix_file(f, mr_printf(f->arena, "f%zu", f->data.files.n), MR_KIND_TEMPERATURE, MR_TIME_LOCAL, "K1");
    fix_channel(f, file, "T1", MR_M_PROBE_TEMP, n, t, v, NULL);
}

Test(prop_align_tracks, interpolation_agrees_with_a_plain_model_and_gaps_never_add_matches) {
    size_t matched = 0, empty = 0;
    for (int seed = 1; seed <= 40; seed++) {
        uint64_t rng = (uint64_t)seed;
        struct fixture f;
        fix_init(&f, "UTC");
        for (int file = 0; file < 3; file++)
            random_channel(&f, &rng, 40, 4000);
        fix_align(&f);
        struct mr_track t = f.aligned->tracks.v[0];
        for (size_t i = 1; i < t.n; i++)
            cr_assert_gt(mr_track_ms(&t, i), mr_track_ms(&t, i - 1));
        struct mr_track fewer = t;
        double *holes = MR_ARRAY(f.arena, double, t.n);
        for (size_t i = 0; i < t.n; i++)
            holes[i] = alignsim_uniform(&rng, 0, 1) < 0.3 ? NAN : mr_track_value(&t, i);
        fewer.value = (struct mr_reals){.raw = holes};
        for (int64_t when = -5; when < 4010; when += 3)
            for (int64_t gap = 1; gap <= 200; gap += 66) {
                double got = mr_track_at(&t, when, gap, NULL), want = plain_at(&t, when, gap);
                cr_assert(isnan(got) ? isnan(want) : fabs(got - want) < 1e-12,
                          "seed %d at %lld gap %lld: %g, plain %g", seed, (long long)when, (long long)gap, got, want);
                cr_assert(!isnan(got) || isnan(mr_track_at(&fewer, when, gap, NULL)), "a gap added a match");
                matched += !isnan(got);
                empty += isnan(got);
            }
        fix_free(&f);
    }
    cr_assert(matched > 1000 && empty > 1000);
}
