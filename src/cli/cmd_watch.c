/*
 * cmd_watch.c - waits until what was dropped has settled, reports, and answers in the folder.
 *
 * The truth is what the folders hold: names, sizes and times, looked at again and again. inotify only wakes the
 * watcher early; on a network share, where it hears nothing of other machines, the looks come at a fixed interval. A
 * job is reported when its inputs have stood still for the settling time and are not those of its last report;
 * several at once, so that one that takes long keeps no other waiting.
 */
#include "cli/cli.h"
#include "cli/job_files.h"
#include "cli/job_fill.h"
#include "cli/job_folders.h"
#include "cli/job_run.h"

#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <string.h>
#include <sys/inotify.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

enum { SETTLE_S = 5, POLL_S = 10, LOCAL_POLL_S = 60, RUN_S = 900, RUN_MIB = 4096, MOST_AT_ONCE = 16 };
enum { FILL_CPU_S = 60, NO_EXPORTS = 20, RUNNING_MS = 50, BUSY_MS = 2000, END_MS = 30000 };

static volatile sig_atomic_t stop;

static void on_signal(int number) {
    (void)number;
    stop = 1;
}

struct watched {
    const char *dir;
    char seen[MR_HASH_TEXT]; /* at the last look */
    char answered[MR_HASH_TEXT];
    int64_t since_ms, not_before_ms; /* seen has stood still since then; no run before */
    bool running;
};

struct watch_run {
    struct mr_arena *arena; /* NULL: free */
    struct mr_job_run run;
    size_t job;
};

struct watcher {
    struct mr_arena *arena; /* for what stays; each look has its own */
    const struct mr_cli_options *options;
    MR_VEC(struct watched) jobs;
    struct watch_run slot[MOST_AT_ONCE];
    size_t slots;
    int inotify;
    char program[MR_HASH_TEXT];
};

static void listen_to(void *ctx, const char *folder) {
    struct watcher *w = ctx;
    if (w->inotify >= 0 &&
        inotify_add_watch(w->inotify, folder,
                          IN_CLOSE_WRITE | IN_MOVED_TO | IN_MOVED_FROM | IN_CREATE | IN_DELETE | IN_ONLYDIR |
                              IN_EXCL_UNLINK) < 0 &&
        errno == ENOSPC) { /* no more watches for this user: looking at intervals is enough */
        close(w->inotify);
        w->inotify = -1;
    }
}

static size_t watched_of(struct watcher *w, const char *dir) {
    for (size_t i = 0; i < w->jobs.n; i++)
        if (strcmp(w->jobs.v[i].dir, dir) == 0)
            return i;
    struct watched fresh = {.dir = mr_strdup(w->arena, dir), .since_ms = mr_now_ms()};
    struct mr_job_state state;
    struct mr_arena *scratch = mr_arena_like(w->arena);
    mr_job_state_load(scratch, dir, &state);
    if (strcmp(state.program, w->program) == 0 && !state.fresh && mr_job_answered(scratch, dir, &state))
        memcpy(fresh.answered, state.inputs, sizeof fresh.answered);
    mr_arena_free(scratch);
    MR_PUSH(w->arena, &w->jobs, fresh);
    return w->jobs.n - 1;
}

static int tell(const struct watcher *w, struct mr_arena *arena, const char *dir, const char *text) {
    return w->options->quiet ? 0
                             : mr_cli_out(mr_printf(arena, "%s  %s: %s\n", mr_now_text(arena),
                                                    mr_clean_text(arena, dir, strlen(dir), 1000), text));
}

/* The files that were just changed may have changed again with the same size and time: they are looked at once more.
 */
static void take_end(struct watcher *w, struct watched *job, const struct watch_run *slot) {
    const struct mr_job_state *s = &slot->run.state;
    memcpy(job->answered, s->fresh ? "" : s->inputs, s->fresh ? 1 : sizeof job->answered);
    job->not_before_ms = s->fresh ? mr_now_ms() + BUSY_MS : 0;
    if (!*s->inputs) /* ended by a signal: tried again, but not at once */
        job->not_before_ms = mr_now_ms() + (int64_t)LOCAL_POLL_S * 1000;
    if (!slot->run.same)
        tell(w, slot->arena, job->dir, mr_job_state_text(s));
}

