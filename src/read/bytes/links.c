#include "read/bytes/links.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char *unless_below(struct mr_arena *arena, const char *root, const char *real) {
    const size_t n = strlen(root);
    if (strncmp(real, root, n) == 0 && (real[n] == '/' || real[n] == '\0' || n == 1))
        return NULL;
    return mr_strdup(arena, real);
}

const char *mr_link_outside(struct mr_arena *arena, const char *dir, const char *path) {
    char root[PATH_MAX], real[PATH_MAX];
    if (!realpath(dir, root) || !realpath(mr_printf(arena, "%s/%s", dir, path), real))
        return NULL;
    return unless_below(arena, root, real);
}

const char *mr_opened_outside(struct mr_arena *arena, const char *dir, int fd) {
    char root[PATH_MAX], real[PATH_MAX];
    if (!*dir || fd < 0 || !realpath(dir, root))
        return NULL;
    const ssize_t n = readlink(mr_printf(arena, "/proc/self/fd/%d", fd), real, sizeof real - 1);
    if (n <= 0)
        return NULL;
    real[n] = '\0';
    return unless_below(arena, root, real);
}
