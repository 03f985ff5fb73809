/*
 * refiled.h - one reading under two places. Gauge and moment identify a reading, whatever spot, area, zone, unit or
 * file it is filed under: counted twice it makes a survey complete that is not.
 */
#ifndef MILRISE_NORMALISE_FILE_REFILED_H
#define MILRISE_NORMALISE_FILE_REFILED_H

#include "normalise/row/file_state.h"

/** mr_find_refiled - once repeats are gone: film readings of one gauge, moment and value that stand under different
 * places, or of one gauge and moment in different zones of two files, are marked as contradicted. Times cut to the
 * minute identify nothing. */
void mr_find_refiled(struct mr_file_state *files, size_t n);

#endif
