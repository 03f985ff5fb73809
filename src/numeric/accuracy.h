/*
 * accuracy.h - a tolerance or uncertainty as certificates state it: a share of the value and a fixed part, added.
 */
#ifndef MILRISE_NUMERIC_ACCURACY_H
#define MILRISE_NUMERIC_ACCURACY_H

#include "milrise/units.h"

#define MR_ACCURACY_RANGE "0 % to 100 % or 0 um to 10 mm" /* of each part; a project decision */

struct mr_accuracy { /* "5 %", "2 um", "2 um + 3 %" */
    bool known;
    int64_t percent; /* thousandths of a percent */
    int64_t quanta;  /* exact_decimal.h */
};

/** mr_accuracy_scan - NULL, or what is wrong as a clause. An empty text: known is false. */
const char *mr_accuracy_scan(const char *text, struct mr_accuracy *out);

/** mr_accuracy_um - its size at a value; NaN where it is not known. */
double mr_accuracy_um(const struct mr_accuracy *accuracy, double value_um);

#endif
