/*
 * trace.h - runs a program and lets one of its system calls fail, come short, or be its last.
 */
#ifndef MILRISE_TESTS_TORTURE_TRACE_H
#define MILRISE_TESTS_TORTURE_TRACE_H

#include "stacks.h"

#include <stdbool.h>
#include <stddef.h>

enum {
    RUN_SECONDS_MOST = 60 /* a clean run needs well under one; SIGALRM ends what hangs, and the judge says so */
};

enum fault_way { FAULT_NONE, FAULT_ONCE, FAULT_ON, FAULT_SHORT, FAULT_KILL };

struct fault {
    const char *call; /* a class of calls: "open", "write", ... see trace_calls */
    size_t nth;       /* from 1, counted from the first open of a path that ends in after */
    int error;        /* errno, for ONCE and ON */
    enum fault_way way;
    const char *after;
    struct stack_list *stacks; /* where not NULL, each call's way is noted here */
};

struct traced {
    int status; /* exit status; 128 + signal */
    bool signalled;
    size_t calls; /* of the class */
    bool injected;
};

extern const char *const trace_calls[];
extern const size_t trace_call_count;

/** trace_run - argv with standard output and error to the file err. Returns: false where tracing is not possible. */
bool trace_run(char *const argv[], const char *err, const struct fault *fault, struct traced *out);

#endif
