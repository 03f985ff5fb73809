/*
 * outline.c - see outline.h. Dates come from the caller, the job or the data, in that order, never from the clock, so
 * that the same input gives the same bytes.
 */
#include "render/data/outline.h"

#include "base/text.h"
#include "base/utf8.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* 2000-01-01T00:00:00Z: a document without any date still needs one in its properties. */
static const int64_t undated_ms = 946684800000;

/* The last part of the job folder's real path; bytes that a file name cannot carry everywhere become '_'. */
static const char *folder_name(struct mr_arena *arena, const char *dir) {
    char real[PATH_MAX];
    const char *path = dir && realpath(dir, real) ? real : dir ? dir : "";
    size_t n = strlen(path);
    while (n > 1 && path[n - 1] == '/')
        n--;
    size_t from = n;
    while (from > 0 && path[from - 1] != '/')
        from--;
    char *name = mr_strndup(arena, path + from, n - from);
    for (size_t i = 0; name[i];) {
        const size_t len = mr_utf8_length(name + i, strlen(name + i));
        if (len == 0 || (unsigned char)name[i] < 0x20 || strchr("\\:*?\"<>|\x7f", name[i]))
            name[i] = '_';
        i += len ? len : 1;
    }
    if (name[0] == '.')
        name[0] = '_';
    if (strlen(name) > 200) /* room for the rest of the file name within 255 bytes */
        name[mr_utf8_valid_prefix(name, 200)] = '\0';
    return name[0] ? name : "job";
}

static int64_t created_of(const struct mr_assessment *a, const char *stamp) {
    int64_t ms;
    static const size_t lengths[] = {19, 16, 10};
    for (size_t i = 0; stamp && i < MR_COUNT(lengths); i++)
        if (strlen(stamp) >= lengths[i] && mr_scan_iso_local(stamp, lengths[i], &ms))
            return ms;
    if (a->aligned->last_utc_ms != MR_T_NONE)
        return a->aligned->last_utc_ms / 1000 * 1000;
    return a->job->last_day_local_ms != MR_T_NONE ? a->job->last_day_local_ms : undated_ms;
}

static const char *offset_of(const struct mr_chart_job *job) {
    const struct mr_alignment *al = job->a->aligned;
    if (al->shifts.n == 0)
        return al->last_utc_ms == MR_T_NONE ? "" : mr_offset_text(job, al->last_utc_ms);
    const char *first = mr_offset_text(job, al->shifts.v[0].t0_utc_ms);
    const char *last = mr_offset_text(job, al->last_utc_ms == MR_T_NONE ? al->shifts.v[al->shifts.n - 1].t1_utc_ms
                                                                        : al->last_utc_ms);
    return strcmp(first, last) == 0 ? first : "";
}

long mr_first_revision(const struct mr_job *job) {
    const double stated = mr_set_num(&job->settings, MR_REVISION);
    return isfinite(stated) && stated >= 0.0 && stated < 1e8 ? lround(stated) : 0;
}

const char *mr_since_text(struct mr_arena *arena, long revision) {
    return mr_printf(arena, "since revision %ld", revision);
}

struct mr_outline mr_outline_make(struct mr_arena *arena, const struct mr_assessment *a, const char *version,
                                  const char *stamp, long revision, const mr_chart_list *charts) {
    struct mr_outline o = {.arena = arena, .a = a, .version = version ? version : "", .charts = charts};
    o.folder = folder_name(arena, a->job->dir);
    o.job_name = a->job->name && a->job->name[0] ? a->job->name : o.folder;
    o.revision = revision;
    o.revision_text = mr_printf(arena, "revision %ld", o.revision);
    const char *stated = mr_set_text(&a->job->settings, MR_PUBLISHED);
    o.stamp = stamp                                  ? stamp
              : stated[0]                            ? stated
              : a->aligned->last_utc_ms != MR_T_NONE ? mr_local_text(arena, a->aligned, a->aligned->last_utc_ms)
                                                     : "";
    o.created_utc_ms = created_of(a, stamp ? stamp : stated[0] ? stated : NULL);
    o.chart_job = (struct mr_chart_job){.arena = arena,
                                        .a = a,
                                        .display = a->job->display,
                                        .job_name = o.job_name,
                                        .stands = mr_since_text(arena, o.revision)};
    o.offset_text = offset_of(&o.chart_job);
    const char *paper = mr_set_text(&a->job->settings, MR_PAPER);
    o.letter = paper[0] ? mr_text_equal_fold(paper, strlen(paper), "letter", 6) : a->job->display.film == MR_UNIT_MIL;
    return o;
}

