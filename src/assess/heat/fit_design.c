/*
 * fit_design.c - see fit_design.h.
 */
#include "assess/heat/fit_design.h"
#include "numeric/least_squares.h"
#include "numeric/select.h"

#include <math.h>
#include <string.h>

static const double TRIM = 5.0; /* robust deviations */
/* Where nothing is known of steel and material: cooling constant and rate by the slowest event, and deviations of
 * their logarithms so wide that any data outweigh them. */
static const double ANY_COOLING = 0.8, ANY_COOLING_LOG_SD = 1.0, ANY_RATE = 22.0, ANY_RATE_LOG_SD = 1.5;
static const double CLIMB_OFF = 0.015, TAIL_OFF = 0.004, LEAST_NOISE = 0.002; /* shares of the rise */

/* ---- columns ---- */

/* Base, shapes, derivatives (if wanted), what the point leaves of the record: row by row into d->plain. Returns the
 * columns before the last. Solving for what is left, not for the record, keeps its digits. */
static size_t make_rows(const struct mr_fit_design *d, const struct mr_fit_point *at, bool slopes) {
    size_t columns = d->n_base + d->m + (slopes ? 2 * d->m + 1 : 0), width = columns + 1;
    double p = exp(at->ln_p), q[MR_HEAT_TOGETHER];
    for (size_t j = 0; j < d->m; j++)
        q[j] = exp(at->ln_k[j]);
    for (size_t i = 0; i < d->n; i++) {
        double *row = d->plain + i * width, *shape = row + d->n_base, dp, dq, ds;
        memcpy(row, d->base + i * d->n_base, d->n_base * sizeof *row);
        memset(shape, 0, (columns - d->n_base) * sizeof *row);
        row[columns] = d->c[i];
        for (size_t j = 0; j < d->n_base; j++)
            row[columns] -= row[j] * at->base[j];
        for (size_t j = 0; j < d->m; j++) {
            double s = d->t_s[i] - at->onset_s[j];
            if (s <= 0.0)
                continue;
            shape[j] = mr_heat_shape(s, p, q[j], &dp, &dq, &ds);
            row[columns] -= shape[j] * at->size[j];
            if (!slopes)
                continue;
            shape[d->m + j] = -at->size[j] * ds;
            shape[2 * d->m + j] = at->size[j] * dq * q[j];
            shape[3 * d->m] += at->size[j] * dp * p;
        }
    }
    return columns;
}

/* Four rows at a time: most of a fit's time goes here, and each product is then loaded and stored once for four. */
static void gram_of(const double *rows, size_t n, size_t width, double *restrict gram) {
    memset(gram, 0, width * width * sizeof *gram);
    size_t i = 0;
    for (; i + 4 <= n; i += 4) {
        const double *r0 = rows + i * width, *r1 = r0 + width, *r2 = r1 + width, *r3 = r2 + width;
        for (size_t a = 0; a < width; a++) {
            double *restrict out = gram + a * width, f0 = r0[a], f1 = r1[a], f2 = r2[a], f3 = r3[a];
            for (size_t b = a; b < width; b++)
                out[b] += f0 * r0[b] + f1 * r1[b] + f2 * r2[b] + f3 * r3[b];
        }
    }
    for (; i < n; i++)
        for (size_t a = 0; a < width; a++)
            for (size_t b = a; b < width; b++)
                gram[a * width + b] += rows[i * width + a] * rows[i * width + b];
    for (size_t a = 0; a < width; a++)
        for (size_t b = 0; b < a; b++)
            gram[a * width + b] = gram[b * width + a];
}

struct pull {           /* of what is usual on one parameter */
    double from, share; /* distance to the usual value; weight */
};

static struct pull pull_of(double sigma2, double usual, double log_sd, double ln) {
    if (!(usual > 0.0))
        return (struct pull){0.0, 0.0};
    return (struct pull){log(usual) - ln, sigma2 / (log_sd * log_sd)};
}

