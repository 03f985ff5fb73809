/*
 * chart_verdict.c - how every zone stands by every group of checks, as marks in a grid: columns side by side where
 * there are many zones, then several figures. Checks of the whole job have a row of their own, which comes first.
 */
#include "render/chart/charts.h"

#include <math.h>
#include <string.h>

enum { GROUPS = 8, COLUMNS = GROUPS + 1, BLOCKS_MOST = 2 };

#define ROW_PT 10.6
#define TOP_PT 100.0       /* of the first row: title, legend, heads */
#define TALL_PT 640.0      /* no figure of many zones is higher, unless its size is */
#define BLOCK_GAP_PT 14.0  /* between two columns of zones */
#define NAME_MOST_PT 330.0 /* width that names may take */
#define CELL_LEAST_PT 12.0

struct verdict_row {
    const char *name;
    enum mr_outcome outcome[COLUMNS]; /* the zone's, then by group */
};

struct verdict_view {
    const struct mr_chart_job *job;
    size_t n;
    struct verdict_row *row;
    size_t from, to; /* rows of this figure */
    size_t blocks, per_block;
    double name_w, cell_w;
};

static const double mark_size[] = {
    [MR_NOT_REQUIRED] = 4, [MR_CONFORMS] = 5.2, [MR_NOT_SHOWN] = 6.2, [MR_DOES_NOT_CONFORM] = 6.4};

static void read_rows(struct verdict_view *v) {
    const struct mr_assessment *a = v->job->a;
    struct verdict_row whole = {.name = "Checks of the whole job"};
    bool any = false;
    for (size_t i = 0; i < a->checks.n; i++)
        for (size_t g = 0; g < GROUPS; g++)
            if (a->checks.v[i].zone == MR_NONE && strcmp(a->checks.v[i].group, mr_groups[g]) == 0) {
                whole.outcome[0] = mr_outcome_worst(whole.outcome[0], a->checks.v[i].outcome);
                whole.outcome[g + 1] = mr_outcome_worst(whole.outcome[g + 1], a->checks.v[i].outcome);
                any = true;
            }
    v->row = MR_ARRAY(v->job->arena, struct verdict_row, a->aligned->zones.n + 1);
    if (any)
        v->row[v->n++] = whole;
    for (size_t z = 0; z < a->aligned->zones.n; z++) {
        struct verdict_row *row = &v->row[v->n++];
        row->name = mr_zone_name(a, z);
        row->outcome[0] = a->zones[z].outcome;
        memcpy(row->outcome + 1, a->zones[z].by_group, sizeof a->zones[z].by_group);
    }
}

static double block_width(const struct verdict_view *v) {
    return v->name_w + COLUMNS * v->cell_w + 6;
}

/* How many rows a figure holds, in how many blocks. */
static size_t fold(struct verdict_view *v, double width_pt, double height_pt) {
    const double room = width_pt - 24;
    const size_t low = (size_t)((height_pt - TOP_PT - MR_PAGE_FOOT - 6) / ROW_PT);
    const size_t high = (size_t)((fmax(height_pt, TALL_PT) - TOP_PT - MR_PAGE_FOOT - 60) / ROW_PT);
    double widest = 0;
    for (size_t i = 0; i < v->n; i++)
        widest = fmax(widest, mr_text_width(v->row[i].name, MR_SIZE_TICK, false) + 8);
    const double half = (room - BLOCK_GAP_PT) / BLOCKS_MOST;
    const bool folds = v->n > low && widest <= half - 6 - COLUMNS * CELL_LEAST_PT; /* no name is cut for it */
    v->blocks = folds ? BLOCKS_MOST : 1;
    const size_t most = v->blocks * high, here = v->n < most ? v->n : most;
    v->per_block = (here + v->blocks - 1) / v->blocks;
    const double each = folds ? half : room;
    v->name_w = fmin(fmin(widest, NAME_MOST_PT), each - 6 - COLUMNS * CELL_LEAST_PT);
    v->cell_w = fmin((each - v->name_w - 6) / COLUMNS, 28);
    return most;
}

static double column_x(const struct verdict_view *v, double left, size_t column) {
    return left + v->name_w + ((double)column + 0.5) * v->cell_w + (column ? 6 : 0);
}

static void draw_heads(struct mr_drawlist *list, const struct verdict_view *v, double left) {
    for (size_t c = 0; c < COLUMNS; c++)
        mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_TICK, MR_LEFT, c == 0, true},
                     column_x(v, left, c) + 2.6, TOP_PT - 5, c ? mr_group_titles[c - 1] : "Outcome");
    mr_draw_segment(list, MR_INK_GREY, 0.6, MR_SOLID, left, TOP_PT - 2, left + block_width(v), TOP_PT - 2);
}

