/*
 * test_limits.c - long lines, long records, many broken ones: bounded memory, linear time, nothing lost.
 */
#include "milrise/read.h"
#include "read/record/record_reader.h"
#include "read/source/source.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <time.h>
#include <unistd.h>

#ifdef MR_ARENA_SEPARATE
enum { BIG_MB = 100 }; /* sanitizers slow every byte */
#else
enum { BIG_MB = 1000 };
#endif

struct counts {
    uint64_t rows, by_part[MR_ROW_BROKEN + 1], by_broken[MR_BROKEN_HALF + 1];
    uint32_t last_line;
    size_t last_n;
};

static bool count(void *ctx, const struct mr_row *row) {
    struct counts *counts = ctx;
    counts->rows++;
    counts->by_part[row->part]++;
    counts->by_broken[row->broken]++;
    counts->last_line = row->line_end;
    counts->last_n = row->n;
    return true;
}

static struct counts read_text(const char *text, size_t n, size_t chunk, struct mr_source *out) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct counts counts = {0};
    cr_assert_eq(mr_read_memory_in(arena, mr_job_default(arena), "t.csv", text, n, chunk, NULL, out), MR_OK);
    cr_assert_eq(mr_read_rows_in(out, chunk, count, &counts), MR_OK);
    cr_assert_eq(counts.rows, out->rows);
    mr_arena_free(arena);
    return counts;
}

static char *repeat(const char *text, size_t times, const char *head, size_t *out_n) {
    size_t n = strlen(text), head_n = strlen(head);
    char *all = malloc(head_n + n * times + 1);
    memcpy(all, head, head_n);
    for (size_t i = 0; i < times; i++)
        memcpy(all + head_n + i * n, text, n);
    *out_n = head_n + n * times;
    return all;
}

Test(limits, a_line_of_a_gigabyte_does_not_take_a_gigabyte, .timeout = 60) {
    char path[256], line[4096];
    snprintf(path, sizeof path, "%s/milrise-long-%ld.csv", getenv("TMPDIR") ? getenv("TMPDIR") : "/tmp",
             (long)getpid());
    FILE *f = fopen(path, "w");
    cr_assert(f);
    fputs("t,x\n1,5.2\n2,5.3\n", f);
    memset(line, 'x', sizeof line);
    for (int i = 0; i < 100;
         i++) /* text, so that the head is no binary; the rest of the line is a hole in the file */
        fwrite(line, 1, sizeof line, f);
    cr_assert_eq(fseek(f, BIG_MB * 1000000L, SEEK_SET), 0);
    fputs("\n3,5.4\n", f);
    cr_assert_eq(fclose(f), 0);
    struct rusage before, after;
    getrusage(RUSAGE_SELF, &before);
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_source source;
    struct counts counts = {0};
    cr_assert_eq(mr_read_source(arena, mr_job_default(arena), path, "t.csv", NULL, &source), MR_OK);
    cr_assert_eq(mr_read_rows(&source, count, &counts), MR_OK);
    getrusage(RUSAGE_SELF, &after);
    unlink(path);
    cr_expect_eq(source.rows, 5);
    cr_expect_eq(counts.by_part[MR_ROW_BODY], 3);
    cr_expect_eq(counts.by_broken[MR_BROKEN_LONG], 1);
    cr_expect(after.ru_maxrss - before.ru_maxrss < 32 << 10, "took %ld KiB", after.ru_maxrss - before.ru_maxrss);
    mr_arena_free(arena);
}

