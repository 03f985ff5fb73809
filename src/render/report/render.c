/*
 * render.c - the fifth stage from the outside: charts, workbook and report.json are made in staging, then put in
 * place together.
 */
#include "milrise/render.h"

#include "render/book/book_report.h"
#include "render/chart/chart_cairo.h"
#include "render/data/json_out.h"
#include "render/data/report_before.h"
#include "render/data/report_json.h"
#include "render/publish/publish.h"

#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdatomic.h>
#include <string.h>
#include <unistd.h>

enum { THREADS_MOST = 64 };

/* One picture to be drawn: chart and kind. Workers take the next free one. */
struct picture {
    const struct mr_drawlist *list;
    enum mr_picture kind;
    const char *path;
    size_t index; /* in pub->files */
    int error;
};

struct pictures {
    struct picture *v;
    size_t n;
    const char *stamp_iso;
    atomic_size_t next;
    atomic_int failed;
};

static int draw_picture(const struct picture *p, const char *stamp_iso) {
    int fd = open(p->path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (fd < 0)
        return errno;
    int error = mr_draw_file(p->list, p->kind, stamp_iso, fd) == MR_OK ? 0 : errno;
    if (close(fd) != 0 && !error)
        error = errno;
    return error;
}

static void *draw_some(void *ctx) {
    struct pictures *all = ctx;
    for (;;) {
        const size_t i = atomic_fetch_add(&all->next, 1);
        if (i >= all->n || atomic_load(&all->failed))
            return NULL;
        all->v[i].error = draw_picture(&all->v[i], all->stamp_iso);
        if (all->v[i].error)
            atomic_store(&all->failed, 1);
    }
}

/* The calling thread draws too; threads that cannot be started are done without. */
static void draw_all(struct pictures *all, unsigned threads) {
    pthread_t thread[THREADS_MOST];
    size_t started = 0;
    while (started + 1 < threads && started < THREADS_MOST && started + 1 < all->n &&
           pthread_create(&thread[started], NULL, draw_some, all) == 0)
        started++;
    draw_some(all);
    for (size_t i = 0; i < started; i++)
        pthread_join(thread[i], NULL);
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

static enum mr_status make_charts(const struct mr_outline *o, unsigned threads, struct mr_publish *pub) {
    struct pictures all = {.n = o->charts->n * MR_PICTURE_COUNT,
                           .stamp_iso = mr_utc_text(o->arena, o->created_utc_ms)};
    all.v = MR_ARRAY(o->arena, struct picture, all.n);
    for (size_t i = 0; i < all.n; i++) {
        const struct mr_chart *chart = &o->charts->v[i / MR_PICTURE_COUNT];
        struct picture *p = &all.v[i];
        p->list = chart->list;
        p->kind = (enum mr_picture)(i % MR_PICTURE_COUNT);
        p->path = mr_publish_path(pub, mr_printf(o->arena, "charts/%s.%s", chart->stem, mr_picture_suffix[p->kind]),
                                  &p->index);
    }
    if (all.n > 0)
        check_font(pub->diags);
    draw_all(&all, threads);
    for (size_t i = 0; i < all.n; i++)
        if (all.v[i].error)
            return mr_output_failed(pub->diags, pub->files.v[all.v[i].index].path, all.v[i].error);
    for (size_t i = 0; i < all.n; i++)
        if (mr_publish_close(pub, all.v[i].index) != MR_OK)
            return MR_E_OUTPUT;
    return MR_OK;
}

static enum mr_status make_workbook(const struct mr_outline *o, const char *name, bool charts,
                                    struct mr_publish *pub) {
    size_t index;
    struct mr_book_paths paths = {.workbook = mr_publish_path(pub, name, &index),
                                  .tmp_dir = mr_printf(o->arena, "%s/tmp", pub->staging),
                                  .charts_dir = charts ? mr_printf(o->arena, "%s/new/charts", pub->staging) : NULL};
    const char *wrong = mr_book_report(o, &paths);
    if (!wrong)
        return mr_publish_close(pub, index);
    mr_diag_add(pub->diags, MR_ERROR, "output", (struct mr_place){.file = name}, NULL,
                "The former report is unchanged. Free space on the disk, then run again.", "cannot be written: %s",
                wrong);
    return MR_E_OUTPUT;
}

static enum mr_status make_json(const struct mr_outline *o, struct mr_publish *pub) {
    size_t index;
    const char *path = mr_publish_path(pub, "report.json", &index);
    const int error = mr_report_json(o, path, pub);
    return error ? mr_output_failed(pub->diags, "report.json", error) : mr_publish_close(pub, index);
}

static enum mr_status make_all(const struct mr_outline *o, const char *workbook,
                               const struct mr_render_options *options, struct mr_publish *pub) {
    enum mr_status status = options->charts ? make_charts(o, options->threads, pub) : MR_OK;
    if (status == MR_OK)
        status = make_workbook(o, workbook, options->charts, pub);
    if (status == MR_OK)
        status = make_json(o, pub);
    if (status != MR_OK)
        return status;
    mr_report_before(pub);
    return mr_publish_seal(pub);
}

static void list_published(const struct mr_publish *pub, struct mr_published *out) {
    *out = (struct mr_published){.dir = pub->out_dir};
    for (size_t i = 0; i < pub->files.n; i++) {
        const char *name = pub->files.v[i].path, *path = mr_printf(pub->arena, "%s/%s", pub->out_dir, name);
        if (strncmp(name, "charts/", 7) == 0)
            MR_PUSH(pub->arena, &out->charts, path);
        else if (strcmp(name, "report.json") == 0)
            out->json = path;
        else
            out->workbook = path;
    }
}

enum mr_status mr_render(struct mr_arena *arena, const struct mr_assessment *assessment,
                         const struct mr_render_options *options, struct mr_diags *diags, struct mr_published *out) {
    mr_chart_list charts = {0};
    struct mr_outline outline = mr_outline_make(arena, assessment, options->version, options->stamp, &charts);
    if (options->charts)
        mr_charts_make(&outline.chart_job, &charts);
    const char *out_dir = options->out_dir ? options->out_dir : mr_printf(arena, "%s/reports", assessment->job->dir);
    struct mr_publish pub;
    enum mr_status status = mr_publish_begin(&pub, arena, out_dir, diags);
    if (status != MR_OK)
        return status;
    status = make_all(&outline, mr_printf(arena, "%s-report.xlsx", outline.folder), options, &pub);
    if (status != MR_OK) {
        mr_publish_discard(&pub);
        return status;
    }
    status = mr_publish_commit(&pub);
    if (status == MR_OK)
        list_published(&pub, out);
    return status;
}
