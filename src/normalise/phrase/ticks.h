/*
 * ticks.h - an answer beside the data: "Steel wet: yes", "Accepted: no", "Expired: 1". The heading is a sentence, and
 * the answer affirms or denies it.
 */
#ifndef MILRISE_NORMALISE_PHRASE_TICKS_H
#define MILRISE_NORMALISE_PHRASE_TICKS_H

#include <stdbool.h>

enum mr_tick {
    MR_TICK_NONE,    /* no answer, or a figure that may be one or not */
    MR_TICK_AGREES,  /* all is well with the row */
    MR_TICK_OBJECTS, /* something is not */
    MR_TICK_OPEN     /* an answer to a question that nobody knows here: a person has to read it */
};

/** mr_tick_of - what a cell of one word, 1 or 0 answers under a heading. heading, words: folded. */
enum mr_tick mr_tick_of(const char *heading, const char *words);

/** mr_says_amiss - whether folded words say by themselves that something is not well: "rejected", "on hold". */
bool mr_says_amiss(const char *words);

#endif
