/*
 * source.h - the doors of this stage with the chunk size as a parameter, for tests and fuzzing.
 */
#ifndef MILRISE_READ_SOURCE_H
#define MILRISE_READ_SOURCE_H

#include "milrise/read.h"

/** As mr_read_memory, mr_read_source and mr_read_rows (read.h), in chunks of chunk bytes. */
enum mr_status mr_read_memory_in(struct mr_arena *arena, const struct mr_job *job, const char *path, const char *data,
                                 size_t n, size_t chunk, struct mr_diags *diags, struct mr_source *out) MR_MUST_USE;
enum mr_status mr_read_source_in(struct mr_arena *arena, const struct mr_job *job, const char *full_path,
                                 const char *path, size_t chunk, struct mr_diags *diags,
                                 struct mr_source *out) MR_MUST_USE;
enum mr_status mr_read_rows_in(const struct mr_source *source, size_t chunk, mr_row_fn fn, void *ctx) MR_MUST_USE;

/** mr_broken_word - "no", "quote", "long", "bytes", "nul", "half". */
const char *mr_broken_word(enum mr_broken broken);
const char *mr_row_part_word(enum mr_row_part part);

#endif
