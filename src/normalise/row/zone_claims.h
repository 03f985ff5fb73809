/*
 * zone_claims.h - what a file says of the zone of its clock, and whether that is the job's.
 */
#ifndef MILRISE_NORMALISE_ROW_ZONE_CLAIMS_H
#define MILRISE_NORMALISE_ROW_ZONE_CLAIMS_H

#include "normalise/row/file_state.h"

/** mr_settle_zone - after the times are settled. A zone in words is taken where the job's zone is called so at the
 *  file's times; else the file asks and its rows are set aside. An offset that is applied is said. */
void mr_settle_zone(struct mr_file_state *state);

#endif
