#include "cli/newest.h"

#include "cli/job_lock.h"
#include "milrise/job.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { NAME_BYTES = 64, DIGITS_MOST = 9 };

static const char prefix[] = "revision-";

/* Where the file system has no links, latest is a file of one line. */
static bool target_of(int reports, char out[NAME_BYTES]) {
    ssize_t n = readlinkat(reports, "latest", out, NAME_BYTES - 1);
    if (n < 0) {
        int64_t bytes;
        const int fd = mr_newest_file(reports, "latest", &bytes);
        n = fd < 0 ? -1 : read(fd, out, NAME_BYTES - 1);
        if (fd >= 0)
            close(fd);
    }
    out[n < 0 ? 0 : n] = '\0';
    out[strcspn(out, "\n")] = '\0';
    return n > 0;
}

static int64_t number_of(const char *name) {
    const size_t n = strlen(prefix);
    int64_t number = 0;
    if (strncmp(name, prefix, n) != 0 || !name[n] || strlen(name + n) > DIGITS_MOST)
        return -1;
    for (const char *p = name + n; *p; p++) {
        if (*p < '0' || *p > '9')
            return -1;
        number = 10 * number + (*p - '0');
    }
    return number;
}

int mr_newest_open(struct mr_arena *arena, const char *dir, int64_t *revision) {
    char name[NAME_BYTES];
    const char *path;
    const int reports = mr_own_folder(arena, dir, MR_REPORTS, false, &path);
    int fd = -1;
    *revision = -1;
    if (reports < 0)
        return -1;
    if (target_of(reports, name) && (*revision = number_of(name)) >= 0)
        fd = openat(reports, name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
    close(reports);
    return fd;
}

int mr_newest_file(int revision, const char *name, int64_t *bytes) {
    struct stat st;
    const int fd = openat(revision, name, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
    if (fd < 0)
        return -1;
    if (fstat(fd, &st) == 0 && S_ISREG(st.st_mode)) {
        *bytes = (int64_t)st.st_size;
        return fd;
    }
    close(fd);
    return -1;
}

bool mr_note_stands(struct mr_arena *arena, const char *dir) {
    struct stat st;
    const char *path;
    const int reports = mr_own_folder(arena, dir, MR_REPORTS, false, &path);
    const bool stands = reports >= 0 && fstatat(reports, MR_NOT_PUBLISHED, &st, AT_SYMLINK_NOFOLLOW) == 0 &&
                        !S_ISDIR(st.st_mode); /* a person's own folder is no note */
    if (reports >= 0)
        close(reports);
    return stands;
}
