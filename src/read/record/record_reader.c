#include "read/record/record_reader.h"

#include "read/bytes/decode.h"
#include "read/record/tables.h"
#include "read/record/tokens.h"
#include "read/record/trim.h"

#include <string.h>

struct record_reader {
    struct mr_arena *arena;
    struct mr_bytes *bytes;
    struct mr_decoder decoder;
    struct mr_layout layout;
    struct mr_tables tables;
    struct mr_tally *tally;
    struct mr_tokens *tokens;
    mr_row_fn fn;
    void *ctx;
    char *raw;    /* one chunk before decoding; NULL for UTF-8 */
    char *buf;    /* decoded text; [at, end) is not consumed yet */
    size_t chunk; /* bytes per read: no more than there are */
    size_t cap, at, end;
    bool eof;
    uint32_t line;     /* of at */
    uint32_t patience; /* lines that an open quote may take in */
    MR_VEC(struct mr_cell) cells;
};

/* Makes room and appends the next chunk. The consumed part is dropped, so offsets from at stay true. */
static void refill(struct record_reader *r) {
    size_t want = r->raw ? MR_DECODED_MAX(r->chunk) : r->chunk, kept = r->end - r->at;
    if (r->at) {
        memmove(r->buf, r->buf + r->at, kept);
        r->at = 0;
        r->end = kept;
    }
    if (r->end + want + 1 > r->cap) {
        size_t cap = 2 * (r->end + want + 1);
        r->buf = mr_arena_grow(r->arena, r->buf, r->cap, cap);
        r->cap = cap;
    }
    size_t got = mr_bytes_next(r->bytes, r->raw ? r->raw : r->buf + r->end, r->chunk);
    if (!got)
        r->eof = true;
    if (!r->raw)
        r->end += got;
    else if (got)
        r->end += mr_decode(&r->decoder, r->raw, got, r->buf + r->end);
    else
        r->end += mr_decode_end(&r->decoder, r->buf + r->end);
    r->buf[r->end] = '\0'; /* so that the C library can search it */
}

static bool is_mark(const char *p, size_t n) { /* byte-order mark: at the start, or where exports were joined */
    return n >= 3 && p[0] == (char)0xef && p[1] == (char)0xbb && p[2] == (char)0xbf;
}

static void add_cell(struct record_reader *r, const char *p, size_t n) {
    struct mr_cell cell = {0};
    mr_trim(&cell, p, n);
    MR_PUSH(r->arena, &r->cells, cell);
}

/* The cells of a line that runs of blanks divide. */
static void add_parts(struct record_reader *r, const char *p, size_t n) {
    const char *end = p + n;
    for (;;) {
        while (p < end && mr_is_blank(*p))
            p++;
        const char *from = p;
        while (p < end && !mr_is_blank(*p))
            p++;
        if (p == from)
            return;
        add_cell(r, from, (size_t)(p - from));
    }
}

/* Hands one record over and steps the line. Returns false where the callback stopped. */
static bool emit(struct record_reader *r, struct mr_row *row, struct mr_cell *cell, uint32_t lines) {
    row->cell = cell;
    row->line = r->line;
    row->line_end = r->line + lines - 1;
    r->line += lines;
    r->tally->records++;
    if (row->n && !cell->quoted && is_mark(cell->p, cell->n))
        mr_trim(cell, cell->p + 3, cell->n - 3);
    if (r->layout.check_bytes && mr_decode_mend(row) && row->broken == MR_BROKEN_NO)
        row->broken = MR_BROKEN_BYTES;
    if (row->n == 1 && !row->cell[0].n && !row->cell[0].quoted)
        row->n = 0;
    uint32_t any = 0;
    for (size_t i = 0; i < row->n && !any; i++)
        any = row->cell[i].n;
    if (row->broken != MR_BROKEN_NO) {
        row->part = MR_ROW_BROKEN;
    } else if (any) {
        row->part = mr_tables_part(&r->tables, row);
    } else {
        row->part = MR_ROW_BLANK;
        r->tables.blank = row->line_end;
    }
    if (r->fn(r->ctx, row))
        return true;
    r->tally->stopped = true;
    return false;
}

static bool emit_cells(struct record_reader *r, enum mr_broken broken) {
    struct mr_row row = {.broken = broken, .n = r->cells.n};
    return emit(r, &row, r->cells.v, 1);
}

struct text_line { /* a physical line, offsets from at */
    size_t end;    /* of its text */
    size_t next;   /* behind its line end; equal to end where the text ends first */
    bool is_long;
};

