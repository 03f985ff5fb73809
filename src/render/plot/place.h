/*
 * place.h - where a label may stand: clear of everything drawn so far, of other labels and of the page's edge.
 *
 * Candidate positions are tried in order of preference; the first that is clear wins. What finds no place gets a
 * number, and its text stands in full below the plot. Charts draw lines and marks first, labels last. Fills and the
 * light grid are ground, on which text may stand; lines, marks, outlines and hatches are not.
 */
#ifndef MILRISE_RENDER_PLOT_PLACE_H
#define MILRISE_RENDER_PLOT_PLACE_H

#include "render/plot/chart_axes.h"

struct mr_placer;

/** mr_placer_new - for one list; what is drawn after is taken in before each label. */
struct mr_placer *mr_placer_new(struct mr_drawlist *list);

struct mr_room { /* a rectangle that a label must stay in */
    double x, y, w, h;
};

/** mr_label_text - draw text at the first of n baseline points where it is clear and inside room. Returns: placed. */
bool mr_label_text(struct mr_placer *placer, struct mr_room room, struct mr_type type, const char *text, size_t n,
                   const struct mr_point *candidate);

/** mr_label_level - name a level line at y, right end first, above before below, at last anywhere near with a leader.
 * Returns: placed. */
bool mr_label_level(struct mr_placer *placer, struct mr_room room, struct mr_ink ink, double y, const char *text);

/** mr_label_point - name a point: close by, else farther off with a leader. clear: distance kept from the point.
 * Returns: placed. */
bool mr_label_point(struct mr_placer *placer, struct mr_room room, struct mr_type type, struct mr_point at,
                    double clear, const char *text);

/** mr_label_above - name an upright line whose upper end is at: in rows above it, on the side asked for where that is
 * clear. What finds no place is numbered as below. */
void mr_label_above(struct mr_placer *placer, struct mr_room room, struct mr_ink ink, struct mr_point at, bool right,
                    const char *text);

/** mr_label_or_number - as mr_label_point; what finds no place gets a number there, or, where not even that is clear,
 * is only told below the plot. */
void mr_label_or_number(struct mr_placer *placer, struct mr_room room, struct mr_type type, struct mr_point at,
                        double clear, const char *text);

#endif
