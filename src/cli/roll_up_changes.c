/*
 * roll_up_changes.c - what is otherwise than in the roll-up before: whoever reported in between, a watcher too.
 */
#include "cli/roll_up.h"

#include "base/outfile.h"
#include "base/utf8.h"
#include "milrise/milrise.h"

#include <jansson.h>
#include <stdlib.h>
#include <string.h>

enum { FORMER_MOST = 1 << 30 };

struct former_job {
    const char *folder, *state;
    bool seen;
};

struct former {
    MR_VEC(struct former_job) jobs; /* in byte order of folders */
    const char *when;
};

static int by_folder(const void *a, const void *b) {
    const struct former_job *x = a, *y = b;
    return strcmp(x->folder, y->folder);
}

static const char *text_of(struct mr_arena *arena, const json_t *object, const char *key) {
    const char *text = json_string_value(json_object_get(object, key));
    return text ? mr_strdup(arena, text) : "";
}

static struct former read_former(struct mr_arena *arena, const char *path) {
    struct former f = {.when = ""};
    char *text;
    size_t n;
    struct mr_arena *scratch = mr_arena_like(arena);
    json_t *o = NULL;
    if (mr_file_slurp_own(scratch, path, FORMER_MOST, &text, &n) == MR_OK)
        o = json_loadb(text, n, JSON_REJECT_DUPLICATES, NULL);
    mr_arena_free(scratch);
    const json_t *jobs = json_object_get(o, "jobs");
    f.when = text_of(arena, o, "when");
    for (size_t i = 0; i < json_array_size(jobs); i++) {
        const json_t *job = json_array_get(jobs, i);
        const char *failure = text_of(arena, job, "failure");
        const struct former_job one = {text_of(arena, job, "below"),
                                       *failure ? failure : text_of(arena, job, "outcome"), false};
        MR_PUSH(arena, &f.jobs, one);
    }
    json_decref(o);
    if (f.jobs.n)
        qsort(f.jobs.v, f.jobs.n, sizeof *f.jobs.v, by_folder);
    return f;
}

/* The share may be reached by another path than last time; what is no UTF-8 could not stand in the file. */
const char *mr_roll_below(struct mr_arena *arena, const char *share, const char *dir) {
    const char *below = dir + strlen(share);
    below += strspn(below, "/");
    const size_t n = strlen(below);
    for (size_t i = 0, step; i < n; i += step)
        if ((step = mr_utf8_length(below + i, n - i)) == 0)
            return mr_clean_text(arena, below, n, 4 * n + 1);
    return below;
}

void mr_roll_up_compare(struct mr_arena *arena, const char *share, const char *path, struct mr_roll_up *roll) {
    struct former f = read_former(arena, path);
    roll->former_when = f.when;
    for (size_t i = 0; i < roll->jobs.n && *f.when; i++) {
        struct mr_roll_job *job = &roll->jobs.v[i];
        const struct former_job key = {.folder = mr_roll_below(arena, share, job->dir)};
        struct former_job *was = f.jobs.n ? bsearch(&key, f.jobs.v, f.jobs.n, sizeof key, by_folder) : NULL;
        const char *now = mr_job_state_text(&job->state);
        if (was)
            was->seen = true;
        if (!was)
            job->change = "new";
        else if (strcmp(was->state, now) != 0 && (*was->state || job->state.exit_status >= 0))
            job->change = *was->state ? mr_printf(arena, "was: %s", was->state) : "reported for the first time";
    }
    for (size_t i = 0; i < f.jobs.n; i++)
        if (!f.jobs.v[i].seen) {
            const struct mr_gone_job gone = {f.jobs.v[i].folder, f.jobs.v[i].state};
            MR_PUSH(arena, &roll->gone, gone);
        }
}