/* Returns: how many reports are still running. *ended: some have ended. */
static size_t poll_runs(struct watcher *w, bool *ended) {
    size_t running = 0;
    for (size_t i = 0; i < w->slots; i++) {
        struct watch_run *slot = &w->slot[i];
        if (!slot->arena)
            continue;
        if (!mr_run_poll(slot->arena, &slot->run)) {
            running++;
            continue;
        }
        w->jobs.v[slot->job].running = false;
        take_end(w, &w->jobs.v[slot->job], slot);
        mr_arena_free(slot->arena);
        slot->arena = NULL;
        *ended = true;
    }
    return running;
}

static struct watch_run *free_slot(struct watcher *w) {
    for (size_t i = 0; i < w->slots; i++)
        if (!w->slot[i].arena)
            return &w->slot[i];
    return NULL;
}

/* Returns: ms until another look, where it could not start now. */
static int64_t answer(struct watcher *w, size_t index) {
    struct watched *job = &w->jobs.v[index];
    struct watch_run *slot = free_slot(w);
    if (!slot)
        return BUSY_MS; /* an end of a run is a reason to look as well */
    struct mr_arena *arena = mr_arena_like(w->arena);
    const enum mr_run_step step =
        mr_run_start(arena, job->dir, (struct mr_run_limits){RUN_S, RUN_MIB, 0}, &slot->run);
    if (step == MR_RUN_STARTED) {
        slot->arena = arena;
        slot->job = index;
        job->running = true;
        return INT64_MAX;
    }
    if (step == MR_RUN_BUSY)
        job->not_before_ms = mr_now_ms() + BUSY_MS; /* the other one answers */
    else {
        memcpy(job->answered, job->seen, sizeof job->answered);
        tell(w, arena, job->dir, mr_job_state_text(&slot->run.state));
    }
    mr_arena_free(arena);
    return BUSY_MS;
}

