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
#include "render/data/long_tables.h"
#include "render/data/report_json.h"
#include "render/data/zone_table.h"
#include "render/draw/draw_cairo.h"
#include "render/publish/beneath.h"
#include "render/publish/publish.h"
#include "render/submittal/submittal.h"

#include <errno.h>
#include <fcntl.h>
#include <stdatomic.h>
#include <string.h>
#include <unistd.h>

/* One picture to be drawn: chart and kind. */
struct picture {
    const struct mr_drawlist *list;
    enum mr_picture kind;
    size_t index; /* in pub->files */
    int error;
};

/* What is made side by side: the workbook, which takes longest, and the pictures of the folder. */
struct making {
    struct mr_publish *pub;
    const struct mr_outline *o;
    struct mr_book_paths book;
    size_t book_index;      /* in pub->files */
    const char *book_wrong; /* NULL: it is whole */
    int book_error;         /* the system's reason, where it gave one */
    struct picture *v;
    size_t n;
    const char *stamp_iso;
    atomic_int failed;
};

static int draw_picture(struct mr_publish *pub, const struct picture *p, const char *stamp_iso) {
    struct mr_handed handed;
    int error = mr_handed_open(pub, p->index, &handed);
    if (!error && mr_draw_file(p->list, p->kind, stamp_iso, mr_handed_put, &handed) != MR_OK)
        error = errno;
    const int at_end = mr_handed_end(pub, p->index, &handed);
    return error ? error : at_end;
}

static void make_piece(void *ctx, size_t piece, size_t worker) {
    struct making *m = ctx;
    (void)worker;
    if (piece == 0) {
        errno = 0;
        m->book_wrong = mr_book_report(m->o, &m->book);
        m->book_error = errno;
    } else if (!atomic_load(&m->failed)) {
        struct picture *p = &m->v[piece - 1];
        p->error = draw_picture(m->pub, p, m->stamp_iso);
        if (p->error)
            atomic_store(&m->failed, 1);
    }
}

static void check_font(struct mr_diags *diags) {
    char family[128] = "";
    const bool any = mr_font_found(family, sizeof family);
    if (any && strcmp(family, MR_CHART_FONT) == 0)
        return;
    mr_diag_add(diags, MR_WARNING, "font", (struct mr_place){0}, any ? family : NULL,
                "Install DejaVu Sans (Debian: fonts-dejavu-core).",
                any ? "the charts' font, DejaVu Sans, is not installed and another replaced it"
                    : "no font is installed, so the charts have no text");
}

static void list_pictures(struct making *m) {
    const struct mr_outline *o = m->o;
    m->n = o->charts->n * MR_PICTURE_COUNT;
    m->v = MR_ARRAY(o->arena, struct picture, m->n);
    for (size_t i = 0; i < m->n; i++) {
        const struct mr_chart *chart = &o->charts->v[i / MR_PICTURE_COUNT];
        struct picture *p = &m->v[i];
        p->list = chart->list;
        p->kind = (enum mr_picture)(i % MR_PICTURE_COUNT);
        p->index =
            mr_publish_file(m->pub, mr_printf(o->arena, "charts/%s.%s", chart->stem, mr_picture_suffix[p->kind]));
    }
    if (m->n > 0)
        check_font(m->pub->diags);
}

static enum mr_status close_pictures(const struct making *m) {
    for (size_t i = 0; i < m->n; i++)
        if (m->v[i].error)
            return mr_output_failed(m->pub->diags, m->pub->files.v[m->v[i].index].path, m->v[i].error);
    for (size_t i = 0; i < m->n; i++)
        if (mr_publish_close(m->pub, m->v[i].index) != MR_OK)
            return MR_E_OUTPUT;
    return MR_OK;
}

/* The library may forget why it failed. A cell takes about 100 bytes, first in a temporary file, then in its sheet.
 */
static uint64_t room_for_workbook(const struct mr_assessment *a) {
    uint64_t cells = 13 * (a->checks.n + a->findings.n);
    for (size_t i = 0; i < a->tables.n; i++)
        cells += a->tables.v[i]->values.n;
    return ((uint64_t)16 << 20) + 200 * cells;
}

