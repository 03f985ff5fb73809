/*
 * folder.c - which files a job has: a walk in byte order that follows no folder twice and leaves nothing out
 * silently.
 */
#include "read/source/source.h"

#include "base/pool.h"
#include "base/text.h"
#include "read/bytes/links.h"
#include "read/job/job_lookup.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { DEPTH_MAX = 32 }; /* folders within folders; a job is two or three deep */

struct folder_walk {
    struct mr_arena *arena;
    const struct mr_job *job;
    struct mr_diags *diags;
    MR_VEC(const char *) paths; /* relative to the job folder, as the file system spells them */
};

/* A path as it is shown: names of files may hold anything. */
static const char *shown(struct folder_walk *walk, const char *path) {
    return mr_clean_text(walk->arena, path, strlen(path), 4 * strlen(path));
}

static void tell(struct folder_walk *walk, const char *path, const char *what, int error) {
    const char *why = error ? strerrordesc_np(error) : NULL;
    mr_diag_add(walk->diags, MR_ERROR, "unreadable", (struct mr_place){.file = shown(walk, path)}, NULL,
                "Make it readable, or take it out of the job folder.", "%s%s%s", what, why ? ": " : "",
                why ? why : "");
}

/* The answer that an earlier run left; a file of the same name by somebody else is an input like any other. */
static bool is_answer(struct folder_walk *walk, const char *name) {
    char head[200] = "";
    int fd =
        open(mr_printf(walk->arena, "%s/%s", walk->job->dir, name), O_RDONLY | O_CLOEXEC | O_NONBLOCK | O_NOFOLLOW);
    ssize_t n = fd < 0 ? -1 : read(fd, head, sizeof head - 1);
    const int error = n < 0 ? errno : 0;
    const bool is_none = error == EISDIR || error == ELOOP; /* no run leaves a folder or a link */
    if (fd >= 0)
        close(fd);
    if (error && !is_none) /* whose it is cannot be told */
        tell(walk, name, "cannot be read and is left out", error);
    return error ? !is_none : strstr(head, MR_ANSWER_MARK) != NULL;
}

static bool ends_in(const char *name, const char *suffix) {
    const size_t n = strlen(name), k = strlen(suffix);
    return n > k && strcmp(name + n - k, suffix) == 0;
}

/* The job's own maps, rules and words, with the logo of these. Columns carry roofs, too: whatever else lies in a
 * folder of that name is an export as anywhere. */
static bool is_of_job_file(const char *folder, const char *name) {
    static const struct {
        const char *folder, *suffix;
    } own[] = {{"columns", ".map"}, {"rules", ".rule"}, {"wording", ".wording"}, {"wording", ".png"}};
    for (size_t i = 0; i < MR_COUNT(own); i++)
        if (strcmp(folder, own[i].folder) == 0 && ends_in(name, own[i].suffix))
            return true;
    return false;
}

static bool is_skipped(struct folder_walk *walk, const char *folder, const char *name) {
    static const char *const names[] = {MR_JOB_FILE, "reports"};
    if (!*folder && (strcmp(name, MR_ANSWER_TEXT) == 0 || strcmp(name, MR_ANSWER_HTML) == 0))
        return is_answer(walk, name);
    if (name[0] == '.' || is_of_job_file(folder, name))
        return true;
    for (size_t i = 0; !*folder && i < MR_COUNT(names); i++)
        if (strcmp(name, names[i]) == 0)
            return true;
    return false;
}

