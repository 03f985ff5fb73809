/*
 * align.h - stage 3: everything on one time scale (UTC) and in its zone.
 *
 * Per instrument: time zone, fixed offset, drift, daylight-saving gap and fold. Per zone and coat: windows, from
 * the spray log or found in the data. Per reading: zone and route. Clock errors are estimated, and applied only when
 * the job says so. Nothing that cannot be placed is dropped: it stands with zone MR_NONE, counted and shown.
 */
#ifndef MILRISE_ALIGN_H
#define MILRISE_ALIGN_H

#include "milrise/normalise.h"

struct mr_tzone;

struct mr_zone {
    const char *name;    /* as in the register; else the first in byte order of its spellings */
    const char *aliases; /* as in the register */
    bool registered;
    bool contradicted;                               /* further rows of the register say other things of it */
    const char *also;                                /* another row's name that reads like this one's; NULL */
    double area_m2, steel_mm, profile_um, member_mm; /* NaN where not known */
    const char *substrate, *grade;
    const struct mr_settings *settings; /* of its specification; never NULL */
    int coats;                          /* required coats; at least 1 */
    const char *near; /* of a zone outside the register: the name it may be a slip of the pen for; "" */
    struct mr_place place;
};

/* How something came to its zone, strongest first. */
enum mr_route { MR_ROUTE_OWN, MR_ROUTE_ASSIGNED, MR_ROUTE_WINDOW, MR_ROUTE_NONE };
const char *
mr_route_text(enum mr_route route); /* "own zone column", "instrument's assignment", "spray window", "unassigned" */

/* One coat on one zone, from the first to the last trigger pull. */
struct mr_window {
    size_t zone; /* index into zones */
    int coat;    /* from 1 */
    int64_t t0_utc_ms, t1_utc_ms;
    bool found;             /* found in the data, not logged */
    bool no_start, no_stop; /* the log gives none: only a moment of the coat is known */
    bool overlaps;          /* another window runs at the same time */
    int64_t date_error_ms;  /* by which its date looks wrong (a doubt names it): shown minus true; else 0 */
    size_t shift;           /* index into shifts */
    const struct mr_spray
        *log;      /* the row it comes from (of several rows for one coat, the first); NULL where found */
    size_t n_rows; /* rows of the log merged into it */
    struct mr_place place;
};

struct mr_shift {
    int64_t t0_utc_ms, t1_utc_ms; /* first and last moment of its windows, readings apart */
    int64_t day_local_ms;         /* local date on which it began (midnight) */
    const char *name;             /* "2026-05-11", "2026-05-11 b" for a second one on the same date */
};

/* Other rows of the spray log, on the time scale. */
struct mr_action_at {
    const struct mr_spray *log;
    int64_t t0_utc_ms, t1_utc_ms;
    size_t zone;  /* MR_NONE */
    size_t shift; /* MR_NONE */
    struct mr_place place;
};

/* When was a reading taken, seen from the coats. */
enum mr_stage { MR_STAGE_UNKNOWN, MR_STAGE_BEFORE_COAT, MR_STAGE_AFTER_COAT, MR_STAGE_AFTER_REPAIR };

struct mr_placed { /* a thickness or base metal reading in time and zone */
    const struct mr_reading *reading;
    int64_t t_utc_ms;       /* MR_T_NONE where the file has no time */
    size_t zone;            /* MR_NONE = unassigned */
    size_t window;          /* the window before it, or MR_NONE */
    const char *route_note; /* e.g. "alias", "written 'Deck1'"; "" */
    int coat; /* coat that the reading measures (own column, else last coat sprayed before it); 0 = not known */
    uint32_t survey; /* number of the survey within its zone, from 0 in order of time */
    enum mr_route route : 8;
    enum mr_stage stage : 8;
    bool aside; /* set aside (its time does not exist or exists twice): never to be judged; zone is MR_NONE */
};

struct mr_checked { /* a gauge verification on the time scale */
    const struct mr_verification *check;
    int64_t t_utc_ms;
};

/* A stretch of time in which a channel belongs to a zone. */
struct mr_stay {
    size_t zone;                  /* MR_NONE: at the gun, or at a place that is no zone of the job */
    bool gun;                     /* mix check at the gun */
    int64_t t0_utc_ms, t1_utc_ms; /* inclusive; INT64_MIN / INT64_MAX where open */
    enum mr_route route;
};

/* A file that a track comes from, and the unit in which it gives the values. */
struct mr_track_file {
    uint32_t file; /* index into data->files */
    enum mr_unit unit;
};

/* All channels of one instrument with the same name and meaning, joined over files, in order of time, each moment
 * once.
 */
