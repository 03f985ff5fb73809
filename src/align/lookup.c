/*
 * lookup.c - questions to a finished alignment: samples, climate, zones, local time. All work on borrowed, constant
 * data, so several threads may ask at once; each is a binary search at most.
 */
#include "align/align_state.h"

#include "base/text.h"
#include "numeric/interpolate.h"
#include "numeric/search.h"

#include <math.h>
#include <string.h>

const char *mr_route_text(enum mr_route route) {
    switch (route) {
    case MR_ROUTE_OWN:
        return "own zone column";
    case MR_ROUTE_ASSIGNED:
        return "instrument's assignment";
    case MR_ROUTE_WINDOW:
        return "spray window";
    case MR_ROUTE_NONE:
        break;
    }
    return "unassigned";
}

size_t mr_track_first(const struct mr_track *track, int64_t t_utc_ms) {
    return mr_wholes_first(&track->t_utc_ms, track->n, t_utc_ms);
}

/* A missing value is no sample: its neighbours serve as long as they stand close enough to each other. */
double mr_track_at(const struct mr_track *track, int64_t t_utc_ms, int64_t max_gap_ms, size_t *out_index) {
    size_t next = mr_track_first(track, t_utc_ms);
    bool exact = next < track->n && mr_track_ms(track, next) == t_utc_ms;
    if (out_index)
        *out_index = exact ? next : next > 0 ? next - 1 : MR_NONE;
    if (exact && !isnan(mr_track_value(track, next)))
        return mr_track_value(track, next);
    size_t before = next, after = next + exact;
    while (before > 0 && isnan(mr_track_value(track, before - 1)) &&
           t_utc_ms - mr_track_ms(track, before - 1) <= max_gap_ms)
        before--;
    while (after < track->n && isnan(mr_track_value(track, after)) &&
           mr_track_ms(track, after) - t_utc_ms <= max_gap_ms)
        after++;
    if (before == 0 || after == track->n)
        return (double)NAN;
    int64_t t0 = mr_track_ms(track, before - 1), t1 = mr_track_ms(track, after);
    double v0 = mr_track_value(track, before - 1), v1 = mr_track_value(track, after);
    if (t1 - t0 > max_gap_ms)
        return (double)NAN;
    return mr_between(t0, v0, t1, v1, t_utc_ms);
}

struct mr_place mr_track_place(const struct mr_alignment *aligned, const struct mr_track *track, size_t i) {
    struct mr_place place = {0};
    if (i >= track->n)
        return place;
    uint32_t file = mr_track_file(track, i);
    if (aligned->data && file < aligned->data->files.n && aligned->data->files.v[file].source)
        place.file = aligned->data->files.v[file].source->path;
    place.line = mr_is_column(&track->line) ? mr_track_line(track, i) : 0;
    return place;
}

static int by_start(const void *item, const void *key) {
    const struct mr_stay *stay = item;
    return mr_order_ms(&stay->t0_utc_ms, key);
}

static const struct mr_stay *stay_at(const struct mr_track *track, int64_t t_utc_ms) {
    size_t begun = mr_first_after(&t_utc_ms, track->stays.v, track->stays.n, sizeof *track->stays.v, by_start);
    return begun > 0 && t_utc_ms <= track->stays.v[begun - 1].t1_utc_ms ? &track->stays.v[begun - 1] : NULL;
}

size_t mr_track_zone(const struct mr_alignment *aligned, const struct mr_track *track, int64_t t_utc_ms,
                     bool *out_gun, enum mr_route *out_route) {
    (void)aligned;
    const struct mr_stay *stay = stay_at(track, t_utc_ms);
    if (out_gun)
        *out_gun = stay && stay->gun;
    if (out_route)
        *out_route = stay ? stay->route : MR_ROUTE_NONE;
    return stay && !stay->gun ? stay->zone : MR_NONE;
}

/* A hygrometer may stand for several zones at once, so its open stays are all looked at. */
int mr_track_rank(const struct mr_track *track, size_t zone, int64_t t_utc_ms) {
    bool elsewhere = false;
    for (size_t i = 0; i < track->stays.n && track->stays.v[i].t0_utc_ms <= t_utc_ms; i++) {
        if (t_utc_ms > track->stays.v[i].t1_utc_ms)
            continue;
        if (!track->stays.v[i].gun && track->stays.v[i].zone == zone && zone != MR_NONE)
            return 2;
        elsewhere = true;
    }
    return elsewhere ? 0 : 1;
}

