/*
 * leaf_pdf.c - the submittal's user of cairo and pango.
 *
 * What cairo 1.16 can tag: headings, paragraphs, tables with rows and cells, figures, links, bookmarks. What it
 * cannot: the alternative text of a figure, the language, the scope of a table's head, marks for what repeats on each
 * page. So the words of a figure are set below it as text, and head and foot of a page stand outside every element.
 * An element never crosses a page: it is closed at its end and opened again (leaves.c).
 */
#include "render/submittal/leaf_pdf.h"

#include "render/submittal/pdf_update.h"

#include <cairo-pdf.h>
#include <cairo.h>
#include <errno.h>
#include <pango/pangocairo.h>
#include <string.h>

struct press {
    const struct mr_leaves *leaves;
    const struct mr_leaf_info *info;
    cairo_t *cr;
    PangoLayout *layout;
    PangoFontDescription *font;
    const char *open[16]; /* elements, the innermost last */
    size_t n_open;
    struct mr_buffer bytes;
};

static cairo_status_t press_write(void *closure, const unsigned char *data, unsigned n) {
    struct press *p = closure;
    mr_buffer_add(&p->bytes, data, n);
    return CAIRO_STATUS_SUCCESS;
}

static void ink(const struct press *p, struct mr_ink c) {
    cairo_set_source_rgb(p->cr, c.r / 255.0, c.g / 255.0, c.b / 255.0);
}

