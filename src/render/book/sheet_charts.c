/*
 * sheet_charts.c - sheets of charts: the PNG files of the report, each with a text for those who cannot see it.
 */
#include "render/book/book_report.h"

#include <math.h>
#include <string.h>

/* In print: points of a row, points of a page between its margins, scale in percent. */
enum { ROW_PT = 15, PAGE_PT = 745, SCALE_PCT = 90 };

/* Charts stand under each other, as many on an upright page as fit whole. */
void mr_sheet_charts(const struct mr_book_job *job, struct mr_sheet *s, const char *kind, const char *title,
                     const char *dir) {
    const mr_chart_list *charts = job->o->charts;
    MR_VEC(unsigned) breaks = {0};
    mr_sheet_width(s, 0, 100);
    mr_sheet_height(s, 0, 24);
    mr_sheet_text(s, 0, 0, MR_LOOK_TITLE, title);
    mr_sheet_text(s, 1, 0, MR_LOOK_NOTE, "Also as PNG, SVG and PDF in the folder charts, beside this workbook.");
    unsigned row = 3, page_from = 0;
    for (size_t i = 0; i < charts->n; i++) {
        const struct mr_chart *c = &charts->v[i];
        if (strcmp(c->kind, kind) != 0)
            continue;
        const unsigned rows = 2 + (unsigned)ceil(c->list->height_pt / ROW_PT);
        if ((row + rows - page_from) * ROW_PT > PAGE_PT * 100 / SCALE_PCT && row > 3) {
            MR_PUSH(job->arena, &breaks, row);
            page_from = row;
        }
        mr_sheet_text(s, row, 0, MR_LOOK_NOTE, mr_printf(job->arena, "charts/%s", c->stem));
        mr_sheet_image(s, row + 1, 0, mr_printf(job->arena, "%s/%s.png", dir, c->stem), 1.0, c->alt);
        row += rows;
    }
    mr_sheet_portrait(s, SCALE_PCT, breaks.n, breaks.v);
}
