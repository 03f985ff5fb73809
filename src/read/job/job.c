/*
 * job.c - a job file becomes struct mr_job. Grammar: base/keyfile.h. All errors are collected, each at its line and
 * column, because a person mends a file once, not once per error. A job file with any error is refused whole: a limit
 * that was meant but misspelt must not silently fall back to its default.
 */
#include "read/job/job_reader.h"

#include "base/outfile.h"
#include "base/setting_read.h"
#include "base/sha256.h"
#include "base/text.h"
#include "read/bytes/links.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { JOB_FILE_MAX = 4 << 20, TEXT_FILE_MAX = 1 << 20 };

static void read_section(struct mr_job_reader *r, const struct mr_key_section *s) {
    static const char *const things[] = {"job",          "instrument", "assign",   "file",  "disposition",
                                         "thickness",    "climate",    "reaction", "lines", "material",
                                         "shift record", "alignment",  "report"};
    if (strcmp(s->name, "job") == 0) {
        mr_job_read_job(r, s);
    } else if (strcmp(s->name, "instrument") == 0) {
        mr_job_read_instrument(r, s);
    } else if (strcmp(s->name, "assign") == 0) {
        mr_job_read_assign(r, s);
    } else if (strcmp(s->name, "file") == 0) {
        mr_job_read_file(r, s);
    } else if (strcmp(s->name, "disposition") == 0) {
        mr_job_read_disposition(r, s);
    } else if (!mr_job_is_limits(s->name)) {
        r->failed = true;
        const char *near = mr_nearest(s->name, things, MR_COUNT(things));
        mr_diag_add(r->diags, MR_ERROR, "job-file", s->place, s->name,
                    near ? mr_printf(r->arena, "Did you mean [%s]?", near)
                         : "`milrise manual job` lists the sections.",
                    "is not a section of a job file");
    }
}

/* A ? stands where only a person can know: what is judged must not rest on it, be it a limit or a name. In [file] it
 * may be a word of the file's own (missing = ?), and what it cannot be is told there. */
static void refuse_open_marks(struct mr_job_reader *r, struct mr_keyfile *keys) {
    for (size_t i = 1; i < keys->sections.n; i++) {
        struct mr_key_section *s = &keys->sections.v[i];
        size_t kept = 0;
        for (size_t k = 0; k < s->keys.n; k++)
            if (strcmp(s->name, "file") != 0 && strcmp(s->keys.v[k].value, "?") == 0) {
                r->failed = true;
                mr_diag_add(r->diags, MR_ERROR, MR_NOT_FILLED_IN, s->keys.v[k].value_place, s->keys.v[k].raw_key,
                            "Put the true value in place of each ?, or remove the line.",
                            "still has to be filled in");
            } else
                s->keys.v[kept++] = s->keys.v[k];
        s->keys.n = kept;
    }
}

static void defaults(struct mr_arena *arena, struct mr_job *job) {
    *job = (struct mr_job){.dir = "",
                           .file = MR_JOB_FILE,
                           .name = "",
                           .site = "",
                           .contract = "",
                           .client = "",
                           .crew = "",
                           .time_zone = "UTC",
                           .wording = {.language = "en",
                                       .firm = "",
                                       .address = "",
                                       .title = "Coating report",
                                       .statement = "",
                                       .author = "Coating quality control",
                                       .sign_off = ""},
                           .first_day_local_ms = MR_T_NONE,
                           .last_day_local_ms = MR_T_NONE};
    mr_settings_defaults(&job->settings);
    (void)arena;
}

static void choose_display(struct mr_job *job) {
    static const struct mr_display si = {MR_UNIT_UM, MR_UNIT_C,  MR_UNIT_RISE_K, MR_UNIT_KPA,
                                         MR_UNIT_M2, MR_UNIT_MM, MR_UNIT_L,      MR_UNIT_KG};
    static const struct mr_display us = {MR_UNIT_MIL, MR_UNIT_F,  MR_UNIT_RISE_F, MR_UNIT_PSI,
                                         MR_UNIT_FT2, MR_UNIT_IN, MR_UNIT_GAL,    MR_UNIT_LB};
    const char *units = mr_set_text(&job->settings, MR_UNITS);
    job->display = mr_text_equal_fold(units, strlen(units), "US", 2) ? us : si;
}

const struct mr_job *mr_job_default(struct mr_arena *arena) {
    struct mr_job *job = MR_NEW(arena, struct mr_job);
    defaults(arena, job);
    choose_display(job);
    return job;
}

