/*
 * explain_json.c - the explanation for machines. A number that is not known is null.
 */
#include "normalise/explain/shown_rows.h"

#include "base/json.h"
#include "normalise/cell/when.h"

#include <string.h>

/* Texts of files may hold anything. */
static void put_text(struct mr_json *j, struct mr_arena *arena, const char *key, const char *text) {
    mr_json_text(j, key, text ? mr_clean_text(arena, text, strlen(text), 4096) : NULL);
}

static void put_moment(struct mr_json *j, const char *key, int64_t t_ms, enum mr_time_basis basis) {
    char out[40];
    if (t_ms == MR_T_NONE) {
        mr_json_null(j, key);
        return;
    }
    mr_when_text(t_ms, out);
    out[10] = 'T';
    if (basis == MR_TIME_UTC)
        memcpy(out + strlen(out), "Z", 2);
    mr_json_text(j, key, out);
}

static void put_columns(struct mr_json *j, struct mr_arena *arena, const struct mr_file *f) {
    mr_json_array(j, "columns", false);
    for (size_t i = 0; i < f->n_columns; i++) {
        const struct mr_column *c = &f->columns[i];
        mr_json_object(j, NULL, false);
        put_text(j, arena, "name", c->name);
        put_text(j, arena, "meaning", mr_meaning_word(c->meaning));
        put_text(j, arena, "unit", c->unit == MR_UNIT_NONE ? NULL : mr_unit_symbol(c->unit));
        put_text(j, arena, "unit_why", c->unit_why);
        mr_json_text(j, "decimal", c->decimal == ',' ? "comma" : c->decimal == '.' ? "point" : NULL);
        mr_json_end(j);
    }
    mr_json_end(j);
}

static void put_set_aside(struct mr_json *j, const struct mr_account *a) {
    mr_json_array(j, "set_aside", false);
    for (size_t i = 0; i < a->runs.n; i++) {
        const struct mr_aside_run *r = &a->runs.v[i];
        mr_json_object(j, NULL, false);
        mr_json_text(j, "why", mr_aside_word(r->why));
        mr_json_count(j, "line", r->line);
        mr_json_count(j, "line_end", r->line_end);
        mr_json_count(j, "rows", (int64_t)r->rows);
        mr_json_end(j);
    }
    mr_json_end(j);
}

static void put_rows(struct mr_json *j, struct mr_arena *arena, const struct mr_data *data, size_t file) {
    struct mr_shown shown[2];
    size_t n = mr_shown_rows(arena, data, file, shown);
    mr_json_array(j, "rows_as_understood", false);
    for (size_t i = 0; i < n; i++) {
        mr_json_object(j, NULL, false);
        mr_json_count(j, "line", shown[i].line);
        put_text(j, arena, "text", shown[i].text);
        mr_json_end(j);
    }
    mr_json_end(j);
}

static void put_messages(struct mr_json *j, struct mr_arena *arena, const struct mr_data *data,
                         const struct mr_file *f) {
    mr_json_array(j, "messages", false);
    for (size_t i = 0; data->diags && i < data->diags->list.n; i++) {
        const struct mr_diag *d = &data->diags->list.v[i];
        if (!d->place.file || strcmp(d->place.file, f->source->path) != 0)
            continue;
        mr_json_object(j, NULL, false);
        mr_json_text(j, "severity", mr_severity_text(d->severity));
        mr_json_text(j, "id", d->id);
        mr_json_count(j, "line", d->place.line);
        mr_json_count(j, "column", d->place.column);
        put_text(j, arena, "text", d->text);
        put_text(j, arena, "what", d->what);
        put_text(j, arena, "mend", d->mend);
        mr_json_end(j);
    }
    mr_json_end(j);
}

static const char *delimiter_text(char d) {
    return d == ','         ? "comma"
           : d == ';'       ? "semicolon"
           : d == '\t'      ? "tab"
           : d == '|'       ? "pipe"
           : d == MR_BLANKS ? "blanks"
                            : "none";
}

static void put_mend_lines(struct mr_json *j, struct mr_arena *arena, const char *mend) {
    mr_json_array(j, "mend", false);
    for (const char *line = mend; *line;) {
        size_t n = strcspn(line, "\n");
        put_text(j, arena, NULL, mr_strndup(arena, line, n));
        line += n + (line[n] == '\n');
    }
    mr_json_end(j);
}

static void put_file(struct mr_json *j, struct mr_arena *arena, const struct mr_data *data, size_t i) {
    const struct mr_file *f = &data->files.v[i];
    const struct mr_source *s = f->source;
    mr_json_object(j, NULL, false);
    put_text(j, arena, "file", s->path);
    mr_json_text(j, "sha256", s->sha256);
    mr_json_text(j, "kind", mr_kind_word(f->kind));
    put_text(j, arena, "kind_why", f->kind_why);
    put_text(j, arena, "copy_of", f->copy_of);
    mr_json_text(j, "encoding", mr_encoding_text(s->encoding));
    put_text(j, arena, "encoding_why", s->encoding_why);
    mr_json_text(j, "delimiter", delimiter_text(s->delimiter));
    put_text(j, arena, "line_ends", s->line_ends);
    mr_json_count(j, "header_line", (int64_t)s->header_line);
    put_columns(j, arena, f);
    put_text(j, arena, "date_order", f->date_order);
    put_text(j, arena, "date_why", f->date_why);
    put_text(j, arena, "time_basis", mr_basis_text(f->basis));
    put_moment(j, "first", f->first_ms, f->basis);
    put_moment(j, "last", f->last_ms, f->basis);
    put_text(j, arena, "instrument", f->instrument_name);
    put_rows(j, arena, data, i);
    mr_json_count(j, "rows_read", (int64_t)f->account.rows_read);
    mr_json_count(j, "rows_header", (int64_t)f->account.rows_header);
    mr_json_count(j, "rows_used", (int64_t)f->account.rows_used);
    mr_json_count(j, "rows_set_aside", (int64_t)f->account.rows_set_aside);
    put_set_aside(j, &f->account);
    put_mend_lines(j, arena, f->mend);
    put_messages(j, arena, data, f);
    mr_json_end(j);
}

char *mr_explain_json(struct mr_arena *arena, const struct mr_data *data) {
    struct mr_json *j = mr_json_memory(arena);
    mr_json_array(j, NULL, false);
    for (size_t i = 0; i < data->files.n; i++)
        put_file(j, arena, data, i);
    mr_json_end(j);
    return mr_json_take(j);
}
