/*
 * The submittal: read back by other programs against report.json, the law of its pages, its size.
 */
#include "render_run.h"

#include "read/job/job_reader.h"
#include "render/data/cautions.h"
#include "render/submittal/leaves.h"
#include "render/submittal/pdf_update.h"
#include "render/submittal/submittal.h"
#include "support/simulate.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

static const char *against_json(struct run *run) {
    return mr_printf(run->arena, "check-submittal.py %s %s", run->published.submittal, run->published.json);
}

Test(submittal, tells_what_report_json_tells) {
    each_fixture("job", against_json);
}

/* ---- the law of the pages ---- */

static const char *const words[] = {"film",
                                    "Handrail-posts-north",
                                    "ISO",
                                    "a",
                                    "thickness/TG-0417_memory_evening.csv:1",
                                    "µm",
                                    "4207b71b8bf61441df270767d24605dd95bcc0d7b4d6b0078df8758ee5891f5b",
                                    "Müller",
                                    "漢字の名前",
                                    "–",
                                    "within"};

static size_t sim_below(struct sim_rng *rng, unsigned n) {
    return (size_t)(sim_uniform(rng) * n);
}

static const char *some_text(struct mr_arena *arena, struct sim_rng *rng, unsigned most) {
    const char *text = "";
    for (unsigned i = (unsigned)sim_below(rng, most); i-- > 0;)
        text = mr_printf(arena, "%s%s%s", text, words[sim_below(rng, MR_COUNT(words))],
                         sim_below(rng, 9)   ? " "
                         : sim_below(rng, 2) ? "\n"
                                             : "  ");
    return text;
}

/* Texts without blanks and line ends, one behind the other. */
static void add_dense(struct mr_buffer *out, const char *text) {
    for (; *text; text++)
        if (*text != ' ' && *text != '\n')
            mr_buffer_add(out, text, 1);
}

static void check_page(const struct mr_leaves *l, const struct mr_leaf *page, unsigned seed) {
    int open = 0;
    for (size_t i = 0; i < page->pieces.n; i++) {
        const struct mr_set_piece *t = &page->pieces.v[i];
        if (t->kind == MR_PIECE_TEXT) {
            const double wide = mr_leaf_width(l, t->text, t->size, t->bold);
            const double from = t->anchor == MR_RIGHT ? t->x - wide : t->x;
            cr_assert(from > l->left - 0.6 && from + wide < l->right + 0.6, "seed %u: \"%s\" from %.1f to %.1f", seed,
                      t->text, from, from + wide);
            cr_assert(t->y > l->top && t->y < l->bottom + 0.5, "seed %u: \"%s\" at %.1f", seed, t->text, t->y);
        }
        open += t->kind == MR_PIECE_OPEN || t->kind == MR_PIECE_LINK;
        open -= t->kind == MR_PIECE_CLOSE || t->kind == MR_PIECE_UNLINK;
        cr_assert_geq(open, 0);
    }
    cr_assert_eq(open, 0, "seed %u: an element crosses the page", seed);
}

/* Nothing leaves the page, nothing is lost, no element crosses a page: whatever stands in paragraphs and tables. The
 * texts of a table are compared as a bag of bytes, because rows that go on over pages mix their cells. */
