/*
 * stated_state.h - what a line above a table says of the instrument while it measured: a fault, a battery that was
 * low, a clock that was off. Its values may be none, or of another time.
 */
#ifndef MILRISE_NORMALISE_COLUMN_STATED_STATE_H
#define MILRISE_NORMALISE_COLUMN_STATED_STATE_H

#include "milrise/arena.h"

/** mr_says_unfit - whether a line says so of the instrument. name: what stands before the colon, "" where there is
 * none; value: the rest, as written. */
bool mr_says_unfit(struct mr_arena *arena, const char *name, const char *value);

/** mr_says_clock_off - whether it says that the clock showed another time than the true one. "Clock offset: 0 s" does
 * not. */
bool mr_says_clock_off(struct mr_arena *arena, const char *name, const char *value);

#endif
