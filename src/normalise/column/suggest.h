/*
 * suggest.h - the lines for the job file that settle what a file leaves open. They must match when pasted, so the
 * names of files and columns are written here only.
 */
#ifndef MILRISE_NORMALISE_COLUMN_SUGGEST_H
#define MILRISE_NORMALISE_COLUMN_SUGGEST_H

#include "normalise/column/question.h"
#include "normalise/column/recognise.h"

/* The guesses of all kinds, and the best two of them. */
struct mr_guesses {
    struct mr_arena *arena;
    const struct mr_source *source;
    const struct mr_column_shapes *shapes;
    struct mr_guess guess[MR_KIND_COUNT];
    enum mr_kind first, second;
};

struct mr_suggestion {
    const char *lines; /* for the job file, below its [file]; lines that begin with # explain */
    enum mr_question question;
    const char *why; /* why the kind is open, a clause */
};

/** mr_suggest_kind - for a file whose kind is open: by its best guess, else by the shape and the size of its numbers,
 * else with a visible ? to fill in. Reads the first rows once more; a failing reading only makes the suggestion
 * poorer.
 */
struct mr_suggestion mr_suggest_kind(struct mr_guesses *guesses);

/** mr_file_key - `[file "PATH"]`: the path in the job folder, or for a file outside one its name in any folder. */
const char *mr_file_key(struct mr_arena *arena, const struct mr_source *source);

/** mr_column_key - `column HEADING`, or `column 3` where there is no heading that can be written into a key. */
const char *mr_column_key(struct mr_arena *arena, const struct mr_source *source, size_t index);

/** mr_names_column - whether a job's name for a column means this one: its heading, or its number where no heading is
 * called so. */
bool mr_names_column(struct mr_arena *arena, const struct mr_source *source, const char *name, size_t index);

/** mr_unit_choices - the units that a meaning may have, in the spelling of a job file; "" where it has none of those
 * that are asked for. */
const char *mr_unit_choices(enum mr_meaning meaning);

/** mr_kind_words - the kinds of files, as a job writes them. */
const char *mr_kind_words(struct mr_arena *arena);

/** mr_one_line - the lines joined by " / ", without those that explain. */
const char *mr_one_line(struct mr_arena *arena, const char *lines);

#endif
