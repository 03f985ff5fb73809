/*
 * exact_decimal.h - film thickness in exact decimal arithmetic, for verdicts.
 *
 * A gauge shows a decimal, a specification writes one; the double that carries it is only near it. 0.8 x 250 = 200
 * must pass at 200, and a mean of decimals must not miss its limit by a bit. So verdicts are taken on whole numbers:
 * every film unit is a decimal multiple of the micrometre (1 mil = 25.4 µm), hence every written value is a whole
 * number of quanta of 10^-9 µm, in whichever unit it was written, and no conversion rounds. Means are ratios of whole
 * numbers.
 */
#ifndef MILRISE_NUMERIC_EXACT_DECIMAL_H
#define MILRISE_NUMERIC_EXACT_DECIMAL_H

#include "milrise/units.h"

__extension__ typedef __int128 mr_wide;

#define MR_QUANTA_PER_UM 1000000000LL

/** mr_film_quanta - the decimal that was written, as quanta. written is the double nearest to a decimal of at most 15
 *  digits and 9 places: the shortest such decimal is meant. More places are rounded to the quantum (far below what
 * any gauge shows). Returns false, *out untouched, where the unit is no film unit or the value is no number or beyond
 * 9 km. */
bool mr_film_quanta(double written, enum mr_unit unit, int64_t *out);

/** mr_decimal_scaled - the same for a plain decimal times 10^places (0 to 9), e.g. percent in thousandths. */
bool mr_decimal_scaled(double written, int places, int64_t *out);

struct mr_ratio {
    mr_wide num, den; /* den > 0 */
};

struct mr_ratio mr_ratio_of(mr_wide num, mr_wide den);

/** mr_ratio_add, mr_ratio_subtract, mr_ratio_divide - reduced. A denominator beyond 10^12 is rounded to one near it:
 * an error below 10^-12 of a quantum, reached only by means over spots of many unlike numbers of readings. */
struct mr_ratio mr_ratio_add(struct mr_ratio a, struct mr_ratio b);
struct mr_ratio mr_ratio_subtract(struct mr_ratio a, struct mr_ratio b);
struct mr_ratio mr_ratio_divide(struct mr_ratio a, int64_t n);

/** mr_ratio_share - thousandths of a percent of a: 80 % is 80000. */
struct mr_ratio mr_ratio_share(struct mr_ratio a, int64_t millipercent);

/** mr_ratio_compare - -1, 0, 1. */
int mr_ratio_compare(struct mr_ratio a, struct mr_ratio b);

/** mr_ratio_um - quanta as micrometres, rounded once. */
double mr_ratio_um(struct mr_ratio a);

/** mr_ratio_in - quanta as a film unit. */
double mr_ratio_in(struct mr_ratio a, enum mr_unit unit);

#endif