struct mr_track {
    const char *instrument; /* name, "" where not known */
    const char *channel;
    enum mr_meaning meaning;
    size_t n;
    struct mr_wholes t_utc_ms; /* shape: n, strictly rising */
    struct mr_reals value;     /* shape: n, canonical unit, NaN where missing */
    struct mr_wholes file;     /* shape: n, index into data->files; no column where all from file0 */
    struct mr_wholes line;     /* shape: n */
    uint32_t file0;
    MR_VEC(struct mr_track_file) files;
    MR_VEC(struct mr_stay) stays; /* in order of time */
    size_t clock;                 /* index into clocks */
};

struct mr_clock { /* of one instrument, or of a file that names none */
    const char *instrument;
    const char *time_zone;
    double offset_s;        /* shown minus true, as the job states it and as it was applied */
    double drift_s_per_day; /* from two check points; 0 */
    bool stated;            /* the job gives offset or points */
    size_t gap_rows, fold_rows_resolved, fold_rows_set_aside;
    /* the estimate, from events against the spray log and the other instruments */
    bool estimated;
    double est_offset_s;               /* what remains after the stated correction; shown minus true */
    double est_spread_s;               /* half width of its 95 % interval */
    double est_drift_s_per_day;        /* NaN where the span does not allow it */
    double est_drift_spread_s_per_day; /* half width of its interval; NaN likewise */
    size_t est_events, est_unmatched;
    const char *est_against; /* what it was compared with */
    bool est_finding;        /* above the stated threshold and well beyond its own spread: to be reported */
    bool est_applied;
    const char *note; /* one sentence for the report */
};

/* What explains the events better than the times or the places as given. */
enum mr_doubt_kind {
    MR_DOUBT_CLOCK,    /* a constant error of one clock: minutes, hours, a day, a year */
    MR_DOUBT_DATES,    /* day and month exchanged in the dates of one clock */
    MR_DOUBT_LOG,      /* the same of the spray log: all loggers disagree with it by as much */
    MR_DOUBT_ROW,      /* the date of one row of the spray log */
    MR_DOUBT_CHANNELS, /* two channels exchanged */
    MR_DOUBT_LOGGERS   /* two loggers exchanged, channel by channel */
};
struct mr_clock_doubt {
    enum mr_doubt_kind kind;
    size_t clock;                   /* index into clocks, of MR_DOUBT_CLOCK and MR_DOUBT_DATES; else MR_NONE */
    const char *who;                /* "K8-117", "channels Ch1 and Ch2 of K8-117", "the spray log" */
    const char *looks;              /* what it looks like: "24 h slow", "exchanged" */
    double offset_s;                /* shown minus true; 0 where nothing constant is meant */
    size_t fits, fits_given, seen;  /* coats that fit so, that fit as given, and that the records cover so */
    const char *paste;              /* lines of the job file, or of the log, that settle it */
    bool applied;                   /* corrected, as the job asks: nothing hangs on it any more */
    MR_VEC(struct mr_place) places; /* what hangs on it: rows, or whole files (line 0) */
    const bool *zones;              /* shape: zones; only these hang on it; NULL: whatever stands on the places */
};

/* The gun at work and heat on a zone, at a time that no row of the spray log explains. */
struct mr_unlogged {
    size_t zone;
    int64_t t0_utc_ms, t1_utc_ms, onset_utc_ms; /* of the gun; of the heat */
    size_t track;                               /* of the probe */
};

struct mr_alignment {
    const struct mr_data *data;
    const struct mr_job *job;
    MR_VEC(struct mr_zone) zones;        /* register order, then unregistered ones by name */
    MR_VEC(struct mr_shift) shifts;      /* order of time */
    MR_VEC(struct mr_window) windows;    /* by t0, then zone */
    MR_VEC(struct mr_action_at) actions; /* order of time */
    MR_VEC(struct mr_placed) readings;   /* same order as data->readings */
    MR_VEC(struct mr_placed) base_metal;
    MR_VEC(struct mr_placed) wet_film;
    MR_VEC(struct mr_checked) checks; /* same order as data->verifications */
    MR_VEC(struct mr_track) tracks;   /* by instrument, meaning, channel */
    MR_VEC(struct mr_clock) clocks;
    MR_VEC(struct mr_clock_doubt) doubts; /* loggers, clocks, channels, rows of the log */
    MR_VEC(struct mr_unlogged) unlogged;  /* order of time */
    MR_VEC(int64_t) shift_item_shift;     /* per data->shift_items: index into shifts, -1 none */
    MR_VEC(int64_t) material_utc;         /* per data->materials */
    size_t by_route[4];                   /* readings by enum mr_route */
    struct mr_account *accounts;  /* per file, shape: data->files.n; normalise's plus rows that align set aside */
    int64_t last_utc_ms;          /* last moment in the data; MR_T_NONE */
    const struct mr_diags *diags; /* near misses of zone names, gaps and folds, ... */
    const struct mr_tzone *site;  /* the job's time zone, this stage's own; NULL counts as UTC */
    struct mr_alignment *own;     /* this, for mr_align_judged; NULL where nobody may give back */
};

