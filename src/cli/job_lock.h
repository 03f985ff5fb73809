/*
 * job_lock.h - one writer for a job, over processes and machines: an open-file-description lock on JOB/reports/.lock,
 * which the kernel gives back when its holder dies; where the file system knows no locks, a lease file that says who
 * holds it.
 */
#ifndef MILRISE_CLI_JOB_LOCK_H
#define MILRISE_CLI_JOB_LOCK_H

#include "milrise/arena.h"

#define MR_REPORTS "reports" /* the folder of a job into which alone anything is written, but for the answer */

/** mr_own_folder - a folder below parent that is no link, which could lead anywhere; made where it is missing and
 * make is true. Returns: a file descriptor, with *out_path a path that leads there as long as it is open, whatever is
 * renamed meanwhile; -1 with errno (ELOOP: it is a link). */
int mr_own_folder(struct mr_arena *arena, const char *parent, const char *name, bool make, const char **out_path);

/** mr_job_lock - lease_s: after so long a lease that nobody renewed is void. Returns: a file descriptor, with
 * *out_lease the path of the lease or NULL; -1 where another holds the job (errno EAGAIN) or the lock cannot be made.
 */
int mr_job_lock(struct mr_arena *arena, const char *dir, unsigned lease_s, const char **out_lease);
/** mr_job_lease - the lease alone, for file systems without locks: made, or taken over where it is older than
 * lease_s. */
int mr_job_lease(struct mr_arena *arena, const char *path, unsigned lease_s);

void mr_job_unlock(int fd, const char *lease);

#endif
