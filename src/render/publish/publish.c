/*
 * publish.c - staging and commit; see publish.h for what is promised.
 */
#include "render/publish/publish.h"

#include "render/publish/glib_text.h"
#include "render/publish/staging.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdatomic.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "milrise/render.h"

enum { SLOTS = 32 };

/* The one list that outlives a call: staging folders of this process, so that an exit path that knows nothing of jobs
 * can remove them. A slot is taken and given back whole, by its own thread. */
static struct {
    atomic_int state; /* 0 free, 1 being filled, 2 may be removed */
    pid_t pid;
    char path[PATH_MAX];
} slots[SLOTS];

static size_t slot_take(const char *path) {
    for (size_t i = 0; i < SLOTS; i++) {
        int free_state = 0;
        if (!atomic_compare_exchange_strong(&slots[i].state, &free_state, 1))
            continue;
        slots[i].pid = getpid();
        snprintf(slots[i].path, sizeof slots[i].path, "%s", path);
        atomic_store(&slots[i].state, 2);
        return i;
    }
    return MR_NONE;
}

static void slot_give(size_t slot) {
    if (slot != MR_NONE)
        atomic_store(&slots[slot].state, 0);
}

void mr_render_discard(void) {
    for (size_t i = 0; i < SLOTS; i++)
        if (atomic_load(&slots[i].state) == 2 && slots[i].pid == getpid()) {
            mr_staging_remove(slots[i].path);
            atomic_store(&slots[i].state, 0);
        }
}

