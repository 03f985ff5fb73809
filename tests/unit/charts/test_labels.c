/*
 * Laws of every figure of random jobs: labels clear of data, limits, each other and the page's edge; names cut only
 * with an ellipsis and told in full; and that the law itself sees a planted fault of each sort. The laws are the
 * project's own; no source.
 */
#include "label_law.h"
#include "random_job.h"
#include "render/chart/charts.h"
#include "render/chart/figures.h"
#include "render/plot/place.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { JOBS = 500, OTHER_SIZES_EVERY = 4 };

static size_t jobs_wanted(void) {
    const char *n = getenv("JOBS");
    return n ? (size_t)atoi(n) : JOBS;
}

static struct mr_chart_job chart_job(const struct mr_assessment *a, struct mr_arena *arena) {
    return (struct mr_chart_job){arena, a, a->job->display, a->job->name, "since revision 0", NULL, NULL};
}

static bool has_text(const struct mr_drawlist *l, const char *text) {
    for (size_t i = 0; i < l->ops.n; i++)
        if (l->ops.v[i].kind == MR_OP_TEXT && strstr(l->ops.v[i].text, text))
            return true;
    return false;
}

/* Every text that ends in an ellipsis stands in full among the told ones, except titles and captions of the frame. */
static size_t cut_untold(const struct mr_drawlist *l) {
    size_t bad = 0;
    for (size_t i = 0; i < l->ops.n; i++) {
        const struct mr_op *op = &l->ops.v[i];
        const size_t n = op->kind == MR_OP_TEXT ? strlen(op->text) : 0;
        if (n < 4 || strcmp(op->text + n - 3, "…") != 0 || op->y < 40 || op->y > l->height_pt - MR_PAGE_FOOT)
            continue;
        bool told = false;
        for (size_t k = 0; k < l->told.n && !told; k++)
            told = strncmp(l->told.v[k], op->text, n - 3) == 0;
        for (size_t k = 0; k < l->numbered.n && !told; k++)
            told = strncmp(l->numbered.v[k], op->text, n - 3) == 0;
        if (!told && bad++ < 3)
            printf("%s: \"%s\" is cut and told nowhere\n", l->title, op->text);
    }
    return bad;
}

/* Whether a text of the plot is this number, or a run of numbers that holds it ("15-16"). */
static bool is_number(const char *text, size_t number) {
    unsigned from, to;
    int n = 0;
    if (sscanf(text, "%u-%u%n", &from, &to, &n) == 2 && (size_t)n == strlen(text))
        return from <= number && number <= to;
    return sscanf(text, "%u%n", &from, &n) == 1 && (size_t)n == strlen(text) && from == number;
}

/* Numbers explained below the plot that stand nowhere in it. drawn: the foot is drawn already, with each number once.
 */
static size_t numbers_lost_in(const struct mr_drawlist *l, size_t at_foot) {
    size_t lost = 0;
    for (size_t k = 1; k <= l->numbered.n; k++) {
        size_t n = 0;
        for (size_t i = 0; i < l->ops.n; i++)
            n += l->ops.v[i].kind == MR_OP_TEXT && is_number(l->ops.v[i].text, k);
        if (n <= at_foot && lost++ < 3)
            printf("%s: %zu \"%s\" stands nowhere in the plot\n", l->title, k, l->numbered.v[k - 1]);
    }
    return lost;
}

static size_t numbers_lost(const struct mr_drawlist *l) {
    return numbers_lost_in(l, 0);
}

