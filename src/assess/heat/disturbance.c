/*
 * disturbance.c - see disturbance.h.
 */
#include "assess/heat/disturbance.h"

#include <math.h>
#include <string.h>

struct step {              /* from one sample to the next */
    double dt, xx, xf, ff; /* transition */
    double qxx, qxf, qff;  /* what the step adds to the covariance */
};

struct spread {
    double xx, xf, ff;
};

/* Of a flux of unit size. */
static struct spread at_rest(const struct mr_disturbance *d) {
    double sum = d->loss + d->rate;
    return (struct spread){1.0 / (d->loss * sum), 1.0 / sum, 1.0};
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

/* Of the flux at a sample, over that of a record without excess. */
static double size_at(const struct mr_disturbance *d, const double *excess, size_t i) {
    return d->own > 0.0 ? sqrt(1.0 + d->own * d->own * excess[i] * excess[i]) : 1.0;
}

static void noise_alone(size_t n, const double *weight, struct mr_whitener *w) {
    for (size_t i = 0; i < n; i++) {
        w->row[i] = (struct mr_whiten_row){.root = sqrt(weight[i])};
        w->log_det -= log(weight[i]);
    }
}

void mr_whitener_set(const struct mr_disturbance *d, size_t n, const double *t_s, const double *weight,
                     const double *excess, struct mr_whitener *w) {
    w->n = n;
    w->memory = d->flux > 0.0;
    w->log_det = 0.0;
    if (!w->memory) {
        noise_alone(n, weight, w);
        return;
    }
    const struct spread rest = at_rest(d);
    struct step s = {.dt = -1.0};
    double size = d->flux * size_at(d, excess, 0);
    struct spread p = {size * size * rest.xx, size * rest.xf, rest.ff};
    double product = 1.0;
    for (size_t i = 0; i < n; i++) {
        double seen = p.xx + 1.0 / weight[i], kx = p.xx / seen, kf = p.xf / seen;
        p.ff -= kf * p.xf;
        p.xf -= kf * p.xx;
        p.xx -= kx * p.xx;
        w->row[i] = (struct mr_whiten_row){.root = 1.0 / sqrt(seen)};
        if (i + 1 < n) {
            double dt = t_s[i + 1] - t_s[i];
            if (fabs(dt - s.dt) > 1e-9 * dt)
                set_step(d, &rest, dt, &s);
            size = d->flux * size_at(d, excess, i);
            double xf = size * s.xf;
            struct spread q = {s.xx * s.xx * p.xx + 2.0 * s.xx * xf * p.xf + xf * xf * p.ff + size * size * s.qxx,
                               s.ff * (s.xx * p.xf + xf * p.ff) + size * s.qxf, s.ff * s.ff * p.ff + s.qff};
            p = q;
            double gain = s.xx * kx + xf * kf;
            w->row[i].xx = s.xx - gain;
            w->row[i].xf = xf;
            w->row[i].x = gain;
            w->row[i].fx = -s.ff * kf;
            w->row[i].ff = s.ff;
            w->row[i].f = s.ff * kf;
        }
        product *= seen;
        if (product > 1e200 || product < 1e-200) {
            w->log_det += log(product);
            product = 1.0;
        }
    }
    w->log_det += log(product);
}

/* Four columns side by side: each waits for its row before, none for another. */
typedef double lanes __attribute__((vector_size(4 * sizeof(double))));

/* Of fewer than four the last is done more than once, with the same result each time. */
MR_WIDE static void whiten_four(const struct mr_whitener *w, size_t from, size_t n_columns, size_t stride,
                                double *columns) {
    double *c0 = columns, *c1 = c0 + (n_columns > 1 ? stride : 0), *c2 = c1 + (n_columns > 2 ? stride : 0),
           *c3 = c2 + (n_columns > 3 ? stride : 0);
    lanes x = {0.0}, f = {0.0};
    for (size_t i = from; i < w->n; i++) {
        const struct mr_whiten_row *r = &w->row[i];
        const lanes c = {c0[i], c1[i], c2[i], c3[i]}, level = x, white = (c - level) * r->root;
        c0[i] = white[0];
        c1[i] = white[1];
        c2[i] = white[2];
        c3[i] = white[3];
        x = r->xx * level + r->xf * f + r->x * c;
        f = r->fx * level + r->ff * f + r->f * c;
    }
}

void mr_whiten(const struct mr_whitener *w, size_t from, size_t n_columns, size_t stride, double *columns) {
    if (!w->memory) {
        for (size_t j = 0; j < n_columns; j++)
            for (size_t i = from; i < w->n; i++)
                columns[j * stride + i] *= w->row[i].root;
        return;
    }
    for (size_t j = 0; j < n_columns; j += 4)
        whiten_four(w, from, n_columns - j, stride, columns + j * stride);
}
