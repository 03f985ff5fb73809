/*
 * What the figures of the whole job and of repairs show, read off their draw lists: a mark for every outcome, medians
 * and quartiles at their places, every area once, the same areas before and after. Over random jobs.
 */
#include "base/figure_words.h"
#include "random_job.h"
#include "render/chart/charts.h"
#include "render/chart/figures.h"
#include "render/plot/chart_table.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdlib.h>
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

/* Marks of one sort in all figures; from: those above (the legend) are left out. */
static size_t marks_of(const mr_chart_list *charts, enum mr_mark mark, struct mr_ink ink, double from) {
    size_t n = 0;
    for (size_t i = 0; i < charts->n; i++)
        for (size_t k = 0; k < charts->v[i].list->ops.n; k++) {
            const struct mr_op *op = &charts->v[i].list->ops.v[k];
            for (size_t p = 0; op->kind == MR_OP_MARKS && op->mark == mark && same_ink(op->ink, ink) && p < op->n;
                 p++)
                n += op->point[p].y > from;
        }
    return n;
}

static size_t texts_of(const mr_chart_list *charts, const char *text) {
    size_t n = 0;
    for (size_t i = 0; i < charts->n; i++) {
        const struct mr_drawlist *l = charts->v[i].list;
        for (size_t k = 0; k < l->ops.n; k++)
            n += l->ops.v[k].kind == MR_OP_TEXT && strcmp(l->ops.v[k].text, text) == 0;
        for (size_t k = 0; k < l->told.n; k++)
            n += strcmp(l->told.v[k], text) == 0;
    }
    return n;
}

static size_t texts_with(const mr_chart_list *charts, const char *part) {
    size_t n = 0;
    for (size_t i = 0; i < charts->n; i++)
        for (size_t k = 0; k < charts->v[i].list->ops.n; k++) {
            const struct mr_op *op = &charts->v[i].list->ops.v[k];
            n += op->kind == MR_OP_TEXT && strstr(op->text, part) != NULL;
        }
    return n;
}

/* One mark for every zone and group, of the shape of its outcome, none lost at the turn of a page. */
Test(kinds, every_outcome_has_its_mark) {
    static const enum mr_mark mark[] = {MR_RING, MR_DOT, MR_UP, MR_CROSS};
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct fixture f;
        const struct mr_assessment *a = random_job(&f, seed);
        mr_chart_list charts;
        figures_of(&f, a, "verdicts", &charts);
        cr_assert_geq(charts.n, 1);
        for (int k = MR_NOT_REQUIRED; k <= MR_DOES_NOT_CONFORM; k++) {
            size_t want = 0, whole[9] = {0};
            bool any = false;
            for (size_t z = 0; z < a->aligned->zones.n; z++) {
                want += a->zones[z].outcome == (enum mr_outcome)k;
                for (size_t g = 0; g < 8; g++)
                    want += a->zones[z].by_group[g] == (enum mr_outcome)k;
            }
            for (size_t i = 0; i < a->checks.n; i++)
                for (size_t g = 0; a->checks.v[i].zone == MR_NONE && g < 8; g++)
                    if (strcmp(a->checks.v[i].group, mr_groups[g]) == 0) {
                        any = true;
                        whole[g + 1] = a->checks.v[i].outcome > whole[g + 1] ? a->checks.v[i].outcome : whole[g + 1];
                        whole[0] = whole[g + 1] > whole[0] ? whole[g + 1] : whole[0];
                    }
            for (size_t c = 0; any && c < 9; c++)
                want += whole[c] == (size_t)k;
            cr_expect_eq(marks_of(&charts, mark[k], mr_outcome_ink((enum mr_outcome)k), 50), want,
                         "job %d, outcome %d", (int)seed, k);
        }
        for (size_t z = 0; z < a->aligned->zones.n; z++)
            cr_expect_geq(texts_of(&charts, a->aligned->zones.v[z].name), 1, "job %d: %s", (int)seed,
                          a->aligned->zones.v[z].name);
        fix_free(&f);
    }
}

static int by_value(const void *a, const void *b) {
    const double x = *(const double *)a, y = *(const double *)b;
    return x < y ? -1 : x > y;
}

/* NIST/SEMATECH e-Handbook 7.2.6.2: the value at p(n + 1), between its neighbours, held at the ends. */
static double handbook_quantile(const double *v, size_t n, double p) {
    const double at = p * ((double)n + 1);
    if (at < 1)
        return v[0];
    if (at >= (double)n)
        return v[n - 1];
    const size_t k = (size_t)at;
    return v[k - 1] + (at - (double)k) * (v[k] - v[k - 1]);
}

