/*
 * watch_runs.c - see watch_runs.h. A folder that nobody has vouched for can hold up its own slot only, for a time.
 */
#include "cli/watch_runs.h"

#include "cli/cli.h"
#include "cli/job_files.h"
#include "cli/job_fill.h"
#include "cli/job_folders.h"

#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

enum { RUN_S = 900, RUN_MIB = 4096, LARGE_MIB = 64, FILL_S = 120, FILL_CPU_S = 60, NO_EXPORTS = 20 };
enum { RUNNING_MS = 50, BUSY_MS = 2000, LATER_MS = 60000, END_MS = 30000 };

size_t mr_watch_slots(void) {
    const long processors = sysconf(_SC_NPROCESSORS_ONLN);
    return processors < 1 ? 3 : processors > MR_WATCH_MOST - 2 ? MR_WATCH_MOST : (size_t)processors + 2;
}

void mr_watch_look_by(struct mr_watch_runs *w, int64_t in_ms) {
    const int64_t now_ms = mr_now_ms();
    if (in_ms < w->look_by_ms - now_ms)
        w->look_by_ms = now_ms + in_ms;
}

static int tell(const struct mr_watch_runs *w, struct mr_arena *arena, const char *dir, const char *text) {
    return w->quiet ? 0
                    : mr_cli_out(mr_printf(arena, "%s  %s: %s\n", mr_now_text(arena),
                                           mr_clean_text(arena, dir, strlen(dir), 1000), text));
}

/* The files that were just changed may have changed again with the same size and time: they are looked at once more.
 */
static void take_report(struct mr_watch_runs *w, struct mr_watched *job, const struct mr_watch_run *slot) {
    const struct mr_job_state *s = &slot->run.state;
    memcpy(job->answered, s->fresh ? "" : s->inputs, s->fresh ? 1 : sizeof job->answered);
    job->not_before_ms = s->fresh ? mr_now_ms() + BUSY_MS : 0;
    if (!*s->inputs) /* ended by a signal: tried again, but not at once */
        job->not_before_ms = mr_now_ms() + LATER_MS;
    if (!slot->run.same)
        tell(w, slot->arena, job->dir, mr_job_state_text(s));
}

/* The new job file is an input that has just come: the folder counts as seen with it, and is reported at once. */
static void take_filling(struct mr_watch_runs *w, struct mr_watched *job, struct mr_arena *arena, int status) {
    struct mr_job_inputs now;
    const int code = WIFEXITED(status) ? WEXITSTATUS(status) : MR_EXIT_OUTPUT;
    if (code == 0) {
        tell(w, arena, job->dir, "new folder: a job file to fill in was added");
        job->fresh = false;
        if (mr_job_inputs(arena, job->dir, 0, NULL, NULL, &now) == 0)
            memcpy(job->seen, now.hash, sizeof job->seen);
        return;
    }
    memcpy(job->answered, job->seen, sizeof job->answered); /* until something changes in it */
    if (code != NO_EXPORTS)
        tell(w, arena, job->dir, "new folder: a job file could not be made; `milrise new` says why");
}

static bool has_ended(struct mr_watch_runs *w, struct mr_watch_run *slot) {
    struct mr_watched *job = &w->jobs.v[slot->job];
    if (!slot->filling) {
        if (!mr_run_poll(slot->arena, &slot->run))
            return false;
        take_report(w, job, slot);
        return true;
    }
    int status = 0;
    const pid_t pid = waitpid(slot->filling, &status, WNOHANG);
    if (pid == 0 && mr_now_ms() > slot->since_ms + (int64_t)FILL_S * 1000)
        kill(slot->filling, SIGKILL);
    if (pid == 0 || (pid < 0 && errno == EINTR))
        return false;
    take_filling(w, job, slot->arena, pid < 0 ? MR_EXIT_OUTPUT << 8 : status);
    return true;
}

size_t mr_watch_poll(struct mr_watch_runs *w, size_t ended[MR_WATCH_MOST], size_t *n_ended) {
    size_t running = 0;
    *n_ended = 0;
    for (size_t i = 0; i < w->slots; i++) {
        struct mr_watch_run *slot = &w->slot[i];
        if (!slot->arena)
            continue;
        if (!has_ended(w, slot)) {
            running++;
            continue;
        }
        w->jobs.v[slot->job].running = false;
        ended[(*n_ended)++] = slot->job;
        mr_arena_free(slot->arena);
        slot->arena = NULL;
    }
    return running;
}

