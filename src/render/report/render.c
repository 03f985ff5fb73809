/*
 * render.c - the fifth stage from the outside: charts, workbook and report.json are made in staging, then put in
 * place together.
 */
#include "milrise/render.h"

#include "base/json.h"
#include "base/pool.h"
#include "render/book/book_report.h"
#include "render/data/changes.h"
#include "render/data/content.h"
#include "render/data/former_sieve.h"
#include "render/data/long_tables.h"
#include "render/data/report_json.h"
#include "render/data/series_csv.h"
#include "render/data/zone_table.h"
#include "render/draw/draw_cairo.h"
#include "render/publish/beneath.h"
#include "render/publish/publish.h"
#include "render/report/kept.h"
#include "render/report/side_by_side.h"

#include <errno.h>
#include <fcntl.h>
#include <stdatomic.h>
#include <string.h>
#include <unistd.h>

/* A file of the report that write_it fills through a stream, which it closes. */
struct streamed {
    const struct mr_outline *o;
    struct mr_publish *pub;
    const struct mr_table *table; /* of the writers of tables */
    const struct mr_rows *rows;
    const struct mr_series_file *series;
};

static enum mr_status make_streamed(const struct streamed *s, const char *name,
                                    int (*write_it)(const struct streamed *, FILE *)) {
    struct mr_publish *pub = s->pub;
    const size_t index = mr_publish_file(pub, name);
    struct mr_handed handed;
    int error = mr_handed_open(pub, index, &handed);
    FILE *file = error ? NULL : mr_handed_stream(&handed);
    if (file)
        error = write_it(s, file);
    else if (!error)
        error = errno;
    const int at_end = mr_handed_end(pub, index, &handed);
    if (at_end || error)
        return mr_output_failed(pub->diags, name, at_end ? at_end : error);
    return mr_publish_close(pub, index);
}

static int write_json(const struct streamed *s, FILE *file) {
    return mr_report_json(s->o, file, s->pub);
}

static int write_lines(const struct streamed *s, FILE *file) {
    return mr_table_rows(s->o->arena, s->table, file);
}

static int write_csv(const struct streamed *s, FILE *file) {
    return mr_csv_rows(s->o, s->rows, file);
}

static int write_series(const struct streamed *s, FILE *file) {
    return mr_series_rows(s->o, s->series, file);
}

/* Every sample of the logs, of which the workbook tells by coat and window. */
static enum mr_status make_series(const struct mr_outline *o, struct mr_publish *pub) {
    const mr_series_list list = mr_series_of(o, MR_SERIES_ROWS_MOST);
    enum mr_status status = MR_OK;
    for (size_t i = 0; status == MR_OK && i < list.n; i++) {
        const struct streamed s = {.o = o, .pub = pub, .series = &list.v[i]};
        status = make_streamed(&s, list.v[i].name, write_series);
    }
    return status;
}

/* A table that the workbook leaves out. */
static enum mr_status make_csv(const struct mr_outline *o, struct mr_publish *pub, struct mr_rows rows) {
    const struct streamed s = {.o = o, .pub = pub, .rows = &rows};
    const char *name = mr_csv_file(o, rows.id, rows.n);
    return name ? make_streamed(&s, name, write_csv) : MR_OK;
}

/* Rows of tables that are too long for report.json, and of those that are too many for the workbook. */
static enum mr_status make_rows(const struct mr_outline *o, struct mr_publish *pub) {
    enum mr_status status = make_csv(o, pub, mr_check_rows(o));
    if (status == MR_OK)
        status = make_csv(o, pub, mr_finding_rows(o));
    for (size_t i = 0; status == MR_OK && i < o->a->tables.n; i++) {
        const struct streamed s = {.o = o, .pub = pub, .table = o->a->tables.v[i]};
        const char *name = mr_table_rows_file(o->arena, s.table);
        if (name)
            status = make_streamed(&s, name, write_lines);
        if (status == MR_OK)
            status = make_csv(o, pub, mr_rows_of_table(s.table));
    }
    return status;
}

static enum mr_status make_json(const struct mr_outline *o, struct mr_publish *pub) {
    const struct streamed s = {.o = o, .pub = pub};
    return make_streamed(&s, "report.json", write_json);
}

