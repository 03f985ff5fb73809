/*
 * repeated_moments.h - several rows of a log at one time: two instruments in one export, or times cut to the minute.
 */
#ifndef MILRISE_NORMALISE_FILE_REPEATED_MOMENTS_H
#define MILRISE_NORMALISE_FILE_REPEATED_MOMENTS_H

#include "normalise/row/file_state.h"

/** mr_repeated_moments - rows that follow each other at one time and say different things stand for instruments of
 *  their own, so that none of them is passed over: the second of each time in one group, the third in the next. An
 * hour that comes twice, or a row written twice, is none of these. group: shape log->n, of each row (by place, where
 * rows name theirs); rows of second and later instruments get groups from n_groups on. Returns: groups now;
 * *out_rank, shape: that number, of each group 1 for the first row of its times, 2 for the second; *out_base: the
 * group it was split from. */
size_t mr_repeated_moments(struct mr_arena *scratch, const struct mr_log *log, size_t *group, size_t n_groups,
                           const size_t **out_rank, const size_t **out_base);

/** mr_has_repeated_moments - whether any two rows that follow each other have one time. */
bool mr_has_repeated_moments(const struct mr_log *log);

#endif
