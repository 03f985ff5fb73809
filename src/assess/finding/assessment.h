/*
 * assessment.h - inside the assess stage: what the parts share, and the parts. mr_assess (assess.c) calls them in
 * this order.
 */
#ifndef MILRISE_ASSESS_FINDING_ASSESSMENT_H
#define MILRISE_ASSESS_FINDING_ASSESSMENT_H

#include "base/chains.h"
#include "milrise/assess.h"

/* The assessment under construction. */
struct mr_assess {
    struct mr_arena *arena;
    struct mr_arena *work; /* see mr_work */
    const struct mr_alignment *aligned;
    const struct mr_job *job;
    struct mr_diags *diags;
    struct mr_assessment *out;
    struct mr_chains windows; /* see mr_windows_by_zone */
    size_t windows_chained;
    struct mr_chains actions; /* see mr_actions_by_zone */
};

/** mr_work - memory for lists that no result keeps; made at the first call.
 *  mr_work_done - forgets them: after each part, and within the film after each zone. */
struct mr_arena *mr_work(struct mr_assess *a);
void mr_work_done(struct mr_assess *a);

/** mr_windows_by_zone - the windows of each zone, in order of time; made at the first call.
 *  mr_actions_by_zone - the other rows of the spray log of each zone, in the order of aligned->actions; likewise.
 *  mr_checks_by_zone - the checks of each zone that have been handed in so far. */
const struct mr_chains *mr_windows_by_zone(struct mr_assess *a);
const struct mr_chains *mr_actions_by_zone(struct mr_assess *a);
struct mr_chains mr_checks_by_zone(struct mr_assess *a);

/** mr_add_check, mr_add_finding - append a copy. What hangs on a clock that looks wrong is held back (clock_hold.h):
 * go by check->outcome after handing it in, never before. */
void mr_add_check(struct mr_assess *a, struct mr_check *check);
void mr_add_finding(struct mr_assess *a, const struct mr_finding *finding);
void mr_add_table(struct mr_assess *a, struct mr_table *table);
void mr_add_shift_event(struct mr_assess *a, const struct mr_shift_event *event);
void mr_add_evidence(struct mr_assess *a, mr_evidence_list *list, struct mr_place place, const char *note);

/* Thickness: gauge verification, surveys, rules, statistics (thickness.c, rules.c, gauge.c, column_shape.c, ...).
 * Adds checks of groups "gauge", "thickness", "history", out->films and its tables. */
void mr_assess_thickness(struct mr_assess *a);

/* The spray windows as a table (coats.c). */
void mr_assess_coats(struct mr_assess *a);

/* Climate over lead, window and cure of each coat (climate.c, dew_point.c). */
void mr_assess_climate(struct mr_assess *a);

/* The same over each repair. Needs the film's nonconformances (climate_repairs.c). */
void mr_assess_repair_climate(struct mr_assess *a);

/* Heat: events, judgement, rise against thickness (heat_*.c). Needs out->films. Adds out->heats. */
void mr_assess_reaction(struct mr_assess *a);

/* A stretch of a log that stands under two dates (copied_stretches.c). */
void mr_assess_copied_stretches(struct mr_assess *a);

/* Line pressures, pauses, relief, clean-out (lines.c). */
void mr_assess_lines(struct mr_assess *a);

/* Material balance and lots (material.c). Needs out->films. */
void mr_assess_material(struct mr_assess *a);

/* Shift record items (shift_record.c) and the timeline of each shift (shift_timeline.c), last. */
void mr_assess_shift(struct mr_assess *a);
void mr_assess_shift_timeline(struct mr_assess *a);

/* Rows under a name that may be a zone's (near_names.c). */
void mr_assess_near_names(struct mr_assess *a);

/* Spraying that no row of the spray log explains (unlogged_coats.c). */
void mr_assess_unlogged(struct mr_assess *a);

/* Rows that could not be read, and what they may have said (unread_checks.c). */
void mr_assess_unread(struct mr_assess *a);

/* taken_back.c: readings that were taken back and fill spots that miss the specification. */
void mr_assess_taken_back(struct mr_assess *a);

/* The same for samples of climate and lines in the windows (unread_logs.c). */
void mr_assess_unread_logs(struct mr_assess *a);

/* Statements of the job and its register that do not hold together (job_statements.c). */
void mr_assess_statements(struct mr_assess *a);
void mr_assess_sections(struct mr_assess *a);

/* Instruments that were used after their calibration had run out (file_certificates.c). */
void mr_assess_certificates(struct mr_assess *a);

/* Alignment's own matter for the report: clocks, unassigned readings, near misses, route counts, settings in force,
 * inputs (provenance.c). */
void mr_assess_provenance(struct mr_assess *a);

/* The register of non-conformances (nonconformances.c); needs all checks but those of mr_assess_finish. */
void mr_assess_nonconformances(struct mr_assess *a);

/* The job file, column maps and rules in force, with their fingerprints (configuration.c). */
void mr_assess_configuration(struct mr_assess *a);

/* Last of all: required groups without data, order, zone and job outcomes, the summary table (assemble.c). */
void mr_assess_finish(struct mr_assess *a);

/* A place for each check and finding that has none; last of all (evidence.c). */
void mr_assess_evidence(struct mr_assess *a);

#endif
