/* Runs the built program in a folder of its own. */
#ifndef TESTS_CLI_COMMAND_RIG_H
#define TESTS_CLI_COMMAND_RIG_H

#include "milrise/base.h"

extern char cli_dir[64], cli_out[1 << 16], cli_err[1 << 16]; /* the folder; what the last run printed */

void cli_begin(void);
void cli_end(void);

/** cli_run - `milrise ARGS` in the folder. Returns: its exit status. */
int cli_run(const char *args);

/** cli_run_within - the same with so many MiB of addresses; 0 = no limit. */
int cli_run_within(size_t mib, const char *args);

void cli_put(const char *name, const char *text);
bool cli_there(const char *name);
void cli_read(const char *path, char *to, size_t room);

#endif
