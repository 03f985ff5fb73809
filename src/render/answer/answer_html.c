/*
 * answer_html.c - the page as HTML: one file, no script, nothing from the network. Colour repeats what the words say
 * and says nothing alone; headings, lists and table heads are marked as such for screen readers.
 */
#include "render/answer/answer_page.h"

#include "base/buffer.h"

#include <string.h>

static const char head[] =
    "<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<style>\n"
    "body { font: 1rem/1.5 sans-serif; color: #1c1c1c; background: #fff; max-width: 52rem; margin: 1rem auto; "
    "padding: 0 1rem; }\n"
    "h1 { font-size: 1.5rem; } h2 { font-size: 1.15rem; margin-top: 2rem; border-bottom: 1px solid #999; }\n"
    ".lead { font-size: 1.15rem; font-weight: bold; border-left: 0.4rem solid #444; padding-left: 0.8rem; }\n"
    ".wide { overflow-x: auto; } table { border-collapse: collapse; width: 100%; }\n"
    "th, td { text-align: left; vertical-align: top; padding: 0.25rem 0.8rem 0.25rem 0; border-bottom: 1px solid "
    "#ddd; }\n"
    "td, th, li, a { overflow-wrap: break-word; }\n"
    "@media (min-width: 40rem), print { td:nth-child(2) { white-space: nowrap; } }\n"
    "pre { background: #f2f2f2; padding: 0.5rem; overflow-x: auto; white-space: pre-wrap; }\n"
    "figure { margin: 1rem 0; } img { max-width: 100%; height: auto; } a { color: #00468c; } li { margin: 0.4rem 0; "
    "}\n"
    "@media print { @page { margin: 12mm; } body { font-size: 8pt; line-height: 1.25; max-width: none; margin: 0; "
    "padding: 0; }\n"
    "h1 { font-size: 13pt; margin: 0 0 3pt; } h2 { font-size: 10pt; margin: 8pt 0 3pt; break-after: avoid; } p { "
    "margin: "
    "3pt 0; }\n"
    ".lead { font-size: 10pt; } th, td { padding: 1pt 8pt 1pt 0; } li { margin: 1pt 0; } ol, ul { margin: 2pt 0; "
    "padding-left: 14pt; }\n"
    "ol { columns: 2; column-gap: 14pt; } ol > li, tr { break-inside: avoid; } .figures { display: none; } }\n"
    "</style>\n";

struct html {
    struct mr_arena *arena;
    struct mr_buffer text;
    bool list, step, details, paste, table, links, figures; /* what is open */
};

static void put(struct html *out, const char *text) {
    mr_buffer_text(&out->text, text);
}

static void put_escaped(struct html *out, const char *text) {
    for (; *text; text++) {
        const char *code = *text == '&'   ? "&amp;"
                           : *text == '<' ? "&lt;"
                           : *text == '>' ? "&gt;"
                           : *text == '"' ? "&quot;"
                                          : NULL;
        if (code)
            put(out, code);
        else
            mr_buffer_add(&out->text, text, 1);
    }
}

static void put_element(struct html *out, const char *open, const char *text, const char *close) {
    put(out, open);
    put_escaped(out, text);
    put(out, close);
}

