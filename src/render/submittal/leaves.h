/*
 * leaves.h - pages of a document under construction: headings, paragraphs, tables and figures set one below the other
 * and broken into pages, as lists of pieces in points (1/72 inch), origin top left. Nothing here knows a graphics
 * library: tests read the pieces, leaf_pdf.c draws them.
 *
 * Everything lives in the arena. Nothing is clipped: text is broken into lines, rows and paragraphs go on over pages.
 */
#ifndef MILRISE_RENDER_SUBMITTAL_LEAVES_H
#define MILRISE_RENDER_SUBMITTAL_LEAVES_H

#include "render/plot/chart_list.h"

enum mr_piece_kind {
    MR_PIECE_TEXT,    /* one line; x by anchor, y the baseline */
    MR_PIECE_NUMBER,  /* the page on which the place `to` is, as text */
    MR_PIECE_FILL,    /* a filled rectangle */
    MR_PIECE_RULE,    /* a line from x, y to x + w, y + h */
    MR_PIECE_FIGURE,  /* a draw list, its top left at x, y */
    MR_PIECE_PICTURE, /* a PNG file's bytes in a rectangle */
    MR_PIECE_OPEN,    /* of the structure: text is the element's name */
    MR_PIECE_CLOSE,
    MR_PIECE_LINK, /* what follows leads to the place `to`, until MR_PIECE_UNLINK */
    MR_PIECE_UNLINK,
    MR_PIECE_PLACE, /* the place `to` is here */
};

struct mr_set_piece {
    enum mr_piece_kind kind;
    struct mr_ink ink;
    double x, y, w, h;
    double size; /* of type, or of the pen */
    bool bold;
    enum mr_anchor anchor;
    const char *text;
    const char *to;
    const struct mr_drawlist *figure;
    const unsigned char *bytes; /* of the picture */
    size_t n_bytes;
};

struct mr_leaf {
    MR_VEC(struct mr_set_piece) pieces;
};

struct mr_bookmark {
    const char *title, *to;
    int level; /* 0, 1 */
};

struct mr_leaf_place {
    const char *name;
    size_t page; /* from 0 */
};

struct mr_leaves {
    struct mr_arena *arena;
    double width, height;            /* of the paper */
    double left, right, top, bottom; /* edges of what is set; head and foot of the page lie outside */
    double y;                        /* where the next thing goes */
    bool other_font;                 /* the figures' font is missing: every width is asked of the graphics library */
    MR_VEC(struct mr_leaf) leaf;
    MR_VEC(struct mr_bookmark) bookmarks;
    MR_VEC(struct mr_leaf_place) places;
};

/* How a paragraph is set. */
enum mr_leaf_style { MR_LEAF_TITLE, MR_LEAF_H1, MR_LEAF_H2, MR_LEAF_H3, MR_LEAF_BODY, MR_LEAF_STRONG, MR_LEAF_NOTE };
#define MR_LEAF_SMALL 7.5 /* type of notes */
#define MR_LEAF_TABLE 7.0 /* of tables, the smallest */

struct mr_leaves *mr_leaves_new(struct mr_arena *arena, bool letter, bool other_font);

/** mr_leaves_turn - begin a new page, unless nothing stands on this one. mr_leaves_need - a new page where less than
 * height is left. */
void mr_leaves_turn(struct mr_leaves *leaves);
void mr_leaves_need(struct mr_leaves *leaves, double height);

/** mr_leaves_put - a piece as it is, on this page. */
void mr_leaves_put(struct mr_leaves *leaves, struct mr_set_piece piece);
void mr_leaves_open(struct mr_leaves *leaves, const char *element);
void mr_leaves_close(struct mr_leaves *leaves);

/** mr_leaves_heading - H1, H2 or H3, kept with what follows; place NULL: nothing leads here. with a place, all but
 * H3 get a bookmark. */
void mr_leaves_heading(struct mr_leaves *leaves, enum mr_leaf_style style, const char *text, const char *place);

/** mr_leaves_paragraph - text in lines over the whole width, less indent at the left. */
void mr_leaves_paragraph(struct mr_leaves *leaves, enum mr_leaf_style style, double indent, const char *text);

/** mr_leaves_figure - a chart in full size with its words below; smaller where of_page of them would not fit on a
 * page. place: a name under which it can be led to; NULL. */
void mr_leaves_figure(struct mr_leaves *leaves, const struct mr_chart *chart, unsigned of_page, const char *place);

/** mr_leaves_facts - names in a column, what each is beside it; empty ones are left out. */
struct mr_fact {
    const char *name, *value;
};
void mr_leaves_facts(struct mr_leaves *leaves, size_t n, const struct mr_fact *facts);

/* Something that is kept on one page where it fits on one: set it, ask whether it broke, set it again on a new page.
 *     struct mr_leaf_mark mark = mr_leaves_mark(l);
 *     do ... while (mr_leaves_again(l, &mark)); */
struct mr_leaf_mark {
    size_t pages, pieces, bookmarks, places;
    double y;
    bool tried;
};
struct mr_leaf_mark mr_leaves_mark(struct mr_leaves *leaves);
bool mr_leaves_again(struct mr_leaves *leaves, struct mr_leaf_mark *mark);
void mr_leaves_undo(struct mr_leaves *leaves, const struct mr_leaf_mark *mark); /* as it was at the mark */

/* ---- lines of text ---- */

typedef MR_VEC(const char *) mr_leaf_lines;

/** mr_leaf_clean - mr_clean_text for what goes to paper. */
const char *mr_leaf_clean(struct mr_arena *arena, const char *text, size_t n, size_t max);

/** mr_leaf_width - width of one line in points. mr_leaf_wrap - text as lines no wider than width, broken at line
 * feeds, blanks, and inside a word that is too long. */
double mr_leaf_width(const struct mr_leaves *leaves, const char *text, double size, bool bold);
void mr_leaf_wrap(const struct mr_leaves *leaves, const char *text, double size, bool bold, double width,
                  mr_leaf_lines *out);

/* ---- tables ---- */

struct mr_grid_cell {
    const char *text;
    const char *to; /* a place; NULL */
    bool bold, filled;
    struct mr_ink fill;
};

struct mr_grid_column {
    const char *title;
    bool right; /* figures */
};

struct mr_grid {
    struct mr_arena *arena;
    size_t n; /* columns */
    const struct mr_grid_column *column;
    MR_VEC(struct mr_grid_cell) cells; /* row by row */
};

struct mr_grid mr_grid_new(struct mr_arena *arena, size_t n, const struct mr_grid_column *columns);
void mr_grid_text(struct mr_grid *grid, const char *text);
void mr_grid_link(struct mr_grid *grid, const char *text, const char *to);
/** mr_grid_outcome - in these words, with a ground that shows in grey too. */
void mr_grid_outcome(struct mr_grid *grid, enum mr_outcome outcome, const char *words);

/** mr_leaves_grid - the table, its head again on each page. first_is_head: the first cell of a row names it. */
void mr_leaves_grid(struct mr_leaves *leaves, const struct mr_grid *grid);

#endif
