/*
 * select.h - numbers in order: sorted, or single order statistics of long arrays, linear on average.
 */
#ifndef MILRISE_NUMERIC_SELECT_H
#define MILRISE_NUMERIC_SELECT_H

#include "milrise/base.h"

/** mr_select_kth - the k-th smallest of v (from 0, n > k), which is reordered. No NaN. */
double mr_select_kth(double *v, size_t n, size_t k);

/** mr_median - the middle value of an array, or the mean of the two; NaN where n is 0. No NaN among the values. The
 * array is reordered; a sorted one stays as it is. */
double mr_median(double *values, size_t n);

/** mr_sort - ascending, in place. No NaN. */
void mr_sort(double *values, size_t n);

#endif
