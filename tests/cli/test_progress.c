/* The line on the terminal: what it says, and that nothing but a terminal sees it. */
#include "cli/progress.h"
#include "command_rig.h"

#include <criterion/criterion.h>
#include <errno.h>
#include <math.h>
#include <pty.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

TestSuite(progress, .init = cli_begin, .fini = cli_end);

static const char *line_of(enum mr_step step, bool figures, size_t done, size_t of, double spent, double expected) {
    static char line[160];
    mr_progress_text(step, figures, done, of, 2168044, spent, expected, line, sizeof line);
    return line;
}

Test(progress, the_line_says_stage_files_rows_and_what_is_left) {
    cr_expect_str_eq(line_of(MR_STEP_READ, false, 3, 44, 1.2, MR_NAN), "looking at files, 3 of 44, 1 s");
    cr_expect_str_eq(line_of(MR_STEP_NORMALISE, false, 12, 44, 3, 20),
                     "reading 2,168,044 rows, 12 of 44 files, 3 s, about 17 s left");
    cr_expect_str_eq(line_of(MR_STEP_ALIGN, false, 0, 0, 4, 57),
                     "placing 2,168,044 rows in time and zone, 4 s, about 55 s left");
    cr_expect_str_eq(line_of(MR_STEP_RENDER, true, 120, 1004, 20, 200),
                     "writing the report, 120 of 1004 parts, 20 s, about 3 min left");
    cr_expect_str_eq(line_of(MR_STEP_RENDER, false, 0, 1, 20, 19), "writing the report, 20 s");
}

/* Over the steps of a run the guess begins with none, moves with the clock and never lies behind it. */
Test(progress, what_is_expected_lies_ahead) {
    for (int figures = 0; figures < 2; figures++) {
        double last = 0;
        cr_expect(isnan(mr_progress_expected(MR_STEP_READ, figures, 0, 0, 1)));
        for (enum mr_step step = MR_STEP_NORMALISE; step < MR_STEP_COUNT; step++)
            for (size_t done = 0; done <= 10; done++) {
                const double expected = mr_progress_expected(step, figures, done, 10, 10);
                cr_assert(isnan(expected) || expected >= 10 - 1e-9, "step %d, %zu of 10", (int)step, done);
                cr_assert(isnan(expected) || last <= 0 || expected <= last + 1e-9, "more done, less to come");
                last = isnan(expected) ? last : expected;
            }
        cr_expect_float_eq(last, 10, 1e-6, "the shares of all steps make the whole");
    }
}

/* What a report of the sample writes to a terminal as its standard error. */
static size_t on_terminal(const char *options, char *out, size_t room) {
    char command[512];
    int terminal;
    size_t n = 0;
    cr_assert_not_null(getenv("MILRISE_BIN"));
    snprintf(command, sizeof command, "exec '%s' report %s --out %s/out sample-data/alder-ford-footbridge >/dev/null",
             getenv("MILRISE_BIN"), options, cli_dir);
    const pid_t pid = forkpty(&terminal, NULL, NULL, NULL);
    cr_assert_geq(pid, 0);
    if (pid == 0) {
        execl("/bin/sh", "sh", "-c", command, NULL);
        _exit(127);
    }
    for (ssize_t got; n + 1 < room && (got = read(terminal, out + n, room - n - 1)) > 0;)
        n += (size_t)got;
    out[n] = '\0';
    int status;
    waitpid(pid, &status, 0);
    close(terminal);
    cr_assert(WIFEXITED(status) && WEXITSTATUS(status) <= 1, "%s", out);
    return n;
}

static bool has_terminals(void) {
    int one, other;
    if (openpty(&one, &other, NULL, NULL, NULL) != 0) {
        printf("SKIPPED ALOUD: no terminal can be made here (%s); the line on it was not read\n", strerror(errno));
        return false;
    }
    close(one);
    close(other);
    return true;
}

Test(progress, a_terminal_sees_it_and_a_pipe_does_not) {
    static char out[1 << 16];
    char command[512];
    if (has_terminals()) {
        cr_assert_gt(on_terminal("", out, sizeof out), 0);
        cr_expect(strstr(out, "\033[2Kwriting the report"), "%s", out);
        cr_expect(strstr(out, "parts, "), "%s", out);
        cr_expect_null(strstr(on_terminal("--quiet", out, sizeof out) ? out : "", "\033["), "%s", out);
    }
    snprintf(command, sizeof command, "cp -r sample-data/alder-ford-footbridge %s/job", cli_dir);
    cr_assert_eq(system(command), 0);
    cr_assert_leq(cli_run("report job"), 1, "%s", cli_err);
    cr_expect_null(strstr(cli_err, "\033["), "%s", cli_err);
    cr_expect_null(strstr(cli_err, "writing the report"), "%s", cli_err);
}
