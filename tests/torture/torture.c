/*
 * torture.c - every system call of a whole report fails in its turn, once and from then on, comes short, or is the
 * last; then every allocation. What stands in the reports folder is one whole report or the one before, inputs and
 * surroundings are as they were, the status says what happened, and the next run leaves nothing over.
 *
 *   torture MILRISE ALLOC_FAULT.so FOLDER SECONDS [CLASS]     FOLDER is made new; CLASS: open, write, ... memory
 * alone Exit 1: violations; 77: no tracing here.
 */
#include "stage.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>

static struct traced run_fault(const struct fault *f, const char *threads) {
    struct traced r;
    stage_fresh();
    char *argv[] = {(char *)stage_milrise(),
                    (char *)"report",
                    (char *)"--threads",
                    (char *)threads,
                    (char *)stage_job(),
                    (char *)(*stage_options() ? stage_options() : NULL),
                    NULL};
    if (!trace_run(argv, stage_err(), f, &r)) {
        printf("SKIPPED ALOUD: this system does not let a program be traced\n");
        exit(77);
    }
    return r;
}

static void torture(const char *call, const char *threads, double until) {
    static const struct {
        enum fault_way way;
        int error;
    } ways[] = {{FAULT_ONCE, EIO},   {FAULT_ONCE, ENOSPC}, {FAULT_ONCE, EACCES}, {FAULT_ONCE, EMFILE},
                {FAULT_ONCE, EINTR}, {FAULT_ON, EIO},      {FAULT_ON, ENOSPC},   {FAULT_ON, EACCES},
                {FAULT_KILL, 0},     {FAULT_SHORT, 0}};
    const size_t n_ways = sizeof ways / sizeof ways[0];
    struct fault count = {.call = call, .way = FAULT_NONE, .after = "/job.milrise"};
    const size_t total = run_fault(&count, threads).calls;
    size_t done = 0;
    for (size_t i = 0; i < total * n_ways && stage_seconds() < until; i++) {
        const size_t at = stage_spread(i, total * n_ways) - 1, way = at % n_ways;
        struct fault f = {call, at / n_ways + 1, ways[way].error, ways[way].way, "/job.milrise"};
        const bool can_be_short = strcmp(call, "read") == 0 || strcmp(call, "write") == 0;
        if (f.way == FAULT_SHORT && !can_be_short)
            continue;
        if (strcmp(call, "mmap") == 0 && f.error)
            f.error = ENOMEM;
        if (strcmp(call, "clone") == 0 && f.error)
            f.error = EAGAIN;
        const struct traced r = run_fault(&f, threads);
        stage_judge(&f, &r);
        done++;
    }
    printf("%-8s %-12s %6zu calls, %6zu of %6zu faults tried\n", call,
           *stage_options() ? stage_options() : "with charts", total, done,
           total * (n_ways - (strcmp(call, "read") && strcmp(call, "write"))));
    fflush(stdout);
}

/* The n-th allocation fails, once or from there on; 0 counts them. */
static size_t run_alloc(const char *preload, size_t nth, bool onwards, struct traced *out) {
    char count[600], text[64];
    stage_fresh();
    snprintf(count, sizeof count, "%s.count", stage_err());
    const int status = stage_shell("timeout %d env LD_PRELOAD='%s' MILRISE_ALLOC_NTH=%zu%s MILRISE_ALLOC_COUNT='%s' "
                                   "'%s' report --threads 1 '%s' %s "
                                   ">'%s' 2>&1",
                                   RUN_SECONDS_MOST, preload, nth, onwards ? "+" : "", count, stage_milrise(),
                                   stage_job(), stage_options(), stage_err());
    *out = (struct traced){.status = status, .signalled = status >= 128};
    stage_slurp(count, text, sizeof text);
    return strtoul(text, NULL, 10);
}

static void torture_memory(const char *preload, double until) {
    struct traced r;
    const size_t total = run_alloc(preload, 0, false, &r);
    size_t done = 0;
    for (size_t i = 0; i < 2 * total && stage_seconds() < until; i++) {
        const size_t at = stage_spread(i, 2 * total) - 1;
        const struct fault f = {"memory", at / 2 + 1, 0, at % 2 ? FAULT_ON : FAULT_ONCE, ""};
        run_alloc(preload, f.nth, f.way == FAULT_ON, &r);
        stage_judge(&f, &r);
        done++;
    }
    printf("%-8s %-12s %6zu calls, %6zu of %6zu faults tried\n", "memory",
           *stage_options() ? stage_options() : "with charts", total, done, 2 * total);
    fflush(stdout);
}

/* The classes share the seconds: half for a report without charts, half with them and by two threads. */
int main(int argc, char **argv) {
    if (argc < 5)
        return 2;
    const char *only = argc > 5 ? argv[5] : "";
    const double all = atof(argv[4]), begin = stage_seconds();
    stage_begin(argv[1], argv[3]);
    for (size_t half = 0; half < 2; half++) {
        const double from = begin + 0.5 * all * (double)half, share = 0.5 * all;
        stage_set(half ? "" : "--no-charts");
        for (size_t i = 0; i < trace_call_count; i++)
            if (!*only || strcmp(only, trace_calls[i]) == 0)
                torture(trace_calls[i], half ? "2" : "1",
                        *only ? from + share : from + 0.8 * share * (double)(i + 1) / (double)trace_call_count);
        if (!*only || strcmp(only, "memory") == 0)
            torture_memory(argv[2], from + share);
    }
    return stage_end();
}
