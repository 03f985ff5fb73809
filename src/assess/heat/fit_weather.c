/*
 * fit_weather.c - the weather from the record, and what a fit leaves of it. See fit_design.h.
 */
#include "assess/heat/fit_design.h"
#include "numeric/least_squares.h"
#include "numeric/select.h"

#include <math.h>
#include <string.h>

static const double TRIM = 5.0;     /* robust deviations */
static const double NOTHING = 0.02; /* a gain in twice the log likelihood that tells nothing */
static const double CLEARLY = 4.0;  /* one that does: 2 standard deviations */

/* ---- what is left ---- */

double mr_fit_rmse(const struct mr_fit_design *d, const struct mr_fit_point *at) {
    double base[MR_FIT_BASE], sum = 0.0, weight = 0.0;
    mr_fit_base(d, at, base);
    for (size_t i = 0; i < d->n; i++) {
        double left = d->c[i];
        for (size_t a = 0; a < d->n_base; a++)
            left -= base[a] * d->base[a * d->stride + i];
        for (size_t j = 0; j < d->m && i >= d->first; j++)
            left -= at->size[j] * d->raw[4 * j * d->stride + i];
        sum += d->weight[i] * left * left;
        weight += d->weight[i];
    }
    return sqrt(sum / weight);
}

double mr_fit_local(struct mr_fit_design *d, const struct mr_fit_point *at) {
    const double *r = d->left;
    double in = 0.0, all = 0.0, n_in = 0.0, reach[MR_HEAT_TOGETHER];
    for (size_t j = 0; j < d->m; j++) {
        struct mr_heat_curve curve = {.adiabatic_k = 1.0, .k_per_s = exp(at->ln_k[j]), .tau_s = exp(-at->ln_p)};
        reach[j] = 2.0 * mr_heat_peak_delay(&curve);
    }
    for (size_t i = 0; i < d->n; i++) {
        all += r[i] * r[i];
        for (size_t j = 0; j < d->m; j++) {
            double s = d->t_s[i] - at->onset_s[j];
            if (s > 0.0 && s < reach[j]) {
                in += r[i] * r[i];
                n_in += 1.0;
                break;
            }
        }
    }
    d->misfit = n_in > 0.0 && all > 0.0 ? in / n_in * (double)d->n / all : 1.0;
    return n_in > 0.0 ? fmax(1.0, d->misfit / (1.0 + 2.0 * sqrt(2.0 / n_in))) : 1.0;
}

bool mr_fit_trim(struct mr_fit_design *d, struct mr_fit_point *at) {
    if (!mr_fit_solve(d, at))
        return false;
    const double *r = d->left;
    double *size = d->work;
    for (size_t i = 0; i < d->n; i++)
        size[i] = fabs(r[i]);
    double limit = TRIM * 1.4826 * mr_median(size, d->n);
    size_t kept = 0, *keep = (size_t *)(void *)d->work;
    for (size_t i = 0; i < d->n;) {
        size_t j = i;
        while (j < d->n && fabs(r[j]) > limit)
            j++;
        if (j - i > 2 || limit < 1e-9)
            j = i;
        if (j < d->n)
            keep[kept++] = j;
        i = j + 1;
    }
    if (kept == d->n || kept <= d->n_base + 3 * d->m + 3)
        return false;
    for (size_t k = 0; k < kept; k++) {
        d->t_s[k] = d->t_s[keep[k]];
        d->c[k] = d->c[keep[k]];
        d->weight[k] = d->weight[keep[k]];
        for (size_t a = 0; a < d->n_base; a++)
            d->base[a * d->stride + k] = d->base[a * d->stride + keep[k]];
    }
    d->n = kept;
    return true;
}

/* ---- the weather ---- */

struct likelihood { /* what a weather is tried on */
    const struct mr_fit_design *d;
    size_t columns;
    struct mr_whitener filter;
    double *made, *white; /* base, pulses, and what the point leaves of the record */
};

