/*
 * packer.h - columns of packed.h made number by number, and joined.
 */
#ifndef MILRISE_BASE_PACKER_H
#define MILRISE_BASE_PACKER_H

#include "milrise/packed.h"

/* A column in the making. What it needs meanwhile lies in scratch. */
struct mr_packer {
    struct mr_arena *scratch;
    size_t n;
    int64_t held[MR_STRETCH];
    MR_VEC(struct mr_stretch) stretches;
    MR_VEC(uint8_t) rest;
};

/** mr_packer_add - the next number. mr_packer_end - the column, in arena; the packer may begin another. */
void mr_packer_begin(struct mr_packer *p, struct mr_arena *scratch);
void mr_packer_add(struct mr_packer *p, int64_t number);
struct mr_wholes mr_packer_end(struct mr_packer *p, struct mr_arena *arena);

/* Values of several columns on their way into one. */
struct mr_joiner {
    struct mr_packer packer;
    const struct mr_reals *const *part;
    double *raw;         /* as they are, where one of the columns stands so; else NULL */
    const double *value; /* those that occur in any of them, rising */
    size_t n, n_values;  /* values joined so far; those that occur */
    uint32_t **whose;    /* shape: parts; where each value of a part stands among all */
};

/** mr_joiner_begin - of n columns, which outlive the joiner; most: values that will come.
 *  mr_joiner_add - the next value: that of a part at i. mr_joiner_end - the column, in arena. */
void mr_joiner_begin(struct mr_joiner *j, struct mr_arena *scratch, size_t n, const struct mr_reals *const *part,
                     size_t most);
void mr_joiner_add(struct mr_joiner *j, size_t part, size_t i);
struct mr_reals mr_joiner_end(struct mr_joiner *j, struct mr_arena *arena);

#endif
