#include "cli/job_lock.h"

#include "base/outfile.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/vfs.h>
#include <time.h>
#include <unistd.h>

enum { LEASE_S = 120, HOLDER_MOST = 4096 };

#define LOCKED_TOO "kernel" /* the holder of the lease has the kernel's lock on a local disk as well */

/* File systems of the network and of user space (statfs(2), linux/magic.h). */
bool mr_is_remote(const char *folder) {
    static const unsigned long remote[] = {0x6969,     0xff534d42, 0xfe534d42, 0x517b,
                                           0x65735546, 0x01021997, 0x00c36400, 0x5346414f};
    struct statfs fs;
    if (statfs(folder, &fs) != 0)
        return true;
    for (size_t i = 0; i < MR_COUNT(remote); i++)
        if ((unsigned long)fs.f_type == remote[i])
            return true;
    return false;
}

/* Which machine this is since when; a process id says nothing on another one and is not trusted. */
static const char *machine_text(struct mr_arena *arena) {
    char host[256] = "";
    char *boot;
    size_t n;
    if (gethostname(host, sizeof host - 1) != 0)
        host[0] = '\0';
    if (mr_file_slurp(arena, "/proc/sys/kernel/random/boot_id", 256, &boot, &n) != MR_OK || n == 0) {
        const int fd = open("/proc/sys/kernel/random/boot_id", O_RDONLY | O_CLOEXEC); /* its size is given as 0 */
        boot = MR_ARRAY(arena, char, 64);
        const ssize_t got = fd < 0 ? 0 : read(fd, boot, 63);
        boot[got > 0 ? got : 0] = '\0';
        if (fd >= 0)
            close(fd);
    }
    boot[strcspn(boot, "\n")] = '\0';
    return mr_printf(arena, "host %s\nboot %s\n", host, boot);
}

/* Names of files beside a lease differ by machine: two of them may have the same process ids. */
static unsigned machine_number(struct mr_arena *arena) {
    unsigned number = 2166136261u; /* FNV-1a, from memory: any spread will do */
    for (const char *p = machine_text(arena); *p; p++)
        number = (number ^ (unsigned char)*p) * 16777619u;
    return number;
}

static bool write_holder(struct mr_arena *arena, int fd, bool local) {
    const char *text = mr_printf(arena, "%slock %s\nprocess %ld\ntime %lld\n", machine_text(arena),
                                 local ? LOCKED_TOO : "none", (long)getpid(), (long long)time(NULL));
    size_t n = strlen(text);
    return write(fd, text, n) == (ssize_t)n;
}

