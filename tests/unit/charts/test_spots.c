/*
 * Where spots and areas stand in a zone's figures, read off the draw lists: each spot at its place on a map that ends
 * near them, the areas' names in one row. Over random jobs.
 */
#include "random_job.h"
#include "render/chart/charts.h"
#include "render/chart/figures.h"
#include "render/plot/chart_table.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

enum { JOBS = 60 };

static void figures_of(const struct fixture *f, const struct mr_assessment *a, const char *kind, mr_chart_list *out) {
    const struct mr_chart_job job = {f->arena, a, a->job->display, a->job->name, "since revision 0", NULL, NULL};
    *out = (mr_chart_list){0};
    mr_figure_make(&job, mr_figure_kind_find(kind), MR_NONE, out);
}

static bool same_ink(struct mr_ink a, struct mr_ink b) {
    return a.r == b.r && a.g == b.g && a.b == b.b;
}

/* Each spot that has a position is one mark at its place, in the shape of what it misses; one length is as long along
 * as across. */
Test(spots, maps_have_a_mark_for_each_spot_with_a_position) {
    size_t maps = 0, missed = 0;
    for (uint64_t seed = 2; seed <= JOBS; seed += 2) {
        struct fixture f;
        const struct mr_assessment *a = random_job(&f, seed);
        const struct mr_film_rows spots = mr_film_rows_of(f.arena, a, "spots"),
                                  limits = mr_film_rows_of(f.arena, a, "thickness-limits");
        mr_chart_list charts;
        figures_of(&f, a, "film-map", &charts);
        for (size_t i = 0; i < charts.n; i++, maps++) {
            const size_t z = charts.v[i].zone;
            size_t placed = 0, out = 0, marks = 0, red = 0;
            for (size_t k = spots.first[z]; k < spots.first[z + 1]; k++) {
                const double um = mr_spot_um(spots.table, spots.row[k]);
                const bool at = isfinite(mr_cell_number(spots.table, spots.row[k], "along")) && isfinite(um);
                placed += at;
                out += at && mr_film_misses(&limits, z, "spot", um);
            }
            for (size_t k = 0; k < charts.v[i].list->ops.n; k++) {
                const struct mr_op *op = &charts.v[i].list->ops.v[k];
                marks += op->kind == MR_OP_MARKS ? op->n : 0;
                red += op->kind == MR_OP_MARKS && same_ink(op->ink, MR_INK_RED) ? op->n : 0;
            }
            cr_expect_eq(marks, placed + 3, "job %d: %zu marks, three of them in the legend, %zu spots", (int)seed,
                         marks, placed);
            cr_expect_eq(red, out + 2, "job %d", (int)seed);
            missed += out;
        }
        fix_free(&f);
    }
    cr_expect_gt(maps, 20);
    cr_expect_gt(missed, 5);
}

static const struct mr_op *frame_of(const struct mr_drawlist *list) {
    const struct mr_op *frame = NULL;
    for (size_t k = 0; k < list->ops.n; k++)
        if (list->ops.v[k].kind == MR_OP_BOX && (!frame || list->ops.v[k].h > frame->h))
            frame = &list->ops.v[k];
    cr_assert(frame);
    return frame;
}

/* Axes that go on far beyond the spots would show ground that nobody measured, on a page above all. */
Test(spots, maps_end_near_their_spots_in_every_size) {
    size_t maps = 0;
    for (uint64_t seed = 2; seed <= JOBS; seed += 2) {
        struct fixture f;
        const struct mr_assessment *a = random_job(&f, seed);
        for (int size = 0; size < 3; size++) {
            struct mr_chart_job job = {f.arena, a, a->job->display, a->job->name, "since revision 0", NULL, NULL};
            size_t n;
            mr_chart_list charts = {0};
            job.size = &mr_figure_sizes(false, &n)[size];
            mr_figure_make(&job, mr_figure_kind_find("film-map"), MR_NONE, &charts);
            for (size_t i = 0; i < charts.n; i++, maps++) {
                const struct mr_op *frame = frame_of(charts.v[i].list);
                double x0 = HUGE_VAL, x1 = -HUGE_VAL, y0 = HUGE_VAL, y1 = -HUGE_VAL;
                for (size_t k = 0; k < charts.v[i].list->ops.n; k++) {
                    const struct mr_op *op = &charts.v[i].list->ops.v[k];
                    for (size_t q = 0; op->kind == MR_OP_MARKS && q < op->n; q++)
                        if (op->point[q].y > frame->y) {
                            mr_widen(&x0, &x1, op->point[q].x);
                            mr_widen(&y0, &y1, op->point[q].y);
                        }
                }
                const double gap = fmax(fmax(x0 - frame->x, frame->x + frame->w - x1),
                                        fmax(y0 - frame->y, frame->y + frame->h - y1));
                cr_expect_lt(gap, 80, "job %d, size %d: %.0f pt of ground without a spot", (int)seed, size, gap);
                cr_expect_gt(fmin(fmin(x0 - frame->x, frame->x + frame->w - x1),
                                  fmin(y0 - frame->y, frame->y + frame->h - y1)),
                             12, "job %d, size %d: a spot at the edge", (int)seed, size);
            }
        }
        fix_free(&f);
    }
    cr_expect_gt(maps, 60);
}

/* Names of areas stand in one row above the plot, where no label of a limit can drive one of them elsewhere. */
Test(spots, areas_are_named_in_one_row) {
    size_t names = 0;
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct fixture f;
        const struct mr_assessment *a = random_job(&f, seed);
        const struct mr_film_rows spots = mr_film_rows_of(f.arena, a, "spots");
        mr_chart_list charts;
        figures_of(&f, a, "spots", &charts);
        for (size_t i = 0; i < charts.n; i++) {
            const struct mr_op *frame = frame_of(charts.v[i].list);
            double row = MR_NAN;
            for (size_t k = spots.first[charts.v[i].zone]; k < spots.first[charts.v[i].zone + 1]; k++) {
                const char *name = mr_printf(f.arena, "area %s", mr_cell_text(spots.table, spots.row[k], "area"));
                for (size_t q = 0; q < charts.v[i].list->ops.n; q++) {
                    const struct mr_op *op = &charts.v[i].list->ops.v[q];
                    if (op->kind != MR_OP_TEXT || strcmp(op->text, name) != 0)
                        continue;
                    row = isnan(row) ? op->y : row;
                    cr_expect(fabs(op->y - row) < 0.01 && op->y < frame->y, "job %d, %s at %.1f, the first at %.1f",
                              (int)seed, name, op->y, row);
                    names++;
                }
            }
        }
        fix_free(&f);
    }
    cr_expect_gt(names, 100);
}
