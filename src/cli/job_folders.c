#include "cli/job_folders.h"

#include "milrise/milrise.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
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

/* As instruments' programs and spreadsheets name what they save as text. The first two are tables and nothing else.
 */
static bool is_export_name(const char *name, bool table) {
    static const char *const ends[] = {".csv", ".tsv", ".txt", ".dat", ".asc", ".prn", ".log"};
    const char *dot = strrchr(name, '.');
    for (size_t i = 0; dot && i < (table ? 2 : MR_COUNT(ends)); i++)
        if (strcasecmp(dot, ends[i]) == 0)
            return true;
    return false;
}

static bool has_tables(struct mr_arena *arena, const char *folder, int depth) {
    DIR *dir = opendir(folder);
    bool found = false;
    for (struct dirent *e; dir && !found && (e = readdir(dir));) {
        struct stat st;
        const char *path = mr_printf(arena, "%s/%s", folder, e->d_name);
        if (e->d_name[0] == '.' || lstat(path, &st) != 0)
            continue;
        found = S_ISREG(st.st_mode) ? is_export_name(e->d_name, true)
                                    : S_ISDIR(st.st_mode) && depth < DEPTH_MOST && has_tables(arena, path, depth + 1);
    }
    if (dir)
        closedir(dir);
    return found;
}

bool mr_is_job(struct mr_arena *arena, const char *folder) {
    struct stat st;
    return lstat(mr_printf(arena, "%s/" MR_JOB_FILE, folder), &st) == 0 ||
           lstat(mr_printf(arena, "%s/reports/latest", folder), &st) == 0;
}

bool mr_folder_has_tables(struct mr_arena *arena, const char *folder) {
    return has_tables(arena, folder, 0);
}

typedef MR_VEC(const char *) path_list;

/* Returns whether the folder is a job or holds one; fresh: whether it may become one. */
static bool search(struct job_search *s, const char *folder, int depth, bool *fresh) {
    if (s->on_folder) /* before the look, so that nothing comes in between unheard */
        s->on_folder(s->ctx, folder);
    if (access(mr_printf(s->arena, "%s/" MR_JOB_FILE, folder), F_OK) == 0) {
        MR_PUSH(s->arena, &s->out->jobs, folder);
        return true;
    }
    DIR *dir = opendir(folder);
    if (!dir) {
        const struct mr_unread_folder unread = {folder, errno};
        MR_PUSH(s->arena, &s->out->unread, unread);
        return false;
    }
    bool exports = false, jobs = false;
    path_list maybe = {0};
    for (struct dirent *e; (e = readdir(dir));) {
        struct stat st;
        const char *path = mr_printf(s->arena, "%s/%s", folder, e->d_name);
        if (e->d_name[0] == '.' || lstat(path, &st) != 0 || (depth == 0 && strcmp(e->d_name, MR_ROLL_UP) == 0))
            continue;
        exports |= S_ISREG(st.st_mode) && is_export_name(e->d_name, false);
        bool inner = false;
        if (S_ISDIR(st.st_mode) && depth < DEPTH_MOST)
            jobs |= search(s, path, depth + 1, &inner);
        if (inner)
            MR_PUSH(s->arena, &maybe, path);
    }
    closedir(dir);
    for (size_t i = 0; i < maybe.n && (jobs || depth == 0); i++)
        MR_PUSH(s->arena, &s->out->fresh, maybe.v[i]);
    *fresh = !jobs && (exports || maybe.n);
    return jobs;
}

int mr_job_folders(struct mr_arena *arena, const char *root, struct mr_job_folders *out,
                   void (*on_folder)(void *ctx, const char *path), void *ctx) {
    *out = (struct mr_job_folders){0};
    struct job_search s = {arena, out, on_folder, ctx};
    bool fresh;
    search(&s, root, 0, &fresh);
    if (out->jobs.n)
        qsort(out->jobs.v, out->jobs.n, sizeof *out->jobs.v, by_path);
    if (out->fresh.n)
        qsort(out->fresh.v, out->fresh.n, sizeof *out->fresh.v, by_path);
    for (size_t i = 0; i < out->unread.n; i++)
        if (out->unread.v[i].path == root)
            return out->unread.v[i].error;
    return 0;
}
