/*
 * heat_model.c - the fitted curve of an event, for charts and the workbook.
 */
#include "assess/heat/heat.h"

#include <math.h>

/* Straight between the moments that were kept, level outside them. */
static double shared_k(const struct mr_heat_event *event, int64_t t_utc_ms) {
    const struct mr_heat_share *s = event->shared;
    size_t i = 0;
    if (event->n_shared == 0)
        return 0;
    while (i < event->n_shared && s[i].t_utc_ms <= t_utc_ms)
        i++;
    if (i == 0 || i == event->n_shared)
        return s[i ? i - 1 : 0].k;
    const double part = (double)(t_utc_ms - s[i - 1].t_utc_ms) / (double)(s[i].t_utc_ms - s[i - 1].t_utc_ms);
    return s[i - 1].k + part * (s[i].k - s[i - 1].k);
}

double mr_heat_without_c(const struct mr_heat_event *event, int64_t t_utc_ms) {
    if (t_utc_ms < event->t_baseline || isnan(event->line_c))
        return MR_NAN;
    double u = (double)(t_utc_ms - event->t_onset) * 1e-3;
    double c = event->line_c + u * (event->drift_k_per_s + u * event->bend_k_per_s2) + shared_k(event, t_utc_ms);
    for (size_t i = 0; i < event->n_carried; i++) {
        const struct mr_heat_term *term = &event->carried[i];
        struct mr_heat_curve tail = {-term->before_s, term->adiabatic_k, term->k_per_s, term->tau_s};
        c += mr_heat_rise(&tail, u);
    }
    return c;
}

double mr_heat_model_c(const struct mr_heat_event *event, int64_t t_utc_ms) {
    if (isnan(event->rise_adiabatic_k))
        return MR_NAN;
    struct mr_heat_curve own = {0.0, event->rise_adiabatic_k, event->k_per_s, event->tau_s};
    return mr_heat_without_c(event, t_utc_ms) + mr_heat_rise(&own, (double)(t_utc_ms - event->t_onset) * 1e-3);
}
