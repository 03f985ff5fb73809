/*
 * other_tracks.c - every instrument that stands for a zone has a say.
 *
 * Two hygrometers in one job, neither assigned to a zone: which of them speaks must not hang on their names. Each
 * that stands for the zone as well as the chosen one is swept too, and the one that shows a limit missed decides. The
 * same goes for several probes on one zone, and for a dew point that an instrument logs beside the air and humidity
 * from which it follows, where the two differ by more than they may.
 *
 * That one instrument is placed on the zone says nothing of where another one stood. One that nobody places may have
 * stood there too: what it shows missed is not missed for that, and what the placed one shows kept is not shown.
 */
#include "assess/climate/climate.h"

#include <string.h>

/* How well a track stands for the zone, at best, while the period lasts. */
int mr_period_rank(const struct mr_track *track, const struct mr_period *p) {
    if (track == NULL)
        return 0;
    const int64_t at[] = {p->from_ms, p->window->t0_utc_ms, p->window->t1_utc_ms, p->to_ms};
    int best = 0;
    for (size_t i = 0; i < MR_COUNT(at); i++) {
        const int rank = mr_track_rank(track, p->window->zone, at[i]);
        best = rank > best ? rank : best;
    }
    return best;
}

static bool same_instrument(const struct mr_track *a, const struct mr_track *b) {
    return a->clock == b->clock && strcmp(a->instrument, b->instrument) == 0;
}

/* A cut track borrows the name of its whole one. */
static bool same_track(const struct mr_track *a, const struct mr_track *b) {
    return b != NULL && a->meaning == b->meaning && same_instrument(a, b) && strcmp(a->channel, b->channel) == 0;
}

/* The track of a meaning from the same instrument; NULL. */
static const struct mr_track *beside(struct mr_assess *a, const struct mr_period *p, const struct mr_track *track,
                                     enum mr_meaning meaning) {
    for (size_t i = 0; i < a->aligned->tracks.n; i++) {
        const struct mr_track *other = &a->aligned->tracks.v[i];
        if (other->meaning == meaning && same_instrument(other, track) && mr_period_rank(other, p) > 0)
            return mr_track_while_there(a, other, p);
    }
    return NULL;
}

/* How a track that may be heard stands beside the chosen one. */
enum standing { NOT_HEARD, AS_WELL, UNPLACED /* beside one that is placed */ };

static enum standing standing_of(const struct mr_period *p, const struct mr_track *track,
                                 const struct mr_track *chosen) {
    const int rank = mr_period_rank(track, p), other = mr_period_rank(chosen, p);
    const bool probe = track->meaning == MR_M_PROBE_TEMP;
    if (same_track(track, chosen) || rank == 0 || (probe && rank < 2))
        return NOT_HEARD;
    return rank >= other ? AS_WELL : UNPLACED;
}

/* The set of tracks in which `track` takes the place of the chosen one. */
static enum standing set_with(struct mr_assess *a, const struct mr_period *p, const struct mr_track *track,
                              struct mr_climate_tracks *out) {
    const struct mr_track *there = mr_track_while_there(a, track, p), *own;
    const struct mr_track *chosen;
    *out = p->tracks;
    switch ((int)track->meaning) {
    case MR_M_RH:
        chosen = p->tracks.rh;
        out->rh = there;
        own = beside(a, p, track, MR_M_AIR);
        out->air = own != NULL ? own : out->air;
        out->dew = beside(a, p, track, MR_M_DEW);
        break;
    case MR_M_AIR:
        chosen = p->tracks.air;
        out->air = there;
        own = beside(a, p, track, MR_M_RH);
        out->rh = own != NULL ? own : out->rh;
        out->dew = NULL;
        break;
    case MR_M_DEW:
        chosen = p->tracks.dew;
        out->dew = there;
        break;
    case MR_M_STEEL:
    case MR_M_PROBE_TEMP:
        chosen = p->tracks.steel;
        out->steel = there;
        break;
    default:
        return NOT_HEARD;
    }
    return standing_of(p, track, chosen);
}

/* Notes that tracks with one that nobody places show limit i missed; the first such stays. */
static void hold_unplaced(struct mr_period *p, size_t i, const struct mr_climate_tracks *tracks,
                          const struct mr_watch *watch) {
    if (p->unplaced[i].tracks != NULL)
        return;
    p->unplaced[i] = (struct mr_unplaced){tracks, *watch};
    p->watch[i].unplaced = true;
}

/* Where the other tracks show a limit missed that the chosen ones keep, theirs is the result; or, of tracks that
 * nobody places, a reason to show nothing. */
