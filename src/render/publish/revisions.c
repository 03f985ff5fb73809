#include "render/publish/revisions.h"

#include "base/text.h"
#include "render/publish/beneath.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define PREFIX "revision-"

enum { NUMBER_DIGITS = 9, TARGET_BYTES = 64 };

typedef MR_VEC(long) number_list;

const char *mr_revision_name(struct mr_arena *arena, long number) {
    return mr_printf(arena, PREFIX "%ld", number);
}

/* "revision-12" -> 12; -1 for any other name, one with leading zeros too. */
static long number_of(const char *name) {
    if (strncmp(name, PREFIX, sizeof PREFIX - 1) != 0)
        return -1;
    const char *digits = name + sizeof PREFIX - 1;
    const size_t n = strlen(digits);
    if (n == 0 || n > NUMBER_DIGITS || (n > 1 && digits[0] == '0'))
        return -1;
    long number = 0;
    for (size_t i = 0; i < n; i++) {
        if (!mr_is_digit(digits[i]))
            return -1;
        number = number * 10 + (digits[i] - '0');
    }
    return number;
}

static int newest_first(const void *a, const void *b) {
    const long x = *(const long *)a, y = *(const long *)b;
    return x < y ? 1 : x > y ? -1 : 0;
}

static number_list numbers_of(struct mr_arena *arena, int reports) {
    number_list out = {0};
    mr_name_list names;
    if (!mr_beneath_names(arena, reports, &names))
        return out;
    for (size_t i = 0; i < names.n; i++) {
        const long number = number_of(names.v[i]);
        if (number >= 0)
            MR_PUSH(arena, &out, number);
    }
    if (out.n)
        qsort(out.v, out.n, sizeof *out.v, newest_first);
    return out;
}

/* The list of a revision's files; false where the folder is none of ours. */
static int open_revision(struct mr_arena *arena, int reports, long number, struct mr_manifest *out) {
    const int fd = mr_beneath_open(reports, mr_revision_name(arena, number), O_RDONLY | O_DIRECTORY);
    if (fd >= 0 && mr_manifest_read(arena, fd, out) && out->revision == number)
        return fd;
    if (fd >= 0)
        close(fd);
    return -1;
}

struct mr_revisions mr_revisions_find(struct mr_arena *arena, int reports) {
    struct mr_revisions found = {0};
    const number_list numbers = numbers_of(arena, reports);
    for (size_t i = 0; i < numbers.n && !found.any; i++) {
        struct mr_manifest manifest;
        const int fd = open_revision(arena, reports, numbers.v[i], &manifest);
        if (fd < 0)
            continue;
        const char *differs = mr_manifest_differs(&manifest, fd);
        close(fd);
        if (found.next <= numbers.v[i])
            found.next = numbers.v[i] + 1;
        if (!differs) {
            found.any = true;
            found.newest = manifest;
        } else if (!found.changed) {
            found.changed = mr_printf(arena, "%s/%s", mr_revision_name(arena, numbers.v[i]), differs);
        }
    }
    struct stat st;
    while (fstatat(reports, mr_revision_name(arena, found.next), &st, AT_SYMLINK_NOFOLLOW) == 0)
        found.next++;
    return found;
}

bool mr_latest_is(struct mr_arena *arena, int reports, const char *revision) {
    char target[TARGET_BYTES];
    const ssize_t n = readlinkat(reports, MR_LATEST, target, sizeof target);
    if (n >= 0)
        return (size_t)n == strlen(revision) && memcmp(target, revision, (size_t)n) == 0;
    const char *text = mr_beneath_read(arena, reports, MR_LATEST, TARGET_BYTES);
    return text && strcmp(text, mr_printf(arena, "%s\n", revision)) == 0;
}

bool mr_latest_blocked(int reports) {
    struct stat st;
    return fstatat(reports, MR_LATEST, &st, AT_SYMLINK_NOFOLLOW) == 0 && !S_ISLNK(st.st_mode) && !S_ISREG(st.st_mode);
}

int mr_latest_set(struct mr_arena *arena, int reports, int making, const char *revision) {
    unlinkat(making, MR_LATEST, 0);
    if (symlinkat(revision, making, MR_LATEST) != 0) {
        if (errno != EPERM && errno != EOPNOTSUPP && errno != ENOSYS)
            return errno;
        const char *text = mr_printf(arena, "%s\n", revision);
        const int error = mr_beneath_write(making, MR_LATEST, text, strlen(text));
        if (error)
            return error;
    }
    return renameat(making, MR_LATEST, reports, MR_LATEST) == 0 ? 0 : errno;
}

static bool is_listed(const struct mr_manifest *m, const char *path) {
    if (strcmp(path, MR_MANIFEST) == 0)
        return true;
    for (size_t i = 0; i < m->files.n; i++)
        if (strcmp(m->files.v[i].path, path) == 0)
            return true;
    return false;
}

/* Nothing but what the list names: charts are the one folder within. */
static bool only_ours(struct mr_arena *arena, int folder, const struct mr_manifest *m, const char *below) {
    mr_name_list names;
    if (!mr_beneath_names(arena, folder, &names))
        return false;
    for (size_t i = 0; i < names.n; i++) {
        const char *path = mr_printf(arena, "%s%s", below, names.v[i]);
        if (is_listed(m, path))
            continue;
        const int fd = below[0] ? -1 : mr_beneath_open(folder, names.v[i], O_RDONLY | O_DIRECTORY);
        const bool ours = fd >= 0 && only_ours(arena, fd, m, mr_printf(arena, "%s/", path));
        if (fd >= 0)
            close(fd);
        if (!ours)
            return false;
    }
    return true;
}

void mr_revisions_retire(struct mr_arena *arena, int reports, size_t keep) {
    const number_list numbers = numbers_of(arena, reports);
    size_t whole = 0;
    for (size_t i = 0; i < numbers.n; i++) {
        struct mr_manifest manifest;
        const int fd = open_revision(arena, reports, numbers.v[i], &manifest);
        if (fd < 0)
            continue;
        const bool ours = !mr_manifest_differs(&manifest, fd) && only_ours(arena, fd, &manifest, "");
        close(fd);
        if (ours && ++whole > keep)
            mr_beneath_remove(reports, mr_revision_name(arena, numbers.v[i]));
    }
}
