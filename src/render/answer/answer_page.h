/*
 * answer_page.h - the answer as a list of items that a text and an HTML page show alike.
 */
#ifndef MILRISE_RENDER_ANSWER_ANSWER_PAGE_H
#define MILRISE_RENDER_ANSWER_ANSWER_PAGE_H

#include "milrise/arena.h"

enum mr_page_kind {
    MR_PAGE_TITLE,
    MR_PAGE_LEAD, /* the verdict */
    MR_PAGE_HEADING,
    MR_PAGE_TEXT,
    MR_PAGE_ROW_HEAD, /* of a table; its rows follow */
    MR_PAGE_ROW,
    MR_PAGE_STEP,   /* what to do */
    MR_PAGE_DETAIL, /* what a step is about */
    MR_PAGE_PASTE,  /* a line for the job file */
    MR_PAGE_LINK,   /* cell 0: what it is, cell 1: path below the job folder */
    MR_PAGE_FIGURE, /* the same; the text leaves figures out */
};

enum { MR_PAGE_CELLS = 4 };

struct mr_page_item {
    enum mr_page_kind kind;
    const char *cell[MR_PAGE_CELLS]; /* NULL behind the last */
};

struct mr_page {
    struct mr_arena *arena;
    MR_VEC(struct mr_page_item) items;
};

/** mr_page_text - wrapped at 100 characters, tables aligned by spaces. mr_page_html - one page without script or
 * style sheet from elsewhere, in the order in which it is to be read. mark: the first line, by which the page is
 * known. */
char *mr_page_text(const struct mr_page *page, const char *mark);
char *mr_page_html(const struct mr_page *page, const char *mark);

#endif
