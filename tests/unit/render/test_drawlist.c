/* Draw lists: measuring, cutting, wrapping, ticks, series; and the charts of the fixture as goldens. */
#include "render/chart/charts.h"
#include "render/draw/draw_cairo.h"
#include "render_run.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static struct mr_arena *arena;

static void begin(void) {
    arena = mr_arena_new(NULL, NULL);
}

static void end(void) {
    mr_arena_free(arena);
}

TestSuite(drawlist, .init = begin, .fini = end);

/* Against the font itself, as the graphics library sets it; kerning draws letters together, never apart. */
Test(drawlist, text_widths_agree_with_the_installed_font) {
    char family[64] = "";
    if (!mr_font_found(family, sizeof family) || strcmp(family, "DejaVu Sans") != 0) {
        printf("SKIPPED ALOUD: DejaVu Sans is not installed; widths were not compared\n");
        return;
    }
    static const char *const texts[] = {"minimum 203.2 µm", "dew point, °C",  "Wagon AV To",
                                        "0123456789",       "Größe ½ × 12 Ø", "[]{}()<>|~^"};
    for (size_t i = 0; i < MR_COUNT(texts); i++)
        for (int bold = 0; bold < 2; bold++) {
            const double ours = mr_text_width(texts[i], 10, bold), real = mr_font_width(texts[i], 10, bold);
            cr_assert(real < 1.005 * ours && real > 0.94 * ours, "\"%s\" bold %d: %g, font %g", texts[i], bold, ours,
                      real);
        }
}

Test(drawlist, cut_text_fits_and_keeps_whole_characters) {
    const char *text = "Träger über dem Fluß, 漢字, Ende";
    for (double w = 1; w < 200; w += 0.7) {
        const char *cut = mr_text_fit(arena, text, 8, false, w);
        cr_assert(mr_text_width(cut, 8, false) <= w || strcmp(cut, "…") == 0, "%g: \"%s\"", w, cut);
        for (const char *p = cut; *p; p++)
            cr_assert(*p != '\x80' || p > cut);
    }
    cr_assert_str_eq(mr_text_fit(arena, text, 8, false, 1000), text);
}

Test(drawlist, wrapped_lines_fit_and_lose_no_word) {
    const char *text = "one two three four five six seven eight nine ten eleven twelve";
    const char *line[20];
    size_t n = mr_text_wrap(arena, text, 8, false, 60, 20, line);
    char joined[200] = "";
    for (size_t i = 0; i < n; i++) {
        cr_assert(mr_text_width(line[i], 8, false) <= 60, "%s", line[i]);
        snprintf(joined + strlen(joined), sizeof joined - strlen(joined), "%s%s", i ? " " : "", line[i]);
    }
    cr_assert_str_eq(joined, text);
    n = mr_text_wrap(arena, text, 8, false, 60, 2, line);
    cr_assert_eq(n, 2);
    cr_assert(strstr(line[1], "…"));
}

static double off_segment(struct mr_point p, struct mr_point a, struct mr_point b) {
    const double dx = b.x - a.x, dy = b.y - a.y, square = dx * dx + dy * dy;
    const double share = square > 0 ? fmin(1, fmax(0, ((p.x - a.x) * dx + (p.y - a.y) * dy) / square)) : 0;
    return hypot(p.x - a.x - share * dx, p.y - a.y - share * dy);
}

/* A long straight run, a bend, a slow curve, a spike down and back the same way, single steps. */
static struct mr_point way_at(size_t i) {
    const double x = 0.3 * (double)i;
    if (i < 200)
        return (struct mr_point){x, 100};
    if (i < 500)
        return (struct mr_point){x, 100 + 40 * sin((x - 60) / 30)};
    if (i < 700)
        return (struct mr_point){x, i % 2 ? 90 : 20};
    return (struct mr_point){210, i % 2 ? 60 : 30 + 0.001 * (double)i};
}

