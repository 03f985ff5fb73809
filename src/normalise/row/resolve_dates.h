/*
 * resolve_dates.h - stamps become moments.
 */
#ifndef MILRISE_NORMALISE_ROW_RESOLVE_DATES_H
#define MILRISE_NORMALISE_ROW_RESOLVE_DATES_H

#include "normalise/row/file_state.h"

/** mr_resolve_dates - settle the dates of a file; its stamps become moments, or the whole file is set aside. */
void mr_resolve_dates(struct mr_file_state *file);

#endif