/* Whether a box of the quartiles' ratio stands in some figure: (median - q1) / (q3 - q1) of box and median line. */
static bool has_box(const mr_chart_list *charts, double q1, double median, double q3) {
    for (size_t i = 0; i < charts->n; i++)
        for (size_t k = 0; k + 1 < charts->v[i].list->ops.n; k++) {
            const struct mr_op *box = &charts->v[i].list->ops.v[k], *line = box + 1;
            if (box->kind == MR_OP_BOX && line->kind == MR_OP_LINE && line->n == 2 && box->w > 0 &&
                fabs((line->point[0].x - box->x) / box->w - (median - q1) / (q3 - q1)) < 1e-6)
                return true;
        }
    return false;
}

Test(kinds, zones_are_compared_by_the_quartiles_of_their_spots) {
    size_t boxes = 0;
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct fixture f;
        const struct mr_assessment *a = random_job(&f, seed);
        mr_chart_list charts;
        figures_of(&f, a, "zones-compared", &charts);
        const struct mr_film_rows rows = mr_film_rows_of(f.arena, a, "spots");
        for (size_t z = 0; charts.n && z < a->aligned->zones.n; z++) {
            double um[4096];
            size_t n = 0;
            for (size_t r = 0; rows.table && r < rows.table->n_rows; r++) /* by name, not by the index under test */
                if (strcmp(mr_cell_text(rows.table, r, "zone"), a->aligned->zones.v[z].name) == 0 &&
                    strcmp(mr_cell_text(rows.table, r, "coat"), "system") == 0)
                    um[n++] = mr_spot_um(rows.table, r);
            cr_expect_eq(rows.first[z + 1] - rows.first[z], n, "job %d zone %zu", (int)seed, z);
            cr_expect_geq(texts_of(&charts, a->aligned->zones.v[z].name), 1);
            if (n <= 10)
                continue;
            qsort(um, n, sizeof *um, by_value);
            const double q1 = handbook_quantile(um, n, 0.25), q3 = handbook_quantile(um, n, 0.75);
            if (q3 - q1 > 1e-3) {
                boxes++;
                cr_expect(has_box(&charts, q1, handbook_quantile(um, n, 0.5), q3), "job %d zone %zu", (int)seed, z);
            }
        }
        fix_free(&f);
    }
    cr_expect_gt(boxes, 100);
}

/* Every complete area once, as a dot or as a cross; spots where no rule counts areas. */
Test(kinds, film_by_day_shows_every_area_once) {
    size_t areas = 0;
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct fixture f;
        const struct mr_assessment *a = random_job(&f, seed);
        mr_chart_list charts;
        figures_of(&f, a, "film-by-day", &charts);
        const struct mr_table *t = mr_find_table(a, "thickness-areas");
        size_t want = 0;
        for (size_t r = 0; t && r < t->n_rows; r++)
            want +=
                strcmp(mr_cell_text(t, r, "whole"), "yes") == 0 && strcmp(mr_cell_text(t, r, "coat"), "system") == 0;
        if (charts.n && want) {
            cr_expect_eq(marks_of(&charts, MR_DOT, MR_INK_BLUE, 50) + marks_of(&charts, MR_CROSS, MR_INK_RED, 50),
                         want, "job %d", (int)seed);
            areas += want;
        }
        fix_free(&f);
    }
    cr_expect_gt(areas, 200);
}

/* R 4.3: qnorm(ppoints(5, a = 3/8)) is -1.179761 -0.497201 0 0.497201 1.179761, from memory; the scores are odd about
 * the middle and rise. Blom (1958). */
Test(kinds, normal_scores_are_those_of_blom) {
    cr_expect_float_eq(mr_normal_score(1, 5), -1.1797611, 1e-6);
    cr_expect_float_eq(mr_normal_score(2, 5), -0.4972006, 1e-6);
    cr_expect_float_eq(mr_normal_score(3, 5), 0, 1e-12);
    for (size_t n = 1; n < 400; n += 7)
        for (size_t i = 1; i <= n; i++) {
            cr_expect_float_eq(mr_normal_score(i, n), -mr_normal_score(n + 1 - i, n), 1e-9);
            cr_expect(i == 1 || mr_normal_score(i, n) > mr_normal_score(i - 1, n));
        }
}

