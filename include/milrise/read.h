/*
 * read.h - stage 1: a job folder's files become tables of text cells, each cell with its line and column.
 *
 * This stage knows bytes, encodings, delimiters, quotes, lines, preambles and headers. It does not know what a
 * column means: that is normalise's business. Rows are streamed, never all kept: a file of any size, or a single
 * line of any length, needs bounded memory (longer than MR_LINE_MAX is a broken row).
 *
 * Calling order: mr_job_load (job.h), mr_read_folder, then for each source mr_read_rows as often as needed.
 */
#ifndef MILRISE_READ_H
#define MILRISE_READ_H

#include "milrise/job.h"

#define MR_LINE_MAX (1U << 20) /* bytes of one record after decoding; a longer one is set aside */
#define MR_BLANKS ' '          /* as delimiter: runs of blanks and tabs, of any length, and no quotes */

enum mr_encoding { MR_ENC_UTF8, MR_ENC_UTF16LE, MR_ENC_UTF16BE, MR_ENC_CP1252, MR_ENC_LATIN1, MR_ENC_BINARY };
const char *mr_encoding_text(enum mr_encoding encoding); /* "UTF-8", "UTF-16LE", ... "binary" */

struct mr_pair { /* a preamble line `name: value` */
    const char *name, *value;
    struct mr_place place;
};

struct mr_head {      /* one column's header */
    const char *text; /* as written, UTF-8, trimmed; "" where the file has no header */
    const char *name; /* without its unit */
    const char *unit; /* unit text found in brackets, after a comma, or in a units row; "" = none */
};

/* By which a later reading notices that the file is no longer the one that was described. */
struct mr_stamp {
    uint64_t device, inode;
    int64_t changed_s, changed_ns;
};

/* One file, as far as its shape goes. Everything is set by mr_read_folder / mr_read_source / mr_read_memory. */
struct mr_source {
    const char *path;      /* relative to the job folder with '/', or as given */
    const char *full_path; /* to open it; NULL for memory */
    const char *data;      /* for memory sources only */
    uint64_t size;         /* bytes */
    char sha256[65];       /* of the file's bytes, lower-case hex */
    const char *outside;   /* where it lies, if a link led out of the job folder when it was opened; else NULL */
    bool readable;         /* false: could not be opened or read; a diagnostic says why */
    enum mr_encoding encoding;
    bool bom;
    const char *encoding_why; /* how the encoding was told, a clause */
    char delimiter;           /* ',', ';', '\t', '|', MR_BLANKS or 0 where one column */
    char decimal;             /* '.' or ',' where the shape or the job file settles it for the file, else 0 */
    const char *line_ends;    /* "LF", "CRLF", "CR", "mixed", "none" */
    bool grew;                /* while it was read: bytes beyond size are not read */
    bool ends_in_mid_line;    /* the last line has no line end */
    uint64_t bad_bytes;       /* bytes or code units that are no text in this encoding */
    int last_decimals; /* decimals of the last column's numbers where all agree, else -1: tells a cut last line */
    int last_digits;   /* least digits of those numbers, 0 = not known */
    uint64_t rows;     /* records of the file, blank lines included: rows_read */
    uint32_t first_body_line;
    uint32_t header_line, units_line; /* 0 = none */
    uint32_t above_first, above_last; /* lines of rows of another table above the header; 0 = none */
    size_t n_columns;
    const struct mr_head *columns; /* shape: n_columns */
    MR_VEC(struct mr_pair) preamble;
    MR_VEC(struct mr_pair) titles; /* lines above the table that are no pair; name is "" */
    MR_VEC(struct mr_pair)
    between;           /* lines of words among the rows, with rows below them: a title has the name "".
                          Set by mr_read_split */
    const char *piece; /* one table of several: its text, UTF-8; NULL = the whole file */
    uint64_t piece_size;
    uint32_t line_base;              /* lines of the file above the piece */
    unsigned piece_no;               /* 1, 2 ... ; 0 = the whole file */
    const struct mr_file_rule *rule; /* merged [file] rules that match, or NULL */
    struct mr_stamp stamp;           /* files only */
    const struct mr_arena *arena;    /* where it lives; its handler serves mr_read_rows too */
};

enum mr_row_part {
    MR_ROW_PREAMBLE, /* before the header: name: value lines, titles, comments; # comment lines below it too */
    MR_ROW_HEADER,   /* column names or units */
    MR_ROW_BODY,
    MR_ROW_BLANK,
    MR_ROW_OTHER,  /* of another table in the same file, above the header or below one of other columns */
    MR_ROW_BROKEN, /* see broken */
};

enum mr_broken { MR_BROKEN_NO, MR_BROKEN_QUOTE, MR_BROKEN_LONG, MR_BROKEN_BYTES, MR_BROKEN_NUL, MR_BROKEN_HALF };

struct mr_cell {
    const char *p; /* UTF-8, trimmed, not NUL-terminated; valid during the call */
    uint32_t n;
    bool quoted;
};

struct mr_row {
    enum mr_row_part part;
    enum mr_broken broken;
    uint32_t line, line_end; /* physical lines, from 1 */
    size_t n;                /* cells; may differ from n_columns (ragged) */
    const struct mr_cell *cell;
};

/* Returns false to stop. */
typedef bool (*mr_row_fn)(void *ctx, const struct mr_row *row);

struct mr_sources {
    const struct mr_job *job;
    MR_VEC(struct mr_source) list; /* sorted by path, byte order */
};

/** mr_read_folder - every file of the job folder but job.milrise, reports/, columns/, rules/, hidden files and those
 *  the job ignores. Unreadable and binary files are listed too. Symbolic links to folders are not followed.
 *  Returns: MR_OK; MR_E_IO where the folder itself cannot be read. */
enum mr_status mr_read_folder(struct mr_arena *arena, const struct mr_job *job, struct mr_diags *diags,
                              struct mr_sources *out) MR_MUST_USE;

/** mr_read_source - one file. Returns: MR_OK (also for binary files; see encoding); MR_E_IO, out->readable false. */
enum mr_status mr_read_source(struct mr_arena *arena, const struct mr_job *job, const char *full_path,
                              const char *path, struct mr_diags *diags, struct mr_source *out) MR_MUST_USE;

/** mr_read_memory - as mr_read_source from n bytes that outlive the source. */
enum mr_status mr_read_memory(struct mr_arena *arena, const struct mr_job *job, const char *path, const char *data,
                              size_t n, struct mr_diags *diags, struct mr_source *out) MR_MUST_USE;

/** mr_read_split - append the source to the list; where the file is small and holds several tables, one source for
 *  each of them, whose paths from the second on end in "(table 2)" and whose rows together are the file's. */
void mr_read_split(struct mr_arena *arena, const struct mr_job *job, const struct mr_source *source,
                   struct mr_sources *out);

/** mr_read_rows - every record in order, each exactly once: the calls number source->rows.
 *  Returns: MR_OK, also where fn stopped; MR_E_IO where the file changed or failed since it was described. */
enum mr_status mr_read_rows(const struct mr_source *source, mr_row_fn fn, void *ctx) MR_MUST_USE;

/** mr_read_dump - the stage as stable text. */
char *mr_read_dump(struct mr_arena *arena, const struct mr_sources *sources);

#endif
