/*
 * long_tables.c - see long_tables.h.
 */
#include "render/data/long_tables.h"

#include "render/data/csv_text.h"
#include "render/data/report_json.h"
#include "render/data/shown_value.h"

#include <errno.h>
#include <string.h>

enum { FIELDS_MOST = 64, ROWS_OF_SCRATCH = 256 };

/* How each reading came to its zone: file, line, value, time and zone of the readings that count stand on the sheet
 * Gauge readings too. */
static bool is_trace(const char *id, size_t n) {
    enum { TRACE_ROWS_MOST = 20000 };
    return strcmp(id, "alignment") == 0 && n > TRACE_ROWS_MOST;
}

const char *mr_csv_file(const struct mr_outline *o, const char *id, size_t n) {
    const bool beside = is_trace(id, n) || (mr_many_zones(o) && n > MR_JSON_ROWS_MOST);
    return beside ? mr_printf(o->arena, "tables/%s.csv", id) : NULL;
}

static void table_row(const struct mr_rows *rows, const struct mr_outline *o, struct mr_arena *arena, size_t i,
                      struct mr_value *out) {
    (void)o;
    (void)arena;
    for (size_t c = 0; c < rows->n_fields; c++)
        out[c] = mr_table_value(rows->table, i, c);
}

struct mr_rows mr_rows_of_table(const struct mr_table *t) {
    return (struct mr_rows){.id = t->id,
                            .title = t->title,
                            .note = t->note,
                            .n_fields = t->n_fields,
                            .fields = t->fields,
                            .n = t->n_rows,
                            .row = table_row,
                            .table = t};
}

static void put_head(struct mr_buffer *out, const struct mr_rows *r) {
    mr_buffer_text(out, MR_CSV_HEAD);
    for (size_t c = 0; c < r->n_fields; c++) {
        const struct mr_field *f = &r->fields[c];
        const char *unit = mr_unit_symbol(f->unit), *title = f->title ? f->title : f->key;
        mr_buffer_text(out, c ? "," : "");
        mr_csv_cell(out, unit[0] && !strstr(title, unit) ? mr_printf(out->arena, "%s, %s", title, unit) : title);
    }
    mr_buffer_text(out, "\r\n");
}

/* A number stays one, whatever its sign. */
static void put_cell(struct mr_buffer *out, const struct mr_value *v, const char *text) {
    if (v->type == MR_V_NUMBER || v->type == MR_V_COUNT)
        mr_buffer_text(out, text);
    else
        mr_csv_cell(out, text);
}

int mr_csv_rows(const struct mr_outline *o, const struct mr_rows *r, FILE *file) {
    struct mr_arena *scratch = mr_arena_like(o->arena);
    struct mr_buffer out = {.arena = scratch};
    struct mr_value row[FIELDS_MOST];
    errno = 0;
    put_head(&out, r);
    for (size_t i = 0; i < r->n; i++) {
        r->row(r, o, scratch, i, row);
        for (size_t c = 0; c < r->n_fields; c++) {
            mr_buffer_text(&out, c ? "," : "");
            put_cell(&out, &row[c], mr_shown_text(o, scratch, &r->fields[c], &row[c]));
        }
        mr_buffer_text(&out, "\r\n");
        if (i % ROWS_OF_SCRATCH != 0 && i + 1 < r->n)
            continue;
        fwrite(out.v.v, 1, out.v.n, file);
        mr_arena_reset(scratch);
        out = (struct mr_buffer){.arena = scratch};
    }
    mr_arena_free(scratch);
    const int error = ferror(file) ? (errno ? errno : EIO) : 0;
    return fclose(file) != 0 && !error ? errno : error;
}
