/*
 * sweep.h - climate along time: one pass over the samples of up to four tracks gives extremes, time out of limits and
 * coverage.
 *
 * The curve that is judged: each track runs straight between neighbouring valid samples at most `gap` apart, and is
 * not known anywhere else. Quantities are worked out at every sample of every track that takes part, and run straight
 * in between. A missing value is no sample: the straight line passes over it as long as the gap allows.
 */
#ifndef MILRISE_ASSESS_CLIMATE_SWEEP_H
#define MILRISE_ASSESS_CLIMATE_SWEEP_H

#include "milrise/align.h"

enum mr_quantity { MR_Q_SPREAD, MR_Q_RH, MR_Q_AIR, MR_Q_STEEL, MR_Q_DEW, MR_Q_COUNT };

/* The tracks that serve a stretch of time. NULL where none does. dew NULL: dew point from air and rh. */
struct mr_climate_tracks {
    const struct mr_track *air, *rh, *steel, *dew;
};

/* One one-sided limit, watched from..to. Everything in the limit's own unit. */
struct mr_watch {
    enum mr_quantity quantity;
    bool upper; /* a greatest value; else a least one */
    double limit;
    enum mr_unit unit;
    int64_t from_ms, to_ms; /* to_ms may equal from_ms: then the moment is judged */
    double uncertainty;     /* out is beyond the limit by more than this; 0 */
    bool brief_apart;       /* excursions shorter than response_ms, or seen in one sample, are not counted as out */
    int64_t response_ms;
    bool unheard;  /* an instrument that the job places here recorded nothing: what is kept is not shown */
    bool lost;     /* its record falls silent for most of the coat: likewise */
    bool unplaced; /* an instrument that nobody places shows the limit missed: likewise */
    /* results */
    double worst;                      /* NaN where nothing is known */
    int64_t worst_ms;                  /* MR_T_NONE */
    double out_ms;                     /* time out of the limit */
    int64_t first_out_ms, last_out_ms; /* MR_T_NONE where never out */
    double covered_ms;
    double coverage_pct;
    size_t n_brief;  /* excursions kept apart */
    double brief_ms; /* all of them together */
    bool
        brief_open; /* one of them was seen in one sample only, or cut short by the period: it may have been longer */
    /* the excursion under way */
    bool going;
    double since_ms, until_ms, length_ms;
    size_t samples;
    int64_t last_ms, within_ms; /* the last moment looked at, and the last one within the limit */
};

struct mr_extremes {
    double low, high; /* canonical; NaN where nothing is known */
    double covered_ms;
    int64_t low_ms;     /* of the spread: when it was least, MR_T_NONE */
    double low_from[4]; /* of the spread: air, humidity, steel and dew point then; NaN where not known */
};

/* How logged and computed dew point compare over a sweep. */
struct mr_dew_compare {
    size_t n;
    double sum_k, worst_k; /* of absolute differences */
    int64_t worst_ms;
};

/** mr_sweep_begin, mr_sweep_on, mr_sweep_end - a sweep in several stretches that follow each other, each with its own
 * tracks; an excursion goes on from one to the next. */
void mr_sweep_begin(size_t n, struct mr_watch *watches, struct mr_extremes *extremes);
void mr_sweep_on(const struct mr_climate_tracks *tracks, int64_t from_ms, int64_t to_ms, int64_t gap_ms, size_t n,
                 struct mr_watch *watches, struct mr_extremes *extremes, const struct mr_track *logged_dew,
                 struct mr_dew_compare *compare);
void mr_sweep_end(size_t n, struct mr_watch *watches);

/** mr_sweep - from..to must hold every watch. watches: n, results written. extremes: shape MR_Q_COUNT. logged_dew: a
 *  logged dew point to compare with the computed one, or NULL; compare is added to. Linear in the samples of the
 * stretch. */
void mr_sweep(const struct mr_climate_tracks *tracks, int64_t from_ms, int64_t to_ms, int64_t gap_ms, size_t n,
              struct mr_watch *watches, struct mr_extremes *extremes, const struct mr_track *logged_dew,
              struct mr_dew_compare *compare);

/** mr_track_cover_ms - how much of from..to a track covers. */
double mr_track_cover_ms(const struct mr_track *track, int64_t from_ms, int64_t to_ms, int64_t gap_ms);

#endif
