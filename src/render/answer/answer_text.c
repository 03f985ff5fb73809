/*
 * answer_text.c - the page as plain text.
 */
#include "render/answer/answer_page.h"

#include "base/buffer.h"
#include "base/utf8.h"

#include <string.h>

/* Two of the 76 lines of a page are the mark at its head. */
enum { WIDTH = 110, CELL_MOST = 44, LAST_LEAST = 20, LINES = 74 };

/* Words until the line is full, of which the first at characters are taken; further lines begin at indent. */
static void put_words(struct mr_buffer *out, size_t at, size_t indent, const char *text) {
    for (bool first = true; *text; first = false) {
        size_t n = strcspn(text, " \n"), wide = mr_utf8_characters(text, n);
        if (!first && at + 1 + wide > WIDTH) {
            mr_buffer_text(out, "\n");
            for (size_t i = 0; i < indent; i++)
                mr_buffer_text(out, " ");
            at = indent;
        } else if (!first) {
            mr_buffer_text(out, " ");
            at++;
        }
        mr_buffer_add(out, text, n);
        at += wide;
        text += n;
        text += strspn(text, " \n");
    }
    mr_buffer_text(out, "\n");
}

static void put_wrapped(struct mr_buffer *out, const char *lead, const char *text) {
    const size_t indent = mr_utf8_characters(lead, strlen(lead));
    mr_buffer_text(out, lead);
    put_words(out, indent, indent, text);
}

static size_t rows_from(const struct mr_page *page, size_t i) {
    size_t n = 1;
    while (i + n < page->items.n && page->items.v[i + n].kind == MR_PAGE_ROW)
        n++;
    return n;
}

static void put_row(struct mr_buffer *out, const struct mr_page_item *row, const size_t width[MR_PAGE_CELLS]) {
    size_t at = 0, indent = 0;
    for (size_t c = 0; c < MR_PAGE_CELLS && row->cell[c]; c++) {
        mr_buffer_text(out, "  ");
        at += 2, indent += 2;
        if (c + 1 == MR_PAGE_CELLS || !row->cell[c + 1]) {
            if (at + LAST_LEAST > WIDTH) {
                mr_buffer_put(out, "\n%*s", (int)indent, "");
                at = indent;
            }
            put_words(out, at, indent, row->cell[c]);
            return;
        }
        mr_buffer_text(out, row->cell[c]);
        at += mr_utf8_characters(row->cell[c], strlen(row->cell[c]));
        for (indent += width[c]; at < indent; at++)
            mr_buffer_text(out, " ");
    }
}

/* Columns as wide as their cells; the last has what is left of the line, and as many lines as it needs. */
static void put_rows(struct mr_buffer *out, const struct mr_page *page, size_t i, size_t n) {
    size_t width[MR_PAGE_CELLS] = {0};
    for (size_t k = 0; k < n; k++)
        for (size_t c = 0; c < MR_PAGE_CELLS && page->items.v[i + k].cell[c]; c++) {
            const char *cell = page->items.v[i + k].cell[c];
            size_t wide = mr_utf8_characters(cell, strlen(cell));
            width[c] = wide > width[c] && wide <= CELL_MOST ? wide : width[c];
        }
    for (size_t k = 0; k < n; k++)
        put_row(out, &page->items.v[i + k], width);
}

static void put_heading(struct mr_buffer *out, const char *text) {
    mr_buffer_put(out, "\n%s ", text);
    for (size_t i = mr_utf8_characters(text, strlen(text)) + 1; i < WIDTH; i++)
        mr_buffer_text(out, "-");
    mr_buffer_text(out, "\n");
}

/* What was found stands behind all that is to be done, by the number of its step. */
static void put_folded(struct mr_buffer *out, const struct mr_page *page) {
    const char *lead = NULL;
    bool any = false;
    for (size_t i = 0; i < page->items.n; i++) {
        const struct mr_page_item *item = &page->items.v[i];
        if (item->kind == MR_PAGE_STEP)
            lead = mr_printf(page->arena, "%2zu. ", item->number);
        if (item->kind != MR_PAGE_FOLDED)
            continue;
        if (!any)
            put_heading(out, "What was found, step by step");
        any = true;
        put_wrapped(out, lead, item->cell[0]);
        lead = "    ";
    }
}

static void put_item(struct mr_buffer *out, const struct mr_page *page, const struct mr_page_item *item) {
    switch (item->kind) {
    case MR_PAGE_TITLE:
    case MR_PAGE_LEAD:
    case MR_PAGE_TEXT:
        put_wrapped(out, "", item->cell[0]);
        break;
    case MR_PAGE_HEADING:
    case MR_PAGE_FOLD:
        put_heading(out, item->cell[0]);
        break;
    case MR_PAGE_STEP:
        put_wrapped(out, mr_printf(page->arena, "%2zu. ", item->number),
                    item->cell[1] ? mr_printf(page->arena, "%s: %s", item->cell[1], item->cell[0]) : item->cell[0]);
        break;
    case MR_PAGE_DETAIL:
        put_wrapped(out, "    - ", item->cell[0]);
        break;
    case MR_PAGE_PASTE:
        mr_buffer_put(out, "        %s\n", item->cell[0]);
        break;
    case MR_PAGE_LINK:
        mr_buffer_put(out, "  %-10s %s\n", item->cell[0], item->cell[1]);
        break;
    case MR_PAGE_ROW_HEAD:
    case MR_PAGE_ROW:
    case MR_PAGE_FOLDED:
    case MR_PAGE_FIGURE:
    case MR_PAGE_TURN:
        break;
    }
}

static void put_items(struct mr_buffer *out, const struct mr_page *page, size_t from, size_t to) {
    for (size_t i = from; i < to; i++) {
        if (page->items.v[i].kind == MR_PAGE_ROW_HEAD) {
            const size_t n = rows_from(page, i);
            put_rows(out, page, i, n);
            i += n - 1;
        } else
            put_item(out, page, &page->items.v[i]);
    }
}

static size_t written_tenths(const struct mr_page *page, size_t from, size_t to) {
    struct mr_buffer out = {.arena = page->arena};
    size_t lines = 0;
    put_items(&out, page, from, to);
    for (size_t i = 0; i < out.v.n; i++)
        lines += out.v.v[i] == '\n';
    return 10 * lines;
}

const struct mr_page_form mr_form_of_text = {.lines = LINES, .tenths = written_tenths};

char *mr_page_text(const struct mr_page *page, const char *mark) {
    struct mr_buffer out = {.arena = page->arena};
    mr_buffer_put(&out, "%s\n\n", mark);
    put_items(&out, page, 0, page->items.n);
    put_folded(&out, page);
    return mr_buffer_end(&out);
}
