/*
 * explain_json.c - the explanation for machines. The only user of jansson in this stage. All texts are cleaned first,
 * for jansson refuses what is not UTF-8; a number that is not known is null.
 */
#include "normalise/explain/text_buffer.h"

#include "normalise/cell/when.h"

#include <jansson.h>
#include <string.h>

static json_t *text(struct mr_arena *arena, const char *s) {
    if (!s)
        return json_null();
    return json_string(mr_clean_text(arena, s, strlen(s), 4096));
}

static json_t *moment(int64_t t_ms, enum mr_time_basis basis) {
    char out[40];
    if (t_ms == MR_T_NONE)
        return json_null();
    mr_when_text(t_ms, out);
    out[10] = 'T';
    if (basis == MR_TIME_UTC)
        memcpy(out + strlen(out), "Z", 2);
    return json_string(out);
}

static json_t *columns(struct mr_arena *arena, const struct mr_file *f) {
    json_t *list = json_array();
    for (size_t i = 0; i < f->n_columns; i++) {
        const struct mr_column *c = &f->columns[i];
        json_t *item = json_object();
        json_object_set_new(item, "name", text(arena, c->name));
        json_object_set_new(item, "meaning", text(arena, mr_meaning_word(c->meaning)));
        json_object_set_new(item, "unit", text(arena, c->unit == MR_UNIT_NONE ? NULL : mr_unit_symbol(c->unit)));
        json_object_set_new(item, "unit_why", text(arena, c->unit_why));
        json_object_set_new(item, "decimal",
                            text(arena, c->decimal == ','   ? "comma"
                                        : c->decimal == '.' ? "point"
                                                            : NULL));
        json_array_append_new(list, item);
    }
    return list;
}

static json_t *set_aside(const struct mr_account *a) {
    json_t *list = json_array();
    for (size_t i = 0; i < a->runs.n; i++) {
        const struct mr_aside_run *r = &a->runs.v[i];
        json_t *item = json_object();
        json_object_set_new(item, "why", json_string(mr_aside_word(r->why)));
        json_object_set_new(item, "line", json_integer(r->line));
        json_object_set_new(item, "line_end", json_integer(r->line_end));
        json_object_set_new(item, "rows", json_integer((json_int_t)r->rows));
        json_array_append_new(list, item);
    }
    return list;
}

static json_t *rows(struct mr_arena *arena, const struct mr_data *data, size_t file) {
    struct mr_shown shown[2];
    size_t n = mr_shown_rows(arena, data, file, shown);
    json_t *list = json_array();
    for (size_t i = 0; i < n; i++) {
        json_t *item = json_object();
        json_object_set_new(item, "line", json_integer(shown[i].line));
        json_object_set_new(item, "text", text(arena, shown[i].text));
        json_array_append_new(list, item);
    }
    return list;
}

static json_t *messages(struct mr_arena *arena, const struct mr_data *data, const struct mr_file *f) {
    json_t *list = json_array();
    for (size_t i = 0; data->diags && i < data->diags->list.n; i++) {
        const struct mr_diag *d = &data->diags->list.v[i];
        if (!d->place.file || strcmp(d->place.file, f->source->path) != 0)
            continue;
        json_t *item = json_object();
        json_object_set_new(item, "severity", json_string(mr_severity_text(d->severity)));
        json_object_set_new(item, "id", json_string(d->id));
        json_object_set_new(item, "line", json_integer(d->place.line));
        json_object_set_new(item, "column", json_integer(d->place.column));
        json_object_set_new(item, "text", text(arena, d->text));
        json_object_set_new(item, "what", text(arena, d->what));
        json_object_set_new(item, "mend", text(arena, d->mend));
        json_array_append_new(list, item);
    }
    return list;
}

static const char *delimiter_text(char d) {
    return d == ','         ? "comma"
           : d == ';'       ? "semicolon"
           : d == '\t'      ? "tab"
           : d == '|'       ? "pipe"
           : d == MR_BLANKS ? "blanks"
                            : "none";
}

static json_t *mend_lines(struct mr_arena *arena, const char *mend) {
    json_t *list = json_array();
    for (const char *line = mend; *line;) {
        size_t n = strcspn(line, "\n");
        json_array_append_new(list, text(arena, mr_strndup(arena, line, n)));
        line += n + (line[n] == '\n');
    }
    return list;
}

static json_t *one_file(struct mr_arena *arena, const struct mr_data *data, size_t i) {
    const struct mr_file *f = &data->files.v[i];
    const struct mr_source *s = f->source;
    json_t *o = json_object();
    json_object_set_new(o, "file", text(arena, s->path));
    json_object_set_new(o, "sha256", json_string(s->sha256));
    json_object_set_new(o, "kind", json_string(mr_kind_word(f->kind)));
    json_object_set_new(o, "kind_why", text(arena, f->kind_why));
    json_object_set_new(o, "copy_of", text(arena, f->copy_of));
    json_object_set_new(o, "encoding", json_string(mr_encoding_text(s->encoding)));
    json_object_set_new(o, "encoding_why", text(arena, s->encoding_why));
    json_object_set_new(o, "delimiter", json_string(delimiter_text(s->delimiter)));
    json_object_set_new(o, "line_ends", text(arena, s->line_ends));
    json_object_set_new(o, "header_line", json_integer(s->header_line));
    json_object_set_new(o, "columns", columns(arena, f));
    json_object_set_new(o, "date_order", text(arena, f->date_order));
    json_object_set_new(o, "date_why", text(arena, f->date_why));
    json_object_set_new(o, "time_basis", text(arena, mr_basis_text(f->basis)));
    json_object_set_new(o, "first", moment(f->first_ms, f->basis));
    json_object_set_new(o, "last", moment(f->last_ms, f->basis));
    json_object_set_new(o, "instrument", text(arena, f->instrument_name));
    json_object_set_new(o, "rows_as_understood", rows(arena, data, i));
    json_object_set_new(o, "rows_read", json_integer((json_int_t)f->account.rows_read));
    json_object_set_new(o, "rows_header", json_integer((json_int_t)f->account.rows_header));
    json_object_set_new(o, "rows_used", json_integer((json_int_t)f->account.rows_used));
    json_object_set_new(o, "rows_set_aside", json_integer((json_int_t)f->account.rows_set_aside));
    json_object_set_new(o, "set_aside", set_aside(&f->account));
    json_object_set_new(o, "mend", mend_lines(arena, f->mend));
    json_object_set_new(o, "messages", messages(arena, data, f));
    return o;
}

static int append(const char *bytes, size_t n, void *ctx) {
    mr_buffer_add(ctx, bytes, n);
    return 0;
}

char *mr_explain_json(struct mr_arena *arena, const struct mr_data *data) {
    json_t *list = json_array();
    for (size_t i = 0; i < data->files.n; i++)
        json_array_append_new(list, one_file(arena, data, i));
    struct mr_text_buffer paper = {.arena = arena};
    if (json_dump_callback(list, append, &paper, JSON_INDENT(1) | JSON_PRESERVE_ORDER) != 0)
        paper.text.n = 0;
    mr_buffer_add(&paper, "\n", 1);
    json_decref(list);
    return paper.text.v;
}
