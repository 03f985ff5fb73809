/*
 * finding_text.h - wording and comparisons that climate, lines, material and the shift record share. Texts live in
 * the arena.
 */
#ifndef MILRISE_ASSESS_FINDING_FINDING_TEXT_H
#define MILRISE_ASSESS_FINDING_FINDING_TEXT_H

#include "assess/finding/assessment.h"

/* A limit as it was written: judged and shown in its own unit, so that 5 °F stays 5 °F and never becomes 2.78 K. */
struct mr_limit {
    bool set;
    double written; /* in unit; NaN where not set */
    enum mr_unit unit;
    int decimals;       /* for measured values beside it */
    const char *source; /* the default's source, or "job file, line 12" */
};

/** mr_limit_of - the limit of a setting as it stands in settings. */
struct mr_limit mr_limit_of(struct mr_assess *a, const struct mr_settings *settings, enum mr_setting_id id);

/** mr_source_of - where a setting's value comes from: "job file, line 12" or the default's source. */
const char *mr_source_of(struct mr_assess *a, const struct mr_settings *settings, enum mr_setting_id id);

/** mr_setting_ms - a duration setting in ms, 0 where none. */
int64_t mr_setting_ms(const struct mr_settings *settings, enum mr_setting_id id);

/** mr_below, mr_above - value < limit and value > limit, but for the last digits that unit conversion may disturb
 *  (one part in 10^9): 12.777777777777779 °C minus 10 °C is 5 °F, not less. NaN compares false. */
bool mr_below(double value, double limit);
bool mr_above(double value, double limit);

/** mr_zone_label - "zone Deck 3", "zone Deck 3, coat 2" (coat 0: without), "the job" for MR_NONE. */
const char *mr_zone_label(struct mr_assess *a, size_t zone, int coat);

/** mr_film_key - the key of a table's column of film, "limit_mil" or "limit_um": films stand in the job's unit. */
const char *mr_film_key(struct mr_assess *a, const char *stem);

/** mr_coat_label - for cells: "Deck 3, coat 2". */
const char *mr_coat_label(struct mr_assess *a, size_t zone, int coat);

/** mr_value_text - "3.0 K"; "?" for NaN. decimals -1: as many as needed. */
const char *mr_value_text(struct mr_assess *a, double value, enum mr_unit unit, int decimals);

/** mr_miss_decimals - the least number of decimals, from `decimals` on and at most 6, with which a value that misses
 * its limit does not read as if it met it: 2.96 against 3 needs 2. */
int mr_miss_decimals(double value, double limit, int decimals);

/** mr_moment_text - local "2026-05-11 14:03:20". mr_span_text - "2026-05-11 14:03:20 to 14:05:00" (the date once
 * where it serves both). mr_ms_text - "12 s", "4.5 min", "6.2 h". */
const char *mr_moment_text(struct mr_assess *a, int64_t t_utc_ms);
const char *mr_span_text(struct mr_assess *a, int64_t t0_utc_ms, int64_t t1_utc_ms);
const char *mr_ms_text(struct mr_assess *a, double ms);

/** mr_day_label - "2026-05-11" of a wall clock's figures. */
const char *mr_day_label(struct mr_assess *a, int64_t local_ms);

/** mr_count_text - "1 area", "2 areas"; one: a noun whose plural adds an s. */
const char *mr_count_text(struct mr_assess *a, size_t n, const char *one);

/** mr_capitalised - the text with its first ASCII letter in upper case. */
const char *mr_capitalised(struct mr_assess *a, const char *text);

/** mr_shift_near - the shift that holds a moment, else the nearest; MR_NONE where there is none. */
size_t mr_shift_near(const struct mr_alignment *aligned, int64_t t_utc_ms);

/** mr_shift_about - as mr_shift_near, but MR_NONE where the moment lies farther from it than a new shift would. */
size_t mr_shift_about(const struct mr_assess *a, int64_t t_utc_ms);

/** mr_evidence_track - the lines of a track's samples from t0 to t1 and the ones beside them, one entry per file.
 *  Nothing where the track is NULL or has no sample near. */
void mr_evidence_track(struct mr_assess *a, mr_evidence_list *list, const struct mr_track *track, int64_t t0_utc_ms,
                       int64_t t1_utc_ms, const char *note);

/** mr_blank_check, mr_blank_finding - all numbers and times "none", the rest given or empty. */
struct mr_check mr_blank_check(const char *id, const char *title, const char *group, size_t zone, int coat);
struct mr_finding mr_blank_finding(const char *id, enum mr_severity severity, size_t zone, int coat);

/** mr_finding_of - a finding about a check: place, figures, rule and evidence are the check's. Times are left out. */
struct mr_finding mr_finding_of(const struct mr_check *check, const char *id, enum mr_severity severity);

/** mr_add_unjudged - for a group that judges each coat's window: a "not shown" check (id.window) for every required
 * coat of a zone that no window shows, and one "not required" check (id) for each zone whose specification does not
 * ask. */
void mr_add_unjudged(struct mr_assess *a, const char *id, const char *title, const char *group,
                     enum mr_setting_id required);

#endif
