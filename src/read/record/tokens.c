#include "read/record/tokens.h"

#include "read/record/trim.h"

#include <csv.h>
#include <string.h>

struct mr_tokens {
    struct csv_parser parser;
    struct mr_arena *arena;
    char delimiter;
    bool row;             /* the record is whole */
    MR_VEC(char) text;    /* of the cells, end to end */
    MR_VEC(size_t) start; /* of each cell in text */
    MR_VEC(struct mr_cell) cell;
};

enum { STRICT = CSV_STRICT | CSV_STRICT_FINI };

struct mr_tokens *mr_tokens_new(struct mr_arena *arena, char delimiter) {
    struct mr_tokens *tokens = MR_NEW(arena, struct mr_tokens);
    tokens->arena = arena;
    tokens->delimiter = delimiter;
    csv_init(&tokens->parser, STRICT);
    csv_set_blk_size(&tokens->parser, 1 << 14); /* its 128 bytes at a time move a long cell thousands of times */
    csv_set_delim(&tokens->parser, (unsigned char)delimiter); /* NUL never comes, so it divides nothing */
    return tokens;
}

void mr_tokens_free(struct mr_tokens *tokens) {
    csv_free(&tokens->parser);
}

void mr_tokens_reset(struct mr_tokens *tokens) {
    /* In strict mode csv_fini leaves an open quote as it is; with callbacks it would still deliver the broken row. */
    csv_set_opts(&tokens->parser, 0);
    csv_fini(&tokens->parser, NULL, NULL, NULL);
    csv_set_opts(&tokens->parser, STRICT);
    tokens->row = false;
    tokens->text.n = tokens->start.n = tokens->cell.n = 0;
}

static void on_cell(void *text, size_t n, void *ctx) {
    struct mr_tokens *tokens = ctx;
    size_t had = tokens->text.n;
    MR_PUSH(tokens->arena, &tokens->start, had);
    while (tokens->text.cap < had + n)
        tokens->text.v = mr_vec_room(tokens->arena, tokens->text.v, &tokens->text.cap, 1);
    if (n)
        memcpy(tokens->text.v + had, text, n);
    tokens->text.n = had + n;
}

static void on_row(int end, void *ctx) {
    (void)end;
    ((struct mr_tokens *)ctx)->row = true;
}

/* An open quoted cell is told from the parser's own state, which its header publishes. */
enum mr_tokens_state mr_tokens_line(struct mr_tokens *tokens, const char *p, size_t n) {
    struct csv_parser *parser = &tokens->parser;
    size_t at = 0;
    while ((at += csv_parse(parser, p + at, n - at, on_cell, on_row, tokens)) < n) {
        if (csv_error(parser) != CSV_EPARSE)
            return MR_TOKENS_NOMEM;
        if (parser->quoted)
            return MR_TOKENS_WRONG;
        csv_set_opts(parser, 0); /* the quote at `at` stands in an unquoted cell: text */
        size_t one = csv_parse(parser, p + at, 1, on_cell, on_row, tokens);
        csv_set_opts(parser, STRICT);
        if (one != 1)
            return MR_TOKENS_NOMEM;
        at++;
    }
    if (tokens->row)
        return MR_TOKENS_ROW;
    bool ended = n && (p[n - 1] == '\n' || p[n - 1] == '\r');
    return ended && !parser->quoted ? MR_TOKENS_NONE : MR_TOKENS_OPEN;
}

enum mr_tokens_state mr_tokens_end(struct mr_tokens *tokens) {
    if (csv_fini(&tokens->parser, on_cell, on_row, tokens) != 0)
        return MR_TOKENS_WRONG;
    return tokens->row ? MR_TOKENS_ROW : MR_TOKENS_NONE;
}

size_t mr_tokens_count(const struct mr_tokens *tokens) {
    return tokens->start.n;
}

/* Steps over one cell of a text that libcsv accepted. Returns: the place behind its delimiter; *quoted. */
static const char *step(const char *p, const char *end, char delimiter, bool *quoted) {
    while (p < end && (*p == ' ' || *p == '\t') && *p != delimiter)
        p++;
    *quoted = p < end && *p == '"';
    if (*quoted) {
        for (p++; p < end; p++) {
            if (*p == '"' && !(p + 1 < end && p[1] == '"'))
                break;
            p += *p == '"';
        }
    }
    while (p < end && *p != delimiter)
        p++;
    return p < end ? p + 1 : end;
}

struct mr_cell *mr_tokens_cells(struct mr_tokens *tokens, const char *raw, size_t raw_n) {
    const char *p = raw, *end = raw + raw_n;
    tokens->cell.n = 0;
    for (size_t i = 0; i < tokens->start.n; i++) {
        size_t from = tokens->start.v[i], to = i + 1 < tokens->start.n ? tokens->start.v[i + 1] : tokens->text.n;
        struct mr_cell cell = {0};
        p = step(p, end, tokens->delimiter, &cell.quoted);
        mr_trim(&cell, to > from ? tokens->text.v + from : "", to - from);
        MR_PUSH(tokens->arena, &tokens->cell, cell);
    }
    return tokens->cell.v;
}
