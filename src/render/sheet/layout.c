/*
 * layout.c - see layout.h: widths from titles and texts, notes broken into lines, tables cut over sheets between
 * films.
 */
#include "render/sheet/layout.h"

#include "base/text.h"
#include "base/utf8.h"
#include "render/data/series_csv.h"

#include <math.h>
#include <string.h>

enum {
    WIDTH_LEAST = 6,
    WIDTH_TEXT = 44,
    WIDTH_MOST = 60,
    TIME_CHARACTERS = 19,
    ROWS_LOOKED_AT = 400,
    ROWS_LEAN = 5000,
    NOTE_LINES = 8
};

size_t mr_longest_word(const char *text) {
    size_t most = 0;
    for (const char *word = text; *word;) {
        size_t n = strcspn(word, " \n");
        if (word[n] == ' ' && strchr("+-", word[n + 1]) && word[n + 1]) /* a time and its offset */
            n += 1 + strcspn(word + n + 1, " \n");
        most = n > most ? n : most;
        word += n + strspn(word + n, " \n");
    }
    return most;
}

static size_t least(size_t a, size_t b) {
    return a < b ? a : b;
}

/* Wide enough for the header's and the cells' longest words, and for whole texts up to WIDTH_TEXT; longer ones wrap.
 */
static double wanted_width(const struct mr_table *t, size_t c, const char *title) {
    size_t most = mr_longest_word(title) + 1;
    for (size_t r = 0; r < t->n_rows && r < ROWS_LOOKED_AT; r++) {
        const struct mr_value own = mr_table_value(t, r, c), *v = &own;
        size_t n = 0;
        if ((v->type == MR_V_TEXT || v->type == MR_V_BLANK) && v->text) {
            n = v->type == MR_V_TEXT ? least(mr_utf8_characters(v->text, strlen(v->text)), WIDTH_TEXT) : 0;
            const size_t word = least(mr_longest_word(v->text), WIDTH_MOST);
            n = word > n ? word : n;
        } else if (v->type == MR_V_TIME) {
            n = TIME_CHARACTERS;
        } else if (v->type == MR_V_OUTCOME) {
            n = 12;
        }
        most = n > most ? n : most;
    }
    most += 2;
    return most < WIDTH_LEAST ? WIDTH_LEAST : (double)most;
}

static bool has_times(const struct mr_table *t, size_t c) {
    for (size_t r = 0; r < t->n_rows && r < ROWS_LOOKED_AT; r++)
        if (mr_table_value(t, r, c).type == MR_V_TIME)
            return true;
    return false;
}

static const char *column_title(const struct mr_outline *o, const struct mr_table *t, size_t c) {
    const struct mr_field *f = &t->fields[c];
    const char *unit = mr_unit_symbol(f->unit), *english = f->title ? f->title : f->key,
               *title = mr_outline_word(o, english);
    if (unit[0] && !strstr(english, unit))
        return mr_printf(o->arena, "%s, %s", title, unit);
    if (o->offset_text[0] && has_times(t, c))
        return mr_printf(o->arena, "%s (%s)", title, o->offset_text);
    return title;
}

/* Two columns of one title could not be told apart in a filter or a formula. */
static void name_apart(struct mr_arena *arena, size_t n, const char **titles) {
    for (size_t c = 1; c < n; c++) {
        unsigned number = 1;
        for (size_t k = 0; k < c; k++)
            number += strcmp(titles[k], titles[c]) == 0;
        if (number > 1)
            titles[c] = mr_printf(arena, "%s (%u)", titles[c], number);
    }
}

/* A note is broken into rows of about the sheet's width: long text in one cell would be cut off in print. */
static void break_note(const struct mr_outline *o, struct mr_arena *arena, struct mr_table_layout *l) {
    double width = 0;
    for (size_t c = 0; c < l->table->n_fields; c++)
        width += l->width[c];
    width = width < 60 ? 60 : width > 150 ? 150 : width;
    const char *note =
        mr_printf(arena, "%s%s", l->table->note ? l->table->note : "", mr_series_note(o, l->table->id));
    if (mr_is_sparse(l->table))
        note = mr_printf(
            arena,
            "%s Blank cells say what is usual: the film of the system, no correction, none in doubt, a usual "
            "reading, and the mean of usual readings, which is that of all; tables beside report.json hold them.",
            note);
    if (note[0])
        l->n_note = mr_text_wrap(arena, note, 10.0, false, width * 5.4, NOTE_LINES, l->note);
}

