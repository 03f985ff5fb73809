/*
 * chart_windows.c - see the header.
 */
#include "render/plot/chart_windows.h"

#include <math.h>

enum { NAME_ROWS = 3 };

#define NAME_PT 104.0 /* a longer name is cut, and told in full below */

const char *mr_coat_name(const struct mr_chart_job *job, size_t zone, int coat) {
    const char *name = mr_zone_name(job->a, zone);
    return coat > 0 ? mr_printf(job->arena, "%s, coat %d", name, coat) : name;
}

/* A name over its window, moved in from the right edge. Returns: its row; NAME_ROWS where none is free. */
static size_t row_for(const struct mr_panel *p, double end[NAME_ROWS], double width, double *x) {
    *x = fmax(p->x, fmin(*x, p->x + p->w - width));
    size_t row = 0;
    while (row < NAME_ROWS && end[row] > *x - 5)
        row++;
    if (row < NAME_ROWS)
        end[row] = *x + width;
    return row;
}

/* Rows of names that all windows fit into; 0 where they do not. */
static size_t name_rows(const struct mr_chart_job *job, size_t shift, const struct mr_panel *p) {
    const struct mr_alignment *al = job->a->aligned;
    double end[NAME_ROWS] = {-1e9, -1e9, -1e9};
    size_t most = 1;
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->shift != shift)
            continue;
        double x = mr_panel_x(p, (double)w->t0_utc_ms);
        const char *name = mr_coat_name(job, w->zone, w->coat);
        const size_t row = row_for(p, end, fmin(NAME_PT, mr_text_width(name, MR_SIZE_CAPTION, false)), &x);
        if (row == NAME_ROWS)
            return 0;
        most = row + 1 > most ? row + 1 : most;
    }
    return most;
}

double mr_windows_strip(const struct mr_chart_job *job, size_t shift, const struct mr_panel *p) {
    const size_t rows = name_rows(job, shift, p);
    return MR_STRIP_ROW_PT * (double)(rows ? rows : 1) + 3;
}

static void put_names(struct mr_drawlist *list, const struct mr_chart_job *job, size_t shift,
                      const struct mr_panel *p) {
    const struct mr_alignment *al = job->a->aligned;
    double end[NAME_ROWS] = {-1e9, -1e9, -1e9};
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->shift != shift)
            continue;
        double x = mr_panel_x(p, (double)w->t0_utc_ms);
        const char *name = mr_cut_name(list, mr_coat_name(job, w->zone, w->coat), MR_SIZE_CAPTION, false, NAME_PT);
        const size_t row = row_for(p, end, mr_text_width(name, MR_SIZE_CAPTION, false), &x);
        mr_draw_text(list, (struct mr_type){MR_INK_GREY, MR_SIZE_CAPTION, MR_LEFT, false, false}, x,
                     p->y - 3.5 - MR_STRIP_ROW_PT * (double)row, name);
    }
}

/* One run of numbers that would meet: "12-17" in their middle. */
struct number_run {
    size_t from, to;
    double x0, x1;
};

static const char *run_text(struct mr_arena *arena, const struct number_run *r) {
    return r->from == r->to ? mr_printf(arena, "%zu", r->from) : mr_printf(arena, "%zu-%zu", r->from, r->to);
}

static double run_left(const struct mr_panel *p, const struct number_run *r, double width) {
    return fmax(p->x, fmin((r->x0 + r->x1 - width) / 2, p->x + p->w - width));
}

static void put_numbers(struct mr_drawlist *list, const struct mr_chart_job *job, size_t shift,
                        const struct mr_panel *p) {
    const struct mr_alignment *al = job->a->aligned;
    MR_VEC(struct number_run) runs = {0};
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->shift != shift)
            continue;
        const size_t number = mr_tell_numbered(list, mr_coat_name(job, w->zone, w->coat));
        const double x0 = mr_panel_x(p, (double)w->t0_utc_ms), x1 = mr_panel_x(p, (double)w->t1_utc_ms);
        MR_PUSH(list->arena, &runs, ((struct number_run){number, number, x0, x1}));
        while (runs.n > 1) { /* the new run may meet the one before, and both together the one before that */
            struct number_run *b = &runs.v[runs.n - 1], *a = b - 1;
            const double wa = mr_text_width(run_text(list->arena, a), MR_SIZE_CAPTION, false),
                         wb = mr_text_width(run_text(list->arena, b), MR_SIZE_CAPTION, false);
            if (run_left(p, a, wa) + wa + 2.5 <= run_left(p, b, wb))
                break;
            a->from = a->from < b->from ? a->from : b->from;
            a->to = a->to > b->to ? a->to : b->to;
            a->x1 = fmax(a->x1, b->x1);
            runs.n--;
        }
    }
    for (size_t i = 0; i < runs.n; i++) {
        const char *text = run_text(list->arena, &runs.v[i]);
        const double width = mr_text_width(text, MR_SIZE_CAPTION, false);
        mr_draw_text(list, (struct mr_type){MR_INK_GREY, MR_SIZE_CAPTION, MR_LEFT, false, false},
                     run_left(p, &runs.v[i], width), p->y - 3.5, text);
    }
}

void mr_windows_name(struct mr_drawlist *list, const struct mr_chart_job *job, size_t shift,
                     const struct mr_panel *p) {
    if (name_rows(job, shift, p))
        put_names(list, job, shift, p);
    else
        put_numbers(list, job, shift, p);
}

void mr_windows_shade(struct mr_drawlist *list, const struct mr_chart_job *job, size_t shift,
                      const struct mr_panel *p) {
    const struct mr_alignment *al = job->a->aligned;
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->shift != shift)
            continue;
        const double x0 = fmax(p->x, mr_panel_x(p, (double)w->t0_utc_ms)),
                     x1 = fmin(p->x + p->w, mr_panel_x(p, (double)w->t1_utc_ms));
        if (x1 >= x0)
            mr_draw_rect(list, MR_INK_SHADE, x0, p->y, fmax(x1 - x0, 0.8), p->h);
    }
}
