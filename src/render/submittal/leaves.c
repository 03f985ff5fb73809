/*
 * leaves.c - see leaves.h: pages, headings, paragraphs, figures.
 */
#include "render/submittal/leaves.h"

#include <string.h>

#define FIGURE_WIDTH MR_PAGE_W /* set in full size, so that its type keeps its size */
#define SMALLER_LEAST 0.93     /* type of 7.5 points becomes 7 */
#define TOP 54.0
#define BOTTOM 44.0

static const struct {
    double size;
    bool bold, grey;
    double before, after;
    const char *element;
} styles[] = {[MR_LEAF_TITLE] = {22, true, false, 0, 8, "H1"},         [MR_LEAF_H1] = {15, true, false, 14, 4, "H1"},
              [MR_LEAF_H2] = {12, true, false, 10, 3, "H2"},           [MR_LEAF_H3] = {9, true, false, 8, 2, "H3"},
              [MR_LEAF_BODY] = {9, false, false, 0, 4, "P"},           [MR_LEAF_STRONG] = {9, true, false, 0, 4, "P"},
              [MR_LEAF_NOTE] = {MR_LEAF_SMALL, false, true, 0, 4, "P"}};

struct mr_leaves *mr_leaves_new(struct mr_arena *arena, bool letter, bool other_font) {
    struct mr_leaves *l = MR_NEW(arena, struct mr_leaves);
    *l = (struct mr_leaves){.arena = arena,
                            .width = letter ? 612.0 : 595.276,
                            .height = letter ? 792.0 : 841.89,
                            .other_font = other_font};
    l->left = (l->width - FIGURE_WIDTH) / 2;
    l->right = l->left + FIGURE_WIDTH;
    l->top = TOP;
    l->bottom = l->height - BOTTOM;
    l->y = l->top;
    MR_PUSH(arena, &l->leaf, (struct mr_leaf){0});
    return l;
}

static struct mr_leaf *this_page(struct mr_leaves *l) {
    return &l->leaf.v[l->leaf.n - 1];
}

static bool at_top(const struct mr_leaves *l) {
    return l->y <= l->top;
}

void mr_leaves_turn(struct mr_leaves *l) {
    if (at_top(l))
        return;
    MR_PUSH(l->arena, &l->leaf, (struct mr_leaf){0});
    l->y = l->top;
}

void mr_leaves_need(struct mr_leaves *l, double height) {
    if (l->y + height > l->bottom)
        mr_leaves_turn(l);
}

static void leave_gap(struct mr_leaves *l, double height) {
    if (!at_top(l))
        l->y += height;
}

void mr_leaves_put(struct mr_leaves *l, struct mr_set_piece piece) {
    MR_PUSH(l->arena, &this_page(l)->pieces, piece);
}

void mr_leaves_open(struct mr_leaves *l, const char *element) {
    mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_OPEN, .text = element});
}

void mr_leaves_close(struct mr_leaves *l) {
    mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_CLOSE});
}

/* The next thing can be led to under this name. */
static void put_place(struct mr_leaves *l, const char *name) {
    MR_PUSH(l->arena, &l->places, ((struct mr_leaf_place){name, l->leaf.n - 1}));
    mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_PLACE, .to = name, .x = l->left, .y = l->y});
}

/* Two lines at least stay together; an element is closed at the end of a page and opened again on the next. */
static void put_lines(struct mr_leaves *l, enum mr_leaf_style style, double indent, const mr_leaf_lines *lines) {
    const double size = styles[style].size, step = 1.32 * size;
    mr_leaves_need(l, (lines->n > 2 ? 2 : (double)lines->n) * step);
    mr_leaves_open(l, styles[style].element);
    for (size_t i = 0; i < lines->n; i++) {
        if (l->y + step > l->bottom && !at_top(l)) {
            mr_leaves_close(l);
            mr_leaves_turn(l);
            mr_leaves_open(l, styles[style].element);
        }
        mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_TEXT,
                                               .ink = styles[style].grey ? MR_INK_GREY : MR_INK_BLACK,
                                               .x = l->left + indent,
                                               .y = l->y + size,
                                               .size = size,
                                               .bold = styles[style].bold,
                                               .text = lines->v[i]});
        l->y += step;
    }
    mr_leaves_close(l);
    l->y += styles[style].after;
}

