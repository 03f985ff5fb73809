/*
 * line_tracks.c - which logger speaks for the lines over a stretch of time.
 */
#include "assess/lines/line_tracks.h"

#include "assess/climate/sweep.h"

/* A logger that the job or its own export ties to another zone at that time says nothing about this one. */
static bool stands_elsewhere(const struct mr_track *track, size_t zone, int64_t t0_ms, int64_t t1_ms) {
    bool elsewhere = false;
    for (size_t i = 0; i < track->stays.n; i++) {
        const struct mr_stay *s = &track->stays.v[i];
        if (s->route > MR_ROUTE_ASSIGNED || s->zone == MR_NONE || s->t1_utc_ms < t0_ms || s->t0_utc_ms > t1_ms)
            continue;
        if (s->zone == zone)
            return false;
        elsewhere = true;
    }
    return elsewhere;
}

struct mr_line_tracks mr_line_tracks_of(const struct mr_alignment *aligned, size_t clock, size_t zone, int64_t t0_ms,
                                        int64_t t1_ms, int64_t gap_ms) {
    struct mr_line_tracks out = {NULL, NULL, NULL};
    double best[3] = {-1.0, -1.0, -1.0};
    const struct mr_track **slot[3] = {&out.a, &out.b, &out.main};
    static const enum mr_meaning meaning[3] = {MR_M_LINE_A, MR_M_LINE_B, MR_M_MAIN};
    for (size_t i = 0; i < aligned->tracks.n; i++) {
        const struct mr_track *track = &aligned->tracks.v[i];
        for (size_t k = 0; k < 3; k++) {
            if (track->meaning != meaning[k] || track->n == 0 || (clock != MR_NONE && track->clock != clock) ||
                (zone != MR_NONE && stands_elsewhere(track, zone, t0_ms, t1_ms)))
                continue;
            double covered = mr_track_cover_ms(track, t0_ms, t1_ms, gap_ms);
            if (covered > best[k]) {
                best[k] = covered;
                *slot[k] = track;
            }
        }
    }
    return out;
}

struct mr_line_tracks mr_line_tracks_for(const struct mr_alignment *aligned, size_t zone, int64_t t0_ms,
                                         int64_t t1_ms, int64_t gap_ms) {
    return mr_line_tracks_of(aligned, MR_NONE, zone, t0_ms, t1_ms, gap_ms);
}
