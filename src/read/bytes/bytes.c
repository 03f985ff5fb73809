#include "read/bytes/bytes.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

bool mr_bytes_open(struct mr_bytes *bytes, const char *path, size_t chunk, struct mr_stamp *out_stamp) {
    *bytes = (struct mr_bytes){.fd = -1, .chunk = chunk};
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOCTTY);
    if (fd < 0) {
        bytes->error = errno;
        return false;
    }
    struct stat st;
    if (fstat(fd, &st) != 0 || !S_ISREG(st.st_mode)) {
        bytes->error = EINVAL;
        close(fd);
        return false;
    }
    bytes->fd = fd;
    bytes->size = (uint64_t)st.st_size;
    if (out_stamp)
        *out_stamp = (struct mr_stamp){.device = (uint64_t)st.st_dev,
                                       .inode = (uint64_t)st.st_ino,
                                       .changed_s = (int64_t)st.st_mtim.tv_sec,
                                       .changed_ns = (int64_t)st.st_mtim.tv_nsec};
    return true;
}

void mr_bytes_memory(struct mr_bytes *bytes, const char *data, uint64_t n, size_t chunk) {
    *bytes = (struct mr_bytes){.fd = -1, .data = data, .size = n, .chunk = chunk};
}

static size_t next_of_file(struct mr_bytes *bytes, char *out, size_t want) {
    for (;;) {
        ssize_t got = read(bytes->fd, out, want);
        if (got >= 0)
            return (size_t)got;
        if (errno != EINTR) {
            bytes->error = errno;
            return 0;
        }
    }
}

size_t mr_bytes_next(struct mr_bytes *bytes, char *out, size_t room) {
    size_t want = room < bytes->chunk ? room : bytes->chunk;
    if (want > bytes->size - bytes->at)
        want = (size_t)(bytes->size - bytes->at);
    if (bytes->error || !want)
        return 0;
    size_t got = want;
    if (bytes->fd >= 0)
        got = next_of_file(bytes, out, want);
    else
        memcpy(out, bytes->data + bytes->at, want);
    bytes->at += got;
    mr_sha256_add(bytes->sha, out, got);
    return got;
}

void mr_bytes_close(struct mr_bytes *bytes) {
    if (bytes->fd >= 0)
        close(bytes->fd);
    bytes->fd = -1;
}
