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

/* The library copies the picture; rows beneath it keep their usual height, or it would be stretched. */
unsigned mr_put_chart(const struct mr_book_job *job, struct mr_sheet *s, unsigned row, const struct mr_chart *c) {
    struct mr_buffer p = {.arena = mr_arena_like(job->arena)};
    if (mr_draw_file(c->list, MR_PICTURE_SCREEN, "", mr_buffer_keep, &p) == MR_OK)
        mr_sheet_image(s, row, 0, (const unsigned char *)p.v.v, p.v.n, c->alt);
    else
        mr_sheet_text(s, row, 0, MR_LOOK_NOTE, mr_printf(job->arena, "charts/%s.png", c->stem));
    mr_arena_free(p.arena);
    return row + (unsigned)ceil(c->list->height_pt / MR_ROW_PT);
}

static unsigned put_kind(const struct mr_book_job *job, struct mr_sheet *s, unsigned row, const char *kind) {
    const mr_chart_list *charts = job->o->charts;
    for (size_t i = 0; i < charts->n; i++) {
        const struct mr_chart *c = &charts->v[i];
        if (strcmp(c->kind, kind) != 0)
            continue;
        const bool zone = c->zone < job->o->a->aligned->zones.n && job->zones;
        const char *name = mr_printf(job->arena, "charts/%s", c->stem);
        if (zone)
            mr_sheet_link(s, row, 0, MR_LOOK_LINK, mr_zone_sheet(job, c->zone), job->zone_row[c->zone], name);
        else
            mr_sheet_text(s, row, 0, MR_LOOK_NOTE, name);
        row = mr_put_chart(job, s, row + 1, c) + 1;
    }
    return row;
}

void mr_sheet_charts(const struct mr_book_job *job, struct mr_sheet *s, const char *const kinds[MR_KINDS_A_SHEET],
                     const char *title) {
    mr_sheet_width(s, 0, 100);
    mr_sheet_height(s, 0, 24);
    mr_sheet_text(s, 0, 0, MR_LOOK_TITLE, title);
    mr_sheet_text(s, 1, 0, MR_LOOK_NOTE, "For print and for other documents: PNG, SVG and PDF in the folder charts.");
    unsigned row = 3;
    for (size_t k = 0; k < MR_KINDS_A_SHEET && kinds[k]; k++)
        row = put_kind(job, s, row, kinds[k]);
    mr_sheet_on_screen(s);
}