/* The line that begins at offset from; its text may reach up to most. */
static struct text_line find_line(struct record_reader *r, size_t from, size_t most) {
    size_t i = from;
    for (;;) {
        while (r->at + i < r->end) { /* the text ends with a NUL, and may hold some */
            i += strcspn(r->buf + r->at + i, "\r\n");
            if (r->at + i >= r->end || r->buf[r->at + i])
                break;
            i++;
        }
        if (r->at + i < r->end || r->eof || i > most)
            break;
        refill(r);
    }
    if (i > most)
        return (struct text_line){.is_long = true};
    if (r->at + i == r->end)
        return (struct text_line){.end = i, .next = i};
    while (r->buf[r->at + i] == '\r' && r->at + i + 1 == r->end && !r->eof)
        refill(r);
    bool pair = r->buf[r->at + i] == '\r' && r->at + i + 1 < r->end && r->buf[r->at + i + 1] == '\n';
    return (struct text_line){.end = i, .next = i + 1 + pair};
}

/* Consumes a line. */
static void pass_line(struct record_reader *r, const struct text_line *line) {
    if (line->next == line->end)
        r->tally->ends_in_mid_line = true;
    else if (line->next - line->end == 2)
        r->tally->crlf++;
    else if (r->buf[r->at + line->end] == '\n')
        r->tally->lf++;
    else
        r->tally->cr++;
    r->at += line->next;
}

/* A line too long for a record: passed over up to its line end, whatever its length, without keeping it. */
static bool skip_long(struct record_reader *r) {
    r->cells.n = 0;
    for (;;) {
        while (r->at < r->end && r->buf[r->at] != '\n' && r->buf[r->at] != '\r')
            r->at++;
        if (r->at < r->end || r->eof)
            break;
        refill(r);
    }
    if (r->at == r->end) {
        r->tally->ends_in_mid_line = true;
    } else {
        struct text_line line = find_line(r, 0, 1);
        pass_line(r, &line);
    }
    return emit_cells(r, MR_BROKEN_LONG);
}

/* Whether a line inside an open quote looks like a row of the table. */
static bool looks_like_row(const struct record_reader *r, size_t from, size_t to) {
    if (r->layout.n_columns < 3 || r->line < r->layout.first_body_line)
        return false;
    size_t cells = 1;
    for (size_t i = from; i < to; i++)
        cells += r->buf[r->at + i] == r->layout.delimiter;
    return cells == r->layout.n_columns;
}

/* The first line is broken: alone it makes a record with the cells before the quote. */
static bool give_up(struct record_reader *r, const struct text_line *first, size_t whole_cells, uint32_t lines,
                    enum mr_broken broken) {
    if (lines > MR_RECORD_LINES_LEAST)
        r->patience = r->patience / 2 > MR_RECORD_LINES_LEAST ? r->patience / 2 : MR_RECORD_LINES_LEAST;
    struct mr_row row = {.broken = broken, .n = whole_cells};
    struct mr_cell *cell = whole_cells ? mr_tokens_cells(r->tokens, r->buf + r->at, first->end) : NULL;
    if (broken == MR_BROKEN_QUOTE && first->next == first->end)
        row.broken = MR_BROKEN_HALF; /* the text ends here: cut, not mistyped */
    pass_line(r, first);
    bool go_on = emit(r, &row, cell, 1);
    mr_tokens_reset(r->tokens);
    return go_on;
}

/* A record that is whole gives back patience for open quotes; in a pass that only counts no less, or the two passes
 * would part broken lines in two ways. */
static void regain_patience(struct record_reader *r) {
    r->patience = r->patience < MR_RECORD_LINES / 2 ? r->patience * 2 : MR_RECORD_LINES;
}

static bool finish_record(struct record_reader *r, size_t mark, const struct text_line *last, uint32_t lines) {
    struct mr_row row = {.n = mr_tokens_count(r->tokens)};
    struct mr_cell *cell = mr_tokens_cells(r->tokens, r->buf + r->at + mark, last->end - mark);
    bool any = row.n > 1 || (row.n && cell->n);
    if (last->next == last->end && any && mr_tables_cut(&r->tables, r->line, cell, row.n))
        row.broken = MR_BROKEN_HALF;
    regain_patience(r);
    pass_line(r, last);
    bool go_on = emit(r, &row, cell, lines);
    mr_tokens_reset(r->tokens);
    return go_on;
}

