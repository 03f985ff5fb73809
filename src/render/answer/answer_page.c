/*
 * answer_page.c - items of the page, and how much of a sheet of paper they take when a browser prints them.
 */
#include "render/answer/answer_page.h"

#include "base/utf8.h"
#include "milrise/diag.h"

#include <string.h>

/* Characters of a line of the widest of the usual typefaces, over the whole width and in one of two columns; lines by
 * which a page is filled, of 8.89 points; space around an item in tenths of a line. Measured on printed pages. */
enum { WIDTH = 126, HALF = 64, LINES = 82 };
enum { AROUND_HEADING = 9, AROUND_ROW = 1, AROUND_TEXT = 3, AROUND_STEP = 1 };

/* Characters that fit into a column of a table that has the whole width, or half of it. */
static const size_t column_width[2][MR_PAGE_CELLS] = {{32, 20, 14, 70}, {30, 20, 8, 9}};

void mr_page_add(struct mr_page *page, struct mr_page_item item) {
    for (size_t i = 0; i < MR_PAGE_CELLS; i++)
        if (item.cell[i])
            item.cell[i] = mr_clean_text(page->arena, item.cell[i], strlen(item.cell[i]), 1000);
    MR_PUSH(page->arena, &page->items, item);
}

static size_t lines_of(size_t characters, size_t width) {
    return characters ? (characters + width - 1) / width : 1;
}

static size_t characters(const struct mr_page_item *item) {
    size_t n = 0;
    for (size_t i = 0; i < MR_PAGE_CELLS && item->cell[i]; i++)
        n += mr_utf8_characters(item->cell[i], strlen(item->cell[i])) + 2;
    return n;
}

static size_t row_lines(const struct mr_page_item *item, bool halved) {
    size_t most = 1;
    for (size_t c = 0; c < MR_PAGE_CELLS && item->cell[c]; c++) {
        const size_t n = lines_of(mr_utf8_characters(item->cell[c], strlen(item->cell[c])), column_width[halved][c]);
        most = n > most ? n : most;
    }
    return most;
}

static size_t printed_tenths(const struct mr_page *page, size_t from, size_t to) {
    size_t tenths = 0;
    bool folded = false, halved = false;
    for (size_t i = from; i < to; i++) {
        const struct mr_page_item *item = &page->items.v[i];
        const enum mr_page_kind kind = item->kind;
        if (kind == MR_PAGE_HEADING || kind == MR_PAGE_FOLD) {
            folded = kind == MR_PAGE_FOLD;
            tenths += 10 + AROUND_HEADING;
        } else if (folded || kind == MR_PAGE_FOLDED || kind == MR_PAGE_FIGURE || kind == MR_PAGE_TURN)
            continue;
        else if (kind == MR_PAGE_ROW_HEAD || kind == MR_PAGE_ROW) {
            halved = kind == MR_PAGE_ROW_HEAD ? item->number > 1 : halved;
            tenths += (10 * row_lines(item, halved) + AROUND_ROW + halved) / (1 + halved);
        } else if (kind == MR_PAGE_STEP || kind == MR_PAGE_PASTE || kind == MR_PAGE_DETAIL)
            tenths += 5 * lines_of(characters(item), HALF) + (kind == MR_PAGE_STEP ? AROUND_STEP : 0);
        else if (kind == MR_PAGE_LINK)
            tenths += 5 * lines_of(characters(item), HALF + 6);
        else
            tenths += 10 * lines_of(characters(item), WIDTH) + AROUND_TEXT;
    }
    return tenths;
}

const struct mr_page_form mr_form_of_html = {.lines = LINES, .tenths = printed_tenths};