static int by_name(const void *a, const void *b) {
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static int walk_folder(struct folder_walk *walk, const char *folder, int depth);

/* One entry of a folder. A link to a file is that file; a link to a folder is left out, and said so. */
static void walk_entry(struct folder_walk *walk, const char *path, int depth) {
    const char *full = mr_printf(walk->arena, "%s/%s", walk->job->dir, path);
    struct stat link, st;
    bool is_link = lstat(full, &link) == 0 && S_ISLNK(link.st_mode);
    if (stat(full, &st) == 0 && S_ISDIR(st.st_mode)) {
        int error = 0;
        if (is_link)
            mr_diag_add(walk->diags, MR_WARNING, "linked-folder", (struct mr_place){.file = shown(walk, path)}, NULL,
                        "Copy the folder into the job folder if its files belong to this job.",
                        "links to folders are not followed");
        else if (depth >= DEPTH_MAX)
            tell(walk, path, "is nested too deeply and is left out", 0);
        else if ((error = walk_folder(walk, path, depth + 1)) != 0)
            tell(walk, path, "this folder cannot be read", error);
        return;
    }
    const struct mr_file_rule *rule = mr_file_rule_for(walk->arena, walk->job, path);
    if (rule && strcmp(rule->kind, "ignore") == 0)
        return;
    MR_PUSH(walk->arena, &walk->paths, path);
}

static int walk_folder(struct folder_walk *walk, const char *folder, int depth) {
    const char *full = *folder ? mr_printf(walk->arena, "%s/%s", walk->job->dir, folder) : walk->job->dir;
    DIR *dir = opendir(full);
    if (!dir)
        return errno;
    MR_VEC(const char *) names = {0};
    const struct dirent *entry;
    for (errno = 0; (entry = readdir(dir)) != NULL; errno = 0)
        if (!is_skipped(walk, folder, entry->d_name))
            MR_PUSH(walk->arena, &names, mr_strdup(walk->arena, entry->d_name));
    int error = errno;
    closedir(dir);
    if (names.n) /* so that diagnostics come in the same order everywhere */
        qsort(names.v, names.n, sizeof *names.v, by_name);
    for (size_t i = 0; i < names.n; i++)
        walk_entry(walk, *folder ? mr_printf(walk->arena, "%s/%s", folder, names.v[i]) : names.v[i], depth);
    return error;
}

/* One file of the job, described by itself. */
struct described {
    struct mr_arena *arena;
    const struct mr_job *job;
    const char *full, *shown;
    struct mr_diags diags;
    struct mr_sources tables; /* one, or each table of the file */
};

static void describe_file(void *ctx, size_t piece, size_t worker) {
    struct described *d = (struct described *)ctx + piece;
    struct mr_source source;
    (void)worker;
    enum mr_status status = mr_read_source(d->arena, d->job, d->full, d->shown, &d->diags, &source);
    (void)status; /* an unreadable file is listed too; its diagnostic says why */
    mr_tell_outside(d->arena, &d->diags, d->shown, source.outside);
    mr_read_split(d->arena, d->job, &source, &d->tables);
}

enum mr_status mr_read_folder(struct mr_arena *arena, const struct mr_job *job, struct mr_diags *diags,
                              struct mr_sources *out) {
    struct folder_walk walk = {.arena = arena, .job = job, .diags = diags};
    *out = (struct mr_sources){.job = job};
    int error = walk_folder(&walk, "", 0);
    if (error) {
        tell(&walk, job->dir, "the job folder cannot be read", error);
        return MR_E_IO;
    }
    if (walk.paths.n)
        qsort(walk.paths.v, walk.paths.n, sizeof *walk.paths.v, by_name);
    struct described *file = MR_ARRAY(arena, struct described, walk.paths.n);
    for (size_t i = 0; i < walk.paths.n; i++) {
        file[i] = (struct described){.arena = mr_arena_child(arena),
                                     .job = job,
                                     .full = mr_printf(arena, "%s/%s", job->dir, walk.paths.v[i]),
                                     .shown = shown(&walk, walk.paths.v[i]),
                                     .tables = {.job = job}};
        mr_diags_init(&file[i].diags, file[i].arena);
    }
    mr_pool_each(walk.paths.n, describe_file, file);
    for (size_t i = 0; i < walk.paths.n; i++) {
        mr_diags_append(diags, &file[i].diags);
        for (size_t k = 0; k < file[i].tables.list.n; k++)
            MR_PUSH(arena, &out->list, file[i].tables.list.v[k]);
    }
    return MR_OK;
}