/* Which of two values holds nobody can say. A logger may stand at several zones in turn, and a zone may have several
 * dispositions: their sections may come again. */
static bool may_repeat(const char *section) {
    return strcmp(section, "assign") == 0 || strcmp(section, "disposition") == 0;
}

static bool same_section(const struct mr_key_section *a, const struct mr_key_section *b) {
    return strcmp(a->name, b->name) == 0 &&
           mr_text_equal_fold(a->argument, strlen(a->argument), b->argument, strlen(b->argument));
}

static const struct mr_key *former_key(const struct mr_keyfile *keys, size_t section, size_t at) {
    const struct mr_key_section *own = &keys->sections.v[section];
    for (size_t i = 1; i <= section; i++) {
        const struct mr_key_section *s = &keys->sections.v[i];
        for (size_t k = 0; k < (i == section ? at : s->keys.n) && same_section(s, own); k++)
            if (strcmp(s->keys.v[k].key, own->keys.v[at].key) == 0)
                return &s->keys.v[k];
    }
    return NULL;
}

static void refuse_repeated_keys(struct mr_job_reader *r, const struct mr_keyfile *keys) {
    for (size_t i = 1; i < keys->sections.n; i++) {
        const struct mr_key_section *s = &keys->sections.v[i];
        for (size_t k = 0; k < s->keys.n && !may_repeat(s->name); k++) {
            const struct mr_key *former = former_key(keys, i, k);
            if (former)
                mr_job_wrong(
                    r, &s->keys.v[k],
                    mr_printf(r->arena, "Keep one of them; the first is in line %u.", (unsigned)former->place.line),
                    "this key appears twice in the section");
        }
    }
}

enum mr_status mr_job_parse(struct mr_arena *arena, const char *dir, const char *file, const char *text, size_t n,
                            struct mr_diags *diags, struct mr_job **out) {
    struct mr_keyfile keys;
    struct mr_job *job = MR_NEW(arena, struct mr_job);
    defaults(arena, job);
    job->dir = mr_strdup(arena, dir);
    job->file = mr_strdup(arena, file);
    struct mr_job_reader r = {.arena = arena, .diags = diags, .job = job};
    r.failed = mr_keyfile_parse(arena, file, text, n, diags, &keys) != MR_OK;
    for (size_t i = 0; i < keys.sections.v[0].keys.n; i++)
        mr_job_wrong(&r, &keys.sections.v[0].keys.v[i], "Put it under a [section].",
                     "comes before the first section");
    refuse_open_marks(&r, &keys);
    refuse_repeated_keys(&r, &keys);
    for (size_t i = 1; i < keys.sections.n; i++)
        read_section(&r, &keys.sections.v[i]);
    mr_job_read_limits(&r, &keys);
    mr_job_check_limits(&r);
    choose_display(job);
    *out = job;
    return r.failed ? MR_E_JOB : MR_OK;
}

static int by_name(const void *a, const void *b) {
    return strcmp(((const struct mr_text_file *)a)->name, ((const struct mr_text_file *)b)->name);
}

/* Texts that cannot be read are no reason to judge by the built-in ones in their place. */
static void cannot_read_texts(struct mr_job_reader *r, const char *name, int error) {
    r->failed = true;
    mr_diag_add(r->diags, MR_ERROR, "job-file", (struct mr_place){.file = name}, NULL,
                "Make the folder readable, or take it out of the job folder.", "cannot be read: %s", strerror(error));
}