/* Reads a folder that nobody has vouched for: in a process of its own, with bounds. */
static int make_job_file(struct mr_arena *arena, const char *dir) {
    int status = 0;
    const pid_t pid = fork();
    if (pid == 0) {
        const struct rlimit cpu = {FILL_CPU_S, FILL_CPU_S}, memory = {(rlim_t)RUN_MIB << 20, (rlim_t)RUN_MIB << 20};
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
    while (pid > 0 && waitpid(pid, &status, 0) < 0 && errno == EINTR) {
    }
    return pid > 0 && WIFEXITED(status) ? WEXITSTATUS(status) : MR_EXIT_OUTPUT;
}

/* Returns whether the folder is a job now. */
static bool begin_job(struct watcher *w, struct mr_arena *arena, struct watched *job) {
    const int status = make_job_file(arena, job->dir);
    if (status == 0)
        tell(w, arena, job->dir, "new folder: a job file to fill in was added");
    else
        memcpy(job->answered, job->seen, sizeof job->answered); /* until something changes in it */
    if (status != 0 && status != NO_EXPORTS)
        tell(w, arena, job->dir, "new folder: a job file could not be made; `milrise new` says why");
    return status == 0;
}

/* Returns: ms until the job is worth another look, at most a long time. */
static int64_t look_at(struct watcher *w, struct mr_arena *arena, size_t index, bool fresh) {
    struct watched *job = &w->jobs.v[index];
    struct mr_job_inputs now;
    const int64_t settle = (int64_t)(w->options->settle_s ? w->options->settle_s : SETTLE_S) * 1000;
    if (mr_job_inputs(arena, job->dir, 0, listen_to, w, &now) != 0)
        return settle;
    if (strcmp(now.hash, job->seen) != 0) {
        memcpy(job->seen, now.hash, sizeof job->seen);
        job->since_ms = mr_now_ms();
    }
    if (job->running || strcmp(job->seen, job->answered) == 0)
        return INT64_MAX;
    const int64_t ready_ms =
        job->since_ms + settle > job->not_before_ms ? job->since_ms + settle : job->not_before_ms;
    if (mr_now_ms() < ready_ms)
        return ready_ms - mr_now_ms();
    if (fresh) { /* only now: the job file may be the last of a folder that is copied in */
        if (!begin_job(w, arena, job))
            return INT64_MAX;
        mr_job_inputs(arena, job->dir, 0, NULL, NULL, &now);
        memcpy(job->seen, now.hash, sizeof job->seen);
    }
    return answer(w, index);
}

static void look_in(struct watcher *w, struct mr_arena *arena, const char *root, int64_t *wait_ms) {
    struct mr_job_folders found;
    if (mr_job_folders(arena, root, &found, listen_to, w) != 0)
        return; /* a share that is away may come back */
    for (size_t i = 0; i < found.jobs.n + found.fresh.n && !stop; i++) {
        bool fresh = i >= found.jobs.n;
        const char *dir = fresh ? found.fresh.v[i - found.jobs.n] : found.jobs.v[i];
        int64_t again = look_at(w, arena, watched_of(w, dir), fresh);
        *wait_ms = again < *wait_ms ? again : *wait_ms;
    }
}

/* Returns: whether something was heard. */
static bool wait_for(struct watcher *w, int64_t wait_ms, const sigset_t *open_mask) {
    char events[4096];
    wait_ms = wait_ms > 0 ? wait_ms : 0;
    struct timespec time = {.tv_sec = wait_ms / 1000, .tv_nsec = wait_ms % 1000 * 1000000};
    struct pollfd heard = {.fd = w->inotify, .events = POLLIN};
    if (ppoll(&heard, w->inotify >= 0 ? 1 : 0, &time, open_mask) <= 0)
        return false;
    while (read(w->inotify, events, sizeof events) > 0) {
    }
    return true;
}

/* Reports that are under way are given some time to end in order; nothing is lost where they are not. */
static void end_runs(struct watcher *w) {
    bool ended;
    const int64_t until_ms = mr_now_ms() + END_MS;
    while (poll_runs(w, &ended) > 0 && mr_now_ms() < until_ms)
        poll(NULL, 0, RUNNING_MS);
    for (size_t i = 0; i < w->slots; i++)
        if (w->slot[i].arena)
            mr_run_end(&w->slot[i].run);
}

static void watch_until_stopped(struct watcher *w, int64_t interval_ms, const sigset_t *open_mask) {
    int64_t next_look_ms = 0, took_ms = 0;
    while (!stop) {
        bool ended = false;
        const size_t running = poll_runs(w, &ended);
        int64_t now_ms = mr_now_ms();
        if (ended || now_ms >= next_look_ms) {
            struct mr_arena *look = mr_arena_like(w->arena);
            int64_t wait_ms = interval_ms;
            for (int i = 0; i < w->options->n_paths; i++)
                look_in(w, look, w->options->paths[i], &wait_ms);
            mr_arena_free(look);
            took_ms = mr_now_ms() - now_ms;
            next_look_ms = mr_now_ms() + wait_ms;
            now_ms = mr_now_ms();
        }
        int64_t wait_ms = next_look_ms - now_ms;
        if ((running || ended) && wait_ms > RUNNING_MS)
            wait_ms = RUNNING_MS;
        /* While files pour in, looks take no more than a part of the time. */
        if (wait_for(w, wait_ms, open_mask) && next_look_ms > mr_now_ms() + 2 * took_ms + RUNNING_MS)
            next_look_ms = mr_now_ms() + 2 * took_ms + RUNNING_MS;
    }
    end_runs(w);
}

static bool all_local(const struct mr_cli_options *o) {
    for (int i = 0; i < o->n_paths; i++)
        if (mr_is_remote(o->paths[i]))
            return false;
    return true;
}

int mr_cmd_watch(struct mr_arena *arena, const struct mr_cli_options *o) {
    struct watcher *w = MR_NEW(arena, struct watcher);
    const long processors = sysconf(_SC_NPROCESSORS_ONLN);
    *w = (struct watcher){.arena = arena, .options = o, .inotify = -1};
    w->slots = processors < 2 ? 2 : processors > MOST_AT_ONCE ? MOST_AT_ONCE : (size_t)processors;
    mr_program_print(arena, w->program);
    for (int i = 0; i < o->n_paths; i++)
        if (access(o->paths[i], R_OK | X_OK) != 0) {
            fprintf(stderr, "milrise watch: %s: %s\n", o->paths[i], strerror(errno));
            return MR_EXIT_USAGE;
        }
    bool local = !o->poll_s && all_local(o);
    if (local)
        w->inotify = inotify_init1(IN_CLOEXEC | IN_NONBLOCK);
    int64_t interval = (int64_t)(o->poll_s ? o->poll_s : local ? LOCAL_POLL_S : POLL_S) * 1000;
    struct sigaction act = {.sa_handler = on_signal};
    sigset_t closed, open_mask;
    sigemptyset(&closed);
    sigaddset(&closed, SIGTERM);
    sigaddset(&closed, SIGINT);
    sigprocmask(SIG_BLOCK, &closed, &open_mask); /* a signal is taken between two looks, never within one */
    sigaction(SIGTERM, &act, NULL);
    sigaction(SIGINT, &act, NULL);
    watch_until_stopped(w, interval, &open_mask);
    if (w->inotify >= 0)
        close(w->inotify);
    return MR_EXIT_CONFORMS;
}
