/*
 * cmd_watch.c - waits until what was dropped has settled, reports, and answers in the folder.
 *
 * The truth is what the folders hold: names, sizes and times, looked at again and again. inotify only wakes the
 * watcher early; on a network share, where it hears nothing of other machines, the looks come at a fixed interval. A
 * job is reported when its inputs have stood still for the settling time and are not those of its last report;
 * several at once, so that one that takes long keeps no other waiting.
 */
#include "cli/cli.h"
#include "cli/job_folders.h"
#include "cli/watch_runs.h"

#include "base/text_set.h"

#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <string.h>
#include <sys/inotify.h>
#include <unistd.h>

enum { SETTLE_S = 5, POLL_S = 10, LOCAL_POLL_S = 60, RUNNING_MS = 50 };

static volatile sig_atomic_t stop;

static void on_signal(int number) {
    (void)number;
    stop = 1;
}

struct watcher {
    struct mr_watch_runs runs; /* first: what is under way is handed back to mr_watch_start's look */
    const struct mr_cli_options *options;
    struct mr_text_set known; /* folders, each with the number of its job */
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
    struct mr_text_entry *known = mr_text_entry(&w->known, dir, strlen(dir));
    if (known->text)
        return known->at;
    struct mr_watched fresh = {.dir = mr_strdup(w->runs.arena, dir), .since_ms = mr_now_ms()};
    *known = (struct mr_text_entry){fresh.dir, w->runs.jobs.n};
    struct mr_job_state state;
    struct mr_arena *scratch = mr_arena_like(w->runs.arena);
    mr_job_state_load(scratch, dir, &state);
    if (strcmp(state.program, w->program) == 0 && !state.fresh && mr_job_answered(scratch, dir, &state))
        memcpy(fresh.answered, state.inputs, sizeof fresh.answered);
    mr_arena_free(scratch);
    MR_PUSH(w->runs.arena, &w->runs.jobs, fresh);
    return w->runs.jobs.n - 1;
}

/* Marks the job as ready where it is. */
static void look_at(struct watcher *w, struct mr_arena *arena, size_t index) {
    struct mr_watched *job = &w->runs.jobs.v[index];
    struct mr_job_inputs now;
    const int64_t settle = (int64_t)(w->options->settle_s ? w->options->settle_s : SETTLE_S) * 1000;
    job->ready = false;
    if (mr_job_inputs(arena, job->dir, 0, listen_to, w, &now) != 0) {
        mr_watch_look_by(&w->runs, settle);
        return;
    }
    job->size = now.size;
    if (strcmp(now.hash, job->seen) != 0) {
        memcpy(job->seen, now.hash, sizeof job->seen);
        job->since_ms = mr_now_ms();
    }
    if (job->running || strcmp(job->seen, job->answered) == 0)
        return;
    const int64_t ready_ms =
        job->since_ms + settle > job->not_before_ms ? job->since_ms + settle : job->not_before_ms;
    job->ready = mr_now_ms() >= ready_ms;
    if (!job->ready)
        mr_watch_look_by(&w->runs, ready_ms - mr_now_ms());
}

/* A job may have waited long for its turn: what counts is how its files are now. */
static bool look_again(struct mr_watch_runs *runs, size_t index) {
    struct watcher *w = (struct watcher *)(void *)runs;
    struct mr_arena *scratch = mr_arena_like(runs->arena);
    look_at(w, scratch, index);
    mr_arena_free(scratch);
    const bool ready = runs->jobs.v[index].ready;
    runs->jobs.v[index].ready = false;
    return ready;
}

static void look_in(struct watcher *w, struct mr_arena *arena, const char *root) {
    struct mr_job_folders found;
    if (mr_job_folders(arena, root, &found, listen_to, w) != 0)
        return; /* a share that is away may come back */
    for (size_t i = 0; i < found.jobs.n + found.fresh.n && !stop; i++) {
        const bool fresh = i >= found.jobs.n;
        const size_t index = watched_of(w, fresh ? found.fresh.v[i - found.jobs.n] : found.jobs.v[i]);
        w->runs.jobs.v[index].fresh = fresh;
        look_at(w, arena, index);
    }
}

static void look_everywhere(struct watcher *w, int64_t interval_ms) {
    struct mr_arena *look = mr_arena_like(w->runs.arena);
    w->runs.look_by_ms = mr_now_ms() + interval_ms;
    for (int i = 0; i < w->options->n_paths; i++)
        look_in(w, look, w->options->paths[i]);
    mr_arena_free(look);
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

/* A process that ends is followed by a look at its own job, for what came in meanwhile, and by the next one that
 * waits: however many folders there are, an end costs no look at all of them. */
static size_t take_ends(struct watcher *w) {
    size_t ended[MR_WATCH_MOST], n;
    mr_watch_poll(&w->runs, ended, &n);
    for (size_t i = 0; i < n; i++) {
        struct mr_arena *look = mr_arena_like(w->runs.arena);
        look_at(w, look, ended[i]);
        mr_arena_free(look);
    }
    return mr_watch_start(&w->runs, look_again);
}

static void watch_until_stopped(struct watcher *w, int64_t interval_ms, const sigset_t *open_mask) {
    int64_t took_ms = 0;
    while (!stop) {
        size_t running = take_ends(w);
        const int64_t now_ms = mr_now_ms();
        if (now_ms >= w->runs.look_by_ms) {
            look_everywhere(w, interval_ms);
            took_ms = mr_now_ms() - now_ms;
            running = mr_watch_start(&w->runs, look_again);
        }
        const int64_t wait_ms = w->runs.look_by_ms - mr_now_ms();
        /* While files pour in, looks take no more than a part of the time. */
        if (wait_for(w, running && wait_ms > RUNNING_MS ? RUNNING_MS : wait_ms, open_mask))
            mr_watch_look_by(&w->runs, 2 * took_ms + RUNNING_MS);
    }
    mr_watch_end(&w->runs);
}

static bool all_local(const struct mr_cli_options *o) {
    for (int i = 0; i < o->n_paths; i++)
        if (mr_is_remote(o->paths[i]))
            return false;
    return true;
}

int mr_cmd_watch(struct mr_arena *arena, const struct mr_cli_options *o) {
    struct watcher *w = MR_NEW(arena, struct watcher);
    *w = (struct watcher){.runs = {.arena = arena, .quiet = o->quiet, .slots = mr_watch_slots()},
                          .options = o,
                          .known = {.arena = arena},
                          .inotify = -1};
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