void mr_leaves_paragraph(struct mr_leaves *l, enum mr_leaf_style style, double indent, const char *text) {
    if (!text || !text[0])
        return;
    mr_leaf_lines lines = {0};
    mr_leaf_wrap(l, text, styles[style].size, styles[style].bold, l->right - l->left - indent, &lines);
    put_lines(l, style, indent, &lines);
}

void mr_leaves_heading(struct mr_leaves *l, enum mr_leaf_style style, const char *text, const char *place) {
    enum { ROOM_BELOW = 40, TITLE_BYTES = 400 };
    mr_leaf_lines lines = {0};
    mr_leaf_wrap(l, text, styles[style].size, styles[style].bold, l->right - l->left, &lines);
    leave_gap(l, styles[style].before);
    mr_leaves_need(l, (double)lines.n * 1.32 * styles[style].size + ROOM_BELOW);
    if (place)
        put_place(l, place);
    const char *title = mr_leaf_clean(l->arena, text, strlen(text), TITLE_BYTES);
    if (place && style <= MR_LEAF_H2)
        MR_PUSH(l->arena, &l->bookmarks, ((struct mr_bookmark){title, place, style == MR_LEAF_H2}));
    put_lines(l, style, 0, &lines);
}

/* A figure that is higher than its part of the page is set smaller. */
void mr_leaves_figure(struct mr_leaves *l, const struct mr_chart *c, unsigned of_page, const char *place) {
    mr_leaf_lines lines = {0};
    mr_leaf_wrap(l, c->alt, MR_LEAF_SMALL, false, l->right - l->left, &lines);
    const double words = (double)lines.n * 1.32 * MR_LEAF_SMALL + 8, room = (l->bottom - l->top) / of_page - words;
    const double most = room > 100 ? room : 100, high = c->list->height_pt, wide = c->list->width_pt;
    double scale = high > most ? most / high : 1.0;
    if (scale < SMALLER_LEAST && of_page > 1) {
        mr_leaves_figure(l, c, 1, place);
        return;
    }
    scale = wide * scale > l->right - l->left + 0.5 ? (l->right - l->left) / wide : scale;
    mr_leaves_need(l, high * scale + words);
    if (place)
        put_place(l, place);
    mr_leaves_open(l, "Figure");
    mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_FIGURE,
                                           .x = l->left,
                                           .y = l->y,
                                           .w = wide * scale,
                                           .h = high * scale,
                                           .text = c->alt,
                                           .figure = c->list});
    l->y += high * scale;
    mr_leaves_close(l);
    put_lines(l, MR_LEAF_NOTE, 0, &lines);
    l->y += 3;
}

struct mr_leaf_mark mr_leaves_mark(struct mr_leaves *l) {
    return (struct mr_leaf_mark){l->leaf.n, this_page(l)->pieces.n, l->bookmarks.n, l->places.n, l->y, at_top(l)};
}

void mr_leaves_undo(struct mr_leaves *l, const struct mr_leaf_mark *m) {
    l->leaf.n = m->pages;
    this_page(l)->pieces.n = m->pieces;
    l->bookmarks.n = m->bookmarks;
    l->places.n = m->places;
    l->y = m->y;
}

bool mr_leaves_again(struct mr_leaves *l, struct mr_leaf_mark *m) {
    if (m->tried || l->leaf.n == m->pages)
        return false;
    mr_leaves_undo(l, m);
    mr_leaves_turn(l);
    *m = mr_leaves_mark(l);
    m->tried = true;
    return true;
}
