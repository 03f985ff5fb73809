/*
 * own_process.h - a report in a process of its own. Where a library or the kernel ends that process, for want of
 * memory most of all, the one that waits still says so on the terminal and beside the report.
 */
#ifndef MILRISE_CLI_OWN_PROCESS_H
#define MILRISE_CLI_OWN_PROCESS_H

#include "cli/cli.h"

/** mr_own_process - run(arena, o) in a child, which ends with its parent; here where no child can be started.
 *  An end by Ctrl-C or a termination signal ends the parent alike.
 *  Returns: the exit status; broken: what ended the child before it could say so itself, "" where nothing did. */
int mr_own_process(int (*run)(struct mr_arena *arena, const struct mr_cli_options *o), struct mr_arena *arena,
                   const struct mr_cli_options *o, const char **broken);

#endif
