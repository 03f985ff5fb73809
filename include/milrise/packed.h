/*
 * packed.h - long columns of numbers in few bytes, each number found by its place.
 *
 * A log has millions of samples, but its times go on evenly, its lines count up, and a sensor of so many digits shows
 * a few thousand different values. So whole numbers stand as stretches (a beginning, a step, and what is left in as
 * few bytes as it needs), and values as numbers into a list of those that occur. What is taken out is what was put
 * in, to the bit. A column that does not gain by it stands as it is.
 *
 * Columns are constant once made and may be read by several threads. How long one is, its owner knows.
 */
#ifndef MILRISE_PACKED_H
#define MILRISE_PACKED_H

#include "milrise/arena.h"

#include <string.h>

enum { MR_STRETCH = 256 }; /* numbers of one stretch */

struct mr_stretch {
    int64_t first;
    size_t at; /* where its rest begins; 0 bytes of rest: the numbers are first, first + step, ... */
    int32_t step;
    uint32_t width; /* bytes of each number's rest: 0, 1, 2, 4 or 8 */
};

struct mr_wholes {                    /* moments, lines, files */
    const int64_t *raw;               /* as they are, or NULL */
    const struct mr_stretch *stretch; /* NULL with raw, and where there is no column */
    const uint8_t *rest;
    size_t from; /* of a part of a column: where it begins */
};

struct mr_reals {           /* values, NaN among them */
    const double *raw;      /* as they are, or NULL */
    const double *value;    /* those that occur, rising, NaN last; NULL with raw, and where there is no column */
    size_t n_values;        /* of them */
    struct mr_wholes which; /* of each place; its `from` is that of raw too */
};

/** mr_wholes_pack - a column of n numbers, in arena. n 0: no column. */
struct mr_wholes mr_wholes_pack(struct mr_arena *arena, const int64_t *numbers, size_t n);

/** mr_lines_pack - the same of smaller numbers. */
struct mr_wholes mr_lines_pack(struct mr_arena *arena, const uint32_t *numbers, size_t n);

/** mr_reals_pack - a column of n values, in arena. n 0: no column. */
struct mr_reals mr_reals_pack(struct mr_arena *arena, const double *values, size_t n);

/** mr_is_column - whether there is a column at all. */
static inline bool mr_is_column(const struct mr_wholes *c) {
    return c->raw || c->stretch;
}

/** mr_same_column - whether two are one and the same, not only equal. */
static inline bool mr_same_column(const struct mr_wholes *a, const struct mr_wholes *b) {
    return a->raw == b->raw && a->stretch == b->stretch && a->from == b->from;
}

/** mr_whole - the number at a place. */
static inline int64_t mr_whole(const struct mr_wholes *c, size_t i) {
    i += c->from;
    if (c->raw)
        return c->raw[i];
    const struct mr_stretch *s = &c->stretch[i / MR_STRETCH];
    const size_t k = i % MR_STRETCH;
    const uint8_t *rest = c->rest + s->at + k * s->width;
    uint64_t wide;
    uint32_t word;
    uint16_t half;
    switch (s->width) {
    case 0:
        wide = 0;
        break;
    case 1:
        wide = *rest;
        break;
    case 2:
        memcpy(&half, rest, sizeof half);
        wide = half;
        break;
    case 4:
        memcpy(&word, rest, sizeof word);
        wide = word;
        break;
    default:
        memcpy(&wide, rest, sizeof wide);
    }
    return (int64_t)((uint64_t)s->first + (uint64_t)((int64_t)s->step * (int64_t)k) + wide);
}

/** mr_real - the value at a place. */
static inline double mr_real(const struct mr_reals *c, size_t i) {
    return c->raw ? c->raw[i + c->which.from] : c->value[mr_whole(&c->which, i)];
}

/** mr_wholes_from, mr_reals_from - the part of a column that begins at a place; nothing is copied. */
static inline struct mr_wholes mr_wholes_from(struct mr_wholes c, size_t i) {
    c.from += i;
    return c;
}

static inline struct mr_reals mr_reals_from(struct mr_reals c, size_t i) {
    c.which.from += i;
    return c;
}

/** mr_wholes_first - the first of n rising numbers that is at least `least`; n where none is. */
size_t mr_wholes_first(const struct mr_wholes *c, size_t n, int64_t least);

/** mr_wholes_copy, mr_reals_copy - n numbers from a place on, one by one. */
void mr_wholes_copy(const struct mr_wholes *c, size_t from, size_t n, int64_t *out);
void mr_reals_copy(const struct mr_reals *c, size_t from, size_t n, double *out);

#endif
