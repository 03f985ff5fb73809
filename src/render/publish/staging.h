/*
 * staging.h - the staging folder on disk: its journal, its locks, its removal. Used by publish.c only.
 */
#ifndef MILRISE_RENDER_PUBLISH_STAGING_H
#define MILRISE_RENDER_PUBLISH_STAGING_H

#include "render/publish/publish.h"

#define MR_STAGING_PREFIX ".staging-"
#define MR_JOURNAL "commit"

/** mr_staging_lock - exclusive lock on a folder. Returns: 1 locked, 0 held by another, -1 the system cannot lock it.
 */
int mr_staging_lock(int fd, bool wait);

/** mr_staging_remove - a folder and all in it, at most four levels deep. Allocates nothing from an arena. */
void mr_staging_remove(const char *path);

/** mr_staging_recover - finish or discard the staging folders that earlier runs left in out_dir; those in use are
 * left alone. */
enum mr_status mr_staging_recover(struct mr_arena *arena, const char *out_dir, struct mr_diags *diags) MR_MUST_USE;

/** mr_staging_move - rename every file of the list from staging/new to out_dir, in order. keep_old: hard links of
 * what stood there before go to staging/old first, and a failure is undone from them. A file no longer in staging/new
 * has been moved already. Returns: MR_OK; MR_E_OUTPUT with a diagnostic. */
enum mr_status mr_staging_move(struct mr_arena *arena, const char *out_dir, const char *staging,
                               const char *const *paths, size_t n, bool keep_old, struct mr_diags *diags) MR_MUST_USE;

/** mr_staging_sweep - remove stale outputs that still are what the earlier report.json said. */
void mr_staging_sweep(struct mr_arena *arena, const char *out_dir, const struct mr_stale *stale, size_t n);

/** mr_folder_make - a folder and those above it. Returns: true, also where it was there. */
bool mr_folder_make(struct mr_arena *arena, const char *path);

/** mr_folder_of - the part of a path before its last '/', "." where there is none. */
const char *mr_folder_of(struct mr_arena *arena, const char *path);

/** mr_path_sync - flush a folder's entries to the disk; failures do not matter to what is promised. */
void mr_path_sync(const char *path);

#endif
