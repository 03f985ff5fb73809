/*
 * digest.c - GLib's checksum, which is here with pango.
 */
#include "render/digest.h"

#include <errno.h>
#include <glib.h>
#include <string.h>
#include <unistd.h>

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