/* One text of a folder that is open. is_told: the folder itself lies elsewhere, and that was said. */
static void load_text(struct mr_job_reader *r, int folder, const char *base, const char *name, bool is_told) {
    struct mr_text_file t = {.name = name};
    char *text = NULL;
    size_t n = 0;
    const int fd = openat(folder, base, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    const enum mr_status status = fd < 0 ? MR_E_IO : mr_file_slurp_fd(r->arena, fd, TEXT_FILE_MAX, &text, &n);
    if (!is_told)
        mr_tell_outside(r->arena, r->diags, name, mr_opened_outside(r->arena, r->job->dir, fd));
    if (fd >= 0)
        close(fd);
    if (status != MR_OK) {
        mr_diag_add(r->diags, MR_ERROR, "job-file", (struct mr_place){.file = name}, NULL,
                    "It must be a readable text file of at most 1 MiB.", "cannot be read");
        r->failed = true;
        return;
    }
    t.data = text;
    t.size = n;
    MR_PUSH(r->arena, &r->job->texts, t);
}

/* columns/, rules/ and wording/ beside the job file come before the built-in texts of the same name. Each is read
 * through the folder that was opened, whatever its path becomes meanwhile. */
static void load_texts(struct mr_job_reader *r, const char *folder) {
    DIR *d = opendir(mr_printf(r->arena, "%s/%s", r->job->dir, folder));
    if (!d) {
        struct stat st;
        const int error = errno;
        if (error != ENOENT || lstat(mr_printf(r->arena, "%s/%s", r->job->dir, folder), &st) == 0)
            cannot_read_texts(r, folder, error);
        return;
    }
    const char *outside = mr_opened_outside(r->arena, r->job->dir, dirfd(d));
    mr_tell_outside(r->arena, r->diags, folder, outside);
    for (struct dirent *e; errno = 0, (e = readdir(d));)
        if (e->d_name[0] != '.')
            load_text(r, dirfd(d), mr_strdup(r->arena, e->d_name), mr_printf(r->arena, "%s/%s", folder, e->d_name),
                      outside != NULL);
    if (errno)
        cannot_read_texts(r, folder, errno);
    closedir(d);
}

static void note_config(struct mr_job_reader *r, const char *path, bool built_in, const char *data, size_t n) {
    struct mr_config_file f = {.path = path, .built_in = built_in, .bytes = n};
    struct mr_sha256 *sha = mr_sha256_new();
    mr_sha256_add(sha, data, n);
    mr_sha256_end(sha, f.sha256);
    MR_PUSH(r->arena, &r->job->config, f);
}

static void note_configs(struct mr_job_reader *r, const char *text, size_t n) {
    note_config(r, MR_JOB_FILE, false, text, n);
    for (size_t i = 0; i < r->job->texts.n; i++)
        note_config(r, r->job->texts.v[i].name, false, r->job->texts.v[i].data, r->job->texts.v[i].size);
    size_t built_in;
    const struct mr_text_file *all = mr_templates(&built_in);
    const char *job_wording = r->job->wording.file;
    for (size_t i = 0; i < built_in; i++)
        if (strncmp(all[i].name, "columns/", 8) == 0 || strncmp(all[i].name, "rules/", 6) == 0 ||
            (job_wording && strcmp(all[i].name, job_wording) == 0))
            note_config(r, all[i].name, true, all[i].data, all[i].size);
}

enum mr_status mr_job_load(struct mr_arena *arena, const char *dir, struct mr_diags *diags,
                           const struct mr_job **out) {
    char *text;
    size_t n;
    struct mr_place place = {.file = MR_JOB_FILE};
    const int fd = open(mr_printf(arena, "%s/%s", dir, MR_JOB_FILE), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    enum mr_status status = fd < 0 ? MR_E_IO : mr_file_slurp_fd(arena, fd, JOB_FILE_MAX, &text, &n);
    const int error = errno;
    mr_tell_outside(arena, diags, MR_JOB_FILE, mr_opened_outside(arena, dir, fd));
    if (fd >= 0)
        close(fd);
    if (status != MR_OK) {
        if (status == MR_E_RANGE)
            mr_diag_add(diags, MR_ERROR, "job-file", place, NULL, "Check that this is the job file.",
                        "is larger than 4 MiB");
        else
            mr_diag_add(
                diags, MR_ERROR, "job-file", place, NULL,
                mr_printf(arena, "`milrise new %s` makes a job folder with a job file that explains itself.", dir),
                "cannot be read in %s: %s", dir, strerror(error));
        return MR_E_JOB;
    }
    struct mr_job *job;
    status = mr_job_parse(arena, dir, MR_JOB_FILE, text, n, diags, &job);
    struct mr_job_reader r = {.arena = arena, .diags = diags, .job = job};
    load_texts(&r, "columns");
    load_texts(&r, "rules");
    load_texts(&r, "wording");
    if (job->texts.n)
        qsort(job->texts.v, job->texts.n, sizeof *job->texts.v, by_name);
    mr_job_read_wording(&r);
    note_configs(&r, text, n);
    const struct mr_text_file *template = mr_template("job/" MR_JOB_FILE);
    job->untouched = template && template->size == n && memcmp(template->data, text, n) == 0;
    *out = job;
    return status != MR_OK || r.failed ? MR_E_JOB : MR_OK;
}
