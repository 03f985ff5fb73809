/*
 * leaf_grid.c - tables: columns as wide as their texts need, rows that stay whole where they fit on a page, the head
 * again on each page.
 */
#include "render/submittal/leaves.h"

#include <math.h>
#include <string.h>

#define SIZE MR_LEAF_TABLE
#define STEP (1.28 * SIZE)
#define PAD 3.0  /* beside a text */
#define LIFT 1.0 /* above and below */
#define NATURAL_MOST 290.0
#define WORD_MOST 100.0

struct mr_grid mr_grid_new(struct mr_arena *arena, size_t n, const struct mr_grid_column *columns) {
    return (struct mr_grid){.arena = arena, .n = n, .column = columns};
}

void mr_grid_text(struct mr_grid *g, const char *text) {
    MR_PUSH(g->arena, &g->cells, ((struct mr_grid_cell){.text = text ? text : ""}));
}

void mr_grid_link(struct mr_grid *g, const char *text, const char *to) {
    MR_PUSH(g->arena, &g->cells, ((struct mr_grid_cell){.text = text ? text : "", .to = to}));
}

void mr_grid_outcome(struct mr_grid *g, enum mr_outcome outcome, const char *words) {
    struct mr_grid_cell cell = {.text = words};
    if (outcome == MR_DOES_NOT_CONFORM) {
        cell.bold = cell.filled = true;
        cell.fill = MR_INK_ROSE;
    } else if (outcome == MR_NOT_SHOWN) {
        cell.filled = true;
        cell.fill = (struct mr_ink){0xfb, 0xee, 0xcf};
    }
    MR_PUSH(g->arena, &g->cells, cell);
}

/* A path or a hyphened word may be divided (leaf_lines.c). */
static double longest_word(const struct mr_leaves *l, const char *text, bool bold) {
    double most = 0;
    while (*text) {
        size_t n = strcspn(text, " \n/-_");
        n += text[n] != '\0';
        const double w = mr_leaf_width(l, mr_strndup(l->arena, text, n), SIZE, bold);
        most = w > most ? w : most;
        text += n;
    }
    return most < WORD_MOST ? most : WORD_MOST;
}

static double whole_text(const struct mr_leaves *l, const char *text, bool bold) {
    double most = 0;
    for (const char *line = text; *line;) {
        const size_t n = strcspn(line, "\n");
        const double w = mr_leaf_width(l, mr_strndup(l->arena, line, n), SIZE, bold);
        most = w > most ? w : most;
        line += n + (line[n] != '\0');
    }
    return most;
}

struct column_need {
    double least;   /* the longest word */
    double natural; /* the longest text on one line, up to NATURAL_MOST */
    double bulk;    /* all texts one behind the other */
};

static void widen(const struct mr_leaves *l, const char *text, bool bold, struct column_need *need) {
    const double word = longest_word(l, text, bold), whole = whole_text(l, text, bold);
    need->least = fmax(need->least, word);
    need->natural = fmax(need->natural, fmin(whole, NATURAL_MOST));
    need->bulk += whole;
}

/* Columns hardly wider than an equal share get all that they would like. The wide ones divide the rest by how much
 * text each holds, never less than a word and never more than its longest text: so a column with one long remark does
 * not squeeze the one that is long in every row. */
static void share_width(struct column_need *c, size_t n, double width, double *out) {
    static const double narrow[] = {1.25, 1, 0}; /* of an equal share; as many as there is room for */
    double spare = -1, fixed = 0;
    for (size_t k = 0; k < MR_COUNT(narrow) && spare < 0; k++) {
        spare = width;
        for (size_t i = 0; i < n; i++) {
            out[i] = c[i].natural <= narrow[k] * width / (double)n ? c[i].natural : c[i].least;
            spare -= out[i];
        }
    }
    for (size_t round = 0; round < n && spare > 0.01; round++) {
        double bulk = 0;
        for (size_t i = 0; i < n; i++)
            bulk += out[i] < c[i].natural ? c[i].bulk : 0;
        const double each = bulk > 0 ? spare / bulk : 0;
        for (size_t i = 0; i < n; i++) {
            const double more = out[i] < c[i].natural ? fmin(each * c[i].bulk, c[i].natural - out[i]) : 0;
            out[i] += more;
            spare -= more;
        }
    }
    for (size_t i = 0; i < n; i++)
        fixed += out[i];
    for (size_t i = 0; i < n; i++)
        out[i] += fixed > width ? out[i] * (width / fixed - 1) : (width - fixed) / (double)n;
}

