/* The back end: pictures that decode, the same bytes every time, failures told. */
#include "render/chart/charts.h"
#include "render/draw/draw_cairo.h"
#include "render/publish/beneath.h"
#include "render_run.h"

#include <criterion/criterion.h>
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <png.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static int put_fd(void *ctx, const void *data, size_t n) {
    return mr_write_fully(*(int *)ctx, data, n);
}

static const struct mr_drawlist *small_chart(struct mr_arena *arena) {
    struct mr_drawlist *l = mr_drawlist_new(arena, 144, 72, "small");
    mr_draw_rect(l, MR_INK_PALE, 10, 10, 50, 40);
    mr_draw_hatch(l, MR_INK_RED, 0.5, 10, 10, 20, 40);
    mr_draw_text(l, (struct mr_type){MR_INK_BLACK, 9, MR_LEFT, true, false}, 64, 30, "Größe ≥ 120 µm");
    mr_draw_text(l, (struct mr_type){MR_INK_BLACK, 9, MR_MIDDLE, false, true}, 140, 36, "turned");
    for (int m = MR_DOT; m <= MR_RING; m++)
        mr_draw_mark(l, MR_INK_BLUE, (enum mr_mark)m, 6, 66 + 9 * m, 50);
    return l;
}

static char *draw(struct mr_arena *arena, const struct mr_drawlist *list, enum mr_picture kind, size_t *n) {
    char path[] = "/tmp/milrise-picture-XXXXXX";
    int fd = mkstemp(path);
    cr_assert_geq(fd, 0);
    cr_assert_eq(mr_draw_file(list, kind, "2026-05-12T15:00:00Z", put_fd, &fd), MR_OK);
    close(fd);
    char *bytes = file_text(arena, path, n);
    unlink(path);
    return bytes;
}

Test(charts, every_png_decodes_and_is_not_blank) {
    struct run run = run_begin("job");
    cr_assert_eq(run_fixture(&run, 2, true), MR_OK);
    size_t pictures = 0;
    for (size_t i = 0; i < run.published.charts.n; i++) {
        const char *path = run.published.charts.v[i];
        if (!strstr(path, ".png"))
            continue;
        png_image image = {.version = PNG_IMAGE_VERSION};
        cr_assert(png_image_begin_read_from_file(&image, path), "%s: %s", path, image.message);
        cr_assert_eq(image.width, 2100);
        cr_assert(image.height >= 750 && image.height <= 2400, "%s: %u", path, image.height);
        image.format = PNG_FORMAT_GRAY;
        unsigned char *pixel = malloc(PNG_IMAGE_SIZE(image));
        cr_assert(png_image_finish_read(&image, NULL, pixel, 0, NULL), "%s: %s", path, image.message);
        size_t dark = 0, white = 0, n = (size_t)image.width * image.height;
        for (size_t k = 0; k < n; k++) {
            dark += pixel[k] < 128;
            white += pixel[k] > 250;
        }
        cr_assert(dark > 5000 && dark < n / 4, "%s: %zu dark pixels", path, dark);
        cr_assert(white > n / 2, "%s: %zu white pixels", path, white);
        free(pixel);
        pictures++;
    }
    cr_assert_geq(pictures, 20);
    run_end(&run);
}

Test(charts, png_states_300_dots_per_inch) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    size_t n;
    char *png = draw(arena, small_chart(arena), MR_PICTURE_PNG, &n);
    const unsigned char *at = memmem(png, n, "pHYs", 4);
    cr_assert(at);
    cr_assert_eq((unsigned)at[6] << 8 | at[7], 11811, "dots per metre");
    mr_arena_free(arena);
}

/* Earlier pictures of the process, other threads and the time zone must not show. */
Test(charts, same_list_gives_same_bytes) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    for (int kind = 0; kind < MR_PICTURE_COUNT; kind++) {
        size_t n1, n2;
        setenv("TZ", "America/New_York", 1);
        char *a = draw(arena, small_chart(arena), (enum mr_picture)kind, &n1);
        setenv("TZ", "Asia/Tokyo", 1);
        sleep(1); /* a date from the clock would differ now */
        char *b = draw(arena, small_chart(arena), (enum mr_picture)kind, &n2);
        cr_assert(n1 == n2 && memcmp(a, b, n1) == 0, "%s differs", mr_picture_suffix[kind]);
    }
    mr_arena_free(arena);
}

