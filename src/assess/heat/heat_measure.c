/*
 * heat_measure.c - the figures of one event. See heat.h.
 *
 * The plain figures are read off the record: the baseline is a straight line through what comes before the onset,
 * carried to the onset; the peak is the greatest mean of as many neighbours as the noise demands. Where the fit
 * serves, time above half rise and area are taken above the fitted line and the tails of earlier coats, else above
 * the baseline.
 */
#include "assess/heat/heat_group.h"

#include <math.h>

struct span {           /* bins of one event */
    size_t onset, stop; /* [onset, stop) */
    size_t before;      /* first bin of its baseline */
};

/* Straight line through bins [from, to) carried to t_s; se of that value. */
static double line_at(const struct mr_heat_bins *b, size_t from, size_t to, double t_s, double *out_se) {
    double n = (double)(to - from), mt = 0.0, mc = 0.0, stt = 0.0, stc = 0.0;
    for (size_t i = from; i < to; i++) {
        mt += b->t_s[i] / n;
        mc += b->c[i] / n;
    }
    for (size_t i = from; i < to; i++) {
        stt += (b->t_s[i] - mt) * (b->t_s[i] - mt);
        stc += (b->t_s[i] - mt) * (b->c[i] - mc);
    }
    if (n < 4.0 || stt <= 0.0) { /* too few for a slope */
        *out_se = b->noise_k / sqrt(n);
        return mc;
    }
    *out_se = b->noise_k * sqrt(1.0 / n + (t_s - mt) * (t_s - mt) / stt);
    return mc + stc / stt * (t_s - mt);
}

static void measure_baseline(const struct mr_heat_bins *b, const struct span *s, struct mr_heat_found *e) {
    double se;
    if (s->onset > s->before) {
        e->baseline_c = line_at(b, s->before, s->onset, e->onset_s, &se);
    } else {
        e->baseline_c = b->c[s->onset];
        se = b->noise_k;
    }
    e->rise_se_k = se;
    e->baseline_from_s = b->t_s[s->before];
    e->no_baseline = s->onset < s->before + 3;
}

/* Greatest mean of `many` neighbours, and of its middle the time. */
static void measure_peak(const struct mr_heat_bins *b, const struct span *s, size_t many, struct mr_heat_found *e) {
    double sum = 0.0, best = -HUGE_VAL;
    size_t at = s->onset;
    for (size_t i = s->onset; i < s->stop; i++) {
        sum += b->c[i];
        if (i - s->onset >= many)
            sum -= b->c[i - many];
        if (i - s->onset + 1 >= many && sum / (double)many > best) {
            best = sum / (double)many;
            at = i - (many - 1) / 2;
        }
    }
    e->peak_c = best;
    e->peak_s = b->t_s[at];
    e->rise_k = e->peak_c - e->baseline_c;
    e->rise_se_k = hypot(e->rise_se_k, b->noise_k / sqrt((double)many));
    e->no_peak = at + 1 + many / 2 + 1 >= s->stop;
}

static void measure_rate(const struct mr_heat_bins *b, const struct span *s, const struct mr_heat_found *e,
                         double *out) {
    size_t top = mr_heat_bin_at(b, e->peak_s), many = (top > s->onset ? top - s->onset : 0) / 5;
    if (many < 2)
        many = 2;
    *out = 0.0;
    size_t first = s->onset > s->before ? s->onset - 1 : s->onset;
    for (size_t i = first; i + many < s->stop && i < top; i++) {
        double n = (double)(many + 1), mt = 0.0, mc = 0.0, stt = 0.0, stc = 0.0;
        for (size_t j = i; j <= i + many; j++) {
            mt += b->t_s[j] / n;
            mc += b->c[j] / n;
        }
        for (size_t j = i; j <= i + many; j++) {
            stt += (b->t_s[j] - mt) * (b->t_s[j] - mt);
            stc += (b->t_s[j] - mt) * (b->c[j] - mc);
        }
        *out = fmax(*out, stc / stt);
    }
}

/* What the steel would have been without this event. */
static double without(const struct mr_heat_found *e, double t_s) {
    if (e->fit != MR_FIT_OK)
        return e->baseline_c;
    return mr_heat_found_c(e, t_s) - mr_heat_rise(&e->curve, t_s);
}

static void measure_area(const struct mr_heat_bins *b, const struct span *s, struct mr_heat_found *e) {
    double half = 0.5 * (e->fit == MR_FIT_OK ? e->rise_fit_k : e->rise_k);
    e->area_k_s = e->time_above_half_s = 0.0;
    double last_t = e->onset_s, last = 0.0;
    for (size_t i = s->onset; i < s->stop; i++) {
        double above = b->c[i] - without(e, b->t_s[i]), dt = b->t_s[i] - last_t;
        e->area_k_s += 0.5 * (last + above) * dt;
        if (last >= half && above >= half)
            e->time_above_half_s += dt;
        else if ((last >= half) != (above >= half))
            e->time_above_half_s += dt * (fmax(last, above) - half) / fabs(above - last);
        last_t = b->t_s[i];
        last = above;
    }
    e->end_s = last_t;
}

/* Neighbours whose mean has a noise of 1 % of the rise, at most a sixth of the climb. */
static size_t peak_neighbours(const struct mr_heat_bins *b, const struct span *s, double rise, double peak_s) {
    size_t top = mr_heat_bin_at(b, peak_s), climb = top > s->onset ? top - s->onset : 1;
    double ratio = rise > 0.0 ? b->noise_k / (0.01 * rise) : 1.0;
    double many = fmin(fmax(ceil(ratio * ratio), 1.0), fmax((double)(climb / 6), 1.0));
    size_t room = s->stop - s->onset;
    return (size_t)many < room ? (size_t)many : room;
}

