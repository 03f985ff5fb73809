/*
 * source.c - one file: fingerprint, encoding, shape and number of records; then its rows, as often as asked.
 *
 * Two passes describe a file. The first takes the bytes: SHA-256, the evidence for the encoding, the head. The second
 * counts the records exactly as mr_read_rows will deliver them, and reports what is broken. Both read at most the
 * bytes that were there on opening, so a log that is still growing is read as it was; where it has changed before its
 * rows are read, the fingerprint of those same bytes decides whether they are still the ones described.
 */
#include "read/source/source.h"
#include "read/bytes/links.h"

#include "read/bytes/decode.h"
#include "read/bytes/encoding.h"
#include "read/job/job_lookup.h"
#include "read/record/record_reader.h"
#include "read/shape/shape.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>

enum { TOLD_MAX = 20 }; /* diagnostics of one sort and file; the rest is counted */

struct describer {
    struct mr_arena *arena, *scratch;
    struct mr_diags *diags;
    struct mr_source *source;
    const char *dir; /* of the job */
    size_t chunk;
    uint64_t broken[MR_BROKEN_HALF + 1];
};

const char *mr_broken_word(enum mr_broken broken) {
    static const char *const words[] = {"no", "quote", "long", "bytes", "nul", "half"};
    return words[broken];
}

const char *mr_row_part_word(enum mr_row_part part) {
    static const char *const words[] = {"preamble", "header", "body", "blank", "other table", "broken"};
    return words[part];
}

static bool open_source(const struct mr_source *source, size_t chunk, struct mr_bytes *out, struct mr_stamp *stamp) {

    if (source->full_path)
        return mr_bytes_open(out, source->full_path, chunk, stamp);
    mr_bytes_memory(out, source->data, source->size, chunk);
    return true;
}

static enum mr_status unreadable(struct describer *d, int error) {
    struct mr_place place = {.file = d->source->path};
    const char *why = error == EINVAL ? "it is a folder, a pipe or a device" : strerrordesc_np(error);
    d->source->readable = false;
    mr_diag_add(d->diags, MR_ERROR, "unreadable", place, NULL,
                "Make the file readable, or take it out of the folder.", "cannot be read: %s",
                why ? why : "unknown error");
    return MR_E_IO;
}

/* First pass. Returns false where reading failed. */
static bool take_bytes(struct describer *d, struct mr_bytes *bytes, struct mr_byte_counts *counts, char *head,
                       size_t room, size_t *head_n) {
    size_t got,
        most = bytes->size < d->chunk ? (size_t)bytes->size : d->chunk; /* small files are many: small buffers */
    char *chunk = mr_alloc(d->scratch, most, 1);
    *head_n = 0;
    bytes->sha = mr_sha256_new();
    while ((got = mr_bytes_next(bytes, chunk, most)) > 0) {
        mr_count_bytes(counts, chunk, got);
        size_t take = room - *head_n < got ? room - *head_n : got;
        memcpy(head + *head_n, chunk, take);
        *head_n += take;
    }
    mr_sha256_end(bytes->sha, d->source->sha256);
    bytes->sha = NULL;
    d->source->size = bytes->at;
    return !bytes->error;
}

/* The head as UTF-8, without byte-order mark, cut behind its last line end unless it is the whole file. */
static char *decode_head(struct describer *d, char *head, size_t head_n, size_t *out_n) {
    bool whole = head_n == d->source->size;
    struct mr_decoder decoder = {.encoding = d->source->encoding};
    char *text = head;
    size_t n = head_n;
    if (decoder.encoding != MR_ENC_UTF8) {
        text = mr_alloc(d->scratch, MR_DECODED_MAX(head_n), 1);
        n = mr_decode(&decoder, head, head_n, text);
        n += whole ? mr_decode_end(&decoder, text + n) : 0;
    }
    size_t cut = n;
    while (!whole && cut && text[cut - 1] != '\n' && text[cut - 1] != '\r')
        cut--;
    if (cut)
        n = cut;
    bool mark = n >= 3 && memcmp(text, "\xEF\xBB\xBF", 3) == 0;
    *out_n = n - (mark ? 3 : 0);
    return text + (mark ? 3 : 0);
}