/* Best value of one meaning: tracks are sorted by instrument, so the first of a rank is the first by name. */
static const struct mr_track *best_track(const struct mr_alignment *a, enum mr_meaning meaning, size_t zone,
                                         int64_t t_utc_ms, int64_t max_gap_ms, int least_rank,
                                         const struct mr_track *beside, double *out) {
    const struct mr_track *best = NULL;
    int best_rank = least_rank - 1;
    for (size_t i = 0; i < a->tracks.n && best_rank < 2; i++) {
        const struct mr_track *track = &a->tracks.v[i];
        if (track->meaning != meaning ||
            (beside && (track->clock != beside->clock || strcmp(track->instrument, beside->instrument) != 0)))
            continue;
        int rank = mr_track_rank(track, zone, t_utc_ms);
        if (rank <= best_rank)
            continue;
        double value = mr_track_at(track, t_utc_ms, max_gap_ms, NULL);
        if (isnan(value))
            continue;
        best = track;
        best_rank = rank;
        *out = value;
    }
    return best;
}

struct mr_climate mr_climate_at(const struct mr_alignment *aligned, size_t zone, int64_t t_utc_ms,
                                int64_t max_gap_ms) {
    const double nan = (double)NAN;
    struct mr_climate c = {.air_c = nan, .rh_pct = nan, .steel_c = nan, .dew_c = nan};
    if (t_utc_ms == MR_T_NONE)
        return c;
    /* Humidity belongs with the air temperature of the same instrument; dew point with both. */
    c.rh = best_track(aligned, MR_M_RH, zone, t_utc_ms, max_gap_ms, 1, NULL, &c.rh_pct);
    if (c.rh)
        c.air = best_track(aligned, MR_M_AIR, zone, t_utc_ms, max_gap_ms, 1, c.rh, &c.air_c);
    if (!c.air)
        c.air = best_track(aligned, MR_M_AIR, zone, t_utc_ms, max_gap_ms, 1, NULL, &c.air_c);
    if (c.air)
        c.dew = best_track(aligned, MR_M_DEW, zone, t_utc_ms, max_gap_ms, 1, c.air, &c.dew_c);
    if (!c.dew)
        c.dew = best_track(aligned, MR_M_DEW, zone, t_utc_ms, max_gap_ms, 1, NULL, &c.dew_c);
    if (zone != MR_NONE)
        c.steel = best_track(aligned, MR_M_PROBE_TEMP, zone, t_utc_ms, max_gap_ms, 2, NULL, &c.steel_c);
    if (!c.steel)
        c.steel = best_track(aligned, MR_M_STEEL, zone, t_utc_ms, max_gap_ms, 1, NULL, &c.steel_c);
    const struct mr_track *lead = c.air ? c.air : c.rh ? c.rh : c.steel;
    size_t index = MR_NONE;
    if (lead)
        (void)mr_track_at(lead, t_utc_ms, max_gap_ms, &index);
    if (index != MR_NONE)
        c.place = mr_track_place(aligned, lead, index);
    return c;
}

size_t mr_zone_find(const struct mr_alignment *aligned, const char *name, bool *out_alias) {
    char key[MR_ZONE_KEY_MAX], other[MR_ZONE_KEY_MAX], alias[MR_ZONE_KEY_MAX];
    if (out_alias)
        *out_alias = false;
    if (!name || mr_zone_key(name, key) == 0)
        return MR_NONE;
    for (size_t i = 0; i < aligned->zones.n; i++) {
        mr_zone_key(aligned->zones.v[i].name, other);
        if (strcmp(key, other) == 0)
            return i;
    }
    size_t found = MR_NONE;
    for (size_t i = 0; i < aligned->zones.n; i++)
        for (const char *p = aligned->zones.v[i].aliases ? aligned->zones.v[i].aliases : "";
             (p = mr_alias_next(p, alias));) {
            mr_zone_key(alias, other);
            if (strcmp(key, other) != 0 || found == i)
                continue;
            if (found != MR_NONE)
                return MR_NONE; /* two zones claim it */
            found = i;
        }
    if (out_alias)
        *out_alias = found != MR_NONE;
    return found;
}

int64_t mr_local_ms(const struct mr_alignment *aligned, int64_t t_utc_ms) {
    if (t_utc_ms == MR_T_NONE || !aligned->site)
        return t_utc_ms;
    return t_utc_ms + mr_tz_offset(aligned->site, t_utc_ms);
}

char *mr_local_text(struct mr_arena *arena, const struct mr_alignment *aligned, int64_t t_utc_ms) {
    if (t_utc_ms == MR_T_NONE)
        return mr_strdup(arena, "");
    int64_t local = mr_local_ms(aligned, t_utc_ms), offset_min = (local - t_utc_ms) / 60000;
    int64_t days = local / MR_DAY_MS - (local % MR_DAY_MS < 0), ms = local - days * MR_DAY_MS;
    int year, month, day;
    mr_civil_from_days(days, &year, &month, &day);
    char sign = offset_min < 0 ? '-' : '+';
    int apart = (int)(offset_min < 0 ? -offset_min : offset_min), s = (int)(ms / 1000);
    return mr_printf(arena, "%04d-%02d-%02d %02d:%02d:%02d %c%02d:%02d", year, month, day, s / 3600, s / 60 % 60,
                     s % 60, sign, apart / 60, apart % 60);
}
