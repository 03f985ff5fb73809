/*
 * heat_reference.c - what other probes saw at the same times: weather that all of them share is no reaction.
 *
 * Two plates under one sky follow each other but for their exposure and their cooling constants: with the flux S into
 * both, T1' + p1 T1 = g (T2' + p2 T2), so T1 is a sum of T2 and of T2 passed through a store with the loss p1. Each
 * reference therefore gives two columns, itself and itself so delayed, and the fit finds their shares. Only
 * references whose changes over a few minutes go with the record's are taken, the closest first: an idle column costs
 * precision and gives nothing.
 */
#include "assess/heat/heat.h"
#include "numeric/search.h"

#include <math.h>
#include <string.h>

static const double WORTH_TAKING = 0.15; /* share of the record's changes that it explains */

static const double NEAR_K = 0.4; /* agreement of two thermometers in one air; common practice, no source */

static double moment_s(const struct mr_heat_task *task, int64_t t_ms) {
    return (double)(t_ms - task->zero_ms) * 1e-3;
}

/* Mean of the reference over each cell of the record's samples, by its neighbours where a cell holds none; false
 * where it has a gap or was itself sprayed. */
static bool sample(const struct mr_heat_task *task, const struct mr_heat_reference *r, size_t n, const double *t_s,
                   double *out) {
    double gap = fmax(task->bins->slowest_s / 6.0, 1.5 * task->bins->step_s);
    int64_t from = task->zero_ms + (int64_t)((t_s[0] - gap) * 1e3);
    int64_t to = task->zero_ms + (int64_t)((t_s[n - 1] + gap) * 1e3);
    for (size_t i = 0; i < r->n_busy; i++)
        if (r->busy_ms[i][0] <= to && r->busy_ms[i][1] >= from)
            return false;
    size_t at = mr_wholes_first(&r->t_ms, r->n, from);
    double last_t = MR_NAN, last = MR_NAN;
    for (size_t i = 0; i < n; i++) {
        double end = i + 1 < n ? 0.5 * (t_s[i] + t_s[i + 1]) : t_s[i] + 0.5 * (t_s[i] - t_s[i ? i - 1 : 0]);
        double sum = 0.0, sum_t = 0.0, count = 0.0;
        for (; at < r->n; at++) {
            const double t = moment_s(task, mr_whole(&r->t_ms, at)), c = mr_real(&r->value, at);
            if (t >= end)
                break;
            if (isnan(c))
                continue;
            sum += c;
            sum_t += t;
            count += 1.0;
        }
        if (count > 0.0) {
            last = sum / count;
            last_t = sum_t / count;
        }
        if (count > 0.0 && fabs(last_t - t_s[i]) < task->bins->step_s) {
            out[i] = last;
            continue;
        }
        size_t next = at;
        while (next < r->n && isnan(mr_real(&r->value, next)))
            next++;
        double next_t = next < r->n ? moment_s(task, mr_whole(&r->t_ms, next)) : MR_NAN;
        if (!isnan(last) && !isnan(next_t) && next_t - last_t <= gap)
            out[i] = last + (mr_real(&r->value, next) - last) * fmax(t_s[i] - last_t, 0.0) / (next_t - last_t);
        else if (!isnan(last) && t_s[i] - last_t <= gap)
            out[i] = last;
        else if (!isnan(next_t) && next_t - t_s[i] <= gap)
            out[i] = mr_real(&r->value, next);
        else
            return false;
    }
    return true;
}

/* Through a store that loses at `loss`, at rest before the first sample. */
static void delay(size_t n, const double *t_s, const double *in, double loss, double *out) {
    out[0] = in[0];
    for (size_t i = 1; i < n; i++) {
        double dt = t_s[i] - t_s[i - 1], keep = exp(-loss * dt), mean = (1.0 - keep) / (loss * dt);
        out[i] = keep * out[i - 1] + (1.0 - mean) * in[i] + (mean - keep) * in[i - 1];
    }
}

static void centre(double *v, size_t n) {
    double mean = 0.0;
    for (size_t i = 0; i < n; i++)
        mean += v[i] / (double)n;
    for (size_t i = 0; i < n; i++)
        v[i] -= mean;
}

static bool in_pulse(const struct mr_heat_task *task, double t_s) {
    for (size_t j = 0; j < task->m; j++)
        if (t_s > task->candidates[j].onset_s - task->bins->slowest_s / 18.0 &&
            t_s < fmax(task->candidates[j].peak_s, task->candidates[j].onset_s + task->bins->slowest_s / 6.0))
            return true;
    return false;
}

