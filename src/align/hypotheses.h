/*
 * hypotheses.h - what the events say of another reading of a clock or of a place.
 *
 * An event is what a logger itself saw of a coat: heat on a probe of the coat's zone, or pressure in the lines. A
 * coat fits a hypothesis where its event stands in its window once the times are read so. Nothing is judged here: the
 * files that ask (clock_doubts.c, exchanges.c, row_dates.c) weigh one reading against the times as given.
 */
#ifndef MILRISE_ALIGN_HYPOTHESES_H
#define MILRISE_ALIGN_HYPOTHESES_H

#include "align/align_state.h"

/* Another reading of a clock. */
struct mr_time_reading {
    int64_t offset_ms;           /* shown minus true; whole days: of the calendar, the clock shows the same hour */
    bool swapped;                /* day and month of the shown date are exchanged */
    const struct mr_tzone *zone; /* in which the clock shows its dates; NULL: at a fixed offset */
};

struct mr_fit_count {
    size_t fits, seen; /* coats that fit; coats whose window the record covers, so read */
    size_t orphans;    /* heat or pressure on the record that no coat accounts for, so read (of a clock only) */
};

/* The better reading of one clock. */
struct mr_clock_verdict {
    bool doubted;
    struct mr_time_reading reading;
    struct mr_fit_count given, better;
    const char *why; /* what says so, where it is not the coats; NULL */
};

struct mr_event_mark; /* hypotheses.c */

/* The events of the job, sorted once. */
struct mr_coat_events {
    MR_VEC(const struct mr_window *) coats; /* logged windows of some length, in order of time */
    mr_spans *onsets;                       /* shape: tracks; each a moment, in order of time */
    mr_spans *pulls;                        /* shape: clocks; lines under pressure, in order of time */
    int64_t tolerance_ms, lag_ms;
    struct mr_event_mark *marks; /* of onsets and pulls that a coat accounts for, in the count that runs */
};

struct mr_coat_events mr_coat_events(struct mr_align_state *st);

/** mr_shown_at - what the clock shows at a true moment, so read; MR_T_NONE where no such date exists. */
int64_t mr_shown_at(const struct mr_align_state *st, const struct mr_time_reading *reading, int64_t true_utc_ms);

/** mr_clock_zone - of a clock's exports, as mr_time_reading has it; MR_NONE gives NULL. */
const struct mr_tzone *mr_clock_zone(const struct mr_align_state *st, size_t clock);

/** mr_elapsed_ms - shown minus true as it passed, at the first coat: days of the calendar may be an hour longer. */
int64_t mr_elapsed_ms(const struct mr_align_state *st, const struct mr_time_reading *reading);

/** mr_clock_fits - over all coats that the clock's lines, or probes on the coat's zone, cover. */
struct mr_fit_count mr_clock_fits(const struct mr_align_state *st, const struct mr_coat_events *e, size_t clock,
                                  const struct mr_time_reading *reading);

/** mr_channel_fits - the same for the heat that one track saw, if it had stood where another one stands. */
struct mr_fit_count mr_channel_fits(const struct mr_align_state *st, const struct mr_coat_events *e, size_t track,
                                    size_t stands_as);

/** mr_align_doubt_loggers - names loggers that were exchanged, channel by channel, where that fits about as many
 * coats as the best readings of both clocks (best: shape clocks). Returns which clocks it explains, shape clocks
 * (exchanges.c). */
const bool *mr_align_doubt_loggers(struct mr_align_state *st, const struct mr_coat_events *e,
                                   const struct mr_fit_count *best);

/** mr_pulled_share - how much of t0..t1 the lines of a clock stood under pressure, 0 to 1. */
double mr_pulled_share(const mr_spans *pulls, int64_t t0_ms, int64_t t1_ms);

/** mr_day_of - the local day of a moment, since 1970. */
int64_t mr_day_of(const struct mr_align_state *st, int64_t t_utc_ms);

/** mr_doubt_clock - adds the doubt of a clock, with the lines that settle it. */
void mr_doubt_clock(struct mr_align_state *st, size_t clock, const struct mr_clock_verdict *v);

/** mr_doubt_files - adds the files of a clock as places that hang on the doubt. */
void mr_doubt_files(struct mr_align_state *st, struct mr_clock_doubt *doubt, size_t clock);

/** mr_clock_is_doubted - whether a doubt that was not settled hangs on a clock. */
bool mr_clock_is_doubted(const struct mr_align_state *st, size_t clock);

/** mr_error_words - "24 h fast", "4.0 min slow". */
const char *mr_error_words(struct mr_arena *arena, int64_t offset_ms);

#endif
