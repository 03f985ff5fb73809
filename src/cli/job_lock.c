#include "cli/job_lock.h"

#include "base/outfile.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

/* Who holds a lease, for the person who wonders: host, boot and time. A process id of another host says nothing and
 * is not trusted; a lease ends by its age alone. */
static const char *holder_text(struct mr_arena *arena) {
    char host[256] = "";
    char *boot;
    size_t n;
    if (gethostname(host, sizeof host - 1) != 0)
        host[0] = '\0';
    if (mr_file_slurp(arena, "/proc/sys/kernel/random/boot_id", 256, &boot, &n) != MR_OK)
        boot = mr_strdup(arena, "");
    boot[strcspn(boot, "\n")] = '\0';
    return mr_printf(arena, "host %s\nboot %s\nprocess %ld\ntime %lld\n", host, boot, (long)getpid(),
                     (long long)time(NULL));
}

static bool write_holder(struct mr_arena *arena, int fd) {
    const char *text = holder_text(arena);
    size_t n = strlen(text);
    return write(fd, text, n) == (ssize_t)n;
}

/* The age is told by the file system's own clock, since clocks of machines differ: a fresh file beside it is the
 * measure. */
static bool is_void(struct mr_arena *arena, const char *lease, unsigned lease_s) {
    struct stat held, now;
    const char *probe = mr_printf(arena, "%s.%ld", lease, (long)getpid());
    int fd = open(probe, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
    bool known = fd >= 0 && write(fd, "\n", 1) == 1 && fstat(fd, &now) == 0 && stat(lease, &held) == 0;
    if (fd >= 0)
        close(fd);
    unlink(probe);
    return known && now.st_mtim.tv_sec - held.st_mtim.tv_sec > (time_t)lease_s;
}

int mr_job_lease(struct mr_arena *arena, const char *lease, unsigned lease_s) {
    for (int again = 0; again < 2; again++) {
        int fd = open(lease, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
        if (fd >= 0) {
            if (write_holder(arena, fd))
                return fd;
            close(fd);
            unlink(lease);
            return -1;
        }
        if (errno != EEXIST || !is_void(arena, lease, lease_s))
            break;
        /* of several that find it void, one moves it away */
        const char *away = mr_printf(arena, "%s.void-%ld", lease, (long)getpid());
        if (rename(lease, away) != 0)
            break;
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

int mr_job_lock(struct mr_arena *arena, const char *dir, unsigned lease_s, const char **out_lease) {
    const char *folder;
    *out_lease = NULL;
    const int reports = mr_own_folder(arena, dir, MR_REPORTS, true, &folder);
    if (reports < 0)
        return -1;
    int fd = openat(reports, ".lock", O_RDWR | O_CREAT | O_NOFOLLOW | O_CLOEXEC, 0666), error = errno;
    close(reports);
    errno = error;
    if (fd < 0)
        return -1;
    struct flock whole = {.l_type = F_WRLCK, .l_whence = SEEK_SET};
    if (fcntl(fd, F_OFD_SETLK, &whole) == 0)
        return fd;
    error = errno;
    close(fd);
    if (error == EAGAIN || error == EACCES) {
        errno = EAGAIN;
        return -1;
    }
    const char *lease = mr_printf(arena, "%s/" MR_REPORTS "/.lease", dir);
    fd = mr_job_lease(arena, lease, lease_s);
    if (fd >= 0)
        *out_lease = lease;
    return fd;
}

void mr_job_unlock(int fd, const char *lease) {
    if (lease)
        unlink(lease);
    if (fd >= 0)
        close(fd);
}