/* Columns as made into l->made. slopes: with those of onset, rate and cooling. */
static void lay_columns(struct likelihood *l, const struct mr_fit_point *at, bool slopes) {
    const struct mr_fit_design *d = l->d;
    size_t m = d->m, stride = d->stride;
    double base[MR_FIT_BASE], *pulse = l->made + d->n_base * stride;
    double *left = pulse + (slopes ? 3 * m + 1 : m) * stride, *cool = left - stride;
    mr_fit_base(d, at, base);
    memcpy(l->made, d->base, d->n_base * stride * sizeof *base);
    memset(pulse, 0, (size_t)(left - pulse) * sizeof *base);
    memcpy(left, d->c, d->n * sizeof *base);
    for (size_t a = 0; a < d->n_base; a++)
        for (size_t i = 0; i < d->n; i++)
            left[i] -= base[a] * d->base[a * stride + i];
    for (size_t j = 0; j < m; j++) {
        const double *raw = d->raw + 4 * j * stride;
        for (size_t i = d->first; i < d->n; i++) {
            pulse[j * stride + i] = raw[i];
            left[i] -= at->size[j] * raw[i];
            if (!slopes)
                continue;
            pulse[(m + j) * stride + i] = at->size[j] * raw[stride + i];
            pulse[(2 * m + j) * stride + i] = at->size[j] * raw[2 * stride + i];
            cool[i] += at->size[j] * raw[3 * stride + i];
        }
    }
    l->columns = d->n_base + (slopes ? 3 * m + 1 : m);
}

/* Minus twice the restricted log likelihood of a weather, up to a constant. */
static double unlikeliness(struct likelihood *l, const struct mr_disturbance *w, double *out_sigma2) {
    double gram[(MR_FIT_COLUMNS + 1) * (MR_FIT_COLUMNS + 1)], coef[MR_FIT_COLUMNS], chi2, log_det;
    const struct mr_fit_design *d = l->d;
    size_t width = l->columns + 1, n = d->n, stride = d->stride;
    mr_whitener_set(w, n, d->t_s, d->weight, d->excess, &l->filter);
    memcpy(l->white, l->made, width * stride * sizeof *l->white);
    mr_whiten(&l->filter, 0, width, stride, l->white);
    for (size_t a = 0; a < width; a++)
        for (size_t b = a; b < width; b++)
            gram[a * width + b] = gram[b * width + a] = mr_fit_dot(l->white + a * stride, l->white + b * stride, n);
    if (mr_lsq_gram(l->columns, gram, coef, &chi2, NULL, &log_det) != MR_OK || !(chi2 > 1e-13 * d->total))
        return HUGE_VAL;
    double free = (double)(n - l->columns);
    *out_sigma2 = chi2 / free;
    return free * log(chi2) + l->filter.log_det + log_det;
}

struct tried {
    double ln_flux, u, sigma2;
};

static struct tried try_flux(struct likelihood *l, const struct mr_disturbance *w, double ln_flux) {
    struct tried t = {.ln_flux = ln_flux};
    struct mr_disturbance here = *w;
    here.flux = exp(ln_flux);
    t.u = unlikeliness(l, &here, &t.sigma2);
    return t;
}

/* The likeliest flux at one rate: steps to both sides until it is bracketed, then the top of a parabola through
 * three. A flux that is as likely as none, `none`, is followed no further. */
static struct tried climb(struct likelihood *l, const struct mr_disturbance *w, double ln_from, double step,
                          double none) {
    struct tried low, here = try_flux(l, w, ln_from), high = try_flux(l, w, ln_from + step);
    if (high.u < here.u)
        do {
            low = here;
            here = high;
            high = try_flux(l, w, here.ln_flux + step);
        } while (high.u < here.u && here.ln_flux < ln_from + 6.0 * step);
    else
        for (low = try_flux(l, w, ln_from - step); low.u < here.u && none - low.u > NOTHING;) {
            high = here;
            here = low;
            low = try_flux(l, w, here.ln_flux - step);
        }
    double bend = low.u - 2.0 * here.u + high.u;
    if (!(bend > 0.0) || low.u < here.u || high.u < here.u)
        return low.u < here.u ? low : here;
    struct tried top = try_flux(l, w, here.ln_flux + 0.5 * step * (low.u - high.u) / bend);
    return top.u < here.u ? top : here;
}

