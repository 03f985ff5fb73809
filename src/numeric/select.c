/*
 * select.c - see select.h.
 */
#include "numeric/select.h"

#include "numeric/search.h"

#include <math.h>
#include <stdlib.h>

static int by_value(const void *a, const void *b) {
    const double *x = a, *y = b;
    return MR_ORDER(*x, *y);
}

void mr_sort(double *values, size_t n) {
    if (n > 1)
        qsort(values, n, sizeof *values, by_value);
}

static void swap(double *a, double *b) {
    double keep = *a;
    *a = *b;
    *b = keep;
}

/* Hoare's selection with the middle of three as pivot: the k-th smallest comes to place k. */
double mr_select_kth(double *v, size_t n, size_t k) {
    size_t lo = 0, hi = n - 1;
    while (lo < hi) {
        size_t mid = lo + (hi - lo) / 2;
        if (v[mid] < v[lo])
            swap(&v[mid], &v[lo]);
        if (v[hi] < v[lo])
            swap(&v[hi], &v[lo]);
        if (v[hi] < v[mid])
            swap(&v[hi], &v[mid]);
        double pivot = v[mid];
        size_t i = lo, j = hi;
        for (;;) {
            while (v[i] < pivot)
                i++;
            while (v[j] > pivot)
                j--;
            if (i >= j)
                break;
            swap(&v[i++], &v[j--]);
        }
        if (k <= j)
            hi = j;
        else
            lo = j + 1;
    }
    return v[k];
}

double mr_median(double *values, size_t n) {
    if (n == 0)
        return MR_NAN;
    double upper = mr_select_kth(values, n, n / 2);
    if (n % 2)
        return upper;
    double lower = values[0];
    for (size_t i = 1; i < n / 2; i++)
        lower = fmax(lower, values[i]);
    return (lower + upper) / 2.0;
}