static void tell_broken(struct describer *d, const struct mr_row *row) {
    static const struct {
        const char *id, *what, *mend;
    } texts[] = {
        [MR_BROKEN_QUOTE] = {"unclosed-quote", "a quote opens here and is not closed properly; the line is set aside",
                             "Close the quote; double any quote inside a quoted cell."},
        [MR_BROKEN_LONG] = {"too-long", "the line is too long for a line of a table; it is set aside",
                            "Check whether the file is a table."},
        [MR_BROKEN_BYTES] = {"bad-bytes", "the line holds bytes that are not text in this encoding; it is set aside",
                             "State the encoding in the job file, or export the file again."},
        [MR_BROKEN_NUL] = {"nul-bytes",
                           "the line holds NUL bytes, as a logger leaves when it loses power; it is set aside",
                           "Compare the line with the instrument's memory."},
        [MR_BROKEN_HALF] = {"half-line", "the file ends in the middle of this line; it is set aside",
                            "Copy the file again once the instrument has finished writing it."},
    };
    if (row->broken == MR_BROKEN_NO || ++d->broken[row->broken] > TOLD_MAX)
        return;
    struct mr_place place = {.file = d->source->path, .line = row->line};
    if (row->broken == MR_BROKEN_QUOTE)
        place.column = (uint32_t)row->n + 1;
    mr_diag_add(d->diags, MR_ERROR, texts[row->broken].id, place, NULL, texts[row->broken].mend, "%s",
                texts[row->broken].what);
}

static bool count_row(void *ctx, const struct mr_row *row) {
    tell_broken(ctx, row);
    return true;
}

static struct mr_layout layout_of(const struct mr_source *source) {
    uint32_t base = source->line_base;
    return (struct mr_layout){.delimiter = source->delimiter,
                              .n_columns = source->n_columns,
                              .column = source->columns,
                              .above_first = source->above_first ? source->above_first - base : 0,
                              .above_last = source->above_last ? source->above_last - base : 0,
                              .header_line = source->header_line ? source->header_line - base : 0,
                              .first_body_line = source->first_body_line ? source->first_body_line - base : 0,
                              .last_decimals = source->last_decimals,
                              .last_digits = source->last_digits,
                              .check_bytes = source->bad_bytes > 0};
}

static const char *line_ends_of(const struct mr_tally *tally) {
    int kinds = (tally->lf > 0) + (tally->crlf > 0) + (tally->cr > 0);
    return kinds > 1 ? "mixed" : tally->lf ? "LF" : tally->crlf ? "CRLF" : tally->cr ? "CR" : "none";
}

/* Second pass. */
static enum mr_status count_records(struct describer *d) {
    struct mr_source *source = d->source;
    struct mr_bytes bytes;
    struct mr_tally tally;
    struct mr_layout layout = layout_of(source);
    layout.check_bytes = layout.check_bytes || source->encoding != MR_ENC_UTF8;
    layout.count_only = !layout.check_bytes;
    if (!open_source(source, d->chunk, &bytes, NULL))
        return unreadable(d, bytes.error);
    if (bytes.size > source->size)
        bytes.size = source->size;
    enum mr_status status = mr_records_run(d->scratch, &bytes, source->encoding, &layout, count_row, d, &tally);
    mr_bytes_close(&bytes);
    if (status != MR_OK || bytes.at != source->size)
        return unreadable(d, bytes.error ? bytes.error : EIO);
    source->rows = tally.records;
    source->line_ends = line_ends_of(&tally);
    source->ends_in_mid_line = tally.ends_in_mid_line;
    if (source->encoding != MR_ENC_UTF8)
        source->bad_bytes = tally.bad_characters;
    for (size_t i = 0; i < MR_COUNT(d->broken); i++)
        if (d->broken[i] > TOLD_MAX)
            mr_diag_add(d->diags, MR_ERROR, "more", (struct mr_place){.file = source->path}, NULL, NULL,
                        "further lines with the same fault (%s): %llu", mr_broken_word((enum mr_broken)i),
                        (unsigned long long)(d->broken[i] - TOLD_MAX));
    if (tally.ends_in_mid_line && !d->broken[MR_BROKEN_HALF] && tally.records > 1)
        mr_diag_add(d->diags, MR_NOTE, "mid-line", (struct mr_place){.file = source->path}, NULL, NULL,
                    "the last line has no line ending; it looks complete and is used");
    return MR_OK;
}