Test(drawlist, a_path_loses_only_points_on_the_straight_way) {
    enum { N = 800 };
    struct mr_point given[N];
    for (size_t i = 0; i < N; i++)
        given[i] = way_at(i);
    struct mr_drawlist *list = mr_drawlist_new(arena, 300, 200, "way");
    mr_draw_line(list, MR_INK_BLACK, 1, MR_SOLID, N, given);
    mr_draw_area(list, MR_INK_BLACK, N, given);
    mr_draw_line(list, MR_INK_BLACK, 1, MR_SOLID, 200, given);
    for (size_t k = 0; k < 2; k++) {
        const struct mr_op *op = &list->ops.v[k];
        size_t at = 0; /* end of the segment in hand: kept points stand in the order of the given ones */
        for (size_t i = 0; i < N; i++) {
            if (at + 1 < op->n && given[i].x == op->point[at].x && given[i].y == op->point[at].y)
                at++;
            cr_assert(at > 0 && off_segment(given[i], op->point[at - 1], op->point[at]) <= 0.01 + 1e-9, "point %zu",
                      i);
        }
        cr_assert_eq(at + 1, op->n, "%zu of %zu points were passed", at + 1, op->n);
        cr_assert_lt(op->n, 400, "%zu points are left", op->n);
        cr_assert(op->point[op->n - 1].x == given[N - 1].x && op->point[op->n - 1].y == given[N - 1].y);
    }
    cr_assert_geq(list->ops.v[2].n, 3, "two points would make another cap");
}

Test(drawlist, ticks_are_round_and_inside) {
    static const double ranges[][2] = {{0, 1}, {-3.2, 17.9}, {203.1, 203.4}, {0, 1e6}, {-1e-4, 2e-4}, {99.5, 100.5}};
    for (size_t i = 0; i < MR_COUNT(ranges); i++)
        for (size_t most = 2; most < 15; most++) {
            struct mr_ticks t = mr_ticks_make(ranges[i][0], ranges[i][1], most);
            const double power = pow(10, floor(log10(t.step) + 1e-9)), lead = t.step / power;
            cr_assert(fabs(lead - 1) < 1e-6 || fabs(lead - 2) < 1e-6 || fabs(lead - 5) < 1e-6, "step %g", t.step);
            cr_assert(t.n <= most + 1, "row %zu: %zu ticks of at most %zu", i, t.n, most);
            cr_assert(t.n == 0 || (t.first >= ranges[i][0] - 1e-9 * t.step - 1e-12));
            cr_assert(t.n == 0 || t.first + (double)(t.n - 1) * t.step <= ranges[i][1] + 1e-6 * t.step);
        }
    cr_assert_eq(mr_ticks_make(1, 1, 5).n, 0);
    cr_assert_eq(mr_ticks_make(0, INFINITY, 5).n, 0);
}

/* A day at 20 Hz: what is drawn stays small and keeps the extremes. */
Test(drawlist, long_series_are_thinned_without_losing_extremes) {
    enum { N = 1728000 };
    int64_t *t = MR_ARRAY(arena, int64_t, N);
    double *v = MR_ARRAY(arena, double, N);
    for (int i = 0; i < N; i++) {
        t[i] = (int64_t)i * 50;
        v[i] = sin(i / 50000.0) + (i == 777777 ? 4 : 0) - (i == 1234567 ? 4 : 0);
    }
    struct mr_drawlist *list = mr_drawlist_new(arena, 504, 324, "long");
    struct mr_panel p = {50, 50, 400, 200, 0, (double)N * 50, -6, 6};
    struct mr_series s = {N, t, v, MR_UNIT_C, INT64_MAX, 0, INT64_MAX};
    mr_series_line(list, &p, &s, MR_INK_BLUE, 1, MR_SOLID);
    cr_assert_eq(list->ops.n, 1);
    const struct mr_op *op = &list->ops.v[0];
    cr_assert_leq(op->n, 4 * 1001);
    double high = INFINITY, low = -INFINITY, before = -1;
    for (size_t i = 0; i < op->n; i++) {
        high = fmin(high, op->point[i].y);
        low = fmax(low, op->point[i].y);
        cr_assert(op->point[i].x >= before - 1e-9, "points go back in time");
        before = op->point[i].x;
    }
    cr_assert_float_eq(high, mr_panel_y(&p, v[777777]), 1e-9);
    cr_assert_float_eq(low, mr_panel_y(&p, v[1234567]), 1e-9);
}

