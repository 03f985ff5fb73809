/*
 * tokens.h - libcsv. tokens.c alone includes its header.
 *
 * Fed one physical line at a time, so that line numbers are ours and right; strict, so that an unclosed quote is an
 * error and not a cell that swallows the file. One thing libcsv's strict mode refuses is taken as text here: a quote
 * inside a cell that did not begin with one, for the trade writes inches so (3/4" plate), and no other reading of it
 * exists.
 */
#ifndef MILRISE_READ_TOKENS_H
#define MILRISE_READ_TOKENS_H

#include "milrise/read.h"

enum mr_tokens_state {
    MR_TOKENS_OPEN,  /* the record goes on: a quote is open */
    MR_TOKENS_ROW,   /* the record is whole */
    MR_TOKENS_NONE,  /* a line of blanks, or of nothing */
    MR_TOKENS_WRONG, /* a quoted cell is followed by something else than a delimiter */
    MR_TOKENS_NOMEM,
};

struct mr_tokens;

/** mr_tokens_new - delimiter 0: one column. Lives in arena but holds library memory: end it with mr_tokens_free. */
struct mr_tokens *mr_tokens_new(struct mr_arena *arena, char delimiter);
void mr_tokens_free(struct mr_tokens *tokens);

/** mr_tokens_reset - forget the record begun. */
void mr_tokens_reset(struct mr_tokens *tokens);

/** mr_tokens_line - n bytes: a physical line with its line end, without NULs. */
enum mr_tokens_state mr_tokens_line(struct mr_tokens *tokens, const char *p, size_t n);

/** mr_tokens_end - the text ends here. */
enum mr_tokens_state mr_tokens_end(struct mr_tokens *tokens);

/** mr_tokens_count - whole cells of the record so far. */
size_t mr_tokens_count(const struct mr_tokens *tokens);

/** mr_tokens_cells - the whole cells so far, trimmed; raw: the bytes that were fed. Valid until the next line. */
struct mr_cell *mr_tokens_cells(struct mr_tokens *tokens, const char *raw, size_t raw_n);

#endif
