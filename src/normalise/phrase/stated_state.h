/*
 * stated_state.h - what a line above a table says of the instrument while it measured: a fault, a battery that was
 * low, a clock or a value that was off. Its values may be none, or others, or of another time.
 */
#ifndef MILRISE_NORMALISE_PHRASE_STATED_STATE_H
#define MILRISE_NORMALISE_PHRASE_STATED_STATE_H

#include "milrise/arena.h"

/** mr_says_unfit - whether a line says so of the instrument. name: what stands before the colon, "" where there is
 * none; value: the rest, as written. */
bool mr_says_unfit(struct mr_arena *arena, const char *name, const char *value);

/** mr_says_clock_off - whether it says that the clock showed another time than the true one. "Clock offset: 0 s" does
 * not. */
bool mr_says_clock_off(struct mr_arena *arena, const char *name, const char *value);

/** mr_says_value_off - whether it says that the values are off by so much: "Steel probe offset: -3.0 K", "RH reads 20
 * % low". Whether the export has taken that into account nobody knows. film: of a gauge, whose corrections for the
 * base metal are heard elsewhere. */
bool mr_says_value_off(struct mr_arena *arena, bool film, const char *name, const char *value);

/** mr_is_shift_heading - whether the column of this heading (folded) says by how much the values beside it are off:
 * "Offset [um]", "RH correction". Not where film was measured ("Offset x", "Offset from edge, mm"), and no
 * difference from a set point. film: of a gauge. */
bool mr_is_shift_heading(bool film, const char *words);

/** mr_says_long_mean - whether each value of a log is a mean over more than so many seconds, which levels what
 *  lasts less. */
bool mr_says_long_mean(struct mr_arena *arena, double most_s, const char *name, const char *value);

#endif
