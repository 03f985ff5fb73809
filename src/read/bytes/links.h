/*
 * links.h - links that lead out of the job folder: what is read through one is said.
 */
#ifndef MILRISE_READ_LINKS_H
#define MILRISE_READ_LINKS_H

#include "milrise/arena.h"
#include "milrise/diag.h"

/** mr_opened_outside - where an open file or folder really lies, if that is not below dir; NULL where it is, or where
 * nobody can say. It asks what was opened, not what the path has become since. */
const char *mr_opened_outside(struct mr_arena *arena, const char *dir, int fd);

/** mr_tell_outside - a warning that what was read under a name (as shown to people) lies there; NULL: none. */
void mr_tell_outside(struct mr_arena *arena, struct mr_diags *diags, const char *name, const char *outside);

#endif
