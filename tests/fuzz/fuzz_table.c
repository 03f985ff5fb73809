/*
 * fuzz_table.c - any bytes as an input file.
 *
 * Laws: the calls number the rows; records follow each other line by line without gap or overlap; cells are UTF-8;
 * the chunk size never shows; the same bytes give the same dump; memory stays bounded.
 */
#include "fuzz/fuzz.h"

#include "base/utf8.h"
#include "read/source/source.h"

#include <string.h>

struct seen {
    uint64_t calls;
    uint32_t line;
    uint64_t digest; /* FNV-1a over everything handed over */
};

static void digest(struct seen *seen, const void *p, size_t n) {
    const unsigned char *byte = p;
    for (size_t i = 0; i < n; i++)
        seen->digest = (seen->digest ^ byte[i]) * 1099511628211ULL;
}

static bool take_row(void *ctx, const struct mr_row *row) {
    struct seen *seen = ctx;
    FUZZ_CHECK(row->line == seen->line + 1 && row->line_end >= row->line);
    FUZZ_CHECK((row->broken != MR_BROKEN_NO) == (row->part == MR_ROW_BROKEN));
    seen->line = row->line_end;
    seen->calls++;
    digest(seen, &row->part, sizeof row->part);
    digest(seen, &row->broken, sizeof row->broken);
    digest(seen, &row->line, sizeof row->line);
    for (size_t i = 0; i < row->n; i++) {
        const struct mr_cell *cell = &row->cell[i];
        FUZZ_CHECK(mr_utf8_valid_prefix(cell->p, cell->n) == cell->n || row->part == MR_ROW_BROKEN);
        FUZZ_CHECK(memchr(cell->p, 0, cell->n) == NULL);
        digest(seen, cell->p, cell->n);
        digest(seen, &cell->quoted, sizeof cell->quoted);
    }
    return true;
}

/* The job without a job file: made once, for its settings take as long as a small input. */
static const struct mr_job *bare_job(void) {
    static struct mr_arena *arena; /* kept for good */
    static const struct mr_job *job;
    if (!arena)
        job = mr_job_default(arena = mr_arena_new(NULL, NULL));
    return job;
}

static uint64_t read_in(const uint8_t *data, size_t size, size_t chunk, char **out_dump, struct mr_arena *arena) {
    struct mr_diags diags;
    struct mr_sources sources = {.job = bare_job()};
    struct mr_source source;
    mr_diags_init(&diags, arena);
    enum mr_status status =
        mr_read_memory_in(arena, sources.job, "fuzz.csv", (const char *)data, size, chunk, &diags, &source);
    FUZZ_CHECK(status == MR_OK);
    FUZZ_CHECK(source.size == size && source.readable);
    struct seen seen = {.digest = 14695981039346656037ULL};
    status = mr_read_rows_in(&source, chunk, take_row, &seen);
    FUZZ_CHECK(status == MR_OK && seen.calls == source.rows);
    MR_PUSH(arena, &sources.list, source);
    *out_dump = mr_read_dump(arena, &sources);
    return seen.digest;
}

FUZZ_TARGET(table) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    char *whole, *parts;
    size_t chunk = 1 + (size ? (size_t)data[size / 2] % 67 : 0);
    uint64_t a = read_in(data, size, 65536, &whole, arena), b = read_in(data, size, chunk, &parts, arena);
    FUZZ_CHECK(a == b);
    FUZZ_CHECK(strcmp(whole, parts) == 0);
    FUZZ_CHECK(mr_arena_bytes(arena) < (16U << 20) + 64 * size);
    mr_arena_free(arena);
}
