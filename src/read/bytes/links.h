/*
 * links.h - links that lead out of the job folder: what is read through one is said.
 */
#ifndef MILRISE_READ_LINKS_H
#define MILRISE_READ_LINKS_H

#include "milrise/arena.h"

/** mr_link_outside - where the file or folder dir/path really lies, if a link on the way leads out of dir; NULL where
 * it lies inside or cannot be found. */
const char *mr_link_outside(struct mr_arena *arena, const char *dir, const char *path);

/** mr_opened_outside - the same of a file that is open: what lies there now, whatever the path has become. */
const char *mr_opened_outside(struct mr_arena *arena, const char *dir, int fd);

#endif
