/*
 * job_state.c - see job_state.h. Written by the one writer of JSON, read by jansson.
 */
#include "cli/job_state.h"

#include "base/json.h"
#include "base/outfile.h"
#include "cli/console.h"
#include "cli/job_lock.h"
#include "milrise/job.h"

#include <errno.h>
#include <fcntl.h>
#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { STATE_MAX = 1 << 16, REPORT_MAX = 256 << 20, NAME_BYTES = 64, DIGITS_MOST = 9 };

static const char *const outcomes[4] = {"not required", "conforms", "not shown", "does not conform"};

static const char *text_of(struct mr_arena *arena, const json_t *object, const char *key) {
    const char *text = json_string_value(json_object_get(object, key));
    return text ? mr_strdup(arena, text) : "";
}

static void hash_of(const json_t *object, const char *key, char out[MR_HASH_TEXT]) {
    const char *text = json_string_value(json_object_get(object, key));
    if (text && strlen(text) == MR_HASH_TEXT - 1)
        memcpy(out, text, MR_HASH_TEXT);
}

static double number_of(const json_t *object, const char *key) {
    const json_t *value = json_object_get(object, key);
    return json_is_number(value) ? json_number_value(value) : (double)NAN;
}

static void clear(struct mr_job_state *s) {
    *s = (struct mr_job_state){.exit_status = -1,
                               .failure = "",
                               .name = "",
                               .crew = "",
                               .outcome = "",
                               .oldest_open = "",
                               .film_low_um = MR_NAN,
                               .film_mean_um = MR_NAN,
                               .film_high_um = MR_NAN,
                               .since = "",
                               .before = ""};
}

static void take_certificates(struct mr_arena *arena, const json_t *list, struct mr_job_state *s) {
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *o = json_array_get(list, i);
        const struct mr_certificate c = {text_of(arena, o, "instrument"), text_of(arena, o, "certificate"),
                                         text_of(arena, o, "until")};
        MR_PUSH(arena, &s->certificates, c);
    }
}

void mr_job_state_load(struct mr_arena *arena, const char *dir, struct mr_job_state *s) {
    clear(s);
    char *text;
    size_t n;
    const char *folder;
    struct mr_arena *scratch = mr_arena_like(arena);
    const int fd = mr_own_folder(scratch, dir, MR_REPORTS, false, &folder);
    json_t *o = NULL;
    if (fd >= 0 && mr_file_slurp_own(scratch, mr_printf(scratch, "%s/.state", folder), STATE_MAX, &text, &n) == MR_OK)
        o = json_loadb(text, n, JSON_REJECT_DUPLICATES, NULL);
    if (fd >= 0)
        close(fd);
    mr_arena_free(scratch);
    if (!o)
        return;
    hash_of(o, "inputs", s->inputs);
    hash_of(o, "content", s->content);
    hash_of(o, "program", s->program);
    s->fresh = json_is_true(json_object_get(o, "fresh"));
    const json_t *status = json_object_get(o, "exit_status");
    s->exit_status = json_is_integer(status) ? (int)json_integer_value(status) : -1;
    s->failure = text_of(arena, o, "failure");
    s->name = text_of(arena, o, "name");
    s->crew = text_of(arena, o, "crew");
    s->outcome = text_of(arena, o, "outcome");
    s->since = text_of(arena, o, "since");
    s->before = text_of(arena, o, "before");
    for (size_t i = 0; i < 4; i++)
        s->zones[i] = json_integer_value(json_array_get(json_object_get(o, "zones"), i));
    s->findings = json_integer_value(json_object_get(o, "findings"));
    s->revision = json_integer_value(json_object_get(o, "revision"));
    s->open_items = json_integer_value(json_object_get(o, "open_items"));
    s->oldest_open = text_of(arena, o, "oldest_open");
    s->film_low_um = number_of(o, "film_low_um");
    s->film_mean_um = number_of(o, "film_mean_um");
    s->film_high_um = number_of(o, "film_high_um");
    take_certificates(arena, json_object_get(o, "certificates"), s);
    json_decref(o);
}

static void put_certificates(struct mr_json *j, const struct mr_job_state *s) {
    mr_json_array(j, "certificates", false);
    for (size_t i = 0; i < s->certificates.n; i++) {
        mr_json_object(j, NULL, true);
        mr_json_text(j, "instrument", s->certificates.v[i].instrument);
        mr_json_text(j, "certificate", s->certificates.v[i].number);
        mr_json_text(j, "until", s->certificates.v[i].until);
        mr_json_end(j);
    }
    mr_json_end(j);
}