/* One list of marks for each outcome: a page holds hundreds. */
static void draw_marks(struct mr_drawlist *list, const struct verdict_view *v, double left, size_t from, size_t to) {
    struct mr_point *at = MR_ARRAY(list->arena, struct mr_point, (to - from) * COLUMNS);
    for (int k = MR_NOT_REQUIRED; k <= MR_DOES_NOT_CONFORM; k++) {
        size_t n = 0;
        for (size_t i = from; i < to; i++)
            for (size_t c = 0; c < COLUMNS; c++) {
                if (v->row[i].outcome[c] != (enum mr_outcome)k)
                    continue;
                at[n++] = (struct mr_point){column_x(v, left, c), TOP_PT + ROW_PT * ((double)(i - from) + 0.5)};
                if (k == MR_DOES_NOT_CONFORM)
                    mr_draw_rect(list, MR_INK_ROSE, at[n - 1].x - v->cell_w / 2 + 1, at[n - 1].y - ROW_PT / 2 + 0.6,
                                 v->cell_w - 2, ROW_PT - 1.2);
            }
        if (n)
            mr_draw_marks(list, mr_outcome_ink((enum mr_outcome)k), mr_outcome_mark((enum mr_outcome)k), mark_size[k],
                          n, at);
    }
}

static void draw_block(struct mr_drawlist *list, const struct verdict_view *v, double left, size_t from, size_t to) {
    draw_heads(list, v, left);
    for (size_t i = from; i < to; i++) {
        const double y = TOP_PT + ROW_PT * (double)(i - from + 1);
        mr_draw_segment(list, MR_INK_GRID, 0.5, MR_SOLID, left, y, left + block_width(v), y);
    }
    draw_marks(list, v, left, from, to);
    for (size_t i = from; i < to; i++)
        mr_draw_text(list, (struct mr_type){MR_INK_BLACK, MR_SIZE_TICK, MR_LEFT, false, false}, left,
                     TOP_PT + ROW_PT * (double)(i - from) + 7.9,
                     mr_cut_name(list, v->row[i].name, MR_SIZE_TICK, false, v->name_w - 4));
}

/* "does not conform: 3, conforms: 12": the gravest first. */
static const char *counts(const struct mr_chart_job *job) {
    const struct mr_assessment *a = job->a;
    const char *text = "";
    for (int k = MR_DOES_NOT_CONFORM; k >= MR_NOT_REQUIRED; k--) {
        size_t n = 0;
        for (size_t z = 0; z < a->aligned->zones.n; z++)
            n += a->zones[z].outcome == (enum mr_outcome)k;
        if (n)
            text =
                mr_printf(job->arena, "%s%s%s: %zu", text, *text ? ", " : "", mr_outcome_text((enum mr_outcome)k), n);
    }
    return text;
}

static struct mr_drawlist *draw_figure(const struct verdict_view *v, const char *title) {
    const struct mr_chart_job *job = v->job;
    const size_t shown = v->to - v->from, rows = shown < v->per_block ? shown : v->per_block;
    struct mr_drawlist *list =
        mr_page(job, TOP_PT + ROW_PT * (double)rows + MR_PAGE_FOOT + 6, title,
                mr_printf(job->arena, "Job: %s; zones: %s", mr_outcome_text(job->a->outcome), counts(job)));
    const struct mr_legend keys[] = {
        {mr_outcome_text(MR_CONFORMS), mr_outcome_ink(MR_CONFORMS), MR_SOLID, 0, mr_outcome_mark(MR_CONFORMS)},
        {mr_outcome_text(MR_DOES_NOT_CONFORM), mr_outcome_ink(MR_DOES_NOT_CONFORM), MR_SOLID, 0,
         mr_outcome_mark(MR_DOES_NOT_CONFORM)},
        {mr_outcome_text(MR_NOT_SHOWN), mr_outcome_ink(MR_NOT_SHOWN), MR_SOLID, 0, mr_outcome_mark(MR_NOT_SHOWN)},
        {mr_outcome_text(MR_NOT_REQUIRED), mr_outcome_ink(MR_NOT_REQUIRED), MR_SOLID, 0,
         mr_outcome_mark(MR_NOT_REQUIRED)}};
    mr_legend_row(list, 12, 46, list->width_pt - 24, MR_COUNT(keys), keys);
    double left = 12;
    for (size_t i = v->from; i < v->to; i += v->per_block, left += block_width(v) + BLOCK_GAP_PT)
        draw_block(list, v, left, i, i + v->per_block < v->to ? i + v->per_block : v->to);
    mr_page_ends(job, list, TOP_PT + ROW_PT * (double)rows + 6);
    mr_page_end(job, list, "sheet 'Checks' of the workbook");
    return list;
}

void mr_charts_verdict(const struct mr_chart_job *job, mr_chart_list *out) {
    struct verdict_view v = {.job = job};
    read_rows(&v);
    if (job->a->aligned->zones.n == 0)
        return;
    const size_t most = fold(&v, mr_page_width(job), mr_page_height(job));
    const size_t pages = (v.n + most - 1) / most;
    for (size_t page = 1; page <= pages; page++) {
        v.from = (page - 1) * most;
        v.to = page * most < v.n ? page * most : v.n;
        const char *title = mr_part_title(job, "Outcome of each zone by group of checks", page, pages);
        struct mr_chart chart = {.kind = "verdicts", .title = title, .zone = MR_NONE, .list = draw_figure(&v, title)};
        chart.alt =
            mr_printf(job->arena, "Grid of outcomes, a row for each zone, %s to %s. Job: %s; zones: %s.",
                      v.row[v.from].name, v.row[v.to - 1].name, mr_outcome_text(job->a->outcome), counts(job));
        mr_chart_add(job, out, chart, "verdicts");
    }
}