bool mr_is_sparse(const struct mr_table *t) {
    enum { SPOT = 5 }; /* readings */
    return (strcmp(t->id, "gauge-readings") == 0 && t->n_rows > MR_READINGS_LIVE) ||
           (strcmp(t->id, "spots") == 0 && t->n_rows > MR_READINGS_LIVE / SPOT);
}

static bool same_block(const struct mr_table *t, size_t a, size_t b) {
    for (size_t c = 0; c < t->n_fields && c < 2; c++) {
        const struct mr_value x = mr_table_value(t, a, c), y = mr_table_value(t, b, c);
        if (x.type != MR_V_TEXT || y.type != MR_V_TEXT || strcmp(x.text, y.text) != 0)
            return false;
    }
    return true;
}

/* The end of the piece that begins at from: a block that fits on a sheet is not torn. */
static size_t piece_end(const struct mr_table *t, size_t from) {
    if (t->n_rows - from <= MR_ROWS_PER_SHEET)
        return t->n_rows;
    size_t to = from + MR_ROWS_PER_SHEET;
    while (to > from + 1 && same_block(t, to - 1, to))
        to--;
    return to > from + 1 ? to : from + MR_ROWS_PER_SHEET;
}

struct mr_table_layout *mr_layout_add(struct mr_book_layout *layout, struct mr_book *book, const struct mr_outline *o,
                                      const struct mr_table *t) {
    struct mr_table_layout *l = MR_NEW(layout->arena, struct mr_table_layout);
    *l = (struct mr_table_layout){.table = t};
    l->title = MR_ARRAY(layout->arena, const char *, t->n_fields);
    l->width = MR_ARRAY(layout->arena, double, t->n_fields);
    for (size_t c = 0; c < t->n_fields; c++)
        l->title[c] = column_title(o, t, c);
    name_apart(layout->arena, t->n_fields, l->title);
    for (size_t c = 0; c < t->n_fields; c++)
        l->width[c] = wanted_width(t, c, l->title[c]);
    break_note(o, layout->arena, l);
    size_t from = 0;
    do {
        const struct mr_piece p = {mr_sheet_add(book, t->title), from, piece_end(t, from), 2 + (unsigned)l->n_note};
        if (p.to - p.from > ROWS_LEAN)
            mr_sheet_lean(p.sheet, p.head_row + (unsigned)(p.to - p.from));
        MR_PUSH(layout->arena, &l->pieces, p);
        from = p.to;
    } while (from < t->n_rows);
    MR_PUSH(layout->arena, &layout->tables, l);
    return l;
}

const struct mr_table_layout *mr_layout_of(const struct mr_book_layout *layout, const struct mr_table *table) {
    for (size_t i = 0; i < layout->tables.n; i++)
        if (layout->tables.v[i]->table == table)
            return layout->tables.v[i];
    return NULL;
}

struct mr_place_on_sheet mr_layout_place(const struct mr_book_layout *layout, const struct mr_table *table,
                                         size_t row) {
    const struct mr_table_layout *l = mr_layout_of(layout, table);
    for (size_t i = 0; l && i < l->pieces.n; i++) {
        const struct mr_piece *p = &l->pieces.v[i];
        if (row >= p->from && row < p->to && p->sheet)
            return (struct mr_place_on_sheet){mr_sheet_name(p->sheet), p->head_row + 1 + (unsigned)(row - p->from),
                                              p->sheet};
    }
    return (struct mr_place_on_sheet){NULL, 0, NULL};
}

const char *mr_number_text(struct mr_arena *arena, double value) {
    char text[32];
    mr_number_shortest(value, text);
    for (char *p = text; *p; p++)
        *p = *p == 'e' ? 'E' : *p;
    return mr_strdup(arena, text);
}
