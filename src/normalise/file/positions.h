/*
 * positions.h - where a reading was taken, by the columns of a gauge's file that give its place on the steel.
 */
#ifndef MILRISE_NORMALISE_FILE_POSITIONS_H
#define MILRISE_NORMALISE_FILE_POSITIONS_H

#include "normalise/row/file_state.h"

/** mr_positions_read - the positions of a gauge's rows, by two columns that no other meaning claims: "X (m)" and
 *  "Y (m)", "Along [ft]" and "Across [ft]", "Easting (m)" and "Northing (m)". Both must be there, with a unit of
 * length; the file is read once more for them. A row of which a cell is no number has no position. Returns: as
 * mr_read_rows. */
enum mr_status mr_positions_read(struct mr_file_state *state);

#endif