static int count_bytes(void *ctx, const void *data, size_t n) {
    (void)data;
    *(size_t *)ctx += n;
    return 0;
}

/* Twenty million points on two lines: of each of 300 stretches the one sample that stands out, up or down, is drawn
 * at its height, and no file is large. */
Test(drawlist, twenty_million_points_are_drawn_true_in_a_small_file, .timeout = 120) {
    enum { N = 10000000, STRETCHES = 300 };
    int64_t *t = MR_ARRAY(arena, int64_t, N);
    double *v = MR_ARRAY(arena, double, N);
    struct mr_drawlist *list = mr_drawlist_new(arena, 504, 324, "long");
    const struct mr_panel p = {50, 50, 400, 200, 0, (double)N * 5, -6, 6};
    for (int line = 0; line < 2; line++) {
        double odd[STRETCHES];
        size_t at[STRETCHES], found = 0;
        uint32_t noise = 7;
        for (size_t i = 0; i < N; i++) {
            noise = noise * 1664525u + 1013904223u;
            t[i] = (int64_t)i * 5;
            v[i] = (noise >> 8) / 16777216.0 - 0.5;
        }
        for (size_t k = 0; k < STRETCHES; k++) {
            at[k] = k * (N / STRETCHES) + noise % (N / STRETCHES / 2);
            odd[k] = v[at[k]] = (k % 2 ? 1 : -1) * (1.0 + 0.01 * (double)k);
            noise = noise * 1664525u + 1013904223u;
        }
        const struct mr_series s = {N, t, v, MR_UNIT_C, INT64_MAX, 0, INT64_MAX};
        const size_t first = list->ops.n;
        mr_series_line(list, &p, &s, MR_INK_BLUE, 1, MR_SOLID);
        for (size_t k = 0; k < STRETCHES; k++) {
            bool seen = false;
            for (size_t o = first; o < list->ops.n && !seen; o++)
                for (size_t i = 0; i < list->ops.v[o].n && !seen; i++) {
                    const struct mr_point q = list->ops.v[o].point[i];
                    seen =
                        fabs(q.y - mr_panel_y(&p, odd[k])) < 0.01 && fabs(q.x - mr_panel_x(&p, (double)t[at[k]])) < 1;
                }
            found += seen;
        }
        cr_expect_eq(found, STRETCHES, "line %d: %zu of %d", line, found, STRETCHES);
    }
    for (int kind = MR_PICTURE_PNG; kind < MR_PICTURE_COUNT; kind++) {
        size_t bytes = 0;
        cr_assert_eq(mr_draw_file(list, (enum mr_picture)kind, "2026-05-12T15:00:00Z", count_bytes, &bytes), MR_OK);
        cr_expect(bytes > 1000 && bytes < 1000000, "%s: %zu bytes", mr_picture_suffix[kind], bytes);
    }
}

Test(drawlist, gaps_and_missing_values_break_the_line) {
    int64_t t[] = {0, 1000, 2000, 60000, 61000, 62000, 63000, 64000, 200000};
    double v[] = {1, 2, 3, 4, 5, MR_NAN, 6, 7, 8};
    struct mr_drawlist *list = mr_drawlist_new(arena, 504, 324, "gaps");
    struct mr_panel p = {50, 50, 400, 200, 0, 200000, 0, 10};
    struct mr_series s = {MR_COUNT(t), t, v, MR_UNIT_C, 5000, 0, 200000};
    mr_series_line(list, &p, &s, MR_INK_BLUE, 1, MR_SOLID);
    cr_assert_eq(list->ops.n, 4);
    cr_assert_eq(list->ops.v[0].n, 3);
    cr_assert_eq(list->ops.v[1].n, 2);
    cr_assert_eq(list->ops.v[2].n, 2);
    cr_assert_eq(list->ops.v[3].kind, MR_OP_MARKS, "a lone sample is a dot");
}

