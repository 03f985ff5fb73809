/*
 * test_prop_records.c - the reader against libcsv, and against tables that were made and written in every way.
 *
 * Laws:
 *   1. On a text without quotes the reader's cells are those that libcsv gives for the whole text, its rows in the
 * same order; libcsv leaves out what the reader hands over as blank.
 *   2. The same on texts with quotes that libcsv accepts in strict mode.
 *   3. On any bytes, the chunk size does not show.
 *   4. Where runs of blanks divide, the cells are those of a plain splitter, whatever the chunk size; no quote
 * matters.
 *   5. A table written in any encoding, delimiter, decimal mark, line end and way of quoting reads back as the same
 * cells.
 *   6. The checks above notice a planted difference.
 * Seeded: the seed and the number of a case are printed with a failure.
 */
#include "base/utf8.h"
#include "read/record/record_reader.h"
#include "read/record/trim.h"
#include "read/source/source.h"

#include <criterion/criterion.h>
#include <csv.h>
#include <string.h>

struct dice {
    uint64_t state;
};

static uint32_t roll(struct dice *dice, uint32_t sides) { /* xorshift64*, Vigna 2016 */
    dice->state ^= dice->state >> 12;
    dice->state ^= dice->state << 25;
    dice->state ^= dice->state >> 27;
    return (uint32_t)((dice->state * 2685821657736338717ULL) >> 32) % sides;
}

struct text { /* cells ended by 1F, rows by 1E */
    struct mr_arena *arena;
    MR_VEC(char) v;
    bool row_open;
};

static void put(struct text *text, const char *p, size_t n) {
    for (size_t i = 0; i < n; i++)
        MR_PUSH(text->arena, &text->v, p[i]);
}

static void put_cell(struct text *text, const char *p, size_t n) {
    struct mr_cell cell;
    mr_trim(&cell, p, n);
    put(text, cell.p, cell.n);
    put(text, "\x1f", 1);
}

static bool row_to_text(void *ctx, const struct mr_row *row) {
    struct text *text = ctx;
    if (row->broken == MR_BROKEN_NO && (row->n == 0 || (row->n == 1 && !row->cell[0].n)))
        return true; /* a blank line, or one empty cell: see csv_row */
    for (size_t i = 0; i < row->n; i++)
        put_cell(text, row->cell[i].p, row->cell[i].n);
    put(text, row->broken == MR_BROKEN_NO ? "\x1e" : "\x1d", 1);
    return true;
}

static void csv_cell(void *p, size_t n, void *ctx) {
    put_cell(ctx, p, n);
}

static void csv_row(int end, void *ctx) {
    struct text *text = ctx;
    (void)end;
    /* one cell without text: "" or white space that libcsv does not trim; to the reader a blank line */
    if (text->v.n >= 1 && text->v.v[text->v.n - 1] == '\x1f' &&
        (text->v.n == 1 || text->v.v[text->v.n - 2] == '\x1e'))
        text->v.n--;
    else
        put(text, "\x1e", 1);
}

/* False where libcsv refuses the text. */
static bool by_libcsv(struct text *out, const char *p, size_t n, char delimiter) {
    struct csv_parser parser;
    csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI);
    csv_set_delim(&parser, (unsigned char)delimiter);
    bool ok = csv_parse(&parser, p, n, csv_cell, csv_row, out) == n;
    ok = csv_fini(&parser, ok ? csv_cell : NULL, ok ? csv_row : NULL, out) == 0 && ok;
    csv_free(&parser);
    return ok;
}

static struct mr_tally by_reader(struct text *out, const char *p, size_t n, char delimiter, size_t chunk) {
    struct mr_layout layout = {.delimiter = delimiter, .last_decimals = -1};
    struct mr_bytes bytes;
    struct mr_tally tally;
    mr_bytes_memory(&bytes, p, n, chunk);
    cr_assert_eq(mr_records_run(out->arena, &bytes, MR_ENC_UTF8, &layout, row_to_text, out, &tally), MR_OK);
    return tally;
}

static bool same(const struct text *a, const struct text *b) {
    return a->v.n == b->v.n && (a->v.n == 0 || memcmp(a->v.v, b->v.v, a->v.n) == 0);
}

static size_t random_text(struct dice *dice, char *out, size_t most, const char *alphabet, size_t letters) {
    size_t n = roll(dice, (uint32_t)most);
    for (size_t i = 0; i < n; i++)
        out[i] = roll(dice, 20) ? alphabet[roll(dice, (uint32_t)letters)] : (char)(1 + roll(dice, 255));
    for (size_t i = 0; i < n; i++) /* the marks of struct text */
        out[i] = out[i] >= 0x1d && out[i] <= 0x1f ? 'm' : out[i];
    return n;
}

