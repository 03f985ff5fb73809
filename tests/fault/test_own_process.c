/* A report that its process does not survive: what the waiting parent makes of each end. */
#include "cli/own_process.h"
#include "milrise/render.h"

#include <criterion/criterion.h>
#include <errno.h>
#include <signal.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

static const char *broken;

static int end_by(int (*run)(struct mr_arena *, const struct mr_cli_options *)) {
    struct mr_cli_options options = {0};
    return mr_own_process(run, mr_arena_new(NULL, NULL), &options, &broken);
}

static int publishes(struct mr_arena *arena, const struct mr_cli_options *o) {
    (void)arena, (void)o;
    return MR_EXIT_OPEN;
}

static int lacks_memory(struct mr_arena *arena, const struct mr_cli_options *o) {
    (void)arena, (void)o;
    return MR_EXIT_BUG;
}

static int is_killed(struct mr_arena *arena, const struct mr_cli_options *o) {
    (void)arena, (void)o;
    raise(SIGKILL);
    return 0;
}

static int aborts(struct mr_arena *arena, const struct mr_cli_options *o) {
    (void)arena, (void)o;
    raise(SIGABRT);
    return 0;
}

static int waits(struct mr_arena *arena, const struct mr_cli_options *o) {
    (void)arena, (void)o;
    kill(getppid(), SIGTERM);
    sleep(60);
    return 0;
}

Test(own_process, an_exit_status_passes_through) {
    cr_expect_eq(end_by(publishes), MR_EXIT_OPEN);
    cr_expect_str_eq(broken, "");
}

Test(own_process, an_end_by_a_signal_or_for_memory_is_told) {
    cr_expect_eq(end_by(is_killed), MR_EXIT_BUG);
    cr_expect_not_null(strstr(broken, "signal 9 (Killed)"), "%s", broken);
    cr_expect_eq(end_by(aborts), MR_EXIT_BUG);
    cr_expect_not_null(strstr(broken, "signal 6"), "%s", broken);
    cr_expect_eq(end_by(lacks_memory), MR_EXIT_BUG);
    cr_expect_not_null(strstr(broken, "memory"), "%s", broken);
}

/* Setting text needs a thread; where none can be had that is told, and nothing aborts. */
Test(own_process, fonts_without_a_thread_are_an_error_in_words, .timeout = 60) {
    const pid_t pid = fork();
    if (pid == 0) {
        const struct rlimit none = {0, 0};
        const bool is_limited = setrlimit(RLIMIT_NPROC, &none) == 0 && (getuid() != 0 || setuid(65534) == 0);
        _exit(is_limited ? mr_render_fonts() : 0);
    }
    int status;
    cr_assert_eq(waitpid(pid, &status, 0), pid);
    cr_expect(WIFEXITED(status) && WEXITSTATUS(status) == EAGAIN, "%x", (unsigned)status);
}

/* A termination signal to the parent ends both, and the parent's caller sees it. */
Test(own_process, a_termination_is_passed_on) {
    const pid_t pid = fork();
    if (pid == 0)
        _exit(end_by(waits));
    int status;
    cr_assert_eq(waitpid(pid, &status, 0), pid);
    cr_expect(WIFSIGNALED(status) && WTERMSIG(status) == SIGTERM, "%x", (unsigned)status);
}