struct mr_outline mr_outline_in(const struct mr_outline *outline, struct mr_arena *arena) {
    struct mr_outline own = *outline;
    own.arena = own.chart_job.arena = arena;
    return own;
}

const char *mr_outline_word(const struct mr_outline *o, const char *english) {
    return o->a ? mr_word(o->a->job, english) : english;
}

int mr_coats_of(const struct mr_assessment *a, size_t zone) {
    const struct mr_alignment *al = a->aligned;
    int coats = al->zones.v[zone].coats > 1 ? al->zones.v[zone].coats : 1;
    for (size_t i = 0; i < al->windows.n; i++)
        if (al->windows.v[i].zone == zone && al->windows.v[i].coat > coats)
            coats = al->windows.v[i].coat;
    return coats;
}

bool mr_many_zones(const struct mr_outline *o) {
    return o->a && o->a->aligned->zones.n > MR_BOOK_ZONES_MOST;
}

const size_t *mr_zones_listed(struct mr_arena *arena, const struct mr_assessment *a, size_t *out_n) {
    const size_t zones = a->aligned->zones.n, room = MR_BOOK_ZONES_MOST;
    size_t *listed = MR_ARRAY(arena, size_t, zones < room ? zones : room), n = 0;
    for (size_t i = 0; zones <= room && i < zones; i++)
        listed[n++] = i;
    for (int k = MR_DOES_NOT_CONFORM; zones > room && k >= MR_NOT_REQUIRED; k--)
        for (size_t i = 0; i < zones && n < room; i++)
            if (a->zones[i].outcome == (enum mr_outcome)k)
                listed[n++] = i;
    *out_n = n;
    return listed;
}

const char *mr_place_text(struct mr_arena *arena, const struct mr_place *p) {
    if (!p->file)
        return "";
    if (!p->line)
        return p->file;
    if (p->line_end > p->line)
        return mr_printf(arena, "%s:%u-%u", p->file, (unsigned)p->line, (unsigned)p->line_end);
    return mr_printf(arena, "%s:%u", p->file, (unsigned)p->line);
}

void mr_outcome_counts(const struct mr_assessment *a, size_t counts[4]) {
    memset(counts, 0, 4 * sizeof counts[0]);
    for (size_t i = 0; i < a->aligned->zones.n; i++)
        counts[a->zones[i].outcome]++;
}

const char *mr_zone_counts_text(struct mr_arena *arena, const struct mr_assessment *a) {
    size_t n[4];
    mr_outcome_counts(a, n);
    const size_t zones = a->aligned->zones.n;
    return mr_printf(arena, "%zu %s: %zu %s, %zu %s, %zu not shown%s", zones, zones == 1 ? "zone" : "zones",
                     n[MR_CONFORMS], n[MR_CONFORMS] == 1 ? "conforms" : "conform", n[MR_DOES_NOT_CONFORM],
                     n[MR_DOES_NOT_CONFORM] == 1 ? "does not conform" : "do not conform", n[MR_NOT_SHOWN],
                     n[MR_NOT_REQUIRED] ? mr_printf(arena, ", %zu not required", n[MR_NOT_REQUIRED]) : "");
}

const struct mr_account *mr_account_of(const struct mr_assessment *a, size_t file) {
    return a->aligned->accounts ? &a->aligned->accounts[file] : &a->aligned->data->files.v[file].account;
}
