/*
 * align_state.h - inside the align stage: the alignment under construction, and the parts that mr_align (align.c)
 * calls in this order. The order is the argument: names first, then clocks, then what needs both.
 */
#ifndef MILRISE_ALIGN_ALIGN_STATE_H
#define MILRISE_ALIGN_ALIGN_STATE_H

#include "align/zonename.h"
#include "base/tzone.h"
#include "milrise/align.h"

/* A row whose wall-clock time names no moment or two. Slots part several times in one row (start 0, stop 1). */
struct mr_odd_time {
    uint32_t line;
    unsigned slot;
    int64_t local_ms, first_utc_ms, last_utc_ms;
    bool gap, aside;  /* aside: set aside, as a gap or an unresolved fold */
    int64_t t_utc_ms; /* resolved, before any clock correction */
};
typedef MR_VEC(struct mr_odd_time) mr_odd_list;

/* A sample on its way into the order of time. */
struct mr_sample_at {
    int64_t t_utc_ms;     /* first, so that mr_order_ms serves */
    uint32_t part, index; /* where the sample comes from */
};

/* How times of a file become UTC. */
struct mr_timing {
    const struct mr_instrument *instrument; /* NULL */
    const struct mr_tzone *zone;            /* NULL: the times are UTC already */
    size_t clock;
};

struct mr_filing {
    struct mr_timing timing;
    mr_odd_list odd; /* by line, slot */
};

/* Correction of one clock: true = shown - (offset + drift * (shown - ref)). */
struct mr_clock_correction {
    int64_t ref_utc_ms;
    double offset_ms, drift; /* drift: ms per ms */
};

/* A stretch of time at the gun or a moment on the steel. */
struct mr_span {
    int64_t t0_utc_ms, t1_utc_ms;
};
typedef MR_VEC(struct mr_span) mr_spans;

struct mr_onset {
    int64_t t_utc_ms;
    size_t track, zone; /* zone of the track at that moment, MR_NONE */
    double rise_k;
};
typedef MR_VEC(struct mr_onset) mr_onsets;

/* A converted column of times, shared by the channels of a wide file. */
struct mr_seq {
    struct mr_wholes t_ms; /* as read: the identity of the column */
    uint32_t file;
    size_t n, kept;
    struct mr_wholes utc;  /* shape: kept, strictly rising */
    struct mr_wholes line; /* shape: kept */
    uint32_t *pick;        /* shape: kept, index into the column; NULL where it is kept whole and in order */
    int64_t first_utc_ms, last_utc_ms;
    size_t repeated; /* rows left out because their moment stands already */
};

/* Which channel of which file serves which track. */
struct mr_part {
    size_t channel, track;
};

/* An assignment of the job on the time scale. */
struct mr_spell {
    size_t clock;                 /* of its instrument; MR_NONE where no file comes from it */
    const char *channel;          /* "" = whole instrument */
    size_t zone;                  /* or MR_ZONE_GUN */
    int64_t t0_utc_ms, t1_utc_ms; /* inclusive */
    struct mr_place place;
    bool used;
};

struct mr_align_state {
    struct mr_arena *arena;
    struct mr_arena *series; /* columns of seqs and tracks: emptied when all is placed once more */
    const struct mr_data *data;
    const struct mr_job *job;
    struct mr_diags *diags;
    struct mr_alignment *out;
    bool job_error;
    MR_VEC(const struct mr_tzone *) tzones;
    struct mr_filing *files;                 /* shape: data->files.n */
    struct mr_names instrument_clock;        /* instrument name -> clock */
    struct mr_clock_correction *corrections; /* shape: clocks */
    struct mr_names keys;                    /* folded name or alias -> zone; AMBIGUOUS where two zones claim it */
    struct mr_names alias_keys;              /* those of keys that are aliases */
    struct mr_names written;                 /* as written -> zone */
    struct mr_names noted;                   /* as written -> notes */
    MR_VEC(const char *) notes;
    MR_VEC(struct mr_seq) seqs;     /* by file, then first use */
    size_t *channel_seq;            /* shape: data->channels.n, index into seqs */
    MR_VEC(struct mr_spell) spells; /* as in the job file */
    mr_spans *track_activity;       /* shape: tracks; of pressure tracks */
    mr_spans activity;              /* of the gun, from the line pressure logs that stand for the whole site */
    mr_onsets onsets;               /* of probes on the steel, by time */
    MR_VEC(struct mr_part) parts;   /* channels by track */
};

#define MR_ZONE_GUN (SIZE_MAX - 1)
#define MR_ZONE_AMBIGUOUS (SIZE_MAX - 2)
#define MR_ZONE_ELSEWHERE (SIZE_MAX - 3) /* a place that is no zone of the job */

