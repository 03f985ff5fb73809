#include "read/bytes/links.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

const char *mr_opened_outside(struct mr_arena *arena, const char *dir, int fd) {
    char root[PATH_MAX], real[PATH_MAX];
    if (!*dir || fd < 0 || !realpath(dir, root))
        return NULL;
    const ssize_t got = readlink(mr_printf(arena, "/proc/self/fd/%d", fd), real, sizeof real - 1);
    if (got <= 0)
        return NULL;
    real[got] = '\0';
    const size_t n = strlen(root);
    if (strncmp(real, root, n) == 0 && (real[n] == '/' || real[n] == '\0' || n == 1))
        return NULL;
    return mr_strdup(arena, real);
}

void mr_tell_outside(struct mr_arena *arena, struct mr_diags *diags, const char *name, const char *outside) {
    if (outside)
        mr_diag_add(diags, MR_WARNING, "linked-file", (struct mr_place){.file = name}, NULL,
                    "Copy the file into the job folder if it belongs to this job: the report depends on it.",
                    "is a link to a file outside the job folder: %s",
                    mr_clean_text(arena, outside, strlen(outside), 4 * strlen(outside)));
}
