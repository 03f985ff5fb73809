/* Every sample of the logs as CSV: files, columns, numbers and texts that no spreadsheet takes for a formula. That
 * each value stands in the line it names, scripts/check-series.py holds over the sample job. */
#include "base/outfile.h"
#include "render/data/series_csv.h"

#include <criterion/criterion.h>
#include <stdlib.h>
#include <string.h>

/* A logger of two channels over two files, in °C and in °F, and one channel of its own. */
struct rig {
    struct mr_job job;
    struct mr_data data;
    struct mr_alignment al;
    struct mr_assessment a;
    struct mr_source source[2];
    struct mr_outline o;
};

enum { SAMPLES = 4 };
static const int64_t minute = 60000;
static int64_t times[SAMPLES];
static const int64_t lines[SAMPLES] = {3, 4, 2, 3}, files[SAMPLES] = {0, 0, 1, 1};
static const double steel[SAMPLES] = {-5.5, 0, 10, 100.0 / 3}, humidity[SAMPLES] = {50, MR_NAN, 60, 70},
                    odd[SAMPLES] = {-1e-12, 123456.25, 5e12, -2e-9};

static struct mr_track track_of(struct mr_arena *arena, const char *channel, enum mr_meaning meaning,
                                const double *value) {
    struct mr_track t = {.instrument = "K8/117",
                         .channel = channel,
                         .meaning = meaning,
                         .n = SAMPLES,
                         .t_utc_ms.raw = times,
                         .value.raw = value,
                         .file.raw = files,
                         .line.raw = lines};
    const enum mr_unit first = meaning == MR_M_RH ? MR_UNIT_PCT : MR_UNIT_C,
                       second = meaning == MR_M_RH ? MR_UNIT_PCT : MR_UNIT_F;
    MR_PUSH(arena, &t.files, ((struct mr_track_file){0, first}));
    MR_PUSH(arena, &t.files, ((struct mr_track_file){1, second}));
    return t;
}

static void rig_make(struct rig *r, struct mr_arena *arena, int64_t first_ms) {
    *r = (struct rig){.source = {{.path = "=cmd|' /c'!A1.csv"}, {.path = "b.csv"}}};
    for (size_t i = 0; i < SAMPLES; i++)
        times[i] = first_ms + (int64_t)i * minute;
    r->job.time_zone = "UTC";
    r->job.display = (struct mr_display){.temp = MR_UNIT_F, .pressure = MR_UNIT_PSI};
    r->job.settings.v[MR_SERIES] = (struct mr_setting){.set = true, .text = "yes", .value = 1};
    for (size_t i = 0; i < MR_COUNT(r->source); i++)
        MR_PUSH(arena, &r->data.files, ((struct mr_file){.source = &r->source[i]}));
    MR_PUSH(arena, &r->al.zones, ((struct mr_zone){.name = "=1+1, north"}));
    MR_PUSH(arena, &r->al.zones, ((struct mr_zone){.name = "Deck"}));
    struct mr_track t = track_of(arena, "Ch1", MR_M_STEEL, steel);
    MR_PUSH(arena, &t.stays, ((struct mr_stay){.zone = 0, .t0_utc_ms = INT64_MIN, .t1_utc_ms = times[1]}));
    MR_PUSH(arena, &t.stays, ((struct mr_stay){.zone = 1, .t0_utc_ms = times[1], .t1_utc_ms = times[2]}));
    MR_PUSH(arena, &t.stays,
            ((struct mr_stay){.gun = true, .zone = MR_NONE, .t0_utc_ms = times[3], .t1_utc_ms = INT64_MAX}));
    MR_PUSH(arena, &r->al.tracks, t);
    MR_PUSH(arena, &r->al.tracks, track_of(arena, "Humidity", MR_M_RH, humidity));
    t = track_of(arena, "Ch2", MR_M_PROBE_TEMP, odd);
    static const int64_t others[SAMPLES] = {13, 14, 12, 13};
    t.line.raw = others;
    MR_PUSH(arena, &r->al.tracks, t);
    MR_PUSH(arena, &r->al.windows,
            ((struct mr_window){.zone = 1, .coat = 2, .t0_utc_ms = times[1] + 1, .t1_utc_ms = times[2]}));
    r->al.data = &r->data;
    r->al.job = r->a.job = &r->job;
    r->a.aligned = &r->al;
    r->o = (struct mr_outline){.arena = arena, .a = &r->a};
}

