#include "cli/cli.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum placed { PLACED, WAS_THERE, FAILED };

/* O_EXCL, so that a file of the clerk's is never overwritten, not even between a look and a write. */
static enum placed place_file(const char *path, const struct mr_text_file *file) {
    int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (fd < 0)
        return errno == EEXIST ? WAS_THERE : FAILED;
    ssize_t written = write(fd, file->data, file->size);
    bool ok = written == (ssize_t)file->size && fsync(fd) == 0;
    ok = close(fd) == 0 && ok;
    if (ok)
        return PLACED;
    unlink(path);
    return FAILED;
}

int mr_cmd_new(struct mr_arena *arena, const struct mr_cli_options *o) {
    static const char prefix[] = "job/";
    const char *dir = o->paths[0];
    if (mkdir(dir, 0777) != 0 && errno != EEXIST) {
        fprintf(stderr, "milrise new: %s: %s\n", dir, strerror(errno));
        return MR_EXIT_OUTPUT;
    }
    size_t n;
    const struct mr_text_file *all = mr_templates(&n);
    for (size_t i = 0; i < n; i++) {
        if (strncmp(all[i].name, prefix, sizeof prefix - 1) != 0)
            continue;
        char *path = mr_printf(arena, "%s/%s", dir, all[i].name + sizeof prefix - 1);
        enum placed placed = place_file(path, &all[i]);
        if (placed == FAILED) {
            fprintf(stderr, "milrise new: %s: %s\n", path, strerror(errno));
            return MR_EXIT_OUTPUT;
        }
        if (mr_cli_out(mr_printf(arena, "%s %s\n", placed == PLACED ? "made " : "kept ", path)))
            return MR_EXIT_OUTPUT;
    }
    return mr_cli_out(mr_printf(arena, "Next: edit %s/%s, drop exports into %s, run `milrise report %s`.\n", dir,
                                MR_JOB_FILE, dir, dir));
}
