#include "milrise/table.h"

#include <math.h>
#include <string.h>

struct mr_table *mr_table_new(struct mr_arena *arena, const char *id, const char *title, const char *note,
                              size_t n_fields, const struct mr_field *fields) {
    struct mr_table *table = MR_NEW(arena, struct mr_table);
    struct mr_field *copy = MR_ARRAY(arena, struct mr_field, n_fields);
    memcpy(copy, fields, n_fields * sizeof *copy);
    *table = (struct mr_table){.id = id, .title = title, .note = note, .n_fields = n_fields, .fields = copy};
    return table;
}

void mr_table_add(struct mr_arena *arena, struct mr_table *table, const struct mr_value *values) {
    while (table->values.cap - table->values.n < table->n_fields)
        table->values.v = mr_vec_room(arena, table->values.v, &table->values.cap, sizeof *values);
    memcpy(table->values.v + table->values.n, values, table->n_fields * sizeof *values);
    table->values.n += table->n_fields;
    table->n_rows++;
}

struct mr_value mr_v_text(const char *text) {
    return text ? (struct mr_value){.type = MR_V_TEXT, .text = text} : mr_v_blank(NULL);
}

struct mr_value mr_v_num(double number) {
    return isfinite(number) ? (struct mr_value){.type = MR_V_NUMBER, .number = number} : mr_v_blank("not known");
}

struct mr_value mr_v_num_to(double number, int decimals) {
    struct mr_value v = mr_v_num(number);
    v.own_decimals = v.type == MR_V_NUMBER && decimals >= 0 ? decimals + 1 : 0;
    return v;
}

struct mr_value mr_v_count(int64_t count) {
    return (struct mr_value){.type = MR_V_COUNT, .count = count};
}

struct mr_value mr_v_time(int64_t t_utc_ms) {
    return t_utc_ms == MR_T_NONE ? mr_v_blank("no time") : (struct mr_value){.type = MR_V_TIME, .count = t_utc_ms};
}

struct mr_value mr_v_outcome(int outcome) {
    return (struct mr_value){.type = MR_V_OUTCOME, .count = outcome};
}

struct mr_value mr_v_blank(const char *why) {
    return (struct mr_value){.type = MR_V_BLANK, .text = why ? why : ""};
}

const char *mr_v_words(const struct mr_value *value) {
    const bool words = value->type == MR_V_TEXT || value->type == MR_V_BLANK;
    return words ? value->text : NULL;
}
