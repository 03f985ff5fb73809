/*
 * climate_verdict.c - the outcome of one limit over one coat's time, from what its watch has seen.
 */
#include "assess/climate/climate.h"

#include <math.h>

bool mr_climate_too_near(const struct mr_watch *w) {
    return w->uncertainty > 0.0 &&
           (w->upper ? mr_above(w->worst, w->limit - w->uncertainty) : mr_below(w->worst, w->limit + w->uncertainty));
}

/* Excursions kept apart clear nothing where they may have been longer, or keep coming back. */
static bool leaves_doubt(const struct mr_watch *w) {
    return w->brief_open || w->brief_ms > (double)w->response_ms;
}

enum mr_outcome mr_climate_judge(const struct mr_period *p, const struct mr_watch *w) {
    double tolerated_s = mr_set_num(p->settings, MR_CLIMATE_OUT_MAX),
           tolerated = isnan(tolerated_s) ? 0.0 : tolerated_s * 1000.0;
    bool out = tolerated > 0.0 ? mr_above(w->out_ms, tolerated) : w->first_out_ms != MR_T_NONE;
    if (out)
        return MR_DOES_NOT_CONFORM;
    if (leaves_doubt(w) && mr_above(w->out_ms + w->brief_ms, tolerated))
        return MR_NOT_SHOWN;
    if (mr_climate_too_near(w) && w->n_brief == 0 && w->first_out_ms == MR_T_NONE)
        return MR_NOT_SHOWN;
    if (w->unheard || w->lost || w->unplaced)
        return MR_NOT_SHOWN;
    return mr_below(w->coverage_pct, mr_set_num(p->settings, MR_CLIMATE_COVER)) ? MR_NOT_SHOWN : MR_CONFORMS;
}