Test(submittal, no_text_leaves_a_page_and_none_is_lost) {
    for (unsigned seed = 1; seed <= 250; seed++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        struct sim_rng rng = sim_seed(seed, 1);
        struct mr_leaves *l = mr_leaves_new(arena, seed % 2, false);
        struct mr_buffer in = {.arena = arena}, out = {.arena = arena};
        const size_t columns = 1 + sim_below(&rng, 10);
        struct mr_grid_column *column = MR_ARRAY(arena, struct mr_grid_column, columns);
        for (size_t c = 0; c < columns; c++)
            column[c] = (struct mr_grid_column){words[sim_below(&rng, MR_COUNT(words))], sim_below(&rng, 2)};
        for (unsigned part = 0; part < 4; part++) {
            const char *text = some_text(arena, &rng, seed % 10 ? 60 : 2500);
            mr_leaves_paragraph(l, sim_below(&rng, 2) ? MR_LEAF_BODY : MR_LEAF_NOTE, 14, text);
            add_dense(&in, text);
        }
        struct mr_grid grid = mr_grid_new(arena, columns, column);
        for (size_t i = columns * sim_below(&rng, 40); i-- > 0;) {
            mr_grid_text(&grid, some_text(arena, &rng, sim_below(&rng, 30) ? 8 : 500));
            add_dense(&in, grid.cells.v[grid.cells.n - 1].text);
        }
        const struct mr_leaf_mark mark = mr_leaves_mark(l);
        mr_leaves_grid(l, &grid);
        size_t heads = 0, count[2][256] = {{0}};
        for (size_t p = 0; p < l->leaf.n; p++) {
            check_page(l, &l->leaf.v[p], seed);
            for (size_t i = 0; i < l->leaf.v[p].pieces.n; i++) {
                const struct mr_set_piece *t = &l->leaf.v[p].pieces.v[i];
                heads += t->kind == MR_PIECE_OPEN && strcmp(t->text, "TH") == 0;
                if (t->kind == MR_PIECE_TEXT)
                    add_dense(&out, t->text);
            }
        }
        for (size_t i = 0; i < out.v.n; i++)
            count[1][(unsigned char)out.v.v[i]]++;
        for (size_t i = 0; i < in.v.n; i++)
            count[0][(unsigned char)in.v.v[i]]++;
        cr_assert_eq(heads % columns, 0);
        for (size_t h = 0; h < heads; h++) /* the head stands once on each page of the table */
            for (const char *t = column[h % columns].title; *t; t++)
                count[0][(unsigned char)*t]++;
        for (int b = 0; b < 256; b++)
            cr_assert_eq(count[0][b], count[1][b], "seed %u: byte %d: %zu, %zu", seed, b, count[0][b], count[1][b]);
        cr_assert_geq(l->leaf.n, mark.pages);
        mr_arena_free(arena);
    }
}

/* What is kept together stands on one page where it fits on one. */
Test(submittal, a_block_is_kept_on_one_page) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    for (unsigned before = 0; before < 80; before++) {
        struct mr_leaves *l = mr_leaves_new(arena, false, false);
        for (unsigned i = 0; i < before; i++)
            mr_leaves_paragraph(l, MR_LEAF_BODY, 0, "before");
        struct mr_leaf_mark mark = mr_leaves_mark(l);
        size_t from = 0;
        do {
            mr_leaves_need(l, 1);
            from = l->leaf.n;
            for (unsigned i = 0; i < 12; i++)
                mr_leaves_paragraph(l, MR_LEAF_BODY, 0, "inside");
        } while (mr_leaves_again(l, &mark));
        size_t pages_with = 0;
        for (size_t p = 0; p < l->leaf.n; p++) {
            bool any = false;
            for (size_t i = 0; i < l->leaf.v[p].pieces.n; i++)
                any = any || (l->leaf.v[p].pieces.v[i].kind == MR_PIECE_TEXT &&
                              strcmp(l->leaf.v[p].pieces.v[i].text, "inside") == 0);
            pages_with += any;
        }
        cr_assert_eq(pages_with, 1, "behind %u paragraphs, from page %zu", before, from);
    }
    mr_arena_free(arena);
}

/* ---- the other language ---- */

/* The texts of all headings and heads of tables, in order. */
static void heads_of(struct mr_arena *arena, const struct mr_leaves *l, mr_leaf_lines *out) {
    for (size_t p = 0; p < l->leaf.n; p++)
        for (size_t i = 0; i < l->leaf.v[p].pieces.n; i++) {
            const struct mr_set_piece *t = &l->leaf.v[p].pieces.v[i];
            if (t->kind != MR_PIECE_OPEN || (strcmp(t->text, "TH") != 0 && t->text[0] != 'H'))
                continue;
            const char *text = "";
            for (; l->leaf.v[p].pieces.v[i].kind != MR_PIECE_CLOSE; i++)
                if (l->leaf.v[p].pieces.v[i].kind == MR_PIECE_TEXT)
                    text = mr_printf(arena, "%s%s%s", text, *text ? " " : "", l->leaf.v[p].pieces.v[i].text);
            MR_PUSH(arena, out, text);
        }
}

static bool holds(const mr_leaf_lines *list, const char *text) {
    for (size_t i = 0; i < list->n; i++)
        if (strcmp(list->v[i], text) == 0)
            return true;
    return false;
}

/* The set that ships is complete: whatever heading an English submittal shows, a German one does not, but for names
 * of zones and words that are alike. */
