/*
 * revisions.h - what stands in a reports folder: revision-0, revision-1, ... each a whole report, and `latest`, a
 * link to the newest of them (where the file system has no links: a text file that holds its name).
 *
 * A revision is never written to again. It counts as whole while every file of its list is what the list says; one in
 * which a person changed a file stays as it is, and the next report gets a number of its own.
 */
#ifndef MILRISE_RENDER_PUBLISH_REVISIONS_H
#define MILRISE_RENDER_PUBLISH_REVISIONS_H

#include "milrise/diag.h"
#include "render/publish/manifest.h"

#define MR_LATEST "latest"

struct mr_revisions {
    long next;                 /* the lowest number above every whole or changed revision */
    bool any;                  /* a whole one is there */
    struct mr_manifest newest; /* the newest whole one; where any */
    const char *changed;       /* "revision-3/x.xlsx": the newest changed file above it, or NULL */
};

const char *mr_revision_name(struct mr_arena *arena, long number);

/** mr_revisions_find - looks at the revisions of an open reports folder, newest first, until one is whole. */
struct mr_revisions mr_revisions_find(struct mr_arena *arena, int reports);

/** mr_latest_set - let `latest` name a revision, by one rename; making: an open folder of this run on the same file
 * system. Returns: 0; errno, and `latest` is what it was. */
int mr_latest_set(struct mr_arena *arena, int reports, int making, const char *revision);

/** mr_latest_is - does `latest` name this revision? */
bool mr_latest_is(struct mr_arena *arena, int reports, const char *revision);

/** mr_latest_blocked - is something of that name there that is neither a link nor a file? */
bool mr_latest_blocked(int reports);

/** mr_revisions_retire - of the whole revisions keep the newest ones and remove the others, each only where it holds
 * its own files unchanged and nothing else. */
void mr_revisions_retire(struct mr_arena *arena, int reports, size_t keep);

#endif
