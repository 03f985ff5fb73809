/* folders.h - throw-away folders and whole files for the tests of the sample job. */
#ifndef TESTS_SAMPLE_FOLDERS_H
#define TESTS_SAMPLE_FOLDERS_H

#include <stddef.h>

/** folder_make - a new empty folder; its path in out. folder_remove - with all that it holds. */
void folder_make(char *out, size_t size);
void folder_remove(const char *path);

/** folder_slurp - a file's bytes, NUL behind them, to be freed; NULL where it cannot be read. */
char *folder_slurp(const char *path, size_t *out_n);

/** folder_copy_sample - the sample job's files without its reports, as folder/job. */
void folder_copy_sample(const char *folder);

/** folder_report - milrise report on folder/job without charts; folder_report_whole - with all outputs. Return the
 * exit status. */
int folder_report(const char *folder);
int folder_report_whole(const char *folder);

/** folder_run - a shell command with the folder as $D. Returns: its exit status; -1 where a signal ended it. */
int folder_run(const char *folder, const char *command);

/** folder_hold - the same for a check of ours, which must leave with this status; what it says is told where it does
 * not, and where it lacks a program (77, 127). Returns: what it said, to be freed. */
char *folder_hold(const char *folder, const char *check, int expected, const char *when);

#endif
