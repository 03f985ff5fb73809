/*
 * staging.c - what a run that died leaves behind, and how the next one finishes or discards it.
 *
 * The journal is text: a first line, then "new PATH" and "gone SHA256 PATH" in the order of the commit, then "end".
 * Without that last line it does not count. A staging folder in use is locked with flock by its run; the kernel lets
 * go when the run ends, however it ends. Where the file system cannot lock a folder, the process number in the name
 * decides.
 */
#include "render/publish/staging.h"

#include "base/outfile.h"
#include "base/text.h"
#include "render/publish/glib_text.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

enum { DEPTH_MOST = 4, JOURNAL_MOST = 64 << 20 };

int mr_staging_lock(int fd, bool wait) {
    while (flock(fd, LOCK_EX | (wait ? 0 : LOCK_NB)) != 0) {
        if (errno == EINTR)
            continue;
        return errno == EWOULDBLOCK ? 0 : -1;
    }
    return 1;
}

static void remove_tree(const char *path, int depth) {
    if (unlink(path) == 0 || depth == 0)
        return;
    DIR *dir = opendir(path);
    if (!dir)
        return;
    struct dirent *e;
    while ((e = readdir(dir))) {
        if (strcmp(e->d_name, ".") == 0 || strcmp(e->d_name, "..") == 0)
            continue;
        char below[PATH_MAX];
        int n = snprintf(below, sizeof below, "%s/%s", path, e->d_name);
        if (n > 0 && (size_t)n < sizeof below)
            remove_tree(below, depth - 1);
    }
    closedir(dir);
    rmdir(path);
}

void mr_staging_remove(const char *path) {
    remove_tree(path, DEPTH_MOST);
}

bool mr_folder_make(struct mr_arena *arena, const char *path) {
    if (mkdir(path, 0777) == 0)
        return true;
    struct stat st;
    if (errno == EEXIST) {
        if (stat(path, &st) == 0 && S_ISDIR(st.st_mode))
            return true;
        errno = ENOTDIR;
        return false;
    }
    if (errno != ENOENT)
        return false;
    const char *above = mr_folder_of(arena, path);
    if (strcmp(above, path) == 0 || strcmp(above, ".") == 0 || !mr_folder_make(arena, above))
        return false;
    return mkdir(path, 0777) == 0 || errno == EEXIST;
}

const char *mr_folder_of(struct mr_arena *arena, const char *path) {
    const char *slash = strrchr(path, '/');
    if (!slash)
        return ".";
    return slash == path ? "/" : mr_strndup(arena, path, (size_t)(slash - path));
}

void mr_path_sync(const char *path) {
    int fd = open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return;
    if (fsync(fd) != 0) {
        /* some file systems cannot flush a folder; the renames stand all the same */
    }
    close(fd);
}

enum former { FORMER_NONE, FORMER_LINKED, FORMER_LOST }; /* lost: the file system has no hard links */

/* Undo the first n moves: put back what stood there, remove what did not. The journal goes first, so that a death in
 * the middle is not rolled forward from half a folder. */
static void undo(struct mr_arena *arena, const char *out_dir, const char *staging, const char *const *paths, size_t n,
                 const enum former *former) {
    unlink(mr_printf(arena, "%s/" MR_JOURNAL, staging));
    while (n-- > 0) {
        const char *old = mr_printf(arena, "%s/old/%zu", staging, n),
                   *target = mr_printf(arena, "%s/%s", out_dir, paths[n]);
        if (former[n] == FORMER_LINKED && rename(old, target) != 0)
            continue;
        if (former[n] == FORMER_NONE)
            unlink(target);
    }
}

static enum former keep(struct mr_arena *arena, const char *staging, size_t i, const char *target) {
    if (link(target, mr_printf(arena, "%s/old/%zu", staging, i)) == 0)
        return FORMER_LINKED;
    return errno == ENOENT ? FORMER_NONE : FORMER_LOST;
}

static bool is_folder(const char *path) {
    struct stat st;
    return lstat(path, &st) == 0 && S_ISDIR(st.st_mode);
}