static double *column_widths(const struct mr_leaves *l, const struct mr_grid *g) {
    struct column_need *need = MR_ARRAY(l->arena, struct column_need, g->n);
    double *width = MR_ARRAY(l->arena, double, g->n);
    for (size_t c = 0; c < g->n; c++) {
        need[c].least = need[c].natural = longest_word(l, g->column[c].title, true);
        for (size_t i = c; i < g->cells.n; i += g->n)
            widen(l, g->cells.v[i].text, g->cells.v[i].bold, &need[c]);
        need[c].least += 2 * PAD + 0.1;
        need[c].natural += 2 * PAD + 0.1;
        need[c].bulk += 1;
    }
    share_width(need, g->n, l->right - l->left, width);
    return width;
}

/* A row under construction: the lines of each cell. */
struct set_row {
    const struct mr_grid_cell *cell;
    mr_leaf_lines *lines; /* shape: n */
    size_t most;          /* lines of the highest cell */
};

static struct set_row set_row(const struct mr_leaves *l, const struct mr_grid *g, const double *width,
                              const struct mr_grid_cell *cell) {
    struct set_row row = {cell, MR_ARRAY(l->arena, mr_leaf_lines, g->n), 1};
    for (size_t c = 0; c < g->n; c++) {
        mr_leaf_wrap(l, cell[c].text, SIZE, cell[c].bold, width[c] - 2 * PAD, &row.lines[c]);
        row.most = row.lines[c].n > row.most ? row.lines[c].n : row.most;
    }
    return row;
}

static void put_cell(struct mr_leaves *l, const struct mr_grid *g, const struct set_row *row, size_t c, double x,
                     double width, size_t from, size_t to, bool head) {
    const struct mr_grid_cell *cell = &row->cell[c];
    const double height = (double)(to - from) * STEP + 2 * LIFT;
    if (cell->filled)
        mr_leaves_put(l, (struct mr_set_piece){
                             .kind = MR_PIECE_FILL, .ink = cell->fill, .x = x, .y = l->y, .w = width, .h = height});
    mr_leaves_open(l, head ? "TH" : "TD");
    if (cell->to)
        mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_LINK, .to = cell->to});
    for (size_t i = from; i < to && i < row->lines[c].n; i++)
        mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_TEXT,
                                               .ink = cell->to ? MR_INK_BLUE : MR_INK_BLACK,
                                               .x = g->column[c].right ? x + width - PAD : x + PAD,
                                               .y = l->y + LIFT + SIZE * 0.95 + (double)(i - from) * STEP,
                                               .size = SIZE,
                                               .bold = cell->bold,
                                               .anchor = g->column[c].right ? MR_RIGHT : MR_LEFT,
                                               .text = row->lines[c].v[i]});
    if (cell->to)
        mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_UNLINK});
    mr_leaves_close(l);
}

/* Lines from..to of a row. */
static void put_row(struct mr_leaves *l, const struct mr_grid *g, const double *width, const struct set_row *row,
                    size_t from, size_t to, bool head) {
    double x = l->left;
    mr_leaves_open(l, "TR");
    for (size_t c = 0; c < g->n; x += width[c++])
        put_cell(l, g, row, c, x, width[c], from, to, head);
    mr_leaves_close(l);
    l->y += (double)(to - from) * STEP + 2 * LIFT;
    mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_RULE,
                                           .ink = head ? MR_INK_GREY : MR_INK_GRID,
                                           .x = l->left,
                                           .y = l->y,
                                           .w = l->right - l->left,
                                           .size = head ? 0.8 : 0.5});
}