/* The line stands only where the test of the spots leaves it: as in the histogram. */
Test(kinds, normal_plots_have_a_mark_for_each_spot_and_a_line_where_it_is_judged) {
    size_t with = 0, without = 0;
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct fixture f;
        const struct mr_assessment *a = random_job(&f, seed);
        const struct mr_film_rows tests = mr_film_rows_of(f.arena, a, "thickness-order");
        mr_chart_list charts;
        figures_of(&f, a, "normal-plot", &charts);
        for (size_t i = 0; i < charts.n; i++) {
            size_t marks = 0, lines = 0;
            for (size_t k = 0; k < charts.v[i].list->ops.n; k++) {
                const struct mr_op *op = &charts.v[i].list->ops.v[k];
                marks += op->kind == MR_OP_MARKS ? op->n : 0;
                lines += op->kind == MR_OP_LINE && same_ink(op->ink, MR_INK_NAVY);
            }
            const double p = mr_film_normality(&tests, charts.v[i].zone);
            for (size_t k = 0; k < a->films.n; k++)
                if (a->films.v[k].zone == charts.v[i].zone)
                    cr_expect_eq(marks, a->films.v[k].n_spot_values, "job %d %s", (int)seed, charts.v[i].stem);
            cr_expect_eq(lines, p >= 0.05 ? 1 : 0, "job %d %s: p %g", (int)seed, charts.v[i].stem, p);
            with += lines;
            without += !lines;
        }
        fix_free(&f);
    }
    cr_expect_gt(with, 20);
    cr_expect_gt(without, 5);
}

static void put_area(struct fixture *f, uint32_t file, const char *when, const char *area, double um) {
    for (int s = 0; s < 5; s++)
        for (int k = 0; k < 3; k++) {
            struct mr_reading *r = fix_reading(f, file, "Deck", fix_time(when) + 60000 * s + 5000 * k, um + s);
            r->area = area;
            r->spot = mr_printf(f->arena, "%d", s + 1);
            r->serial = "G1";
        }
}

