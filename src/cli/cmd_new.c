#include "cli/cli.h"
#include "cli/job_files.h"
#include "cli/job_fill.h"

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

const char *mr_job_files_make(struct mr_arena *arena, const char *dir, bool quiet, bool us) {
    static const char prefix[] = "job/";
    size_t n;
    const struct mr_text_file *all = mr_templates(&n);
    char *filled = mr_job_fill(arena, dir, us); /* before a template of ours lies there too */
    for (size_t i = 0; i < n; i++) {
        const char *name = all[i].name + sizeof prefix - 1;
        if (strncmp(all[i].name, prefix, sizeof prefix - 1) != 0 || (quiet && strcmp(name, MR_JOB_FILE) != 0))
            continue;
        const char *path = mr_printf(arena, "%s/%s", dir, name);
        struct mr_text_file file = all[i];
        if (filled && strcmp(name, MR_JOB_FILE) == 0) {
            file.data = filled;
            file.size = strlen(filled);
        }
        enum placed placed = place_file(path, &file);
        if (placed == FAILED)
            return path;
        if (!quiet && mr_cli_out(mr_printf(arena, "%s %s\n", placed == PLACED ? "made " : "kept ", path)))
            return path;
    }
    return NULL;
}

int mr_cmd_new(struct mr_arena *arena, const struct mr_cli_options *o) {
    const char *dir = o->paths[0];
    if (mkdir(dir, 0777) != 0 && errno != EEXIST) {
        fprintf(stderr, "milrise new: %s: %s\n", dir, strerror(errno));
        return MR_EXIT_OUTPUT;
    }
    const char *failed = mr_job_files_make(arena, dir, false, o->us);
    if (failed) {
        fprintf(stderr, "milrise new: %s: %s\n", failed, strerror(errno));
        return MR_EXIT_OUTPUT;
    }
    return mr_cli_out(mr_printf(arena, "Next: edit %s/%s, drop exports into %s, run `milrise report %s`.\n", dir,
                                MR_JOB_FILE, dir, dir));
}