/* The clock of the file system, since clocks of machines differ: a fresh file beside the lease is the measure. */
static bool clock_beside(struct mr_arena *arena, const char *lease, struct stat *now) {
    const char *probe = mr_printf(arena, "%s.%08x-%ld", lease, machine_number(arena), (long)getpid());
    unlink(probe); /* whatever lies there: a pipe, or another name of a file that is none of ours */
    int fd = open(probe, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    bool known = fd >= 0 && write(fd, "\n", 1) == 1 && fstat(fd, now) == 0;
    if (fd >= 0)
        close(fd);
    unlink(probe);
    return known;
}

/* Void is a lease that nobody renewed for lease_s, and one that this machine made before it was started anew, or
 * beside the kernel's lock on a local disk, which it has no longer where local is true: that lock is ours now.
 * Opened, not only looked at: a network file system asks its server at every opening, and else may answer from
 * memory. */
static bool is_void(struct mr_arena *arena, const char *lease, unsigned lease_s, bool local, struct stat *held) {
    struct stat now;
    char text[HOLDER_MOST];
    const int fd = open(lease, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
    const ssize_t n = fd < 0 ? -1 : read(fd, text, sizeof text - 1);
    const bool known = n >= 0 && fstat(fd, held) == 0 && clock_beside(arena, lease, &now);
    if (fd >= 0)
        close(fd);
    if (!known)
        return false;
    text[n] = '\0';
    const char *machine = machine_text(arena), *boot = strstr(machine, "\nboot ");
    const size_t host = boot ? (size_t)(boot + 1 - machine) : strlen(machine);
    const bool of_this_host = strncmp(text, machine, host) == 0 && strncmp(text + host, "boot ", 5) == 0;
    const bool of_this_boot = of_this_host && strncmp(text, machine, strlen(machine)) == 0;
    if (of_this_host && !of_this_boot)
        return true;
    if (of_this_boot && local && strstr(text, "\nlock " LOCKED_TOO "\n"))
        return true;
    return now.st_mtim.tv_sec - held->st_mtim.tv_sec > (time_t)lease_s;
}

int mr_job_lease(struct mr_arena *arena, const char *lease, unsigned lease_s, bool local) {
    for (int again = 0; again < 2; again++) {
        struct stat held, moved;
        int fd = open(lease, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
        if (fd >= 0) {
            if (write_holder(arena, fd, local))
                return fd;
            close(fd);
            unlink(lease);
            return -1;
        }
        if (errno != EEXIST || !is_void(arena, lease, lease_s, local, &held))
            break;
        /* Of several that find it void, one moves it away; who moved another's fresh one instead puts it back. */
        const char *away = mr_printf(arena, "%s.void-%08x-%ld", lease, machine_number(arena), (long)getpid());
        if (rename(lease, away) != 0)
            break;
        if (lstat(away, &moved) != 0 || moved.st_ino != held.st_ino || moved.st_mtim.tv_sec != held.st_mtim.tv_sec ||
            moved.st_mtim.tv_nsec != held.st_mtim.tv_nsec) {
            if (link(away, lease) != 0) {
                /* A third holds it by now, and the one that lost it notices when it renews. */
            }
            unlink(away);
            break;
        }
        unlink(away);
    }
    errno = EAGAIN;
    return -1;
}

int mr_own_folder(struct mr_arena *arena, const char *parent, const char *name, bool make, const char **out_path) {
    const char *path = mr_printf(arena, "%s/%s", parent, name);
    if (make && mkdir(path, 0777) != 0 && errno != EEXIST)
        return -1;
    struct stat st;
    int fd = open(path, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
    if (fd < 0 && lstat(path, &st) == 0 && S_ISLNK(st.st_mode))
        errno = ELOOP;
    *out_path = fd < 0 ? NULL : mr_printf(arena, "/proc/self/fd/%d", fd);
    return fd;
}

/* Returns whether the lock is held, or the file system knows none (fd -1). */
static bool lock_file(int reports, int *fd) {
    *fd = openat(reports, ".lock", O_RDWR | O_CREAT | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC, 0666);
    if (*fd < 0)
        return false;
    struct flock whole = {.l_type = F_WRLCK, .l_whence = SEEK_SET};
    if (fcntl(*fd, F_OFD_SETLK, &whole) == 0)
        return true;
    const bool held = errno == EAGAIN || errno == EACCES;
    close(*fd);
    *fd = -1;
    errno = EAGAIN;
    return !held;
}

bool mr_job_lock(struct mr_arena *arena, const char *dir, struct mr_job_lock *out) {
    const char *folder;
    *out = (struct mr_job_lock){.fd = -1, .lease_fd = -1, .folder_fd = -1};
    out->folder_fd = mr_own_folder(arena, dir, MR_REPORTS, true, &folder);
    if (out->folder_fd < 0)
        return false;
    if (!lock_file(out->folder_fd, &out->fd)) {
        const int error = errno;
        mr_job_unlock(out);
        errno = error;
        return false;
    }
    /* Mounts of the network may keep locks to themselves and say nothing of it, and what is a local disk here may be
     * such a mount elsewhere: only a lease is seen by all. */
    const bool local = out->fd >= 0 && !mr_is_remote(folder);
    const char *lease = mr_printf(arena, "%s/.lease", folder);
    out->lease_fd = mr_job_lease(arena, lease, LEASE_S, local);
    if (out->lease_fd >= 0) {
        out->lease = lease;
        return true;
    }
    mr_job_unlock(out);
    errno = EAGAIN;
    return false;
}

bool mr_job_lock_renew(const struct mr_job_lock *lock, int64_t *now_s) {
    struct stat st, there;
    const int fd = lock->lease_fd >= 0 ? lock->lease_fd : lock->fd;
    *now_s = (int64_t)time(NULL);
    if (futimens(fd, NULL) == 0 && fstat(fd, &st) == 0)
        *now_s = (int64_t)st.st_mtim.tv_sec;
    if (lock->lease_fd < 0)
        return true;
    return fstat(fd, &st) == 0 && lstat(lock->lease, &there) == 0 && st.st_ino == there.st_ino;
}

void mr_job_unlock(struct mr_job_lock *lock) {
    int64_t now_s;
    if (lock->lease && mr_job_lock_renew(lock, &now_s)) /* another's is left to it */
        unlink(lock->lease);
    const int open_ones[] = {lock->lease_fd, lock->fd, lock->folder_fd};
    for (size_t i = 0; i < MR_COUNT(open_ones); i++)
        if (open_ones[i] >= 0)
            close(open_ones[i]);
    *lock = (struct mr_job_lock){.fd = -1, .lease_fd = -1, .folder_fd = -1};
}