/* Read back by another program: well-formed, texts as texts, title and description; and it draws as the PNG does. */
Test(charts, svg_text_is_text_with_title_and_description) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_drawlist *list = mr_drawlist_new(arena, 144, 72, "limits < & > \"");
    list->desc = "A label beside a hatch.";
    mr_draw_clip(list, 0, 0, 70, 72);
    mr_draw_hatch(list, MR_INK_RED, 0.5, 10, 10, 20, 40);
    mr_draw_unclip(list);
    mr_draw_text(list, (struct mr_type){MR_INK_BLACK, 9, MR_LEFT, true, false}, 64, 30, "Größe ≥ 120 µm & <b>");
    size_t n;
    const char *svg = draw(arena, list, MR_PICTURE_SVG, &n);
    cr_assert(strstr(svg, ">Größe ≥ 120 µm &amp; &lt;b&gt;</text>"), "%s", svg);
    cr_assert(strstr(svg, "<title id=\"title\">limits &lt; &amp; &gt; &quot;</title>"));
    cr_assert(strstr(svg, "<desc id=\"desc\">A label beside a hatch.</desc>"));
    cr_assert(strstr(svg, "font-family=\"'DejaVu Sans', Verdana, sans-serif\""));
    char path[] = "/tmp/milrise-svg-XXXXXX";
    close(mkstemp(path));
    file_put(path, svg);
    if (system("command -v xmllint >/dev/null") == 0)
        cr_assert_eq(system(mr_printf(arena, "xmllint --noout %s", path)), 0);
    else
        printf("SKIPPED ALOUD: xmllint is not installed; the SVG was not parsed by another program\n");
    if (system("command -v rsvg-convert >/dev/null") == 0)
        cr_assert_eq(system(mr_printf(arena, "rsvg-convert %s >/dev/null", path)), 0);
    else
        printf("SKIPPED ALOUD: rsvg-convert is not installed; the SVG was not drawn by another program\n");
    unlink(path);
    mr_arena_free(arena);
}

enum { DOTS = 47 }; /* more than are stroked at once, and no multiple of it */

static struct mr_point dot_at(size_t i) {
    return (struct mr_point){10 + 12 * (double)(i % 10), 10 + 12 * (double)(i / 10)};
}

/* 300 dots an inch, PNG. Returns: how many of the dots are seen there, each where it belongs and nothing between. */
static size_t dots_seen(const char *path) {
    png_image image = {.version = PNG_IMAGE_VERSION};
    cr_assert(png_image_begin_read_from_file(&image, path), "%s", image.message);
    image.format = PNG_FORMAT_GRAY;
    unsigned char *pixel = malloc(PNG_IMAGE_SIZE(image));
    cr_assert(png_image_finish_read(&image, NULL, pixel, 0, NULL), "%s", image.message);
    size_t seen = 0;
    for (size_t i = 0; i < DOTS; i++) {
        const struct mr_point p = dot_at(i);
        const size_t row = (size_t)(p.y * 300 / 72), column = (size_t)(p.x * 300 / 72), between = 25;
        seen += pixel[row * image.width + column] < 64 && pixel[row * image.width + column + between] > 240;
    }
    free(pixel);
    return seen;
}

/* The path's last letters are filled in where it is still a pattern. */
static void draw_into(char *path, struct mr_arena *arena, const struct mr_drawlist *list, enum mr_picture kind) {
    size_t n;
    const char *bytes = draw(arena, list, kind, &n);
    const int fd = strstr(path, "XXXXXX") ? mkstemp(path) : open(path, O_WRONLY | O_TRUNC);
    cr_assert(fd >= 0 && write(fd, bytes, n) == (ssize_t)n);
    close(fd);
}

Test(charts, every_small_dot_is_drawn) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_drawlist *list = mr_drawlist_new(arena, 144, 72, "dots");
    struct mr_point at[DOTS];
    for (size_t i = 0; i < DOTS; i++)
        at[i] = dot_at(i);
    mr_draw_marks(list, MR_INK_BLACK, MR_DOT, 1.8, DOTS, at);
    char path[] = "/tmp/milrise-dots-XXXXXX";
    draw_into(path, arena, list, MR_PICTURE_PNG);
    cr_assert_eq(dots_seen(path), DOTS);
    draw_into(path, arena, list, MR_PICTURE_PDF);
    if (system("command -v pdftoppm >/dev/null") == 0) {
        cr_assert_eq(system(mr_printf(arena, "pdftoppm -singlefile -r 300 -png %s %s", path, path)), 0);
        const char *drawn = mr_printf(arena, "%s.png", path);
        cr_assert_eq(dots_seen(drawn), DOTS);
        unlink(drawn);
    } else {
        printf("SKIPPED ALOUD: pdftoppm is not installed; the PDF was not drawn by another program\n");
    }
    unlink(path);
    mr_arena_free(arena);
}

Test(charts, pdf_text_can_be_selected) {
    if (system("command -v pdftotext >/dev/null") != 0) {
        printf("SKIPPED ALOUD: pdftotext is not installed; text in PDF was not read back\n");
        return;
    }
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    char path[] = "/tmp/milrise-pdf-XXXXXX";
    int fd = mkstemp(path);
    cr_assert_eq(mr_draw_file(small_chart(arena), MR_PICTURE_PDF, "2026-05-12T15:00:00Z", put_fd, &fd), MR_OK);
    close(fd);
    FILE *p = popen(mr_printf(arena, "pdftotext -layout %s -; pdfinfo %s", path, path), "r");
    char text[4096];
    text[fread(text, 1, sizeof text - 1, p)] = '\0';
    pclose(p);
    unlink(path);
    cr_assert(strstr(text, "Größe ≥ 120 µm"), "%s", text);
    cr_assert(strstr(text, "small"), "no title: %s", text);
    mr_arena_free(arena);
}

