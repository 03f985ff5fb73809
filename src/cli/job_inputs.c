/*
 * job_inputs.c - the files that a job is made from, as one hash: by names, sizes and times, or by their bytes.
 */
#include "cli/job_state.h"

#include "milrise/milrise.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <glib.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { DEPTH_MOST = 32, FRESH_S = 2 }; /* FAT keeps times to 2 s, a kernel to its tick */

struct input_walk {
    struct mr_arena *arena;
    GChecksum *sum;
    bool bytes; /* hash the content too */
    int error;
    int64_t size, now_s;
    bool fresh;
    void (*on_folder)(void *ctx, const char *path);
    void *ctx;
};

static int by_name(const void *a, const void *b) {
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static bool is_input(const char *name, int depth) {
    if (name[0] == '.')
        return false;
    return depth > 0 ||
           (strcmp(name, "reports") != 0 && strcmp(name, MR_ANSWER_TEXT) != 0 && strcmp(name, MR_ANSWER_HTML) != 0);
}

/* No more than the size that was seen: behind a link may lie a file that has no end. */
static void add_bytes(struct input_walk *walk, const char *path, int64_t left) {
    unsigned char buffer[1 << 16];
    int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    ssize_t n = fd < 0 ? -1 : 0;
    while (fd >= 0 && left > 0) {
        n = read(fd, buffer, left < (int64_t)sizeof buffer ? (size_t)left : sizeof buffer);
        if (n <= 0)
            break;
        g_checksum_update(walk->sum, buffer, n);
        left -= n;
    }
    if (n < 0) /* may not be read: as good a content as another, and the report says so */
        g_checksum_update(walk->sum, (const unsigned char *)"unread", 6);
    if (fd >= 0)
        close(fd);
}

/* A copy can bring size and time of change along; the time of the last change of the entry (ctime) it cannot. */
static void add_file(struct input_walk *walk, const char *path, const char *below, const struct stat *st) {
    g_checksum_update(walk->sum, (const unsigned char *)below, (gssize)strlen(below) + 1);
    long long facts[5] = {(long long)st->st_size};
    if (!walk->bytes) {
        facts[1] = (long long)st->st_mtim.tv_sec;
        facts[2] = (long long)st->st_mtim.tv_nsec;
        facts[3] = (long long)st->st_ctim.tv_sec;
        facts[4] = (long long)st->st_ctim.tv_nsec;
    }
    g_checksum_update(walk->sum, (const unsigned char *)facts, sizeof facts);
    walk->size += (int64_t)st->st_size;
    walk->fresh |= llabs((long long)st->st_mtim.tv_sec - (long long)walk->now_s) <= FRESH_S ||
                   llabs((long long)st->st_ctim.tv_sec - (long long)walk->now_s) <= FRESH_S;
    if (walk->bytes && S_ISREG(st->st_mode))
        add_bytes(walk, path, (int64_t)st->st_size);
}

static void walk_inputs(struct input_walk *walk, const char *root, const char *below, int depth) {
    const char *folder = *below ? mr_printf(walk->arena, "%s/%s", root, below) : root;
    if (walk->on_folder)
        walk->on_folder(walk->ctx, folder);
    DIR *dir = opendir(folder);
    if (!dir) {
        walk->error = depth == 0 ? errno : walk->error;
        g_checksum_update(walk->sum, (const unsigned char *)"unread", 6);
        return;
    }
    MR_VEC(const char *) names = {0};
    for (struct dirent *e; (e = readdir(dir));)
        if (is_input(e->d_name, depth))
            MR_PUSH(walk->arena, &names, mr_strdup(walk->arena, e->d_name));
    closedir(dir);
    if (names.n)
        qsort(names.v, names.n, sizeof *names.v, by_name);
    for (size_t i = 0; i < names.n; i++) {
        const char *path = mr_printf(walk->arena, "%s/%s", folder, names.v[i]);
        const char *under = *below ? mr_printf(walk->arena, "%s/%s", below, names.v[i]) : names.v[i];
        struct stat st, link;
        if (lstat(path, &link) != 0 || stat(path, &st) != 0)
            continue; /* gone meanwhile, or a link that leads nowhere */
        if (!S_ISDIR(st.st_mode))
            add_file(walk, path, under, &st);
        else if (!S_ISLNK(link.st_mode) && depth < DEPTH_MOST)
            walk_inputs(walk, root, under, depth + 1);
    }
}

static void take_hash(struct input_walk *walk, char out[MR_HASH_TEXT]) {
    memcpy(out, g_checksum_get_string(walk->sum), MR_HASH_TEXT);
    g_checksum_free(walk->sum);
}

int mr_job_inputs(struct mr_arena *arena, const char *dir, int64_t now_s,
                  void (*on_folder)(void *ctx, const char *path), void *ctx, struct mr_job_inputs *out) {
    struct input_walk walk = {
        .arena = arena, .sum = g_checksum_new(G_CHECKSUM_SHA256), .now_s = now_s, .on_folder = on_folder, .ctx = ctx};
    walk_inputs(&walk, dir, "", 0);
    take_hash(&walk, out->hash);
    out->size = walk.size;
    out->fresh = walk.fresh;
    return walk.error;
}

int mr_job_content(struct mr_arena *arena, const char *dir, char out[MR_HASH_TEXT]) {
    struct input_walk walk = {.arena = arena, .sum = g_checksum_new(G_CHECKSUM_SHA256), .bytes = true};
    walk_inputs(&walk, dir, "", 0);
    take_hash(&walk, out);
    return walk.error;
}

void mr_program_print(struct mr_arena *arena, char out[MR_HASH_TEXT]) {
    struct stat st = {0};
    if (stat("/proc/self/exe", &st) != 0)
        st.st_size = 0;
    const char *text = mr_printf(arena, "%s %lld %lld %ld", MR_VERSION, (long long)st.st_size,
                                 (long long)st.st_mtim.tv_sec, (long)st.st_mtim.tv_nsec);
    char *hash = g_compute_checksum_for_string(G_CHECKSUM_SHA256, text, -1);
    memcpy(out, hash, MR_HASH_TEXT);
    g_free(hash);
}
