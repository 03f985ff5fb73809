/*
 * newest.h - the report that JOB/reports/latest names, for the commands that look after many jobs. Whatever lies
 * there is opened by the handle of its folder and through no link but latest, whose target is one of the folder's own
 * names.
 */
#ifndef MILRISE_CLI_NEWEST_H
#define MILRISE_CLI_NEWEST_H

#include "milrise/arena.h"

/** mr_newest_open - the folder of that revision, open, with its number. Returns: a file descriptor; -1 where there is
 * none. */
int mr_newest_open(struct mr_arena *arena, const char *dir, int64_t *revision);

/** mr_newest_file - a file of it, open; a link or a device is none. Returns: a file descriptor; -1. */
int mr_newest_file(int revision, const char *name, int64_t *bytes);

/** mr_note_stands - whether the note that nothing was published lies beside the reports. */
bool mr_note_stands(struct mr_arena *arena, const char *dir);

#endif
