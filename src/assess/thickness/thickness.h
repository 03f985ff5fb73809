/*
 * thickness.h - inside the thickness part: one subject (a zone's system, or one of its coats) with its surveys.
 *
 * thickness.c runs the part, surveys.c builds and judges surveys, corrections.c says what is subtracted, extent.c
 * evaluates the survey around failing areas, thickness_checks.c and thickness_findings.c speak, thickness_tables.c
 * and statistics_tables.c fill the report's tables.
 */
#ifndef MILRISE_ASSESS_THICKNESS_THICKNESS_H
#define MILRISE_ASSESS_THICKNESS_THICKNESS_H

#include "assess/film/film_stats.h"
#include "assess/film/rules.h"
#include "assess/finding/finding_text.h"
#include "assess/finding/line_ranges.h"

/* One survey of a subject, judged by every rule in force. */
struct mr_survey {
    size_t number; /* of the zone, as the alignment counts */
    int64_t t0_utc_ms, t1_utc_ms;
    size_t window; /* the spray window before it; MR_NONE */
    enum mr_stage stage;
    struct mr_film film;
    struct mr_rule_verdict **verdicts; /* shape: rules.n, then rule->limits.n */
    bool complete;                     /* enough by every rule in force */
    bool fails;                        /* a limit is missed */
    bool in_doubt;                     /* an incomplete spot lies outside a limit */
    bool thin_area;                    /* an area does so that lacks spots and has half of them or more */
    bool composite;                    /* put together by area from several surveys */
    bool unrepaired;                   /* measured again without a repair: it replaces nothing */
    size_t counting_readings;          /* its readings that are judged */
};

/* What lies between a survey that missed a limit and a newer one (repairs.c). */
typedef MR_VEC(const char *) mr_area_ids;

struct mr_repair {
    bool whole; /* the whole zone, else the areas named */
    mr_area_ids area_ids;
    int64_t t_utc_ms;
    const char *what;  /* "repair in the spray log"; NULL: nothing */
    bool sure, unsure; /* one at least lies wholly between the surveys; one at least may lie beside one of them */
    struct mr_place place;
};

/* What is subtracted from every reading of a zone. */
struct mr_correction {
    struct mr_ratio quanta;
    const char *what;  /* "none", "base metal", "profile, medium" */
    size_t n;          /* base metal readings behind it */
    size_t left_out;   /* base metal readings of another gauge, or taken after the zone's first coat began */
    double sd_um;      /* of those; NaN */
    const char *wrong; /* a sentence: why it cannot be relied on; NULL */
    bool asked;        /* the specification asks for one */
    mr_evidence_list evidence;
};

