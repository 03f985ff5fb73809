/*
 * test_fit_solve.c - the projected problem of a fit against the whole one written out: all columns whitened and
 * solved at once by GSL's own singular value decomposition.
 */
#include "assess/heat/fit_design.h"
#include "numeric/least_squares.h"

#include <criterion/criterion.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit.h>
#include <math.h>
#include <signal.h>
#include <string.h>

enum { N = 240 };

struct rig {
    struct mr_arena *arena;
    double t_s[N], c[N], weight[N];
    struct mr_heat_bins bins;
    struct mr_heat_candidate two[2];
    struct mr_heat_room room;
    struct mr_heat_task task;
};

static void make_rig(struct rig *r) {
    r->arena = mr_arena_new(NULL, NULL);
    struct mr_heat_curve a = {600.0, 9.0, 1.0 / 80.0, 500.0}, b = {1200.0, 5.0, 1.0 / 60.0, 500.0};
    for (int i = 0; i < N; i++) {
        r->t_s[i] = 10.0 * i + (i % 3);
        r->weight[i] = i % 7 ? 1.0 : 0.5;
        r->c[i] = 20.0 + 1e-3 * r->t_s[i] + mr_heat_rise(&a, r->t_s[i]) + mr_heat_rise(&b, r->t_s[i]) +
                  0.05 * sin(7.3 * i) + 0.2 * sin(0.05 * i);
    }
    r->bins = (struct mr_heat_bins){.n = N,
                                    .t_s = r->t_s,
                                    .c = r->c,
                                    .weight = r->weight,
                                    .noise_k = 0.05,
                                    .step_s = 10.0,
                                    .slowest_s = 1800.0,
                                    .least_k = 0.5};
    r->two[0] = (struct mr_heat_candidate){590.0, 780.0, 1200.0, 20.0, 26.0, 0, N};
    r->two[1] = (struct mr_heat_candidate){1210.0, 1350.0, 2000.0, 22.0, 25.0, 0, N};
    r->room = (struct mr_heat_room){NULL, 0};
    r->task = (struct mr_heat_task){.work = r->arena,
                                    .scratch = r->arena,
                                    .room = &r->room,
                                    .bins = &r->bins,
                                    .to = N,
                                    .candidates = r->two,
                                    .m = 2};
}

/* Base and shapes whitened as they are: coefficients and sum of squares. */
static double solve_whole(const struct mr_fit_design *d, const struct mr_fit_point *at, double *coef) {
    size_t columns = d->n_base + d->m, n = d->n;
    double *all = calloc((columns + 1) * n, sizeof *all), chi2;
    for (size_t i = 0; i < n; i++) {
        for (size_t a = 0; a < d->n_base; a++)
            all[a * n + i] = d->base[a * d->stride + i];
        for (size_t j = 0; j < d->m; j++) {
            double s = d->t_s[i] - at->onset_s[j];
            all[(d->n_base + j) * n + i] =
                s > 0.0 ? mr_heat_shape(s, exp(at->ln_p), exp(at->ln_k[j]), NULL, NULL, NULL) : 0.0;
        }
        all[columns * n + i] = d->c[i];
    }
    mr_whiten(&d->filter, 0, columns + 1, n, all);
    gsl_matrix *x = gsl_matrix_alloc(n, columns), *cov = gsl_matrix_alloc(columns, columns);
    gsl_vector *y = gsl_vector_alloc(n), *c = gsl_vector_alloc(columns);
    gsl_multifit_linear_workspace *work = gsl_multifit_linear_alloc(n, columns);
    for (size_t i = 0; i < n; i++) {
        for (size_t a = 0; a < columns; a++)
            gsl_matrix_set(x, i, a, all[a * n + i]);
        gsl_vector_set(y, i, all[columns * n + i]);
    }
    gsl_multifit_linear(x, y, c, cov, &chi2, work);
    for (size_t a = 0; a < columns; a++)
        coef[a] = gsl_vector_get(c, a);
    gsl_multifit_linear_free(work);
    gsl_vector_free(c);
    gsl_vector_free(y);
    gsl_matrix_free(cov);
    gsl_matrix_free(x);
    free(all);
    return chi2;
}

