#include "cli/job_folders.h"

#include "milrise/milrise.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { DEPTH_MOST = 12 };

struct job_search {
    struct mr_arena *arena;
    struct mr_job_folders *out;
    void (*on_folder)(void *ctx, const char *path);
    void *ctx;
};

static int by_path(const void *a, const void *b) {
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* Returns whether the folder is a job or holds one. */
static bool search(struct job_search *s, const char *folder, int depth, int *error) {
    if (s->on_folder) /* before the look, so that nothing comes in between unheard */
        s->on_folder(s->ctx, folder);
    if (access(mr_printf(s->arena, "%s/" MR_JOB_FILE, folder), F_OK) == 0) {
        MR_PUSH(s->arena, &s->out->jobs, folder);
        return true;
    }
    DIR *dir = opendir(folder);
    if (!dir) {
        *error = errno;
        return false;
    }
    bool files = false, jobs = false;
    int inner = 0;
    for (struct dirent *e; (e = readdir(dir));) {
        struct stat st;
        const char *path = mr_printf(s->arena, "%s/%s", folder, e->d_name);
        if (e->d_name[0] == '.' || lstat(path, &st) != 0)
            continue;
        files |= S_ISREG(st.st_mode);
        if (S_ISDIR(st.st_mode) && depth < DEPTH_MOST)
            jobs |= search(s, path, depth + 1, &inner);
    }
    closedir(dir);
    if (files && !jobs && depth == 1)
        MR_PUSH(s->arena, &s->out->fresh, folder);
    return jobs;
}

int mr_job_folders(struct mr_arena *arena, const char *root, struct mr_job_folders *out,
                   void (*on_folder)(void *ctx, const char *path), void *ctx) {
    *out = (struct mr_job_folders){0};
    struct job_search s = {arena, out, on_folder, ctx};
    int error = 0;
    search(&s, root, 0, &error);
    if (out->jobs.n)
        qsort(out->jobs.v, out->jobs.n, sizeof *out->jobs.v, by_path);
    if (out->fresh.n)
        qsort(out->fresh.v, out->fresh.n, sizeof *out->fresh.v, by_path);
    return error;
}
