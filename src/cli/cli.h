/*
 * cli.h - the command over the library. Only here is anything printed, the clock read, or a status made an exit code.
 */
#ifndef MILRISE_CLI_CLI_H
#define MILRISE_CLI_CLI_H

#include "milrise/milrise.h"

#include <stdio.h>

/* What the command's exit status means; README.md repeats it. */
enum mr_exit {
    MR_EXIT_CONFORMS = 0, /* published, every zone conforms (or the command did what it was asked) */
    MR_EXIT_OPEN = 1,     /* published, and something does not conform or is not shown */
    MR_EXIT_USAGE = 2,    /* wrong command line or job file; nothing published */
    MR_EXIT_NO_INPUT = 3, /* no input that could be judged */
    MR_EXIT_OUTPUT = 4,   /* output could not be written, or memory ran out */
    MR_EXIT_BUG = 5,      /* a mistake of ours */
};

struct mr_cli_options {
    const char *command;
    char **paths; /* what follows the options */
    int n_paths;
    const char *job;   /* --job */
    const char *out;   /* --out */
    const char *stage; /* --stage */
    const char *stamp; /* --stamp */
    unsigned threads;
    bool json, quiet, no_charts;
};

/* One subcommand; see commands.c to add one. */
struct mr_command {
    const char *name;
    const char *operands; /* "JOB", "FILE..." */
    int least, most;      /* number of operands; most -1 = any */
    const char *options;  /* letters of the options that it takes, see options.c */
    const char *summary;  /* one line for `milrise --help` */
    const char *text;     /* what `milrise COMMAND --help` says */
    int (*run)(struct mr_arena *arena, const struct mr_cli_options *options);
};

extern const struct mr_command mr_commands[];
extern const size_t mr_command_count;

int mr_cli_main(int argc, char **argv);

/** mr_cli_parse - the command line of one subcommand. Prints help or a usage error itself.
 *  Returns: -1 to go on, else the exit status. */
int mr_cli_parse(const struct mr_command *command, int argc, char **argv, struct mr_cli_options *out);

int mr_cmd_new(struct mr_arena *arena, const struct mr_cli_options *o);
int mr_cmd_report(struct mr_arena *arena, const struct mr_cli_options *o);
int mr_cmd_explain(struct mr_arena *arena, const struct mr_cli_options *o);
int mr_cmd_dump(struct mr_arena *arena, const struct mr_cli_options *o);

/** mr_cli_diags - print errors and warnings, at most 50 a file and the number of the rest, to standard error. */
void mr_cli_diags(struct mr_arena *arena, const struct mr_diags *diags, enum mr_severity least);

/** mr_cli_out - print text to standard output. Returns the exit status: 0, or MR_EXIT_OUTPUT where it could not be
 * written. */
int mr_cli_out(const char *text);

enum mr_exit mr_cli_exit(enum mr_status status);

#endif
