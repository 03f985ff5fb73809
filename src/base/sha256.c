#include "base/sha256.h"

#include "milrise/arena.h"

#include <errno.h>
#include <openssl/evp.h>
#include <string.h>
#include <unistd.h>

/* Nothing but want of memory makes the library refuse, and a report without a fingerprint would only look whole. */
struct mr_sha256 *mr_sha256_new(void) {
    EVP_MD_CTX *ctx = EVP_MD_CTX_new();
    if (!ctx || EVP_DigestInit_ex(ctx, EVP_sha256(), NULL) != 1)
        mr_out_of_memory();
    return (struct mr_sha256 *)ctx;
}

void mr_sha256_add(struct mr_sha256 *sha, const void *data, size_t n) {
    if (sha && n && EVP_DigestUpdate((EVP_MD_CTX *)sha, data, n) != 1)
        mr_out_of_memory();
}

void mr_sha256_end(struct mr_sha256 *sha, char out[65]) {
    static const char digits[] = "0123456789abcdef";
    unsigned char digest[EVP_MAX_MD_SIZE];
    unsigned int n = 0;
    if (EVP_DigestFinal_ex((EVP_MD_CTX *)sha, digest, &n) != 1)
        mr_out_of_memory();
    EVP_MD_CTX_free((EVP_MD_CTX *)sha);
    memset(out, 0, 65);
    for (unsigned int i = 0; i < n && i < 32; i++) {
        out[2 * i] = digits[digest[i] >> 4];
        out[2 * i + 1] = digits[digest[i] & 15];
    }
}

bool mr_sha256_fd(int fd, char out[65], uint64_t *out_bytes) {
    unsigned char buffer[1 << 16];
    uint64_t at = 0;
    struct mr_sha256 *sha = mr_sha256_new();
    ssize_t n;
    for (;;) {
        n = pread(fd, buffer, sizeof buffer, (off_t)at);
        if (n < 0 && errno == EINTR)
            continue;
        if (n <= 0)
            break;
        mr_sha256_add(sha, buffer, (size_t)n);
        at += (uint64_t)n;
    }
    const int error = errno;
    mr_sha256_end(sha, out);
    errno = error;
    *out_bytes = at;
    return n == 0;
}