enum mr_status mr_job_state_save(struct mr_arena *arena, const char *dir, const struct mr_job_state *s) {
    struct mr_arena *scratch = mr_arena_like(arena);
    struct mr_json *j = mr_json_memory(scratch);
    mr_json_object(j, NULL, false);
    mr_json_text(j, "inputs", s->inputs);
    mr_json_text(j, "content", s->content);
    mr_json_text(j, "program", s->program);
    mr_json_flag(j, "fresh", s->fresh);
    mr_json_count(j, "exit_status", s->exit_status);
    mr_json_text(j, "failure", s->failure);
    mr_json_text(j, "name", s->name);
    mr_json_text(j, "crew", s->crew);
    mr_json_text(j, "outcome", s->outcome);
    mr_json_array(j, "zones", true);
    for (size_t i = 0; i < 4; i++)
        mr_json_count(j, NULL, s->zones[i]);
    mr_json_end(j);
    mr_json_count(j, "findings", s->findings);
    mr_json_count(j, "revision", s->revision);
    mr_json_count(j, "open_items", s->open_items);
    mr_json_text(j, "oldest_open", s->oldest_open);
    mr_json_number(j, "film_low_um", s->film_low_um);
    mr_json_number(j, "film_mean_um", s->film_mean_um);
    mr_json_number(j, "film_high_um", s->film_high_um);
    put_certificates(j, s);
    mr_json_text(j, "since", s->since);
    mr_json_text(j, "before", s->before);
    mr_json_end(j);
    const char *text = mr_json_take(j), *folder;
    const int fd = mr_own_folder(scratch, dir, MR_REPORTS, true, &folder);
    enum mr_status written = MR_E_OUTPUT;
    if (fd >= 0) {
        written = mr_file_write(scratch, mr_printf(scratch, "%s/.state", folder), text, strlen(text));
        close(fd);
    }
    mr_arena_free(scratch);
    return written;
}

static const char prefix[] = "revision-";

