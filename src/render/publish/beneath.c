#include "render/publish/beneath.h"

#include "base/sha256.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <linux/openat2.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

enum { DEPTH_MOST = 16, FOLDER_MODE = 0777, FILE_MODE = 0666 };

static bool is_plain(const char *name, size_t n) {
    return n > 0 && n <= NAME_MAX && !(n == 1 && name[0] == '.') && !(n == 2 && name[0] == '.' && name[1] == '.');
}

/* Kernels without openat2: each part on its own, none of them a link. */
static int walk_open(int folder, const char *path, int flags) {
    int at = folder;
    for (;;) {
        const size_t n = strcspn(path, "/");
        char name[NAME_MAX + 1];
        if (!is_plain(path, n)) {
            errno = EXDEV;
            break;
        }
        memcpy(name, path, n);
        name[n] = '\0';
        const bool last = path[n] == '\0';
        const int next = openat(at, name, (last ? flags : O_PATH | O_DIRECTORY) | O_NOFOLLOW | O_CLOEXEC, FILE_MODE);
        if (at != folder)
            close(at);
        if (next < 0 || last)
            return next;
        at = next;
        path += n + 1;
    }
    if (at != folder)
        close(at);
    return -1;
}

int mr_beneath_open(int folder, const char *path, int flags) {
    const struct open_how how = {.flags = (uint64_t)(unsigned)(flags | O_CLOEXEC),
                                 .mode = flags & O_CREAT ? FILE_MODE : 0,
                                 .resolve = RESOLVE_BENEATH | RESOLVE_NO_SYMLINKS};
    long fd;
    do
        fd = syscall(SYS_openat2, folder, path, &how, sizeof how);
    while (fd < 0 && (errno == EINTR || errno == EAGAIN));
    return fd < 0 && (errno == ENOSYS || errno == EPERM) ? walk_open(folder, path, flags) : (int)fd;
}

int mr_beneath_folder(int folder, const char *name) {
    if (mkdirat(folder, name, FOLDER_MODE) != 0 && errno != EEXIST)
        return -1;
    return mr_beneath_open(folder, name, O_RDONLY | O_DIRECTORY);
}

static DIR *list_folder(int folder) {
    const int fd = openat(folder, ".", O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    DIR *dir = fd < 0 ? NULL : fdopendir(fd);
    if (!dir && fd >= 0)
        close(fd);
    return dir;
}

static const struct dirent *next_name(DIR *dir) {
    const struct dirent *e;
    do {
        errno = 0;
        e = readdir(dir);
    } while (e && (strcmp(e->d_name, ".") == 0 || strcmp(e->d_name, "..") == 0));
    return e;
}

static int by_bytes(const void *a, const void *b) {
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

bool mr_beneath_names(struct mr_arena *arena, int folder, mr_name_list *out) {
    *out = (mr_name_list){0};
    DIR *dir = list_folder(folder);
    if (!dir)
        return false;
    for (const struct dirent *e; (e = next_name(dir));)
        MR_PUSH(arena, out, mr_strdup(arena, e->d_name));
    const int error = errno;
    closedir(dir);
    if (out->n)
        qsort(out->v, out->n, sizeof *out->v, by_bytes);
    errno = error;
    return error == 0;
}

static bool remove_tree(int folder, const char *name, int depth) {
    if (unlinkat(folder, name, 0) == 0 || errno == ENOENT)
        return true;
    if ((errno != EISDIR && errno != EPERM) || depth == 0)
        return false;
    const int fd = openat(folder, name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
    DIR *dir = fd < 0 ? NULL : fdopendir(fd);
    if (!dir) {
        if (fd >= 0)
            close(fd);
        return false;
    }
    for (const struct dirent *e; (e = next_name(dir));)
        if (!remove_tree(fd, e->d_name, depth - 1))
            break;
    closedir(dir);
    return unlinkat(folder, name, AT_REMOVEDIR) == 0;
}

bool mr_beneath_remove(int folder, const char *name) {
    return remove_tree(folder, name, DEPTH_MOST);
}

static int open_regular(int folder, const char *path, struct stat *st) {
    const int fd = mr_beneath_open(folder, path, O_RDONLY | O_NONBLOCK); /* a pipe must not hold us up */
    if (fd < 0)
        return -1;
    const int error = fstat(fd, st) != 0 ? errno : S_ISREG(st->st_mode) ? 0 : EINVAL;
    if (!error)
        return fd;
    close(fd);
    errno = error;
    return -1;
}

bool mr_beneath_digest(int folder, const char *path, char out[65], uint64_t *out_bytes) {
    struct stat st = {0};
    const int fd = open_regular(folder, path, &st);
    if (fd < 0)
        return false;
    const bool good = mr_sha256_fd(fd, out, out_bytes);
    const int error = errno;
    close(fd);
    errno = error;
    return good;
}

bool mr_beneath_pieces(int folder, const char *path, bool (*take)(void *ctx, const char *piece, size_t n),
                       void *ctx) {
    struct stat st = {0};
    const int fd = open_regular(folder, path, &st);
    if (fd < 0)
        return false;
    char piece[1 << 16];
    ssize_t n = 1;
    int error = 0;
    while (!error && n != 0) {
        n = read(fd, piece, sizeof piece);
        if (n < 0)
            error = errno == EINTR ? 0 : errno;
        else if (n > 0 && !take(ctx, piece, (size_t)n))
            error = EFBIG;
    }
    close(fd);
    errno = error;
    return !error;
}

char *mr_beneath_bytes(struct mr_arena *arena, int folder, const char *path, size_t max, size_t *out_n) {
    struct stat st = {0};
    const int fd = open_regular(folder, path, &st);
    if (fd < 0)
        return NULL;
    if ((uint64_t)st.st_size > max) {
        close(fd);
        errno = EFBIG;
        return NULL;
    }
    const size_t n = (size_t)st.st_size;
    char *text = mr_alloc(arena, n + 1, 1);
    size_t got = 0;
    ssize_t r = 1;
    while (got < n && r != 0) {
        r = read(fd, text + got, n - got);
        if (r < 0 && errno != EINTR)
            break;
        got += r > 0 ? (size_t)r : 0;
    }
    const int error = errno;
    close(fd);
    text[got] = '\0';
    *out_n = got;
    errno = error;
    return r < 0 ? NULL : text;
}

char *mr_beneath_read(struct mr_arena *arena, int folder, const char *path, size_t max) {
    size_t n;
    return mr_beneath_bytes(arena, folder, path, max, &n);
}

int mr_write_fully(int fd, const void *data, size_t n) {
    const char *from = data;
    while (n > 0) {
        const ssize_t w = write(fd, from, n);
        if (w < 0 && errno == EINTR)
            continue;
        if (w < 0)
            return errno;
        if (w == 0)
            return EIO;
        from += w;
        n -= (size_t)w;
    }
    return 0;
}

int mr_beneath_write(int folder, const char *path, const void *data, size_t n) {
    const int fd = mr_beneath_open(folder, path, O_WRONLY | O_CREAT | O_EXCL);
    if (fd < 0)
        return errno;
    int error = mr_write_fully(fd, data, n);
    if (!error && fsync(fd) != 0)
        error = errno;
    if (close(fd) != 0 && !error)
        error = errno;
    if (error)
        unlinkat(folder, path, 0);
    return error;
}

int mr_folder_lock(int fd, bool wait) {
    while (flock(fd, LOCK_EX | (wait ? 0 : LOCK_NB)) != 0) {
        if (errno == EINTR)
            continue;
        return errno == EWOULDBLOCK ? 0 : -1;
    }
    return 1;
}