Test(labels, of_random_jobs_are_clear_of_data_and_of_each_other) {
    size_t bad = 0, cut = 0, lost = 0, figures = 0, n_sizes;
    const size_t jobs = jobs_wanted();
    for (uint64_t seed = 1; seed <= jobs; seed++) {
        struct fixture f;
        const struct mr_assessment *a = random_job(&f, seed);
        struct mr_chart_job job = chart_job(a, f.arena);
        const struct mr_figure_size *sizes = mr_figure_sizes(false, &n_sizes);
        for (size_t s = 0; s < (seed % OTHER_SIZES_EVERY ? 1 : n_sizes); s++) {
            mr_chart_list charts = {0};
            job.size = &sizes[s];
            mr_charts_make(&job, &charts);
            for (size_t i = 0; i < charts.n; i++) {
                const char *name = mr_printf(f.arena, "job %d %s %s", (int)seed, sizes[s].name, charts.v[i].stem);
                bad += label_law(charts.v[i].list, name);
                cut += cut_untold(charts.v[i].list);
                lost += numbers_lost_in(charts.v[i].list, 1);
                figures++;
            }
        }
        fix_free(&f);
    }
    printf("labels: %zu jobs, %zu figures, violations: %zu; names cut and told nowhere: %zu; numbers lost: %zu\n",
           jobs, figures, bad, cut, lost);
    cr_expect_eq(bad, 0);
    cr_expect_eq(cut, 0);
    cr_expect_eq(lost, 0);
    cr_expect_gt(figures, 5 * jobs);
}

/* The law must be able to fail: one planted fault of each sort. */
Test(labels, law_sees_planted_faults) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    const struct mr_type type = {MR_INK_BLACK, 8, MR_LEFT, false, false};
    for (int fault = 0; fault <= 7; fault++) {
        struct mr_drawlist *l = mr_drawlist_new(arena, 200, 100, "planted");
        if (fault == 1)
            mr_draw_segment(l, MR_INK_RED, 0.5, MR_DASHED, 0, 47, 200, 47);
        if (fault == 2)
            mr_draw_mark(l, MR_INK_RED, MR_DOT, 3, 60, 48);
        if (fault == 3)
            mr_draw_text(l, type, 70, 54, "another");
        if (fault == 4)
            mr_draw_text(l, type, 180, 90, "off the page");
        if (fault == 5)
            mr_draw_box(l, MR_INK_GREY, 0.6, 60, 20, 30, 60);
        if (fault == 6)
            mr_draw_hatch(l, MR_INK_RED, 0.6, 60, 20, 30, 60);
        mr_draw_rect(l, MR_INK_BAND, 40, 30, 90, 40);
        mr_draw_segment(l, MR_INK_GRID, 0.5, MR_SOLID, 0, 47, 200, 47);
        mr_draw_text(l, type, 50, 50, "a label of some width");
        if (fault == 7)
            mr_draw_rect(l, MR_INK_BAND, 40, 30, 90, 40);
        cr_expect_eq(label_law(l, "planted, as it should") > 0, fault > 0, "fault %d", fault);
    }
    mr_arena_free(arena);
}

/* Forty points in one place: each is named nearby, by number, or below. */
Test(labels, of_a_crowd_are_all_told) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_drawlist *l = mr_drawlist_new(arena, 300, 200, "crowd");
    for (int i = 0; i < 40; i++)
        mr_draw_mark(l, MR_INK_RED, MR_DIAMOND, 6, 140 + 4 * (i % 7), 90 + 4 * (i / 7));
    struct mr_placer *placer = mr_placer_new(l);
    for (int i = 0; i < 40; i++)
        mr_label_or_number(
            placer, (struct mr_room){40, 40, 220, 120}, (struct mr_type){MR_INK_RED, 7.5, MR_MIDDLE, false, false},
            (struct mr_point){140 + 4 * (i % 7), 90 + 4 * (i / 7)}, 4, mr_printf(arena, "Zone number %d", i + 1));
    for (int i = 0; i < 40; i++) {
        const char *name = mr_printf(arena, "Zone number %d", i + 1);
        bool told = has_text(l, name);
        for (size_t k = 0; k < l->numbered.n && !told; k++)
            told = strcmp(l->numbered.v[k], name) == 0;
        for (size_t k = 0; k < l->told.n && !told; k++)
            told = strcmp(l->told.v[k], name) == 0;
        cr_expect(told, "%s", name);
    }
    cr_expect_gt(l->numbered.n + l->told.n, 0, "a crowd of 40 does not fit by name");
    cr_expect_eq(numbers_lost(l), 0);
    cr_expect_eq(label_law(l, "crowd"), 0);
    mr_arena_free(arena);
}