Test(fit_solve, projected_and_whole_agree_in_any_weather) {
    static const double flux[] = {0.0, 0.002, 0.05};
    for (size_t w = 0; w < 3; w++) {
        struct rig r;
        struct mr_fit_design d;
        make_rig(&r);
        cr_assert(mr_fit_design_of(&r.task, &d));
        d.weather = (struct mr_disturbance){.flux = flux[w], .rate = 1.0 / 200.0, .loss = 1.0 / 500.0};
        d.usual = (struct mr_heat_usual){.tau_s = 0.0}; /* no pull, which the whole problem does not know */
        cr_assert(mr_fit_settle_base(&d));
        struct mr_fit_point at = {
            .onset_s = {612.3, 1188.0}, .ln_k = {log(1.0 / 90.0), log(1.0 / 50.0)}, .ln_p = -log(450.0)};
        cr_assert(mr_fit_solve(&d, &at));
        double coef[MR_FIT_COLUMNS], base[MR_FIT_BASE], chi2 = solve_whole(&d, &at, coef);
        cr_expect_float_eq(at.chi2, chi2, 1e-9 * chi2, "flux %g: %.12g against %.12g", flux[w], at.chi2, chi2);
        mr_fit_base(&d, &at, base);
        for (size_t a = 0; a < d.n_base; a++)
            cr_expect_float_eq(base[a], coef[a], 1e-7 * (1.0 + fabs(coef[a])), "flux %g, base %zu", flux[w], a);
        for (size_t j = 0; j < 2; j++)
            cr_expect_float_eq(at.size[j], coef[d.n_base + j], 1e-8 * fabs(coef[d.n_base + j]), "flux %g, size %zu",
                               flux[w], j);
        mr_arena_free(r.arena);
    }
}

/* The step's promise for a small change of the parameters against the sum of squares itself. */
static void expect_promise_kept(struct mr_heat_usual usual) {
    struct rig r;
    struct mr_fit_design d;
    make_rig(&r);
    cr_assert(mr_fit_design_of(&r.task, &d));
    d.usual = usual;
    struct mr_fit_point at = {
        .onset_s = {602.5, 1204.5}, .ln_k = {log(1.0 / 81.0), log(1.0 / 61.0)}, .ln_p = -log(498.0)};
    cr_assert(mr_fit_solve(&d, &at) && mr_fit_step(&d, &at));
    struct mr_fit_point next = at;
    const double *delta = d.normal->coef + d.m;
    for (size_t j = 0; j < 2; j++) {
        next.onset_s[j] += delta[j];
        next.ln_k[j] += delta[2 + j];
    }
    next.ln_p += delta[4];
    cr_assert(mr_fit_solve(&d, &next));
    cr_expect_lt(next.chi2, at.chi2, "usual tau %g s", usual.tau_s);
    cr_expect_float_eq(next.chi2, d.normal->chi2, 0.1 * (at.chi2 - d.normal->chi2), "%.6g, promised %.6g of %.6g",
                       next.chi2, d.normal->chi2, at.chi2);
    mr_arena_free(r.arena);
}

Test(fit_solve, the_step_goes_down_as_far_as_it_says) {
    expect_promise_kept((struct mr_heat_usual){.tau_s = 0.0});
}

/* What is usual pulls the cooling and the rate its own way, each by its own sign in the step. */
Test(fit_solve, the_step_keeps_its_promise_where_the_usual_pulls) {
    expect_promise_kept((struct mr_heat_usual){.tau_s = 520.0, .tau_log_sd = 0.005});
    expect_promise_kept((struct mr_heat_usual){.k_per_s = 1.0 / 70.0, .k_log_sd = 0.02});
}

#ifndef __SANITIZE_ADDRESS__ /* which refuses such a size in its own way */
Test(fit_solve, a_line_that_lacks_memory_ends_the_run, .signal = SIGABRT) {
    static double xy[4] = {0.0, 1.0, 2.0, 3.0};
    struct mr_lsq_line line;
    (void)!mr_lsq_robust_line(xy, xy, 4, &line); /* sets its own handler, once */
    gsl_set_error_handler_off();                 /* as a program around it may */
    (void)!mr_lsq_robust_line(xy, xy, (size_t)1 << 44, &line);
}
#endif
