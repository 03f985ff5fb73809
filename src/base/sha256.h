/*
 * sha256.h - the fingerprint of a file's bytes. sha256.c alone includes OpenSSL's header.
 */
#ifndef MILRISE_BASE_SHA256_H
#define MILRISE_BASE_SHA256_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct mr_sha256;

/** mr_sha256_new - begin. mr_sha256_add passes a NULL over. mr_sha256_end frees it and writes 64 hex digits and a
 * NUL. Want of memory ends the process (mr_out_of_memory). */
struct mr_sha256 *mr_sha256_new(void);
void mr_sha256_add(struct mr_sha256 *sha, const void *data, size_t n);
void mr_sha256_end(struct mr_sha256 *sha, char out[65]);

/** mr_sha256_fd - of a file from its start. Returns: true with 64 hex digits and the length; false with errno. */
bool mr_sha256_fd(int fd, char out[65], uint64_t *out_bytes);

#endif
