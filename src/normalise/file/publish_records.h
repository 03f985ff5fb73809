/*
 * publish_records.h - what one file gives to the job.
 */
#ifndef MILRISE_NORMALISE_FILE_PUBLISH_RECORDS_H
#define MILRISE_NORMALISE_FILE_PUBLISH_RECORDS_H

#include "normalise/row/file_state.h"

/** mr_publish_records - append the file's channels and records to the job's; *file.first_ms and last_ms are found. */
void mr_publish_records(struct mr_arena *arena, struct mr_data *data, struct mr_file_state *file);

/** mr_file_zone - the zone of the steel that the preamble names for the whole file; "". */
const char *mr_file_zone(struct mr_file_state *file);

#endif
