/*
 * trim.h - blanks around a cell.
 */
#ifndef MILRISE_READ_TRIM_H
#define MILRISE_READ_TRIM_H

#include "milrise/read.h"

static inline bool mr_is_blank(char c) {
    return c == ' ' || (c >= '\t' && c <= '\r');
}

/** mr_trim - sets p and n of a cell to the text without blanks, tabs and line ends around it. */
static inline void mr_trim(struct mr_cell *cell, const char *p, size_t n) {
    while (n && mr_is_blank(*p)) {
        p++;
        n--;
    }
    while (n && mr_is_blank(p[n - 1]))
        n--;
    cell->p = p;
    cell->n = (uint32_t)n;
}

#endif
