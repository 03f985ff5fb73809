/*
 * trim.h - blanks around a cell.
 */
#ifndef MILRISE_READ_TRIM_H
#define MILRISE_READ_TRIM_H

#include "milrise/read.h"

/** mr_trim - sets p and n of a cell to the text without blanks, tabs and line ends around it. */
static inline void mr_trim(struct mr_cell *cell, const char *p, size_t n) {
    while (n && (*p == ' ' || (*p >= '\t' && *p <= '\r'))) {
        p++;
        n--;
    }
    while (n && (p[n - 1] == ' ' || (p[n - 1] >= '\t' && p[n - 1] <= '\r')))
        n--;
    cell->p = p;
    cell->n = (uint32_t)n;
}

#endif
