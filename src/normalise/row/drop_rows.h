/*
 * drop_rows.h - rows that are set aside after they were read.
 */
#ifndef MILRISE_NORMALISE_ROW_DROP_ROWS_H
#define MILRISE_NORMALISE_ROW_DROP_ROWS_H

#include "normalise/row/file_state.h"

/** mr_log_drop, mr_readings_drop - rows with fate != MR_FATE_USED leave; fate: shape rows. Fates are split too. */
void mr_log_drop(struct mr_file_state *file, const int8_t *fate);
void mr_readings_drop(struct mr_file_state *file, const int8_t *fate);

#endif
