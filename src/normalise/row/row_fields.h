/*
 * row_fields.h - one row of a gauge or of a hand-kept table, spread out by meaning; what its readers share. Private
 * to the readers of records.
 */
#ifndef MILRISE_NORMALISE_ROW_ROW_FIELDS_H
#define MILRISE_NORMALISE_ROW_ROW_FIELDS_H

#include "normalise/row/file_state.h"

/* One row by meaning. */
struct mr_spread {
    struct mr_file_state *state;
    const struct mr_row *row;
    const struct mr_cell *cell[MR_MEANING_COUNT]; /* NULL where absent or blank */
    size_t col[MR_MEANING_COUNT];
    bool optional; /* a figure that the row can do without: messages say that it alone is left out */
};

/** mr_spread_row - a row by meaning; of several cells of one meaning the first filled one. */
struct mr_spread mr_spread_row(struct mr_file_state *file, const struct mr_row *row);

/** mr_spread_text - the text of a meaning's cell, kept; "" where absent. */
const char *mr_spread_text(const struct mr_spread *s, enum mr_meaning m);

/** mr_spread_probe - the probe of the row, else the one that the lines above the table name; "". */
const char *mr_spread_probe(const struct mr_spread *s);

/** mr_spread_say - a diagnostic about the cell of a meaning, or about the row where it has none. */
void mr_spread_say(const struct mr_spread *s, enum mr_aside why, enum mr_meaning m, const char *mend,
                   const char *what);

/** mr_spread_number - a cell of plan column col with its unit: the row's unit column, the cell's own, the column's.
 * Returns MR_FATE_USED, or why not, said already. *unit is NONE where none is known yet. */
int mr_spread_number(const struct mr_spread *s, size_t col, const struct mr_cell *cell, double *out,
                     enum mr_unit *unit);

/** mr_spread_time - the row's time; MR_T_NONE where it has none or it cannot be read. */
int64_t mr_spread_time(const struct mr_spread *s, enum mr_time_read *got);

/** mr_spray_action - what the action cell of a spray log says; a blank one sprays. zone, coat: the row's; "". The
 * zone's words may stand in the action, and a word that nobody knows may be work on the coat where both are given. */
enum mr_action mr_spray_action(struct mr_file_state *file, const char *text, const char *zone, const char *coat);

/** mr_is_failed_test - whether a row of a water test or of a mix check says that it failed. */
bool mr_is_failed_test(struct mr_file_state *state, const struct mr_spray *r);

/** mr_tell_action - mark what a row says was done and no rule and no list knows, and give it to a person. */
void mr_tell_action(const struct mr_spread *s, struct mr_spray *r);

/** mr_doubt_blank_actions - a row with neither an action nor a coat, in a log of which other rows say that they
 * spray, may be a coat or not: it becomes unclear. Where only other work is named, a blank one sprays. */
void mr_doubt_blank_actions(struct mr_spray *rows, size_t n);

/* The kinds: a row becomes a record. Each returns the row's fate. */
int mr_record_reading(const struct mr_spread *s);
int mr_record_verification(const struct mr_spread *s);
int mr_record_spray(const struct mr_spread *s);
int mr_record_shift(const struct mr_spread *s);
int mr_record_material(const struct mr_spread *s);
int mr_record_zone(const struct mr_spread *s);

#endif
