/*
 * job_run.c - see job_run.h. The report runs in a child of its own, so that a hostile job can take neither time nor
 * memory from others; the parent holds the lock and writes down how it ended.
 */
#include "cli/job_run.h"

#include "cli/console.h"
#include "cli/job_lock.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

int64_t mr_now_ms(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

const char *mr_now_text(struct mr_arena *arena) {
    time_t now = mr_cli_now();
    struct tm utc;
    gmtime_r(&now, &utc);
    return mr_printf(arena, "%04d-%02d-%02d %02d:%02d UTC", utc.tm_year + 1900, utc.tm_mon + 1, utc.tm_mday,
                     utc.tm_hour, utc.tm_min);
}

static void limit(__rlimit_resource_t what, rlim_t most) {
    struct rlimit r;
    if (getrlimit(what, &r) != 0)
        return;
    r.rlim_cur = r.rlim_max == RLIM_INFINITY || most < r.rlim_max ? most : r.rlim_max;
    if (setrlimit(what, &r) != 0)
        _exit(MR_EXIT_OUTPUT); /* rather no report than one without a bound */
}

/* In the child: from here on only what is safe after a fork. */
static void become_report(const struct mr_job_run *run, char *threads) {
    char *argv[] = {(char *)(uintptr_t) "milrise",
                    (char *)(uintptr_t) "report",
                    (char *)(uintptr_t) "--quiet",
                    threads,
                    (char *)(uintptr_t) "--",
                    (char *)(uintptr_t)run->dir,
                    NULL};
    sigset_t none;
    sigemptyset(&none);
    sigprocmask(SIG_SETMASK, &none, NULL);
    fcntl(run->lock_fd, F_SETFD, 0); /* the job stays locked while the report runs, even where the parent dies */
    int nowhere = open("/dev/null", O_RDWR);
    if (nowhere < 0 || dup2(nowhere, 0) < 0 || dup2(nowhere, 1) < 0 || dup2(nowhere, 2) < 0)
        _exit(MR_EXIT_OUTPUT);
    if (nowhere > 2)
        close(nowhere);
#ifndef MR_ARENA_SEPARATE /* the address sanitizer reserves terabytes of addresses that it never fills */
    limit(RLIMIT_AS, (rlim_t)run->limits.mib << 20);
#endif
    const long processors = sysconf(_SC_NPROCESSORS_ONLN); /* time of the clock may be spent on each of them */
    limit(RLIMIT_CPU, (rlim_t)(run->limits.seconds + 1) * (rlim_t)(processors > 0 ? processors : 1));
    limit(RLIMIT_CORE, 0);
    setpgid(0, 0); /* a Ctrl-C at the terminal is for the parent, which ends its children in order */
    execv("/proc/self/exe", argv);
    _exit(MR_EXIT_BUG);
}

enum mr_run_step mr_run_start(struct mr_arena *arena, const char *dir, struct mr_run_limits limits,
                              struct mr_job_run *out) {
    *out = (struct mr_job_run){.dir = dir, .limits = limits, .lock_fd = -1};
    mr_job_state_load(arena, dir, &out->state);
    out->lock_fd = mr_job_lock(arena, dir, limits.seconds + 60, &out->lease);
    if (out->lock_fd < 0 && errno == EAGAIN)
        return MR_RUN_BUSY;
    if (out->lock_fd < 0) {
        out->state.failure = errno == ELOOP
                                 ? "reports is a link, which may lead out of the job"
                                 : mr_printf(arena, "reports cannot be written: %s", strerrordesc_np(errno));
        out->state.exit_status = MR_EXIT_OUTPUT;
        return MR_RUN_FAILED;
    }
    mr_job_inputs(arena, dir, out->state.inputs, NULL, NULL);
    if (mr_job_content(arena, dir, out->state.content) != 0)
        out->state.content[0] = '\0';
    mr_program_print(arena, out->state.program);
    char *threads = limits.threads ? mr_printf(arena, "--threads=%u", limits.threads) : mr_strdup(arena, "--quiet");
    out->started_ms = mr_now_ms();
    out->pid = fork();
    if (out->pid == 0)
        become_report(out, threads);
    if (out->pid > 0)
        return MR_RUN_STARTED;
    mr_job_unlock(out->lock_fd, out->lease);
    out->state.failure = "no process could be started";
    out->state.exit_status = MR_EXIT_OUTPUT;
    return MR_RUN_FAILED;
}

static const char *failure_of(struct mr_arena *arena, const struct mr_job_run *run, int status) {
    if (run->over_time)
        return mr_printf(arena, "ended after %u s, the limit of time", run->limits.seconds);
    if (WIFSIGNALED(status))
        return mr_printf(arena, "ended by signal %d", WTERMSIG(status));
    switch (WEXITSTATUS(status)) {
    case MR_EXIT_CONFORMS:
    case MR_EXIT_OPEN:
        return "";
    case MR_EXIT_USAGE:
        return "mistake in the job file";
    case MR_EXIT_NO_INPUT:
        return "nothing to judge";
    case MR_EXIT_OUTPUT:
        return "the report could not be written";
    case MR_EXIT_BUG:
        return "memory ran out, or milrise made a mistake";
    case 127: /* by the dynamic loader */
        return "could not be started: the limit of memory may be too low";
    default:
        return "milrise failed";
    }
}

static void finish(struct mr_arena *arena, struct mr_job_run *run, int status) {
    struct mr_job_state *s = &run->state;
    const char *before = mr_job_state_text(s);
    bool first = s->exit_status < 0;
    s->failure = failure_of(arena, run, status);
    bool told = WIFEXITED(status) && !run->over_time && WEXITSTATUS(status) <= MR_EXIT_BUG;
    s->exit_status = told ? WEXITSTATUS(status) : MR_EXIT_OUTPUT;
    if (!*s->failure)
        mr_job_state_take(arena, run->dir, s);
    if (first || strcmp(before, mr_job_state_text(s)) != 0) {
        s->before = first ? "" : before;
        s->since = mr_now_text(arena);
    }
    if (!run->over_time && (WIFSIGNALED(status) || s->exit_status == MR_EXIT_BUG))
        s->inputs[0] = s->content[0] = '\0'; /* to be tried again */
    enum mr_status saved = mr_job_state_save(arena, run->dir, s);
    (void)saved; /* a state that is lost costs one report */
    mr_job_unlock(run->lock_fd, run->lease);
    run->pid = 0;
}

bool mr_run_poll(struct mr_arena *arena, struct mr_job_run *run) {
    int status;
    pid_t ended = waitpid(run->pid, &status, WNOHANG);
    if (ended == run->pid) {
        finish(arena, run, status);
        return true;
    }
    if (mr_now_ms() - run->started_ms > (int64_t)run->limits.seconds * 1000) {
        run->over_time = true;
        kill(run->pid, SIGKILL);
    }
    return false;
}

void mr_run_wait(struct mr_arena *arena, struct mr_job_run *run) {
    struct timespec pause = {0, 20000000};
    while (!mr_run_poll(arena, run))
        nanosleep(&pause, NULL);
}