static double pulls(const struct mr_fit_design *d, const struct mr_fit_point *at) {
    struct pull p = pull_of(d->sigma2, d->usual.tau_s, d->usual.tau_log_sd, -at->ln_p);
    double sum = p.share * p.from * p.from;
    for (size_t j = 0; j < d->m; j++) {
        struct pull k = pull_of(d->sigma2, d->usual.k_per_s, d->usual.k_log_sd, at->ln_k[j]);
        sum += k.share * k.from * k.from;
    }
    return sum;
}

static void add_pull(double *gram, size_t width, size_t column, struct pull p, double sign) {
    gram[column * width + column] += p.share;
    gram[column * width + width - 1] += sign * p.share * p.from;
    gram[(width - 1) * width + column] += sign * p.share * p.from;
    gram[width * width - 1] += p.share * p.from * p.from;
}

static void add_pulls(const struct mr_fit_design *d, const struct mr_fit_point *at, double *gram, size_t width) {
    add_pull(gram, width, width - 2, pull_of(d->sigma2, d->usual.tau_s, d->usual.tau_log_sd, -at->ln_p), -1.0);
    for (size_t j = 0; j < d->m; j++)
        add_pull(gram, width, d->n_base + 2 * d->m + j,
                 pull_of(d->sigma2, d->usual.k_per_s, d->usual.k_log_sd, at->ln_k[j]), 1.0);
}

static void add_to(const struct mr_fit_design *d, struct mr_fit_point *at, const double *coef) {
    for (size_t j = 0; j < d->n_base; j++)
        at->base[j] += coef[j];
    for (size_t j = 0; j < d->m; j++)
        at->size[j] += coef[d->n_base + j];
}

bool mr_fit_solve(const struct mr_fit_design *d, struct mr_fit_point *at, struct mr_fit_normal *normal) {
    double gram[(MR_FIT_COLUMNS + 1) * (MR_FIT_COLUMNS + 1)], coef[MR_FIT_COLUMNS], chi2, log_det;
    size_t columns = make_rows(d, at, normal != NULL), width = columns + 1;
    memcpy(d->rows, d->plain, d->n * width * sizeof *d->rows);
    (void)mr_whiten(&d->weather, d->n, d->t_s, d->weight, width, d->rows);
    gram_of(d->rows, d->n, width, gram);
    if (normal) {
        add_pulls(d, at, gram, width);
        normal->columns = columns;
        return mr_lsq_gram(columns, gram, normal->coef, &normal->chi2, normal->inverse, &log_det) == MR_OK;
    }
    if (mr_lsq_gram(columns, gram, coef, &chi2, NULL, &log_det) != MR_OK)
        return false;
    add_to(d, at, coef);
    at->chi2 = chi2 + pulls(d, at);
    return isfinite(at->chi2);
}

bool mr_fit_sizes(const struct mr_fit_design *d, struct mr_fit_point *at, double *out_se) {
    double gram[(MR_FIT_COLUMNS + 1) * (MR_FIT_COLUMNS + 1)], coef[MR_FIT_COLUMNS], log_det;
    size_t columns = make_rows(d, at, false), width = columns + 1;
    memcpy(d->rows, d->plain, d->n * width * sizeof *d->rows);
    (void)mr_whiten(&d->weather, d->n, d->t_s, d->weight, width, d->rows);
    gram_of(d->rows, d->n, width, gram);
    if (mr_lsq_gram(columns, gram, coef, &at->chi2, d->normal->inverse, &log_det) != MR_OK)
        return false;
    add_to(d, at, coef);
    double sigma2 = at->chi2 / (double)(d->n - columns);
    for (size_t j = 0; j < d->m; j++)
        out_se[j] = sqrt(sigma2 * d->normal->inverse[(d->n_base + j) * (columns + 1)]);
    return true;
}

bool mr_fit_inside(const struct mr_fit_design *d, const struct mr_fit_point *at) {
    double step = d->t_s[d->n - 1] - d->t_s[0];
    if (!(exp(-at->ln_p) < 30.0 * step))
        return false;
    for (size_t j = 0; j < d->m; j++)
        if (!(exp(-at->ln_k[j]) < step) || !(at->ln_k[j] < log(1e5 / d->unit_s)))
            return false;
    return true;
}