static void hear(struct mr_assess *a, struct mr_period *p, const struct mr_climate_tracks *tracks,
                 enum standing standing, const struct mr_watch *fresh) {
    struct mr_watch watch[MR_CLIMATE_LIMITS];
    struct mr_extremes extremes[MR_Q_COUNT];
    memcpy(watch, fresh, sizeof watch);
    mr_sweep(tracks, p->from_ms, p->to_ms, p->gap_ms, p->n, watch, extremes, NULL, NULL);
    struct mr_climate_tracks *kept = NULL;
    for (size_t i = 0; i < p->n; i++) {
        const enum mr_outcome here = mr_climate_judge(p, &watch[i]), had = mr_climate_judge(p, &p->watch[i]);
        const bool missed = here == MR_DOES_NOT_CONFORM && had != MR_DOES_NOT_CONFORM;
        const bool near = here == MR_NOT_SHOWN && had == MR_CONFORMS &&
                          !mr_below(watch[i].coverage_pct, mr_set_num(p->settings, MR_CLIMATE_COVER));
        if (!missed && (!near || standing == UNPLACED))
            continue;
        if (kept == NULL) {
            kept = MR_NEW(a->arena, struct mr_climate_tracks);
            *kept = *tracks;
        }
        if (standing == UNPLACED) {
            hold_unplaced(p, i, kept, &watch[i]);
            continue;
        }
        p->watch[i] = watch[i];
        p->other[i] = kept;
    }
}

/* Steel with the air, humidity and dew point of its own instrument, which stood where it stood. */
static enum standing whole_set(struct mr_assess *a, const struct mr_period *p, const struct mr_track *track,
                               struct mr_climate_tracks *out) {
    if (track->meaning != MR_M_STEEL)
        return NOT_HEARD;
    const enum standing standing = set_with(a, p, track, out);
    const struct mr_track *rh = beside(a, p, track, MR_M_RH), *air = beside(a, p, track, MR_M_AIR);
    out->dew = beside(a, p, track, MR_M_DEW);
    if (out->dew == NULL && (rh == NULL || air == NULL))
        return NOT_HEARD;
    out->rh = rh != NULL ? rh : out->rh;
    out->air = air != NULL ? air : out->air;
    return standing;
}

/* A logged dew point that air and humidity of the same instrument contradict. */
static bool contradicts_itself(const struct mr_period *p) {
    const struct mr_climate_tracks *k = &p->tracks;
    if (k->dew == NULL || k->rh == NULL || k->air == NULL || !same_instrument(k->dew, k->rh) ||
        !same_instrument(k->air, k->rh))
        return false;
    struct mr_extremes extremes[MR_Q_COUNT];
    struct mr_dew_compare compare = {0};
    mr_sweep(k, p->from_ms, p->to_ms, p->gap_ms, 0, NULL, extremes, k->dew, &compare);
    const double most = mr_set_num(p->settings, MR_DEW_DIFFER);
    return compare.n > 0 && mr_above(compare.sum_k / (double)compare.n, most);
}

static void hear_all(struct mr_assess *a, struct mr_period *p, enum standing standing, const struct mr_watch *fresh) {
    struct mr_climate_tracks other;
    for (size_t i = 0; i < a->aligned->tracks.n; i++) {
        const struct mr_track *track = &a->aligned->tracks.v[i];
        if (set_with(a, p, track, &other) == standing)
            hear(a, p, &other, standing, fresh);
        if (whole_set(a, p, track, &other) == standing)
            hear(a, p, &other, standing, fresh);
    }
}

void mr_hear_other_tracks(struct mr_assess *a, struct mr_period *p) {
    struct mr_watch fresh[MR_CLIMATE_LIMITS];
    for (size_t i = 0; i < p->n; i++)
        fresh[i] = (struct mr_watch){.quantity = p->watch[i].quantity,
                                     .upper = p->watch[i].upper,
                                     .limit = p->watch[i].limit,
                                     .unit = p->watch[i].unit,
                                     .from_ms = p->watch[i].from_ms,
                                     .to_ms = p->watch[i].to_ms,
                                     .uncertainty = p->watch[i].uncertainty,
                                     .brief_apart = p->watch[i].brief_apart,
                                     .response_ms = p->watch[i].response_ms};
    struct mr_climate_tracks other;
    hear_all(a, p, AS_WELL, fresh);
    if (contradicts_itself(p)) {
        other = p->tracks;
        other.dew = NULL;
        hear(a, p, &other, AS_WELL, fresh);
    }
    hear_all(a, p, UNPLACED, fresh); /* last: their watches take the place of none */
}
