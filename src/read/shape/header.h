/*
 * header.h - where in the sampled rows the header stands, and where the body begins.
 */
#ifndef MILRISE_READ_HEADER_H
#define MILRISE_READ_HEADER_H

#include "read/shape/sample.h"

struct mr_header {
    size_t header, units, body; /* indices of sampled rows; MR_NONE */
    size_t n_columns;
    size_t above_first, above_last; /* rows of another table above the header; MR_NONE */
};

struct mr_header mr_header_find(struct mr_arena *scratch, const struct mr_sample *sample);

#endif
