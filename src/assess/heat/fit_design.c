/*
 * fit_design.c - see fit_design.h.
 */
#include "assess/heat/fit_design.h"

#include <math.h>
#include <string.h>

/* Where nothing is known of steel and material: cooling constant and rate by the slowest event, and deviations of
 * their logarithms so wide that any data outweigh them. */
static const double ANY_COOLING = 0.8, ANY_COOLING_LOG_SD = 1.0, ANY_RATE = 22.0, ANY_RATE_LOG_SD = 1.5;
static const double CLIMB_OFF = 0.015, TAIL_OFF = 0.004, LEAST_NOISE = 0.002; /* shares of the rise */

/* How far from its first bin a sample of the fit may reach: bins of the pulses stay as they are, those farther away
 * go four by four. Nothing there changes within so short a time that the fit would see. */
static double reach_of(const struct mr_heat_task *task, double unit_s, double t_s) {
    bool near = t_s >= task->candidates[0].onset_s - unit_s / 12.0 &&
                t_s <= task->candidates[task->m - 1].peak_s + unit_s / 2.0;
    return near ? 0.0 : fmin(3.5 * task->bins->step_s, unit_s / 45.0);
}

static void gather(const struct mr_heat_task *task, struct mr_fit_design *d) {
    const struct mr_heat_bins *b = task->bins;
    double size = 0.0;
    for (size_t j = 0; j < task->m; j++)
        size = fmax(size, task->candidates[j].peak_c - task->candidates[j].valley_c);
    bool exact = b->noise_k < LEAST_NOISE * size; /* the mean of a bent curve is not its middle */
    for (size_t i = task->from; i < task->to; d->n++) {
        double begin = b->t_s[i], reach = exact ? 0.0 : reach_of(task, d->unit_s, begin), t = 0.0, c = 0.0, w = 0.0;
        do {
            t += b->weight[i] * b->t_s[i];
            c += b->weight[i] * b->c[i];
            w += b->weight[i];
            i++;
        } while (i < task->to && b->t_s[i] - begin < reach && reach_of(task, d->unit_s, b->t_s[i]) >= reach);
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
    size_t n_references = 0, n = d->n;
    double *seen = MR_ARRAY(task->work, double, n * 2 * MR_HEAT_REFERENCES);
    if (task->references)
        n_references = mr_heat_references(task, n, d->t_s, d->c, seen);
    d->n_base = MR_FIT_LINE + n_references;
    d->base = MR_ARRAY(task->work, double, d->stride * d->n_base);
    for (size_t i = 0; i < n; i++) {
        double u = (d->t_s[i] - d->zero_s) / d->unit_s;
        d->base[i] = 1.0;
        d->base[d->stride + i] = u;
        d->base[2 * d->stride + i] = u * u;
    }
    for (size_t j = 0; j < n_references; j++)
        memcpy(d->base + (MR_FIT_LINE + j) * d->stride, seen + j * n, n * sizeof *seen);
}

static void make_room(const struct mr_heat_task *task, struct mr_fit_design *d) {
    size_t pulses = 3 * d->m + 1, columns = d->n_base + 4 * d->m + pulses + 2 + 2 * MR_FIT_WIDTH(d);
    struct mr_heat_room *room = task->room;
    if (room->n < columns * d->stride) { /* fresh pages for every fit would cost as much as the fit */
        mr_arena_drop(task->scratch, room->v);
        room->n = columns * d->stride + columns * d->stride / 2;
        room->v = MR_ARRAY(task->scratch, double, room->n);
    }
    d->q = room->v;
    d->raw = d->q + d->n_base * d->stride;
    d->pulse = d->raw + 4 * d->m * d->stride;
    d->left = d->pulse + pulses * d->stride;
    d->record = d->left + d->stride;
    d->work = d->record + d->stride;
    d->filter.row = MR_ARRAY(task->work, struct mr_whiten_row, d->n);
    d->trial.row = MR_ARRAY(task->work, struct mr_whiten_row, d->n);
    d->normal = MR_NEW(task->work, struct mr_fit_normal);
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
    d->excess = MR_ARRAY(task->work, double, room);
    gather(task, d);
    allow_for_shape(task, d);
    if (d->n < MR_FIT_LINE + 3 * d->m + 4)
        return false;
    d->shift_c = d->c[0];
    for (size_t i = 0; i < d->n; i++) {
        d->c[i] -= d->shift_c;
        d->total += d->weight[i] * d->c[i] * d->c[i];
    }
    d->stride = d->n;
    lay_base(task, d);
    if (d->n < d->n_base + 3 * d->m + 4)
        return false;
    make_room(task, d);
    d->sigma2 = task->bins->noise_k * task->bins->noise_k;
    d->weather = (struct mr_disturbance){.flux = 0.0, .rate = 1.0, .loss = 1.0};
    return mr_fit_settle_base(d);
}