Test(records, cells_of_texts_without_quotes_are_libcsvs, .timeout = 60) {
    static const char alphabet[] = ",;\t| \n\r\nab1.5-\x0b\x0c";
    static const char delimiters[] = ",;\t|";
    struct dice dice = {.state = 20260511};
    for (int i = 0; i < 30000; i++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        char p[400];
        size_t n = random_text(&dice, p, sizeof p, alphabet, sizeof alphabet - 1);
        for (size_t k = 0; k < n;
             k++) /* no quotes; no byte-order marks, which the reader drops and libcsv does not know */
            if (p[k] == '"' || p[k] == '\xEF')
                p[k] = 'q';
        char delimiter = delimiters[roll(&dice, 4)];
        struct text a = {.arena = arena}, b = {.arena = arena};
        cr_assert(by_libcsv(&a, p, n, delimiter));
        by_reader(&b, p, n, delimiter, 1 + roll(&dice, 100));
        cr_assert(same(&a, &b), "case %d: %s", i, mr_clean_text(arena, p, n, 2000));
        mr_arena_free(arena);
    }
}

Test(records, cells_of_texts_with_quotes_are_libcsvs_where_it_accepts_them, .timeout = 60) {
    static const char alphabet[] = "\"\",\"\n\",ab \r\n";
    struct dice dice = {.state = 4711};
    int accepted = 0;
    for (int i = 0; i < 150000; i++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        char p[24];
        size_t n = 0, want = roll(&dice, sizeof p);
        while (n < want)
            p[n++] = alphabet[roll(&dice, sizeof alphabet - 1)];
        struct text a = {.arena = arena}, b = {.arena = arena};
        if (by_libcsv(&a, p, n, ',')) {
            accepted++;
            by_reader(&b, p, n, ',', 1 + roll(&dice, 30));
            cr_assert(same(&a, &b), "case %d: %s", i, mr_clean_text(arena, p, n, 2000));
        }
        mr_arena_free(arena);
    }
    cr_expect(accepted > 5000, "only %d texts were accepted", accepted);
}

Test(records, the_chunk_size_does_not_show_on_any_bytes, .timeout = 60) {
    static const char alphabet[] = "\"\",\n\r\n;ab1\t\0";
    struct dice dice = {.state = 99};
    for (int i = 0; i < 15000; i++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        char p[300];
        size_t n = random_text(&dice, p, sizeof p, alphabet, sizeof alphabet - 1);
        struct text whole = {.arena = arena}, parts = {.arena = arena};
        struct mr_tally a = by_reader(&whole, p, n, ',', 65536),
                        b = by_reader(&parts, p, n, ',', 1 + roll(&dice, 70));
        cr_assert(same(&whole, &parts) && memcmp(&a, &b, sizeof a) == 0, "case %d: %s", i,
                  mr_clean_text(arena, p, n, 2000));
        mr_arena_free(arena);
    }
}

static void by_splitter(struct text *out, const char *p, size_t n) {
    const char *end = p + n;
    for (bool open = false; p < end;) {
        const char *from = p;
        while (p < end && !(*p == ' ' || (*p >= '\t' && *p <= '\r')))
            p++;
        if (p > from)
            put_cell(out, from, (size_t)(p - from));
        open = open || p > from;
        bool ends = p == end || *p == '\n' || *p == '\r';
        if (ends && open)
            put(out, "\x1e", 1);
        open = open && !ends;
        if (p + 1 == end && open)
            put(out, "\x1e", 1);
        p += p < end;
    }
}

Test(records, cells_that_blanks_divide_are_a_splitters, .timeout = 60) {
    static const char alphabet[] = "  \t\n\r\"\",ab1.5#-\x0b";
    struct dice dice = {.state = 815};
    for (int i = 0; i < 20000; i++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        char p[300];
        size_t n = random_text(&dice, p, sizeof p, alphabet, sizeof alphabet - 1);
        for (size_t k = 0; k < n; k++) /* no byte-order marks */
            p[k] = p[k] == '\xEF' ? 'q' : p[k];
        struct text a = {.arena = arena}, b = {.arena = arena};
        by_splitter(&a, p, n);
        by_reader(&b, p, n, MR_BLANKS, 1 + roll(&dice, 70));
        cr_assert(same(&a, &b), "case %d: %s", i, mr_clean_text(arena, p, n, 2000));
        mr_arena_free(arena);
    }
}

