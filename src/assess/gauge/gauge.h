/*
 * gauge.h - was the gauge right? Verifications before and after, tolerances, certificates, uncertainty.
 */
#ifndef MILRISE_ASSESS_THICKNESS_GAUGE_H
#define MILRISE_ASSESS_THICKNESS_GAUGE_H

#include "assess/finding/assessment.h"
#include "numeric/accuracy.h"

/* Why a reading is or is not bracketed by passing verifications. */
enum mr_bracket {
    MR_BRACKET_OK,
    MR_BRACKET_NO_TIME,     /* the reading has no time */
    MR_BRACKET_NONE_BEFORE, /* no verification of this gauge before it within the time allowed */
    MR_BRACKET_NONE_AFTER,
    MR_BRACKET_FAILED_BEFORE, /* the last verification before it did not pass as the gauge was left */
    MR_BRACKET_FAILED_AFTER,  /* the next one did not pass as the gauge was found */
    MR_BRACKET_OTHER_PROBE,   /* its gauge was verified, and each time with another probe */
    MR_BRACKET_COUNT
};
const char *mr_bracket_text(enum mr_bracket bracket);

struct mr_gauge_check { /* one verification, judged */
    const struct mr_checked *checked;
    const char *gauge, *probe; /* probe: "" where the row names none */
    double tolerance_rss_um, tolerance_sum_um;
    bool pass;
};

struct mr_gauge_session { /* verifications of one gauge and probe in one go: several plates or shims */
    const char *gauge, *probe;
    size_t first, n; /* in gauge order */
    int64_t t0_utc_ms, t1_utc_ms;
    bool as_found, as_left; /* first and last reading on each certified value passed */
};

/* What a gauge showed in one unit, on film and on shims. */
struct mr_gauge_shown {
    const char *gauge;
    enum mr_unit unit;
    int64_t first, divisor; /* quanta; divisor: the greatest of all of them */
    int decimals;           /* most that any of them has */
    bool differ;
};
typedef MR_VEC(struct mr_gauge_shown) mr_gauge_shown_list;

struct mr_gauges {
    bool by_sum;                              /* the sum is in force, else the root sum of squares */
    MR_VEC(struct mr_gauge_check) checks;     /* by gauge, probe and time */
    MR_VEC(struct mr_gauge_session) sessions; /* the same order */
    const char **reading_gauge;               /* shape: aligned->readings.n; name of the gauge, "" where not known */
    const char **base_gauge;                  /* shape: aligned->base_metal.n; the same */
    unsigned char *bracket;                   /* shape: aligned->readings.n, enum mr_bracket */
    const char *adopted;       /* readings that name no gauge are taken to be of this one, the only one; NULL */
    mr_gauge_shown_list shown; /* mr_gauge_note_shown */
    const char *wrong;         /* a tolerance setting that cannot be read: nothing passes; NULL */
};

/** mr_gauges_judge - all verifications of the job against all readings; the result lives in held. */
void mr_gauges_judge(struct mr_assess *a, struct mr_arena *held, struct mr_gauges *out);

/** mr_gauge_uncertainty - expanded (k = 2), of the gauge by this name, else the specification's. */
struct mr_accuracy mr_gauge_uncertainty(const struct mr_assess *a, const struct mr_settings *settings,
                                        const char *gauge);

/** mr_gauge_check_zone - the check "gauge.verified" and "gauge.certificate" of one zone, with findings. at: indices
 * into aligned->readings. */
void mr_gauge_check_zone(struct mr_assess *a, const struct mr_gauges *gauges, size_t zone, const size_t *at,
                         size_t n);

/** mr_gauge_check_range - the check "gauge.range" for each gauge of the zone (gauge_range.c).
 *  mr_note_uncured - readings taken before the film's cure time had passed. */
void mr_gauge_check_range(struct mr_assess *a, const struct mr_gauges *gauges, size_t zone, const size_t *at,
                          size_t n);
void mr_note_uncured(struct mr_assess *a, size_t zone, const size_t *at, size_t n);

/** mr_gauge_note_shown - fills shown, in arena. mr_gauge_check_equal - the check "thickness.equal" of a zone in which
 * a run of readings is longer than film and gauge give (equal_readings.c). */
void mr_gauge_note_shown(const struct mr_assess *a, struct mr_arena *arena, struct mr_gauges *g);
void mr_gauge_check_equal(struct mr_assess *a, struct mr_gauges *g, size_t zone, const size_t *at, size_t n);

/** mr_gauge_report - job-wide findings on failed verifications, and the table of them. */
void mr_gauge_report(struct mr_assess *a, const struct mr_gauges *gauges);

#endif
