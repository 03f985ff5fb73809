/* The fitted curve for a test program that links without the heat part; the library's own takes its place where it is there. */
#include "milrise/assess.h"

#include <math.h>

__attribute__((weak)) double mr_heat_model_c(const struct mr_heat_event *e, int64_t t_utc_ms) {
    const double s = (double)(t_utc_ms - e->t_onset) / 1000, a = e->k_per_s * e->tau_s;
    return e->baseline_c + (s <= 0 ? 0 : e->rise_adiabatic_k * a / (a - 1) * (exp(-s / e->tau_s) - exp(-e->k_per_s * s)));
}