/* Share of the record's changes over some minutes, outside the pulses, that go with those of a column. */
static double explained(const struct mr_heat_task *task, size_t n, const double *t_s, const double *c,
                        const double *column) {
    double lag = task->bins->slowest_s / 12.0, xx = 0.0, xy = 0.0, yy = 0.0;
    for (size_t i = 0, j = 0; j < n; j++) {
        while (t_s[j] - t_s[i] > lag)
            i++;
        if (t_s[j] - t_s[i] < 0.5 * lag || in_pulse(task, t_s[i]) || in_pulse(task, t_s[j]))
            continue;
        double dx = column[j] - column[i], dy = c[j] - c[i];
        xx += dx * dx;
        xy += dx * dy;
        yy += dy * dy;
    }
    return xx > 0.0 && yy > 0.0 ? xy * xy / (xx * yy) : 0.0;
}

static double loss_of(const struct mr_heat_task *task) {
    return task->usual && task->usual->tau_s > 0.0 ? 1.0 / task->usual->tau_s : 2.0 / task->bins->slowest_s;
}

size_t mr_heat_references(const struct mr_heat_task *task, size_t n, const double *t_s, const double *c,
                          double *out) {
    const struct mr_heat_references *all = task->references;
    double loss = loss_of(task);
    double *seen = MR_ARRAY(task->work, double, 2 * n), share[MR_HEAT_REFERENCES] = {0.0};
    size_t taken = 0;
    for (size_t r = 0; r < all->n; r++) {
        if (!sample(task, &all->v[r], n, t_s, seen))
            continue;
        delay(n, t_s, seen, loss, seen + n);
        double worth = fmax(explained(task, n, t_s, c, seen), explained(task, n, t_s, c, seen + n));
        if (worth < WORTH_TAKING)
            continue;
        size_t at = taken < MR_HEAT_REFERENCES ? taken : 0;
        for (size_t i = 0; taken == MR_HEAT_REFERENCES && i < taken; i++)
            at = share[i] < share[at] ? i : at;
        if (taken == MR_HEAT_REFERENCES && share[at] >= worth)
            continue;
        taken += taken < MR_HEAT_REFERENCES;
        share[at] = worth;
        centre(seen, n);
        centre(seen + n, n);
        memcpy(out + 2 * at * n, seen, 2 * n * sizeof *out);
    }
    return 2 * taken;
}

/* Half the mean square of changes over `lag_s`. */
static double changes(size_t n, const double *t_s, const double *v, double lag_s) {
    double sum = 0.0, count = 0.0;
    for (size_t i = 0, j = 1; j < n; j++) {
        while (i + 1 < j && t_s[j] - t_s[i + 1] >= lag_s)
            i++;
        if (t_s[j] - t_s[i] < lag_s || t_s[j] - t_s[i] > 2.0 * lag_s)
            continue;
        sum += 0.5 * (v[j] - v[i]) * (v[j] - v[i]);
        count += 1.0;
    }
    return count > 0.0 ? sum / count : MR_NAN;
}

/* Half the mean square of changes of the record c over what the air would make of it. */
static double apart(size_t n, const double *t_s, const double *c, const double *air, double lag_s, double *work) {
    for (size_t i = 0; i < n; i++)
        work[i] = c[i] - air[i];
    return changes(n, t_s, work, lag_s);
}

/* Steel follows the air as through a store: where the air stirs, a record that the store explains better is steel's,
 * and one that the air itself explains much better is none. */
bool mr_heat_as_the_air(const struct mr_heat_task *task, size_t n, const double *t_s, const double *c,
                        double shift_c) {
    double *air = MR_ARRAY(task->work, double, 3 * n), *stored = air + n, *work = stored + n;
    double lag = task->bins->slowest_s / 3.0;
    for (size_t r = 0; r < task->references->n; r++) {
        if (!task->references->v[r].air || !sample(task, &task->references->v[r], n, t_s, air))
            continue;
        delay(n, t_s, air, loss_of(task), stored);
        double moves = changes(n, t_s, air, lag), mean = 0.0;
        double slow = apart(n, t_s, c, air, lag, work), as_steel = apart(n, t_s, c, stored, lag, work);
        double quick = apart(n, t_s, c, air, 0.9 * task->bins->step_s, work);
        for (size_t i = 0; i < n; i++)
            mean += (c[i] + shift_c - air[i]) / (double)n;
        bool still = !(moves > 3.0 * quick); /* air that does not stir tells nothing */
        /* Half the mean square of the difference of two rounding errors. */
        slow -= task->bins->resolution_k * task->bins->resolution_k / 12.0;
        bool close = still ? slow < 2.0 * quick + 0.01
                           : slow < as_steel &&
                                 (slow < 1.5 * quick + 0.1 * moves || (slow < 0.5 * moves && slow < 0.5 * as_steel));
        if (fabs(mean) < NEAR_K && close)
            return true;
    }
    return false;
}
