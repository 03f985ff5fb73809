/*
 * torture.c - system calls of a whole report fail, come short, or are its last; then allocations. What stands in the
 * reports folder is one whole report or the one before, inputs and surroundings are as they were, the status says
 * what happened, and the next run leaves nothing over.
 *
 *   torture MILRISE ALLOC_FAULT.so FOLDER SECONDS [CLASS [stacks | every]]
 *
 * A way to a call is the return addresses on its stack, in two parts (stacks.h): through a library, and through the
 * program to where it enters the library. Of the ways as many are taken as it needs for each part to stand among
 * them; of each its first and its last call fail, once and from there on, with each error. Left out are the other
 * pairs of parts: what a library does with a failure hangs on its own part, what the program does with what the
 * library then gives back hangs on the other. "stacks" takes each pair, "every" each call. FOLDER is made new; CLASS:
 * open, write, ... memory, or all. Exit 1: violations; 77: no tracing here.
 */
#include "stage.h"

#include <errno.h>
#include <fcntl.h>
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/personality.h>
#include <sys/wait.h>
#include <unistd.h>

static size_t all_stacks, all_pairs_left, all_left_out;
static enum { COVER, STACKS, EVERY } which; /* calls that fail */

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

/* The calls to fail: of the ways chosen the first and the last, or all of them. */
static size_t *calls_of(struct stack_list *stacks, size_t total, size_t *n) {
    all_stacks += stacks->n;
    if (which == COVER)
        all_pairs_left += stack_cover(stacks);
    size_t *call = calloc(2 * stacks->n + total + 1, sizeof *call);
    *n = 0;
    for (size_t i = 0; which == EVERY && i < total; i++)
        call[(*n)++] = i + 1;
    for (size_t i = 0; which != EVERY && i < stacks->n; i++) {
        call[(*n)++] = stacks->v[i].first;
        if (stacks->v[i].last != stacks->v[i].first)
            call[(*n)++] = stacks->v[i].last;
    }
    return call;
}

static void tell(const char *class, size_t calls, size_t seen, size_t stacks, size_t done, size_t all) {
    printf("%-8s %-12s %7zu calls, %6zu stacks of %6zu, %7zu of %7zu faults tried\n", class,
           *stage_options() ? stage_options() : "with charts", calls, stacks, seen, done, all);
    fflush(stdout);
    all_left_out += all - done;
}

static void torture(const char *class, const char *threads, double until) {
    /* An interruption from then on is none of these: whoever is to try again would do so for ever. */
    static const struct {
        enum fault_way way;
        int error;
    } ways[] = {{FAULT_ONCE, EIO},   {FAULT_ONCE, ENOSPC}, {FAULT_ONCE, EACCES}, {FAULT_ONCE, EMFILE},
                {FAULT_ONCE, EINTR}, {FAULT_ON, EIO},      {FAULT_ON, ENOSPC},   {FAULT_ON, EACCES},
                {FAULT_ON, EMFILE},  {FAULT_KILL, 0},      {FAULT_SHORT, 0}};
    /* The kernel gives one reason alone for a lack of memory, and one for a lack of threads. */
    const int only = strcmp(class, "mmap") == 0 ? ENOMEM : strcmp(class, "clone") == 0 ? EAGAIN : 0;
    const bool can_be_short = strcmp(class, "read") == 0 || strcmp(class, "write") == 0;
    struct stack_list stacks = {0};
    struct fault count = {.call = class, .way = FAULT_NONE, .after = "/job.milrise", .stacks = &stacks};
    const size_t total = run_fault(&count, threads).calls;
    const size_t seen = stacks.n;
    size_t n, n_faults = 0, done = 0;
    size_t *call = calls_of(&stacks, total, &n);
    struct fault *fault = calloc(n * (sizeof ways / sizeof ways[0]) + 1, sizeof *fault);
    for (size_t i = 0; i < n; i++)
        for (size_t w = 0; w < sizeof ways / sizeof ways[0]; w++)
            if ((ways[w].way != FAULT_SHORT || can_be_short) && (!only || !ways[w].error || ways[w].error == EIO))
                fault[n_faults++] = (struct fault){.call = class,
                                                   .nth = call[i],
                                                   .error = only && ways[w].error ? only : ways[w].error,
                                                   .way = ways[w].way,
                                                   .after = "/job.milrise"};
    for (; done < n_faults && stage_seconds() < until; done++) {
        const struct fault *f = &fault[stage_spread(done, n_faults) - 1];
        const struct traced r = run_fault(f, threads);
        stage_judge(f, &r);
    }
    tell(class, total, seen, stacks.n, done, n_faults);
    free(fault);
    free(call);
    free(stacks.v);
}

