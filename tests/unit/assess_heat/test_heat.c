/*
 * test_heat.c - the parts of the heat: reduction, detection, fits that fail, the solver behind them, the events'
 * model.
 */
#include "assess/heat/rise_line.h"
#include "numeric/least_squares.h"
#include "numeric/select.h"
#include "support/heat_sim.h"

#include <criterion/criterion.h>
#include <math.h>

static void find(struct mr_arena *arena, const double *t_s, const double *c, size_t n, double slowest_s,
                 double least_k, mr_heat_list *out) {
    struct mr_heat_series series = {.n = n, .t_s = t_s, .value.raw = c};
    struct mr_heat_options options = {.slowest_s = slowest_s, .least_k = least_k};
    mr_heat_find(arena, arena, &series, &options, out);
}

Test(heat, shape_has_the_derivatives_that_differences_show) {
    static const double rows[][3] = {
        {50.0, 1e-3, 1e-2}, {50.0, 1e-2, 1e-3}, {300.0, 5e-3, 5e-3}, {300.0, 5e-3, 5.0001e-3}, {3000.0, 1e-3, 2e-2}};
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        double s = rows[i][0], p = rows[i][1], q = rows[i][2], e = 1e-6, dp, dq, ds;
        double h = mr_heat_shape(s, p, q, &dp, &dq, &ds);
        double np =
            (mr_heat_shape(s, p * (1 + e), q, 0, 0, 0) - mr_heat_shape(s, p * (1 - e), q, 0, 0, 0)) / (2 * e * p);
        double nq =
            (mr_heat_shape(s, p, q * (1 + e), 0, 0, 0) - mr_heat_shape(s, p, q * (1 - e), 0, 0, 0)) / (2 * e * q);
        double ns =
            (mr_heat_shape(s * (1 + e), p, q, 0, 0, 0) - mr_heat_shape(s * (1 - e), p, q, 0, 0, 0)) / (2 * e * s);
        cr_expect_float_eq(dp, np, 1e-5 * fabs(np) + 1e-6 * h / p, "row %zu p", i);
        cr_expect_float_eq(dq, nq, 1e-5 * fabs(nq) + 1e-6 * h / q, "row %zu q", i);
        cr_expect_float_eq(ds, ns, 1e-5 * fabs(ns) + 1e-6 * h / s, "row %zu s", i);
    }
}

Test(heat, median_of_odd_even_equal_and_no_values) {
    double odd[] = {5, 1, 4, 2, 3}, even[] = {4, 1, 3, 2}, equal[] = {7, 7, 7, 7, 7, 7};
    cr_assert_float_eq(mr_median(odd, 5), 3.0, 0.0);
    cr_assert_float_eq(mr_median(even, 4), 2.5, 0.0);
    cr_assert_float_eq(mr_median(equal, 6), 7.0, 0.0);
    cr_assert(isnan(mr_median(odd, 0)));
}

Test(heat, spikes_and_short_dropouts_are_set_aside_and_a_new_level_is_kept) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    enum { N = 1200 };
    double t[N], c[N];
    for (int i = 0; i < N; i++) {
        t[i] = i;
        c[i] = (i < 800 ? 20.0 : 26.0) + 0.01 * ((i * 7) % 5);
    }
    c[100] = 80.0;
    c[200] = c[201] = -40.0;
    for (int i = 300; i < 360; i++)
        c[i] = -40.0;
    c[500] = NAN;
    struct mr_heat_series series = {.n = N, .t_s = t, .value.raw = c};
    struct mr_heat_options options = {.slowest_s = 1800.0};
    struct mr_heat_bins bins;
    mr_heat_reduce(arena, &series, &options, &bins);
    cr_assert_eq(bins.n_spikes, 63, "%zu", bins.n_spikes);
    for (size_t i = 0; i < bins.n; i++) {
        cr_assert_gt(bins.c[i], 19.9);
        cr_assert_lt(bins.c[i], 26.2);
    }
    cr_assert_gt(bins.c[bins.n - 1], 25.9);
    mr_arena_free(arena);
}

