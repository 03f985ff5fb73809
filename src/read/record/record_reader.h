/*
 * record_reader.h - bytes become records: physical lines, their cells, and what is broken, in one streaming pass.
 *
 * A line goes to libcsv (tokens.h), and so do the lines after it while a quote stays open. Only where runs of blanks
 * divide, which libcsv does not know, the line is cut here: fixed columns know no quotes, so a quote is text.
 *
 * An unclosed quote must not swallow the file. A record is given up where libcsv refuses it, at the end of the text,
 * where it is longer than MR_LINE_MAX or MR_RECORD_LINES, or where a line inside the quote has just the number of
 * cells of the table (of three or more). Then its first physical line alone is the broken record, and reading goes on
 * with the second. That stays linear. A line that leaves a quote open holds a run of quotes of odd length, and the
 * next line with such a run closes that quote, unless it opens another at once; so as a rule a line is looked at
 * twice. Against texts made to defeat the rule, the number of lines that an open quote may take in is halved with
 * each record given up, down to a few.
 *
 * Memory: one buffer that holds the record being read, at most MR_LINE_MAX bytes and a chunk, and its cells.
 */
#ifndef MILRISE_READ_RECORD_READER_H
#define MILRISE_READ_RECORD_READER_H

#include "read/bytes/bytes.h"

#define MR_RECORD_LINES 256 /* physical lines of one record: far beyond any note in a cell (project decision) */
#define MR_RECORD_LINES_LEAST 8

/* What the shape of the file says about its records. Zeroed: one column, no header. */
struct mr_layout {
    char delimiter;                   /* 0 = one column */
    size_t n_columns;                 /* 0 = not known */
    const struct mr_head *column;     /* their names; NULL = not known */
    uint32_t header_line;             /* first line of the header; 0 = none */
    uint32_t first_body_line;         /* 0 = not known: everything is body */
    uint32_t above_first, above_last; /* rows of another table above the header; 0 = none */
    int last_digits;                  /* least digits of a number in the last column, 0 = not known */
    int last_decimals;                /* decimals of the last column where all numbers agree, else -1 */
    bool check_bytes;                 /* look for bytes that are no text */
    bool count_only; /* count the records; fn is owed the broken ones only. Not together with check_bytes */
};

/* What a pass saw. */
struct mr_tally {
    uint64_t records;
    uint64_t lf, crlf, cr;
    uint64_t bad_characters; /* by the decoder; 0 for UTF-8 */
    bool ends_in_mid_line;
    bool stopped; /* the callback stopped it */
    int error;    /* errno of a failed read */
};

/** mr_records_run - the records of bytes, in order, each exactly once. scratch holds the buffers.
 *  Returns: MR_OK; MR_E_IO where reading failed or libcsv found no memory. */
enum mr_status mr_records_run(struct mr_arena *scratch, struct mr_bytes *bytes, enum mr_encoding encoding,
                              const struct mr_layout *layout, mr_row_fn fn, void *ctx,
                              struct mr_tally *out) MR_MUST_USE;

#endif