/** mr_align - place everything. diags may be the same list as before.
 *  Returns: MR_OK; MR_E_NODATA where no file held anything (out is still set); MR_E_JOB where a zone of time, a zone
 * name or an assignment of the job file cannot be used. */
enum mr_status mr_align(struct mr_arena *arena, const struct mr_data *data, struct mr_diags *diags,
                        const struct mr_alignment **out) MR_MUST_USE;

/** mr_align_release - give back the columns of the logs that were joined into tracks of their own, for a caller that
 *  goes on with the alignment alone: data's channels of those files are empty (n = 0) from then on. */
void mr_align_release(struct mr_arena *arena, const struct mr_alignment *aligned);

/** mr_align_judged - give back the thickness readings, as read and as placed, for a caller that goes on with their
 *  assessment alone: aligned->readings and data->readings are empty from then on. */
void mr_align_judged(struct mr_arena *arena, const struct mr_alignment *aligned);

/* The climate at one place and moment. NaN and a reason where data do not reach. */
struct mr_climate {
    double air_c, rh_pct, steel_c, dew_c;          /* dew point: logged, else computed by assess: NaN here */
    const struct mr_track *air, *rh, *steel, *dew; /* which track served; NULL */
    struct mr_place place;                         /* of the sample before the moment */
};

/** mr_climate_at - linear interpolation at t_utc_ms for a zone, never across a gap above max_gap_ms or from a missing
 *  value. Of several hygrometers: those that stand for the zone, else those that stand for all, first by name. Steel:
 * a probe that stays on the zone, else the hygrometer's steel column. */
struct mr_climate mr_climate_at(const struct mr_alignment *aligned, size_t zone, int64_t t_utc_ms,
                                int64_t max_gap_ms);

/** mr_track_at - value of a track at a moment, linear, NaN across gaps; out_index: sample at or before it, MR_NONE.
 */
double mr_track_at(const struct mr_track *track, int64_t t_utc_ms, int64_t max_gap_ms, size_t *out_index);

/** mr_track_ms, mr_track_value - moment and value of a sample; mr_track_file, mr_track_line - where it stands. */
static inline int64_t mr_track_ms(const struct mr_track *track, size_t i) {
    return mr_whole(&track->t_utc_ms, i);
}

static inline double mr_track_value(const struct mr_track *track, size_t i) {
    return mr_real(&track->value, i);
}

static inline uint32_t mr_track_file(const struct mr_track *track, size_t i) {
    return mr_is_column(&track->file) ? (uint32_t)mr_whole(&track->file, i) : track->file0;
}

static inline uint32_t mr_track_line(const struct mr_track *track, size_t i) {
    return (uint32_t)mr_whole(&track->line, i);
}

/** mr_track_first - index of the first sample at or after t_utc_ms (n where none). */
size_t mr_track_first(const struct mr_track *track, int64_t t_utc_ms);

/** mr_track_place - file and line of a sample. */
struct mr_place mr_track_place(const struct mr_alignment *aligned, const struct mr_track *track, size_t i);

/** mr_track_rank - 2: the track stands for this zone at that moment, 1: for all zones, 0: for others. */
int mr_track_rank(const struct mr_track *track, size_t zone, int64_t t_utc_ms);

/** mr_track_zone - zone of a track at a moment (MR_NONE), *gun set where it is the mix check. */
size_t mr_track_zone(const struct mr_alignment *aligned, const struct mr_track *track, int64_t t_utc_ms,
                     bool *out_gun, enum mr_route *out_route);

/** mr_zone_find - a zone by name or alias, folded (case, blanks, punctuation, leading zeros); MR_NONE. */
size_t mr_zone_find(const struct mr_alignment *aligned, const char *name, bool *out_alias);

/** mr_folded_name - a name of a zone, area or spot without case, blanks, punctuation and leading zeros, so that "A1",
 *  "a 1" and "A-01" are one; figures that a sign parts stay apart ("1-1" is not "11"). In arena. */
char *mr_folded_name(struct mr_arena *arena, const char *name);

/** mr_local_text - a moment in the job's zone, "2026-05-11 14:03:20 +02:00"; "" for MR_T_NONE. In arena. */
char *mr_local_text(struct mr_arena *arena, const struct mr_alignment *aligned, int64_t t_utc_ms);

/** mr_local_ms - the wall clock in the job's zone as if it were UTC. */
int64_t mr_local_ms(const struct mr_alignment *aligned, int64_t t_utc_ms);

/** mr_align_dump - the stage as stable text. */
char *mr_align_dump(struct mr_arena *arena, const struct mr_alignment *aligned);

#endif