/* Survey spots taken outward from a failing area, in one direction. */
struct mr_extent {
    const char *name;    /* as written in the area column */
    const char *area_id; /* of the failing area that it goes out from, "survey A2 north"; "" where it names none */
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

/* A survey that missed a limit, and what closed it. */
struct mr_fault {
    const struct mr_survey *failed;
    const struct mr_survey *closing; /* NULL = open */
    struct mr_repair repair;
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
    const struct mr_survey *open;     /* the first that missed a limit and was not made good; NULL */
    int64_t open_until_utc_ms;        /* end of the latest such survey: a repair must come after it */
    bool open_over;                   /* a maximum is among the limits missed: a further coat mends nothing */
    const struct mr_survey
        *doubtful; /* with incomplete spots or areas outside a limit, which nothing made good; NULL */
    struct mr_repair closed_by;
    const struct mr_disposition *accepted;   /* "accept as is" for all that is open; NULL. It changes no outcome. */
    MR_VEC(struct mr_fault) faults;          /* in order of time */
    const struct mr_window *coat_after;      /* sprayed after the survey that counts; NULL */
    const struct mr_action_at *repair_after; /* logged after it; NULL */
    bool order_unsure; /* a repair that closed what was open may have been before the one survey or after the other */
    struct mr_shortfall thin, thick;
    MR_VEC(struct mr_extent) extents;
    size_t extent_readings;
    struct mr_film_values values; /* of the counting survey */
    struct mr_film_stats stats;
};

struct mr_thickness {
    struct mr_assess *a;
    struct mr_gauges gauges;
    const size_t *lost_before;                 /* shape: aligned->readings.n (lost_readings.c) */
    MR_VEC(struct mr_subject *) subjects;      /* by zone, system first */
    MR_VEC(const struct mr_placed *) unplaced; /* readings of no zone */
    struct mr_arena *held;      /* surveys, and what statistics keep of them: until the tables are made */
    mr_tolerance_pairs factors; /* of tolerance intervals, met so far */
    bool *counting; /* standing.c: shape aligned->readings.n, all false between its calls; NULL before the first */
};

/* Readings of a subject, as indices into aligned->readings. */
typedef MR_VEC(size_t) mr_index_list;

/* repeated_spots.c: whether spots whose numbers begin again, in areas without names, are shown to be other ones. */
void mr_repeated_spots_check(struct mr_assess *a, const struct mr_subject *s);

/** mr_spot_twice_check - a spot measured twice, one measurement of which misses a limit by itself, is not shown. */
void mr_spot_twice_check(struct mr_assess *a, const struct mr_subject *s);

/** mr_taken_off_check - film that a record says was taken off after the survey that counts is not shown. */
void mr_taken_off_check(struct mr_assess *a, const struct mr_subject *s);

/** mr_unlogged_repairs_check - readings in places named after a repair that no log holds are not shown. */
void mr_unlogged_repairs_check(struct mr_assess *a, const struct mr_subject *s);

/** mr_drop_copies - takes readings out of a zone's list that stand in another of its files, and tells of them. */
void mr_drop_copies(struct mr_thickness *t, size_t zone, mr_index_list *at);

/** mr_unplaced_check - readings without a zone that would miss a limit of this one are not shown to be of another. */
void mr_unplaced_check(struct mr_thickness *t, const struct mr_subject *s);

/** mr_utc_about - a wall clock's moment; in the hour around a change of the clocks it may be off by that hour. */
int64_t mr_utc_about(const struct mr_alignment *al, int64_t local_ms);

/** mr_add_film - the film of a zone's system, for out->films (statistics_tables.c); at: all readings of the zone. */
void mr_add_film(struct mr_thickness *t, const struct mr_subject *s, const mr_index_list *at);

/* corrections.c */
struct mr_correction *mr_correction_of(struct mr_thickness *t, size_t zone, const mr_index_list *readings);
void mr_correction_check(struct mr_assess *a, size_t zone, const struct mr_correction *c);
void mr_correction_table(struct mr_thickness *t);

/* surveys.c: fills surveys. standing.c: which counts, what is open. */
void mr_surveys_build(struct mr_thickness *t, struct mr_subject *s, const mr_index_list *readings);
void mr_surveys_stand(struct mr_thickness *t, struct mr_subject *s);
/* former: a reading made before, whose ids serve again where the names are the same text; NULL. */
struct mr_film_reading mr_film_reading_of(const struct mr_thickness *t, size_t at,
                                          const struct mr_film_reading *former);
void mr_survey_build(struct mr_thickness *t, const struct mr_subject *s, struct mr_film_reading *readings, size_t n,
                     struct mr_survey *survey);

/* The number of readings in a spot, or of spots in an area, that is in force under a rule: the rule's own, or the
 * job's where the job states one that is not smaller. */
size_t mr_spot_number(const struct mr_settings *settings, const struct mr_rule *rule);
size_t mr_area_number(const struct mr_settings *settings, const struct mr_rule *rule);

/* Readings of a film, or its whole areas, against the numbers that the job states itself. NULL: 0. */
size_t mr_stated_taken(const struct mr_film *film, bool areas);

/* repairs.c: what lies between the surveys that are open and a moment. */
struct mr_repair mr_repair_between(struct mr_assess *a, const struct mr_subject *s, int64_t before);
const struct mr_disposition *mr_acceptance_of(struct mr_assess *a, const struct mr_subject *s);
const char *mr_acceptance_text(struct mr_assess *a, const struct mr_disposition *d);
/** mr_named_areas - the areas that a row's text names, added to out->area_ids; whether there are any. NULL names
 * none. known: ids of the zone's areas; a name like theirs needs no word for area before it. */
bool mr_named_areas(struct mr_arena *arena, const char *text, const mr_area_ids *known, struct mr_repair *out);
bool mr_misses_a_maximum(const struct mr_subject *s, const struct mr_survey *survey);

/* lost_readings.c: per reading of the alignment, how many were lost just before it. */
size_t *mr_lost_readings(struct mr_arena *arena, const struct mr_alignment *aligned);

/* naming.c: a name of an area or spot, folded; what a note says of a repair (-1 before, 1 after, 0 nothing); names
 * that were spelt in several ways. */
const char *mr_area_id(struct mr_arena *arena, const char *name);
int mr_repair_label(struct mr_arena *arena, const char *note);
void mr_note_spellings(struct mr_assess *a, size_t zone, const mr_index_list *at);

/* extent.c: splits off readings of extent surveys (area id or note begins with "survey"), and evaluates them. */
bool mr_is_extent_reading(const struct mr_reading *reading);
/* Rows that go out from no failing area are film: moved from extent to film, in their order; true where any was. */
bool mr_extent_return(struct mr_thickness *t, const struct mr_subject *s, mr_index_list *extent, mr_index_list *film);
void mr_extent_build(struct mr_thickness *t, struct mr_subject *s, const mr_index_list *readings);
void mr_extent_check(struct mr_thickness *t, struct mr_subject *s);
void mr_extent_table(struct mr_thickness *t);

/* thickness_checks.c, thickness_findings.c */
void mr_thickness_checks(struct mr_thickness *t, struct mr_subject *s);
void mr_thickness_findings(struct mr_thickness *t, struct mr_subject *s);

/* shortfall.c: fills thin and thick. */
void mr_shortfall_of(struct mr_subject *s);
const char *mr_shortfall_text(struct mr_assess *a, const struct mr_subject *s, const struct mr_shortfall *b);

/* spot_tables.c. mr_leaves_aside: a spot of the film has more readings than the rule needs, so that some of them may
 * be left aside. */
bool mr_leaves_aside(const struct mr_subject *s, const struct mr_rule *rule);
void mr_spot_table(struct mr_thickness *t);
void mr_area_table(struct mr_thickness *t);

/* thickness_tables.c, statistics_tables.c */
void mr_thickness_tables(struct mr_thickness *t);
void mr_statistics_tables(struct mr_thickness *t);

/* sampling_tables.c: numbers asked and taken, shortfall and excess, readings left out, rules in force */
void mr_sampling_tables(struct mr_thickness *t);

/* history.c: a subject's faults become entries of the register */
void mr_faults_enter(struct mr_thickness *t, const struct mr_subject *s);

/* places.c: counts for edges and the like and for each shift, as checks. False: too few. */
bool mr_places_hold(struct mr_thickness *t, const struct mr_subject *s);

/* wet_film.c: tables and the finding of wet-film readings */
void mr_wet_film(struct mr_assess *a);

/* gauge_compare.c */
void mr_gauge_comparison(struct mr_thickness *t);

/* history.c */
void mr_history_check(struct mr_thickness *t, const struct mr_subject *s);
void mr_history_findings(struct mr_thickness *t, const struct mr_subject *s);
void mr_history_table(struct mr_thickness *t);

/* repaired_areas.c */
void mr_repaired_table(struct mr_thickness *t);

/** mr_find_copied_readings - tells of areas whose readings are another area's, one by one. of_zone: the readings of
 * each zone, as many as the alignment has zones. */
void mr_find_copied_readings(struct mr_thickness *t, const mr_index_list *of_zone);

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