Test(heat, milliseconds_and_seconds_give_the_same_bins) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct heat_plan plan = {.seed = 3, .coats = 1, .rise_k = 5.0, .dt_s = 2.0, .noise_k = 0.2};
    struct heat_record r = heat_make(arena, &plan);
    int64_t *ms = MR_ARRAY(arena, int64_t, r.n);
    for (size_t i = 0; i < r.n; i++)
        ms[i] = 1778500000000 + (int64_t)(1e3 * r.t_s[i]);
    struct mr_heat_options options = {.slowest_s = 1800.0, .least_k = 0.5};
    struct mr_heat_series a = {.n = r.n, .t_s = r.t_s, .value.raw = r.c},
                          b = {.n = r.n, .t_ms.raw = ms, .zero_ms = ms[0], .value.raw = r.c};
    struct mr_heat_bins x, y;
    mr_heat_reduce(arena, &a, &options, &x);
    mr_heat_reduce(arena, &b, &options, &y);
    cr_assert_eq(x.n, y.n);
    for (size_t i = 0; i < x.n; i++)
        cr_assert_float_eq(x.c[i], y.c[i], 0.0);
    mr_arena_free(arena);
}

Test(heat, too_few_or_no_samples_give_no_events) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    double t[] = {0, 1, 2, 3, 4, 5, 6, 7}, c[] = {NAN, NAN, NAN, NAN, NAN, NAN, NAN, NAN};
    for (size_t n = 0; n <= 8; n++) {
        mr_heat_list found = {0};
        find(arena, t, c, n, 1800.0, 0.5, &found);
        cr_assert_eq(found.n, 0);
    }
    mr_arena_free(arena);
}

Test(heat, a_moved_probe_is_a_jump_and_no_event) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct heat_rng rng = {.state = 9};
    enum { N = 900 };
    double t[N], c[N];
    for (int i = 0; i < N; i++) {
        t[i] = 10.0 * i;
        c[i] = (i < 450 ? 18.0 : 24.0) + 0.1 * heat_normal(&rng);
    }
    mr_heat_list found = {0};
    find(arena, t, c, N, 1800.0, 0.5, &found);
    cr_assert_eq(found.n, 0);
    mr_arena_free(arena);
}

Test(heat, a_record_that_begins_or_ends_in_the_rise_says_so) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_heat_curve curve = {-60.0, 6.0, 0.008, 1500.0};
    struct heat_rng rng = {.state = 4};
    enum { N = 600 };
    double t[N], c[N];
    for (int i = 0; i < N; i++) {
        t[i] = 10.0 * i;
        c[i] = 20.0 + mr_heat_rise(&curve, t[i]) + 0.05 * heat_normal(&rng);
    }
    mr_heat_list late = {0}, early = {0};
    find(arena, t, c, N, 1800.0, 0.5, &late);
    cr_assert_eq(late.n, 1);
    cr_assert(late.v[0].no_baseline);
    curve.onset_s = 5800.0;
    for (int i = 0; i < N; i++)
        c[i] = 20.0 + mr_heat_rise(&curve, t[i]) + 0.05 * heat_normal(&rng);
    find(arena, t, c, N, 1800.0, 0.5, &early);
    cr_assert_eq(early.n, 1);
    cr_assert(early.v[0].no_peak);
    mr_arena_free(arena);
}

Test(heat, a_rise_that_is_no_reaction_keeps_its_plain_value_and_says_that_the_fit_does_not_serve) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct heat_rng rng = {.state = 5};
    enum { N = 900 };
    double t[N], c[N];
    for (int i = 0; i < N; i++) { /* a heat lamp: up in ten minutes, held for ten, down in ten */
        t[i] = 10.0 * i;
        double u = (t[i] - 3600.0) / 600.0, up = u < 0 ? 0 : u < 1 ? u : u < 2 ? 1 : u < 3 ? 3 - u : 0;
        c[i] = 20.0 + 8.0 * up + 0.05 * heat_normal(&rng);
    }
    mr_heat_list found = {0};
    find(arena, t, c, N, 1800.0, 0.5, &found);
    cr_assert_geq(found.n, 1);
    cr_assert_neq(found.v[0].fit, MR_FIT_OK);
    cr_assert(*found.v[0].fit_note);
    cr_assert_float_eq(found.v[0].rise_k, 8.0, 0.3);
    mr_arena_free(arena);
}