Test(drawlist, no_text_leaves_the_page_or_meets_another) {
    const struct mr_assessment *sets[] = {fixture_assessment(arena, "/tmp", false),
                                          fixture_assessment(arena, "/tmp", true), fixture_hostile(arena, "/tmp")};
    for (size_t k = 0; k < MR_COUNT(sets); k++) {
        struct mr_chart_job job = {arena, sets[k], sets[k]->job->display, sets[k]->job->name, "since revision 0",
                                   NULL,  NULL};
        mr_chart_list charts = {0};
        mr_charts_make(&job, &charts);
        cr_assert_geq(charts.n, 20);
        for (size_t c = 0; c < charts.n; c++) {
            const struct mr_drawlist *l = charts.v[c].list;
            struct {
                double x0, y0, x1, y1;
                const char *text;
            } box[400];
            size_t n = 0;
            for (size_t i = 0; i < l->ops.n && n < MR_COUNT(box); i++) {
                const struct mr_op *op = &l->ops.v[i];
                if (op->kind != MR_OP_TEXT)
                    continue;
                const double w = mr_text_width(op->text, op->size, op->bold), shift = op->anchor == MR_LEFT ? 0
                                                                                      : op->anchor == MR_RIGHT
                                                                                          ? w
                                                                                          : w / 2;
                const double up = 0.7 * op->size; /* above the baseline */
                box[n].text = op->text;
                box[n].x0 = op->turned ? op->x - up : op->x - shift;
                box[n].x1 = op->turned ? op->x : op->x - shift + w;
                box[n].y0 = op->turned ? op->y + shift - w : op->y - up;
                box[n].y1 = op->turned ? op->y + shift : op->y;
                cr_assert(box[n].x0 > -0.5 && box[n].x1 < l->width_pt + 0.5 && box[n].y0 > -0.5 &&
                              box[n].y1 < l->height_pt + 0.5,
                          "set %zu, %s: \"%s\" leaves the page", k, charts.v[c].stem, op->text);
                for (size_t b = 0; b < n; b++)
                    cr_assert(!(box[n].x0 < box[b].x1 && box[b].x0 < box[n].x1 && box[n].y0 < box[b].y1 &&
                                box[b].y0 < box[n].y1),
                              "set %zu, %s: \"%s\" over \"%s\"", k, charts.v[c].stem, op->text, box[b].text);
                n++;
            }
        }
    }
}

/* Is the text in the figure, beside its line or below the plot? */
static bool says(const struct mr_drawlist *list, const char *text) {
    for (size_t i = 0; i < list->ops.n; i++)
        if (list->ops.v[i].kind == MR_OP_TEXT && strstr(list->ops.v[i].text, text))
            return true;
    return false;
}

/* Limits so close together that one of them has no room beside its line are told below. */
Test(drawlist, each_limit_of_the_lines_is_named) {
    size_t below = 0;
    for (int gap_kpa = 2; gap_kpa <= 200; gap_kpa += 6) {
        struct mr_assessment *a = fixture_assessment(arena, "/tmp", false);
        struct mr_job *own = (struct mr_job *)(uintptr_t)a->job;
        own->settings.v[MR_MAIN_MIN] = (struct mr_setting){.set = true, .value = 560 - gap_kpa / 2};
        own->settings.v[MR_MAIN_MAX] = (struct mr_setting){.set = true, .value = 560 + gap_kpa / 2};
        struct mr_alignment *al = (struct mr_alignment *)(uintptr_t)a->aligned;
        for (size_t i = 0; i < al->tracks.n; i++) /* its line B stands for the main */
            if (al->tracks.v[i].meaning == MR_M_LINE_B)
                al->tracks.v[i].meaning = MR_M_MAIN;
        struct mr_chart_job job = {arena, a, a->job->display, a->job->name, "since revision 0", NULL, NULL};
        mr_chart_list charts = {0};
        mr_charts_lines(&job, &charts);
        cr_assert_gt(charts.n, 0);
        for (size_t i = 0; i < charts.n; i++) {
            const struct mr_drawlist *l = charts.v[i].list;
            if (!says(l, "main, kPa"))
                continue;
            cr_expect(says(l, mr_printf(arena, "at least %d kPa", 560 - gap_kpa / 2)), "gap %d", gap_kpa);
            cr_expect(says(l, mr_printf(arena, "at most %d kPa", 560 + gap_kpa / 2)), "gap %d", gap_kpa);
            below += says(l, "Limit of the main (dashed): ");
        }
    }
    cr_expect_gt(below, 0, "both ways were met");
}

