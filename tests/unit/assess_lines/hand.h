/*
 * hand.h - an alignment built by hand, so that each part of the assessment can be tested without files.
 *
 * Times in tests are seconds after 2026-05-11T08:00:00Z; the job's zone is UTC. One file of each kind stands ready.
 */
#ifndef ASSESS_LINES_HAND_H
#define ASSESS_LINES_HAND_H

#include "assess/finding/assessment.h"
#include "assess/finding/finding_text.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

#define HAND_T0 INT64_C(1778486400000) /* 2026-05-11T08:00:00Z */

enum { FILE_CLIMATE, FILE_LINES, FILE_SPRAY, FILE_SHIFT, FILE_MATERIAL, FILE_ZONES, N_HAND_FILES };

struct hand {
    struct mr_arena *arena;
    struct mr_diags diags;
    struct mr_alignment al;
    struct mr_data data;
    struct mr_sources sources;
    struct mr_job *job;
    struct mr_assessment out;
    struct mr_assess a;
};

/* A job of the given job-file text, no zones yet. */
struct hand *hand_new(const char *job_text);
void hand_free(struct hand *f);

int64_t hand_ms(double seconds);
size_t hand_zone(struct hand *f, const char *name, double area_m2, int coats);
size_t hand_shift(struct hand *f, const char *name, double t0_s, double t1_s);
/* Windows and actions get the next lines of the spray log; lots and role as given by hand_lots. */
size_t hand_window(struct hand *f, size_t zone, int coat, double t0_s, double t1_s);
void hand_lots(struct hand *f, size_t window, const char *lot_a, const char *lot_b, int64_t shelf_a_ms);
/* Two zones, sprayed one after the other in one shift; zone 1 twice as long. */
struct hand *hand_two_zones(const char *job);
void hand_action(struct hand *f, enum mr_action action, double t0_s, double t1_s);

/* A track of n samples from t0_s every step_s: value(t_s, ctx). Lines from 2 on. */
typedef double (*hand_curve)(double t_s, const double *ctx);
size_t hand_track(struct hand *f, const char *instrument, enum mr_meaning meaning, double t0_s, double step_s,
                  size_t n, hand_curve curve, const double *ctx);
double hand_flat(double t_s, const double *ctx);
/* ctx: base, then triples (from_s, to_s, value) that override it, ended by a triple of NaN. */
double hand_steps(double t_s, const double *ctx);

/** hand_psi_steps - hand_steps of pressures in psi, in kPa. */
double hand_psi_steps(double t_s, const double *ctx);

/* What the lines and the main show, in psi steps unless a curve of its own in kPa says otherwise; NULL: not logged.
 */
struct scene {
    const double *a, *b, *main;
    double step_s; /* 0: 1 s */
    hand_curve of_a, of_b, of_main;
};

/** hand_play - a window of 600 s, logged from 60 s before to 60 s after it, its lines judged. */
struct hand *hand_play(const char *job, struct scene s);

void hand_item(struct hand *f, int64_t shift, const char *item, int done, const char *role);
void hand_material(struct hand *f, double t_s, char part, const char *lot, double before, double after,
                   enum mr_unit unit);
void hand_film(struct hand *f, size_t zone, double mean_um);

/* The nth check of that id for a zone and coat (MR_NONE and 0 are literal), or NULL. */
const struct mr_check *hand_check(const struct hand *f, const char *id, size_t zone, int coat);
/* The nth finding of that id from 0, or NULL; and how many there are. */
const struct mr_finding *hand_finding(const struct hand *f, const char *id, size_t nth);
size_t hand_count(const struct hand *f, const char *id);
const struct mr_table *hand_table(const struct hand *f, const char *id);
/* A cell by row and column key. */
const struct mr_value *hand_cell(const struct mr_table *table, size_t row, const char *key);

#define expect_outcome(check, want)                                                                                  \
    cr_expect((check) != NULL && (check)->outcome == (want), "%s: %s, expected %s (%s)",                             \
              (check) == NULL ? "no check" : (check)->id, (check) == NULL ? "-" : mr_outcome_text((check)->outcome), \
              mr_outcome_text(want), (check) == NULL ? "" : (check)->detail)

#endif