enum mr_status mr_staging_move(struct mr_arena *arena, const char *out_dir, const char *staging,
                               const char *const *paths, size_t n, bool keep_old, struct mr_diags *diags) {
    enum former *former = MR_ARRAY(arena, enum former, n);
    for (size_t i = 0; i < n; i++) {
        const char *from = mr_printf(arena, "%s/new/%s", staging, paths[i]),
                   *to = mr_printf(arena, "%s/%s", out_dir, paths[i]);
        const char *folder = mr_folder_of(arena, to), *failed = to;
        int error = 0;
        if (access(from, F_OK) != 0)
            continue; /* moved by the run that died */
        if (!mr_folder_make(arena, folder)) {
            error = errno;
            failed = folder;
        } else if (is_folder(to)) {
            error = EISDIR;
        } else {
            former[i] = keep_old ? keep(arena, staging, i, to) : FORMER_LOST;
            if (rename(from, to) != 0)
                error = errno;
        }
        if (!error)
            continue;
        if (keep_old)
            undo(arena, out_dir, staging, paths, i, former);
        return mr_output_failed(diags, failed, error);
    }
    return MR_OK;
}

void mr_staging_sweep(struct mr_arena *arena, const char *out_dir, const struct mr_stale *stale, size_t n) {
    for (size_t i = 0; i < n; i++) {
        const char *path = mr_printf(arena, "%s/%s", out_dir, stale[i].path);
        int fd = open(path, O_RDONLY | O_NOFOLLOW | O_CLOEXEC | O_NONBLOCK);
        if (fd < 0)
            continue;
        char sha256[65];
        uint64_t bytes;
        const bool ours = mr_digest_fd(fd, sha256, &bytes) && strcmp(sha256, stale[i].sha256) == 0;
        close(fd);
        if (ours)
            unlink(path);
    }
}

struct journal {
    MR_VEC(const char *) paths;
    MR_VEC(struct mr_stale) stale;
    bool whole;
};

static void read_journal(struct mr_arena *arena, const char *staging, struct journal *out) {
    char *text;
    size_t n;
    if (mr_file_slurp(arena, mr_printf(arena, "%s/" MR_JOURNAL, staging), JOURNAL_MOST, &text, &n) != MR_OK)
        return;
    for (char *line = text, *next; *line; line = next) {
        char *end = strchr(line, '\n');
        if (!end)
            return;
        *end = '\0';
        next = end + 1;
        if (strncmp(line, "new ", 4) == 0) {
            const char *path = line + 4;
            MR_PUSH(arena, &out->paths, path);
        } else if (strncmp(line, "gone ", 5) == 0 && strlen(line) > 5 + 65) {
            line[5 + 64] = '\0';
            struct mr_stale s = {line + 5 + 65, line + 5};
            MR_PUSH(arena, &out->stale, s);
        }
        out->whole = strcmp(line, "end") == 0;
    }
}

/* Is the run that made this folder still at work? */
static bool in_use(const char *staging, int fd) {
    const int lock = mr_staging_lock(fd, false);
    if (lock >= 0)
        return lock == 0;
    const char *number = strstr(staging, MR_STAGING_PREFIX) + sizeof MR_STAGING_PREFIX - 1;
    pid_t pid = 0;
    for (const char *p = number; mr_is_digit(*p) && pid < 100000000; p++)
        pid = pid * 10 + (*p - '0');
    return pid > 0 && (kill(pid, 0) == 0 || errno == EPERM);
}

static enum mr_status recover_one(struct mr_arena *arena, const char *out_dir, const char *staging,
                                  struct mr_diags *diags) {
    int fd = open(staging, O_RDONLY | O_DIRECTORY | O_CLOEXEC | O_NOFOLLOW);
    if (fd < 0)
        return MR_OK;
    if (in_use(staging, fd)) {
        close(fd);
        return MR_OK;
    }
    struct journal j = {0};
    read_journal(arena, staging, &j);
    enum mr_status status = MR_OK;
    if (j.whole) {
        status = mr_staging_move(arena, out_dir, staging, j.paths.v, j.paths.n, false, diags);
        if (status == MR_OK)
            mr_staging_sweep(arena, out_dir, j.stale.v, j.stale.n);
    }
    if (status == MR_OK)
        mr_staging_remove(staging);
    close(fd);
    return status;
}

enum mr_status mr_staging_recover(struct mr_arena *arena, const char *out_dir, struct mr_diags *diags) {
    DIR *dir = opendir(out_dir);
    if (!dir)
        return mr_output_failed(diags, out_dir, errno);
    MR_VEC(const char *) found = {0};
    struct dirent *e;
    while ((e = readdir(dir)))
        if (strncmp(e->d_name, MR_STAGING_PREFIX, sizeof MR_STAGING_PREFIX - 1) == 0) {
            const char *path = mr_printf(arena, "%s/%s", out_dir, e->d_name);
            MR_PUSH(arena, &found, path);
        }
    closedir(dir);
    enum mr_status status = MR_OK;
    for (size_t i = 0; i < found.n && status == MR_OK; i++)
        status = recover_one(arena, out_dir, found.v[i], diags);
    return status;
}
