/*
 * job_run.c - see job_run.h. The report runs in a child of its own, so that a hostile job can take neither time nor
 * memory from others; the parent holds the lock and writes down how it ended.
 */
#include "cli/job_run.h"

#include "base/outfile.h"
#include "cli/console.h"
#include "cli/job_folders.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/prctl.h>
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

/* In the child. The bytes are read here and not by the parent: a file that takes an hour to read costs its own job.
 */
static void tell_content(struct mr_arena *arena, const struct mr_job_run *run) {
    if (mr_job_content(arena, run->dir, run->told->content) != 0)
        run->told->content[0] = '\0';
    run->told->same = run->may_be_same && strcmp(run->told->content, run->state.content) == 0;
    if (run->told->same)
        _exit(MR_EXIT_CONFORMS);
}

static void become_report(struct mr_arena *arena, const struct mr_job_run *run, pid_t parent, char *threads) {
    char *argv[] = {(char *)(uintptr_t) "milrise",
                    (char *)(uintptr_t) "report",
                    (char *)(uintptr_t) "--quiet",
                    threads,
                    (char *)(uintptr_t) "--",
                    (char *)(uintptr_t)run->dir,
                    NULL};
    sigset_t none;
    setpgid(0, 0);                    /* a Ctrl-C at the terminal is for the parent */
    prctl(PR_SET_PDEATHSIG, SIGKILL); /* nobody would write down how it ended, nor end it when its time is up */
    if (getppid() != parent)
        _exit(MR_EXIT_OUTPUT);
    sigemptyset(&none);
    sigprocmask(SIG_SETMASK, &none, NULL);
    signal(SIGTERM, SIG_DFL);
    signal(SIGINT, SIG_DFL);
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
    tell_content(arena, run);
    if (run->lock.fd >= 0)
        fcntl(run->lock.fd, F_SETFD, 0); /* until the last of the report's processes is gone the job stays locked */
    execv("/proc/self/exe", argv);
    _exit(MR_EXIT_BUG);
}

static enum mr_run_step failed(struct mr_job_run *run, const char *why) {
    run->state.failure = why;
    run->state.exit_status = MR_EXIT_OUTPUT;
    return MR_RUN_FAILED;
}

static bool share_memory(struct mr_job_run *run) {
    run->told = mmap(NULL, sizeof *run->told, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (run->told != MAP_FAILED)
        return true;
    run->told = NULL;
    return false;
}

static void give_back(struct mr_job_run *run) {
    if (run->told)
        munmap(run->told, sizeof *run->told);
    run->told = NULL;
    run->pid = 0;
    mr_job_unlock(&run->lock);
}

enum mr_run_step mr_run_start(struct mr_arena *arena, const char *dir, struct mr_run_limits limits,
                              struct mr_job_run *out) {
    struct mr_job_inputs inputs;
    char program[MR_HASH_TEXT];
    int64_t now_s;
    *out = (struct mr_job_run){.dir = dir, .limits = limits, .lock = {.fd = -1, .lease_fd = -1, .folder_fd = -1}};
    mr_job_state_load(arena, dir, &out->state);
    if (!mr_job_lock(arena, dir, &out->lock)) {
        if (errno == EAGAIN)
            return MR_RUN_BUSY;
        return failed(out, errno == ELOOP
                               ? "reports is a link, which may lead out of the job"
                               : mr_printf(arena, "reports cannot be written: %s", strerrordesc_np(errno)));
    }
    mr_job_state_load(arena, dir, &out->state); /* another may have reported until now */
    mr_job_lock_renew(&out->lock, &now_s);
    mr_program_print(arena, program);
    out->may_be_same = strcmp(out->state.program, program) == 0 && *out->state.content &&
                       out->state.exit_status >= 0 && mr_job_answered(arena, dir, &out->state);
    struct mr_arena *scratch = mr_arena_like(arena);
    mr_job_inputs(scratch, dir, now_s, NULL, NULL, &inputs);
    mr_arena_free(scratch);
    memcpy(out->state.inputs, inputs.hash, sizeof out->state.inputs);
    memcpy(out->state.program, program, sizeof out->state.program);
    out->state.fresh = inputs.fresh;
    char *threads = limits.threads ? mr_printf(arena, "--threads=%u", limits.threads) : mr_strdup(arena, "--quiet");
    out->started_ms = out->renewed_ms = mr_now_ms();
    const pid_t parent = getpid();
    out->pid = share_memory(out) ? fork() : -1;
    if (out->pid == 0)
        become_report(arena, out, parent, threads);
    if (out->pid > 0)
        return MR_RUN_STARTED;
    give_back(out);
    return failed(out, "no process could be started");
}

static const char *failure_of(struct mr_arena *arena, const struct mr_job_run *run, int status) {
    if (run->lost)
        return "ended: another machine took the job over";
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
        return "the report or the answer could not be written";
    case MR_EXIT_BUG:
        return "memory ran out, or milrise made a mistake";
    case 127: /* by the dynamic loader */
        return "could not be started: the limit of memory may be too low";
    default:
        return "milrise failed";
    }
}