/* ---- what is left ---- */

static double *residuals(const struct mr_fit_design *d, const struct mr_fit_point *at, bool white) {
    size_t columns = make_rows(d, at, false), width = columns + 1;
    for (size_t i = 0; i < d->n; i++)
        d->rows[i] = d->plain[i * width + columns];
    if (white)
        (void)mr_whiten(&d->weather, d->n, d->t_s, d->weight, 1, d->rows);
    return d->rows;
}

double mr_fit_rmse(const struct mr_fit_design *d, const struct mr_fit_point *at) {
    const double *r = residuals(d, at, false);
    double sum = 0.0, weight = 0.0;
    for (size_t i = 0; i < d->n; i++) {
        sum += d->weight[i] * r[i] * r[i];
        weight += d->weight[i];
    }
    return sqrt(sum / weight);
}

double mr_fit_local(struct mr_fit_design *d, const struct mr_fit_point *at) {
    const double *r = residuals(d, at, true);
    double in = 0.0, all = 0.0, n_in = 0.0;
    for (size_t i = 0; i < d->n; i++) {
        all += r[i] * r[i];
        for (size_t j = 0; j < d->m; j++) {
            double s = d->t_s[i] - at->onset_s[j];
            struct mr_heat_curve curve = {.adiabatic_k = 1.0, .k_per_s = exp(at->ln_k[j]), .tau_s = exp(-at->ln_p)};
            if (s > 0.0 && s < 2.0 * mr_heat_peak_delay(&curve)) {
                in += r[i] * r[i];
                n_in += 1.0;
                break;
            }
        }
    }
    d->misfit = n_in > 0.0 && all > 0.0 ? in / n_in * (double)d->n / all : 1.0;
    return n_in > 0.0 ? fmax(1.0, d->misfit / (1.0 + 2.0 * sqrt(2.0 / n_in))) : 1.0;
}

bool mr_fit_trim(struct mr_fit_design *d, const struct mr_fit_point *at) {
    double *r = residuals(d, at, true), *size = d->plain;
    for (size_t i = 0; i < d->n; i++)
        size[i] = fabs(r[i]);
    double limit = TRIM * 1.4826 * mr_median(size, d->n);
    size_t kept = 0;
    for (size_t i = 0; i < d->n;) {
        size_t j = i;
        while (j < d->n && fabs(r[j]) > limit)
            j++;
        if (j - i > 2 || limit < 1e-9)
            j = i;
        i = j;
        if (i < d->n) {
            d->t_s[kept] = d->t_s[i];
            d->c[kept] = d->c[i];
            d->weight[kept] = d->weight[i];
            memmove(d->base + kept * d->n_base, d->base + i * d->n_base, d->n_base * sizeof *d->base);
            kept++;
            i++;
        }
    }
    bool any = kept < d->n && kept > d->n_base + 3 * d->m + 3;
    if (any)
        d->n = kept;
    return any;
}

/* ---- the weather ---- */

/* Minus twice the restricted log likelihood of a weather, up to a constant: the columns as they stand in d->plain. */
static double unlikeliness(const struct mr_fit_design *d, const struct mr_disturbance *w, size_t columns,
                           double *out_sigma2) {
    double gram[(MR_FIT_COLUMNS + 1) * (MR_FIT_COLUMNS + 1)], coef[MR_FIT_COLUMNS], chi2, log_det;
    size_t width = columns + 1;
    memcpy(d->rows, d->plain, d->n * width * sizeof *d->rows);
    double spread = mr_whiten(w, d->n, d->t_s, d->weight, width, d->rows);
    gram_of(d->rows, d->n, width, gram);
    if (mr_lsq_gram(columns, gram, coef, &chi2, NULL, &log_det) != MR_OK || !(chi2 > 1e-13 * d->total))
        return HUGE_VAL;
    double free = (double)(d->n - columns);
    *out_sigma2 = chi2 / free;
    return free * log(chi2) + spread + log_det;
}

