/*
 * unit_evidence.h - what one file itself says about a unit that its headings leave open: its legend, and the laws
 * between its columns.
 */
#ifndef MILRISE_NORMALISE_UNIT_UNIT_EVIDENCE_H
#define MILRISE_NORMALISE_UNIT_UNIT_EVIDENCE_H

#include "normalise/row/file_state.h"

struct mr_unit_evidence {
    enum mr_unit unit; /* NONE where nothing is said */
    enum mr_unit_origin origin;
    const char *why;
    bool denied; /* the legend gives the values in another scale ("0.1 °C"): nothing else may settle them */
};

/** mr_legend_unit - the unit that a line above or below the table gives to a column, by its heading
 *  (`name`) or for every column of the dimension ("Units: degC"). Lines that disagree, or that name two units, say
 * nothing. */
struct mr_unit_evidence mr_legend_unit(struct mr_file_state *file, size_t col, const char *name, enum mr_dim dim);

/** mr_legend_scope - whether folded words such as "steel temperature unit" speak of units, and of this column's. */
bool mr_legend_scope(const char *words, const char *column, enum mr_dim dim);

/** mr_vapour_unit - the unit of a bare channel by humidity, air and dew point of the same rows: they fit the Magnus
 * relation in one unit only; or, without humidity, the dew point stays below the air and near enough in one unit
 * only.
 */
struct mr_unit_evidence mr_vapour_unit(struct mr_file_state *file, size_t channel);

#endif
