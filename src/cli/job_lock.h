/*
 * job_lock.h - one writer for a job, over processes and machines: an open-file-description lock on JOB/reports/.lock,
 * which the kernel gives back when its holder dies, and a lease file for other machines, to which that lock may say
 * nothing. The lease says who holds it and is renewed while the report runs.
 */
#ifndef MILRISE_CLI_JOB_LOCK_H
#define MILRISE_CLI_JOB_LOCK_H

#include "milrise/arena.h"

#define MR_REPORTS "reports" /* the folder of a job into which alone anything is written, but for the answer */
enum { MR_RENEW_S = 15 };

struct mr_job_lock {
    int fd, lease_fd;  /* -1 = none */
    const char *lease; /* path, by folder_fd; NULL = none */
    int folder_fd;     /* JOB/reports, whatever is renamed meanwhile; -1 = none */
};

/** mr_is_remote - whether other machines may write to the folder unheard and unlocked: network and user-space file
 * systems. */
bool mr_is_remote(const char *folder);

/** mr_own_folder - a folder below parent that is no link, which could lead anywhere; made where it is missing and
 * make is true. Returns: a file descriptor, with *out_path a path that leads there as long as it is open, whatever is
 * renamed meanwhile; -1 with errno (ELOOP: it is a link). */
int mr_own_folder(struct mr_arena *arena, const char *parent, const char *name, bool make, const char **out_path);

/** mr_job_lock - Returns: whether the job is ours now; else errno is EAGAIN where another holds it, or says why the
 * lock cannot be made. mr_job_unlock - gives it back; also of a lock that was never held. */
bool mr_job_lock(struct mr_arena *arena, const char *dir, struct mr_job_lock *out);
void mr_job_unlock(struct mr_job_lock *lock);

/** mr_job_lock_renew - to be called every MR_RENEW_S seconds. now_s: the clock of the file system. Returns: whether
 * the job is still ours; a lease may have been taken over while this machine slept. */
bool mr_job_lock_renew(const struct mr_job_lock *lock, int64_t *now_s);

/** mr_job_lease - the lease alone: made, or taken over where nobody renewed it for lease_s, or where this machine was
 * started anew since. local: the kernel's lock is ours, on a disk of this machine, so that a lease that was made so
 * on this machine has no holder any more. Returns: a file descriptor; -1 with errno. */
int mr_job_lease(struct mr_arena *arena, const char *path, unsigned lease_s, bool local);

#endif
