/*
 * stage_shares.c - processor and wall seconds of each stage of a report, in one process: stage_shares JOB OUT.
 * Output lines "STAGE CPU WALL": read, normalise, align, assess, book (report without figures), figures (what the
 * report with them takes more).
 */
#include "milrise/milrise.h"
#include "milrise/render.h"

#include <stdio.h>
#include <time.h>
#include <unistd.h>

struct moment {
    double cpu_s, wall_s;
};

static double seconds(clockid_t clock) {
    struct timespec t;
    clock_gettime(clock, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

static struct moment now(void) {
    return (struct moment){seconds(CLOCK_PROCESS_CPUTIME_ID), seconds(CLOCK_MONOTONIC)};
}

static struct moment tell(const char *stage, struct moment from, struct moment less) {
    const struct moment to = now();
    printf("%-9s %.3f %.3f\n", stage, to.cpu_s - from.cpu_s - less.cpu_s, to.wall_s - from.wall_s - less.wall_s);
    return now();
}

int main(int argc, char **argv) {
    if (argc != 3)
        return 2;
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_diags diags;
    const struct mr_job *job;
    struct mr_sources sources;
    const struct mr_data *data;
    const struct mr_alignment *aligned;
    const struct mr_assessment *assessment;
    struct mr_published published;
    mr_diags_init(&diags, arena);
    const struct moment none = {0, 0};
    struct moment t = now();
    if (mr_job_load(arena, argv[1], &diags, &job) != MR_OK || mr_read_folder(arena, job, &diags, &sources) != MR_OK)
        return 1;
    t = tell("read", t, none);
    if (mr_normalise(arena, &sources, &diags, &data) != MR_OK)
        return 1;
    t = tell("normalise", t, none);
    if (mr_align(arena, data, &diags, &aligned) != MR_OK)
        return 1;
    t = tell("align", t, none);
    if (mr_assess(arena, aligned, &diags, &assessment) != MR_OK)
        return 1;
    t = tell("assess", t, none);
    struct mr_render_options options = {.out_dir = mr_printf(arena, "%s/plain", argv[2]),
                                        .version = MR_VERSION,
                                        .threads = (unsigned)sysconf(_SC_NPROCESSORS_ONLN)};
    if (mr_render(arena, assessment, &options, &diags, &published) != MR_OK)
        return 1;
    const struct moment plain = {now().cpu_s - t.cpu_s, now().wall_s - t.wall_s};
    t = tell("book", t, none);
    options.out_dir = mr_printf(arena, "%s/figures", argv[2]);
    options.charts = true;
    if (mr_render(arena, assessment, &options, &diags, &published) != MR_OK)
        return 1;
    tell("figures", t, plain);
    return 0;
}
