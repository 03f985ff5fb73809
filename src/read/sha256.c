#include "read/sha256.h"

#include <openssl/evp.h>
#include <string.h>

/* The context itself is the library's; a failed update shows at the end, where the digest is then refused. */
struct mr_sha256 *mr_sha256_new(void) {
    EVP_MD_CTX *ctx = EVP_MD_CTX_new();
    if (ctx && EVP_DigestInit_ex(ctx, EVP_sha256(), NULL) != 1) {
        EVP_MD_CTX_free(ctx);
        ctx = NULL;
    }
    return (struct mr_sha256 *)ctx;
}

void mr_sha256_add(struct mr_sha256 *sha, const void *data, size_t n) {
    if (sha && n)
        EVP_DigestUpdate((EVP_MD_CTX *)sha, data, n);
}

bool mr_sha256_end(struct mr_sha256 *sha, char out[65]) {
    static const char digits[] = "0123456789abcdef";
    unsigned char digest[EVP_MAX_MD_SIZE];
    unsigned int n = 0;
    bool ok = sha && EVP_DigestFinal_ex((EVP_MD_CTX *)sha, digest, &n) == 1 && n == 32;
    EVP_MD_CTX_free((EVP_MD_CTX *)sha);
    memset(out, 0, 65);
    for (unsigned int i = 0; ok && i < n; i++) {
        out[2 * i] = digits[digest[i] >> 4];
        out[2 * i + 1] = digits[digest[i] & 15];
    }
    return ok;
}
