/*
 * layout_fit.c - the columns of a printed table: as many pages side by side as their words need, and on each the
 * widths at which its rows are lowest.
 */
#include "render/sheet/layout.h"

#include "base/utf8.h"

#include <math.h>
#include <string.h>

enum { LONG = 8, WORD_ON_PAPER = 18, NAME = 24, ROWS_LOOKED_AT = 400 };

/* A table's columns under consideration. */
struct fit {
    const struct mr_table *t;
    double *width;   /* shape: columns; characters */
    bool *shares;    /* shape: columns: its texts are broken into lines */
    double *text_pt; /* shape: rows x columns; 0 where the column does not share */
    size_t rows;
    double *sum; /* shape: rows: of heights^POWER */
};

static const char *text_at(const struct mr_table *t, size_t row, size_t column) {
    const struct mr_value own = mr_table_value(t, row, column), *v = &own;
    return v->type == MR_V_TEXT && v->text ? v->text : "";
}

bool mr_row_folds(const struct mr_table *t, size_t row) {
    const size_t c = strcmp(t->id, "checks") == 0 ? mr_find_column(t, "outcome") : MR_NONE;
    const struct mr_value v = c == MR_NONE ? mr_v_blank("") : mr_table_value(t, row, c);
    return v.type == MR_V_OUTCOME && v.count <= MR_CONFORMS;
}

/* Rows that say how wide its columns are: the first that are printed. Returns: how many. */
static size_t rows_looked_at(const struct mr_table *t, size_t *row) {
    size_t n = 0;
    for (size_t r = 0; r < t->n_rows && n < ROWS_LOOKED_AT; r++)
        if (!mr_row_folds(t, r))
            row[n++] = r;
    return n;
}

/* Its longest word; and of names, which nobody wants in three lines, half of the longest. */
static double least_width(const struct mr_table *t, size_t c, const char *title, size_t n, const size_t *row) {
    size_t word = mr_longest_word(title), whole = 0;
    for (size_t i = 0; i < n; i++) {
        const char *text = text_at(t, row[i], c);
        const size_t own = mr_longest_word(text), all = mr_utf8_characters(text, strlen(text));
        word = own > word ? own : word;
        whole = all > whole ? all : whole;
    }
    word = word < WORD_ON_PAPER ? word : WORD_ON_PAPER;
    return (double)(whole <= NAME && (whole + 1) / 2 > word ? (whole + 1) / 2 : word) + 2;
}

/* The width at which no text of a column is broken, where all its cells are texts; else the width that it has. */
static double whole_width(const struct mr_table_layout *l, size_t c, size_t n, const size_t *row) {
    const struct mr_table *t = l->table;
    double most_pt = 0;
    for (size_t i = 0; i < n; i++) {
        const struct mr_value own = mr_table_value(t, row[i], c), *v = &own;
        if (v->type != MR_V_TEXT && v->type != MR_V_BLANK)
            return l->width[c];
        most_pt = fmax(most_pt, v->text ? mr_book_text_pt(v->text, false) : 0);
    }
    double characters = fmin(l->width[c], (double)mr_longest_word(l->title[c]) + 2);
    while (characters < l->width[c] && mr_book_column_pt(characters) < most_pt)
        characters += 0.5;
    return fmin(characters, l->width[c]);
}

/* A column that says nothing in any row, be it a reason for that. */
static bool is_blank(const struct mr_table *t, size_t c) {
    for (size_t r = 0; r < t->n_rows; r++) {
        const struct mr_value v = mr_table_value(t, r, c);
        if ((v.type != MR_V_BLANK && v.type != MR_V_TEXT) || (v.text && v.text[0]))
            return false;
    }
    return t->n_rows > 0;
}

static bool is_long(const struct mr_table *t, size_t c, size_t n, const size_t *row) {
    for (size_t i = 0; i < n; i++)
        if (mr_utf8_characters(text_at(t, row[i], c), strlen(text_at(t, row[i], c))) > LONG)
            return true;
    return false;
}

/* Columns that share begin at the width of their words. */
static struct fit fit_of(struct mr_arena *arena, const struct mr_table_layout *l) {
    const struct mr_table *t = l->table;
    const size_t n = t->n_fields;
    struct fit f = {.t = t, .width = MR_ARRAY(arena, double, n), .shares = MR_ARRAY(arena, bool, n)};
    size_t *row = MR_ARRAY(arena, size_t, ROWS_LOOKED_AT);
    f.rows = rows_looked_at(t, row);
    f.text_pt = MR_ARRAY(arena, double, f.rows *n + 1);
    f.sum = MR_ARRAY(arena, double, f.rows + 1);
    for (size_t c = 0; c < n; c++) {
        if (l->width[c] <= 0) /* hidden */
            continue;
        const double least = least_width(t, c, l->title[c], f.rows, row);
        f.shares[c] = least < l->width[c] && is_long(t, c, f.rows, row);
        f.width[c] = f.shares[c] ? least : whole_width(l, c, f.rows, row);
        for (size_t i = 0; i < f.rows; i++)
            f.text_pt[i * n + c] = f.shares[c] ? mr_book_text_pt(text_at(t, row[i], c), false) : 0;
    }
    return f;
}

