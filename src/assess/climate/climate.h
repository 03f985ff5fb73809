/*
 * climate.h - what climate.c and climate_tracks.c share.
 */
#ifndef MILRISE_ASSESS_CLIMATE_CLIMATE_H
#define MILRISE_ASSESS_CLIMATE_CLIMATE_H

#include "assess/climate/sweep.h"
#include "assess/finding/clock_hold.h"
#include "assess/finding/finding_text.h"

#define MR_CLIMATE_LIMITS 6

/* One of the limits that a job may set on the climate. */
struct mr_climate_limit {
    enum mr_setting_id setting;
    enum mr_quantity quantity;
    bool upper;     /* a greatest value */
    bool bare_only; /* of bare steel: ends when the window opens */
    const char *id, *title, *kind, *rule;
    const char *name; /* of the quantity, within a sentence */
};

/* A stretch of the judged time that one set of tracks serves. */
struct mr_climate_stretch {
    int64_t from_ms, to_ms;
    struct mr_climate_tracks tracks;
};

/* One window under judgement. */
struct mr_period {
    const struct mr_window *window;
    const struct mr_settings *settings;
    int64_t from_ms, to_ms, gap_ms;
    struct mr_climate_tracks tracks; /* of the stretch under choice; at the end those of the window itself */
    MR_VEC(struct mr_climate_stretch) stretches; /* in order of time */
    const struct mr_track
        *logged_dew;  /* of the same instrument as the humidity; also where the computed one serves */
    size_t dew_index; /* of its track; MR_NONE */
    size_t n;
    const struct mr_climate_limit *row[MR_CLIMATE_LIMITS];
    struct mr_limit limit[MR_CLIMATE_LIMITS];
    struct mr_watch watch[MR_CLIMATE_LIMITS];
    struct mr_extremes extremes[MR_Q_COUNT];
    const struct mr_climate_tracks
        *other[MR_CLIMATE_LIMITS];         /* tracks as good as those chosen, which show the limit missed; NULL */
    const char *silent[MR_CLIMATE_LIMITS]; /* placed on the zone and without a record, in words; NULL */
    mr_evidence_list silent_evidence[MR_CLIMATE_LIMITS]; /* its files, also where their clock is in doubt */
    const char *lost[MR_CLIMATE_LIMITS]; /* the record that falls silent for most of the coat, in words; NULL */
    mr_evidence_list lost_evidence;      /* its values around the coat */
    struct mr_unplaced {
        const struct mr_climate_tracks *tracks; /* with one of an instrument that nobody places; NULL */
        struct mr_watch watch;                  /* which they show missed */
    } unplaced[MR_CLIMATE_LIMITS];
    enum mr_outcome worst;
};

/** mr_climate_set_up - limits, watches and times of a period whose window and settings are given. */
void mr_climate_set_up(struct mr_assess *a, struct mr_period *period);

/** mr_choose_tracks - fills period->tracks, logged_dew and dew_index from window, settings, from_ms, to_ms and
 * gap_ms. A track that stays on the zone for part of the time is cut to that part. */
void mr_choose_tracks(struct mr_assess *a, struct mr_period *period);

/** mr_track_while_there - the track cut to its longest stay on the period's zone within the period; itself where that
 * is the whole. */
const struct mr_track *mr_track_while_there(struct mr_assess *a, const struct mr_track *track,
                                            const struct mr_period *period);

/** mr_climate_too_near - whether the worst value, though not surely out, lies within its own uncertainty of the
 * limit.
 */
bool mr_climate_too_near(const struct mr_watch *watch);

/** mr_climate_judge - the outcome of one limit, from its watch. */
enum mr_outcome mr_climate_judge(const struct mr_period *period, const struct mr_watch *watch);

/** mr_hear_other_tracks - of instruments that stand for the zone equally well each has a say: where another one shows
 *  a limit missed, its watch takes the place of the chosen one's, and period->other of that limit is set. */
void mr_hear_other_tracks(struct mr_assess *a, struct mr_period *period);

/** mr_find_unplaced - one finding for all limits that period->unplaced leaves not shown. mr_unplaced_name - of the
 * instrument that shows limit i missed, which nobody places. */
void mr_find_unplaced(struct mr_assess *a, const struct mr_period *period);
const char *mr_unplaced_name(const struct mr_period *period, size_t i);

/** mr_period_rank - how well a track stands for the period's zone, as mr_track_rank has it, at best; NULL: 0. */
int mr_period_rank(const struct mr_track *track, const struct mr_period *period);

/** mr_unanswered_places - assignments of the job that no track answers to, found once for all periods. */
struct mr_unanswered;
const struct mr_unanswered *mr_unanswered_places(struct mr_assess *a);

/** mr_hear_silent_places - where an instrument that the job places on the zone recorded nothing and another one,
 * placed nowhere, speaks in its place: marks the watch, sets period->silent. mr_add_silent_evidence - files that the
 * verdict on limit i hangs on, though they hold no row of the time. mr_find_silent - one finding for all limits. */
void mr_hear_silent_places(struct mr_assess *a, struct mr_period *period, const struct mr_unanswered *unanswered);
void mr_add_silent_evidence(struct mr_assess *a, const struct mr_period *period, size_t i, mr_evidence_list *list);
void mr_find_silent(struct mr_assess *a, const struct mr_period *period);

/** mr_hear_lost - where a record that usually goes on falls silent for most of the coat and none as good recorded
 *  then: marks the watch, sets period->lost. mr_find_lost - one finding for all limits. */
void mr_hear_lost(struct mr_assess *a, struct mr_period *period);
void mr_find_lost(struct mr_assess *a, const struct mr_period *period);

/** mr_climate_evidence - the lines of the tracks that speak for limit i from t0 to t1. */
void mr_climate_evidence(struct mr_assess *a, const struct mr_period *period, size_t i, int64_t t0_utc_ms,
                         int64_t t1_utc_ms, mr_evidence_list *list);

/** mr_sweep_stretches - fills the period's stretches, tracks, watches and extremes. compare: shape tracks, added to.
 */
void mr_sweep_stretches(struct mr_assess *a, struct mr_period *period, struct mr_dew_compare *compare);

/** mr_climate_table, mr_climate_row - the table, and one coat's row of it. mr_climate_instrument - what a cell calls
 * the instrument behind a track; "" for NULL. */
struct mr_table *mr_climate_table(struct mr_assess *a);
struct mr_table *
mr_least_spread_table(struct mr_assess *a); /* what the least spread of each coat was worked out from */
void mr_least_spread_row(struct mr_assess *a, struct mr_table *table, const struct mr_period *period);
void mr_climate_row(struct mr_assess *a, struct mr_table *table, const struct mr_period *period);
const char *mr_climate_instrument(const struct mr_track *track);

#endif