Test(heat, plain_figures_agree_with_the_curve) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_heat_curve curve = {3600.0, 6.0, 0.012, 1200.0};
    enum { N = 1800 };
    double t[N], c[N];
    for (int i = 0; i < N; i++) {
        t[i] = 10.0 * i;
        c[i] = 20.0 + mr_heat_rise(&curve, t[i]);
    }
    mr_heat_list found = {0};
    find(arena, t, c, N, 1800.0, 0.5, &found);
    cr_assert_eq(found.n, 1);
    const struct mr_heat_found *e = &found.v[0];
    double peak = mr_heat_peak_rise(&curve), half = 0.0, area = 0.0;
    for (double s = 0.5; s < e->end_s - 3600.0; s += 1.0) {
        area += mr_heat_rise(&curve, 3600.0 + s);
        half += mr_heat_rise(&curve, 3600.0 + s) > peak / 2.0;
    }
    cr_expect_float_eq(e->rise_k, peak, 2e-3 * peak);
    cr_expect_float_eq(e->peak_s - 3600.0, mr_heat_peak_delay(&curve), 10.0);
    cr_expect_float_eq(e->time_above_half_s, half, 5.0);
    cr_expect_float_eq(e->area_k_s, area, 2e-3 * area);
    cr_expect_float_eq(e->baseline_c, 20.0, 1e-6);
    for (double s = -300.0; s < 3000.0; s += 100.0)
        cr_expect_float_eq(mr_heat_found_c(e, 3600.0 + s), 20.0 + mr_heat_rise(&curve, 3600.0 + s), 1e-5);
    mr_arena_free(arena);
}

Test(heat, the_event_of_a_track_draws_the_same_curve) {
    struct mr_heat_term tail = {.before_s = 900.0, .adiabatic_k = 5.0, .k_per_s = 0.01, .tau_s = 1500.0};
    struct mr_heat_event e = {.t_onset = 1000000,
                              .t_baseline = 900000,
                              .line_c = 18.0,
                              .drift_k_per_s = 1e-4,
                              .rise_adiabatic_k = 4.0,
                              .k_per_s = 0.02,
                              .tau_s = 1500.0,
                              .n_carried = 1,
                              .carried = &tail};
    struct mr_heat_curve own = {0.0, 4.0, 0.02, 1500.0}, before = {-900.0, 5.0, 0.01, 1500.0};
    cr_assert(isnan(mr_heat_model_c(&e, 899999)));
    for (int64_t s = -100; s < 3000; s += 50)
        cr_assert_float_eq(mr_heat_model_c(&e, 1000000 + 1000 * s),
                           18.0 + 1e-4 * (double)s + mr_heat_rise(&own, (double)s) + mr_heat_rise(&before, (double)s),
                           1e-12);
    e.line_c = MR_NAN;
    cr_assert(isnan(mr_heat_model_c(&e, 1100000)));
}

Test(lsq, columns_products_give_the_line_and_say_when_columns_are_alike) {
    /* y = 2 + 3 x exactly, by hand; x = 0..4: sums 5, 10, 30, y: 40, 110, 410 */
    double gram[9] = {5, 10, 40, 10, 30, 110, 40, 110, 410}, coef[2], inverse[4], chi2, log_det;
    cr_assert_eq(mr_lsq_gram(2, gram, coef, &chi2, inverse, &log_det), MR_OK);
    cr_expect_float_eq(coef[0], 2.0, 1e-12);
    cr_expect_float_eq(coef[1], 3.0, 1e-12);
    cr_expect_float_eq(chi2, 0.0, 1e-9);
    cr_expect_float_eq(log_det, log(50.0), 1e-12);
    cr_expect_float_eq(inverse[0], 0.6, 1e-12);
    cr_expect_float_eq(inverse[1], -0.2, 1e-12);
    double alike[9] = {4, 8, 1, 8, 16, 2, 1, 2, 1}, none[4] = {0, 0, 0, 1};
    cr_expect_eq(mr_lsq_gram(2, alike, coef, &chi2, NULL, &log_det), MR_E_NOFIT);
    cr_expect_eq(mr_lsq_gram(1, none, coef, &chi2, NULL, &log_det), MR_E_NOFIT);
}

