/*
 * publish.h - outputs appear together or not at all.
 *
 *   begin -> path (each file is then written by its maker) -> close (flushed and hashed) -> commit
 *
 * Everything is made in OUT/.staging-<pid>/new/. When all is there, a journal in the staging folder names each file,
 * and only then are the files renamed into place, report.json last. A run that dies before the journal stands leaves
 * the former reports as they were, and its staging folder is discarded by the next run; one that dies after it is
 * rolled forward by the next run. A rename that fails is undone from hard links kept in old/. Files that are not ours
 * are never touched: a stale output is removed only where an earlier report.json lists it with the SHA-256 that it
 * still has.
 */
#ifndef MILRISE_RENDER_PUBLISH_PUBLISH_H
#define MILRISE_RENDER_PUBLISH_PUBLISH_H

#include "render/publish/output_failed.h"

struct mr_staged {
    const char *path;   /* below the out folder, with '/' */
    const char *staged; /* where it is made */
    bool closed;
    uint64_t bytes;
    char sha256[65];
};

struct mr_stale { /* an output of an earlier run that this one does not make */
    const char *path;
    const char *sha256;
};

struct mr_publish {
    struct mr_arena *arena;
    struct mr_diags *diags;
    const char *out_dir, *staging;
    int staging_fd; /* holds the lock that says that the folder is in use */
    bool made_out_dir;
    size_t slot; /* in the list that mr_render_discard walks */
    MR_VEC(struct mr_staged) files;
    MR_VEC(struct mr_stale) stale;
};

/** mr_publish_begin - make the out folder, finish or discard what earlier runs left, open a staging folder.
 *  Returns: MR_OK; MR_E_OUTPUT with a diagnostic. */
enum mr_status mr_publish_begin(struct mr_publish *pub, struct mr_arena *arena, const char *out_dir,
                                struct mr_diags *diags) MR_MUST_USE;

/** mr_publish_path - announce a file; its maker writes to the path returned. Index into pub->files in *out_index. */
const char *mr_publish_path(struct mr_publish *pub, const char *path, size_t *out_index);

/** mr_publish_close - the file is finished: flush it to the disk, take length and SHA-256. */
enum mr_status mr_publish_close(struct mr_publish *pub, size_t index) MR_MUST_USE;

/** mr_publish_stale - a file to be removed at the commit. Ignored where the path could leave the out folder, is one
 * of this run's, or the file's SHA-256 is not the one given. */
void mr_publish_stale(struct mr_publish *pub, const char *path, const char *sha256);

/** mr_publish_seal - write the journal: from here on the next run would finish the job. */
enum mr_status mr_publish_seal(struct mr_publish *pub) MR_MUST_USE;

/** mr_publish_commit - put everything in place (after mr_publish_seal) and remove the staging folder.
 *  Returns: MR_OK; MR_E_OUTPUT with a diagnostic, the former files back in place. */
enum mr_status mr_publish_commit(struct mr_publish *pub) MR_MUST_USE;

/** mr_publish_discard - give up: remove the staging folder, and the out folder where it was made here and is empty.
 */
void mr_publish_discard(struct mr_publish *pub);

#endif