/* Of each zone a table for the word processor. */
static enum mr_status make_zone_tables(const struct mr_outline *o, struct mr_publish *pub) {
    const struct mr_zone_rows_of *rows = mr_zone_rows_make(o);
    for (size_t z = 0; z < o->a->aligned->zones.n; z++)
        for (int k = 0; k < MR_ZONE_FORMATS; k++) {
            const char *name = mr_zone_table_name(o, z, (enum mr_zone_format)k),
                       *text = mr_zone_table_text(o, rows, z, (enum mr_zone_format)k);
            const size_t index = mr_publish_file(pub, name);
            struct mr_handed handed;
            int error = mr_handed_open(pub, index, &handed);
            if (!error)
                error = mr_handed_put(&handed, text, strlen(text));
            const int at_end = mr_handed_end(pub, index, &handed);
            if (at_end || error)
                return mr_output_failed(pub->diags, name, at_end ? at_end : error);
            if (mr_publish_close(pub, index) != MR_OK)
                return MR_E_OUTPUT;
        }
    return MR_OK;
}

static enum mr_status make_all(const struct mr_outline *o, const struct mr_render_options *options,
                               const char *content, struct mr_publish *pub) {
    enum mr_status status = mr_publish_start(pub);
    if (status != MR_OK)
        return status;
    status = mr_make_side_by_side(o, options, pub);
    if (status == MR_OK && options->charts && !mr_many_zones(o))
        status = make_zone_tables(o, pub);
    if (status == MR_OK)
        status = make_rows(o, pub);
    if (status == MR_OK)
        status = make_series(o, pub);
    if (status == MR_OK)
        status = make_json(o, pub);
    return status == MR_OK ? mr_publish_commit(pub, o->revision, content) : status;
}

static void list_published(const struct mr_publish *pub, const struct mr_manifest *m, struct mr_published *out) {
    out->revision = m->revision;
    out->dir = mr_printf(pub->arena, "%s/%s", pub->out_dir, mr_revision_name(pub->arena, m->revision));
    for (size_t i = 0; i < m->files.n; i++) {
        const char *name = m->files.v[i].path, *path = mr_printf(pub->arena, "%s/%s", out->dir, name);
        if (strncmp(name, "charts/", 7) == 0)
            MR_PUSH(pub->arena, &out->charts, path);
        else if (strcmp(name, "report.json") == 0)
            out->json = path;
        else if (!strchr(name, '/') && strlen(name) > 4 && strcmp(name + strlen(name) - 4, ".pdf") == 0)
            out->submittal = path;
        else if (!strchr(name, '/'))
            out->workbook = path;
    }
}

static void tell_changed(const struct mr_publish *pub) {
    if (pub->revisions.changed)
        mr_diag_add(pub->diags, MR_WARNING, "changed-report",
                    (struct mr_place){.file = mr_printf(pub->arena, "%s/%s", pub->out_dir, pub->revisions.changed)},
                    NULL, "It is left as it is; use the figures of the newest revision.",
                    "was changed or removed after it was published");
}

enum { FORMER_MOST = 256 << 20 }; /* of what is needed of it */

/* Its register cannot go on in this report: entries whose readings were taken out of the folder would be gone unsaid.
 */
static void tell_unread_former(const struct mr_publish *pub, const char *path, const char *why) {
    mr_diag_add(pub->diags, MR_WARNING, "former-unread",
                (struct mr_place){.file = mr_printf(pub->arena, "%s/%s", pub->out_dir, path)}, NULL,
                "Compare the two registers of non-conformances yourself.",
                "cannot be read (%s), so this report does not say what changed since, and its register begins anew",
                why);
}

/* The report as it follows on the newest one that stands here. */
static const struct mr_assessment *follow(struct mr_publish *pub, const struct mr_assessment *a, const char *version,
                                          struct mr_former *out_former) {
    struct mr_former former = {0};
    size_t gone = 0;
    if (pub->revisions.any) {
        const char *path = mr_printf(pub->arena, "%s/report.json",
                                     mr_revision_name(pub->arena, pub->revisions.newest.revision)),
                   *text = mr_former_text(pub->arena, pub->reports, path, FORMER_MOST);
        const int error = errno;
        former = mr_former_read(pub->arena, text);
        if (!former.any)
            tell_unread_former(pub, path, text ? "it is not as milrise wrote it" : strerrordesc_np(error));
    }
    const struct mr_assessment *with = mr_with_former(pub->arena, a, &former, version, &gone);
    *out_former = former;
    if (gone)
        mr_diag_add(pub->diags, MR_WARNING, "non-conformance-gone", (struct mr_place){0}, NULL,
                    "Put the files that showed them back, or write down under [disposition] what became of them.",
                    gone == 1 ? "%zu open non-conformance of revision %ld is no longer shown by the data"
                              : "%zu open non-conformances of revision %ld are no longer shown by the data",
                    gone, former.revision);
    return with;
}

