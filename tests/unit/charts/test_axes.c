/*
 * Axes, titles and judged numbers as a reader finds them in the draw list of any figure: two ticks at least, counts
 * at whole numbers, what a figure shows never cut away by a zone's name, and each fact the same in every figure. The
 * laws are the project's own; a value and its interval end at the same place by JCGM 100 (GUM) 7.2.6.
 */
#include "random_job.h"
#include "render/chart/charts.h"
#include "render/chart/figures.h"
#include "render/plot/chart_table.h"

#include <criterion/criterion.h>
#include <math.h>
#include <string.h>

enum { JOBS = 40 };

static size_t upright_texts(const struct mr_drawlist *l, double x, size_t *whole) {
    size_t n = 0;
    *whole = 0;
    for (size_t i = 0; i < l->ops.n; i++) {
        const struct mr_op *op = &l->ops.v[i];
        if (op->kind != MR_OP_TEXT || op->anchor != MR_RIGHT || fabs(op->x - x) > 0.01)
            continue;
        n++;
        *whole += strchr(op->text, '.') == NULL;
    }
    return n;
}

Test(axes, have_two_ticks_at_least) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    for (int k = 0; k < 4000; k++) {
        const double lo = -50 + 0.37 * k, span = 0.02 * pow(1.004, k);
        struct mr_drawlist *l = mr_drawlist_new(arena, 300, 200, "axis");
        const struct mr_panel p = {60, 20, 200, 18 + k % 60, 0, 1, lo, lo + span};
        mr_axis_left(l, &p, "value");
        size_t whole;
        cr_assert_geq(upright_texts(l, 55, &whole), 2, "%g to %g on %g pt", lo, lo + span, p.h);
    }
    mr_arena_free(arena);
}

Test(axes, of_counts_stand_at_whole_numbers) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    for (int most = 1; most < 400; most += most < 20 ? 1 : 17) {
        struct mr_drawlist *l = mr_drawlist_new(arena, 300, 260, "counts");
        const struct mr_panel p = {60, 20, 200, 200, 0, 1, 0, most * 1.06 + 0.3};
        mr_axis_left_counts(l, &p, "gauge readings");
        size_t whole;
        const size_t n = upright_texts(l, 55, &whole);
        cr_expect_geq(n, 2, "%d", most);
        cr_expect_eq(whole, n, "%d", most);
    }
    mr_arena_free(arena);
}

Test(axes, a_rise_and_its_interval_end_at_the_same_place) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    cr_expect_str_eq(mr_rise_text(arena, MR_UNIT_RISE_F, 3.2 / 1.8, 0.03 / 1.8), "3.20 ± 0.03 °F");
    cr_expect_str_eq(mr_rise_text(arena, MR_UNIT_RISE_F, 3.2 / 1.8, 0.41 / 1.8), "3.2 ± 0.4 °F");
    cr_expect_str_eq(mr_rise_text(arena, MR_UNIT_RISE_F, 3.2 / 1.8, MR_NAN), "3.2 °F");
    mr_arena_free(arena);
}

static const struct mr_op *title_of(const struct mr_drawlist *l) {
    for (size_t i = 0; i < l->ops.n; i++)
        if (l->ops.v[i].kind == MR_OP_TEXT && l->ops.v[i].bold)
            return &l->ops.v[i];
    return NULL;
}

/* What follows the zone's name stands whole in the title that is drawn; a name that is cut stands whole below. */
Test(titles, say_what_the_figure_shows_whatever_the_zone_is_called) {
    size_t cut = 0;
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct fixture f;
        const struct mr_assessment *a = random_job(&f, seed);
        const struct mr_chart_job job = {f.arena, a, a->job->display, a->job->name, "since revision 0", NULL, NULL};
        mr_chart_list charts = {0};
        mr_charts_make(&job, &charts);
        for (size_t i = 0; i < charts.n; i++) {
            const struct mr_drawlist *l = charts.v[i].list;
            const struct mr_op *title = title_of(l);
            const char *words = strrchr(charts.v[i].title, ':');
            if (charts.v[i].zone == MR_NONE || !words)
                continue;
            const size_t shown = strlen(title->text), want = strlen(words);
            cr_expect(shown > want && strcmp(title->text + shown - want, words) == 0, "job %d: %s", (int)seed,
                      title->text);
            if (strcmp(title->text, charts.v[i].title) == 0)
                continue;
            cut++;
            const char *name = mr_printf(f.arena, "Zone: %s", a->aligned->zones.v[charts.v[i].zone].name);
            bool told = false;
            for (size_t k = 0; k < l->told.n && !told; k++)
                told = strcmp(l->told.v[k], name) == 0;
            cr_expect(told, "job %d: %s", (int)seed, title->text);
        }
        fix_free(&f);
    }
    cr_expect_gt(cut, 5);
}

static size_t crosses_of(const struct mr_drawlist *l) {
    size_t n = 0;
    for (size_t i = 0; i < l->ops.n; i++)
        if (l->ops.v[i].kind == MR_OP_MARKS && l->ops.v[i].mark == MR_CROSS)
            for (size_t k = 0; k < l->ops.v[i].n; k++)
                n += l->ops.v[i].point[k].y > 50; /* below the legend */
    return n;
}

/* The spots that a zone's two figures cross out are the same, and are those that miss a limit for spots. */
Test(judged, spots_are_crossed_out_alike_in_both_figures_of_a_zone) {
    size_t crossed = 0, figures = 0;
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct fixture f;
        const struct mr_assessment *a = random_job(&f, seed);
        const struct mr_chart_job job = {f.arena, a, a->job->display, a->job->name, "since revision 0", NULL, NULL};
        const struct mr_film_rows limits = mr_film_rows_of(f.arena, a, "thickness-limits");
        mr_chart_list film = {0}, spots = {0};
        mr_figure_make(&job, mr_figure_kind_find("thickness"), MR_NONE, &film);
        mr_figure_make(&job, mr_figure_kind_find("spots"), MR_NONE, &spots);
        for (size_t i = 0; i < film.n; i++)
            for (size_t k = 0; k < spots.n; k++) {
                if (spots.v[k].zone != film.v[i].zone)
                    continue;
                size_t want = 0;
                for (size_t q = 0; q < a->films.n; q++)
                    for (size_t s = 0; a->films.v[q].zone == film.v[i].zone && s < a->films.v[q].n_spot_values; s++)
                        want += mr_film_misses(&limits, film.v[i].zone, "spot", a->films.v[q].spot_um[s]);
                cr_expect_eq(crosses_of(film.v[i].list), want, "job %d %s", (int)seed, film.v[i].stem);
                cr_expect_eq(crosses_of(spots.v[k].list), want, "job %d %s", (int)seed, spots.v[k].stem);
                crossed += want;
                figures++;
            }
        fix_free(&f);
    }
    cr_expect_gt(figures, 50);
    cr_expect_gt(crossed, 20);
}