/* A path as a relative address: what is not unreserved is written by its bytes (RFC 3986, 2.1). */
static void put_address(struct html *out, const char *path) {
    for (; *path; path++) {
        unsigned char c = (unsigned char)*path;
        if ((c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || strchr("/-._~", c))
            mr_buffer_add(&out->text, path, 1);
        else
            put(out, mr_printf(out->arena, "%%%02X", c));
    }
}

static void close_if(struct html *out, bool *open, const char *tag) {
    if (*open)
        put(out, tag);
    *open = false;
}

/* Ends what an item of this kind does not belong to. */
static void close_before(struct html *out, enum mr_page_kind kind) {
    bool in_step = kind == MR_PAGE_DETAIL || kind == MR_PAGE_PASTE;
    if (kind != MR_PAGE_PASTE)
        close_if(out, &out->paste, "</pre>\n");
    if (kind != MR_PAGE_DETAIL)
        close_if(out, &out->details, "</ul>\n");
    if (!in_step)
        close_if(out, &out->step, "</li>\n");
    if (!in_step && kind != MR_PAGE_STEP)
        close_if(out, &out->list, "</ol>\n");
    if (kind != MR_PAGE_ROW)
        close_if(out, &out->table, "</tbody>\n</table></div>\n");
    if (kind != MR_PAGE_LINK)
        close_if(out, &out->links, "</ul>\n");
    if (kind != MR_PAGE_FIGURE)
        close_if(out, &out->figures, "</div>\n");
}

static void open_if(struct html *out, bool *open, const char *tag) {
    if (!*open)
        put(out, tag);
    *open = true;
}

static void put_row(struct html *out, const struct mr_page_item *item, bool titles) {
    put(out, "<tr>");
    for (size_t c = 0; c < MR_PAGE_CELLS && item->cell[c]; c++) {
        if (titles)
            put_element(out, "<th scope=\"col\">", item->cell[c], "</th>");
        else if (c == 0)
            put_element(out, "<th scope=\"row\">", item->cell[c], "</th>");
        else
            put_element(out, "<td>", item->cell[c], "</td>");
    }
    put(out, "</tr>\n");
}

static void put_link(struct html *out, const struct mr_page_item *item) {
    open_if(out, &out->links, "<ul>\n");
    put_element(out, "<li>", item->cell[0], ": <a href=\"");
    put_address(out, item->cell[1]);
    put_element(out, "\">", item->cell[1], "</a></li>\n");
}

static void put_figure(struct html *out, const struct mr_page_item *item) {
    open_if(out, &out->figures, "<div class=\"figures\">\n");
    put(out, "<figure><img loading=\"lazy\" src=\"");
    put_address(out, item->cell[1]);
    put_element(out, "\" alt=\"", item->cell[0], "\">");
    put_element(out, "<figcaption>", item->cell[0], "</figcaption></figure>\n");
}

static void put_item(struct html *out, const struct mr_page_item *item) {
    switch (item->kind) {
    case MR_PAGE_TITLE:
        put_element(out, "<title>", item->cell[0], "</title>\n</head>\n<body>\n<main>\n");
        put_element(out, "<h1>", item->cell[0], "</h1>\n");
        break;
    case MR_PAGE_LEAD:
        put_element(out, "<p class=\"lead\">", item->cell[0], "</p>\n");
        break;
    case MR_PAGE_HEADING:
        put_element(out, "<h2>", item->cell[0], "</h2>\n");
        break;
    case MR_PAGE_TEXT:
        put_element(out, "<p>", item->cell[0], "</p>\n");
        break;
    case MR_PAGE_ROW_HEAD:
        put(out, "<div class=\"wide\"><table>\n<thead>");
        put_row(out, item, true);
        put(out, "</thead>\n<tbody>\n");
        out->table = true;
        break;
    case MR_PAGE_ROW:
        put_row(out, item, false);
        break;
    case MR_PAGE_STEP:
        open_if(out, &out->list, "<ol>\n");
        put_element(out, "<li>", item->cell[0], "\n");
        out->step = true;
        break;
    case MR_PAGE_DETAIL:
        open_if(out, &out->details, "<ul>\n");
        put_element(out, "<li>", item->cell[0], "</li>\n");
        break;
    case MR_PAGE_PASTE:
        open_if(out, &out->paste, "<pre>");
        put_element(out, "", item->cell[0], "\n");
        break;
    case MR_PAGE_LINK:
        put_link(out, item);
        break;
    case MR_PAGE_FIGURE:
        put_figure(out, item);
        break;
    }
}

char *mr_page_html(const struct mr_page *page, const char *mark) {
    struct html out = {.arena = page->arena, .text = {.arena = page->arena}};
    put(&out, mr_printf(page->arena, "<!DOCTYPE html>\n<!-- %s -->\n<html lang=\"en\">\n<head>\n%s", mark, head));
    for (size_t i = 0; i < page->items.n; i++) {
        close_before(&out, page->items.v[i].kind);
        put_item(&out, &page->items.v[i]);
    }
    close_before(&out, MR_PAGE_TITLE);
    put(&out, "</main>\n</body>\n</html>\n");
    return mr_buffer_end(&out.text);
}