/* A log that is still being written is read to where it stood, and said so. */
static void tell_growth(struct describer *d) {
    struct stat st;
    if (!d->source->full_path || stat(d->source->full_path, &st) != 0 || (uint64_t)st.st_size <= d->source->size)
        return;
    d->source->grew = true;
    mr_diag_add(d->diags, MR_WARNING, "grew", (struct mr_place){.file = d->source->path}, NULL,
                "Run milrise again once the file is complete.",
                "grew while it was being read; only the first %llu bytes are used",
                (unsigned long long)d->source->size);
}

static enum mr_status describe(struct describer *d) {
    struct mr_source *source = d->source;
    struct mr_bytes bytes;
    struct mr_byte_counts counts = {0};
    size_t head_n, text_n;
    if (!open_source(source, d->chunk, &bytes, &source->stamp))
        return unreadable(d, bytes.error);
    source->outside = mr_opened_outside(d->arena, d->dir, bytes.fd);
    size_t head_room = bytes.size < MR_HEAD_BYTES ? (size_t)bytes.size : MR_HEAD_BYTES;
    char *head = mr_alloc(d->scratch, head_room, 1);
    bool taken = take_bytes(d, &bytes, &counts, head, head_room, &head_n);
    mr_bytes_close(&bytes);
    if (!taken)
        return unreadable(d, bytes.error ? bytes.error : EIO);
    source->readable = true;
    mr_encoding_tell(d->arena, &counts, head, head_n, source->rule ? source->rule->encoding : "", source);
    if (source->encoding == MR_ENC_BINARY) {
        mr_diag_add(d->diags, MR_WARNING, "binary", (struct mr_place){.file = source->path}, NULL,
                    "Save the table as CSV, or take the file out of the folder.", "not a text table: %s",
                    source->encoding_why);
        return MR_OK;
    }
    char *text = decode_head(d, head, head_n, &text_n);
    mr_shape_tell(d->arena, d->scratch, text, text_n, source);
    const enum mr_status status = count_records(d);
    tell_growth(d);
    return status;
}

static enum mr_status describe_in(struct mr_arena *arena, const struct mr_job *job, size_t chunk,
                                  struct mr_diags *diags, struct mr_source *out) {
    out->arena = arena;
    out->encoding_why = "";
    out->line_ends = "none";
    out->last_decimals = -1;
    out->rule = mr_file_rule_for(arena, job, out->path);
    struct describer d = {.arena = arena, .diags = diags, .source = out, .dir = job->dir, .chunk = chunk};
    d.scratch = mr_arena_like(arena);
    enum mr_status status = describe(&d);
    mr_arena_free(d.scratch);
    return status;
}

enum mr_status mr_read_memory_in(struct mr_arena *arena, const struct mr_job *job, const char *path, const char *data,
                                 size_t n, size_t chunk, struct mr_diags *diags, struct mr_source *out) {
    *out = (struct mr_source){.path = mr_strdup(arena, path), .data = data, .size = n};
    return describe_in(arena, job, chunk, diags, out);
}

