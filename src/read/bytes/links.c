#include "read/bytes/links.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

const char *mr_link_outside(struct mr_arena *arena, const char *dir, const char *path) {
    char root[PATH_MAX], real[PATH_MAX];
    if (!realpath(dir, root) || !realpath(mr_printf(arena, "%s/%s", dir, path), real))
        return NULL;
    const size_t n = strlen(root);
    if (strncmp(real, root, n) == 0 && (real[n] == '/' || real[n] == '\0' || n == 1))
        return NULL;
    return mr_strdup(arena, real);
}
