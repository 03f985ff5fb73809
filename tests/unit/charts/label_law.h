/*
 * label_law.h - the law of labels, checked on a draw list by geometry of its own: nothing here is shared with the
 * module that places them.
 */
#ifndef MILRISE_TESTS_LABEL_LAW_H
#define MILRISE_TESTS_LABEL_LAW_H

#include "render/draw/draw_list.h"

/** label_law - texts that leave the page, meet another text, lie over a line, a mark, an outline or a hatch, are
 * covered by what is drawn after them, or have ink hidden under white for them. Each is printed with its chart's
 * name, the first few. Returns: how many. */
size_t label_law(const struct mr_drawlist *list, const char *name);

#endif
