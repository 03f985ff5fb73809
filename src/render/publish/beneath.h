/*
 * beneath.h - files below an open folder, and nowhere else.
 *
 * Every call takes a folder's handle and a path below it. No link is followed on the way, so that whatever lies in a
 * job's folder, or is put there between two calls, nothing outside it is opened, written, renamed or removed. The
 * kernel holds that with openat2 (Linux 5.6); where it is missing, the path is walked part by part without links.
 */
#ifndef MILRISE_RENDER_PUBLISH_BENEATH_H
#define MILRISE_RENDER_PUBLISH_BENEATH_H

#include "milrise/arena.h"

typedef MR_VEC(const char *) mr_name_list;

/** mr_beneath_open - as openat, for paths of plain names. Returns: a descriptor, closed on exec; -1 with errno (ELOOP
 * where a link stands in the way, EXDEV where the path would leave the folder). */
int mr_beneath_open(int folder, const char *path, int flags);

/** mr_beneath_folder - open a folder, made where it is missing. Returns: a descriptor; -1 with errno. */
int mr_beneath_folder(int folder, const char *name);

/** mr_beneath_names - what a folder holds, sorted by bytes, without "." and "..". Returns: false with errno. */
bool mr_beneath_names(struct mr_arena *arena, int folder, mr_name_list *out);

/** mr_beneath_remove - a file, a link or a folder with all in it; links are removed, never followed. Allocates
 * nothing from an arena. Returns: false with errno where something is left. */
bool mr_beneath_remove(int folder, const char *name);

/** mr_beneath_digest - SHA-256 and length of a regular file. Returns: false with errno. */
bool mr_beneath_digest(int folder, const char *path, char out[65], uint64_t *out_bytes);

/** mr_beneath_pieces - a regular file's bytes, handed over in pieces; take returns false where it has had enough.
 *  Returns: whether all were taken; else false with errno (EFBIG where take had enough). */
bool mr_beneath_pieces(int folder, const char *path, bool (*take)(void *ctx, const char *piece, size_t n), void *ctx);

/** mr_beneath_read - a text file of at most max bytes, NUL-terminated in arena; NULL with errno (EFBIG where longer).
 */
char *mr_beneath_read(struct mr_arena *arena, int folder, const char *path, size_t max);

/** mr_beneath_bytes - any file of at most max bytes, its length in *out_n; else the same. */
char *mr_beneath_bytes(struct mr_arena *arena, int folder, const char *path, size_t max, size_t *out_n);

/** mr_beneath_write - a new file with these bytes, flushed to the disk; there must be none of that name.
 * Returns: 0; errno, and no file is left. */
int mr_beneath_write(int folder, const char *path, const void *data, size_t n);

/** mr_write_fully - all bytes to a descriptor, whatever comes short or is interrupted. Returns: 0; errno. */
int mr_write_fully(int fd, const void *data, size_t n);

/** mr_folder_lock - exclusive lock on an open folder; the kernel lets go when the process ends, however it ends.
 * Returns: 1 locked, 0 held by another, -1 the file system cannot lock it. */
int mr_folder_lock(int fd, bool wait);

#endif
