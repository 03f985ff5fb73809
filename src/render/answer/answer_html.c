/*
 * answer_html.c - the page as HTML: one file, no script, nothing from the network. Colour repeats what the words say
 * and says nothing alone; headings, lists and table heads are marked as such for screen readers.
 */
#include "render/answer/answer_page.h"

#include "base/buffer.h"

#include <string.h>

static const char head[] =
    "<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<style>\n"
    "body { font: 1rem/1.5 sans-serif; color: #1c1c1c; background: #fff; max-width: 58rem; margin: 1rem auto; "
    "padding: 0 1rem; }\n"
    "h1 { font-size: 1.5rem; margin: 0 0 0.5rem; } h2 { font-size: 1.15rem; margin: 1.8rem 0 0.4rem; border-bottom: "
    "1px solid #777; }\n"
    ".lead { font-size: 1.15rem; font-weight: bold; border-left: 0.4rem solid #444; padding-left: 0.8rem; }\n"
    ".good { color: #145214; } .open { color: #6b4400; } .bad { color: #9a0000; } td.open, td.bad { font-weight: "
    "bold; }\n"
    ".lead.good, .lead.open, .lead.bad { border-color: currentColor; }\n"
    ".wide { overflow-x: auto; } table { border-collapse: collapse; width: 100%; }\n"
    "th, td { text-align: left; vertical-align: top; padding: 0.2rem 0.8rem 0.2rem 0; border-bottom: 1px solid "
    "#ddd; }\n"
    "tbody th { font-weight: normal; } td, th, li, a { overflow-wrap: break-word; }\n"
    "pre { background: #f2f2f2; padding: 0.5rem; margin: 0.3rem 0; overflow-x: auto; white-space: pre-wrap; }\n"
    "li { margin: 0.4rem 0; } summary { cursor: pointer; color: #00468c; } summary h2 { display: inline-block; "
    "margin: 1rem 0 0.4rem; }\n"
    "figure { margin: 1rem 0; } img { max-width: 100%; height: auto; } a { color: #00468c; }\n"
    "@media (min-width: 40rem), print { td:nth-child(2) { white-space: nowrap; } tbody th { min-width: 11em; } }\n"
    ".beside td:nth-child(n+3), .beside th:nth-child(n+3) { text-align: right; white-space: nowrap; }\n"
    "@media (max-width: 40rem) { table { font-size: 0.85rem; } th, td { padding-right: 0.5rem; } }\n"
    "@media print { @page { margin: 10mm; } body { font-size: 7.6pt; line-height: 1.17; max-width: none; margin: 0; "
    "padding: 0; }\n"
    "h1 { font-size: 12pt; margin: 0 0 2pt; } h2 { font-size: 9pt; margin: 5pt 0 1pt; break-after: avoid; } p { "
    "margin: 2pt 0; }\n"
    ".lead { font-size: 10pt; } th, td { padding: 0.2pt 6pt 0.2pt 0; border-width: 0.5pt; } tbody th { min-width: "
    "11em; } td:nth-child(3) "
    "{ white-space: nowrap; } li { margin: "
    "0.5pt 0; } ol, ul { margin: 1pt 0; padding-left: 14pt; }\n"
    "pre { margin: 1pt 0; padding: 1pt 4pt; } .wide { overflow: visible; } .beside { columns: 2; column-gap: 12pt; "
    "} .beside { font-size: 7pt; } .beside th, .beside td { padding-right: 4pt; }\n"
    ".links { padding: 0; } .links li { display: inline-block; margin-right: 14pt; }\n"
    "ol { columns: 2; column-gap: 12pt; padding-left: 0; list-style-position: inside; } ol > li, tr { break-inside: "
    "avoid; } .printed { break-before: page; }\n"
    "details:not([open]), .figures { display: none; } a { color: inherit; } }\n"
    "</style>\n";

struct html {
    struct mr_arena *arena;
    struct mr_buffer text;
    const char *heading;                                                          /* the last */
    size_t number;                                                                /* of the last step */
    bool list, step, folded, details, paste, table, links, figures, fold, behind; /* what is open */
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
    const bool in_step = kind == MR_PAGE_DETAIL || kind == MR_PAGE_FOLDED || kind == MR_PAGE_PASTE;
    if (kind != MR_PAGE_PASTE)
        close_if(out, &out->paste, "</pre>\n");
    if (kind != MR_PAGE_DETAIL)
        close_if(out, &out->details, "</ul>\n");
    if (kind != MR_PAGE_FOLDED)
        close_if(out, &out->folded, "</ul></details>\n");
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
    if (kind == MR_PAGE_HEADING || kind == MR_PAGE_FOLD || kind == MR_PAGE_FIGURE || kind == MR_PAGE_TURN)
        close_if(out, &out->fold, "</details>\n");
}

