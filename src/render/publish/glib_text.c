/*
 * glib_text.c - GLib is here with pango anyway; the rest of the stage does without it.
 */
#include "render/publish/glib_text.h"

#include <errno.h>
#include <glib.h>
#include <string.h>
#include <unistd.h>

/* The handle is GLib's own under another name, so that its header stays here. */
struct mr_digest *mr_digest_new(void) {
    return (struct mr_digest *)g_checksum_new(G_CHECKSUM_SHA256);
}

void mr_digest_add(struct mr_digest *digest, const void *data, size_t n) {
    g_checksum_update((GChecksum *)digest, data, (gssize)n);
}

void mr_digest_end(struct mr_digest *digest, char out[65]) {
    memcpy(out, g_checksum_get_string((GChecksum *)digest), 65);
    g_checksum_free((GChecksum *)digest);
}

bool mr_digest_fd(int fd, char out[65], uint64_t *out_bytes) {
    unsigned char buffer[1 << 16];
    uint64_t at = 0;
    GChecksum *sum = g_checksum_new(G_CHECKSUM_SHA256);
    ssize_t n;
    for (;;) {
        n = pread(fd, buffer, sizeof buffer, (off_t)at);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            break;
        g_checksum_update(sum, buffer, n);
        at += (uint64_t)n;
    }
    memcpy(out, g_checksum_get_string(sum), 65);
    g_checksum_free(sum);
    *out_bytes = at;
    return n == 0;
}

bool mr_same_name(const char *a, const char *b) {
    gchar *x = g_utf8_casefold(a, -1), *y = g_utf8_casefold(b, -1);
    const bool same = strcmp(x, y) == 0;
    g_free(x);
    g_free(y);
    return same;
}
