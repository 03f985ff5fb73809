/*
 * chart_page.c - the frame of every figure: title, caption, and what the plot could not hold in full.
 */
#include "render/plot/chart_axes.h"

#include "base/utf8.h"
#include "milrise/diag.h"

#include <math.h>
#include <string.h>

#define EDGE_PT 12.0
#define PLOT_TOP_PT 35.0 /* below the subtitle's descenders */

enum { TITLE_BYTES = 400 };

static const char *const limit_of_use =
    "Read it with the report and its cautions; it does not replace inspection, the specification or local codes.";

double mr_page_width(const struct mr_chart_job *job) {
    return job->size ? job->size->w_pt : MR_PAGE_W;
}

double mr_page_height(const struct mr_chart_job *job) {
    return job->size ? job->size->h_pt : MR_PAGE_H;
}

const char *mr_part_title(const struct mr_chart_job *job, const char *title, size_t part, size_t parts) {
    return parts > 1 ? mr_printf(job->arena, "%s, part %zu of %zu", title, part, parts) : title;
}

struct mr_drawlist *mr_page(const struct mr_chart_job *job, double height_pt, const char *title,
                            const char *subtitle) {
    struct mr_drawlist *list =
        mr_drawlist_new(job->arena, mr_page_width(job), fmax(height_pt, mr_page_height(job)), title);
    const double room = list->width_pt - 2 * EDGE_PT;
    mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_TITLE, MR_LEFT, true, false}, EDGE_PT, 19,
                 mr_text_fit(job->arena, title, MR_SIZE_TITLE, true, room));
    mr_draw_text(list, (struct mr_type){MR_INK_GREY, MR_SIZE_SUB, MR_LEFT, false, false}, EDGE_PT, 31.5,
                 mr_text_fit(job->arena, subtitle, MR_SIZE_SUB, false, room));
    list->subtitle = subtitle;
    list->plot_top_pt = PLOT_TOP_PT;
    return list;
}

/* A long name gives way to the words that say what the figure shows. */
struct mr_drawlist *mr_page_named(const struct mr_chart_job *job, double height_pt, const char *name,
                                  const char *words, const char *subtitle) {
    const double room = mr_page_width(job) - 2 * EDGE_PT - mr_text_width(words, MR_SIZE_TITLE, true);
    const char *shown = mr_text_fit(job->arena, name, MR_SIZE_TITLE, true, room);
    struct mr_drawlist *list = mr_page(job, height_pt, mr_printf(job->arena, "%s%s", shown, words), subtitle);
    const char *whole = mr_printf(job->arena, "%s%s", name, words);
    list->title = mr_clean_text(job->arena, whole, strlen(whole), TITLE_BYTES);
    if (shown != name)
        mr_tell(list, mr_printf(job->arena, "Zone: %s", name));
    return list;
}

void mr_page_ends(const struct mr_chart_job *job, struct mr_drawlist *list, double y) {
    if (!job->size)
        list->height_pt = y + MR_PAGE_FOOT;
}

/* A word wider than the line is broken: nothing told here is ever cut. */
static size_t piece_bytes(const char *text, double room) {
    const size_t n = strlen(text);
    size_t blank = 0, i = 0, len;
    while (i < n) {
        len = mr_utf8_length(text + i, n - i);
        len = len ? len : 1;
        char head[256];
        const size_t upto = i + len;
        if (upto >= sizeof head)
            return blank ? blank : i;
        memcpy(head, text, upto);
        head[upto] = '\0';
        if (mr_text_width(head, MR_SIZE_CAPTION, false) > room)
            return blank ? blank : i ? i : len;
        i = upto;
        if (text[i] == ' ')
            blank = i;
    }
    return n;
}

static double tell_lines(struct mr_drawlist *list, double x, double y, double room, const char *text) {
    const struct mr_type type = {MR_INK_BLACK, MR_SIZE_CAPTION, MR_LEFT, false, false};
    while (*text) {
        const size_t bytes = piece_bytes(text, room);
        mr_draw_text(list, type, x, y, mr_strndup(list->arena, text, bytes));
        text += bytes;
        text += strspn(text, " ");
        y += MR_TOLD_LINE_PT;
    }
    return y;
}

