#include "milrise/table.h"

#include "base/packer.h"

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

/* A column of a long table. What a cell is stands apart from what it says, since most columns are of one kind. A
 * number is one of a list of those that occur, as long as they come again; all else is as it is. */
struct mr_cells {
    struct mr_stretches kind, said;
    struct mr_seen_values seen;
    MR_VEC(uint64_t) listed; /* the numbers that occur, by their bits */
    bool unlisted;           /* they do not come again */
};

/* Type, own decimals and whether a number is of the list, in one. */
static int64_t kind_of(const struct mr_value *v, bool listed) {
    return ((int64_t)v->own_decimals * 16 + (int64_t)v->type) * 2 + listed;
}

static uint64_t bits_of(const struct mr_value *v) {
    uint64_t bits;
    _Static_assert(sizeof v->number == sizeof bits && sizeof v->count == sizeof bits && sizeof v->text == sizeof bits,
                   "a value is one word, whatever it is");
    memcpy(&bits, &v->count, sizeof bits);
    return bits;
}

static int64_t said_of(struct mr_cells *c, struct mr_arena *arena, const struct mr_value *v, bool listed) {
    const uint64_t bits = bits_of(v);
    if (!listed)
        return (int64_t)bits;
    const uint32_t number = mr_seen_number(&c->seen, arena, bits);
    if (number == c->listed.n)
        MR_PUSH(arena, &c->listed, bits);
    return number;
}

static void pack_rows(struct mr_arena *arena, struct mr_table *table) {
    int64_t kind[MR_STRETCH], said[MR_STRETCH];
    if (!table->cells)
        table->cells = MR_ARRAY(arena, struct mr_cells, table->n_fields);
    for (size_t f = 0; f < table->n_fields; f++) {
        struct mr_cells *c = &table->cells[f];
        c->unlisted = c->unlisted || (c->seen.n > MR_STRETCH && 2 * c->seen.n > table->n_rows);
        for (size_t r = 0; r < MR_STRETCH; r++) {
            const struct mr_value *v = &table->values.v[r * table->n_fields + f];
            const bool listed = v->type == MR_V_NUMBER && !c->unlisted;
            kind[r] = kind_of(v, listed);
            said[r] = said_of(c, arena, v, listed);
        }
        mr_stretches_add(&c->kind, arena, kind, MR_STRETCH);
        mr_stretches_add(&c->said, arena, said, MR_STRETCH);
    }
    table->values.n = 0;
}

void mr_table_add(struct mr_arena *arena, struct mr_table *table, const struct mr_value *values) {
    if (table->values.n == MR_STRETCH * table->n_fields && table->n_fields)
        pack_rows(arena, table);
    while (table->values.cap - table->values.n < table->n_fields)
        table->values.v = mr_vec_room(arena, table->values.v, &table->values.cap, sizeof *values);
    memcpy(table->values.v + table->values.n, values, table->n_fields * sizeof *values);
    table->values.n += table->n_fields;
    table->n_rows++;
}

/* What was seen only helps to list further numbers: rows that come all the same say theirs as they are. */
void mr_table_whole(struct mr_arena *arena, struct mr_table *table) {
    for (size_t f = 0; table->cells && f < table->n_fields; f++) {
        struct mr_cells *c = &table->cells[f];
        mr_stretches_fit(&c->kind, arena);
        mr_stretches_fit(&c->said, arena);
        MR_FIT(arena, &c->listed);
        mr_arena_drop(arena, c->seen.at);
        c->seen = (struct mr_seen_values){0};
        c->unlisted = true;
    }
    MR_FIT(arena, &table->values);
}

struct mr_value mr_table_value(const struct mr_table *table, size_t row, size_t column) {
    const size_t packed = table->cells ? table->cells[0].kind.list.n * MR_STRETCH : 0;
    if (row >= packed)
        return table->values.v[(row - packed) * table->n_fields + column];
    const struct mr_cells *c = &table->cells[column];
    const struct mr_wholes kinds = mr_stretches_column(&c->kind), says = mr_stretches_column(&c->said);
    const int64_t kind = mr_whole(&kinds, row), said = mr_whole(&says, row);
    const uint64_t bits = kind & 1 ? c->listed.v[said] : (uint64_t)said;
    struct mr_value v = {.type = (enum mr_value_type)(kind / 2 % 16), .own_decimals = (int)(kind / 32)};
    memcpy(&v.count, &bits, sizeof bits);
    return v;
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