static char *text_of(const struct rig *r, const struct mr_series_file *s) {
    char *text = NULL;
    size_t n = 0;
    FILE *file = open_memstream(&text, &n);
    cr_assert_eq(mr_series_rows(&r->o, s, file), 0);
    return text;
}

Test(series, a_row_says_when_what_where_and_its_line) {
    static const char expected[] =
        "\xef\xbb\xbf\"Time, UTC\",\"Time on site, UTC\",\"Ch1 (steel) as read, °C\",\"Ch1 (steel) as read, °F\","
        "\"Ch1 (steel), °F\",Ch1 (steel) stands for,\"Humidity as read, %\",\"Humidity, %\",Sprayed "
        "then,File,Line\r\n"
        "1969-12-31T23:59:00Z,1969-12-31T23:59:00+00:00,-5.5,,22.1,\"'=1+1, north\",50,50,,'=cmd|' /c'!A1.csv,3\r\n"
        "1970-01-01T00:00:00Z,1970-01-01T00:00:00+00:00,0,,32,\"'=1+1, north; Deck\",,,,'=cmd|' /c'!A1.csv,4\r\n"
        "1970-01-01T00:01:00Z,1970-01-01T00:01:00+00:00,,50,50,Deck,60,60,\"Deck, coat 2\",b.csv,2\r\n"
        "1970-01-01T00:02:00Z,1970-01-01T00:02:00+00:00,,92,92,gun,70,70,,b.csv,3\r\n";
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct rig r;
    rig_make(&r, arena, -minute);
    const mr_series_list list = mr_series_of(&r.o, MR_SERIES_ROWS_MOST);
    cr_assert_eq(list.n, 2);
    cr_expect_str_eq(list.v[0].name, "series/k8-117.csv");
    cr_expect_str_eq(list.v[1].name, "series/k8-117-ch2.csv");
    char *text = text_of(&r, &list.v[0]);
    cr_expect_str_eq(text, expected);
    free(text);
    mr_arena_free(arena);
}

Test(series, numbers_keep_nine_decimals_and_great_ones_their_digits) {
    static const char *const wanted[] = {",0,,32,", ",123456.25,,222253.25,", ",,9000000000032,9000000000032,",
                                         ",,31.999999996,"};
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct rig r;
    rig_make(&r, arena, 500);
    const mr_series_list list = mr_series_of(&r.o, MR_SERIES_ROWS_MOST);
    char *text = text_of(&r, &list.v[1]);
    cr_expect_not_null(strstr(text, "\r\n1970-01-01T00:00:00.500Z,"));
    for (size_t i = 0; i < MR_COUNT(wanted); i++)
        cr_expect_not_null(strstr(text, wanted[i]), "%s in\n%s", wanted[i], text);
    free(text);
    mr_arena_free(arena);
}

Test(series, long_logs_go_on_in_further_files_and_a_job_may_want_none) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct rig r;
    rig_make(&r, arena, 0);
    const mr_series_list list = mr_series_of(&r.o, 3);
    cr_assert_eq(list.n, 4);
    cr_expect_str_eq(list.v[1].name, "series/k8-117-2.csv");
    cr_expect_eq(list.v[0].to, 3);
    cr_expect_eq(list.v[1].from, 3);
    cr_expect_eq(list.v[1].to, SAMPLES);
    char *text = text_of(&r, &list.v[1]);
    cr_expect_not_null(strstr(text, "Line\r\n1970-01-01T00:03:00Z,"), "%s", text);
    free(text);
    r.job.settings.v[MR_SERIES].value = 0;
    cr_expect_eq(mr_series_of(&r.o, 3).n, 0);
    mr_arena_free(arena);
}
