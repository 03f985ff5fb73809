/*
 * bytes.h - a file or a piece of memory, read in order. The one place of this stage that opens files.
 *
 * The chunk is a parameter so that tests can prove that its size never shows in a result.
 */
#ifndef MILRISE_READ_BYTES_H
#define MILRISE_READ_BYTES_H

#include "base/sha256.h"
#include "milrise/read.h"

#define MR_CHUNK_BYTES (64U << 10) /* fits the second-level cache: measured faster than 1 MiB and than mapping */

struct mr_bytes {
    int fd;                /* -1 for memory */
    const char *data;      /* memory only */
    uint64_t size;         /* as it was on opening, or as the caller sets it: no byte beyond it is handed out */
    uint64_t at;           /* bytes handed out */
    size_t chunk;          /* most bytes per call */
    int error;             /* errno of a failed call, else 0 */
    struct mr_sha256 *sha; /* is fed what is handed out; NULL */
};

/** mr_bytes_open - only regular files are opened; a pipe or device never blocks the caller. stamp may be NULL.
 *  Returns: true; false with error set (a folder, pipe or device gives EINVAL). */
bool mr_bytes_open(struct mr_bytes *bytes, const char *path, size_t chunk, struct mr_stamp *out_stamp);

void mr_bytes_memory(struct mr_bytes *bytes, const char *data, uint64_t n, size_t chunk);

/** mr_bytes_next - the next bytes, at most room and at most a chunk. Returns: how many; 0 at the end or on error. */
size_t mr_bytes_next(struct mr_bytes *bytes, char *out, size_t room);

void mr_bytes_close(struct mr_bytes *bytes);

#endif
