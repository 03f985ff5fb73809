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

#endif