static void open_if(struct html *out, bool *open, const char *tag) {
    if (!*open)
        put(out, tag);
    *open = true;
}

static const char *const tone_class[] = {
    [MR_TONE_PLAIN] = "", [MR_TONE_GOOD] = "good", [MR_TONE_OPEN] = "open", [MR_TONE_BAD] = "bad"};

static void put_row(struct html *out, const struct mr_page_item *item, bool titles) {
    put(out, "<tr>");
    for (size_t c = 0; c < MR_PAGE_CELLS && item->cell[c]; c++) {
        if (titles)
            put_element(out, "<th scope=\"col\">", item->cell[c], "</th>");
        else if (c == 0)
            put_element(out, "<th scope=\"row\">", item->cell[c], "</th>");
        else if (c == 1 && item->tone)
            put_element(out, mr_printf(out->arena, "<td class=\"%s\">", tone_class[item->tone]), item->cell[c],
                        "</td>");
        else
            put_element(out, "<td>", item->cell[c], "</td>");
    }
    put(out, "</tr>\n");
}

static void put_link(struct html *out, const struct mr_page_item *item) {
    open_if(out, &out->links, "<ul class=\"links\">\n");
    put_element(out, "<li>", item->cell[0], ": <a href=\"");
    put_address(out, item->cell[1]);
    put_element(out, "\">", item->cell[1], "</a></li>\n");
}

static void put_figure(struct html *out, const struct mr_page_item *item) {
    open_if(out, &out->figures, "<div class=\"figures\">\n<h2>Figures</h2>\n");
    put(out, "<figure><img loading=\"lazy\" src=\"");
    put_address(out, item->cell[1]);
    put_element(out, "\" alt=\"", item->cell[0], "\">");
    put_element(out, "<figcaption>", item->cell[0], "</figcaption></figure>\n");
}

static void put_step(struct html *out, const struct mr_page_item *item) {
    if (!out->list)
        put(out, mr_printf(out->arena, "<ol start=\"%zu\">\n", item->number));
    out->list = out->step = true;
    out->number = item->number;
    put(out, "<li>");
    if (item->cell[1])
        put_element(out, "<b>", item->cell[1], ":</b> ");
    put_element(out, "", item->cell[0], "\n");
}

static void put_title(struct html *out, const char *title) {
    put_element(out, "<title>", title, "</title>\n</head>\n<body>\n<main>\n");
    put_element(out, "<h1>", title, "</h1>\n");
}

static void put_fold(struct html *out, const char *heading) {
    put_element(out, "<details><summary><h2>", heading, "</h2></summary>\n");
    out->fold = true;
    out->heading = heading;
}

static void put_turn(struct html *out, bool printed) {
    put(out, printed ? "<div class=\"printed\">\n" : "<div>\n");
    out->behind = true;
}

static void put_table(struct html *out, const struct mr_page_item *item) {
    put(out, item->number > 1 ? "<div class=\"wide beside\">" : "<div class=\"wide\">");
    put_element(out, "<table aria-label=\"", out->heading, "\">\n<thead>");
    put_row(out, item, true);
    put(out, "</thead>\n<tbody>\n");
    out->table = true;
}

static void put_item(struct html *out, const struct mr_page_item *item) {
    switch (item->kind) {
    case MR_PAGE_TITLE:
        put_title(out, item->cell[0]);
        break;
    case MR_PAGE_LEAD:
        put_element(out, mr_printf(out->arena, "<p class=\"lead %s\">", tone_class[item->tone]), item->cell[0],
                    "</p>\n");
        break;
    case MR_PAGE_HEADING:
        out->heading = item->cell[0];
        put_element(out, "<h2>", item->cell[0], "</h2>\n");
        break;
    case MR_PAGE_FOLD:
        put_fold(out, item->cell[0]);
        break;
    case MR_PAGE_TURN:
        put_turn(out, item->cell[0] != NULL);
        break;
    case MR_PAGE_TEXT:
        put_element(out, "<p>", item->cell[0], "</p>\n");
        break;
    case MR_PAGE_ROW_HEAD:
        put_table(out, item);
        break;
    case MR_PAGE_ROW:
        put_row(out, item, false);
        break;
    case MR_PAGE_STEP:
        put_step(out, item);
        break;
    case MR_PAGE_DETAIL:
    case MR_PAGE_FOLDED:
        open_if(
            out, item->kind == MR_PAGE_DETAIL ? &out->details : &out->folded,
            item->kind == MR_PAGE_DETAIL
                ? "<ul>\n"
                : mr_printf(out->arena, "<details><summary>Step %zu: what was found</summary><ul>\n", out->number));
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
    close_before(&out, MR_PAGE_TURN);
    close_if(&out, &out.behind, "</div>\n");
    put(&out, "</main>\n</body>\n</html>\n");
    return mr_buffer_end(&out.text);
}