Test(submittal, the_german_headings_are_complete) {
    static const char *const alike[] = {"Zone", "Film", "SHA-256", "Bytes", "Median", "Median, mil", "Material"};
    struct run run = run_begin("job");
    struct mr_assessment *a = fixture_assessment(run.arena, run.dir, true);
    struct mr_job *job = MR_NEW(run.arena, struct mr_job);
    *job = *a->job;
    const struct mr_zone_choice all = {0};
    mr_chart_list none = {0};
    mr_leaf_lines english = {0}, german = {0};
    struct mr_outline o = mr_outline_make(run.arena, a, "0", NULL, 0, &none);
    heads_of(run.arena, mr_submittal_leaves(&o, &all), &english);
    struct mr_job_reader r = {.arena = run.arena, .diags = &run.diags, .job = job};
    job->settings.v[MR_WORDING].text = "deutsch";
    job->settings.v[MR_WORDING].set = true;
    mr_job_read_wording(&r);
    cr_assert_not(r.failed);
    cr_assert_gt(job->wording.headings.n, 80);
    a->job = job;
    o = mr_outline_make(run.arena, a, "0", NULL, 0, &none);
    heads_of(run.arena, mr_submittal_leaves(&o, &all), &german);
    cr_assert_gt(english.n, 60);
    for (size_t i = 0; i < english.n; i++) {
        bool may = strcmp(english.v[i], o.job_name) == 0;
        for (size_t k = 0; k < MR_COUNT(alike); k++)
            may = may || strcmp(alike[k], english.v[i]) == 0;
        for (size_t z = 0; z < a->aligned->zones.n; z++)
            may = may || strstr(english.v[i], a->aligned->zones.v[z].name);
        cr_expect(may || !holds(&german, english.v[i]), "\"%s\" is not translated", english.v[i]);
    }
    run_end(&run);
}

/* ---- size ---- */

static int count_bytes(void *ctx, const void *data, size_t n) {
    (void)data;
    *(size_t *)ctx += n;
    return 0;
}

/* Under 10 MB for a hundred zones, three figures each: the fixture's zones over and over. */
Test(submittal, a_hundred_zones_stay_below_ten_megabytes) {
    enum { ZONES = 100 };
    struct run run = run_begin("job");
    struct mr_assessment *a = fixture_assessment(run.arena, run.dir, false);
    const size_t own = a->aligned->zones.n;
    struct mr_alignment al = *a->aligned;
    struct mr_assessment many = *a;
    mr_chart_list drawn = {0}, charts = {0};
    struct mr_outline first = mr_outline_make(run.arena, a, "0", NULL, 0, &drawn);
    mr_charts_make(&first.chart_job, &drawn);
    al.zones.v = MR_ARRAY(run.arena, struct mr_zone, ZONES);
    al.zones.n = al.zones.cap = ZONES;
    many.aligned = &al;
    many.zones = MR_ARRAY(run.arena, struct mr_zone_result, ZONES);
    many.checks.v = NULL;
    many.checks.n = many.checks.cap = 0;
    for (size_t z = 0; z < ZONES; z++) {
        al.zones.v[z] = a->aligned->zones.v[z % own];
        al.zones.v[z].name = mr_printf(run.arena, "Zone %zu of a long bridge", z + 1);
        many.zones[z] = a->zones[z % own];
        for (size_t i = 0; i < a->checks.n; i++)
            if (a->checks.v[i].zone == z % own) {
                struct mr_check c = a->checks.v[i];
                c.zone = z;
                MR_PUSH(run.arena, &many.checks, c);
            }
        for (size_t i = 0, n = 0; i < drawn.n && n < 3; i++)
            if (drawn.v[i].zone < own || n > 0) { /* any three */
                struct mr_chart c = drawn.v[i];
                c.zone = z;
                MR_PUSH(run.arena, &charts, c);
                n++;
            }
    }
    const struct mr_outline o = mr_outline_make(run.arena, &many, "0", NULL, 0, &charts);
    const struct mr_zone_choice all = {0};
    size_t bytes = 0;
    cr_assert_eq(mr_submittal(&o, &all, count_bytes, &bytes), MR_OK);
    cr_assert_leq(bytes, (size_t)10 << 20, "%zu bytes", bytes);
    cr_assert_geq(bytes, (size_t)500 << 10, "%zu bytes: are the figures there?", bytes);
    run_end(&run);
}

