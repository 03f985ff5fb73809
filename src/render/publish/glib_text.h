/*
 * glib_text.h - what this stage takes from GLib: SHA-256 of a file, letter case.
 */
#ifndef MILRISE_RENDER_PUBLISH_GLIB_TEXT_H
#define MILRISE_RENDER_PUBLISH_GLIB_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A SHA-256 taken piece by piece. */
struct mr_digest;
struct mr_digest *mr_digest_new(void);
void mr_digest_add(struct mr_digest *digest, const void *data, size_t n);
/** mr_digest_end - 64 hex digits; the digest is gone. */
void mr_digest_end(struct mr_digest *digest, char out[65]);

/** mr_digest_fd - hash from the file's start. Returns: true with 64 hex digits and the length; false with errno. */
bool mr_digest_fd(int fd, char out[65], uint64_t *out_bytes);

/** mr_same_name - equal but for letter case, in all of Unicode; both are well-formed UTF-8. */
bool mr_same_name(const char *a, const char *b);

#endif
