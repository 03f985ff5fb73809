/*
 * lags.h - temperature loggers against each other by the delay of their onsets behind the starts of the windows.
 */
#ifndef MILRISE_ALIGN_LAGS_H
#define MILRISE_ALIGN_LAGS_H

#include "milrise/arena.h"

struct mr_lag { /* of one onset */
    size_t clock, track, zone;
    double lag_ms;   /* onset as shown minus start of its window */
    double width_ms; /* of the window */
};
typedef MR_VEC(struct mr_lag) mr_lags;

struct mr_lag_result {
    bool found;
    double offset_ms, spread_ms; /* shown minus the reference clock; half width of the 95 % interval */
    size_t events, places;       /* place: one probe on one zone */
};

/** mr_lags_compare - results: shape n_clocks. Returns the clock that serves as reference, MR_NONE where there is
 * none. out_loggers: how many loggers were compared. Two are compared without telling which of them is wrong. */
size_t mr_lags_compare(struct mr_arena *arena, const mr_lags *lags, size_t n_clocks, struct mr_lag_result *results,
                       size_t *out_loggers);

#endif
