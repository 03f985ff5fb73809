/*
 * select.h - order statistics of long arrays without sorting them, linear on average.
 */
#ifndef MILRISE_NUMERIC_SELECT_H
#define MILRISE_NUMERIC_SELECT_H

#include "milrise/base.h"

/** mr_select_kth - the k-th smallest of v (from 0, n > k), which is reordered. No NaN. */
double mr_select_kth(double *v, size_t n, size_t k);

/** mr_select_median - middle value of an array, which it reorders; NaN where n is 0. No NaN among the values. */
double mr_select_median(double *values, size_t n);

#endif
