/*
 * tzone.h - a time zone as a plain table: offsets from UTC by stretches of time. Immutable once made, so any number
 * of threads may read one; nothing of the library that reads the zone data outlives mr_tzone_load.
 */
#ifndef MILRISE_BASE_TZONE_H
#define MILRISE_BASE_TZONE_H

#include "milrise/arena.h"

/* From t0_utc_ms up to the next stretch's start, local = UTC + offset_ms. Neighbours differ in offset. */
struct mr_tz_stretch {
    int64_t t0_utc_ms;
    int64_t offset_ms;
    char letters[8]; /* as the zone data call it, "CEST" or "-03"; longer ones are cut */
};

struct mr_tzone {
    const char *name;
    size_t n; /* at least 1; the first stretch reaches back without end */
    const struct mr_tz_stretch *v;
};

/** mr_tzone_load - the zone called name: an IANA name ("Europe/Berlin") or a fixed offset ("+02:00", "Z").
 *  Transitions from 1900 to 2100 as far as the system's zone data hold them.
 *  Returns: MR_OK; MR_E_RANGE where no such zone is known. */
enum mr_status mr_tzone_load(struct mr_arena *arena, const char *name, const struct mr_tzone **out) MR_MUST_USE;

enum mr_tz_fit { MR_TZ_ONE, MR_TZ_GAP, MR_TZ_FOLD };

/* The moments that one wall-clock time names. */
struct mr_tz_moment {
    enum mr_tz_fit fit;
    int64_t first_utc_ms; /* FOLD: the earlier moment; GAP: the wall clock read with the offset before the gap */
    int64_t last_utc_ms;  /* FOLD: the later moment; GAP: the same with the offset after it; else as first */
};

/* Remembers one stretch of wall-clock time that names every moment once: most conversions are one addition. */
struct mr_tz_cursor {
    const struct mr_tzone *zone;
    int64_t lo_local_ms, hi_local_ms; /* [lo, hi); lo == hi: nothing remembered */
    int64_t offset_ms;
};

/** mr_tz_cursor - a cursor with nothing remembered. One per thread. */
struct mr_tz_cursor mr_tz_cursor(const struct mr_tzone *zone);

/** mr_tz_to_utc - local to UTC. */
struct mr_tz_moment mr_tz_to_utc(struct mr_tz_cursor *cursor, int64_t t_local_ms);

/** mr_tz_offset - local minus UTC at a moment, ms. */
int64_t mr_tz_offset(const struct mr_tzone *zone, int64_t t_utc_ms);

/** mr_tz_letters - what the zone is called at a moment: "CDT". */
const char *mr_tz_letters(const struct mr_tzone *zone, int64_t t_utc_ms);

/** mr_tz_summer - whether its clocks stand ahead of what they show before or after. */
bool mr_tz_summer(const struct mr_tzone *zone, int64_t t_utc_ms);

#endif
