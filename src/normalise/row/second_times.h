/*
 * second_times.h - times that a row gives twice: a second day, a second stop, a stop and how long it took. Where the
 * two differ nobody knows which is right.
 */
#ifndef MILRISE_NORMALISE_ROW_SECOND_TIMES_H
#define MILRISE_NORMALISE_ROW_SECOND_TIMES_H

#include "normalise/row/row_fields.h"

/** mr_second_day_differs - the column of another day than that of the row's own date, by more than one, which a time
 *  zone may make; MR_NONE. The job's word on the column settles it. */
size_t mr_second_day_differs(struct mr_file_state *state, const struct mr_row *row);

/** mr_take_second_times - a coat or a repair whose stop is contradicted by a second one or by how long it took loses
 *  it, so that only a moment of it is judged; it is said. */
void mr_take_second_times(const struct mr_spread *s, struct mr_spray_times *t);

#endif