static enum mr_status close_workbook(const struct making *m) {
    struct mr_publish *pub = m->pub;
    const char *name = pub->files.v[m->book_index].path;
    if (!m->book_wrong)
        return mr_publish_close(pub, m->book_index);
    const int error = m->book_error ? m->book_error : mr_publish_room(pub, room_for_workbook(m->o->a));
    if (error)
        return mr_output_failed(pub->diags, name, error);
    mr_diag_add(pub->diags, MR_ERROR, "output", (struct mr_place){.file = name}, NULL,
                "Check the disk that holds the reports, then run again. The former report is unchanged.",
                "cannot be written: %s", m->book_wrong);
    return MR_E_OUTPUT;
}

/* A file of the report that write_it fills through a stream, which it closes. */
struct streamed {
    const struct mr_outline *o;
    struct mr_publish *pub;
    const struct mr_table *table; /* of the writers of tables */
    const struct mr_rows *rows;
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

static bool other_font(void) {
    char family[128] = "";
    return !mr_font_found(family, sizeof family) || strcmp(family, MR_CHART_FONT) != 0;
}

static enum mr_status make_submittal(const struct mr_outline *o, const char *name, struct mr_publish *pub) {
    const size_t index = mr_publish_file(pub, name);
    const struct mr_zone_choice all = {.other_font = other_font()};
    struct mr_handed handed;
    int error = mr_handed_open(pub, index, &handed);
    if (!error && mr_submittal(o, &all, mr_handed_put, &handed) != MR_OK)
        error = errno;
    const int at_end = mr_handed_end(pub, index, &handed);
    if (at_end || error)
        return mr_output_failed(pub->diags, name, error ? error : at_end);
    return mr_publish_close(pub, index);
}

static enum mr_status make_all(const struct mr_outline *o, const struct mr_render_options *options,
                               const char *content, struct mr_publish *pub) {
    enum mr_status status = mr_publish_start(pub);
    if (status != MR_OK)
        return status;
    struct making m = {.pub = pub, .o = o, .stamp_iso = mr_utc_text(o->arena, o->created_utc_ms)};
    if (options->charts)
        list_pictures(&m);
    const char *name = mr_printf(o->arena, "%s-report.xlsx", o->folder);
    m.book_index = mr_publish_file(pub, name);
    m.book = (struct mr_book_paths){
        .workbook = mr_publish_path(pub, name), .tmp_dir = pub->tmp_path, .charts = options->charts};
    mr_pool_threads(options->threads);
    mr_pool_each(1 + m.n, make_piece, &m);
    status = close_pictures(&m);
    if (status == MR_OK)
        status = close_workbook(&m);
    if (status == MR_OK && options->charts)
        status = make_submittal(o, mr_printf(o->arena, "%s-submittal.pdf", o->folder), pub);
    if (status == MR_OK && options->charts && !mr_many_zones(o))
        status = make_zone_tables(o, pub);
    if (status == MR_OK)
        status = make_rows(o, pub);
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

enum { FORMER_MOST = 256 << 20 };

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
static const struct mr_assessment *follow(struct mr_publish *pub, const struct mr_assessment *a,
                                          const char *version) {
    struct mr_former former = {0};
    size_t gone = 0;
    if (pub->revisions.any) {
        const char *path = mr_printf(pub->arena, "%s/report.json",
                                     mr_revision_name(pub->arena, pub->revisions.newest.revision)),
                   *text = mr_beneath_read(pub->arena, pub->reports, path, FORMER_MOST);
        const int error = errno;
        former = mr_former_read(pub->arena, text);
        if (!former.any)
            tell_unread_former(pub, path, text ? "it is not as milrise wrote it" : strerrordesc_np(error));
    }
    const struct mr_assessment *with = mr_with_former(pub->arena, a, &former, version, &gone);
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
    const struct mr_assessment *with = out->told = follow(pub, a, options->version);
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
    if (options->charts)
        mr_charts_make(&outline.chart_job, &charts);
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