static enum mr_status read_source_in(struct mr_arena *arena, const struct mr_job *job, const char *full_path,
                                     const char *path, size_t chunk, struct mr_diags *diags, struct mr_source *out) {
    *out = (struct mr_source){.path = mr_strdup(arena, path), .full_path = mr_strdup(arena, full_path)};
    return describe_in(arena, job, chunk, diags, out);
}

enum mr_status mr_read_memory(struct mr_arena *arena, const struct mr_job *job, const char *path, const char *data,
                              size_t n, struct mr_diags *diags, struct mr_source *out) {
    return mr_read_memory_in(arena, job, path, data, n, MR_CHUNK_BYTES, diags, out);
}

enum mr_status mr_read_source(struct mr_arena *arena, const struct mr_job *job, const char *full_path,
                              const char *path, struct mr_diags *diags, struct mr_source *out) {
    return read_source_in(arena, job, full_path, path, MR_CHUNK_BYTES, diags, out);
}

static bool same_stamp(const struct mr_stamp *a, const struct mr_stamp *b) {
    return a->device == b->device && a->inode == b->inode && a->changed_s == b->changed_s &&
           a->changed_ns == b->changed_ns;
}

/* Rows of a piece, under the numbers that their lines have in the file. */
struct piece_reader {
    mr_row_fn fn;
    void *ctx;
    uint32_t base;
};

static bool pass_row(void *ctx, const struct mr_row *row) {
    const struct piece_reader *r = ctx;
    struct mr_row moved = *row;
    moved.line += r->base;
    moved.line_end += moved.line_end ? r->base : 0;
    return r->fn(r->ctx, &moved);
}

static enum mr_status read_piece(const struct mr_source *source, size_t chunk, mr_row_fn fn, void *ctx) {
    struct piece_reader reader = {fn, ctx, source->line_base};
    struct mr_bytes bytes;
    struct mr_tally tally;
    struct mr_arena *scratch = mr_arena_like(source->arena);
    struct mr_layout layout = layout_of(source);
    mr_bytes_memory(&bytes, source->piece, source->piece_size, chunk);
    enum mr_status status = mr_records_run(scratch, &bytes, MR_ENC_UTF8, &layout, pass_row, &reader, &tally);
    mr_arena_free(scratch);
    return status;
}

enum mr_status mr_read_rows_in(const struct mr_source *source, size_t chunk, mr_row_fn fn, void *ctx) {
    struct mr_bytes bytes;
    struct mr_stamp stamp = {0};
    struct mr_tally tally;
    if (!source->readable)
        return MR_E_IO;
    if (source->encoding == MR_ENC_BINARY)
        return MR_OK;
    if (source->piece)
        return read_piece(source, chunk, fn, ctx);
    if (!open_source(source, chunk, &bytes, &stamp))
        return MR_E_IO;
    bool changed = source->full_path && (!same_stamp(&stamp, &source->stamp) || bytes.size != source->size);
    if (changed)
        bytes.sha = mr_sha256_new();
    if (bytes.size > source->size)
        bytes.size = source->size;
    struct mr_arena *scratch = mr_arena_like(source->arena);
    struct mr_layout layout = layout_of(source);
    enum mr_status status = mr_records_run(scratch, &bytes, source->encoding, &layout, fn, ctx, &tally);
    mr_arena_free(scratch);
    mr_bytes_close(&bytes);
    char sha256[65] = "";
    if (changed)
        mr_sha256_end(bytes.sha, sha256);
    bool same = !changed || strcmp(sha256, source->sha256) == 0;
    if (status == MR_OK && !tally.stopped && (!same || tally.records != source->rows || bytes.at != source->size))
        status = MR_E_IO;
    return status;
}

enum mr_status mr_read_rows(const struct mr_source *source, mr_row_fn fn, void *ctx) {
    return mr_read_rows_in(source, MR_CHUNK_BYTES, fn, ctx);
}
