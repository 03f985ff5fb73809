/*
 * draw_list.h - a chart as a neutral list of lines, areas, marks and texts in points (1/72 inch), origin top left.
 *
 * Charts fill the list without knowing any graphics library; draw_cairo.c is the one back end. The list prints as
 * stable text, which is what golden tests and people read. Everything lives in the list's arena.
 */
#ifndef MILRISE_RENDER_DRAW_DRAW_LIST_H
#define MILRISE_RENDER_DRAW_DRAW_LIST_H

#include "milrise/arena.h"

struct mr_ink {
    unsigned char r, g, b;
};

struct mr_point {
    double x, y;
};

#define MR_INK_GRID ((struct mr_ink){0xe4, 0xe4, 0xe4}) /* the light grid: ground, not ink (mr_op_is_ground) */

enum mr_anchor { MR_LEFT, MR_MIDDLE, MR_RIGHT };
enum mr_mark { MR_DOT, MR_UP, MR_DOWN, MR_DIAMOND, MR_SQUARE, MR_CROSS, MR_RING };
enum mr_dash { MR_SOLID, MR_DASHED, MR_DOTTED, MR_DASH_DOT, MR_LONG_DASH };

enum mr_op_kind {
    MR_OP_RECT,
    MR_OP_BOX,
    MR_OP_LINE,
    MR_OP_AREA,
    MR_OP_HATCH,
    MR_OP_TEXT,
    MR_OP_MARKS,
    MR_OP_CLIP,
    MR_OP_UNCLIP
};

/* One thing to draw. Members that a kind does not use are zero. */
struct mr_op {
    enum mr_op_kind kind;
    struct mr_ink ink;
    double x, y, w, h; /* RECT (filled), BOX (outline), HATCH and CLIP: the rectangle; TEXT: x and baseline y */
    double size;       /* LINE, BOX, HATCH: pen width; TEXT: type size; MARKS: diameter */
    enum mr_dash dash;
    enum mr_anchor anchor; /* TEXT */
    bool bold, turned;     /* TEXT; turned reads upwards */
    bool beside;           /* of the figures in words beside the plot, which a small picture leaves to cells */
    enum mr_mark mark;
    const char *text;
    size_t n; /* LINE, AREA, MARKS */
    const struct mr_point *point;
};

struct mr_drawlist {
    struct mr_arena *arena;
    double width_pt, height_pt;
    const char *title; /* for document properties */
    const char *desc;  /* what the picture shows, for those who cannot see it; NULL */
    /* Words above and below the plot, whole; a sheet prints them as cells, and its picture is what lies between. */
    const char *subtitle, *caption;     /* NULL: none */
    double plot_top_pt, plot_bottom_pt; /* 0: no words */
    /* The caption as it is made: since when the figure stands as it is goes between these two (mr_page_stands). */
    const char *caption_head, *caption_tail;
    size_t foot_op; /* the caption's first op, from which on nothing else is drawn */
    MR_VEC(struct mr_op) ops;
    MR_VEC(const char *) told;     /* texts that the plot had to cut, for the foot of the page */
    MR_VEC(const char *) numbered; /* texts that the plot gives by number, from 1, likewise */
    MR_VEC(const char *) beside;   /* what stands beside the plot: "mean 11.45", headings end in a colon */
};

struct mr_drawlist *mr_drawlist_new(struct mr_arena *arena, double width_pt, double height_pt, const char *title);

void mr_draw_rect(struct mr_drawlist *list, struct mr_ink ink, double x, double y, double w, double h);
void mr_draw_box(struct mr_drawlist *list, struct mr_ink ink, double pen, double x, double y, double w, double h);
void mr_draw_hatch(struct mr_drawlist *list, struct mr_ink ink, double pen, double x, double y, double w, double h);
void mr_draw_segment(struct mr_drawlist *list, struct mr_ink ink, double pen, enum mr_dash dash, double x0, double y0,
                     double x1, double y1);
/* points are copied */
void mr_draw_line(struct mr_drawlist *list, struct mr_ink ink, double pen, enum mr_dash dash, size_t n,
                  const struct mr_point *point);
void mr_draw_area(struct mr_drawlist *list, struct mr_ink ink, size_t n, const struct mr_point *point);
void mr_draw_marks(struct mr_drawlist *list, struct mr_ink ink, enum mr_mark mark, double size, size_t n,
                   const struct mr_point *point);
void mr_draw_mark(struct mr_drawlist *list, struct mr_ink ink, enum mr_mark mark, double size, double x, double y);
void mr_draw_clip(struct mr_drawlist *list, double x, double y, double w, double h);
void mr_draw_unclip(struct mr_drawlist *list);

/* Text of one line; control characters and broken UTF-8 are neutralised. */
struct mr_type {
    struct mr_ink ink;
    double size;
    enum mr_anchor anchor;
    bool bold, turned;
};
void mr_draw_text(struct mr_drawlist *list, struct mr_type type, double x, double y, const char *text);

/** mr_tell, mr_tell_numbered - a text for the foot of the page, each once. Returns: its number. */
void mr_tell(struct mr_drawlist *list, const char *text);
size_t mr_tell_numbered(struct mr_drawlist *list, const char *text);

struct mr_box {
    double x0, y0, x1, y1;
};
/** mr_text_box - what a text covers, from the tops of its capitals to the feet of its descenders. */
struct mr_box mr_text_box(const struct mr_op *text);

/** mr_dash_lengths - strokes and gaps of a dash in points for a pen. Returns: how many, 0 for a solid line. */
size_t mr_dash_lengths(enum mr_dash dash, double pen, double out[4]);

/** mr_op_is_ground - fills and the light grid, on which labels may stand. */
bool mr_op_is_ground(const struct mr_op *op);

/** mr_text_width - width in points of one line in DejaVu Sans, from its published advances (Latin-1 exact, other
 * letters taken as 0.64 em, ideographs as 1 em); so that layout needs no graphics library. */
double mr_text_width(const char *text, double size, bool bold);

/** mr_text_fit - text cut with "…" so that it is no wider than width. */
const char *mr_text_fit(struct mr_arena *arena, const char *text, double size, bool bold, double width);

/** mr_text_wrap - text broken at blanks into at most max_lines lines no wider than width (the last one cut by
 *  mr_text_fit). lines has room for max_lines. Returns: number of lines. */
size_t mr_text_wrap(struct mr_arena *arena, const char *text, double size, bool bold, double width, size_t max_lines,
                    const char **lines);

/** mr_plot_height - in points, of what lies between the words. */
double mr_plot_height(const struct mr_drawlist *list);

/** mr_drawlist_dump - one line per item, coordinates to 0.01 pt, long lines of points abridged to first, count and
 * last. */
char *mr_drawlist_dump(struct mr_arena *arena, const struct mr_drawlist *list);

#endif
