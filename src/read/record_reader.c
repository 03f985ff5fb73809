#include "read/record_reader.h"

#include "read/decode.h"
#include "read/scan.h"
#include "read/tables.h"
#include "read/tokens.h"
#include "read/trim.h"

#include <string.h>

struct record_reader {
    struct mr_arena *arena;
    struct mr_bytes *bytes;
    struct mr_decoder decoder;
    struct mr_layout layout;
    struct mr_tables tables;
    struct mr_tally *tally;
    struct mr_tokens *tokens; /* made for the first quote */
    mr_row_fn fn;
    void *ctx;
    char *raw;    /* one chunk before decoding; NULL for UTF-8 */
    char *buf;    /* decoded text; [at, end) is not consumed yet */
    size_t chunk; /* bytes per read: no more than there are */
    size_t cap, at, end;
    bool eof;
    bool blanks;       /* runs of blanks divide */
    bool after_cr;     /* the byte before at is a CR that ended a line: an LF here belongs to it */
    uint32_t line;     /* of at */
    uint32_t patience; /* lines that an open quote may take in */
    MR_VEC(struct mr_cell) cells;
};

enum step { STEP_MORE, STEP_QUOTE, STEP_LONG, STEP_STOP };

/* Makes room and appends the next chunk. The consumed part is dropped, so offsets from at stay true. */
static void refill(struct record_reader *r) {
    size_t want = r->raw ? MR_DECODED_MAX(r->chunk) : r->chunk, kept = r->end - r->at;
    if (r->at) {
        memmove(r->buf, r->buf + r->at, kept);
        r->at = 0;
        r->end = kept;
    }
    if (r->end + want + MR_SCAN_PAD > r->cap) {
        size_t cap = 2 * (r->end + want + MR_SCAN_PAD);
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
    memset(r->buf + r->end, 0, MR_SCAN_PAD);
}

static bool is_mark(const char *p, size_t n) { /* byte-order mark: at the start, or where exports were joined */
    return n >= 3 && p[0] == (char)0xef && p[1] == (char)0xbb && p[2] == (char)0xbf;
}

static inline void add_cell(struct record_reader *r, const char *p, size_t n) {
    struct mr_cell cell = {0};
    mr_trim(&cell, p, n);
    MR_PUSH(r->arena, &r->cells, cell);
}

/* The cells of a line that runs of blanks divide. Exports that put a byte-order mark before the blanks mean no cell.
 */
static void add_parts(struct record_reader *r, const char *p, size_t n) {
    const char *end = p + n;
    p += is_mark(p, n) ? 3 : 0;
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

static inline void add_last(struct record_reader *r, const char *p, size_t n) {
    if (r->blanks)
        add_parts(r, p, n);
    else
        add_cell(r, p, n);
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

/* The text ended in mid-line: the cells are what is left of [at, end) and those cut before. */
static bool emit_last(struct record_reader *r, size_t cell) {
    if (r->at == r->end)
        return true;
    add_last(r, r->buf + cell, r->end - cell);
    bool is_long = r->end - r->at > MR_LINE_MAX;
    if (is_long)
        r->cells.n = 0;
    bool cut = !is_long && r->cells.n && (r->cells.n > 1 || r->cells.v[0].n) &&
               mr_tables_cut(&r->tables, r->line, r->cells.v, r->cells.n);
    r->tally->ends_in_mid_line = true;
    r->at = r->end;
    return emit_cells(r, is_long ? MR_BROKEN_LONG : cut ? MR_BROKEN_HALF : MR_BROKEN_NO);
}

/* A line ends at i. Returns false where the callback stopped. */
static inline bool end_line(struct record_reader *r, size_t cell, size_t i) {
    enum mr_broken broken = MR_BROKEN_NO;
    bool is_long = i - r->at > MR_LINE_MAX;
    r->after_cr = r->buf[i] == '\r';
    *(r->after_cr ? &r->tally->cr : &r->tally->lf) += 1;
    r->at = i + 1;
    if (r->layout.count_only && !is_long) {
        r->tally->records++;
        r->line++;
        return true;
    }
    if (is_long) {
        r->cells.n = 0;
        broken = MR_BROKEN_LONG;
    } else {
        add_last(r, r->buf + cell, i - cell);
    }
    bool go_on = emit_cells(r, broken);
    r->cells.n = 0;
    return go_on;
}

/* The way for lines without quotes. Leaves at where the first unfinished line begins. */
static enum step scan_lines(struct record_reader *r) {
    const char delimiter = r->layout.count_only || r->blanks ? '\0' : r->layout.delimiter;
    size_t cell = r->at;
    r->cells.n = 0;
    for (size_t base = r->at; base < r->end; base += 64) {
        uint64_t marks = mr_scan64(r->buf + base, delimiter ? delimiter : '\n');
        if (r->end - base < 64)
            marks &= ((uint64_t)1 << (r->end - base)) - 1;
        for (; marks; marks &= marks - 1) {
            size_t i = base + mr_scan_first(marks);
            char c = r->buf[i];
            if (c == delimiter && c) {
                add_cell(r, r->buf + cell, i - cell);
                cell = i + 1;
            } else if (c == '\n' && r->after_cr && i == r->at) { /* the second half of a CRLF */
                r->tally->cr--;
                r->tally->crlf++;
                r->after_cr = false;
                r->at = cell = i + 1;
            } else if (c == '\n' || c == '\r') {
                if (!end_line(r, cell, i))
                    return STEP_STOP;
                cell = r->at;
            } else if ((c == '"' && !r->blanks) || c == '\0') {
                return STEP_QUOTE;
            }
        }
    }
    if (r->eof && r->layout.count_only && r->at < r->end) { /* whether the last line is cut shows in its cells */
        r->layout.count_only = false;
        return scan_lines(r);
    }
    if (r->eof)
        return emit_last(r, cell) ? STEP_MORE : STEP_STOP;
    return r->end - r->at > MR_LINE_MAX ? STEP_LONG : STEP_MORE;
}

struct text_line { /* a physical line, offsets from at */
    size_t end;    /* of its text */
    size_t next;   /* behind its line end; equal to end where the text ends first */
    bool is_long;
};

/* The line that begins at offset from; its text may reach up to most. */
static struct text_line find_line(struct record_reader *r, size_t from, size_t most) {
    for (size_t base = from;; base += 64) {
        while (r->at + base + 64 > r->end && !r->eof)
            refill(r);
        size_t left = r->at + base < r->end ? r->end - r->at - base : 0;
        uint64_t marks = left ? mr_scan64(r->buf + r->at + base, '\n') : 0;
        if (left < 64)
            marks &= ((uint64_t)1 << left) - 1;
        for (; marks; marks &= marks - 1) {
            size_t i = base + mr_scan_first(marks);
            char c = r->buf[r->at + i];
            if (c != '\n' && c != '\r')
                continue;
            if (i > most)
                return (struct text_line){.is_long = true};
            while (c == '\r' && r->at + i + 1 == r->end && !r->eof)
                refill(r);
            bool pair = c == '\r' && r->at + i + 1 < r->end && r->buf[r->at + i + 1] == '\n';
            return (struct text_line){.end = i, .next = i + 1 + pair};
        }
        if (base + (left < 64 ? left : 64) > most)
            return (struct text_line){.is_long = true};
        if (left < 64)
            return (struct text_line){.end = base + left, .next = base + left};
    }
}

/* Consumes a line of the slow way. */
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
    r->after_cr = false;
}

/* A line too long for a record: passed over up to its line end, whatever its length, without keeping it. */
static enum step skip_long(struct record_reader *r) {
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
    return emit_cells(r, MR_BROKEN_LONG) ? STEP_MORE : STEP_STOP;
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
static enum step give_up(struct record_reader *r, const struct text_line *first, size_t whole_cells, uint32_t lines,
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
    return go_on ? STEP_MORE : STEP_STOP;
}

static enum step finish_record(struct record_reader *r, size_t mark, const struct text_line *last, uint32_t lines) {
    struct mr_row row = {.n = mr_tokens_count(r->tokens)};
    struct mr_cell *cell = mr_tokens_cells(r->tokens, r->buf + r->at + mark, last->end - mark);
    if (last->next == last->end && mr_tables_cut(&r->tables, r->line, cell, row.n))
        row.broken = MR_BROKEN_HALF;
    r->patience = r->patience < MR_RECORD_LINES / 2 ? r->patience * 2 : MR_RECORD_LINES;
    pass_line(r, last);
    bool go_on = emit(r, &row, cell, lines);
    mr_tokens_reset(r->tokens);
    return go_on ? STEP_MORE : STEP_STOP;
}

/* A file of one column divides nothing, so a line that is not quoted as a whole is a text that holds quotes. */
static enum step plain_line(struct record_reader *r, size_t mark, const struct text_line *line) {
    r->cells.n = 0;
    add_cell(r, r->buf + r->at + mark, line->end - mark);
    bool cut = line->next == line->end && mr_tables_cut(&r->tables, r->line, r->cells.v, 1);
    pass_line(r, line);
    bool go_on = emit_cells(r, cut ? MR_BROKEN_HALF : MR_BROKEN_NO);
    mr_tokens_reset(r->tokens);
    return go_on ? STEP_MORE : STEP_STOP;
}

/* The way for a line with a quote (or a NUL) at `at`, and for the lines its quote takes in. */
static enum step quoted_record(struct record_reader *r, enum mr_status *status) {
    if (!r->tokens)
        r->tokens = mr_tokens_new(r->arena, r->layout.delimiter);
    struct text_line first = find_line(r, 0, MR_LINE_MAX), line = first;
    if (first.is_long)
        return STEP_LONG;
    size_t mark = is_mark(r->buf + r->at, first.end) ? 3 : 0, from = mark, whole_cells = 0;
    for (uint32_t lines = 1;; lines++) {
        bool nul = memchr(r->buf + r->at + from, 0, line.end - from) != NULL;
        if (nul)
            return give_up(r, &first, 0, lines, lines == 1 ? MR_BROKEN_NUL : MR_BROKEN_QUOTE);
        enum mr_tokens_state state = mr_tokens_line(r->tokens, r->buf + r->at + from, line.next - from);
        if (state == MR_TOKENS_OPEN && line.next == line.end)
            state = mr_tokens_end(r->tokens);
        if (state == MR_TOKENS_ROW)
            return finish_record(r, mark, &line, lines);
        if (state == MR_TOKENS_WRONG && lines == 1 && !r->layout.delimiter)
            return plain_line(r, mark, &line);
        if (state == MR_TOKENS_NOMEM) {
            *status = MR_E_IO;
            return STEP_STOP;
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

static enum mr_status run(struct record_reader *r) {
    enum mr_status status = MR_OK;
    enum step step = STEP_MORE;
    while (step != STEP_STOP && !(r->eof && r->at == r->end)) {
        if (step == STEP_MORE) {
            if (!r->eof)
                refill(r);
            step = scan_lines(r);
        }
        while (step == STEP_QUOTE || step == STEP_LONG) {
            step = step == STEP_QUOTE ? quoted_record(r, &status) : skip_long(r);
            if (step == STEP_MORE)
                step = scan_lines(r);
        }
    }
    return status;
}

enum mr_status mr_records_run(struct mr_arena *scratch, struct mr_bytes *bytes, enum mr_encoding encoding,
                              const struct mr_layout *layout, mr_row_fn fn, void *ctx, struct mr_tally *out) {
    *out = (struct mr_tally){0};
    struct record_reader r = {
        .arena = scratch, .bytes = bytes, .layout = *layout, .tally = out, .fn = fn, .ctx = ctx, .line = 1};
    r.patience = MR_RECORD_LINES;
    r.blanks = layout->delimiter == MR_BLANKS;
    mr_tables_begin(&r.tables, layout);
    r.decoder.encoding = encoding;
    r.chunk = bytes->size < bytes->chunk ? (size_t)bytes->size + 1 : bytes->chunk;
    if (encoding != MR_ENC_UTF8)
        r.raw = mr_alloc(scratch, r.chunk, 1);
    enum mr_status status = run(&r);
    if (r.tokens)
        mr_tokens_free(r.tokens);
    out->bad_characters = r.decoder.bad;
    out->error = bytes->error;
    return bytes->error ? MR_E_IO : status;
}