/* Uphill in likelihood by the flux alone, by steps that shrink from `step`. */
static double climb(const struct mr_fit_design *d, struct mr_disturbance *here, size_t columns, double step) {
    double sigma2, low = unlikeliness(d, here, columns, &sigma2);
    for (; step > 1.3; step = sqrt(step))
        for (int side = 0; side < 2; side++) {
            bool better = true;
            for (int more = 0; more < 6 && better; more++) {
                struct mr_disturbance next = *here;
                next.flux *= side ? 1.0 / step : step;
                double u = unlikeliness(d, &next, columns, &sigma2);
                better = u < low;
                if (better) {
                    low = u;
                    *here = next;
                }
            }
            if (here->flux < 1e-9 / d->unit_s)
                return low;
        }
    return low;
}

bool mr_fit_learn(struct mr_fit_design *d, const struct mr_fit_point *at, bool slopes) {
    static const double rates[] = {18.0, 6.0, 2.0};
    size_t columns = make_rows(d, at, slopes);
    struct mr_disturbance best = {.flux = 0.0, .rate = rates[1] / d->unit_s, .loss = exp(at->ln_p)};
    double least = unlikeliness(d, &best, columns, &d->sigma2);
    if (!isfinite(least))
        return false;
    bool again = d->weather.flux > 0.0; /* near the end: only its size may have changed */
    double begin = again ? d->weather.flux : 18.0 / d->unit_s;
    for (size_t r = 0; r < (again ? 1 : MR_COUNT(rates)); r++) {
        struct mr_disturbance here = {.flux = begin, .loss = best.loss};
        here.rate = again ? d->weather.rate : rates[r] / d->unit_s;
        double low = climb(d, &here, columns, again ? 2.0 : 4.0);
        if (low < least) {
            least = low;
            best = here;
        }
        begin = fmax(here.flux, 0.1 / d->unit_s);
    }
    (void)unlikeliness(d, &best, columns, &d->sigma2);
    d->weather = best;
    return true;
}

double mr_fit_criterion(struct mr_fit_design *d, const struct mr_fit_point *at) {
    double *r = residuals(d, at, false), sum = 0.0;
    double spread = mr_whiten(&d->weather, d->n, d->t_s, d->weight, 1, r);
    for (size_t i = 0; i < d->n; i++)
        sum += r[i] * r[i];
    return (double)d->n * log(fmax(sum, 1e-300) / (double)d->n) + spread;
}

/* ---- from a task ---- */

/* Bins of the pulses as they are, those farther away four by four: nothing there changes within so short a time that
 * the fit would see. */
static void gather(const struct mr_heat_task *task, struct mr_fit_design *d) {
    const struct mr_heat_bins *b = task->bins;
    double near = task->candidates[0].onset_s - d->unit_s / 12.0;
    double far = task->candidates[task->m - 1].peak_s + d->unit_s / 2.0;
    double size = 0.0;
    for (size_t j = 0; j < task->m; j++)
        size = fmax(size, task->candidates[j].peak_c - task->candidates[j].valley_c);
    bool exact = b->noise_k < LEAST_NOISE * size; /* the mean of a bent curve is not its middle */
    for (size_t i = task->from; i < task->to; d->n++) {
        bool whole = exact || (b->t_s[i] >= near && b->t_s[i] <= far);
        double t = 0.0, c = 0.0, w = 0.0, begin = b->t_s[i];
        do {
            t += b->weight[i] * b->t_s[i];
            c += b->weight[i] * b->c[i];
            w += b->weight[i];
            i++;
        } while (!whole && i < task->to && b->t_s[i] - begin < fmin(3.5 * b->step_s, d->unit_s / 45.0) &&
                 !(b->t_s[i] >= near && b->t_s[i] <= far));
        d->t_s[d->n] = t / w;
        d->c[d->n] = c / w;
        d->weight[d->n] = w;
        for (size_t j = 0; j < task->n_carried; j++)
            d->c[d->n] -= mr_heat_rise(&task->carried[j], d->t_s[d->n]);
    }
}

