#include "cli/own_process.h"

#include <errno.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

static volatile sig_atomic_t child;

static void pass_on(int number) {
    const int saved = errno;
    if (child > 0)
        kill((pid_t)child, number);
    errno = saved;
}

/* Ctrl-C reaches both; what is sent to the parent alone is passed on. The parent outlives the child to tell how it
 * ended. */
static void wait_with(pid_t pid, int *status) {
    struct sigaction pass = {.sa_handler = pass_on}, ignore = {.sa_handler = SIG_IGN}, term, hup, interrupt, quit;
    child = (sig_atomic_t)pid;
    sigaction(SIGTERM, &pass, &term);
    sigaction(SIGHUP, &pass, &hup);
    sigaction(SIGINT, &ignore, &interrupt);
    sigaction(SIGQUIT, &ignore, &quit);
    while (waitpid(pid, status, 0) < 0 && errno == EINTR) {
    }
    child = 0;
    sigaction(SIGTERM, &term, NULL);
    sigaction(SIGHUP, &hup, NULL);
    sigaction(SIGINT, &interrupt, NULL);
    sigaction(SIGQUIT, &quit, NULL);
}

/* The parent tells of these, and a core can be had. */
static void default_signals(void) {
    static const int signals[] = {SIGABRT, SIGTRAP, SIGSEGV, SIGBUS, SIGFPE, SIGILL};
    for (size_t i = 0; i < MR_COUNT(signals); i++)
        signal(signals[i], SIG_DFL);
}

static bool asked_to_end(int number) {
    return number == SIGINT || number == SIGTERM || number == SIGHUP || number == SIGQUIT;
}

int mr_own_process(int (*run)(struct mr_arena *arena, const struct mr_cli_options *o), struct mr_arena *arena,
                   const struct mr_cli_options *o, const char **broken) {
    *broken = "";
    fflush(NULL);
    const pid_t parent = getpid(), pid = fork();
    if (pid < 0)
        return run(arena, o);
    if (pid == 0) {
        prctl(PR_SET_PDEATHSIG, SIGKILL);
        default_signals();
        if (getppid() != parent)
            _exit(MR_EXIT_BUG);
        const int result = run(arena, o);
        mr_arena_free(arena);
        exit(result);
    }
    int status = MR_EXIT_BUG << 8;
    wait_with(pid, &status);
    if (WIFSIGNALED(status) && asked_to_end(WTERMSIG(status))) {
        signal(WTERMSIG(status), SIG_DFL);
        raise(WTERMSIG(status));
    }
    if (WIFSIGNALED(status))
        *broken = mr_printf(arena, "the run was ended by signal %d (%s), most likely for want of memory",
                            WTERMSIG(status), strsignal(WTERMSIG(status)));
    else if (WEXITSTATUS(status) == MR_EXIT_BUG)
        *broken = "memory ran out, or the program made a mistake";
    return WIFSIGNALED(status) ? MR_EXIT_BUG : WEXITSTATUS(status);
}
