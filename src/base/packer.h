/*
 * packer.h - columns of packed.h made number by number, and joined.
 */
#ifndef MILRISE_BASE_PACKER_H
#define MILRISE_BASE_PACKER_H

#include "milrise/packed.h"

/* Stretches one after the other, each but the last of MR_STRETCH numbers. */
struct mr_stretches {
    MR_VEC(struct mr_stretch) list;
    MR_VEC(uint8_t) rest;
};

/** mr_stretches_add - the next n numbers, in arena. */
void mr_stretches_add(struct mr_stretches *s, struct mr_arena *arena, const int64_t *numbers, size_t n);

/** mr_stretches_fit - hardly any more will come: room for them is given back. */
void mr_stretches_fit(struct mr_stretches *s, struct mr_arena *arena);

/** mr_stretches_column - the numbers so far, to be read until more are added. */
static inline struct mr_wholes mr_stretches_column(const struct mr_stretches *s) {
    return (struct mr_wholes){.stretch = s->list.v, .rest = s->rest.v};
}

/* Values that occur, by their bits, numbered in the order of their coming. */
struct mr_seen {
    uint64_t bits;
    uint32_t number; /* + 1; 0 = a free place */
};
struct mr_seen_values {
    size_t n, room; /* room: a power of two */
    struct mr_seen *at;
};

/** mr_seen_number - of a value, which is seen from then on. */
uint32_t mr_seen_number(struct mr_seen_values *s, struct mr_arena *arena, uint64_t bits);

/* A column in the making. What it needs meanwhile lies in scratch. */
struct mr_packer {
    struct mr_arena *scratch;
    size_t n;
    int64_t held[MR_STRETCH];
    struct mr_stretches done;
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
