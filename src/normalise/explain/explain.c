/*
 * explain.c - how each file was understood: for a clerk who asks why a file was set aside, and as stable text for
 * tests.
 */
#include "normalise/explain/shown_rows.h"

#include "normalise/cell/when.h"

#include <string.h>

static const char *delimiter_text(char d) {
    return d == ','         ? "comma"
           : d == ';'       ? "semicolon"
           : d == '\t'      ? "tab"
           : d == '|'       ? "pipe"
           : d == MR_BLANKS ? "blanks"
                            : "none: one column";
}

static void put_shape(struct mr_buffer *p, const struct mr_file *f) {
    const struct mr_source *s = f->source;
    mr_buffer_put(p, "  encoding    %s%s (%s)\n", mr_encoding_text(s->encoding),
                  s->bom ? " with byte-order mark" : "", s->encoding_why ? s->encoding_why : "");
    if (!s->readable || s->encoding == MR_ENC_BINARY)
        return;
    mr_buffer_put(p, "  delimiter   %s; lines end in %s\n", delimiter_text(s->delimiter),
                  s->line_ends ? s->line_ends : "");
    if (s->header_line)
        mr_buffer_put(p, "  header      line %u%s", (unsigned)s->header_line,
                      s->units_line ? ", units in line " : "\n");
    if (s->header_line && s->units_line)
        mr_buffer_put(p, "%u\n", (unsigned)s->units_line);
    for (size_t i = 0; i < s->preamble.n && i < 12; i++)
        mr_buffer_put(p, "  preamble    %s: %s\n",
                      mr_clean_text(p->arena, s->preamble.v[i].name, strlen(s->preamble.v[i].name), 40),
                      mr_clean_text(p->arena, s->preamble.v[i].value, strlen(s->preamble.v[i].value), 60));
}

static void put_columns(struct mr_buffer *p, const struct mr_file *f) {
    for (size_t i = 0; i < f->n_columns; i++) {
        const struct mr_column *c = &f->columns[i];
        mr_buffer_put(p, "  column      %s = %s", mr_clean_text(p->arena, c->name, strlen(c->name), 60),
                      mr_meaning_word(c->meaning));
        if (c->unit != MR_UNIT_NONE)
            mr_buffer_put(p, " [%s], %s", mr_unit_symbol(c->unit), c->unit_why);
        if (c->decimal && c->meaning != MR_M_IGNORE)
            mr_buffer_put(p, ", decimal %s", c->decimal == ',' ? "comma" : "point");
        mr_buffer_put(p, "\n");
    }
}

static void put_times(struct mr_buffer *p, const struct mr_file *f) {
    if (*f->date_order || *f->date_why)
        mr_buffer_put(p, "  dates       %s%s%s\n", *f->date_order ? f->date_order : "not settled",
                      *f->date_why ? ": " : "", f->date_why);
    if (f->first_ms != MR_T_NONE) {
        char first[32], last[32];
        mr_when_text(f->first_ms, first);
        mr_when_text(f->last_ms, last);
        mr_buffer_put(p, "  time span   %s to %s, %s\n", first, last, mr_basis_text(f->basis));
    }
    if (*f->instrument_name)
        mr_buffer_put(p, "  instrument  %s%s\n",
                      mr_clean_text(p->arena, f->instrument_name, strlen(f->instrument_name), 60),
                      f->instrument ? "" : " (not in the job file)");
}

static void put_account(struct mr_buffer *p, const struct mr_file *f) {
    const struct mr_account *a = &f->account;
    mr_buffer_put(p, "  rows        %llu read = %llu header + %llu used + %llu set aside\n",
                  (unsigned long long)a->rows_read, (unsigned long long)a->rows_header,
                  (unsigned long long)a->rows_used, (unsigned long long)a->rows_set_aside);
    for (size_t i = 0; i < a->runs.n && i < 20; i++) {
        const struct mr_aside_run *r = &a->runs.v[i];
        if (r->line_end > r->line)
            mr_buffer_put(p, "  set aside   lines %u-%u, %llu rows: %s\n", (unsigned)r->line, (unsigned)r->line_end,
                          (unsigned long long)r->rows, mr_aside_text(r->why));
        else
            mr_buffer_put(p, "  set aside   line %u: %s\n", (unsigned)r->line, mr_aside_text(r->why));
    }
    if (a->runs.n > 20)
        mr_buffer_put(p, "  set aside   and %zu more stretches\n", a->runs.n - 20);
}