static void take_fit(struct mr_heat_finder *f, const struct mr_heat_group *g, size_t j, struct mr_heat_found *e) {
    e->curve = (struct mr_heat_curve){MR_NAN, MR_NAN, MR_NAN, MR_NAN};
    e->onset_se_s = e->adiabatic_se_k = e->k_se = e->tau_se = e->rise_fit_k = e->rise_fit_se_k = MR_NAN;
    e->line_c = e->drift_k_per_s = e->bend_k_per_s2 = e->rmse_k = MR_NAN;
    e->fit_note = "";
    if (g->status != MR_OK) {
        e->fit = g->status == MR_E_FEW ? MR_FIT_NONE : MR_FIT_NO_CONVERGENCE;
        e->fit_note = g->aside ? "outside the spray windows that this probe may speak for, so not fitted"
                      : g->status == MR_E_FEW ? "too few samples for a fit"
                                              : "the fit did not converge";
        return;
    }
    const struct mr_heat_fit *fit = &g->fit;
    if (!(fit->rise_se[j] <= 0.5 * fit->rise[j])) { /* no number stands beside a fit that settles nothing */
        e->fit = MR_FIT_POOR;
        e->fit_note = "the record does not settle the curve";
        return;
    }
    e->curve = fit->curve[j];
    e->onset_se_s = fit->onset_se[j];
    e->adiabatic_se_k = fit->adiabatic_se[j];
    e->k_se = fit->k_se[j];
    e->tau_se = fit->tau_se;
    e->rise_fit_k = fit->rise[j];
    e->rise_fit_se_k = fit->rise_se[j];
    double u = e->curve.onset_s - fit->line_at_s;
    e->line_c = fit->line_c + u * (fit->drift_k_per_s + u * fit->bend_k_per_s2);
    e->drift_k_per_s = fit->drift_k_per_s + 2.0 * u * fit->bend_k_per_s2;
    e->bend_k_per_s2 = fit->bend_k_per_s2;
    e->rmse_k = fit->rmse_k;
    e->disturbance = fit->disturbance;
    e->noise_k = f->bins->noise_k;
    e->resolution_k = f->bins->resolution_k;
    e->n_references = fit->n_references;
    e->shared = fit->shared;
    e->misfit = fit->misfit;
    e->gust_log_sd = fit->gust_log_sd[j];
    e->fit = MR_FIT_OK;
    if (e->adiabatic_se_k > 0.5 * e->curve.adiabatic_k) {
        e->fit_note = "the cooling was not seen for long enough to put the lost heat back";
    } else if (g->m > 1) {
        e->fit_note = "fitted together with the overlapping coats";
    }
}

static void keep_carried(struct mr_heat_finder *f, struct mr_heat_found *e, const struct mr_heat_group *g, size_t j) {
    size_t n = f->carried.n;
    struct mr_heat_curve *carried = MR_ARRAY(f->arena, struct mr_heat_curve, n + j);
    for (size_t i = 0; i < n; i++)
        if (mr_heat_rise(&f->carried.v[i], e->onset_s) > 1e-6)
            carried[e->n_carried++] = f->carried.v[i];
    for (size_t i = 0; i < j; i++)
        carried[e->n_carried++] = g->fit.curve[i];
    e->carried = carried;
}

void mr_heat_measure(struct mr_heat_finder *f, const struct mr_heat_group *g, size_t j, double quiet_from_s) {
    const struct mr_heat_bins *b = f->bins;
    const struct mr_heat_candidate *c = &g->event[j];
    struct mr_heat_found e = {.onset_s = c->onset_s, .aside = g->aside};
    take_fit(f, g, j, &e);
    double next = j + 1 < g->m ? g->event[j + 1].onset_s : g->next_s, first = b->t_s[c->segment_from];
    if (e.fit == MR_FIT_OK) {
        e.onset_s = e.curve.onset_s;
        if (j + 1 < g->m)
            next = g->fit.curve[j + 1].onset_s;
        keep_carried(f, &e, g, j);
    }
    struct span s = {.onset = mr_heat_bin_at(b, fmax(e.onset_s, first))};
    double pre = fmax(e.onset_s - fmax(b->slowest_s / 6.0, 3.0 * b->step_s), quiet_from_s);
    s.before = mr_heat_bin_at(b, fmax(pre, first));
    if (s.before > s.onset)
        s.before = s.onset;
    s.stop = mr_heat_bin_at(b, fmin(next, c->end_s + b->step_s / 2.0));
    if (s.stop > c->segment_to)
        s.stop = c->segment_to;
    if (s.stop <= s.onset) /* a knee narrower than a bin */
        s.stop = s.onset + 1;
    if (s.onset >= c->segment_to)
        return;
    measure_baseline(b, &s, &e);
    size_t many = peak_neighbours(b, &s, c->peak_c - c->valley_c, c->peak_s);
    /* The sun may carry the steel on after the reaction: the highest point is looked for near the peak. */
    struct span top = s;
    if (e.fit == MR_FIT_OK) {
        top.stop = mr_heat_bin_at(b, e.onset_s + 2.0 * mr_heat_peak_delay(&e.curve));
        top.stop = top.stop < top.onset + many ? top.onset + many : top.stop;
        top.stop = top.stop > s.stop ? s.stop : top.stop;
    }
    measure_peak(b, &top, many, &e);
    e.no_peak = e.fit == MR_FIT_OK ? e.onset_s + mr_heat_peak_delay(&e.curve) > b->t_s[c->segment_to - 1]
                                   : e.no_peak && s.stop == c->segment_to;
    measure_rate(b, &s, &e, &e.rate_k_per_s);
    measure_area(b, &s, &e);
    MR_PUSH(f->arena, f->out, e);
}