/* Short texts in columns, read downwards; long ones each on lines of their own. */
static double tell_numbered(struct mr_drawlist *list, double y) {
    const double room = list->width_pt - 2 * EDGE_PT, number_w = mr_text_width("000", MR_SIZE_CAPTION, true) + 4;
    double widest = 1;
    for (size_t i = 0; i < list->numbered.n; i++)
        widest = fmax(widest, mr_text_width(list->numbered.v[i], MR_SIZE_CAPTION, false));
    size_t columns = (size_t)(room / (number_w + widest + 10));
    columns = columns < 1 ? 1 : columns;
    const size_t rows = (list->numbered.n + columns - 1) / columns;
    const double w = room / (double)columns;
    double bottom = y;
    for (size_t c = 0; c < columns; c++) {
        double at = y;
        for (size_t i = c * rows; i < (c + 1) * rows && i < list->numbered.n; i++) {
            const double x = EDGE_PT + w * (double)c + number_w;
            mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_CAPTION, MR_RIGHT, true, false}, x - 4, at,
                         mr_printf(list->arena, "%zu", i + 1));
            at = tell_lines(list, x, at, w - number_w, list->numbered.v[i]);
        }
        bottom = fmax(bottom, at);
    }
    return bottom;
}

/* Many short texts, such as names, in columns read downwards; else each on lines of its own. */
static double tell_plain(struct mr_drawlist *list, double y) {
    enum { FOLDED_FROM = 6 };
    const double room = list->width_pt - 2 * EDGE_PT;
    double widest = 1;
    for (size_t i = 0; i < list->told.n; i++)
        widest = fmax(widest, mr_text_width(list->told.v[i], MR_SIZE_CAPTION, false));
    size_t columns = list->told.n < FOLDED_FROM ? 1 : (size_t)(room / (widest + 10));
    columns = columns < 1 ? 1 : columns;
    const size_t rows = (list->told.n + columns - 1) / columns;
    double bottom = y;
    for (size_t c = 0; c < columns; c++) {
        double at = y;
        for (size_t i = c * rows; i < (c + 1) * rows && i < list->told.n; i++)
            at = tell_lines(list, EDGE_PT + room / (double)columns * (double)c, at, room / (double)columns,
                            list->told.v[i]);
        bottom = fmax(bottom, at);
    }
    return bottom;
}

static double draw_told(struct mr_drawlist *list, double y) {
    y = tell_plain(list, y);
    return list->numbered.n ? tell_numbered(list, y) : y;
}

void mr_page_end(const struct mr_chart_job *job, struct mr_drawlist *list, const char *sources) {
    const char *number = job->number ? mr_printf(job->arena, "Figure %u · ", ++*job->number) : "";
    double top = list->height_pt - MR_PAGE_FOOT + 8;
    if (list->told.n + list->numbered.n > 0)
        top = draw_told(list, top + 3) + 1;
    list->plot_bottom_pt = top - 1;
    mr_draw_segment(list, MR_INK_LINE, 0.5, MR_SOLID, EDGE_PT, top, list->width_pt - EDGE_PT, top);
    list->height_pt = fmax(list->height_pt, top + MR_PAGE_FOOT - 8);
    list->caption_head = mr_printf(job->arena, "%s%s", number, job->job_name);
    list->caption_tail = mr_printf(job->arena, "data: %s", sources);
    list->foot_op = list->ops.n;
    mr_page_stands(list, job->stands);
}

void mr_page_stands(struct mr_drawlist *list, const char *stands) {
    const struct mr_type small = {MR_INK_GREY, MR_SIZE_CAPTION, MR_LEFT, false, false};
    const double room = list->width_pt - 2 * EDGE_PT, top = list->plot_bottom_pt + 1;
    const char *line[2];
    list->ops.n = list->foot_op;
    list->caption = mr_printf(list->arena, "%s · %s · %s", list->caption_head, stands, list->caption_tail);
    const size_t n = mr_text_wrap(list->arena, list->caption, MR_SIZE_CAPTION, false, room, MR_COUNT(line), line);
    for (size_t i = 0; i < n; i++)
        mr_draw_text(list, small, EDGE_PT, top + 9.5 + MR_TOLD_LINE_PT * (double)i, line[i]);
    mr_draw_text(list, small, EDGE_PT, top + 9.5 + MR_TOLD_LINE_PT * (double)n,
                 mr_text_fit(list->arena, limit_of_use, MR_SIZE_CAPTION, false, room));
}

const char *mr_cut_name(struct mr_drawlist *list, const char *name, double size, bool bold, double width) {
    const char *shown = mr_text_fit(list->arena, name, size, bold, width);
    if (shown != name)
        mr_tell(list, name);
    return shown;
}