static void put_rows(struct mr_buffer *p, const struct mr_data *data, size_t file) {
    struct mr_shown rows[2];
    size_t n = mr_shown_rows(p->arena, data, file, rows);
    for (size_t i = 0; i < n; i++)
        mr_buffer_put(p, "  %s   line %u: %s\n", i ? "last row " : "first row", (unsigned)rows[i].line, rows[i].text);
}

static void put_diags(struct mr_buffer *p, const struct mr_data *data, const struct mr_file *f) {
    size_t shown = 0;
    for (size_t i = 0; data->diags && i < data->diags->list.n; i++) {
        const struct mr_diag *d = &data->diags->list.v[i];
        if (!d->place.file || strcmp(d->place.file, f->source->path) != 0)
            continue;
        if (++shown > 50)
            continue;
        mr_buffer_put(p, "  %s\n", mr_diag_line(p->arena, d));
    }
    if (shown > 50)
        mr_buffer_put(p, "  and %zu more messages\n", shown - 50);
}

/* What was said of the job file while the files were looked at: a rule that names no column, a word that fits
 * nothing.
 */
static void put_others(struct mr_buffer *p, const struct mr_data *data) {
    bool begun = false;
    for (size_t i = 0; data->diags && i < data->diags->list.n; i++) {
        const struct mr_diag *d = &data->diags->list.v[i];
        bool known = false;
        for (size_t k = 0; k < data->files.n && d->place.file; k++)
            known |= strcmp(d->place.file, data->files.v[k].source->path) == 0;
        if (known)
            continue;
        mr_buffer_put(p, "%s  %s\n", begun ? "" : "\njob file\n", mr_diag_line(p->arena, d));
        begun = true;
    }
}

static void put_mend(struct mr_buffer *p, const struct mr_file *f) {
    if (!*f->mend)
        return;
    mr_buffer_put(p, "  to settle it, write into job.milrise, with the right words:\n");
    for (const char *line = f->mend; *line;) {
        size_t n = strcspn(line, "\n");
        mr_buffer_put(p, "    %.*s\n", (int)n, line);
        line += n + (line[n] == '\n');
    }
}

char *mr_explain_text(struct mr_arena *arena, const struct mr_data *data) {
    struct mr_buffer p = {.arena = arena};
    for (size_t i = 0; i < data->files.n; i++) {
        const struct mr_file *f = &data->files.v[i];
        mr_buffer_put(&p, "%s%s\n", i ? "\n" : "", f->source->path);
        mr_buffer_put(&p, "  kind        %s%s%s\n", mr_kind_text(f->kind), *f->kind_why ? ": " : "", f->kind_why);
        if (f->copy_of)
            mr_buffer_put(&p, "  copy of     %s\n", f->copy_of);
        put_shape(&p, f);
        put_columns(&p, f);
        put_times(&p, f);
        put_rows(&p, data, i);
        put_account(&p, f);
        put_mend(&p, f);
        put_diags(&p, data, f);
    }
    put_others(&p, data);
    return mr_buffer_end(&p);
}

char *mr_normalise_dump(struct mr_arena *arena, const struct mr_data *data) {
    struct mr_buffer p = {.arena = arena};
    mr_buffer_put(
        &p,
        "normalise: %zu files, %zu readings, %zu base metal, %zu verifications, %zu sprays, %zu shift items, "
        "%zu materials, %zu zones, %zu channels\n",
        data->files.n, data->readings.n, data->base_metal.n, data->verifications.n, data->sprays.n,
        data->shift_items.n, data->materials.n, data->zones.n, data->channels.n);
    for (size_t i = 0; i < data->files.n; i++) {
        const struct mr_file *f = &data->files.v[i];
        mr_buffer_put(&p, "file %s\n  kind        %s\n", f->source->path, mr_kind_word(f->kind));
        if (f->copy_of)
            mr_buffer_put(&p, "  copy of     %s\n", f->copy_of);
        put_columns(&p, f);
        put_times(&p, f);
        put_rows(&p, data, i);
        put_account(&p, f);
    }
    for (size_t i = 0; i < data->channels.n; i++) {
        const struct mr_channel *c = &data->channels.v[i];
        mr_buffer_put(&p, "channel %s = %s, %zu samples, file %u\n",
                      mr_clean_text(arena, c->name, strlen(c->name), 60), mr_meaning_word(c->meaning), c->n,
                      (unsigned)c->file);
    }
    return mr_buffer_end(&p);
}
