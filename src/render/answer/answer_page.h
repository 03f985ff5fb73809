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
    MR_PAGE_FOLD, /* heading of what is shown only where it is asked for; up to the next heading */
    MR_PAGE_TURN, /* the front page ends; cell 0: NULL, or "printed" where something behind it is printed */
    MR_PAGE_TEXT,
    MR_PAGE_ROW_HEAD, /* of a table; its rows follow. number: rows side by side on paper, 1 or 2 */
    MR_PAGE_ROW,
    MR_PAGE_STEP,   /* what to do. cell 0: the step, cell 1: where, or NULL. number: of the step */
    MR_PAGE_DETAIL, /* what a step is about */
    MR_PAGE_FOLDED, /* the same, shown only where it is asked for */
    MR_PAGE_PASTE,  /* a line for the job file */
    MR_PAGE_LINK,   /* cell 0: what it is, cell 1: path below the job folder */
    MR_PAGE_FIGURE, /* the same; the text leaves figures out */
};

/* What the words say, for the eye. */
enum mr_page_tone { MR_TONE_PLAIN, MR_TONE_GOOD, MR_TONE_OPEN, MR_TONE_BAD };

enum { MR_PAGE_CELLS = 4 };

struct mr_page_item {
    enum mr_page_kind kind;
    enum mr_page_tone tone;
    size_t number;
    const char *cell[MR_PAGE_CELLS]; /* NULL behind the last */
};

struct mr_page;

/* One printed page, in lines of its own type: how many it has, and how many tenths of a line items [from, to) take on
 * it, folded ones none. What is estimated to be full has room left. */
struct mr_page_form {
    size_t lines;
    size_t (*tenths)(const struct mr_page *page, size_t from, size_t to);
};

struct mr_page {
    struct mr_arena *arena;
    const struct mr_page_form *form;
    MR_VEC(struct mr_page_item) items;
};

/** mr_page_add - the item; cells are made clean and cut at 1000 bytes. */
void mr_page_add(struct mr_page *page, struct mr_page_item item);

/** mr_page_text - wrapped at 110 characters, tables aligned by spaces; what is folded stands at the end. mr_page_html
 * - one page without script or style sheet from elsewhere, in the order in which it is to be read. mark: the first
 * line, by which the page is known. */
char *mr_page_text(const struct mr_page *page, const char *mark);
char *mr_page_html(const struct mr_page *page, const char *mark);

/* A page of plain text: 76 lines of 110 characters in a type of 8 points; a browser's page with margins of 10 mm, as
 * the style sheet of the HTML page sets it. Both are of Letter, which is the shorter one; A4 has more room. */
extern const struct mr_page_form mr_form_of_text, mr_form_of_html;

#endif
