/*
 * recognise.h - which kind of file, and which meaning has each column?
 */
#ifndef MILRISE_NORMALISE_COLUMN_RECOGNISE_H
#define MILRISE_NORMALISE_COLUMN_RECOGNISE_H

#include "normalise/column/plan.h"

/* What the words of a file speak for, as one kind. */
struct mr_guess {
    int score; /* 0 = what the kind needs is not there */
    mr_meanings found;
    struct mr_plan_column *col; /* shape: n */
    bool by_file_words;
};

/** mr_guess_kind - columns and score as one kind. Arrays live in arena. */
struct mr_guess mr_guess_kind(struct mr_arena *arena, const struct mr_maps *maps, enum mr_kind kind,
                              const struct mr_source *source, const struct mr_column_shapes *shapes);

/* A score from which a kind is believed, and the lead it needs over the next. */
enum { MR_GUESS_ENOUGH = 40, MR_GUESS_LEAD = 10 };

#endif
