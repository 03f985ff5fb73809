/*
 * thickness.h - inside the thickness part: one subject (a zone's system, or one of its coats) with its surveys.
 *
 * thickness.c runs the part, surveys.c builds and judges surveys, corrections.c says what is subtracted, extent.c
 * evaluates the survey around failing areas, thickness_checks.c and thickness_findings.c speak, thickness_tables.c
 * and statistics_tables.c fill the report's tables.
 */
#ifndef MILRISE_ASSESS_THICKNESS_THICKNESS_H
#define MILRISE_ASSESS_THICKNESS_THICKNESS_H

#include "assess/finding/finding_text.h"
#include "assess/finding/line_ranges.h"
#include "assess/thickness/film_stats.h"
#include "assess/thickness/rules.h"

/* One survey of a subject, judged by every rule in force. */
struct mr_survey {
    size_t number; /* of the zone, as the alignment counts; of the first where several were joined */
    size_t joined; /* incomplete surveys of the same film that were joined into this one, itself included */
    int64_t t0_utc_ms, t1_utc_ms;
    size_t window; /* the spray window before it; MR_NONE */
    enum mr_stage stage;
    struct mr_film film;
    struct mr_rule_verdict **verdicts; /* shape: rules.n, then rule->limits.n */
    bool complete;                     /* enough by every rule in force */
    bool fails;                        /* a limit is missed */
    bool counts;                       /* it is the one that is judged */
};

/* What is subtracted from every reading of a zone. */
struct mr_correction {
    struct mr_ratio quanta;
    const char *what;  /* "none", "base metal", "profile, medium" */
    size_t n;          /* base metal readings behind it */
    double sd_um;      /* of those; NaN */
    const char *wrong; /* a sentence: why it cannot be relied on; NULL */
    bool asked;        /* the specification asks for one */
    mr_evidence_list evidence;
};

/* Survey spots taken outward from a failing area, in one direction. */
struct mr_extent {
    const char *name; /* as written in the area column */
    size_t spots, incomplete, failing;
    size_t last_failing; /* number of the last failing spot, from 1; 0 = none */
    bool closed;         /* ended by conforming spots in a row, or there was no more room */
    bool no_room;
};

/* What a shortfall or an excess means on site. */
struct mr_shortfall {
    const struct mr_rule_verdict *verdict; /* the missed limit that it is reckoned from; NULL where none is missed */
    size_t missed;                         /* limits missed on this side */
    double film_um;                        /* from the worst value to the specified limit */
    size_t passes_low, passes_high;
    double area_m2;  /* that it stands for; NaN where only single spots or readings miss */
    double mean_um;  /* mean shortfall or excess over that area */
    double volume_l; /* of mixed material, without losses; NaN */
};

struct mr_subject {
    size_t zone;
    int coat; /* 0 = the system */
    const struct mr_zone *z;
    const mr_rule_list *rules;
    enum mr_unit unit; /* that the specification is written in */
    bool us;           /* its figures are mil or inch */
    struct mr_film_limits limits;
    double min_um, max_um; /* NaN where none */
    const struct mr_correction *correction;
    const char *deducted;             /* for a later coat: what the film below it was taken to be; NULL */
    MR_VEC(struct mr_survey) surveys; /* in order of time */
    struct mr_survey *counting;       /* NULL where there are no readings */
    struct mr_shortfall thin, thick;
    MR_VEC(struct mr_extent) extents;
    size_t extent_readings;
    struct mr_film_values values; /* of the counting survey */
    struct mr_film_stats stats;
};

struct mr_thickness {
    struct mr_assess *a;
    struct mr_gauges gauges;
    MR_VEC(struct mr_subject *) subjects; /* by zone, system first */
};

/* Readings of a subject, as indices into aligned->readings. */
typedef MR_VEC(size_t) mr_index_list;

/* corrections.c */
struct mr_correction *mr_correction_of(struct mr_assess *a, size_t zone);
void mr_correction_check(struct mr_assess *a, size_t zone, const struct mr_correction *c);
void mr_correction_table(struct mr_thickness *t);

/* surveys.c: fills surveys and counting. */
void mr_surveys_build(struct mr_thickness *t, struct mr_subject *s, const mr_index_list *readings);

/* extent.c: splits off readings of extent surveys (area id or note begins with "survey"), and evaluates them. */
bool mr_is_extent_reading(const struct mr_reading *reading);
void mr_extent_build(struct mr_thickness *t, struct mr_subject *s, const mr_index_list *readings);
void mr_extent_check(struct mr_thickness *t, struct mr_subject *s);
void mr_extent_table(struct mr_thickness *t);

/* thickness_checks.c, thickness_findings.c */
void mr_thickness_checks(struct mr_thickness *t, struct mr_subject *s);
void mr_thickness_findings(struct mr_thickness *t, struct mr_subject *s);

/* shortfall.c: fills thin and thick. */
void mr_shortfall_of(struct mr_subject *s);
const char *mr_shortfall_text(struct mr_assess *a, const struct mr_subject *s, const struct mr_shortfall *b);
void mr_history_check(struct mr_thickness *t, const struct mr_subject *s);

/* thickness_tables.c, statistics_tables.c */
void mr_thickness_tables(struct mr_thickness *t);
void mr_statistics_tables(struct mr_thickness *t);

/* sampling_tables.c: numbers asked and taken, shortfall and excess, readings left out, rules in force */
void mr_sampling_tables(struct mr_thickness *t);

void mr_history_table(struct mr_thickness *t);

/* What several of them say. */
const char *mr_subject_text(struct mr_assess *a, const struct mr_subject *s); /* "Deck 1", "Deck 1, coat 2" */
const char *mr_film_text(struct mr_assess *a, double um, enum mr_unit unit);  /* "203.2 µm", "8.00 mil" */
int mr_film_decimals(enum mr_unit unit);
/* Decimals at which two unequal numbers still look unequal, from `least` to 6. */
int mr_telling_decimals(double x, double y, int least);
const char *mr_limit_text(struct mr_assess *a,
                          const struct mr_rule_verdict *v); /* "restriction level 3, spot minimum 80 %" */
const char *mr_value_name(struct mr_assess *a, const struct mr_film *film, const struct mr_rule_limit *limit,
                          size_t i);
/* Lines of the readings behind value i; returns how many were written to lines (room for film->n). */
size_t mr_value_lines(const struct mr_film *film, const struct mr_rule_limit *limit, size_t i, struct mr_line *lines);

#endif
