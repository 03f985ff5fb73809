/*
 * answer_text.c - the page as plain text.
 */
#include "render/answer/answer_page.h"

#include "base/buffer.h"
#include "base/utf8.h"

#include <string.h>

enum { WIDTH = 100, CELL_MOST = 44 };

/* Words until the line is full; what follows a break is indented by as much as the first line's lead. */
static void put_wrapped(struct mr_buffer *out, const char *lead, const char *text) {
    size_t indent = mr_utf8_characters(lead, strlen(lead)), at = indent;
    mr_buffer_text(out, lead);
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

static size_t rows_from(const struct mr_page *page, size_t i) {
    size_t n = 1;
    while (i + n < page->items.n && page->items.v[i + n].kind == MR_PAGE_ROW)
        n++;
    return n;
}

/* Column widths; the last column is as wide as it likes. */
static void put_rows(struct mr_buffer *out, const struct mr_page *page, size_t i, size_t n) {
    size_t width[MR_PAGE_CELLS] = {0};
    for (size_t k = 0; k < n; k++)
        for (size_t c = 0; c < MR_PAGE_CELLS && page->items.v[i + k].cell[c]; c++) {
            const char *cell = page->items.v[i + k].cell[c];
            size_t wide = mr_utf8_characters(cell, strlen(cell));
            width[c] = wide > width[c] && wide <= CELL_MOST ? wide : width[c];
        }
    for (size_t k = 0; k < n; k++) {
        const struct mr_page_item *row = &page->items.v[i + k];
        for (size_t c = 0; c < MR_PAGE_CELLS && row->cell[c]; c++) {
            mr_buffer_text(out, c ? "  " : "  ");
            mr_buffer_text(out, row->cell[c]);
            bool last = c + 1 == MR_PAGE_CELLS || !row->cell[c + 1];
            for (size_t w = mr_utf8_characters(row->cell[c], strlen(row->cell[c])); !last && w < width[c]; w++)
                mr_buffer_text(out, " ");
        }
        mr_buffer_text(out, "\n");
    }
}

static void put_heading(struct mr_buffer *out, const char *text) {
    mr_buffer_text(out, "\n");
    mr_buffer_text(out, text);
    mr_buffer_text(out, "\n");
    for (size_t i = mr_utf8_characters(text, strlen(text)); i > 0; i--)
        mr_buffer_text(out, "-");
    mr_buffer_text(out, "\n");
}

char *mr_page_text(const struct mr_page *page, const char *mark) {
    struct mr_buffer out = {.arena = page->arena};
    mr_buffer_text(&out, mark);
    mr_buffer_text(&out, "\n\n");
    size_t step = 0;
    for (size_t i = 0; i < page->items.n; i++) {
        const struct mr_page_item *item = &page->items.v[i];
        switch (item->kind) {
        case MR_PAGE_TITLE:
        case MR_PAGE_LEAD:
        case MR_PAGE_TEXT:
            put_wrapped(&out, "", item->cell[0]);
            break;
        case MR_PAGE_HEADING:
            put_heading(&out, item->cell[0]);
            break;
        case MR_PAGE_ROW_HEAD: {
            size_t n = rows_from(page, i);
            put_rows(&out, page, i, n);
            i += n - 1;
            break;
        }
        case MR_PAGE_STEP:
            put_wrapped(&out, mr_printf(page->arena, "%2zu. ", ++step), item->cell[0]);
            break;
        case MR_PAGE_DETAIL:
            put_wrapped(&out, "    - ", item->cell[0]);
            break;
        case MR_PAGE_PASTE:
            mr_buffer_text(&out, mr_printf(page->arena, "        %s\n", item->cell[0]));
            break;
        case MR_PAGE_LINK:
            mr_buffer_text(&out, mr_printf(page->arena, "  %-10s %s\n", item->cell[0], item->cell[1]));
            break;
        case MR_PAGE_ROW:
        case MR_PAGE_FIGURE:
            break;
        }
    }
    return mr_buffer_end(&out);
}
