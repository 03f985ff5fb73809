/*
 * tree.c - see tree.h.
 */
#include "tree.h"

#include <dirent.h>
#include <fcntl.h>
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
