/*
 * heat_absent.c - how great a pulse could be that a record does not show. See heat.h.
 *
 * "No reaction" is a statement too: it needs an interval that leaves no room for one. Pulses of usual cooling and of
 * a slow, a usual and a fast reaction are laid at every onset in time, one at a time, each with the weather as this
 * record has it; the greatest upper end of their intervals is what could have been there unseen.
 */
#include "assess/heat/fit_design.h"

#include <math.h>

static const double RATES[] = {0.45, 1.0, 2.0}; /* of the usual one */
static const double SURE = 2.0;                 /* standard errors */
enum { ONSETS = 24 };

static double share_left(double k_per_s, double tau_s) {
    struct mr_heat_curve curve = {.adiabatic_k = 1.0, .k_per_s = k_per_s, .tau_s = tau_s};
    return mr_heat_peak_rise(&curve);
}

static void lay(struct mr_fit_design *d, struct mr_fit_point *at, struct mr_heat_absence *out) {
    double se, k = exp(at->ln_k[0]), to_rise = share_left(k, exp(-at->ln_p)) / k;
    if (!mr_fit_sizes(d, at, &se))
        return;
    double rise = at->size[0] * to_rise, rise_se = se * to_rise;
    if (isnan(out->most_k) || rise + SURE * rise_se > out->most_k)
        out->most_k = rise + SURE * rise_se;
    if (isnan(out->rise_k) || rise * out->rise_se_k > out->rise_k * rise_se) {
        out->rise_k = rise;
        out->rise_se_k = rise_se;
    }
}

/* By how much the record left the line that it followed before, whatever the shape: slow heat that a bent line would
 * swallow. NaN where the line before is too short. */
static double warmed(const struct mr_fit_design *d, double from_s) {
    double w = 0.0, t = 0.0, c = 0.0, tt = 0.0, tc = 0.0, most = MR_NAN;
    size_t n = 0;
    for (; n < d->n && d->t_s[n] < from_s; n++) {
        w += d->weight[n];
        t += d->weight[n] * d->t_s[n];
        c += d->weight[n] * d->c[n];
    }
    for (size_t i = 0; i < n; i++) {
        double off = d->t_s[i] - t / w;
        tt += d->weight[i] * off * off;
        tc += d->weight[i] * off * d->c[i];
    }
    for (size_t i = n; i < d->n && n > 2; i++)
        most = fmax(most, d->c[i] - c / w - tc / tt * (d->t_s[i] - t / w));
    return most;
}

struct mr_heat_absence mr_heat_absent(struct mr_heat_task task, double from_s, double late_s) {
    struct mr_heat_absence out = {.rise_k = MR_NAN, .rise_se_k = MR_NAN, .most_k = MR_NAN, .warmed_k = MR_NAN};
    double slowest = task.bins->slowest_s;
    struct mr_heat_candidate any = {.onset_s = from_s, .peak_s = late_s, .end_s = late_s + slowest};
    task.candidates = &any;
    task.m = 1;
    struct mr_fit_design d;
    if (!mr_fit_design_of(&task, &d))
        return out;
    double k = d.usual.k_per_s, tau = d.usual.tau_s;
    d.usual = (struct mr_heat_usual){.tau_s = 0.0};
    struct mr_fit_point at = {.onset_s = {0.5 * (from_s + late_s)}, .ln_k = {log(k)}, .ln_p = -log(tau)};
    if (!mr_fit_learn(&d, &at, false))
        return out;
    for (size_t r = 0; r < MR_COUNT(RATES); r++)
        for (int i = 0; i <= ONSETS; i++) {
            at.ln_k[0] = log(RATES[r] * k);
            at.onset_s[0] = from_s + (late_s - from_s) * i / ONSETS;
            lay(&d, &at, &out);
        }
    out.warmed_k = warmed(&d, from_s);
    out.most_k += task.bins->resolution_k; /* less than a step need not show at all */
    out.weather = mr_fit_rmse(&d, &at) > 2.0 * task.bins->noise_k;
    out.as_the_air = task.references && mr_heat_as_the_air(&task, d.n, d.t_s, d.c, d.shift_c);
    return out;
}