/* What the pulses but number `without` (MR_NONE: all) give at each sample, over the greatest of all. */
static void note_excess(struct mr_fit_design *d, const struct mr_fit_point *at, size_t without) {
    double most = 0.0;
    for (size_t i = 0; i < d->n; i++) {
        double all = 0.0;
        d->excess[i] = 0.0;
        for (size_t j = 0; j < d->m && i >= d->first; j++) {
            double here = at->size[j] * d->raw[4 * j * d->stride + i];
            all += here;
            d->excess[i] += j == without ? 0.0 : here;
        }
        most = fmax(most, all);
    }
    for (size_t i = 0; i < d->n && most > 0.0; i++)
        d->excess[i] = fmax(d->excess[i], 0.0) / most;
}

bool mr_fit_learn(struct mr_fit_design *d, struct mr_fit_point *at, bool slopes) {
    static const double rates[] = {6.0, 18.0, 2.0}; /* the last only where the first is likelier than the second */
    if (!mr_fit_solve(d, at))
        return false;
    struct likelihood l = {
        .d = d, .filter = d->trial, .made = d->work, .white = d->work + d->stride * MR_FIT_WIDTH(d)};
    lay_columns(&l, at, slopes);
    struct mr_disturbance best = {.flux = 0.0, .rate = rates[0] / d->unit_s, .loss = exp(at->ln_p)};
    double sigma2, none = unlikeliness(&l, &best, &sigma2), least = none;
    if (!isfinite(none))
        return false;
    bool again = d->weather.flux > 0.0; /* near the end: only its size may have changed */
    double ln_begin = log(again ? d->weather.flux : 18.0 / d->unit_s);
    for (size_t r = 0; r < (again ? 1 : MR_COUNT(rates)); r++) {
        struct mr_disturbance here = {.loss = best.loss};
        here.rate = again ? d->weather.rate : rates[r] / d->unit_s;
        struct tried top = climb(&l, &here, ln_begin, log(again ? 2.0 : 4.0), none);
        ln_begin = fmax(top.ln_flux, log(0.1 / d->unit_s));
        if (!(top.u < least))
            continue;
        bool enough = r == 1;
        least = top.u;
        sigma2 = top.sigma2;
        best = here;
        best.flux = exp(top.ln_flux);
        if (enough)
            break;
    }
    d->sigma2 = sigma2;
    d->weather = best;
    return mr_fit_settle_base(d);
}

double mr_fit_criterion(struct mr_fit_design *d, struct mr_fit_point *at) {
    if (!mr_fit_solve(d, at))
        return HUGE_VAL;
    double sum = mr_fit_dot(d->left, d->left, d->n);
    return (double)d->n * log(fmax(sum, 1e-300) / (double)d->n) + d->filter.log_det;
}

bool mr_fit_own_weather(struct mr_fit_design *d, struct mr_fit_point *at) {
    if (!(d->weather.flux > 0.0) || !mr_fit_solve(d, at))
        return false;
    struct likelihood l = {
        .d = d, .filter = d->trial, .made = d->work, .white = d->work + d->stride * MR_FIT_WIDTH(d)};
    lay_columns(&l, at, true);
    note_excess(d, at, MR_NONE);
    struct mr_disturbance grows = d->weather;
    double sigma2, even = unlikeliness(&l, &d->weather, &sigma2);
    grows.own = MR_FIT_OWN;
    if (!(try_flux(&l, &grows, log(0.5 * d->weather.flux)).u < even))
        return false;
    struct tried top = climb(&l, &grows, log(d->weather.flux) - 1.0, log(2.0), HUGE_VAL);
    if (!(top.u < even - CLEARLY))
        return false;
    d->weather.flux = exp(top.ln_flux);
    d->sigma2 = top.sigma2;
    return mr_fit_settle_base(d);
}

bool mr_fit_weather_of_others(struct mr_fit_design *d, struct mr_fit_point *at, size_t pulse) {
    note_excess(d, at, pulse);
    d->weather.own = MR_FIT_OWN;
    return mr_fit_settle_base(d) && mr_fit_solve(d, at);
}
