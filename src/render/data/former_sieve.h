/*
 * former_sieve.h - the little of a report.json that the report after it goes by.
 *
 * A report.json says each check, each event and each row of a table; of its register, its zones' films, its files and
 * its settings alone is made what changed since. The rest is left out while the file is read, so that neither its
 * bytes nor a tree of them is ever held.
 */
#ifndef MILRISE_RENDER_DATA_FORMER_SIEVE_H
#define MILRISE_RENDER_DATA_FORMER_SIEVE_H

#include "milrise/arena.h"

/** mr_former_text - what mr_former_read reads of a report.json below a folder: all else is null.
 *  Returns: the text in arena; NULL with errno (EFBIG where more than max bytes of it are left). A file that is not
 * as milrise wrote it gives a text that mr_former_read refuses, or less. */
const char *mr_former_text(struct mr_arena *arena, int folder, const char *path, size_t max);

#endif