/* Reads a folder that nobody has vouched for: with bounds on processor and memory. */
static pid_t fill(struct mr_arena *arena, const char *dir) {
    const pid_t pid = fork();
    if (pid != 0)
        return pid;
    const struct rlimit cpu = {FILL_CPU_S, FILL_CPU_S}, memory = {(rlim_t)RUN_MIB << 20, (rlim_t)RUN_MIB << 20};
    sigset_t none;
    sigemptyset(&none);
    sigprocmask(SIG_SETMASK, &none, NULL);
    signal(SIGTERM, SIG_DFL);
    setrlimit(RLIMIT_CPU, &cpu);
#ifndef MR_ARENA_SEPARATE
    setrlimit(RLIMIT_AS, &memory);
#endif
    (void)memory;
    if (!mr_folder_has_tables(arena, dir) && !mr_job_fill(arena, dir, false))
        _exit(NO_EXPORTS);
    _exit(mr_job_files_make(arena, dir, true, false) ? MR_EXIT_OUTPUT : 0);
}

static bool is_large(const struct mr_watched *job) {
    return job->size > (int64_t)LARGE_MIB << 20;
}

/* The other one answers, or ends without. */
static void wait_for_other(struct mr_watch_runs *w, struct mr_watched *job) {
    job->not_before_ms = mr_now_ms() + BUSY_MS;
    mr_watch_look_by(w, BUSY_MS);
}

/* One report alone may use every processor; several share them by being several. */
static void begin(struct mr_watch_runs *w, struct mr_watch_run *slot, size_t index, bool alone) {
    struct mr_watched *job = &w->jobs.v[index];
    struct mr_arena *arena = mr_arena_like(w->arena);
    *slot = (struct mr_watch_run){.job = index, .since_ms = mr_now_ms()};
    enum mr_run_step step = MR_RUN_STARTED;
    if (job->fresh) {
        slot->filling = fill(arena, job->dir);
        step = slot->filling > 0 ? MR_RUN_STARTED : MR_RUN_BUSY; /* no process: tried again */
    } else
        step = mr_run_start(arena, job->dir, (struct mr_run_limits){RUN_S, RUN_MIB, alone ? 0 : 1}, &slot->run);
    if (step == MR_RUN_STARTED) {
        slot->arena = arena;
        job->running = true;
        return;
    }
    if (step == MR_RUN_BUSY)
        wait_for_other(w, job);
    else {
        memcpy(job->answered, job->seen, sizeof job->answered);
        tell(w, arena, job->dir, mr_job_state_text(&slot->run.state));
    }
    mr_arena_free(arena);
}

static size_t next_job(const struct mr_watch_runs *w, bool large_too, size_t *n_ready) {
    size_t next = w->jobs.n;
    *n_ready = 0;
    for (size_t i = 0; i < w->jobs.n; i++) {
        const struct mr_watched *job = &w->jobs.v[i];
        if (!job->ready || job->running)
            continue;
        ++*n_ready;
        if ((large_too || !is_large(job)) && (next == w->jobs.n || job->since_ms < w->jobs.v[next].since_ms))
            next = i;
    }
    return next;
}

size_t mr_watch_start(struct mr_watch_runs *w, bool (*look)(struct mr_watch_runs *w, size_t job)) {
    for (;;) {
        struct mr_watch_run *slot = NULL;
        size_t running = 0, large = 0, n_ready;
        for (size_t i = 0; i < w->slots; i++)
            if (w->slot[i].arena) {
                running++;
                large += is_large(&w->jobs.v[w->slot[i].job]);
            } else
                slot = slot ? slot : &w->slot[i];
        const size_t next = slot ? next_job(w, large < w->slots / 2, &n_ready) : w->jobs.n;
        if (next == w->jobs.n)
            return running;
        w->jobs.v[next].ready = false;
        if (look(w, next))
            begin(w, slot, next, running == 0 && n_ready == 1);
    }
}

void mr_watch_end(struct mr_watch_runs *w) {
    size_t ended[MR_WATCH_MOST], n;
    const int64_t until_ms = mr_now_ms() + END_MS;
    while (mr_watch_poll(w, ended, &n) > 0 && mr_now_ms() < until_ms)
        poll(NULL, 0, RUNNING_MS);
    for (size_t i = 0; i < w->slots; i++)
        if (w->slot[i].arena && w->slot[i].filling)
            kill(w->slot[i].filling, SIGKILL);
        else if (w->slot[i].arena)
            mr_run_end(&w->slot[i].run);
}
