/*
 * digest.h - SHA-256 of a file.
 */
#ifndef MILRISE_RENDER_DIGEST_H
#define MILRISE_RENDER_DIGEST_H

#include <stdbool.h>
#include <stdint.h>

/** mr_digest_fd - hash from the file's start. Returns: true with 64 hex digits and the length; false with errno. */
bool mr_digest_fd(int fd, char out[65], uint64_t *out_bytes);

#endif