/* Exactly MR_LINE_MAX bytes are a record, one more is not; with and without quotes, at the end and before. */
Test(limits, the_longest_record_is_the_same_in_every_way_through) {
    static const struct {
        const char *before, *after;
        size_t fill;
        bool is_long;
    } cases[] = {
        {"1,", "\n2,3\n", MR_LINE_MAX - 2, false},
        {"1,", "\n2,3\n", MR_LINE_MAX - 1, true},
        {"1,\"", "\"\n2,3\n", MR_LINE_MAX - 4, false},
        {"1,\"", "\"\n2,3\n", MR_LINE_MAX - 3, true},
        {"1,", "", MR_LINE_MAX - 2, false},
        {"1,", "", MR_LINE_MAX - 1, true},
        {"1,", "\r\n2,3\r\n", MR_LINE_MAX - 2, false},
        {"1,", "\r\n2,3\r\n", MR_LINE_MAX - 1, true},
        {"1,", "\r2,3\r", MR_LINE_MAX - 1, true},
    };
    static const size_t chunks[] = {65536, 4093, 1 << 21};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        size_t n;
        char head[64];
        snprintf(head, sizeof head, "a,b\n0,1\n%s", cases[i].before);
        char *text = repeat("x", cases[i].fill, head, &n);
        size_t after = strlen(cases[i].after);
        text = realloc(text, n + after + 1);
        memcpy(text + n, cases[i].after, after);
        for (size_t c = 0; c < MR_COUNT(chunks); c++) {
            struct mr_source source;
            struct counts counts = read_text(text, n + after, chunks[c], &source);
            cr_expect_eq(counts.rows, after ? 4 : 3, "case %zu: %llu rows", i, (unsigned long long)counts.rows);
            cr_expect_eq(counts.by_broken[MR_BROKEN_LONG], cases[i].is_long, "case %zu, chunk %zu", i, chunks[c]);
            cr_expect_eq(counts.last_line, after ? 4 : 3);
        }
        free(text);
    }
}

/* Texts made to have each line looked at again and again. Each must take about the time of a harmless text of that
 * size. */
Test(limits, hostile_quotes_cost_linear_time, .timeout = 60) {
    static const struct {
        const char *name, *head, *line;
        uint64_t least_broken;
    } cases[] = {
        {"closes and opens at once", "a,b\n", "x\",\"\n", 1},
        {"opens only", "a,b\n", "\"x\n", 1},
        {"opens once, then no quote", "a,b\n\"x", "\n1,2", 1},
        {"pairs inside an open quote", "a,b\n\"x", "\n\"\",1", 1},
        {"quotes only", "a,b\n", "\"\"\"\n", 0},
    };
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        size_t n;
        char *text = repeat(cases[i].line, 400000, cases[i].head, &n);
        struct mr_source source;
        clock_t t0 = clock();
        struct counts counts = read_text(text, n, MR_CHUNK_BYTES, &source);
        double s = (double)(clock() - t0) / CLOCKS_PER_SEC;
        cr_expect(s < 5, "%s: %.2f s", cases[i].name, s);
        cr_expect(counts.by_part[MR_ROW_BROKEN] >= cases[i].least_broken, "%s", cases[i].name);
        cr_expect(counts.last_line >= 400000, "%s: last line %u", cases[i].name, counts.last_line);
        free(text);
    }
}

Test(limits, a_quote_takes_in_no_more_lines_than_a_record_may_have) {
    size_t n;
    char *text = repeat("1,2\n", 1000, "a,b\n\"open,2\n", &n);
    struct mr_source source;
    struct counts counts = read_text(text, n, 4096, &source);
    cr_expect_eq(counts.by_broken[MR_BROKEN_QUOTE], 1);
    cr_expect_eq(counts.by_part[MR_ROW_BODY], 1000);
    free(text);
    text = repeat("1,2\n", MR_RECORD_LINES - 2, "a,b\n1,2\n\"open\n", &n); /* and just as many are a record */
    text = realloc(text, n + 16);
    memcpy(text + n, "x\",9\n", 5);
    counts = read_text(text, n + 5, 4096, &source);
    cr_expect_eq(counts.by_part[MR_ROW_BROKEN], 0);
    cr_expect_eq(counts.rows, 3);
    free(text);
}

Test(limits, a_line_of_many_cells_is_read) {
    size_t n;
    char *text = repeat("1,", 500000, "", &n);
    struct mr_source source;
    struct counts counts = read_text(text, n, MR_CHUNK_BYTES, &source);
    cr_expect_eq(counts.rows, 1);
    cr_expect_eq(counts.last_n, 500001);
    free(text);
}

Test(limits, of_many_faults_some_are_told_and_the_rest_counted) {
    char *text = malloc(8 + 100 * 8);
    memcpy(text, "a,b\n0,0\n", 8);
    for (int i = 0; i < 100; i++)
        memcpy(text + 8 + 8 * i, i % 2 ? "1,2,3,4\n" : "1,\"x\"y,\n", 8);
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_diags diags;
    struct mr_source source;
    mr_diags_init(&diags, arena);
    cr_assert_eq(mr_read_memory(arena, mr_job_default(arena), "t.csv", text, 808, &diags, &source), MR_OK);
    cr_expect_eq(diags.count[MR_ERROR], 21);
    cr_expect_str_eq(diags.list.v[0].id, "unclosed-quote");
    cr_expect_eq(diags.list.v[0].place.line, 3);
    cr_expect_eq(diags.list.v[0].place.column, 2);
    cr_expect_str_eq(diags.list.v[20].what, "further lines with the same fault (quote): 30");
    mr_arena_free(arena);
    free(text);
}

