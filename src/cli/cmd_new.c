#include "cli/cli.h"
#include "cli/job_files.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>

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