/* A document that is not built as expected is left as it is. */
Test(submittal, an_update_is_whole_or_not_at_all) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    static const char *const docs[] = {"", "%PDF-1.5\n", "4 0 obj\n<< /Type /StructElem\n   /S /Figure\n>>\nendobj\n",
                                       "4 0 obj\n<< /Type /StructElem\n   /S /Figure\n>>\nendobj\n5 0 obj\n<< /Type "
                                       "/Catalog\n>>\nendobj\ntrailer\n"};
    const char *alt[] = {"a figure"};
    for (size_t i = 0; i < MR_COUNT(docs); i++) {
        struct mr_buffer doc = {.arena = arena};
        mr_buffer_add(&doc, docs[i], strlen(docs[i]));
        cr_assert_not(mr_pdf_update(&doc, "en", 1, alt), "document %zu", i);
        cr_assert_eq(doc.v.n, strlen(docs[i]));
    }
    mr_arena_free(arena);
}

/* ---- columns ---- */

static double left_of(const struct mr_leaves *l, const char *text) {
    for (size_t p = 0; p < l->leaf.n; p++)
        for (size_t i = 0; i < l->leaf.v[p].pieces.n; i++) {
            const struct mr_set_piece *t = &l->leaf.v[p].pieces.v[i];
            if (t->kind == MR_PIECE_TEXT && strcmp(t->text, text) == 0)
                return t->x;
        }
    return -1;
}

/* A register: what was found is long in every row, the disposition in one of them. No source: by eye. */
Test(submittal, a_column_with_one_long_remark_does_not_squeeze_the_one_that_is_long_in_every_row) {
    static const struct mr_grid_column columns[] = {{"Number", false},      {"What", false},   {"Found", false},
                                                    {"Disposition", false}, {"Closed", false}, {"State", false}};
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_leaves *l = mr_leaves_new(arena, true, false);
    struct mr_grid grid = mr_grid_new(arena, MR_COUNT(columns), columns);
    for (int i = 0; i < 12; i++) {
        mr_grid_text(&grid, "2026-05-11 Girder 2 outer web: rise of the coat, coat 1");
        mr_grid_text(&grid,
                     "The rise is below the band, at the same air and steel as on the days before and after it, "
                     "scaled to the band's conditions and to the heat that was lost on the way to its peak.");
        mr_grid_text(&grid, "steel/session 41.csv:1763");
        mr_grid_text(&grid, i == 7 ? "accepted as is by the engineer: the supplier allows this film on a soffit that "
                                     "nobody walks on"
                                   : "none stated");
        mr_grid_text(&grid, i == 7 ? "2026-05-13 17:10:00" : "open");
        mr_grid_text(&grid, i == 7 ? "closed, accepted as is" : "open");
    }
    mr_leaves_grid(l, &grid);
    const double what = left_of(l, "Found") - left_of(l, "What"),
                 disposition = left_of(l, "Closed") - left_of(l, "Disposition");
    cr_expect_gt(what, 1.6 * disposition, "What %.0f pt, Disposition %.0f pt", what, disposition);
    cr_expect_gt(disposition, 40);
    mr_arena_free(arena);
}

/* ---- words ---- */

static void expect_german(const struct mr_job *job, const char *english) {
    cr_expect_str_neq(mr_word(job, english), english, "no German for \"%s\"", english);
}

/* Outcomes, their meaning, cautions and limits, heads of groups: what a reader must not miss has its words in every
 * wording that is built in. */
Test(submittal, cautions_limits_and_meanings_are_there_in_german) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_diags diags;
    struct mr_job *job = NULL;
    static const char text[] = "[job]\nname = Lock\ntime zone = UTC\n[report]\nwording = deutsch\n";
    mr_diags_init(&diags, arena);
    cr_assert_eq(mr_job_parse(arena, ".", "job.milrise", text, strlen(text), &diags, &job), MR_OK);
    struct mr_job_reader r = {.arena = arena, .diags = &diags, .job = job};
    mr_job_read_wording(&r);
    cr_assert_not(r.failed);
    for (size_t i = 0; i < MR_CAUTIONS; i++)
        expect_german(job, mr_cautions[i]);
    for (size_t i = 0; i < MR_LIMITS; i++)
        expect_german(job, mr_limits[i]);
    for (size_t i = 0; i < MR_MEANINGS; i++) {
        expect_german(job, mr_meanings[i].text);
        expect_german(job, mr_outcome_text(mr_meanings[i].outcome));
    }
    expect_german(job, mr_foot_words);
    expect_german(job, mr_limit_of_use);
    mr_arena_free(arena);
}
