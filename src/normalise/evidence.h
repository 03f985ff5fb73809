/*
 * evidence.h - what one file itself says about a unit that its headings leave open: its legend, and the laws between its columns.
 */
#ifndef MILRISE_NORMALISE_EVIDENCE_H
#define MILRISE_NORMALISE_EVIDENCE_H

#include "normalise/work.h"

struct mr_evidence {
    enum mr_unit unit; /* NONE where nothing is said */
    const char *why;
    bool denied;       /* the legend gives the values in another scale ("0.1 °C"): nothing else may settle them */
};

/** mr_legend_unit - the unit that a line above or below the table gives to a column, by its heading
 *  (`name`) or for every column of the dimension ("Units: degC"). Lines that disagree, or that name two units, say nothing. */
struct mr_evidence mr_legend_unit(struct mr_work *work, size_t col, const char *name, enum mr_dim dim);

/** mr_text_scaled - whether a line speaks of tenths or hundredths of a unit. */
bool mr_text_scaled(struct mr_arena *arena, const char *text);

/** mr_legend_scope - whether folded words such as "steel temperature unit" speak of units, and of this column's. */
bool mr_legend_scope(const char *words, const char *column, enum mr_dim dim);

/** mr_moist_unit - the unit of a bare channel by humidity, air and dew point of the same rows: they fit the Magnus relation in
 *  one unit only; or, without humidity, the dew point stays below the air and near enough in one unit only. */
struct mr_evidence mr_moist_unit(struct mr_work *work, size_t channel);

#endif