static const struct mr_assessment *repaired_job(struct fixture *f, bool with_repair) {
    fix_init(f, "UTC");
    f->job.settings.v[MR_DFT_MIN].value = 200;
    f->job.settings.v[MR_DFT_MIN].set = true;
    f->job.settings.v[MR_DFT_MIN].text = "200 um";
    f->job.settings.v[MR_DFT_MIN].written = 200;
    f->job.settings.v[MR_DFT_MIN].unit = MR_UNIT_UM;
    const uint32_t zones = fix_file(f, "zones.csv", MR_KIND_ZONES, MR_TIME_LOCAL, ""),
                   log = fix_file(f, "spray log.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, ""),
                   film = fix_file(f, "film.csv", MR_KIND_THICKNESS, MR_TIME_LOCAL, "G1");
    fix_zone(f, zones, "Deck", "");
    f->data.zones.v[0].area_m2 = 25;
    fix_spray(f, log, MR_ACTION_SPRAY, "Deck", "1", fix_time("2026-05-11 08:00"), fix_time("2026-05-11 08:20"));
    put_area(f, film, "2026-05-12 09:00", "A1", 240);
    put_area(f, film, "2026-05-12 09:10", "A2", 140);
    if (with_repair)
        fix_spray(f, log, MR_ACTION_REPAIR, "Deck", "", fix_time("2026-05-12 12:00"), fix_time("2026-05-12 12:10"));
    put_area(f, film, "2026-05-13 09:00", "A2", 260);
    fix_align(f);
    const struct mr_assessment *a = NULL;
    (void)!mr_assess(f->arena, f->aligned, &f->diags, &a);
    return a;
}

/* Area means 142 and 262 um: spots at 140 to 144 and 260 to 264; the area that held was not measured again. */
Test(kinds, a_repaired_area_is_shown_before_and_after) {
    struct fixture f;
    const struct mr_assessment *a = repaired_job(&f, true);
    const struct mr_table *t = mr_find_table(a, "repaired-areas");
    cr_assert_not_null(t);
    cr_assert_eq(t->n_rows, 1);
    cr_expect_str_eq(mr_cell_text(t, 0, "area"), "A2");
    cr_expect_float_eq(mr_cell_number(t, 0, "mean_before"), 142, 1e-9);
    cr_expect_float_eq(mr_cell_number(t, 0, "least_before"), 140, 1e-9);
    cr_expect_float_eq(mr_cell_number(t, 0, "mean_after"), 262, 1e-9);
    cr_expect_float_eq(mr_cell_number(t, 0, "least_after"), 260, 1e-9);
    cr_expect_eq(mr_cell_count(t, 0, "spots_before"), 5);
    mr_chart_list charts;
    figures_of(&f, a, "before-and-after", &charts);
    cr_assert_eq(charts.n, 1);
    cr_expect_eq(texts_of(&charts, "before 2026-05-12 09:14"), 1);
    cr_expect_eq(texts_of(&charts, "after 2026-05-13 09:04"), 1);
    double before = 0, after = 0;
    for (size_t k = 0; k < charts.v[0].list->ops.n; k++) {
        const struct mr_op *op = &charts.v[0].list->ops.v[k];
        if (op->kind == MR_OP_MARKS && op->point[0].y > 60)
            *(op->mark == MR_SQUARE ? &before : &after) = op->point[0].x;
    }
    cr_expect(before > 0 && after > before, "before at %g, after at %g", before, after);
    fix_free(&f);
}

Test(kinds, without_a_repair_there_is_no_figure_of_one) {
    struct fixture f;
    const struct mr_assessment *a = repaired_job(&f, false);
    mr_chart_list charts;
    figures_of(&f, a, "before-and-after", &charts);
    cr_expect_eq(charts.n, 0);
    cr_expect_null(mr_find_table(a, "repaired-areas"));
    fix_free(&f);
}

/* A coat without a curve is told too: the one that did not react is the one that matters. */
Test(kinds, coats_are_shown_with_the_rise_that_was_judged) {
    size_t figures = 0;
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct fixture f;
        const struct mr_assessment *a = random_job(&f, seed);
        const struct mr_table *t = mr_find_table(a, "heat-by-coat");
        mr_chart_list charts;
        figures_of(&f, a, "coats-from-onset", &charts);
        for (size_t i = 0; i < charts.n; i++) {
            size_t told = 0, rows = 0;
            for (size_t r = 0; r < t->n_rows; r++) {
                const enum mr_unit u = a->job->display.rise;
                const double k = mr_cell_number(t, r, "rise"),
                             half = mr_from_canonical(u, mr_cell_number(t, r, "rise_95"));
                if (charts.v[i].zone >= a->aligned->zones.n ||
                    strcmp(mr_cell_text(t, r, "zone"), a->aligned->zones.v[charts.v[i].zone].name) != 0)
                    continue;
                const char *rise = isfinite(k)
                                       ? mr_printf(f.arena, "%.*f", half < 0.095 ? 2 : 1, mr_from_canonical(u, k))
                                       : "not determined",
                           *coat = mr_printf(f.arena, "coat %d: rise %s", (int)mr_cell_count(t, r, "coat"), rise);
                rows++;
                told += strstr(charts.v[i].alt, coat) != NULL && texts_with(&charts, coat) > 0;
            }
            cr_expect_eq(told, rows, "job %d: %s", (int)seed, charts.v[i].alt);
            figures++;
        }
        fix_free(&f);
    }
    cr_expect_gt(figures, 10);
}

Test(kinds, a_choice_of_figures_is_read_word_by_word) {
    bool chosen[MR_FIGURE_COUNT];
    const char *wrong;
    size_t n;
    cr_expect(mr_figure_choice(" Thickness ,climate,", chosen, &wrong, &n));
    for (int k = 0; k < MR_FIGURE_COUNT; k++)
        cr_expect_eq(chosen[k], k == MR_FIG_THICKNESS || k == MR_FIG_CLIMATE, "%s", mr_figure_words[k].name);
    cr_expect(mr_figure_choice("all", chosen, &wrong, &n));
    for (int k = 0; k < MR_FIGURE_COUNT; k++)
        cr_expect(chosen[k]);
    cr_expect(mr_figure_choice("standard, spots", chosen, &wrong, &n));
    for (int k = 0; k < MR_FIGURE_COUNT; k++)
        cr_expect_eq(chosen[k], mr_figure_words[k].standard || k == MR_FIG_SPOTS, "%s", mr_figure_words[k].name);
    cr_expect(mr_figure_choice("", chosen, &wrong, &n));
    for (int k = 0; k < MR_FIGURE_COUNT; k++)
        cr_expect_not(chosen[k]);
    cr_expect_not(mr_figure_choice("climate, clim ate, x", chosen, &wrong, &n));
    cr_expect_eq(n, 8);
    cr_expect_eq(strncmp(wrong, "clim ate", 8), 0);
}