static void read_ways(const char *path, struct stack_list *out) {
    FILE *f = fopen(path, "r");
    struct stack_seen s;
    while (f && fscanf(f, "%zu %zu %" SCNu64 " %" SCNu64, &s.first, &s.last, &s.way.inner, &s.way.outer) == 4) {
        stack_note(out, s.way, s.first);
        out->v[out->n - 1].last = s.last;
    }
    if (f)
        fclose(f);
}

/* The n-th allocation fails, once or from there on; 0 counts them, and the ways to them where stacks is not NULL. */
static size_t run_alloc(const char *preload, size_t nth, bool onwards, struct stack_list *stacks,
                        struct traced *out) {
    char count[600], ways[640], at[64];
    stage_fresh();
    snprintf(count, sizeof count, "%s.count", stage_err());
    snprintf(ways, sizeof ways, "%s.stacks", stage_err());
    snprintf(at, sizeof at, "%zu%s", nth, onwards ? "+" : "");
    fflush(stdout);
    const pid_t child = fork();
    if (child == 0) {
        const int fd = open(stage_err(), O_WRONLY | O_CREAT | O_TRUNC, 0666);
        dup2(fd, 1);
        dup2(fd, 2);
        setenv("LD_PRELOAD", preload, 1);
        setenv("MILRISE_ALLOC_NTH", at, 1);
        setenv("MILRISE_ALLOC_COUNT", count, 1);
        if (stacks)
            setenv("MILRISE_ALLOC_STACKS", ways, 1);
        personality(ADDR_NO_RANDOMIZE);
        alarm(RUN_SECONDS_MOST);
        execl(stage_milrise(), stage_milrise(), "report", "--threads", "1", stage_job(),
              *stage_options() ? stage_options() : NULL, NULL);
        _exit(126);
    }
    int status = 0;
    waitpid(child, &status, 0);
    *out = (struct traced){.status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status),
                           .signalled = WIFSIGNALED(status)};
    if (stacks)
        read_ways(ways, stacks);
    char text[64];
    stage_slurp(count, text, sizeof text);
    return strtoul(text, NULL, 10);
}

static void torture_memory(const char *preload, double until) {
    struct traced r;
    struct stack_list stacks = {0};
    const size_t total = run_alloc(preload, 0, false, which == EVERY ? NULL : &stacks, &r), seen = stacks.n;
    size_t n, done = 0;
    size_t *call = calls_of(&stacks, total, &n);
    for (; done < 2 * n && stage_seconds() < until; done++) {
        const size_t at = stage_spread(done, 2 * n) - 1;
        const struct fault f = {
            .call = "memory", .nth = call[at / 2], .way = at % 2 ? FAULT_ON : FAULT_ONCE, .after = ""};
        run_alloc(preload, f.nth, f.way == FAULT_ON, NULL, &r);
        stage_judge(&f, &r);
    }
    tell("memory", total, seen, stacks.n, done, 2 * n);
    free(call);
    free(stacks.v);
}

/* The classes share the seconds: half for a report without charts, half with them. One thread, so that the n-th call
 * is the same in each run; threads that cannot be started are asked of two. */
int main(int argc, char **argv) {
    if (argc < 5)
        return 2;
    const char *only = argc > 5 && strcmp(argv[5], "all") != 0 ? argv[5] : "";
    which = argc <= 6 ? COVER : strcmp(argv[6], "every") == 0 ? EVERY : STACKS;
    const double all = atof(argv[4]), begin = stage_seconds();
    setvbuf(stdout, NULL, _IOLBF, 0);
    stage_begin(argv[1], argv[3]);
    for (size_t half = 0; half < 2; half++) {
        const double from = begin + 0.5 * all * (double)half, share = 0.5 * all;
        stage_set(half ? "" : "--no-charts");
        for (size_t i = 0; i < trace_call_count; i++)
            if (!*only || strcmp(only, trace_calls[i]) == 0)
                torture(trace_calls[i], strcmp(trace_calls[i], "clone") == 0 ? "2" : "1",
                        *only ? from + share : from + 0.8 * share * (double)(i + 1) / (double)trace_call_count);
        if (!*only || strcmp(only, "memory") == 0)
            torture_memory(argv[2], from + share);
    }
    printf("%zu distinct stacks, %zu of them left out, since both of their parts were tried; %zu faults left out for "
           "want of time\n",
           all_stacks, all_pairs_left, all_left_out);
    return stage_end();
}
