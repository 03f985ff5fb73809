/*
 * console.h - the terminal and the exit status, for the commands.
 */
#ifndef MILRISE_CLI_CONSOLE_H
#define MILRISE_CLI_CONSOLE_H

#include "milrise/milrise.h"

#include <stdio.h>
#include <time.h>

/* What the command's exit status means; README.md repeats it. */
enum mr_exit {
    MR_EXIT_CONFORMS = 0, /* published, every zone conforms (or the command did what it was asked) */
    MR_EXIT_OPEN = 1,     /* published, and something does not conform or is not shown */
    MR_EXIT_USAGE = 2,    /* wrong command line or job file; nothing published */
    MR_EXIT_NO_INPUT = 3, /* no input that could be judged */
    MR_EXIT_OUTPUT = 4,   /* the report, or the answer in the folder, could not be written */
    MR_EXIT_BUG = 5,      /* memory ran out, or a mistake of ours */
};

/** mr_cli_diags - print errors and warnings to standard error: the same advice on several rows of a file once with
 * its lines, at most 50 for a file and the number of the rest. */
void mr_cli_diags(struct mr_arena *arena, const struct mr_diags *diags, enum mr_severity least);

/** mr_cli_now - the time; SOURCE_DATE_EPOCH where that is set, so that a run can be repeated to the byte. */
time_t mr_cli_now(void);

/** mr_cli_out - print text to standard output. Returns the exit status: 0, or MR_EXIT_OUTPUT where it could not be
 * written. */
int mr_cli_out(const char *text);

enum mr_exit mr_cli_exit(enum mr_status status);

#endif