static void press_text(const struct press *p, const struct mr_set_piece *t, const char *text) {
    pango_font_description_set_absolute_size(p->font, t->size * PANGO_SCALE);
    pango_font_description_set_weight(p->font, t->bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_layout_set_font_description(p->layout, p->font);
    pango_layout_set_text(p->layout, text, -1);
    double shift = 0;
    if (t->anchor != MR_LEFT) {
        int width, height;
        pango_layout_get_size(p->layout, &width, &height);
        shift = (double)width / PANGO_SCALE * (t->anchor == MR_RIGHT ? 1.0 : 0.5);
    }
    ink(p, t->ink);
    cairo_move_to(p->cr, t->x - shift, t->y - (double)pango_layout_get_baseline(p->layout) / PANGO_SCALE);
    pango_cairo_show_layout(p->cr, p->layout);
}

static void press_number(const struct press *p, const struct mr_set_piece *t) {
    for (size_t i = 0; i < p->leaves->places.n; i++)
        if (strcmp(p->leaves->places.v[i].name, t->to) == 0) {
            press_text(p, t, mr_printf(p->leaves->arena, "%zu", p->leaves->places.v[i].page + 1));
            return;
        }
}

static void press_rule(const struct press *p, const struct mr_set_piece *t) {
    ink(p, t->ink);
    cairo_set_line_width(p->cr, t->size);
    cairo_move_to(p->cr, t->x, t->y);
    cairo_line_to(p->cr, t->x + t->w, t->y + t->h);
    cairo_stroke(p->cr);
}

/* A PNG's bytes on their way to the decoder. */
struct picture_source {
    const unsigned char *bytes;
    size_t n;
};

static cairo_status_t picture_read(void *closure, unsigned char *out, unsigned n) {
    struct picture_source *s = closure;
    if (n > s->n)
        return CAIRO_STATUS_READ_ERROR;
    memcpy(out, s->bytes, n);
    s->bytes += n;
    s->n -= n;
    return CAIRO_STATUS_SUCCESS;
}

bool mr_leaf_picture_size(const unsigned char *bytes, size_t n, double *width, double *height) {
    struct picture_source source = {bytes, n};
    cairo_surface_t *picture = cairo_image_surface_create_from_png_stream(picture_read, &source);
    const bool good = cairo_surface_status(picture) == CAIRO_STATUS_SUCCESS;
    *width = good ? cairo_image_surface_get_width(picture) : 0;
    *height = good ? cairo_image_surface_get_height(picture) : 0;
    cairo_surface_destroy(picture);
    return good;
}

static void press_picture(const struct press *p, const struct mr_set_piece *t) {
    struct picture_source source = {t->bytes, t->n_bytes};
    cairo_surface_t *picture = cairo_image_surface_create_from_png_stream(picture_read, &source);
    if (cairo_surface_status(picture) == CAIRO_STATUS_SUCCESS) {
        cairo_save(p->cr);
        cairo_translate(p->cr, t->x, t->y);
        cairo_scale(p->cr, t->w / cairo_image_surface_get_width(picture),
                    t->h / cairo_image_surface_get_height(picture));
        cairo_set_source_surface(p->cr, picture, 0, 0);
        cairo_paint(p->cr);
        cairo_restore(p->cr);
    }
    cairo_surface_destroy(picture);
}

static void press_figure(const struct press *p, const struct mr_set_piece *t) {
    cairo_save(p->cr);
    cairo_translate(p->cr, t->x, t->y);
    cairo_scale(p->cr, t->w / t->figure->width_pt, t->h / t->figure->height_pt);
    mr_draw_on(p->cr, t->figure);
    cairo_restore(p->cr);
}

static void press_open(struct press *p, const char *element, const char *attributes) {
    cairo_tag_begin(p->cr, element, attributes);
    if (p->n_open < MR_COUNT(p->open))
        p->open[p->n_open++] = element;
}

static void press_close(struct press *p) {
    if (p->n_open)
        cairo_tag_end(p->cr, p->open[--p->n_open]);
}

static void press_place(const struct press *p, const struct mr_set_piece *t) {
    char attributes[128];
    snprintf(attributes, sizeof attributes, "name='%s' x=%d y=%d", t->to, (int)t->x,
             (int)t->y > 12 ? (int)t->y - 12 : 0);
    cairo_tag_begin(p->cr, CAIRO_TAG_DEST, attributes);
    cairo_tag_end(p->cr, CAIRO_TAG_DEST);
}

static void press_piece(struct press *p, const struct mr_set_piece *t) {
    char attributes[128];
    switch (t->kind) {
    case MR_PIECE_TEXT:
        press_text(p, t, t->text);
        break;
    case MR_PIECE_NUMBER:
        press_number(p, t);
        break;
    case MR_PIECE_FILL:
        ink(p, t->ink);
        cairo_rectangle(p->cr, t->x, t->y, t->w, t->h);
        cairo_fill(p->cr);
        break;
    case MR_PIECE_RULE:
        press_rule(p, t);
        break;
    case MR_PIECE_FIGURE:
        press_figure(p, t);
        break;
    case MR_PIECE_PICTURE:
        press_picture(p, t);
        break;
    case MR_PIECE_OPEN:
        press_open(p, t->text, "");
        break;
    case MR_PIECE_LINK:
        snprintf(attributes, sizeof attributes, "dest='%s'", t->to);
        press_open(p, CAIRO_TAG_LINK, attributes);
        break;
    case MR_PIECE_CLOSE:
    case MR_PIECE_UNLINK:
        press_close(p);
        break;
    case MR_PIECE_PLACE:
        press_place(p, t);
        break;
    }
}

/* Head and foot: where we are, and how far it goes. */
static void press_margins(const struct press *p, size_t page) {
    const struct mr_leaves *l = p->leaves;
    const double size = MR_LEAF_SMALL, foot = l->height - 28;
    struct mr_set_piece t = {.size = size, .ink = MR_INK_GREY, .x = l->left, .y = 36};
    const double width = l->right - l->left;
    if (page > 0) { /* the right side, which says which revision it is, goes first */
        const char *right = mr_text_fit(l->arena, p->info->head_right, size, false, 0.6 * width);
        const double left = width - mr_leaf_width(l, right, size, false) - 10;
        press_text(p, &t, mr_text_fit(l->arena, p->info->head_left, size, false, left));
        t.x = l->right;
        t.anchor = MR_RIGHT;
        press_text(p, &t, right);
        const struct mr_set_piece rule = {
            .ink = MR_INK_LINE, .x = l->left, .y = 42, .w = l->right - l->left, .size = 0.5};
        press_rule(p, &rule);
    }
    t = (struct mr_set_piece){.size = size, .ink = MR_INK_GREY, .x = l->left, .y = foot};
    press_text(p, &t, mr_text_fit(l->arena, p->info->foot_left, size, false, (l->right - l->left) * 0.8));
    t.x = l->right;
    t.anchor = MR_RIGHT;
    press_text(p, &t, mr_printf(l->arena, "%s %zu %s %zu", p->info->page, page + 1, p->info->of, l->leaf.n));
}

static void press_bookmarks(cairo_surface_t *surface, const struct mr_leaves *l) {
    int parent = CAIRO_PDF_OUTLINE_ROOT;
    for (size_t i = 0; i < l->bookmarks.n; i++) {
        const struct mr_bookmark *b = &l->bookmarks.v[i];
        char attributes[128];
        snprintf(attributes, sizeof attributes, "dest='%s'", b->to);
        const int made =
            cairo_pdf_surface_add_outline(surface, b->level ? parent : CAIRO_PDF_OUTLINE_ROOT, b->title, attributes,
                                          b->level ? (cairo_pdf_outline_flags_t)0 : CAIRO_PDF_OUTLINE_FLAG_OPEN);
        if (!b->level)
            parent = made;
    }
}

static void press_properties(cairo_surface_t *surface, const struct mr_leaf_info *info) {
    const struct {
        cairo_pdf_metadata_t key;
        const char *text;
    } rows[] = {{CAIRO_PDF_METADATA_TITLE, info->title},         {CAIRO_PDF_METADATA_AUTHOR, info->author},
                {CAIRO_PDF_METADATA_SUBJECT, info->subject},     {CAIRO_PDF_METADATA_KEYWORDS, info->keywords},
                {CAIRO_PDF_METADATA_CREATOR, "milrise"},         {CAIRO_PDF_METADATA_CREATE_DATE, info->created_iso},
                {CAIRO_PDF_METADATA_MOD_DATE, info->created_iso}};
    for (size_t i = 0; i < MR_COUNT(rows); i++)
        if (rows[i].text[0])
            cairo_pdf_surface_set_metadata(surface, rows[i].key, rows[i].text);
}

static void press_pages(struct press *p) {
    const struct mr_leaves *l = p->leaves;
    for (size_t i = 0; i < l->leaf.n; i++) {
        press_margins(p, i);
        for (size_t k = 0; k < l->leaf.v[i].pieces.n; k++)
            press_piece(p, &l->leaf.v[i].pieces.v[k]);
        while (p->n_open)
            press_close(p);
        cairo_show_page(p->cr);
    }
}

/* Alternative texts in the order of the document. */
static void press_update(struct press *p) {
    const struct mr_leaves *l = p->leaves;
    MR_VEC(const char *) alt = {0};
    for (size_t i = 0; i < l->leaf.n; i++)
        for (size_t k = 0; k < l->leaf.v[i].pieces.n; k++) {
            const struct mr_set_piece *t = &l->leaf.v[i].pieces.v[k];
            if (t->kind == MR_PIECE_FIGURE || t->kind == MR_PIECE_PICTURE)
                MR_PUSH(l->arena, &alt, mr_leaf_clean(l->arena, t->text, strlen(t->text), 1000));
        }
    mr_pdf_update(&p->bytes, p->info->language, alt.n, alt.v);
}

enum mr_status mr_leaf_pdf(const struct mr_leaves *l, const struct mr_leaf_info *info, mr_put_fn put, void *ctx) {
    struct press p = {.leaves = l, .info = info, .bytes = {.arena = l->arena}};
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(press_write, &p, l->width, l->height);
    press_properties(surface, info);
    p.cr = cairo_create(surface);
    p.layout = pango_cairo_create_layout(p.cr);
    mr_type_setup(p.cr, p.layout);
    p.font = pango_font_description_from_string(MR_CHART_FONT);
    press_pages(&p);
    press_bookmarks(surface, l);
    cairo_status_t status = cairo_status(p.cr);
    pango_font_description_free(p.font);
    g_object_unref(p.layout);
    cairo_destroy(p.cr);
    cairo_surface_finish(surface);
    if (status == CAIRO_STATUS_SUCCESS)
        status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    if (status != CAIRO_STATUS_SUCCESS) {
        errno = ENOMEM;
        return MR_E_OUTPUT;
    }
    press_update(&p);
    const int error = put(ctx, p.bytes.v.v, p.bytes.v.n);
    errno = error;
    return error ? MR_E_OUTPUT : MR_OK;
}