/* A file of a folder, open; a link or a device is none. -1. */
static int newest_file(int revision, const char *name, int64_t *bytes) {
    struct stat st;
    const int fd = openat(revision, name, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
    if (fd < 0)
        return -1;
    if (fstat(fd, &st) == 0 && S_ISREG(st.st_mode)) {
        *bytes = (int64_t)st.st_size;
        return fd;
    }
    close(fd);
    return -1;
}

/* Where the file system has no links, latest is a file of one line. */
static bool target_of(int reports, char out[NAME_BYTES]) {
    ssize_t n = readlinkat(reports, "latest", out, NAME_BYTES - 1);
    if (n < 0) {
        int64_t bytes;
        const int fd = newest_file(reports, "latest", &bytes);
        n = fd < 0 ? -1 : read(fd, out, NAME_BYTES - 1);
        if (fd >= 0)
            close(fd);
    }
    out[n < 0 ? 0 : n] = '\0';
    out[strcspn(out, "\n")] = '\0';
    return n > 0;
}

static int64_t revision_in(const char *name) {
    const size_t n = strlen(prefix);
    int64_t number = 0;
    if (strncmp(name, prefix, n) != 0 || !name[n] || strlen(name + n) > DIGITS_MOST)
        return -1;
    for (const char *p = name + n; *p; p++) {
        if (*p < '0' || *p > '9')
            return -1;
        number = 10 * number + (*p - '0');
    }
    return number;
}

/* The folder of the revision that JOB/reports/latest names, open, with its number; -1 where there is none. Through no
 * link but latest, whose target is one of the folder's own names. */
static int newest_open(struct mr_arena *arena, const char *dir, int64_t *revision) {
    char name[NAME_BYTES];
    const char *path;
    const int reports = mr_own_folder(arena, dir, MR_REPORTS, false, &path);
    int fd = -1;
    *revision = -1;
    if (reports < 0)
        return -1;
    if (target_of(reports, name) && (*revision = revision_in(name)) >= 0)
        fd = openat(reports, name, O_RDONLY | O_DIRECTORY | O_NOFOLLOW | O_CLOEXEC);
    close(reports);
    return fd;
}

/* Whether the note that nothing was published lies beside the reports. */
static bool note_stands(struct mr_arena *arena, const char *dir) {
    struct stat st;
    const char *path;
    const int reports = mr_own_folder(arena, dir, MR_REPORTS, false, &path);
    const bool stands = reports >= 0 && fstatat(reports, MR_NOT_PUBLISHED, &st, AT_SYMLINK_NOFOLLOW) == 0 &&
                        !S_ISDIR(st.st_mode); /* a person's own folder is no note */
    if (reports >= 0)
        close(reports);
    return stands;
}

static void take_zone(const json_t *zone, struct mr_job_state *s, double *sum, size_t *n) {
    const char *outcome = json_string_value(json_object_get(zone, "outcome"));
    for (size_t i = 0; outcome && i < 4; i++)
        s->zones[i] += strcmp(outcome, outcomes[i]) == 0;
    double mean = number_of(json_object_get(zone, "film"), "mean_um");
    s->film_low_um = fmin(s->film_low_um, mean); /* fmin and fmax pass over NaN */
    s->film_high_um = fmax(s->film_high_um, mean);
    if (isfinite(mean)) {
        *sum += mean;
        ++*n;
    }
}

static size_t column_of(const json_t *table, const char *key) {
    const json_t *fields = json_object_get(table, "fields");
    for (size_t i = 0; i < json_array_size(fields); i++) {
        const char *found = json_string_value(json_object_get(json_array_get(fields, i), "key"));
        if (found && strcmp(found, key) == 0)
            return i;
    }
    return MR_NONE;
}

/* The register: how many of its items are open, and since when. */
static void take_register(struct mr_arena *arena, const json_t *table, struct mr_job_state *s) {
    const size_t state = column_of(table, "state"), found = column_of(table, "found");
    const json_t *rows = json_object_get(table, "rows");
    for (size_t i = 0; i < json_array_size(rows); i++) {
        const json_t *row = json_array_get(rows, i);
        const char *how = json_string_value(json_array_get(row, state)),
                   *when = json_string_value(json_array_get(row, found));
        if (!how || strcmp(how, "open") != 0)
            continue;
        s->open_items++;
        if (when && strlen(when) >= 10 && (!*s->oldest_open || strncmp(when, s->oldest_open, 10) < 0))
            s->oldest_open = mr_strndup(arena, when, 10);
    }
}

static void take_tables(struct mr_arena *arena, const json_t *tables, struct mr_job_state *s) {
    s->open_items = 0;
    s->oldest_open = "";
    for (size_t i = 0; i < json_array_size(tables); i++) {
        const json_t *table = json_array_get(tables, i);
        const char *id = json_string_value(json_object_get(table, "id"));
        if (id && strcmp(id, "non-conformances") == 0)
            take_register(arena, table, s);
    }
}

static void take_report(struct mr_arena *arena, const json_t *o, struct mr_job_state *s) {
    const json_t *job = json_object_get(o, "job"), *zones = json_object_get(o, "zones");
    s->name = text_of(arena, job, "name");
    s->crew = text_of(arena, job, "crew");
    s->outcome = text_of(arena, o, "outcome");
    s->findings = (int64_t)json_array_size(json_object_get(o, "findings"));
    double sum = 0;
    size_t n = 0;
    for (size_t i = 0; i < json_array_size(zones); i++)
        take_zone(json_array_get(zones, i), s, &sum, &n);
    if (n)
        s->film_mean_um = sum / (double)n;
    take_tables(arena, json_object_get(o, "tables"), s);
    s->certificates.n = 0;
    take_certificates(arena, json_object_get(o, "certificates"), s);
}

void mr_job_state_take(struct mr_arena *arena, const char *dir, struct mr_job_state *s) {
    int64_t bytes = 0;
    const int folder = newest_open(arena, dir, &s->revision);
    const int fd = folder < 0 ? -1 : newest_file(folder, "report.json", &bytes);
    memset(s->zones, 0, sizeof s->zones);
    s->film_low_um = s->film_mean_um = s->film_high_um = MR_NAN;
    s->outcome = "";
    json_t *o = fd < 0 || bytes > REPORT_MAX ? NULL : json_loadfd(fd, JSON_REJECT_DUPLICATES, NULL);
    if (o)
        take_report(arena, o, s);
    else if (fd >= 0)
        s->outcome = bytes > REPORT_MAX ? "report.json is too long to be rolled up: see the answer in the folder"
                                        : "report.json cannot be read: see the answer in the folder";
    json_decref(o);
    if (fd >= 0)
        close(fd);
    if (folder >= 0)
        close(folder);
}

/* Of a run that was killed before its state was written, the note or a newer report stands, and the state knows
 * nothing of it; the files may be as the state has them all the same, since somebody took a change back. */
static bool is_as_left(struct mr_arena *arena, const char *dir, const struct mr_job_state *s) {
    int64_t revision, bytes;
    if (note_stands(arena, dir) != (*s->failure != '\0'))
        return false;
    if (*s->failure)
        return true;
    const int folder = newest_open(arena, dir, &revision);
    const int fd = folder < 0 ? -1 : newest_file(folder, "report.json", &bytes);
    if (fd >= 0)
        close(fd);
    if (folder >= 0)
        close(folder);
    return fd >= 0 && revision == s->revision;
}

bool mr_job_answered(struct mr_arena *arena, const char *dir, const struct mr_job_state *s) {
    struct stat st; /* of the page itself: what a link leads to is not looked at */
    if (s->exit_status <= MR_EXIT_NO_INPUT && lstat(mr_printf(arena, "%s/" MR_ANSWER_TEXT, dir), &st) != 0)
        return false;
    return is_as_left(arena, dir, s);
}

const char *mr_job_state_text(const struct mr_job_state *s) {
    return *s->failure ? s->failure : *s->outcome ? s->outcome : "not reported yet";
}