/* A planted fault: were the reader to drop one byte, or libcsv's row end come one cell late, the laws above would not
 * hold. */
Test(records, the_comparison_notices_one_byte) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct text a = {.arena = arena}, b = {.arena = arena}, c = {.arena = arena}, d = {.arena = arena},
                e = {.arena = arena};
    by_splitter(&d, "a b\nc", 5);
    by_reader(&e, "a b\n\"c", 6, MR_BLANKS, 3);
    cr_expect_not(same(&d, &e));
    cr_assert(by_libcsv(&a, "a,b\nc,d\n", 8, ','));
    by_reader(&b, "a,b\nc,e\n", 8, ',', 3);
    by_reader(&c, "a,b,c\nd\n", 8, ',', 3);
    cr_expect_not(same(&a, &b));
    cr_expect_not(same(&a, &c));
    mr_arena_free(arena);
}

/* ---- tables written in every way ---- */

struct style {
    enum mr_encoding encoding;
    bool bom, header, last_end;
    char delimiter, decimal;
    const char *line_end;
    int quoting; /* 0 as needed, 1 all, 2 some */
    int dates;
};

static void put_number(struct dice *dice, struct text *out, char decimal) {
    char digits[32];
    int n = snprintf(digits, sizeof digits, "%s%u.%02u", roll(dice, 8) ? "" : "-", roll(dice, 200), roll(dice, 100));
    for (int i = 0; i < n; i++)
        digits[i] = digits[i] == '.' ? decimal : digits[i];
    put(out, digits, (size_t)n);
}

static void put_time(struct dice *dice, struct text *out, int dates) {
    char when[64];
    unsigned month = 1 + roll(dice, 12), day = 1 + roll(dice, 28), hour = roll(dice, 24), minute = roll(dice, 60);
    int n;
    switch (dates) {
    case 0:
        n = snprintf(when, sizeof when, "2026-%02u-%02u %02u:%02u", month, day, hour, minute);
        break;
    case 1:
        n = snprintf(when, sizeof when, "%02u.%02u.2026 %02u:%02u", day, month, hour, minute);
        break;
    case 2:
        n = snprintf(when, sizeof when, "%02u/%02u/2026 %u:%02u PM", month, day, 1 + hour % 12, minute);
        break;
    default:
        n = snprintf(when, sizeof when, "2026-%02u-%02uT%02u:%02u:00Z", month, day, hour, minute);
        break;
    }
    put(out, when, (size_t)n);
}

static void put_word(struct dice *dice, struct text *out) {
    static const char *const words[] = {"Deck 1",     "Träger Süd", "Höhe",       "µ-probe", "3/4\" plate",
                                        "north, wet", "a;b|c",      "two\nlines", "Bay 7"};
    const char *word = words[roll(dice, MR_COUNT(words))];
    put(out, word, strlen(word));
}

/* Where blanks divide there are no quotes, no empty cells, no blanks in cells, and no delimiter in half of the rows.
 */
static void write_blank_cell(struct dice *dice, struct text *out, struct text *cell) {
    for (size_t i = 0; i < cell->v.n; i++)
        if (strchr(" \n,;|", cell->v.v[i]))
            cell->v.v[i] = '_';
    put(out, "      ", 1 + roll(dice, 2) * (1 + roll(dice, 4)));
    put(out, cell->v.v, cell->v.n);
}

static void write_cell(struct dice *dice, struct text *out, const struct text *cell, const struct style *style) {
    bool quote = style->quoting == 1 || (style->quoting == 2 && roll(dice, 3) == 0);
    for (size_t i = 0; i < cell->v.n; i++)
        quote = quote || cell->v.v[i] == style->delimiter || cell->v.v[i] == '"' || cell->v.v[i] == '\n';
    if (quote)
        put(out, "\"", 1);
    for (size_t i = 0; i < cell->v.n; i++)
        put(out, cell->v.v[i] == '"' ? "\"\"" : &cell->v.v[i], cell->v.v[i] == '"' ? 2 : 1);
    if (quote)
        put(out, "\"", 1);
}

static void write_row(struct dice *dice, struct text *out, struct text *truth, size_t columns, bool header,
                      const struct style *style) {
    static const char *const names[] = {"Time", "Zone", "T1 [°C]", "T2 [°C]", "Film (µm)", "RH %"};
    for (size_t j = 0; j < columns; j++) {
        struct text cell = {.arena = out->arena};
        if (header)
            put(&cell, names[j], strlen(names[j]));
        else if (j == 0)
            put_time(dice, &cell, style->dates);
        else if (j == 1)
            put_word(dice, &cell);
        else if (style->delimiter == MR_BLANKS || roll(dice, 12))
            put_number(dice, &cell, style->decimal);
        if (style->delimiter == MR_BLANKS)
            write_blank_cell(dice, out, &cell);
        put_cell(truth, cell.v.v, cell.v.n);
        if (j && style->delimiter != MR_BLANKS)
            put(out, &style->delimiter, 1);
        if (style->delimiter != MR_BLANKS)
            write_cell(dice, out, &cell, style);
    }
    put(truth, "\x1e", 1);
}

