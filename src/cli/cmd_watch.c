/*
 * cmd_watch.c - waits until what was dropped has settled, reports, and answers in the folder.
 *
 * The truth is what the folders hold: names, sizes and times, looked at again and again. inotify only wakes the
 * watcher early; on a network share, where it hears nothing of other machines, the looks come at a fixed interval. A
 * job is reported when its inputs have stood still for the settling time and are not those of its last report.
 */
#include "cli/cli.h"
#include "cli/job_files.h"
#include "cli/job_folders.h"
#include "cli/job_run.h"

#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <string.h>
#include <sys/inotify.h>
#include <sys/vfs.h>
#include <unistd.h>

enum { SETTLE_S = 5, POLL_S = 10, LOCAL_POLL_S = 60, RUN_S = 900, RUN_MIB = 4096 };

static volatile sig_atomic_t stop;

static void on_signal(int number) {
    (void)number;
    stop = 1;
}

struct watched {
    const char *dir;
    char seen[MR_HASH_TEXT]; /* at the last look */
    char answered[MR_HASH_TEXT];
    int64_t since_ms; /* seen has stood still since then */
};

struct watcher {
    struct mr_arena *arena; /* for what stays; each look has its own */
    const struct mr_cli_options *options;
    MR_VEC(struct watched) jobs;
    int inotify;
    char program[MR_HASH_TEXT];
};

/* Whether changes by other machines go unheard: network and user-space file systems (statfs(2), linux/magic.h). */
static bool is_remote(const char *folder) {
    static const unsigned long remote[] = {0x6969,     0xff534d42, 0xfe534d42, 0x517b,
                                           0x65735546, 0x01021997, 0x00c36400, 0x5346414f};
    struct statfs fs;
    if (statfs(folder, &fs) != 0)
        return true;
    for (size_t i = 0; i < MR_COUNT(remote); i++)
        if ((unsigned long)fs.f_type == remote[i])
            return true;
    return false;
}

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

static struct watched *watched_of(struct watcher *w, const char *dir) {
    for (size_t i = 0; i < w->jobs.n; i++)
        if (strcmp(w->jobs.v[i].dir, dir) == 0)
            return &w->jobs.v[i];
    struct watched fresh = {.dir = mr_strdup(w->arena, dir), .since_ms = mr_now_ms()};
    struct mr_job_state state;
    mr_job_state_load(w->arena, dir, &state);
    if (strcmp(state.program, w->program) == 0)
        memcpy(fresh.answered, state.inputs, sizeof fresh.answered);
    MR_PUSH(w->arena, &w->jobs, fresh);
    return &w->jobs.v[w->jobs.n - 1];
}

static int tell(const struct watcher *w, struct mr_arena *arena, const char *dir, const char *text) {
    return w->options->quiet ? 0 : mr_cli_out(mr_printf(arena, "%s  %s: %s\n", mr_now_text(arena), dir, text));
}

static void answer(struct watcher *w, struct mr_arena *arena, struct watched *job) {
    struct mr_job_run run;
    struct mr_run_limits limits = {RUN_S, RUN_MIB, 0};
    enum mr_run_step step = mr_run_start(arena, job->dir, limits, &run);
    if (step == MR_RUN_BUSY)
        return; /* the other one answers; looked at again later */
    if (step == MR_RUN_STARTED)
        mr_run_wait(arena, &run);
    memcpy(job->answered, job->seen, sizeof job->answered);
    tell(w, arena, job->dir, mr_job_state_text(&run.state));
}

/* Returns: ms until the job is worth another look, at most a long time. */
static int64_t look_at(struct watcher *w, struct mr_arena *arena, struct watched *job, bool fresh) {
    char now[MR_HASH_TEXT];
    int64_t settle = (int64_t)(w->options->settle_s ? w->options->settle_s : SETTLE_S) * 1000;
    if (mr_job_inputs(arena, job->dir, now, listen_to, w) < 0)
        return settle;
    if (strcmp(now, job->seen) != 0) {
        memcpy(job->seen, now, sizeof now);
        job->since_ms = mr_now_ms();
    }
    if (strcmp(job->seen, job->answered) == 0)
        return INT64_MAX;
    int64_t still = mr_now_ms() - job->since_ms;
    if (still < settle)
        return settle - still;
    if (fresh) { /* only now: the job file may be the last of a folder that is copied in */
        if (mr_job_files_make(arena, job->dir, true, false) != NULL)
            return settle;
        tell(w, arena, job->dir, "new folder: a job file to fill in was added");
        mr_job_inputs(arena, job->dir, job->seen, NULL, NULL);
    }
    answer(w, arena, job);
    return settle;
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

static void wait_for(struct watcher *w, int64_t wait_ms, const sigset_t *open_mask) {
    char events[4096];
    struct timespec time = {.tv_sec = wait_ms / 1000, .tv_nsec = wait_ms % 1000 * 1000000};
    struct pollfd heard = {.fd = w->inotify, .events = POLLIN};
    if (ppoll(&heard, w->inotify >= 0 ? 1 : 0, &time, open_mask) > 0)
        while (read(w->inotify, events, sizeof events) > 0) {
        }
}

static bool all_local(const struct mr_cli_options *o) {
    for (int i = 0; i < o->n_paths; i++)
        if (is_remote(o->paths[i]))
            return false;
    return true;
}

int mr_cmd_watch(struct mr_arena *arena, const struct mr_cli_options *o) {
    struct watcher w = {.arena = arena, .options = o, .inotify = -1};
    mr_program_print(arena, w.program);
    for (int i = 0; i < o->n_paths; i++)
        if (access(o->paths[i], R_OK | X_OK) != 0) {
            fprintf(stderr, "milrise watch: %s: %s\n", o->paths[i], strerror(errno));
            return MR_EXIT_USAGE;
        }
    bool local = !o->poll_s && all_local(o);
    if (local)
        w.inotify = inotify_init1(IN_CLOEXEC | IN_NONBLOCK);
    int64_t interval = (int64_t)(o->poll_s ? o->poll_s : local ? LOCAL_POLL_S : POLL_S) * 1000;
    struct sigaction act = {.sa_handler = on_signal};
    sigset_t closed, open_mask;
    sigemptyset(&closed);
    sigaddset(&closed, SIGTERM);
    sigaddset(&closed, SIGINT);
    sigprocmask(SIG_BLOCK, &closed, &open_mask); /* a signal is taken between two looks, never within one */
    sigaction(SIGTERM, &act, NULL);
    sigaction(SIGINT, &act, NULL);
    while (!stop) {
        struct mr_arena *look = mr_arena_like(arena);
        int64_t wait_ms = interval;
        for (int i = 0; i < o->n_paths; i++)
            look_in(&w, look, o->paths[i], &wait_ms);
        mr_arena_free(look);
        wait_for(&w, wait_ms, &open_mask);
    }
    if (w.inotify >= 0)
        close(w.inotify);
    return MR_EXIT_CONFORMS;
}
