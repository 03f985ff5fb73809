/*
 * sheet_charts.c - pictures of charts, at the size they are seen, each with a text for those who cannot see it; the
 * files for print lie beside the workbook.
 */
#include "render/book/book_sheets.h"

#include "base/buffer.h"
#include "render/draw/draw_cairo.h"

#include <errno.h>
#include <math.h>
#include <string.h>

enum { PICTURES_MANY = 200 };

enum { WORDS_LINES = 12 };

/* Arial is narrower than the letters that are measured here. */
static size_t wrapped(const struct mr_book_job *job, enum mr_look look, const char *words, double width_pt,
                      const char *line[WORDS_LINES]) {
    const double size = look == MR_LOOK_TITLE ? 16 : MR_BOOK_TYPE_PT;
    return words ? mr_text_wrap(job->arena, words, size, look == MR_LOOK_TITLE, width_pt / 0.87, WORDS_LINES, line)
                 : 0;
}

size_t mr_words_rows(const struct mr_book_job *job, enum mr_look look, const char *words, double width_pt) {
    const char *line[WORDS_LINES];
    return wrapped(job, look, words, width_pt, line);
}

unsigned mr_put_words(const struct mr_book_job *job, struct mr_sheet *s, unsigned row, unsigned column,
                      enum mr_look look, const char *words, double width_pt) {
    const char *line[WORDS_LINES];
    const size_t n = wrapped(job, look, words, width_pt, line);
    for (size_t i = 0; i < n; i++) {
        if (look == MR_LOOK_TITLE)
            mr_sheet_height(s, row, 24);
        mr_sheet_text(s, row++, column, look, line[i]);
    }
    return row;
}

/* The figures beside the plot, of which a small picture has none. */
static const char *beside_text(const struct mr_book_job *job, const struct mr_drawlist *list) {
    const char *text = "";
    for (size_t i = 0; i < list->beside.n; i++) {
        const char *one = list->beside.v[i];
        const bool heading = one[strlen(one) - 1] == ':',
                   after = i > 0 && list->beside.v[i - 1][strlen(list->beside.v[i - 1]) - 1] == ':';
        text = mr_printf(job->arena, "%s%s%s", text, i == 0 ? "" : heading ? ". " : after ? " " : "; ", one);
    }
    return text;
}

/* Of very many figures, those of zones that conform in what they show stand beside the workbook alone: their figures
 * are in its cells. */
static bool stands_beside(const struct mr_book_job *job, const struct mr_chart *c) {
    static const struct {
        const char *kind, *group;
    } shows[] = {{"thickness", "thickness"},
                 {"spots", "thickness"},
                 {"normal-plot", "thickness"},
                 {"reaction", "reaction"},
                 {"coats-from-onset", "reaction"}};
    const struct mr_assessment *a = job->o->a;
    if (job->o->charts->n <= PICTURES_MANY || c->zone >= a->aligned->zones.n)
        return false;
    for (size_t i = 0; i < MR_COUNT(shows); i++)
        for (size_t g = 0; strcmp(shows[i].kind, c->kind) == 0 && g < MR_COUNT(mr_groups); g++)
            if (strcmp(mr_groups[g], shows[i].group) == 0)
                return a->zones[c->zone].by_group[g] <= MR_CONFORMS;
    return false;
}

/* The library copies the picture; rows beneath it keep their usual height, or it would be stretched. Returns: the
 * first row below it. */
static unsigned put_picture(const struct mr_book_job *job, struct mr_sheet *s, unsigned row,
                            const struct mr_chart *c) {
    const bool small = job->o->charts->n > PICTURES_MANY;
    struct mr_buffer p = {.arena = mr_arena_like(job->arena)};
    const bool drawn =
        mr_draw_file(c->list, small ? MR_PICTURE_SMALL : MR_PICTURE_SCREEN, "", mr_buffer_keep, &p) == MR_OK;
    if (drawn)
        mr_sheet_image(s, row, 0, (const unsigned char *)p.v.v, p.v.n, c->alt);
    mr_arena_free(p.arena);
    return drawn ? row + (unsigned)ceil(mr_plot_height(c->list) / MR_ROW_PT) : row;
}

unsigned mr_put_chart(const struct mr_book_job *job, struct mr_sheet *s, unsigned row, const struct mr_chart *c) {
    const struct mr_drawlist *list = c->list;
    const bool small = job->o->charts->n > PICTURES_MANY, beside = stands_beside(job, c);
    const double width_pt = list->width_pt;
    row = mr_put_words(job, s, row, 0, MR_LOOK_NOTE, list->subtitle, width_pt);
    if (!beside)
        row = put_picture(job, s, row, c);
    if (small)
        row = mr_put_words(job, s, row, 0, MR_LOOK_NOTE, beside_text(job, list), width_pt);
    return mr_put_words(
        job, s, row, 0, MR_LOOK_NOTE,
        mr_printf(job->arena, "%s · %scharts/%s.png", list->caption, beside ? "beside this workbook: " : "", c->stem),
        width_pt);
}

static unsigned put_kind(const struct mr_book_job *job, struct mr_sheet *s, unsigned row, const char *kind) {
    const mr_chart_list *charts = job->o->charts;
    for (size_t i = 0; i < charts->n; i++) {
        const struct mr_chart *c = &charts->v[i];
        if (strcmp(c->kind, kind) != 0)
            continue;
        const bool zone = c->zone < job->o->a->aligned->zones.n && job->zones;
        if (zone)
            mr_sheet_link(s, row, 0, MR_LOOK_LINK, mr_zone_sheet(job, c->zone), job->zone_row[c->zone], c->title);
        else
            mr_sheet_text(s, row, 0, MR_LOOK_SUBTITLE, c->title);
        row = mr_put_chart(job, s, row + 1, c) + 1;
    }
    return row;
}

void mr_sheet_charts(const struct mr_book_job *job, struct mr_sheet *s, const char *const kinds[MR_KINDS_A_SHEET],
                     const char *title) {
    mr_sheet_width(s, 0, 100);
    mr_sheet_height(s, 0, 24);
    mr_sheet_text(s, 0, 0, MR_LOOK_TITLE, mr_book_word(job, title));
    mr_sheet_text(
        s, 1, 0, MR_LOOK_NOTE,
        "For print and for other documents: the same figures as PNG, SVG and PDF in the folder charts. Each "
        "names the revision since which it stands as it is.");
    unsigned row = 3;
    for (size_t k = 0; k < MR_KINDS_A_SHEET && kinds[k]; k++)
        row = put_kind(job, s, row, kinds[k]);
    mr_sheet_on_screen(s);
}
