/*
 * report_tables.c - of report.json: the tables of the assessment.
 */
#include "render/data/report_inputs.h"
#include "render/data/report_json.h"

static void put_value(struct mr_json *j, const char *key, const struct mr_value *v) {
    switch (v->type) {
    case MR_V_BLANK:
        mr_json_null(j, key);
        break;
    case MR_V_TEXT:
        mr_json_text(j, key, v->text);
        break;
    case MR_V_NUMBER:
        mr_json_number(j, key, v->number);
        break;
    case MR_V_COUNT:
        mr_json_count(j, key, v->count);
        break;
    case MR_V_TIME:
        mr_json_time(j, key, v->count);
        break;
    case MR_V_OUTCOME:
        mr_json_text(j, key, mr_outcome_text((enum mr_outcome)v->count));
        break;
    }
}

static void put_rows(struct mr_json *j, const struct mr_table *t) {
    mr_json_array(j, "rows", false);
    for (size_t r = 0; r < t->n_rows; r++) {
        mr_json_array(j, NULL, true);
        for (size_t c = 0; c < t->n_fields; c++) {
            const struct mr_value v = mr_table_value(t, r, c);
            put_value(j, NULL, &v);
        }
        mr_json_end(j);
    }
    mr_json_end(j);
}

/* Why cells are blank, where the reason is known: row and column from 0. */
static void put_blanks(struct mr_json *j, const struct mr_table *t) {
    mr_json_array(j, "blanks", false);
    for (size_t i = 0; i < t->n_rows * t->n_fields; i++) {
        const struct mr_value v = mr_table_value(t, i / t->n_fields, i % t->n_fields);
        if (v.type != MR_V_BLANK || !v.text || !v.text[0])
            continue;
        mr_json_object(j, NULL, true);
        mr_json_count(j, "row", (int64_t)(i / t->n_fields));
        mr_json_count(j, "column", (int64_t)(i % t->n_fields));
        mr_json_text(j, "why", v.text);
        mr_json_end(j);
    }
    mr_json_end(j);
}

const char *mr_table_rows_file(struct mr_arena *arena, const struct mr_table *t) {
    return t->n_rows > MR_JSON_ROWS_MOST ? mr_printf(arena, "tables/%s.jsonl", t->id) : NULL;
}

int mr_table_rows(struct mr_arena *arena, const struct mr_table *t, FILE *file) {
    struct mr_json *j = mr_json_open(arena, file);
    for (size_t r = 0; r < t->n_rows; r++) {
        if (r > 0)
            mr_json_next_line(j);
        mr_json_object(j, NULL, true);
        for (size_t c = 0; c < t->n_fields; c++) {
            const struct mr_value v = mr_table_value(t, r, c);
            put_value(j, t->fields[c].key, &v);
        }
        mr_json_end(j);
    }
    return mr_json_close(j);
}

void mr_report_tables(struct mr_json *j, struct mr_arena *arena, const struct mr_assessment *a) {
    mr_json_array(j, "tables", false);
    for (size_t i = 0; i < a->tables.n; i++) {
        const struct mr_table *t = a->tables.v[i];
        mr_json_object(j, NULL, false);
        mr_json_text(j, "id", t->id);
        mr_json_text(j, "title", t->title);
        mr_json_text(j, "note", t->note);
        mr_json_array(j, "fields", false);
        for (size_t c = 0; c < t->n_fields; c++) {
            mr_json_object(j, NULL, true);
            mr_json_text(j, "key", t->fields[c].key);
            mr_json_text(j, "title", t->fields[c].title);
            mr_json_text(j, "unit", mr_unit_symbol(t->fields[c].unit));
            mr_json_end(j);
        }
        mr_json_end(j);
        mr_json_count(j, "row_count", (int64_t)t->n_rows);
        const bool given = t->n_rows <= MR_JSON_ROWS_MOST;
        mr_json_flag(j, "rows_given", given);
        if (!given)
            mr_json_text(j, "rows_file", mr_table_rows_file(arena, t));
        if (given) {
            put_rows(j, t);
            put_blanks(j, t);
        }
        mr_json_end(j);
    }
    mr_json_end(j);
}
