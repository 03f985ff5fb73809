/*
 * cli.h - the command over the library. Only here is anything printed, the clock read, or a status made an exit code.
 */
#ifndef MILRISE_CLI_CLI_H
#define MILRISE_CLI_CLI_H

#include "cli/console.h"

struct mr_command;

struct mr_cli_options {
    const struct mr_command *commands; /* all there are, for the manual */
    size_t n_commands;
    const char *command;
    char **paths; /* what follows the options */
    int n_paths;
    const char *job;                       /* --job */
    const char *out;                       /* --out */
    const char *stage;                     /* --stage */
    const char *stamp;                     /* --stamp */
    const char *kind, *size, *format, *to; /* --kind, --size, --format, --to */
    const char *zones[64];                 /* --zone, as often as it is given */
    unsigned n_zones;
    unsigned threads, settle_s, poll_s, limit_s, limit_mib; /* 0 = the default */
    bool json, quiet, no_charts, us, plan, collect, no_roll_up;
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

/** mr_cli_option_list - the options of all commands, for the manual. */
struct argp_option;
const struct argp_option *mr_cli_option_list(size_t *out_n);

int mr_cmd_new(struct mr_arena *arena, const struct mr_cli_options *o);
int mr_cmd_report(struct mr_arena *arena, const struct mr_cli_options *o);
int mr_cmd_explain(struct mr_arena *arena, const struct mr_cli_options *o);
int mr_cmd_watch(struct mr_arena *arena, const struct mr_cli_options *o);
int mr_cmd_manual(struct mr_arena *arena, const struct mr_cli_options *o);
int mr_cmd_sweep(struct mr_arena *arena, const struct mr_cli_options *o);
int mr_cmd_submittal(struct mr_arena *arena, const struct mr_cli_options *o);
int mr_cmd_figure(struct mr_arena *arena, const struct mr_cli_options *o);
int mr_cmd_dump(struct mr_arena *arena, const struct mr_cli_options *o);

#endif