static void turn(struct mr_leaves *l, const struct mr_grid *g, const double *width, const struct set_row *head) {
    mr_leaves_close(l);
    mr_leaves_turn(l);
    mr_leaves_open(l, "Table");
    put_row(l, g, width, head, 0, head->most, true);
}

/* A row goes to the next page whole; one that is higher than a page goes on line by line. */
static void put_body(struct mr_leaves *l, const struct mr_grid *g, const double *width, const struct set_row *head) {
    const double page = l->bottom - l->top - (double)head->most * STEP - 2 * LIFT;
    for (size_t i = 0; i + g->n <= g->cells.n; i += g->n) {
        const struct set_row row = set_row(l, g, width, &g->cells.v[i]);
        const double height = (double)row.most * STEP + 2 * LIFT;
        if (l->y + height > l->bottom && height <= page)
            turn(l, g, width, head);
        bool fresh = false; /* nothing but the head stands on this page */
        for (size_t from = 0; from < row.most;) {
            const double left = (l->bottom - l->y - 2 * LIFT) / STEP;
            const size_t room = left >= 1 ? (size_t)left : 0, rest = row.most - from;
            if (room == 0 && !fresh) {
                turn(l, g, width, head);
                fresh = true;
                continue;
            }
            const size_t part = rest < room ? rest : room ? room : 1;
            fresh = false;
            put_row(l, g, width, &row, from, from + part, false);
            from += part;
        }
    }
}

void mr_leaves_grid(struct mr_leaves *l, const struct mr_grid *g) {
    const double *width = column_widths(l, g);
    struct mr_grid_cell *titles = MR_ARRAY(l->arena, struct mr_grid_cell, g->n);
    for (size_t c = 0; c < g->n; c++)
        titles[c] =
            (struct mr_grid_cell){.text = g->column[c].title, .bold = true, .filled = true, .fill = MR_INK_SHADE};
    const struct set_row head = set_row(l, g, width, titles);
    if (g->cells.n) { /* the head never stands alone */
        const struct set_row first = set_row(l, g, width, g->cells.v);
        const size_t lines = first.most < 6 ? first.most : 6;
        mr_leaves_need(l, (double)(head.most + lines) * STEP + 4 * LIFT);
    }
    mr_leaves_open(l, "Table");
    put_row(l, g, width, &head, 0, head.most, true);
    put_body(l, g, width, &head);
    mr_leaves_close(l);
    l->y += 6;
}

#define FACT_SIZE 9.0
#define FACT_NAME 130.0

static void put_fact(struct mr_leaves *l, const char *element, double x, const mr_leaf_lines *lines, bool bold) {
    mr_leaves_open(l, element);
    for (size_t i = 0; i < lines->n; i++)
        mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_TEXT,
                                               .ink = MR_INK_BLACK,
                                               .x = x,
                                               .y = l->y + FACT_SIZE + (double)i * 1.32 * FACT_SIZE,
                                               .size = FACT_SIZE,
                                               .bold = bold,
                                               .text = lines->v[i]});
    mr_leaves_close(l);
}

void mr_leaves_facts(struct mr_leaves *l, size_t n, const struct mr_fact *facts) {
    mr_leaves_open(l, "Table");
    for (size_t i = 0; i < n; i++) {
        if (!facts[i].value || !facts[i].value[0])
            continue;
        mr_leaf_lines name = {0}, value = {0};
        mr_leaf_wrap(l, facts[i].name, FACT_SIZE, true, FACT_NAME - 8, &name);
        mr_leaf_wrap(l, facts[i].value, FACT_SIZE, false, l->right - l->left - FACT_NAME, &value);
        const double height = (double)(name.n > value.n ? name.n : value.n) * 1.32 * FACT_SIZE;
        if (l->y + height > l->bottom) {
            mr_leaves_close(l);
            mr_leaves_turn(l);
            mr_leaves_open(l, "Table");
        }
        mr_leaves_open(l, "TR");
        put_fact(l, "TH", l->left, &name, true);
        put_fact(l, "TD", l->left + FACT_NAME, &value, false);
        mr_leaves_close(l);
        l->y += height + 2;
    }
    mr_leaves_close(l);
    l->y += 6;
}
