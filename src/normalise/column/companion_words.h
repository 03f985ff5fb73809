/*
 * companion_words.h - what stands beside a value: "Status: sensor error", "Valid: no", "Note: on the test plate".
 */
#ifndef MILRISE_NORMALISE_COLUMN_COMPANION_WORDS_H
#define MILRISE_NORMALISE_COLUMN_COMPANION_WORDS_H

#include "normalise/column/column_map.h"

/* How a heading makes its cells speak of the values beside them. */
enum mr_companion {
    MR_COMPANION_YES,     /* "Valid", "Accepted": the values count where the cell says yes or nothing */
    MR_COMPANION_NO,      /* "Excluded", "Error": they count where it says no or nothing */
    MR_COMPANION_STATE,   /* "Status", "Mode": they count where each word is known to mean a measured value */
    MR_COMPANION_VERDICT, /* "Result", "Passed" of a verification: it counts where the cell is known to say so */
    MR_COMPANION_LIMIT,   /* "Alarm" in a log, "Method": they count but where a word is known to mean no value */
    MR_COMPANION_COAT,    /* the coat, which no primer is and which is never number 0 */
    MR_COMPANION_OWNER,   /* of film: product, substrate, project; asked for where the file holds several */
    MR_COMPANION_SHIFT,   /* "Offset", "RH correction": not known whether the values have it, where it is not zero */
    MR_COMPANION_NOTE,    /* free text: asked where it speaks of something else than the work */
    MR_COMPANION_ABOUT    /* any other heading: as a note */
};

enum mr_companion_says { MR_SAYS_COUNTS, MR_SAYS_NOT, MR_SAYS_UNKNOWN };

/** mr_companion_of - what kind of companion a column is in a file of this kind. text: its heading; words: folded. */
enum mr_companion mr_companion_of(enum mr_kind kind, const char *text, const char *words);

/** mr_companion_reads - what one cell says of the values in its row. cell, words: its text, and
 *  folded; map: of the file's kind. A verdict against limits ("fail", "low") is no word against a reading of film or
 * of a log: it counts. */
enum mr_companion_says mr_companion_reads(const struct mr_map *map, enum mr_companion companion, const char *heading,
                                          const char *words, const char *cell);

/** mr_says_out_of_limits - whether folded words are the verdict of an instrument on its own limits: "fail", "too
 * low". */
bool mr_says_out_of_limits(const char *words);

#endif