/* No film lands in an instant and no reaction is of first order alone: where the pulse climbs, the curve is taken to
 * be wrong by a share of the rise, beyond the peak by less. Without it a quiet record's misfit would pass for
 * weather. */
static void allow_for_shape(const struct mr_heat_task *task, struct mr_fit_design *d) {
    for (size_t j = 0; j < task->m; j++) {
        const struct mr_heat_candidate *c = &task->candidates[j];
        double size = fmax(c->peak_c - c->valley_c, 0.0), noise = fmax(task->bins->noise_k, LEAST_NOISE * size);
        for (size_t i = 0; i < d->n && size > 0.0; i++) {
            double t = d->t_s[i];
            if (t < c->onset_s - d->unit_s / 60.0 || t > c->peak_s + d->unit_s / 2.0)
                continue;
            double off = (t < c->peak_s ? CLIMB_OFF : TAIL_OFF) * size / noise;
            d->weight[i] = 1.0 / (1.0 / d->weight[i] + off * off);
        }
    }
}

static void lay_base(const struct mr_heat_task *task, struct mr_fit_design *d) {
    size_t n_references = 0, most = 2 * MR_HEAT_REFERENCES;
    double *seen = MR_ARRAY(task->work, double, d->n *most);
    if (task->references)
        n_references = mr_heat_references(task, d->n, d->t_s, d->c, seen);
    d->n_base = MR_FIT_LINE + n_references;
    d->base = MR_ARRAY(task->work, double, d->n * d->n_base);
    for (size_t i = 0; i < d->n; i++) {
        double *row = d->base + i * d->n_base, u = (d->t_s[i] - d->zero_s) / d->unit_s;
        row[0] = 1.0;
        row[1] = u;
        row[2] = u * u;
        for (size_t j = 0; j < n_references; j++)
            row[MR_FIT_LINE + j] = seen[j * d->n + i];
    }
}

bool mr_fit_design_of(const struct mr_heat_task *task, struct mr_fit_design *d) {
    *d = (struct mr_fit_design){.m = task->m, .unit_s = task->bins->slowest_s, .zero_s = task->candidates[0].onset_s};
    if (task->m == 0 || task->m > MR_HEAT_TOGETHER || task->to < task->from + MR_FIT_LINE + 3 * task->m + 3)
        return false;
    size_t room = task->to - task->from;
    d->usual = task->usual ? *task->usual : (struct mr_heat_usual){.tau_s = 0.0};
    if (!(d->usual.tau_s > 0.0)) { /* so that no fit runs off to steel that never cools */
        d->usual.tau_s = ANY_COOLING * d->unit_s;
        d->usual.tau_log_sd = ANY_COOLING_LOG_SD;
    }
    if (!(d->usual.k_per_s > 0.0)) {
        d->usual.k_per_s = ANY_RATE / d->unit_s;
        d->usual.k_log_sd = ANY_RATE_LOG_SD;
    }
    d->t_s = MR_ARRAY(task->work, double, room);
    d->c = MR_ARRAY(task->work, double, room);
    d->weight = MR_ARRAY(task->work, double, room);
    gather(task, d);
    allow_for_shape(task, d);
    if (d->n < MR_FIT_LINE + 3 * d->m + 4)
        return false;
    d->shift_c = d->c[0];
    for (size_t i = 0; i < d->n; i++) {
        d->c[i] -= d->shift_c;
        d->total += d->weight[i] * d->c[i] * d->c[i];
    }
    lay_base(task, d);
    if (d->n < d->n_base + 3 * d->m + 4)
        return false;
    size_t cells = d->n * (d->n_base + 3 * d->m + 2);
    d->plain = MR_ARRAY(task->work, double, cells);
    d->rows = MR_ARRAY(task->work, double, cells);
    d->normal = MR_NEW(task->work, struct mr_fit_normal);
    d->sigma2 = task->bins->noise_k * task->bins->noise_k;
    d->weather = (struct mr_disturbance){.flux = 0.0, .rate = 1.0, .loss = 1.0};
    return true;
}
