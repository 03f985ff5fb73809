/*
 * publish.h - a report is one folder, put in place by one rename.
 *
 *   begin -> start -> file, handed or path, close (each is proven) -> commit
 *
 * Everything is made in OUT/.making-<pid>/report/. Each file is read back and held against what its maker handed
 * over. When all is proven, its list SHA256SUMS is written, the folder becomes OUT/revision-<n> by one rename, and
 * `latest` is renamed over the old link. Whatever fails or dies before that rename leaves the former report as it
 * was, and what it leaves behind goes with the next run. Runs over one folder wait for each other.
 */
#ifndef MILRISE_RENDER_PUBLISH_PUBLISH_H
#define MILRISE_RENDER_PUBLISH_PUBLISH_H

#include "base/sha256.h"
#include "render/publish/output_failed.h"
#include "render/publish/revisions.h"

#include <stdio.h>

#define MR_MAKING_PREFIX ".making-"
#define MR_SIGN MR_NOT_PUBLISHED

/* A file as its maker hands it over: what was given is hashed on the way to the disk. */
struct mr_handed {
    int fd;
    int error; /* errno of the first failure */
    uint64_t bytes;
    struct mr_sha256 *digest;
};

struct mr_made_file {
    const char *path; /* below the revision's folder, with '/' */
    int folder_error; /* errno: its folder could not be made */
    bool is_handed;   /* handed_* hold what the maker gave */
    uint64_t handed_bytes, bytes;
    char handed_sha256[65], sha256[65];
};

struct mr_publish {
    struct mr_arena *arena;
    struct mr_diags *diags;
    const char *out_dir;           /* for messages and printed paths */
    int reports;                   /* the open folder, locked; -1 */
    int making, report;            /* folders of this run; -1 before mr_publish_start */
    const char *making_name;       /* below reports */
    const char *tmp_path;          /* for libraries that want a path to put temporary files */
    size_t slot;                   /* in the list that mr_render_discard walks */
    struct mr_revisions revisions; /* what stood there at mr_publish_begin */
    MR_VEC(struct mr_made_file) files;
};

/** mr_publish_begin - open and lock the reports folder (out_dir, or "reports" in job_dir where that is NULL), remove
 * what dead runs left, look at the revisions. Returns: MR_OK; MR_E_OUTPUT with a diagnostic. */
enum mr_status mr_publish_begin(struct mr_publish *pub, struct mr_arena *arena, const char *job_dir,
                                const char *out_dir, struct mr_diags *diags) MR_MUST_USE;

/** mr_publish_start - make this run's folder. */
enum mr_status mr_publish_start(struct mr_publish *pub) MR_MUST_USE;

/** mr_publish_file - announce a file. Index into pub->files. Not for several threads at once. */
size_t mr_publish_file(struct mr_publish *pub, const char *path);

/** mr_publish_path - a path under which a library may create the file, by the folder's handle. */
const char *mr_publish_path(const struct mr_publish *pub, const char *path);

/** mr_handed_open - create an announced file. Returns: 0; errno. Safe for several threads, each with its own file. */
int mr_handed_open(const struct mr_publish *pub, size_t index, struct mr_handed *out);

/** mr_handed_put - hand over bytes. Returns: 0; errno. */
int mr_handed_put(void *handed, const void *data, size_t n);

/** mr_handed_end - close it and note what was handed over. Returns: 0; errno. */
int mr_handed_end(struct mr_publish *pub, size_t index, struct mr_handed *handed);

/** mr_handed_stream - the same as a stream, for writers of text; closing it (fclose) ends nothing but the stream. */
FILE *mr_handed_stream(struct mr_handed *handed);

/** mr_publish_close - the file is finished: flush it, read it back, hold it against what was handed over. */
enum mr_status mr_publish_close(struct mr_publish *pub, size_t index) MR_MUST_USE;

/** mr_publish_room - is there room for so many bytes? Returns: 0; the errno with which the system refuses them. */
int mr_publish_room(const struct mr_publish *pub, uint64_t bytes);

/** mr_publish_list - the files made, as a list. */
struct mr_manifest mr_publish_list(const struct mr_publish *pub, long number, const char *content);

/** mr_publish_commit - write the list, put the folder in place as revision number, let `latest` name it.
 *  Returns: MR_OK; MR_E_OUTPUT with a diagnostic, the former report in place. */
enum mr_status mr_publish_commit(struct mr_publish *pub, long number, const char *content) MR_MUST_USE;

/** mr_publish_relink - nothing new: let `latest` name the newest whole revision where it does not. */
enum mr_status mr_publish_relink(struct mr_publish *pub) MR_MUST_USE;

/** mr_publish_sign - remove this run's folder and leave the text beside the reports that says that nothing was
 * published; NULL: remove that text. What cannot be written is a warning. */
void mr_publish_sign(struct mr_publish *pub, const char *text);

/** mr_publish_end - the same, and let go of the reports folder. */
void mr_publish_end(struct mr_publish *pub);

#endif
