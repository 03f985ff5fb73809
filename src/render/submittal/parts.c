/*
 * parts.c - what the parts of a submittal share: which zones it shows, names of places, words, tables.
 */
#include "render/submittal/parts.h"

#include "base/text.h"

#include <string.h>

const char *mr_sub_word(const struct mr_sub *s, const char *english) {
    return mr_word(s->a->job, english);
}

bool mr_sub_shows(const struct mr_sub *s, size_t zone) {
    return !s->choice->chosen || zone >= s->a->aligned->zones.n || s->choice->chosen[zone];
}

static bool shows_name(const struct mr_sub *s, const char *zone) {
    for (size_t z = 0; s->choice->chosen && z < s->a->aligned->zones.n; z++)
        if (strcmp(s->a->aligned->zones.v[z].name, zone) == 0)
            return s->choice->chosen[z];
    return true;
}

const char *mr_sub_zone_place(const struct mr_sub *s, size_t zone) {
    return zone < s->a->aligned->zones.n && mr_sub_shows(s, zone) ? mr_printf(s->arena, "zone-%zu", zone + 1) : NULL;
}

const char *mr_sub_finding_place(const struct mr_sub *s, size_t finding) {
    return mr_printf(s->arena, "finding-%zu", finding + 1);
}

struct mr_grid mr_sub_grid(const struct mr_sub *s, size_t n, const struct mr_grid_column *columns) {
    struct mr_grid_column *words = MR_ARRAY(s->arena, struct mr_grid_column, n);
    for (size_t i = 0; i < n; i++)
        words[i] = (struct mr_grid_column){mr_sub_word(s, columns[i].title), columns[i].right};
    return mr_grid_new(s->arena, n, words);
}

const char *mr_sub_title(const struct mr_sub *s, const struct mr_field *f) {
    const char *unit = mr_unit_symbol(f->unit), *title = mr_sub_word(s, f->title);
    return unit && unit[0] ? mr_printf(s->arena, "%s, %s", title, unit) : title;
}

const char *mr_sub_day(const struct mr_sub *s, int64_t local_ms) {
    int y, m, d;
    mr_civil_from_days(local_ms / MR_DAY_MS - (local_ms % MR_DAY_MS < 0), &y, &m, &d);
    return mr_printf(s->arena, "%04d-%02d-%02d", y, m, d);
}

void mr_sub_cell(const struct mr_sub *s, struct mr_grid *grid, const struct mr_table *t, size_t row, size_t column) {
    const struct mr_value own = mr_table_value(t, row, column), *v = &own;
    const char *text = mr_shown_value(s->o, t, row, column);
    if (v->type == MR_V_OUTCOME)
        mr_grid_outcome(grid, (enum mr_outcome)v->count, mr_sub_word(s, text));
    else
        mr_grid_text(grid, text);
}

void mr_sub_section(const struct mr_sub *s, const char *english, const char *place) {
    mr_leaves_turn(s->l);
    mr_leaves_heading(s->l, MR_LEAF_H1, mr_sub_word(s, english), place);
}

void mr_sub_table(const struct mr_sub *s, const struct mr_table *t, size_t n, const char *const *keys) {
    struct mr_grid_column *columns = MR_ARRAY(s->arena, struct mr_grid_column, n);
    size_t *field = MR_ARRAY(s->arena, size_t, n), used = 0;
    const size_t zone = mr_find_column(t, "zone");
    for (size_t i = 0; t && i < n; i++) {
        const size_t c = mr_find_column(t, keys[i]);
        if (c == MR_NONE)
            continue;
        const enum mr_value_type type = t->n_rows ? mr_table_value(t, 0, c).type : MR_V_BLANK;
        const bool number = type == MR_V_NUMBER || type == MR_V_COUNT;
        field[used] = c;
        columns[used++] = (struct mr_grid_column){mr_sub_title(s, &t->fields[c]), number};
    }
    struct mr_grid grid = mr_grid_new(s->arena, used, columns);
    for (size_t r = 0; used && r < t->n_rows; r++) {
        const struct mr_value cell = zone == MR_NONE ? mr_v_count(0) : mr_table_value(t, r, zone);
        const char *name = mr_v_words(&cell);
        if (!name || shows_name(s, name))
            for (size_t i = 0; i < used; i++)
                mr_sub_cell(s, &grid, t, r, field[i]);
    }
    if (grid.cells.n)
        mr_leaves_grid(s->l, &grid);
    else
        mr_leaves_paragraph(s->l, MR_LEAF_BODY, 0, mr_sub_word(s, "None."));
}
