/*
 * plausible.h - what a person would doubt on seeing the curve.
 */
#ifndef MILRISE_NORMALISE_FILE_PLAUSIBLE_H
#define MILRISE_NORMALISE_FILE_PLAUSIBLE_H

#include "normalise/row/file_state.h"

/** mr_flag_implausible - stuck sensors, jumps, gaps, time going backwards: warnings. */
void mr_flag_implausible(struct mr_file_state *file);

#endif