/* A specification in kelvins, a report in degrees Fahrenheit: 4.44 and 6.2 K are 7.992 and 11.16 degrees Fahrenheit
 * of rise (exact, 9/5). */
Test(drawlist, a_rise_and_its_limits_have_one_unit) {
    const struct mr_assessment *a = fixture_assessment(arena, "/tmp", false);
    struct mr_chart_job job = {arena, a, a->job->display, a->job->name, "since revision 0", NULL, NULL};
    mr_chart_list charts = {0};
    job.display.rise = MR_UNIT_RISE_F;
    mr_charts_heat(&job, &charts);
    size_t seen = 0;
    for (size_t i = 0; i < charts.n; i++) {
        if (!says(charts.v[i].list, "limits here"))
            continue;
        cr_expect_not(says(charts.v[i].list, " K"), "%s", charts.v[i].stem);
        seen += says(charts.v[i].list, "7.99 to 11.16 °F");
    }
    cr_expect_gt(seen, 0);
}

Test(drawlist, file_names_are_safe_and_unique) {
    const struct mr_assessment *a = fixture_hostile(arena, "/tmp");
    struct mr_chart_job job = {arena, a, a->job->display, a->job->name, "since revision 0", NULL, NULL};
    mr_chart_list charts = {0};
    mr_charts_make(&job, &charts);
    for (size_t i = 0; i < charts.n; i++) {
        cr_assert_eq(strspn(charts.v[i].stem, "abcdefghijklmnopqrstuvwxyz0123456789-"), strlen(charts.v[i].stem),
                     "%s", charts.v[i].stem);
        cr_assert_leq(strlen(charts.v[i].stem), 80);
        for (size_t k = 0; k < i; k++)
            cr_assert_str_neq(charts.v[i].stem, charts.v[k].stem);
    }
}

/* The charts as text. MILRISE_GOLDEN_UPDATE=1 writes them anew; look at what changed before committing. */
Test(drawlist, charts_equal_their_goldens) {
    static const char *const stems[] = {"verdicts",
                                        "thickness-deck-plate-2",
                                        "reaction-deck-plate-2-coat-1",
                                        "reaction-deck-plate-3-coat-1",
                                        "climate-2026-05-11",
                                        "lines-2026-05-11",
                                        "shift-timeline-2026-05-11",
                                        "rise-against-thickness"};
    const struct mr_assessment *a = fixture_assessment(arena, "/tmp", false);
    struct mr_chart_job job = {arena, a, a->job->display, a->job->name, "since revision 0", NULL, NULL};
    mr_chart_list charts = {0};
    mr_charts_make(&job, &charts);
    for (size_t s = 0; s < MR_COUNT(stems); s++) {
        const char *path = mr_printf(arena, "tests/golden/render/%s.txt", stems[s]), *dump = NULL;
        for (size_t i = 0; i < charts.n; i++)
            if (strcmp(charts.v[i].stem, stems[s]) == 0)
                dump = mr_drawlist_dump(arena, charts.v[i].list);
        cr_assert(dump, "no chart %s", stems[s]);
        if (getenv("MILRISE_GOLDEN_UPDATE"))
            file_put(path, dump);
        const char *golden = file_text(arena, path, NULL);
        cr_assert(golden, "%s is missing", path);
        if (strcmp(dump, golden) == 0)
            continue;
        size_t at = 0, from = 0;
        while (dump[at] == golden[at])
            if (dump[at++] == '\n')
                from = at;
        cr_assert_fail("%s: is  %.*s\n  was %.*s", path, (int)strcspn(dump + from, "\n"), dump + from,
                       (int)strcspn(golden + from, "\n"), golden + from);
    }
}