static bool stop_at_three(void *ctx, const struct mr_row *row) {
    uint64_t *calls = ctx;
    (void)row;
    return ++*calls < 3;
}

Test(limits, the_caller_may_stop) {
    static const char text[] = "a,b\n1,2\n\"3\",4\n5,6\n7,8\n";
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_source source;
    uint64_t calls = 0;
    cr_assert_eq(mr_read_memory(arena, mr_job_default(arena), "t.csv", text, strlen(text), NULL, &source), MR_OK);
    cr_expect_eq(mr_read_rows(&source, stop_at_three, &calls), MR_OK);
    cr_expect_eq(calls, 3);
    mr_arena_free(arena);
}

Test(limits, a_preamble_longer_than_the_sample_hides_no_table) {
    size_t n;
    char *text = repeat("# setting: value of it\n", 1500, "Logger\n", &n);
    text = realloc(text, n + 64);
    n += (size_t)snprintf(text + n, 64, "Time,T,RH\n10:00,5.1,50\n10:01,5.2,51\n10:02,5.3,52\n");
    struct mr_source source;
    struct counts counts = read_text(text, n, 4096, &source);
    cr_expect_eq(source.header_line, 1502);
    cr_expect_eq(source.n_columns, 3);
    cr_expect_eq(counts.by_part[MR_ROW_BODY], 3);
    free(text);
}

/* The upper table fills more than half of the sample; the lower one goes on far below it. */
Test(limits, the_longest_table_of_a_file_is_the_one_that_is_read) {
    size_t n, below_n;
    char *text = repeat("2026-05-13,5,15\n", 400, "day,least,most\n", &n);
    char *below = repeat("2026-05-13 10:00,5.1,50,1\n", 3000, "time,air,rh,wind\n", &below_n);
    text = realloc(text, n + below_n);
    memcpy(text + n, below, below_n);
    struct mr_source source;
    struct counts counts = read_text(text, n + below_n, 4096, &source);
    cr_expect_eq(source.header_line, 402);
    cr_expect_eq(source.n_columns, 4);
    cr_expect_eq(counts.by_part[MR_ROW_OTHER], 401);
    cr_expect_eq(counts.by_part[MR_ROW_BODY], 3000);
    free(below);
    free(text);
}

Test(limits, a_long_line_among_blanks_is_one_broken_row) {
    size_t n;
    char *text = repeat("1 ", 2000000, "Nr T RH\n1 5.1 50\n2 5.2 51\n3 5.3 52\n", &n);
    text = realloc(text, n + 16);
    memcpy(text + n, "\n4 5.4 53\n", 10);
    struct mr_source source;
    struct counts counts = read_text(text, n + 10, 4096, &source);
    cr_expect_eq(source.delimiter, MR_BLANKS);
    cr_expect_eq(counts.by_broken[MR_BROKEN_LONG], 1);
    cr_expect_eq(counts.by_part[MR_ROW_BODY], 4);
    free(text);
}

/* The pass that only counts and the pass that delivers lose and regain patience with open quotes alike: a quote that
 * closes within a record's lines is a cell in both, however many did not close before it. */
Test(limits, both_passes_part_broken_lines_alike, .timeout = 60) {
    static char text[1 << 16];
    for (int before = 0; before < 8; before++) {
        size_t n = (size_t)sprintf(text, "a,b\n");
        for (int i = 0; i < before; i++) {
            n += (size_t)sprintf(text + n, "\"open\n");
            for (int k = 0; k < MR_RECORD_LINES + 40; k++)
                n += (size_t)sprintf(text + n, "x,y\n");
        }
        n += (size_t)sprintf(text + n, "\"note\n");
        for (int k = 0; k < MR_RECORD_LINES - 20; k++)
            n += (size_t)sprintf(text + n, "x,y\n");
        n += (size_t)sprintf(text + n, "\",1\n");
        struct mr_source source;
        const struct counts counts = read_text(text, n, 65536, &source); /* holds the two against each other */
        cr_expect_eq(counts.rows, 2 + (uint64_t)before * (MR_RECORD_LINES + 41), "%d before", before);
    }
}