/* Lines of a text, smoothly beyond one, to a power at which the highest cell of a row all but decides. */
static double height(const struct fit *f, size_t row, size_t c, double characters) {
    const double lines = f->text_pt[row * f->t->n_fields + c] / mr_book_column_pt(characters),
                 whole = lines <= 1 ? 1 : 0.5 + lines;
    return whole * whole * whole * whole * whole * whole;
}

static double root(double sum) {
    return sqrt(cbrt(sum));
}

/* Character after character to the column that lowers the rows most, until the room is used or all lines are one. */
static void widen(struct fit *f, size_t from, size_t to, double room) {
    const double step = 1;
    for (size_t r = 0; r < f->rows; r++) {
        f->sum[r] = 0;
        for (size_t c = from; c < to; c++)
            f->sum[r] += height(f, r, c, f->width[c]);
    }
    for (; room >= step; room -= step) {
        size_t best = MR_NONE;
        double most = 0;
        for (size_t c = from; c < to; c++) {
            double gain = 0;
            for (size_t r = 0; f->shares[c] && r < f->rows; r++)
                gain += root(f->sum[r]) -
                        root(f->sum[r] - height(f, r, c, f->width[c]) + height(f, r, c, f->width[c] + step));
            if (gain > most) {
                most = gain;
                best = c;
            }
        }
        if (best == MR_NONE)
            return;
        for (size_t r = 0; r < f->rows; r++)
            f->sum[r] += height(f, r, best, f->width[best] + step) - height(f, r, best, f->width[best]);
        f->width[best] += step;
    }
}

static double between(const double *width, size_t from, size_t to) {
    double sum = 0;
    for (size_t c = from; c < to; c++)
        sum += width[c];
    return sum;
}

/* First columns of the pages side by side where none is wider than most; the table's first column is on each.
 * Returns: how many pages. */
static size_t split(const struct fit *f, double most, size_t *first) {
    size_t pages = 1;
    double used = f->width[0];
    first[0] = 0;
    for (size_t c = 1; c < f->t->n_fields; c++) {
        if (used + f->width[c] > most && used > f->width[0]) {
            first[pages++] = c;
            used = f->width[0];
        }
        used += f->width[c];
    }
    return pages;
}

/* Each page's columns as wide as its room allows. Returns: the height of all rows, in no unit. */
static double fill(struct fit *f, size_t pages, const size_t *first, double room) {
    double high = 0;
    for (size_t p = 0; p < pages; p++) {
        const double beside = p == 0 ? 0 : f->width[0];
        widen(f, first[p], first[p + 1], room - beside - between(f->width, first[p], first[p + 1]));
    }
    for (size_t r = 0; r < f->rows; r++) {
        double sum = 0;
        for (size_t c = 0; c < f->t->n_fields; c++)
            sum += height(f, r, c, f->width[c]);
        high += root(sum);
    }
    return high;
}

/* Of two pages side by side: the second begins where the rows are lowest, since a row is as high on both. */
static void halve(struct fit *f, struct mr_arena *arena, double full, double room, size_t *first) {
    const size_t n = f->t->n_fields;
    double *least = MR_ARRAY(arena, double, n), best = (double)INFINITY;
    memcpy(least, f->width, n * sizeof *least);
    size_t best_at = first[1];
    for (size_t c = 2; c < n; c++) {
        memcpy(f->width, least, n * sizeof *least);
        if (between(least, 0, c) > full || least[0] + between(least, c, n) > full)
            continue;
        const size_t at[] = {0, c, n};
        const double high = fill(f, 2, at, room);
        best_at = high < best ? c : best_at;
        best = fmin(high, best);
    }
    memcpy(f->width, least, n * sizeof *least);
    first[1] = best_at;
}

void mr_layout_fit(struct mr_arena *arena, struct mr_table_layout *l, double room) {
    const size_t n = l->table->n_fields;
    for (size_t c = 1; c < n; c++)
        l->width[c] = is_blank(l->table, c) ? 0 : l->width[c];
    if (between(l->width, 0, n) <= room)
        return;
    struct mr_arena *scratch = mr_arena_like(arena);
    struct fit f = fit_of(scratch, l);
    size_t *first = MR_ARRAY(scratch, size_t, n + 1);
    const double full = 0.95 * room; /* words alone would make rows as high as a page */
    l->n_pages = split(&f, full, first);
    first[l->n_pages] = n;
    if (l->n_pages == 2)
        halve(&f, scratch, full, room, first);
    fill(&f, l->n_pages, first, room);
    l->first = MR_ARRAY(arena, unsigned, n);
    for (size_t p = 0; p < l->n_pages; p++)
        l->first[p] = (unsigned)first[p];
    memcpy(l->width, f.width, n * sizeof *l->width);
    mr_arena_free(scratch);
}