Test(charts, full_device_is_told_with_its_errno) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    for (int kind = 0; kind < MR_PICTURE_COUNT; kind++) {
        int fd = open("/dev/full", O_WRONLY);
        cr_assert_geq(fd, 0);
        errno = 0;
        cr_assert_eq(mr_draw_file(small_chart(arena), (enum mr_picture)kind, "2026-05-12T15:00:00Z", put_fd, &fd),
                     MR_E_OUTPUT);
        cr_assert_eq(errno, ENOSPC, "%s: errno %d", mr_picture_suffix[kind], errno);
        close(fd);
    }
    mr_arena_free(arena);
}

/* The curve's work must not grow with the log: a day at 1 Hz, drawn in all three kinds. */
Test(charts, long_log_stays_small) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    enum { N = 86400 };
    int64_t *t = MR_ARRAY(arena, int64_t, N);
    double *v = MR_ARRAY(arena, double, N);
    for (int i = 0; i < N; i++) {
        t[i] = (int64_t)i * 1000;
        v[i] = 10 + 5 * sin(i / 7000.0) + 0.3 * sin(i * 1.7);
    }
    struct mr_drawlist *l = mr_drawlist_new(arena, 504, 324, "day");
    struct mr_panel p = {40, 20, 440, 260, 0, (double)N * 1000, 0, 20};
    struct mr_series s = {N, t, v, MR_UNIT_C, INT64_MAX, 0, INT64_MAX};
    for (int i = 0; i < 6; i++)
        mr_series_line(l, &p, &s, MR_INK_BLUE, 1, MR_SOLID);
    static const size_t most[MR_PICTURE_COUNT] = {600000, 800000, 200000};
    for (int kind = 0; kind < MR_PICTURE_COUNT; kind++) {
        size_t n;
        draw(arena, l, (enum mr_picture)kind, &n);
        cr_assert_lt(n, most[kind], "%s: %zu bytes", mr_picture_suffix[kind], n);
    }
    mr_arena_free(arena);
}

/* Nor with its gaps: every third sample of a day at 1 Hz is missing, so that no two stretches join. */
Test(charts, gap_ridden_log_stays_small) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    enum { N = 86400 };
    int64_t *t = MR_ARRAY(arena, int64_t, N);
    double *v = MR_ARRAY(arena, double, N);
    struct mr_panel p = {40, 20, 440, 260, 0, (double)N * 1000, 0, 20};
    for (int i = 0; i < N; i++) {
        t[i] = (int64_t)i * 1000;
        v[i] = i % 3 == 1 ? MR_NAN : 10 + 5 * sin(i / 7000.0) + 0.3 * sin(i * 1.7);
    }
    for (int64_t most_ms = 500; most_ms <= 90000; most_ms *= 180) { /* 500 ms: every sample stands alone */
        struct mr_drawlist *l = mr_drawlist_new(arena, 504, 324, "gaps");
        struct mr_series s = {N, t, v, MR_UNIT_C, most_ms, 0, INT64_MAX};
        for (int i = 0; i < 3; i++)
            mr_series_line(l, &p, &s, MR_INK_BLUE, 1, MR_SOLID);
        for (int kind = 0; kind < MR_PICTURE_COUNT; kind++) {
            size_t n;
            draw(arena, l, (enum mr_picture)kind, &n);
            cr_expect_lt(n, 1000000, "%s: %zu bytes, gap %d ms", mr_picture_suffix[kind], n, (int)most_ms);
        }
    }
    mr_arena_free(arena);
}

/* A micrometre is the step of a common gauge (common practice, no source): what a chart writes must hold it, or two
 * readings that differ would look the same; mil = 25.4 um, inch = 25400 um exactly (definition of the inch, 1959). */
Test(charts, figures_of_film_hold_the_step_of_a_gauge) {
    static const struct {
        enum mr_unit unit;
        int decimals;
    } rows[] = {{MR_UNIT_UM, 0}, {MR_UNIT_MIL, 2}, {MR_UNIT_FILM_MM, 3}, {MR_UNIT_FILM_IN, 4}};
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    for (size_t i = 0; i < MR_COUNT(rows); i++)
        cr_assert_eq(mr_unit_decimals(rows[i].unit), rows[i].decimals, "row %zu", i);
    cr_assert_str_neq(mr_shown(arena, 203.0, MR_UNIT_MIL, mr_unit_decimals(MR_UNIT_MIL)),
                      mr_shown(arena, 204.0, MR_UNIT_MIL, mr_unit_decimals(MR_UNIT_MIL)));
    mr_arena_free(arena);
}
