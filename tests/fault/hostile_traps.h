/*
 * hostile_traps.h - what a job folder may hold to do harm, and what must come of it.
 */
#ifndef TESTS_FAULT_HOSTILE_TRAPS_H
#define TESTS_FAULT_HOSTILE_TRAPS_H

#include <stddef.h>

/* Run by sh in the job folder, $M is the program; the folder ../outside beside it must stay as it is. */
struct trap {
    const char *name, *script;
    int status;        /* what must come of it alone; REPORT: a report, whatever it says */
    const char *said;  /* must stand in the messages; NULL: nothing need */
    const char *holds; /* a command in the job folder that must succeed afterwards; NULL */
};

enum { REPORT = -1 };

extern const struct trap traps_of_outputs[], traps_of_inputs[], traps_of_names[], traps_of_texts[];
extern const size_t n_traps_of_outputs, n_traps_of_inputs, n_traps_of_names, n_traps_of_texts;

#endif