/* The covariance of the model, written out from its definition and factored, against the filter: an
 * Ornstein-Uhlenbeck flux through a first-order store. */
static double store_covariance(const struct mr_disturbance *w, double apart) {
    double v = w->flux * w->flux, l = w->loss, r = w->rate;
    return v / (r * r - l * l) * (r / l * exp(-l * apart) - exp(-r * apart));
}

Test(heat, whitening_is_the_cholesky_factor_of_the_covariance) {
    /* by hand: the store's covariance is v/(r2 - l2) (r/l exp(-l d) - exp(-r d)) */
    enum { N = 9 };
    struct mr_disturbance w = {.flux = 0.03, .rate = 1.0 / 240.0, .loss = 1.0 / 900.0};
    double t[N] = {0, 10, 20, 35, 60, 61, 200, 500, 530}, weight[N] = {1, 1, 2, 1, 0.5, 1, 4, 1, 1};
    double v[N], left[N], l[N][N] = {{0}}, expected = 0.0;
    for (int i = 0; i < N; i++)
        v[i] = left[i] = sin(1.0 + 0.7 * i) + 0.01 * t[i];
    for (int i = 0; i < N; i++)
        for (int j = 0; j <= i; j++) {
            double sum = store_covariance(&w, t[i] - t[j]) + (i == j ? 1.0 / weight[i] : 0.0);
            for (int k = 0; k < j; k++)
                sum -= l[i][k] * l[j][k];
            l[i][j] = i == j ? sqrt(sum) : sum / l[j][j];
        }
    for (int i = 0; i < N; i++) {
        for (int k = 0; k < i; k++)
            left[i] -= l[i][k] * left[k];
        left[i] /= l[i][i];
        expected += 2.0 * log(l[i][i]);
    }
    struct mr_whiten_row row[N];
    struct mr_whitener filter = {.row = row};
    double twice[2 * N];
    memcpy(twice, v, sizeof v);
    memcpy(twice + N, v, sizeof v);
    mr_whitener_set(&w, N, t, weight, NULL, &filter);
    cr_expect_float_eq(filter.log_det, expected, 1e-9);
    mr_whiten(&filter, 0, 2, N, twice);
    cr_expect_arr_eq(twice, twice + N, sizeof v);
    memcpy(v, twice, sizeof v);
    for (int i = 0; i < N; i++)
        cr_expect_float_eq(v[i], left[i], 1e-9, "sample %d", i);
}

/* Many moments at once, by products from one to the next: the same curve and slopes, also where the rates are alike,
 * one is the greater or the other, and the distances change. */
Test(heat, the_shape_at_many_moments_is_that_at_each) {
    enum { N = 400 };
    static const double rates[][2] = {{1e-3, 2e-2}, {2e-2, 1e-3}, {5e-3, 5e-3}, {5e-3, 5.0001e-3}, {3e-4, 0.5}};
    double t[N], h[N], ds[N], dp[N], dq[N];
    for (int i = 0; i < N; i++)
        t[i] = (i < 100 ? 2.0 * i : i < 250 ? 10.0 * i : 10.0 * i + 7.0 * (i % 3));
    for (size_t r = 0; r < MR_COUNT(rates); r++) {
        struct mr_heat_shapes out = {h, ds, dp, dq};
        const double p = rates[r][0], q = rates[r][1];
        mr_heat_shapes(N, t, 31.0, p, q, &out);
        for (int i = 0; i < N; i++) {
            double s = t[i] - 31.0, at_p = 0, at_q = 0, at_s = 0, at = 0;
            if (s > 0)
                at = mr_heat_shape(s, p, q, &at_p, &at_q, &at_s);
            cr_expect_float_eq(h[i], at, 1e-11 * fabs(at), "rates %zu, sample %d", r, i);
            cr_expect_float_eq(dp[i], at_p, 1e-11 * fabs(at_p) + 1e-13);
            cr_expect_float_eq(dq[i], at_q, 1e-11 * fabs(at_q) + 1e-13);
            cr_expect_float_eq(ds[i], at_s, 1e-11 * fabs(at_s) + 1e-13);
        }
    }
}