static enum mr_status make_staging(struct mr_publish *pub) {
    for (unsigned i = 0; i < 1000; i++) {
        const char *tail = i ? mr_printf(pub->arena, "-%u", i) : "";
        pub->staging = mr_printf(pub->arena, "%s/" MR_STAGING_PREFIX "%ld%s", pub->out_dir, (long)getpid(), tail);
        if (mkdir(pub->staging, 0777) == 0)
            break;
        if (errno != EEXIST)
            return mr_output_failed(pub->diags, pub->staging, errno);
    }
    pub->slot = slot_take(pub->staging);
    pub->staging_fd = open(pub->staging, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (pub->staging_fd < 0)
        return mr_output_failed(pub->diags, pub->staging, errno);
    mr_staging_lock(pub->staging_fd, false);
    static const char *const parts[] = {"new", "old", "tmp"};
    for (size_t i = 0; i < MR_COUNT(parts); i++) {
        const char *path = mr_printf(pub->arena, "%s/%s", pub->staging, parts[i]);
        if (mkdir(path, 0777) != 0)
            return mr_output_failed(pub->diags, path, errno);
    }
    return MR_OK;
}

enum mr_status mr_publish_begin(struct mr_publish *pub, struct mr_arena *arena, const char *out_dir,
                                struct mr_diags *diags) {
    *pub = (struct mr_publish){.arena = arena, .diags = diags, .out_dir = out_dir, .staging_fd = -1, .slot = MR_NONE};
    pub->made_out_dir = access(out_dir, F_OK) != 0;
    if (!mr_folder_make(arena, out_dir))
        return mr_output_failed(diags, out_dir, errno);
    int lock = open(out_dir, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (lock < 0)
        return mr_output_failed(diags, out_dir, errno);
    mr_staging_lock(lock, true);
    enum mr_status status = mr_staging_recover(arena, out_dir, diags);
    if (status == MR_OK)
        status = make_staging(pub);
    close(lock);
    if (status != MR_OK)
        mr_publish_discard(pub);
    return status;
}

const char *mr_publish_path(struct mr_publish *pub, const char *path, size_t *out_index) {
    struct mr_staged f = {.path = path, .staged = mr_printf(pub->arena, "%s/new/%s", pub->staging, path)};
    mr_folder_make(pub->arena, mr_folder_of(pub->arena, f.staged)); /* a failure shows when the file is opened */
    *out_index = pub->files.n;
    MR_PUSH(pub->arena, &pub->files, f);
    return f.staged;
}

enum mr_status mr_publish_close(struct mr_publish *pub, size_t index) {
    struct mr_staged *f = &pub->files.v[index];
    int fd = open(f->staged, O_RDWR | O_CLOEXEC);
    bool good = fd >= 0 && fsync(fd) == 0 && mr_digest_fd(fd, f->sha256, &f->bytes);
    int error = errno;
    if (fd >= 0 && close(fd) != 0 && good) {
        good = false;
        error = errno;
    }
    f->closed = good;
    return good ? MR_OK : mr_output_failed(pub->diags, f->path, error);
}

static bool inside(const char *path) {
    if (!path[0] || path[0] == '/' || strchr(path, '\n') || strcmp(path, "..") == 0 || strncmp(path, "../", 3) == 0)
        return false;
    const size_t n = strlen(path);
    return !strstr(path, "/../") && !(n >= 3 && strcmp(path + n - 3, "/..") == 0);
}

void mr_publish_stale(struct mr_publish *pub, const char *path, const char *sha256) {
    if (!inside(path) || strlen(sha256) != 64)
        return;
    for (size_t i = 0; i < pub->files.n; i++)
        if (strcmp(pub->files.v[i].path, path) == 0)
            return;
    struct mr_stale s = {mr_strdup(pub->arena, path), mr_strdup(pub->arena, sha256)};
    MR_PUSH(pub->arena, &pub->stale, s);
}

enum mr_status mr_publish_seal(struct mr_publish *pub) {
    const char *path = mr_printf(pub->arena, "%s/" MR_JOURNAL, pub->staging);
    FILE *f = fopen(path, "wxe");
    if (!f)
        return mr_output_failed(pub->diags, path, errno);
    fputs("milrise outputs 1\n", f);
    for (size_t i = 0; i < pub->files.n; i++)
        fputs(mr_printf(pub->arena, "new %s\n", pub->files.v[i].path), f);
    for (size_t i = 0; i < pub->stale.n; i++)
        fputs(mr_printf(pub->arena, "gone %s %s\n", pub->stale.v[i].sha256, pub->stale.v[i].path), f);
    fputs("end\n", f);
    bool good = fflush(f) == 0 && !ferror(f) && fsync(fileno(f)) == 0;
    int error = errno;
    if (fclose(f) != 0 && good) {
        good = false;
        error = errno;
    }
    if (!good) {
        unlink(path);
        return mr_output_failed(pub->diags, path, error);
    }
    mr_path_sync(mr_printf(pub->arena, "%s/new", pub->staging));
    mr_path_sync(pub->staging);
    return MR_OK;
}

static void end_staging(struct mr_publish *pub) {
    if (pub->staging)
        mr_staging_remove(pub->staging);
    if (pub->staging_fd >= 0)
        close(pub->staging_fd);
    pub->staging_fd = -1;
    slot_give(pub->slot);
    pub->slot = MR_NONE;
}

enum mr_status mr_publish_commit(struct mr_publish *pub) {
    slot_give(pub->slot); /* from here on the folder belongs to the next run, should this one die */
    pub->slot = MR_NONE;
    int lock = open(pub->out_dir, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (lock >= 0)
        mr_staging_lock(lock, true);
    const char **paths = MR_ARRAY(pub->arena, const char *, pub->files.n);
    for (size_t i = 0; i < pub->files.n; i++)
        paths[i] = pub->files.v[i].path;
    enum mr_status status =
        mr_staging_move(pub->arena, pub->out_dir, pub->staging, paths, pub->files.n, true, pub->diags);
    if (status == MR_OK) {
        mr_staging_sweep(pub->arena, pub->out_dir, pub->stale.v, pub->stale.n);
        mr_path_sync(mr_printf(pub->arena, "%s/charts", pub->out_dir));
        mr_path_sync(pub->out_dir);
        end_staging(pub);
    } else {
        mr_publish_discard(pub);
    }
    if (lock >= 0)
        close(lock);
    return status;
}

void mr_publish_discard(struct mr_publish *pub) {
    end_staging(pub);
    if (pub->made_out_dir) {
        rmdir(mr_printf(pub->arena, "%s/charts", pub->out_dir));
        rmdir(pub->out_dir);
    }
}
