/*
 * outfile.h - whole files in, whole files out.
 */
#ifndef MILRISE_BASE_OUTFILE_H
#define MILRISE_BASE_OUTFILE_H

#include "milrise/arena.h"

/** mr_file_slurp - a small file (job, rules, maps: at most max bytes) as NUL-terminated text in arena. MR_E_IO;
 * MR_E_RANGE where it is larger. */
enum mr_status mr_file_slurp(struct mr_arena *arena, const char *path, size_t max, char **out,
                             size_t *out_n) MR_MUST_USE;

/** mr_file_slurp_own - the same of a name that must be no link: MR_E_IO with errno ELOOP where it is one. */
enum mr_status mr_file_slurp_own(struct mr_arena *arena, const char *path, size_t max, char **out,
                                 size_t *out_n) MR_MUST_USE;

/** mr_file_slurp_fd - the same of a file that is open, which stays open. */
enum mr_status mr_file_slurp_fd(struct mr_arena *arena, int fd, size_t max, char **out, size_t *out_n) MR_MUST_USE;

/** mr_file_write - write n bytes beside path, flush to disk and rename. Returns MR_OK; MR_E_OUTPUT, path untouched.
 */
enum mr_status mr_file_write(struct mr_arena *scratch, const char *path, const void *data, size_t n) MR_MUST_USE;

#endif
