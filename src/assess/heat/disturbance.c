/*
 * disturbance.c - see disturbance.h.
 */
#include "assess/heat/disturbance.h"

#include <math.h>
#include <string.h>

enum { COLUMNS_MOST = 64 };

struct step {              /* from one sample to the next */
    double dt, xx, xf, ff; /* transition */
    double qxx, qxf, qff;  /* what the step adds to the covariance */
};

struct spread {
    double xx, xf, ff;
};

static struct spread at_rest(const struct mr_disturbance *d) {
    double v = d->flux * d->flux, sum = d->loss + d->rate;
    return (struct spread){v / (d->loss * sum), v / sum, v};
}

static void set_step(const struct mr_disturbance *d, const struct spread *rest, double dt, struct step *s) {
    double a = exp(-d->loss * dt), b = exp(-d->rate * dt), gap = d->rate - d->loss;
    s->dt = dt;
    s->xx = a;
    s->ff = b;
    s->xf = fabs(gap) * dt > 1e-6 ? (a - b) / gap : dt * a;
    s->qxx = rest->xx - (a * a * rest->xx + 2.0 * a * s->xf * rest->xf + s->xf * s->xf * rest->ff);
    s->qxf = rest->xf - (a * b * rest->xf + s->xf * b * rest->ff);
    s->qff = rest->ff * (1.0 - b * b);
}

static double whiten_noise(size_t n, const double *weight, size_t columns, double *rows) {
    double log_det = 0.0;
    for (size_t i = 0; i < n; i++) {
        double root = sqrt(weight[i]);
        log_det -= log(weight[i]);
        for (size_t j = 0; j < columns; j++)
            rows[i * columns + j] *= root;
    }
    return log_det;
}

double mr_whiten(const struct mr_disturbance *d, size_t n, const double *t_s, const double *weight, size_t columns,
                 double *rows) {
    if (!(d->flux > 0.0))
        return whiten_noise(n, weight, columns, rows);
    double x[COLUMNS_MOST] = {0.0}, f[COLUMNS_MOST] = {0.0}, product = 1.0, log_det = 0.0;
    const struct spread rest = at_rest(d);
    struct spread p = rest;
    struct step s = {.dt = -1.0};
    for (size_t i = 0; i < n; i++) {
        double *row = rows + i * columns;
        if (i) {
            double dt = t_s[i] - t_s[i - 1];
            if (fabs(dt - s.dt) > 1e-9 * dt)
                set_step(d, &rest, dt, &s);
            struct spread q = {s.xx * s.xx * p.xx + 2.0 * s.xx * s.xf * p.xf + s.xf * s.xf * p.ff + s.qxx,
                               s.ff * (s.xx * p.xf + s.xf * p.ff) + s.qxf, s.ff * s.ff * p.ff + s.qff};
            p = q;
        }
        double seen = p.xx + 1.0 / weight[i], kx = p.xx / seen, kf = p.xf / seen, root = 1.0 / sqrt(seen);
        p.ff -= kf * p.xf;
        p.xf -= kf * p.xx;
        p.xx -= kx * p.xx;
        for (size_t j = 0; j < columns; j++) {
            double ahead_x = i ? s.xx * x[j] + s.xf * f[j] : 0.0, ahead_f = i ? s.ff * f[j] : 0.0;
            double off = row[j] - ahead_x;
            x[j] = ahead_x + kx * off;
            f[j] = ahead_f + kf * off;
            row[j] = off * root;
        }
        product *= seen;
        if (product > 1e200 || product < 1e-200) {
            log_det += log(product);
            product = 1.0;
        }
    }
    return log_det + log(product);
}
