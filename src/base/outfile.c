#include "base/outfile.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

/* Reads until n bytes, the end of the file, or an error. */
static ssize_t read_fully(int fd, char *to, size_t n) {
    size_t got = 0;
    while (got < n) {
        ssize_t r = read(fd, to + got, n - got);
        if (r < 0 && errno == EINTR)
            continue;
        if (r < 0)
            return -1;
        if (r == 0)
            break;
        got += (size_t)r;
    }
    return (ssize_t)got;
}

enum mr_status mr_file_slurp_fd(struct mr_arena *arena, int fd, size_t max, char **out, size_t *out_n) {
    struct stat st;
    if (fstat(fd, &st) != 0)
        return MR_E_IO;
    if (!S_ISREG(st.st_mode)) {
        errno = S_ISDIR(st.st_mode) ? EISDIR : EINVAL;
        return MR_E_IO;
    }
    if ((uint64_t)st.st_size > max)
        return MR_E_RANGE;
    size_t n = (size_t)st.st_size;
    char *text = mr_alloc(arena, n + 1, 1);
    ssize_t got = read_fully(fd, text, n);
    if (got < 0)
        return MR_E_IO;
    text[got] = '\0';
    *out = text;
    *out_n = (size_t)got;
    return MR_OK;
}

static enum mr_status slurp(struct mr_arena *arena, const char *path, int flags, size_t max, char **out,
                            size_t *out_n) {
    const int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | flags);
    if (fd < 0)
        return MR_E_IO;
    const enum mr_status status = mr_file_slurp_fd(arena, fd, max, out, out_n);
    const int error = errno;
    close(fd);
    errno = error;
    return status;
}

enum mr_status mr_file_slurp(struct mr_arena *arena, const char *path, size_t max, char **out, size_t *out_n) {
    return slurp(arena, path, 0, max, out, out_n);
}

enum mr_status mr_file_slurp_own(struct mr_arena *arena, const char *path, size_t max, char **out, size_t *out_n) {
    return slurp(arena, path, O_NOFOLLOW, max, out, out_n);
}

static bool write_fully(int fd, const char *from, size_t n) {
    while (n) {
        ssize_t w = write(fd, from, n);
        if (w < 0 && errno == EINTR)
            continue;
        if (w <= 0)
            return false;
        from += w;
        n -= (size_t)w;
    }
    return true;
}

/* What a run that was killed left beside path: its writer holds a lock for as long as it lives. */
static void remove_left_over(struct mr_arena *scratch, const char *folder, const char *prefix) {
    DIR *dir = opendir(folder);
    const struct dirent *entry;
    while (dir && (entry = readdir(dir)) != NULL) {
        if (strncmp(entry->d_name, prefix, strlen(prefix)) != 0)
            continue;
        const char *path = mr_printf(scratch, "%s/%s", folder, entry->d_name);
        const int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOFOLLOW);
        struct stat st;
        if (fd >= 0 && fstat(fd, &st) == 0 && S_ISREG(st.st_mode) && flock(fd, LOCK_EX | LOCK_NB) == 0)
            unlink(path);
        if (fd >= 0)
            close(fd);
    }
    if (dir)
        closedir(dir);
}

enum mr_status mr_file_write(struct mr_arena *scratch, const char *path, const void *data, size_t n) {
    const char *slash = strrchr(path, '/'), *name = slash ? slash + 1 : path;
    const char *folder = slash ? mr_strndup(scratch, path, (size_t)(slash + 1 - path)) : ".";
    const char *prefix = mr_printf(scratch, ".%s.new-", name);
    remove_left_over(scratch, folder, prefix);
    const char *beside = mr_printf(scratch, "%s/%s%ld", folder, prefix, (long)getpid());
    const int fd = open(beside, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (fd < 0)
        return MR_E_OUTPUT;
    flock(fd, LOCK_EX | LOCK_NB);
    const int hold = fcntl(fd, F_DUPFD_CLOEXEC, 0); /* the lock outlives the close that tells of errors */
    bool ok = write_fully(fd, data, n) && fsync(fd) == 0;
    ok = close(fd) == 0 && ok;
    ok = ok && rename(beside, path) == 0;
    const int saved = errno;
    if (!ok)
        unlink(beside);
    if (hold >= 0)
        close(hold);
    errno = saved;
    return ok ? MR_OK : MR_E_OUTPUT;
}