/* The first line of what the note beside the reports says. */
static const char *with_reason(struct mr_arena *arena, const char *dir, const char *failure) {
    enum { NOTE_MOST = 1 << 20, REASON_MOST = 240 };
    const char *folder, *reason = NULL;
    char *text;
    size_t n;
    const int fd = mr_own_folder(arena, dir, MR_REPORTS, false, &folder);
    if (fd >= 0 &&
        mr_file_slurp_own(arena, mr_printf(arena, "%s/" MR_NOT_PUBLISHED, folder), NOTE_MOST, &text, &n) == MR_OK)
        reason = strstr(text, MR_REASON_HEAD);
    if (fd >= 0)
        close(fd);
    if (!reason)
        return failure;
    reason += strlen(MR_REASON_HEAD);
    return mr_printf(arena, "%s: %s", failure, mr_clean_text(arena, reason, strcspn(reason, "\n"), REASON_MOST));
}

void mr_broken_note(struct mr_arena *arena, const char *dir, const char *out, const char *now, const char *why,
                    const char *mend) {
    if (!mr_is_job(arena, dir))
        return;
    struct mr_diags diags;
    mr_diags_init(&diags, arena);
    mr_diag_add(&diags, MR_ERROR, "broken-off", (struct mr_place){0}, NULL, mend, "%s", why);
    mr_render_not_published(arena, dir, out, now, mr_diag_line(arena, &diags.list.v[0]), &diags);
    const struct mr_answer answer = {
        .dir = dir, .status = MR_E_BUG, .when = now, .version = MR_VERSION, .diags = &diags};
    struct mr_diags of_pages;
    mr_diags_init(&of_pages, arena);
    if (!out && mr_answer_write(arena, &answer, &of_pages) != MR_OK)
        mr_cli_diags(arena, &of_pages, MR_ERROR);
}

static const char *outcome_of(struct mr_arena *arena, struct mr_job_run *run, int status) {
    struct mr_job_state *s = &run->state;
    s->failure = failure_of(arena, run, status);
    const bool told = WIFEXITED(status) && !run->over_time && WEXITSTATUS(status) <= MR_EXIT_BUG;
    s->exit_status = told ? WEXITSTATUS(status) : MR_EXIT_OUTPUT;
    if (access(run->dir, F_OK) != 0)
        s->failure = "the folder was renamed or removed while it was reported";
    else if (!*s->failure)
        mr_job_state_take(arena, run->dir, s);
    else if (told && s->exit_status != MR_EXIT_NO_INPUT)
        s->failure = with_reason(arena, run->dir, s->failure);
    if (!told && !run->lost)
        mr_broken_note(arena, run->dir, NULL, mr_now_text(arena), mr_printf(arena, "no report: %s", s->failure),
                       "Look for a file in the folder that is no export, or is very large, and take it out.");
    return mr_job_state_text(s);
}

static void finish(struct mr_arena *arena, struct mr_job_run *run, int status) {
    struct mr_job_state *s = &run->state;
    const char *before = mr_job_state_text(s);
    const bool first = s->exit_status < 0;
    run->same = run->told->same;
    if (!run->same) {
        if (strcmp(before, outcome_of(arena, run, status)) != 0 || first) {
            s->before = first ? "" : before;
            s->since = mr_now_text(arena);
        }
        memcpy(s->content, run->told->content, sizeof s->content);
        s->fresh = s->fresh && *s->content; /* what could not be read in its time is not tried again unchanged */
        if (!run->over_time && (WIFSIGNALED(status) || s->exit_status == MR_EXIT_BUG))
            s->inputs[0] = s->content[0] = '\0'; /* to be tried again */
    }
    enum mr_status saved = run->lost ? MR_OK : mr_job_state_save(arena, run->dir, s);
    (void)saved; /* a state that is lost costs one report */
    give_back(run);
}

static void kill_all(const struct mr_job_run *run) {
    if (kill(-run->pid, SIGKILL) != 0) /* its group; not there yet in its first moments */
        kill(run->pid, SIGKILL);
}

bool mr_run_poll(struct mr_arena *arena, struct mr_job_run *run) {
    int status;
    int64_t now_s;
    const int64_t now_ms = mr_now_ms();
    if (waitpid(run->pid, &status, WNOHANG) == run->pid) {
        finish(arena, run, status);
        return true;
    }
    if (now_ms - run->renewed_ms > MR_RENEW_S * 1000) {
        run->renewed_ms = now_ms;
        run->lost |= !mr_job_lock_renew(&run->lock, &now_s);
    }
    run->over_time |= now_ms - run->started_ms > (int64_t)run->limits.seconds * 1000;
    if (run->over_time || run->lost)
        kill_all(run);
    return false;
}

void mr_run_end(struct mr_job_run *run) {
    kill_all(run);
    while (waitpid(run->pid, NULL, 0) < 0 && errno == EINTR) {
    }
    give_back(run);
}
