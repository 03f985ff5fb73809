/*
 * climate_stretches.c - the sweep of one coat's time, stretch by stretch, with the tracks that serve each.
 */
#include "assess/climate/climate.h"

#include "numeric/dew_point.h"

#include <math.h>
#include <string.h>

/* Expanded uncertainty of a limit's quantity in the limit's unit: root of the sum of squares (JCGM 100, 5.1.2, from
 * memory), the dew point's share by its own slopes at the start of the window. */
static double uncertainty_of(const struct mr_period *p, const struct mr_climate_limit *row, enum mr_unit unit) {
    double temp_k = mr_set_num(p->settings, MR_CLIMATE_U_TEMP), rh_pct = mr_set_num(p->settings, MR_CLIMATE_U_RH),
           u = 0;
    temp_k = isnan(temp_k) ? 0 : temp_k;
    rh_pct = isnan(rh_pct) ? 0 : rh_pct;
    if (row->quantity == MR_Q_RH)
        return rh_pct;
    u = temp_k;
    if (row->quantity == MR_Q_SPREAD) {
        int64_t t = p->window->t0_utc_ms;
        double air = p->tracks.air == NULL ? MR_NAN : mr_track_at(p->tracks.air, t, p->gap_ms, NULL),
               rh = p->tracks.rh == NULL ? MR_NAN : mr_track_at(p->tracks.rh, t, p->gap_ms, NULL);
        double by_air = mr_dew_point_c(air + 0.5, rh) - mr_dew_point_c(air - 0.5, rh),
               by_rh = mr_dew_point_c(air, rh + 0.5) - mr_dew_point_c(air, rh - 0.5);
        bool logged = p->tracks.dew != NULL || isnan(by_air) || isnan(by_rh);
        u = logged ? hypot(temp_k, temp_k)
                   : sqrt(temp_k * temp_k * (1 + by_air * by_air) + rh_pct * rh_pct * by_rh * by_rh);
    }
    return fabs(mr_from_canonical(unit, u) - mr_from_canonical(unit, 0.0));
}

enum { STRETCH_MS = 60 * 1000 };

/* The judged time in stretches with tracks of their own: up to the window's end, then a minute at a time. A longer
 * cure time adds stretches and changes none, so it can never hide what a shorter one saw; and the zone's own probe
 * serves as long as it records, though it stops soon after the cure. */
void mr_sweep_stretches(struct mr_assess *a, struct mr_period *p, struct mr_dew_compare *compare) {
    struct mr_climate_tracks own = {0};
    mr_sweep_begin(p->n, p->watch, p->extremes);
    for (int64_t from = p->from_ms, until; from < p->to_ms || from == p->from_ms; from = until) {
        struct mr_period stretch = *p;
        stretch.from_ms = from;
        stretch.to_ms = from == p->from_ms ? p->window->t1_utc_ms : from + STRETCH_MS;
        mr_choose_tracks(a, &stretch);
        until = stretch.to_ms < p->to_ms ? stretch.to_ms : p->to_ms;
        if (from == p->from_ms) {
            own = p->tracks = stretch.tracks;
            for (size_t i = 0; i < p->n; i++)
                p->watch[i].uncertainty = uncertainty_of(p, p->row[i], p->watch[i].unit);
        }
        mr_sweep_on(&stretch.tracks, from, until, p->gap_ms, p->n, p->watch, p->extremes, stretch.logged_dew,
                    stretch.logged_dew == NULL ? NULL : &compare[stretch.dew_index]);
        struct mr_climate_stretch *last = p->stretches.n ? &p->stretches.v[p->stretches.n - 1] : NULL;
        if (last != NULL && memcmp(&last->tracks, &stretch.tracks, sizeof last->tracks) == 0) {
            last->to_ms = until;
        } else {
            struct mr_climate_stretch fresh = {from, until, stretch.tracks};
            MR_PUSH(a->arena, &p->stretches, fresh);
        }
        if (until == from)
            break;
    }
    mr_sweep_end(p->n, p->watch);
    p->tracks = own;
}
