/*
 * watch_runs.h - what a watcher has under way: reports, and job files for new folders, each in a process of its own;
 * the folder that has waited longest comes next.
 */
#ifndef MILRISE_CLI_WATCH_RUNS_H
#define MILRISE_CLI_WATCH_RUNS_H

#include "cli/job_run.h"

#include "milrise/arena.h"

enum { MR_WATCH_MOST = 18 };

struct mr_watched {
    const char *dir;
    char seen[MR_HASH_TEXT]; /* at the last look */
    char answered[MR_HASH_TEXT];
    int64_t since_ms, not_before_ms; /* seen has stood still since then; no run before */
    int64_t size;                    /* bytes of its files, at the last look */
    bool fresh;                      /* exports without a job file */
    bool ready, running;
};

/* One process; arena NULL = none. */
struct mr_watch_run {
    struct mr_arena *arena;
    struct mr_job_run run;
    pid_t filling; /* a new folder gets its job file; 0: a report */
    int64_t since_ms;
    size_t job;
};

struct mr_watch_runs {
    struct mr_arena *arena; /* for what stays */
    bool quiet;
    MR_VEC(struct mr_watched) jobs;
    struct mr_watch_run slot[MR_WATCH_MOST];
    size_t slots;
    int64_t look_by_ms; /* some job asks for another look then, at the latest */
};

/** mr_watch_look_by - another look at the latest in so many ms. */
void mr_watch_look_by(struct mr_watch_runs *w, int64_t in_ms);

/** mr_watch_slots - how many processes at once: one for each processor and two more, which wait for the disk. */
size_t mr_watch_slots(void);

/** mr_watch_poll - takes note of processes that have ended. Returns: how many are under way. ended: the numbers of
 * the jobs whose process has ended, *n_ended of them. */
size_t mr_watch_poll(struct mr_watch_runs *w, size_t ended[MR_WATCH_MOST], size_t *n_ended);

/** mr_watch_start - processes for jobs that are ready, the one that has waited longest first, as long as there is
 * room; large jobs take no more than half of it. look: whether the job is ready still. Returns: how many are under
 * way. */
size_t mr_watch_start(struct mr_watch_runs *w, bool (*look)(struct mr_watch_runs *w, size_t job));

/** mr_watch_end - reports under way are given some time to end in order; nothing is lost where they are not. */
void mr_watch_end(struct mr_watch_runs *w);

#endif
