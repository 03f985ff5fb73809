/*
 * tree.c - see tree.h.
 */
#include "tree.h"

#include <dirent.h>
#include <fcntl.h>
#include <ftw.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { PATH = 1024, PIECE = 1 << 16 };

static uint64_t mixed(uint64_t h, const void *data, size_t n) {
    const unsigned char *p = data;
    uint64_t word;
    for (; n >= sizeof word; p += sizeof word, n -= sizeof word) {
        memcpy(&word, p, sizeof word);
        h = (h ^ word) * UINT64_C(0x9e3779b97f4a7c15);
        h ^= h >> 29;
    }
    for (; n > 0; p++, n--)
        h = (h ^ *p) * UINT64_C(1099511628211);
    return h;
}

static bool among(const char *name, const char *const *list) {
    for (; *list; list++) {
        const size_t n = strlen(*list);
        if (strcmp(*list, name) == 0 || ((*list)[n - 1] == '*' && strncmp(*list, name, n - 1) == 0))
            return true;
    }
    return false;
}

static uint64_t bytes_of(uint64_t h, const char *path) {
    static char piece[PIECE];
    const int fd = open(path, O_RDONLY | O_NONBLOCK);
    ssize_t n = 0;
    while (fd >= 0 && (n = read(fd, piece, sizeof piece)) > 0)
        h = mixed(h, piece, (size_t)n);
    if (fd >= 0)
        close(fd);
    return h;
}

static uint64_t name_of(uint64_t h, const char *name) {
    for (const char *p = name; *p; p++)
        if (name[0] != '.' || *p < '0' || *p > '9')
            h = mixed(h, p, 1);
    return h;
}

uint64_t tree_digest(const char *folder, const char *const *skip, const char *const *bare) {
    struct dirent **entry;
    const int n = scandir(folder, &entry, NULL, alphasort);
    uint64_t h = UINT64_C(1469598103934665603);
    for (int i = 0; i < n; i++) {
        char path[PATH], target[PATH] = "";
        struct stat st = {0};
        const char *name = entry[i]->d_name;
        snprintf(path, sizeof path, "%s/%s", folder, name);
        if (strcmp(name, ".") != 0 && strcmp(name, "..") != 0 && !among(name, skip) && lstat(path, &st) == 0) {
            const unsigned kind = st.st_mode & S_IFMT;
            h = mixed(name_of(h, name), &kind, sizeof kind);
            if (S_ISDIR(st.st_mode)) {
                const uint64_t below = tree_digest(path, skip, bare);
                h = mixed(h, &below, sizeof below);
            } else if (S_ISLNK(st.st_mode) && readlink(path, target, sizeof target - 1) > 0) {
                h = mixed(h, target, strlen(target));
            } else if (S_ISREG(st.st_mode) && !among(name, bare)) {
                h = bytes_of(h, path);
            }
        }
        free(entry[i]);
    }
    if (n >= 0)
        free(entry);
    return h;
}

static bool copy_file(const char *from, const char *to, const struct stat *st) {
    static char piece[PIECE];
    const int in = open(from, O_RDONLY), out = open(to, O_WRONLY | O_CREAT | O_EXCL, st->st_mode & 0777);
    const struct timespec times[2] = {st->st_atim, st->st_mtim};
    ssize_t n = -1;
    while (in >= 0 && out >= 0 && (n = read(in, piece, sizeof piece)) > 0 && write(out, piece, (size_t)n) == n) {
    }
    const bool good = n == 0 && futimens(out, times) == 0;
    close(in);
    return close(out) == 0 && good;
}

static bool copy_one(const char *from, const char *to) {
    struct stat st;
    char target[PATH] = "";
    if (lstat(from, &st) != 0)
        return false;
    if (S_ISDIR(st.st_mode))
        return tree_copy(from, to);
    if (S_ISLNK(st.st_mode))
        return readlink(from, target, sizeof target - 1) > 0 && symlink(target, to) == 0;
    return copy_file(from, to, &st);
}

bool tree_copy(const char *from, const char *to) {
    DIR *d = opendir(from);
    bool good = d && mkdir(to, 0777) == 0;
    for (struct dirent *e; good && (e = readdir(d));) {
        char a[PATH], b[PATH];
        snprintf(a, sizeof a, "%s/%s", from, e->d_name);
        snprintf(b, sizeof b, "%s/%s", to, e->d_name);
        if (strcmp(e->d_name, ".") != 0 && strcmp(e->d_name, "..") != 0)
            good = copy_one(a, b);
    }
    if (d)
        closedir(d);
    return good;
}

static int remove_one(const char *path, const struct stat *st, int kind, struct FTW *place) {
    (void)st, (void)kind, (void)place;
    return remove(path);
}

void tree_remove(const char *folder) {
    nftw(folder, remove_one, 16, FTW_DEPTH | FTW_PHYS);
}