static char *encode(struct mr_arena *arena, const struct text *text, const struct style *style, size_t *out_n) {
    const char *p = text->v.v, *end = p + text->v.n;
    char *out = mr_alloc(arena, 2 * text->v.n + 8, 1);
    size_t n = 0;
    bool wide = style->encoding == MR_ENC_UTF16LE || style->encoding == MR_ENC_UTF16BE;
    size_t low = style->encoding == MR_ENC_UTF16BE;
    if (style->bom && wide) {
        out[low] = (char)0xff;
        out[1 - low] = (char)0xfe;
        n = 2;
    } else if (style->bom && style->encoding == MR_ENC_UTF8) {
        memcpy(out, "\xEF\xBB\xBF", 3);
        n = 3;
    }
    while (p < end) {
        size_t len = mr_utf8_length(p, (size_t)(end - p));
        unsigned code = len == 2 ? ((unsigned)p[0] & 0x1f) << 6 | ((unsigned)p[1] & 0x3f) : (unsigned char)*p;
        if (style->encoding == MR_ENC_UTF8) {
            memcpy(out + n, p, len);
            n += len;
        } else {
            out[n + low * wide] = (char)code;
            if (wide)
                out[n + 1 - low] = (char)(code >> 8);
            n += 1U + wide;
        }
        p += len;
    }
    *out_n = n;
    return out;
}

static struct style roll_style(struct dice *dice) {
    static const enum mr_encoding encodings[] = {MR_ENC_UTF8, MR_ENC_UTF16LE, MR_ENC_UTF16BE, MR_ENC_CP1252};
    static const char delimiters[] = {',', ';', '\t', '|', MR_BLANKS};
    static const char *const line_ends[] = {"\n", "\r\n", "\r"};
    struct style style = {.encoding = encodings[roll(dice, 4)],
                          .bom = roll(dice, 2),
                          .header = roll(dice, 6) != 0,
                          .last_end = roll(dice, 4) != 0,
                          .delimiter = delimiters[roll(dice, 5)],
                          .decimal = roll(dice, 2) ? '.' : ',',
                          .line_end = line_ends[roll(dice, 3)],
                          .quoting = (int)roll(dice, 3),
                          .dates = (int)roll(dice, 4)};
    if (style.delimiter == MR_BLANKS) {
        style.dates = 3; /* the only one without a blank */
        style.decimal = '.';
    }
    return style;
}

Test(records, a_table_written_in_any_way_reads_back_the_same, .timeout = 60) {
    struct dice dice = {.state = 123456789};
    for (int i = 0; i < 6000; i++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        struct style style = roll_style(&dice);
        struct text file = {.arena = arena}, truth = {.arena = arena}, got = {.arena = arena};
        size_t columns = 3 + roll(&dice, 4), rows = 4 + roll(&dice, 20), n;
        for (size_t r = 0; r < rows; r++) {
            write_row(&dice, &file, &truth, columns, r == 0 && style.header, &style);
            if (r + 1 < rows || style.last_end)
                put(&file, style.line_end, strlen(style.line_end));
        }
        char *bytes = encode(arena, &file, &style, &n);
        struct mr_source source;
        size_t chunk = 1 + roll(&dice, 200);
        cr_assert_eq(mr_read_memory_in(arena, mr_job_default(arena), "t.csv", bytes, n, chunk, NULL, &source), MR_OK);
        cr_assert_eq(mr_read_rows_in(&source, chunk, row_to_text, &got), MR_OK);
        const char *said = mr_clean_text(arena, file.v.v, file.v.n, 3000);
        cr_assert_eq(source.delimiter, style.delimiter, "case %d, delimiter: %s", i, said);
        cr_assert_eq(source.header_line, style.header ? 1 : 0, "case %d, header line %u: %s", i, source.header_line,
                     said);
        cr_assert_eq(source.n_columns, columns, "case %d, columns: %s", i, said);
        cr_assert_eq(source.rows, rows, "case %d, rows: %s", i, said);
        cr_assert(same(&truth, &got), "case %d, cells: %s", i, said);
        mr_arena_free(arena);
    }
}
