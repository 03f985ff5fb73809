/*
 * manifest.h - SHA256SUMS, the list of a revision's files: proof that it is whole, for milrise and for anyone with
 * `sha256sum -c SHA256SUMS`. Two comment lines at its head name the revision and what it was made from.
 */
#ifndef MILRISE_RENDER_PUBLISH_MANIFEST_H
#define MILRISE_RENDER_PUBLISH_MANIFEST_H

#include "milrise/arena.h"

#define MR_MANIFEST "SHA256SUMS"

struct mr_listed_file {
    const char *path; /* below the revision's folder, with '/' */
    char sha256[65];
};

struct mr_manifest {
    long revision;
    char content[65]; /* fingerprint of what the report says, see content.h */
    MR_VEC(struct mr_listed_file) files;
};

/** mr_manifest_text - the file's text, in arena. */
const char *mr_manifest_text(struct mr_arena *arena, const struct mr_manifest *manifest);

/** mr_manifest_read - from an open revision folder. Returns: false where there is none or it is not one of ours. */
bool mr_manifest_read(struct mr_arena *arena, int folder, struct mr_manifest *out);

/** mr_manifest_differs - the first file that is missing or no longer what the list says; NULL where all are. */
const char *mr_manifest_differs(const struct mr_manifest *manifest, int folder);

#endif
