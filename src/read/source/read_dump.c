/*
 * read_dump.c - the stage as stable text: how each file was described, and its records in part.
 */
#include "read/source/source.h"

#include <string.h>

enum { BODY_ROWS = 5, BROKEN_ROWS = 20, CELL_BYTES = 60 };

struct read_dump {
    struct mr_arena *arena;
    MR_VEC(char) text;
    uint64_t by_part[MR_ROW_BROKEN + 1];
};

static void put(struct read_dump *dump, const char *format, ...) MR_PRINTF(2, 3);
static void put(struct read_dump *dump, const char *format, ...) {
    va_list args;
    va_start(args, format);
    const char *text = mr_vprintf(dump->arena, format, args);
    va_end(args);
    size_t n = strlen(text);
    while (dump->text.cap < dump->text.n + n)
        dump->text.v = mr_vec_room(dump->arena, dump->text.v, &dump->text.cap, 1);
    memcpy(dump->text.v + dump->text.n, text, n);
    dump->text.n += n;
}

static const char *clean(struct read_dump *dump, const char *p, size_t n) {
    return mr_clean_text(dump->arena, p, n, CELL_BYTES);
}

static bool put_row(void *ctx, const struct mr_row *row) {
    struct read_dump *dump = ctx;
    uint64_t nth = ++dump->by_part[row->part];
    bool shown = row->part == MR_ROW_BODY ? nth <= BODY_ROWS : row->part != MR_ROW_BLANK && nth <= BROKEN_ROWS;
    if (!shown)
        return true;
    put(dump, "  row %u-%u %s", (unsigned)row->line, (unsigned)row->line_end, mr_row_part_word(row->part));
    if (row->broken != MR_BROKEN_NO)
        put(dump, " (%s)", mr_broken_word(row->broken));
    for (size_t i = 0; i < row->n; i++)
        put(dump, "%s%s%s%s", i ? " | " : ": ", row->cell[i].quoted ? "\"" : "",
            clean(dump, row->cell[i].p, row->cell[i].n), row->cell[i].quoted ? "\"" : "");
    put(dump, "\n");
    return true;
}

static const char *delimiter_word(char delimiter) {
    switch (delimiter) {
    case ',':
        return "comma";
    case ';':
        return "semicolon";
    case '\t':
        return "tab";
    case '|':
        return "pipe";
    case MR_BLANKS:
        return "blanks";
    default:
        return "none";
    }
}

static void put_shape(struct read_dump *dump, const struct mr_source *source) {
    const char *decimal = source->decimal == '.' ? "point" : source->decimal == ',' ? "comma" : "not settled";
    put(dump, "  delimiter: %s, decimal mark: %s, line ends: %s%s\n", delimiter_word(source->delimiter), decimal,
        source->line_ends, source->ends_in_mid_line ? ", ends in mid-line" : "");
    put(dump, "  header line %u, units line %u, body from line %u\n", (unsigned)source->header_line,
        (unsigned)source->units_line, (unsigned)source->first_body_line);
    for (size_t i = 0; i < source->preamble.n; i++) {
        const struct mr_pair *pair = &source->preamble.v[i];
        put(dump, "  preamble %u: %s = %s\n", (unsigned)pair->place.line, clean(dump, pair->name, strlen(pair->name)),
            clean(dump, pair->value, strlen(pair->value)));
    }
    for (size_t i = 0; i < source->n_columns; i++)
        put(dump, "  column %zu: %s [%s]\n", i + 1,
            clean(dump, source->columns[i].name, strlen(source->columns[i].name)),
            clean(dump, source->columns[i].unit, strlen(source->columns[i].unit)));
}

static void put_source(struct read_dump *dump, const struct mr_source *source) {
    put(dump, "file %s\n", source->path);
    if (!source->readable) {
        put(dump, "  not readable\n");
        return;
    }
    put(dump, "  %llu bytes, sha256 %s\n", (unsigned long long)source->size, source->sha256);
    put(dump, "  encoding: %s%s: %s\n", mr_encoding_text(source->encoding),
        source->bom ? " with byte-order mark" : "", source->encoding_why);
    if (source->encoding == MR_ENC_BINARY)
        return;
    put_shape(dump, source);
    memset(dump->by_part, 0, sizeof dump->by_part);
    if (mr_read_rows(source, put_row, dump) != MR_OK)
        put(dump, "  its rows cannot be read: the file has changed\n");
    put(dump, "  records: %llu =", (unsigned long long)source->rows);
    for (size_t part = 0; part <= MR_ROW_BROKEN; part++)
        put(dump, "%s %llu %s", part ? " +" : "", (unsigned long long)dump->by_part[part],
            mr_row_part_word((enum mr_row_part)part));
    put(dump, "\n");
}

char *mr_read_dump(struct mr_arena *arena, const struct mr_sources *sources) {
    struct read_dump dump = {.arena = arena};
    put(&dump, "read: %zu files\n", sources->list.n);
    for (size_t i = 0; i < sources->list.n; i++)
        put_source(&dump, &sources->list.v[i]);
    MR_PUSH(arena, &dump.text, '\0');
    return dump.text.v;
}