/* A flux that grows by the pulse's own heat: everywhere as hot it is a greater flux, and nowhere hot it is the same;
 * its size lies between. */
Test(heat, a_weather_may_grow_with_the_pulse) {
    enum { N = 40 };
    double t[N], weight[N], all[N], none[N], half[N], v[4 * N];
    struct mr_whiten_row row[N];
    struct mr_whitener filter = {.row = row};
    for (int i = 0; i < N; i++) {
        t[i] = 20.0 * i;
        weight[i] = all[i] = 1.0;
        none[i] = 0.0;
        half[i] = i < N / 2 ? 0.0 : 1.0;
        for (int j = 0; j < 4; j++)
            v[j * N + i] = sin(0.4 * i) * (i < N / 2 ? 0.5 : 4.0);
    }
    struct mr_disturbance even = {.flux = 0.03, .rate = 1.0 / 240.0, .loss = 1.0 / 900.0}, great = even, grows = even;
    great.flux *= sqrt(1.0 + 9.0);
    grows.own = 3.0;
    const struct {
        const struct mr_disturbance *w;
        const double *excess;
    } rows[] = {{&even, NULL}, {&grows, none}, {&great, NULL}, {&grows, all}};
    double log_det[4];
    for (int j = 0; j < 4; j++) {
        mr_whitener_set(rows[j].w, N, t, weight, rows[j].excess, &filter);
        log_det[j] = filter.log_det;
        mr_whiten(&filter, 0, 1, N, v + (ptrdiff_t)j * N);
    }
    for (int j = 0; j < 4; j += 2) {
        cr_expect_float_eq(log_det[j], log_det[j + 1], 1e-9);
        for (int i = 0; i < N; i++)
            cr_expect_float_eq(v[j * N + i], v[(j + 1) * N + i], 1e-9);
    }
    mr_whitener_set(&grows, N, t, weight, half, &filter);
    cr_expect(filter.log_det > log_det[0] && filter.log_det < log_det[2]);
}

Test(lsq, robust_line_is_not_moved_by_one_bad_point) {
    double x[12], y[12];
    for (int i = 0; i < 12; i++) {
        x[i] = i;
        y[i] = 2.0 + 3.0 * i + ((i * 5) % 3 - 1) * 0.1;
    }
    y[7] = 200.0;
    struct mr_lsq_line line;
    cr_assert_eq(mr_lsq_robust_line(x, y, 12, &line), MR_OK);
    cr_assert_float_eq(line.slope, 3.0, 0.05);
    cr_assert_float_eq(line.intercept, 2.0, 0.3);
    cr_assert_eq(mr_lsq_robust_line(x, y, 3, &line), MR_E_FEW);
}

Test(rise_film, band_holds_the_good_zones_and_not_the_bad_one) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_rise_point points[12];
    for (int i = 0; i < 12; i++)
        points[i] = (struct mr_rise_point){
            .film_um = 100.0 + 10.0 * i, .heat = 6e8 * (100.0 + 10.0 * i) * 1e-6 * (1.0 + 0.02 * ((i * 5) % 3 - 1))};
    points[4].heat *= 0.75;
    struct mr_rise_line line;
    cr_assert_eq(mr_rise_film(arena, points, 12, 0.99, 0.95, &line), MR_OK);
    cr_assert_eq(line.n_clean, 11);
    cr_assert_float_eq(line.heat_per_volume, 6e8, 6e6);
    cr_assert(line.volume_low < 6e8 && 6e8 < line.volume_high);
    for (int i = 0; i < 12; i++) {
        cr_assert_eq(points[i].out, i == 4, "zone %d", i);
        cr_assert_eq(points[i].heat < points[i].low || points[i].heat > points[i].high, points[i].out, "zone %d", i);
        cr_assert(points[i].p >= 0.0 && points[i].p <= 1.0);
    }
    cr_assert_lt(points[4].p, 0.005);
    cr_assert_eq(mr_rise_film(arena, points, 3, 0.99, 0.95, &line), MR_E_FEW);
    for (int i = 0; i < 12; i++)
        points[i].heat = points[i].film_um;
    cr_assert_eq(mr_rise_film(arena, points, 12, 0.99, 0.95, &line), MR_E_FEW);
    mr_arena_free(arena);
}