/* The new report, or the one that already says the same. */
static enum mr_status publish(struct mr_publish *pub, const struct mr_assessment *a,
                              const struct mr_render_options *options, struct mr_published *out) {
    struct mr_arena *arena = pub->arena;
    char content[65];
    mr_report_content(arena, a, options->version, options->charts, content);
    tell_changed(pub);
    struct mr_former former;
    const struct mr_assessment *with = out->told = follow(pub, a, options->version, &former);
    if (pub->revisions.any && strcmp(pub->revisions.newest.content, content) == 0) {
        out->unchanged = true;
        list_published(pub, &pub->revisions.newest, out);
        return mr_publish_relink(pub);
    }
    long revision = mr_first_revision(a->job);
    if (revision < pub->revisions.next)
        revision = pub->revisions.next;
    mr_chart_list charts = {0};
    struct mr_outline outline = mr_outline_make(arena, with, options->version, options->stamp, revision, &charts);
    if (options->charts) {
        mr_charts_make(&outline.chart_job, &charts);
        mr_figures_keep(&outline, &former, &charts);
    }
    const enum mr_status status = make_all(&outline, options, content, pub);
    if (status != MR_OK)
        return status;
    const struct mr_manifest made = mr_publish_list(pub, revision, content);
    list_published(pub, &made, out);
    const double keep = mr_set_num(&a->job->settings, MR_KEEP);
    if (keep >= 1.0)
        mr_revisions_retire(arena, pub->reports, (size_t)keep);
    return MR_OK;
}

/* The first error in words, for the note beside the report. */
static const char *reason_of(struct mr_arena *arena, const struct mr_diags *diags) {
    for (size_t i = 0; diags && i < diags->list.n; i++)
        if (diags->list.v[i].severity == MR_ERROR && strcmp(diags->list.v[i].id, "output") == 0)
            return mr_diag_line(arena, &diags->list.v[i]);
    return "the outputs could not be written";
}

static const char *sign_text(struct mr_arena *arena, const struct mr_publish *pub, const char *now,
                             const char *reason) {
    const char *former =
        pub->revisions.any
            ? mr_printf(arena, "The newest report here is %s. It is older and may lack what has come in since.\n",
                        mr_revision_name(arena, pub->revisions.newest.revision))
            : "There is no earlier report of this job.\n";
    return mr_printf(arena,
                     "NOT PUBLISHED\n\n%s%smilrise could not publish a report.\n" MR_REASON_HEAD
                     "%s\n\n%s\nCorrect the "
                     "cause and run milrise again. The next report removes this note.\n",
                     now ? now : "", now ? ": " : "", reason, former);
}

enum mr_status mr_render(struct mr_arena *arena, const struct mr_assessment *assessment,
                         const struct mr_render_options *options, struct mr_diags *diags, struct mr_published *out) {
    struct mr_publish pub;
    *out = (struct mr_published){0};
    enum mr_status status = mr_publish_begin(&pub, arena, assessment->job->dir, options->out_dir, diags);
    if (status == MR_OK)
        status = publish(&pub, assessment, options, out);
    mr_publish_sign(&pub, status == MR_OK ? NULL : sign_text(arena, &pub, options->now, reason_of(arena, diags)));
    mr_publish_end(&pub);
    return status;
}

void mr_render_not_published(struct mr_arena *arena, const char *job_dir, const char *out_dir, const char *now,
                             const char *reason, struct mr_diags *diags) {
    struct mr_publish pub;
    if (mr_publish_begin(&pub, arena, job_dir, out_dir, diags) == MR_OK)
        mr_publish_sign(&pub, sign_text(arena, &pub, now, reason));
    mr_publish_end(&pub);
}
