/*
 * torture.c - system calls of a whole report fail, come short, or are its last; then allocations. What stands in the
 * reports folder is one whole report or the one before, inputs and surroundings are as they were, the status says
 * what happened, and the next run leaves nothing over.
 *
 *   torture MILRISE ALLOC_FAULT.so FOLDER SECONDS [CLASS [every]]
 *
 * Each way to a call (the return addresses on its stack) has its first and its last call fail, once and from there
 * on, with each error; "every" takes every call in place of these. FOLDER is made new; CLASS: open, write, ...
 * memory, or all. Exit 1: violations; 77: no tracing here.
 */
#include "stage.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>

static size_t all_stacks, all_left_out;

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

/* The calls to fail: of each way the first and the last, or all of them. */
static size_t *calls_of(const struct stack_list *stacks, size_t total, bool every, size_t *n) {
    size_t *call = calloc(2 * stacks->n + total + 1, sizeof *call);
    *n = 0;
    for (size_t i = 0; every && i < total; i++)
        call[(*n)++] = i + 1;
    for (size_t i = 0; !every && i < stacks->n; i++) {
        call[(*n)++] = stacks->v[i].first;
        if (stacks->v[i].last != stacks->v[i].first)
            call[(*n)++] = stacks->v[i].last;
    }
    return call;
}

static void tell(const char *class, size_t calls, size_t stacks, size_t done, size_t all) {
    printf("%-8s %-12s %7zu calls, %6zu stacks, %7zu of %7zu faults tried\n", class,
           *stage_options() ? stage_options() : "with charts", calls, stacks, done, all);
    fflush(stdout);
    all_stacks += stacks;
    all_left_out += all - done;
}

static void torture(const char *class, const char *threads, bool every, double until) {
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
    size_t n, n_faults = 0, done = 0;
    size_t *call = calls_of(&stacks, total, every, &n);
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
    tell(class, total, stacks.n, done, n_faults);
    free(fault);
    free(call);
    free(stacks.v);
}

/* The n-th allocation fails, once or from there on; 0 counts them, and the ways to them where stacks is not NULL. */
static size_t run_alloc(const char *preload, size_t nth, bool onwards, struct stack_list *stacks,
                        struct traced *out) {
    char count[600], path[640];
    stage_fresh();
    snprintf(count, sizeof count, "%s.count", stage_err());
    snprintf(path, sizeof path, "%s.stacks", stage_err());
    const int status =
        stage_shell("timeout %d env LD_PRELOAD='%s' MILRISE_ALLOC_NTH=%zu%s MILRISE_ALLOC_COUNT='%s' "
                    "%s%s '%s' report --threads 1 '%s' %s >'%s' 2>&1",
                    RUN_SECONDS_MOST, preload, nth, onwards ? "+" : "", count, stacks ? "MILRISE_ALLOC_STACKS=" : "",
                    stacks ? path : "", stage_milrise(), stage_job(), stage_options(), stage_err());
    *out = (struct traced){.status = status, .signalled = status >= 128};
    FILE *f = stacks ? fopen(path, "r") : NULL;
    size_t first, last, i = 0;
    while (f && fscanf(f, "%zu %zu", &first, &last) == 2) {
        stack_note(stacks, ++i, first);
        stacks->v[i - 1].last = last;
    }
    if (f)
        fclose(f);
    char text[64];
    stage_slurp(count, text, sizeof text);
    return strtoul(text, NULL, 10);
}

static void torture_memory(const char *preload, bool every, double until) {
    struct traced r;
    struct stack_list stacks = {0};
    const size_t total = run_alloc(preload, 0, false, every ? NULL : &stacks, &r);
    size_t n, done = 0;
    size_t *call = calls_of(&stacks, total, every, &n);
    for (; done < 2 * n && stage_seconds() < until; done++) {
        const size_t at = stage_spread(done, 2 * n) - 1;
        const struct fault f = {
            .call = "memory", .nth = call[at / 2], .way = at % 2 ? FAULT_ON : FAULT_ONCE, .after = ""};
        run_alloc(preload, f.nth, f.way == FAULT_ON, NULL, &r);
        stage_judge(&f, &r);
    }
    tell("memory", total, stacks.n, done, 2 * n);
    free(call);
    free(stacks.v);
}

/* The classes share the seconds: half for a report without charts, half with them. One thread, so that the n-th call
 * is the same in each run; threads that cannot be started are asked of two. */
int main(int argc, char **argv) {
    if (argc < 5)
        return 2;
    const char *only = argc > 5 && strcmp(argv[5], "all") != 0 ? argv[5] : "";
    const bool every = argc > 6 && strcmp(argv[6], "every") == 0;
    const double all = atof(argv[4]), begin = stage_seconds();
    setvbuf(stdout, NULL, _IOLBF, 0);
    stage_begin(argv[1], argv[3]);
    for (size_t half = 0; half < 2; half++) {
        const double from = begin + 0.5 * all * (double)half, share = 0.5 * all;
        stage_set(half ? "" : "--no-charts");
        for (size_t i = 0; i < trace_call_count; i++)
            if (!*only || strcmp(only, trace_calls[i]) == 0)
                torture(trace_calls[i], strcmp(trace_calls[i], "clone") == 0 ? "2" : "1", every,
                        *only ? from + share : from + 0.8 * share * (double)(i + 1) / (double)trace_call_count);
        if (!*only || strcmp(only, "memory") == 0)
            torture_memory(argv[2], every, from + share);
    }
    printf("%zu distinct stacks; %zu faults left out for want of time\n", all_stacks, all_left_out);
    return stage_end();
}