/* A line that libcsv need not see: runs of blanks divide it, or nothing does. */
static bool plain_line(struct record_reader *r, size_t mark, const struct text_line *line) {
    r->cells.n = 0;
    if (r->layout.delimiter == MR_BLANKS)
        add_parts(r, r->buf + r->at + mark, line->end - mark);
    else
        add_cell(r, r->buf + r->at + mark, line->end - mark);
    bool any = r->cells.n > 1 || (r->cells.n && r->cells.v[0].n);
    bool cut = line->next == line->end && any && mr_tables_cut(&r->tables, r->line, r->cells.v, r->cells.n);
    pass_line(r, line);
    return emit_cells(r, cut ? MR_BROKEN_HALF : MR_BROKEN_NO);
}

/* The record that begins with a line, and the lines that an open quote takes in. Returns false where the callback
 * stopped or libcsv found no memory. */
static bool csv_record(struct record_reader *r, struct text_line first, size_t mark, enum mr_status *status) {
    struct text_line line = first;
    size_t from = mark, whole_cells = 0;
    for (uint32_t lines = 1;; lines++) {
        if (memchr(r->buf + r->at + from, 0, line.end - from))
            return give_up(r, &first, 0, lines, lines == 1 ? MR_BROKEN_NUL : MR_BROKEN_QUOTE);
        enum mr_tokens_state state = mr_tokens_line(r->tokens, r->buf + r->at + from, line.next - from);
        if (state == MR_TOKENS_OPEN && line.next == line.end)
            state = mr_tokens_end(r->tokens);
        if (state == MR_TOKENS_ROW || (state == MR_TOKENS_NONE && lines == 1))
            return finish_record(r, mark, &line, lines);
        if (state == MR_TOKENS_WRONG && lines == 1 && !r->layout.delimiter) {
            mr_tokens_reset(r->tokens); /* one column, and not quoted as a whole: a text that holds quotes */
            return plain_line(r, mark, &line);
        }
        if (state == MR_TOKENS_NOMEM) {
            *status = MR_E_IO;
            return false;
        }
        if (lines == 1)
            whole_cells = mr_tokens_count(r->tokens);
        if (state == MR_TOKENS_WRONG || lines >= r->patience || (lines > 1 && looks_like_row(r, from, line.end)))
            return give_up(r, &first, whole_cells, lines, MR_BROKEN_QUOTE);
        from = line.next;
        line = find_line(r, from, MR_LINE_MAX);
        if (line.is_long)
            return give_up(r, &first, whole_cells, lines, MR_BROKEN_QUOTE);
    }
}

/* The record at `at`. Where records are only counted, a whole line without a quote needs no cells; whether the last
 * line is cut shows in them. */
static bool next_record(struct record_reader *r, enum mr_status *status) {
    struct text_line line = find_line(r, 0, MR_LINE_MAX);
    if (line.is_long)
        return skip_long(r);
    const char *text = r->buf + r->at;
    bool blanks = r->layout.delimiter == MR_BLANKS, nul = memchr(text, 0, line.end) != NULL;
    if (r->layout.count_only && line.next > line.end && !nul && (blanks || !memchr(text, '"', line.end))) {
        if (!blanks)
            regain_patience(r);
        pass_line(r, &line);
        r->tally->records++;
        r->line++;
        return true;
    }
    size_t mark = is_mark(text, line.end) ? 3 : 0;
    if (blanks && !nul)
        return plain_line(r, mark, &line);
    return csv_record(r, line, mark, status);
}

enum mr_status mr_records_run(struct mr_arena *scratch, struct mr_bytes *bytes, enum mr_encoding encoding,
                              const struct mr_layout *layout, mr_row_fn fn, void *ctx, struct mr_tally *out) {
    *out = (struct mr_tally){0};
    struct record_reader r = {
        .arena = scratch, .bytes = bytes, .layout = *layout, .tally = out, .fn = fn, .ctx = ctx, .line = 1};
    r.patience = MR_RECORD_LINES;
    mr_tables_begin(&r.tables, layout);
    r.decoder.encoding = encoding;
    r.chunk = bytes->size < bytes->chunk ? (size_t)bytes->size + 1 : bytes->chunk;
    if (encoding != MR_ENC_UTF8)
        r.raw = mr_alloc(scratch, r.chunk, 1);
    r.tokens = mr_tokens_new(scratch, layout->delimiter == MR_BLANKS ? '\0' : layout->delimiter);
    enum mr_status status = MR_OK;
    refill(&r);
    while (!(r.eof && r.at == r.end)) {
        if (r.at == r.end)
            refill(&r);
        else if (!next_record(&r, &status))
            break;
    }
    mr_tokens_free(r.tokens);
    out->bad_characters = r.decoder.bad;
    out->error = bytes->error;
    return bytes->error ? MR_E_IO : status;
}
