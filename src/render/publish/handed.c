/*
 * handed.c - the files of a revision: what their makers hand over is hashed on its way, and what the disk gives back
 * is held against it. A write that a library forgets to look at shows here.
 */
#include "render/publish/beneath.h"
#include "render/publish/publish.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

size_t mr_publish_file(struct mr_publish *pub, const char *path) {
    struct mr_made_file f = {.path = path};
    const char *slash = strchr(path, '/');
    if (slash) {
        const int fd = mr_beneath_folder(pub->report, mr_strndup(pub->arena, path, (size_t)(slash - path)));
        f.folder_error = fd < 0 ? errno : 0; /* told when the file is opened */
        if (fd >= 0)
            close(fd);
    }
    MR_PUSH(pub->arena, &pub->files, f);
    return pub->files.n - 1;
}

const char *mr_publish_path(const struct mr_publish *pub, const char *path) {
    return mr_printf(pub->arena, "/proc/self/fd/%d/%s", pub->report, path);
}

int mr_handed_open(const struct mr_publish *pub, size_t index, struct mr_handed *out) {
    const struct mr_made_file *f = &pub->files.v[index];
    const int fd = f->folder_error ? -1 : mr_beneath_open(pub->report, f->path, O_WRONLY | O_CREAT | O_EXCL);
    *out = (struct mr_handed){.fd = fd, .error = fd >= 0 ? 0 : f->folder_error ? f->folder_error : errno};
    if (fd >= 0)
        out->digest = mr_sha256_new();
    return out->error;
}

enum { SENT_EARLY_BYTES = 8 << 20 };

/* The disk begins with a long file while it is still being made, so that little is left to wait for at its end. A
 * wish: whether the bytes arrive, fsync and reading them back tell. */
static void send_early(const struct mr_handed *h) {
    const int before = errno;
    sync_file_range(h->fd, 0, 0, SYNC_FILE_RANGE_WRITE);
    errno = before;
}

int mr_handed_put(void *handed, const void *data, size_t n) {
    struct mr_handed *h = handed;
    if (h->error)
        return h->error;
    const uint64_t before = h->bytes;
    mr_sha256_add(h->digest, data, n);
    h->bytes += n;
    h->error = mr_write_fully(h->fd, data, n);
    if (!h->error && before / SENT_EARLY_BYTES != h->bytes / SENT_EARLY_BYTES)
        send_early(h);
    return h->error;
}

int mr_handed_end(struct mr_publish *pub, size_t index, struct mr_handed *h) {
    struct mr_made_file *f = &pub->files.v[index];
    if (h->digest)
        mr_sha256_end(h->digest, f->handed_sha256);
    f->handed_bytes = h->bytes;
    f->is_handed = true;
    if (h->fd >= 0 && close(h->fd) != 0 && !h->error)
        h->error = errno;
    return h->error;
}

static ssize_t stream_write(void *cookie, const char *data, size_t n) {
    const int error = mr_handed_put(cookie, data, n);
    errno = error;
    return error ? 0 : (ssize_t)n; /* 0 is how a cookie's writer says that it failed */
}

FILE *mr_handed_stream(struct mr_handed *handed) {
    const cookie_io_functions_t functions = {.write = stream_write};
    return fopencookie(handed, "w", functions);
}

static int flush_to_disk(const struct mr_publish *pub, const char *path) {
    const int fd = mr_beneath_open(pub->report, path, O_RDONLY | O_NONBLOCK);
    if (fd < 0)
        return errno;
    const int error = fsync(fd) == 0 ? 0 : errno;
    return close(fd) == 0 || error ? error : errno;
}

enum mr_status mr_publish_close(struct mr_publish *pub, size_t index) {
    struct mr_made_file *f = &pub->files.v[index];
    int error = flush_to_disk(pub, f->path);
    if (!error && !mr_beneath_digest(pub->report, f->path, f->sha256, &f->bytes))
        error = errno;
    if (error)
        return mr_output_failed(pub->diags, f->path, error);
    if (!f->is_handed || (f->bytes == f->handed_bytes && strcmp(f->sha256, f->handed_sha256) == 0))
        return MR_OK;
    mr_diag_add(pub->diags, MR_ERROR, "output", (struct mr_place){.file = f->path}, NULL,
                "Check the disk: it gave back other bytes than it took. The former report is unchanged.",
                "was written with %llu bytes and read back with %llu bytes or other content",
                (unsigned long long)f->handed_bytes, (unsigned long long)f->bytes);
    return MR_E_OUTPUT;
}
