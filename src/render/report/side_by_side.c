/*
 * side_by_side.c - see the header. Each piece writes files of its own; what each of them met is looked at afterwards,
 * in the order of the pieces.
 */
#include "render/report/side_by_side.h"

#include "base/json.h"
#include "base/pool.h"
#include "render/book/book_report.h"
#include "render/data/word_index.h"
#include "render/draw/draw_cairo.h"
#include "render/report/kept.h"
#include "render/submittal/submittal.h"

#include <errno.h>
#include <stdatomic.h>
#include <string.h>

/* One picture to be made: chart and kind. */
struct picture {
    const struct mr_chart *chart;
    enum mr_picture kind;
    size_t index;            /* in pub->files */
    const char *kept_sha256; /* of the same file in the newest revision; NULL: it is drawn */
    int error;
};

/* What is made side by side: the workbook and the submittal, which take longest, and the pictures of the folder. */
struct making {
    struct mr_publish *pub;
    const struct mr_outline *o;
    struct mr_zone_choice choice; /* of the submittal */
    size_t pages_index;           /* the submittal in pub->files; MR_NONE: none is made */
    int pages_error;
    struct mr_book_paths book;
    size_t book_index;      /* in pub->files */
    const char *book_wrong; /* NULL: it is whole */
    int book_error;         /* the system's reason, where it gave one */
    struct picture *v;
    size_t n;
    atomic_int failed;
};

static int draw_picture(const struct mr_publish *pub, const struct picture *p, struct mr_handed *handed) {
    struct mr_arena *own = mr_arena_like(pub->arena);
    const enum mr_status status =
        mr_draw_file(p->chart->list, p->kind, mr_utc_text(own, p->chart->created_utc_ms), mr_handed_put, handed);
    const int error = status == MR_OK ? 0 : errno;
    mr_arena_free(own);
    return error;
}

static int make_picture(struct mr_publish *pub, const struct picture *p) {
    struct mr_handed handed;
    int error = mr_handed_open(pub, p->index, &handed);
    if (!error && !(p->kept_sha256 && mr_figure_taken(pub, pub->files.v[p->index].path, p->kept_sha256, &handed)))
        error = draw_picture(pub, p, &handed);
    const int at_end = mr_handed_end(pub, p->index, &handed);
    return error ? error : at_end;
}

/* In memory of its own, since the workbook is made at the same time; nothing of it is left for the pictures to hold.
 */
static int draw_submittal(struct making *m) {
    const struct mr_outline own = mr_outline_in(m->o, mr_arena_like(m->o->arena));
    struct mr_handed handed;
    int error = mr_handed_open(m->pub, m->pages_index, &handed);
    if (!error && mr_submittal(&own, &m->choice, mr_handed_put, &handed) != MR_OK)
        error = errno;
    const int at_end = mr_handed_end(m->pub, m->pages_index, &handed);
    mr_arena_free(own.arena);
    return error ? error : at_end;
}

/* Which piece the submittal is, beside the workbook, the first, and the pictures. It takes long, so another thread
 * begins with it; one thread alone makes it last, in the memory that the pictures have given back. */
static size_t pages_piece(const struct making *m) {
    return mr_pool_most() > 1 ? 1 : 1 + m->n;
}

static void make_piece(void *ctx, size_t piece, size_t worker) {
    struct making *m = ctx;
    const size_t pages = pages_piece(m);
    (void)worker;
    if (piece == 0) {
        errno = 0;
        m->book_wrong = mr_book_report(m->o, &m->book);
        m->book_error = errno;
    } else if (atomic_load(&m->failed)) {
        return;
    } else if (piece == pages) {
        m->pages_error = m->pages_index == MR_NONE ? 0 : draw_submittal(m);
    } else {
        struct picture *p = &m->v[piece < pages ? piece - 1 : piece - 2];
        p->error = make_picture(m->pub, p);
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

static struct mr_word_index newest_files(const struct mr_publish *pub) {
    const struct mr_manifest *newest = &pub->revisions.newest;
    const char **path = MR_ARRAY(pub->arena, const char *, newest->files.n);
    for (size_t i = 0; i < newest->files.n; i++)
        path[i] = newest->files.v[i].path;
    return mr_word_index_make(pub->arena, newest->files.n, path);
}

static void list_pictures(struct making *m) {
    const struct mr_outline *o = m->o;
    const struct mr_word_index newest = newest_files(m->pub);
    m->n = o->charts->n * MR_PICTURE_COUNT;
    m->v = MR_ARRAY(o->arena, struct picture, m->n);
    for (size_t i = 0; i < m->n; i++) {
        const struct mr_chart *chart = &o->charts->v[i / MR_PICTURE_COUNT];
        struct picture *p = &m->v[i];
        size_t found = 0;
        p->chart = chart;
        p->kind = (enum mr_picture)(i % MR_PICTURE_COUNT);
        const char *path = mr_printf(o->arena, "charts/%s.%s", chart->stem, mr_picture_suffix[p->kind]);
        p->index = mr_publish_file(m->pub, path);
        const size_t *at = mr_word_places(&newest, path, &found);
        p->kept_sha256 = chart->kept && found ? m->pub->revisions.newest.files.v[at[0]].sha256 : NULL;
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
        cells += a->tables.v[i]->n_rows * a->tables.v[i]->n_fields;
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

static bool other_font(void) {
    char family[128] = "";
    return !mr_font_found(family, sizeof family) || strcmp(family, MR_CHART_FONT) != 0;
}

static void list_submittal(struct making *m) {
    const struct mr_outline *o = m->o;
    m->pages_index = mr_publish_file(m->pub, mr_printf(o->arena, "%s-submittal.pdf", o->folder));
    m->choice = (struct mr_zone_choice){.other_font = other_font()};
}

static enum mr_status close_submittal(const struct making *m) {
    if (m->pages_index == MR_NONE)
        return MR_OK;
    if (m->pages_error)
        return mr_output_failed(m->pub->diags, m->pub->files.v[m->pages_index].path, m->pages_error);
    return mr_publish_close(m->pub, m->pages_index);
}

enum mr_status mr_make_side_by_side(const struct mr_outline *o, const struct mr_render_options *options,
                                    struct mr_publish *pub) {
    struct making m = {.pub = pub, .o = o, .pages_index = MR_NONE};
    if (options->charts)
        list_pictures(&m);
    const char *name = mr_printf(o->arena, "%s-report.xlsx", o->folder);
    m.book_index = mr_publish_file(pub, name);
    m.book = (struct mr_book_paths){
        .workbook = mr_publish_path(pub, name), .tmp_dir = pub->tmp_path, .charts = options->charts};
    if (options->charts)
        list_submittal(&m);
    mr_pool_threads(options->threads);
    mr_pool_each(2 + m.n, make_piece, &m);
    enum mr_status status = close_pictures(&m);
    if (status == MR_OK)
        status = close_workbook(&m);
    return status == MR_OK ? close_submittal(&m) : status;
}