/** mr_align_error - an error of the job file; the alignment will not be used. */
void mr_align_error(struct mr_align_state *st, const char *id, struct mr_place place, const char *text,
                    const char *mend, const char *what);

/* zones.c: the register, names met elsewhere, near misses. */
void mr_align_zones(struct mr_align_state *st);
/** mr_align_zone - zone of a name as written: index, MR_NONE (blank), MR_ZONE_GUN or
 * MR_ZONE_ELSEWHERE. */
size_t mr_align_zone(struct mr_align_state *st, const char *written);
/** mr_align_zone_note - how a written name became that zone: "", "alias" or "written '...'". */
const char *mr_align_zone_note(struct mr_align_state *st, const char *written, size_t zone);
struct mr_place mr_align_place(const struct mr_align_state *st, uint32_t file, uint32_t line);

/* clocks.c: time zones, clocks and corrections. folds.c: rows in gaps and folds. */
void mr_align_clocks(struct mr_align_state *st);
const struct mr_tzone *mr_align_tzone(struct mr_align_state *st, const char *name, struct mr_place place);
void mr_align_folds(struct mr_align_state *st);
/** mr_align_timing - for a row of a file that names an instrument by serial ("" or unknown: the file's own). */
struct mr_timing mr_align_timing(struct mr_align_state *st, uint32_t file, const char *serial);
/** mr_align_utc - one time of a row: UTC on the true scale, or MR_T_NONE (*aside set where set aside). */
int64_t mr_align_utc(const struct mr_align_state *st, uint32_t file, uint32_t line, unsigned slot, int64_t t_ms,
                     const struct mr_timing *timing, bool *aside);
/** mr_align_correct - a shown moment on the true scale. */
int64_t mr_align_correct(const struct mr_align_state *st, size_t clock, int64_t shown_utc_ms);
const struct mr_odd_time *mr_align_odd(const struct mr_filing *filing, uint32_t line, unsigned slot);

/* time_columns.c, tracks.c: series. track_zones.c: assignments, and where each track was. */
void mr_align_seqs(struct mr_align_state *st);
void mr_align_tracks(struct mr_align_state *st);
void mr_align_spells(struct mr_align_state *st);
void mr_align_track_zones(struct mr_align_state *st);
/** mr_align_assigned - zone of a whole instrument at a moment by the job's assignments; MR_NONE. */
size_t mr_align_assigned(struct mr_align_state *st, size_t clock, int64_t t_utc_ms);

/* track_zones.c: assignments that no data answer to, one message an instrument. */
void mr_align_tell_unused(struct mr_align_state *st);

/* windows.c: windows, actions. shifts.c: shifts and what hangs on them. detected_windows.c: windows found in the
 * data.
 */
void mr_align_windows(struct mr_align_state *st);
int mr_align_coat(const char *text); /* number of a coat as written; 0 where none */
int64_t mr_align_setting_ms(const struct mr_align_state *st, enum mr_setting_id id); /* "none" is no limit */
void mr_align_detected_windows(struct mr_align_state *st);
void mr_align_shifts(struct mr_align_state *st);

/** mr_align_unlogged - spraying that the log does not know, on zones that it may know (detected_windows.c). */
void mr_align_unlogged(struct mr_align_state *st);

/* events.c: what the logs themselves tell. activity.c: at the gun. onsets.c: on the steel. */
void mr_align_events(struct mr_align_state *st);
/** mr_track_activity - stretches in which a pressure track stands above its threshold, short drops bridged. */
void mr_track_activity(struct mr_align_state *st, const struct mr_track *track, mr_spans *out);
/** mr_spans_join - in order of time, joined where no more than gap_ms lies between. */
void mr_spans_join(mr_spans *spans, int64_t gap_ms);
/** mr_track_onsets - moments from which a temperature track warms as under a landing film. */
void mr_track_onsets(struct mr_align_state *st, size_t track, mr_onsets *out);

/* estimate.c: clocks against each other. Returns true where an estimate was applied and all must be placed again. */
bool mr_align_estimates(struct mr_align_state *st);

/* clock_doubts.c: whole clocks; returns true where a correction was made and all must be placed again. exchanges.c:
 * loggers and channels. row_dates.c: rows of the spray log. Each names what fits better and never judges by it. */
bool mr_align_doubt_clocks(struct mr_align_state *st);
void mr_align_doubt_channels(struct mr_align_state *st);
/* climate_clocks.c: clocks of climate logs, once all others are settled. */
void mr_align_doubt_climate(struct mr_align_state *st);
void mr_align_doubt_rows(struct mr_align_state *st);

/* placed.c: readings, base metal, checks. */
void mr_align_placed(struct mr_align_state *st);

#endif
