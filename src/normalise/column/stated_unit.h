/*
 * stated_unit.h - what a heading, a cell or a line states as a unit: a unit that is known, a known one times a
 * factor, or one that this program does not know for the quantity. A statement is never overruled by inference.
 */
#ifndef MILRISE_NORMALISE_COLUMN_STATED_UNIT_H
#define MILRISE_NORMALISE_COLUMN_STATED_UNIT_H

#include "milrise/normalise.h"

/* value in `unit` = number as written * times / over; one of the two is 1. */
struct mr_unit_scale {
    double times, over;
};

struct mr_stated_unit {
    enum mr_unit unit;
    struct mr_unit_scale scale;
    const char *unknown; /* the unit as stated, where it is none of the dimension; else NULL */
};

/** mr_unit_scaled - as mr_unit_fits, with a factor before the unit: "0.1 mil", "x10 um", "1e-3 in", "tenths of °C".
 *  False, *out untouched, where the text is no such unit. */
bool mr_unit_scaled(const char *text, size_t n, enum mr_dim dim, struct mr_stated_unit *out);

/* What a text says that stands in the place of a unit: one of the dimension, nothing, or anything else, which is a
 * statement all the same. */
enum mr_unit_says { MR_UNIT_FITS, MR_UNIT_SILENT, MR_UNIT_UNKNOWN };

/** mr_unit_says - of a whole text or of a list ("degC, %"). *out where it fits. */
enum mr_unit_says mr_unit_says(const char *text, size_t n, enum mr_dim dim, struct mr_stated_unit *out);

/** mr_heading_unit - what a heading states: in brackets, behind a mark or at its end. unit NONE and unknown NULL
 * where it states nothing that is a matter of this function: a factor or an unknown unit. */
struct mr_stated_unit mr_heading_unit(struct mr_arena *arena, const struct mr_head *head, enum mr_dim dim);

/** mr_scale - a number as written, in the unit. */
static inline double mr_scale(struct mr_unit_scale scale, double written) {
    return written * scale.times / scale.over;
}

/** mr_is_scaled - whether the factor is another than 1. */
bool mr_is_scaled(struct mr_unit_scale scale);

#define MR_UNSCALED ((struct mr_unit_scale){1.0, 1.0})

/** mr_unit_inside - a unit of film or of pressure that stands as a word anywhere in a heading, for headings that
 * state none otherwise: "DFT mil 1", "Line A (psi) 2". Two units, a factor or another trade's unit: unknown. */
struct mr_stated_unit mr_unit_inside(struct mr_arena *arena, const char *text, enum mr_dim dim);

#endif
