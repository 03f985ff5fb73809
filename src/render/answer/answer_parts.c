/*
 * answer_parts.c - wet film and the places of the report, in the answer.
 */
#include "render/answer/answer_parts.h"

#include "render/plot/chart_table.h"

#include <string.h>

enum { WET_MOST = 30 };

void mr_answer_heading(struct mr_page *page, enum mr_page_kind kind, const char *text) {
    mr_page_add(page, (struct mr_page_item){.kind = kind, .cell = {text}});
}

void mr_answer_sentence(struct mr_page *page, const char *text) {
    mr_page_add(page, (struct mr_page_item){.kind = MR_PAGE_TEXT, .cell = {text}});
}

/* "220 µm (200 to 240)": mean, least and greatest of a row; the reason where there is none. */
static const char *wet_text(struct mr_arena *arena, const struct mr_table *t, size_t row, const char *mean,
                            const char *least, const char *most) {
    const size_t at = mr_find_column(t, mean);
    const struct mr_field *f = &t->fields[at];
    const struct mr_value v = mr_table_value(t, row, at), low = mr_table_value(t, row, mr_find_column(t, least)),
                          high = mr_table_value(t, row, mr_find_column(t, most));
    if (v.type == MR_V_BLANK)
        return mr_printf(arena, "none: %s", v.text);
    return mr_printf(arena, "%.*f %s (%.*f to %.*f)", f->decimals, v.number, mr_unit_symbol(f->unit), f->decimals,
                     low.number, f->decimals, high.number);
}

void mr_answer_wet_film(struct mr_page *page, const struct mr_assessment *a) {
    const struct mr_table *t = mr_find_table(a, "wet-film");
    if (!t)
        return;
    mr_answer_heading(page, MR_PAGE_FOLD, "Wet film: a forecast, not judged");
    mr_page_add(page, (struct mr_page_item){.kind = MR_PAGE_ROW_HEAD,
                                            .cell = {"Zone and coat", "Readings", "Wet film", "Dry film, forecast"}});
    for (size_t i = 0; i < t->n_rows && i < WET_MOST; i++) {
        const struct mr_value zone = mr_table_value(t, i, 0), coat = mr_table_value(t, i, 1),
                              readings = mr_table_value(t, i, 2);
        mr_page_add(page,
                    (struct mr_page_item){
                        .kind = MR_PAGE_ROW,
                        .cell = {mr_printf(page->arena, "%s, %s", zone.text, coat.text),
                                 mr_printf(page->arena, "%lld", (long long)readings.count),
                                 wet_text(page->arena, t, i, "wet_mean", "wet_min", "wet_max"),
                                 wet_text(page->arena, t, i, "forecast_mean", "forecast_min", "forecast_max")}});
    }
    if (t->n_rows > WET_MOST)
        mr_answer_sentence(
            page, mr_printf(page->arena, "%zu more: see the sheet Wet film of the workbook.", t->n_rows - WET_MOST));
}

static const char *below(const struct mr_answer *answer, const char *path) {
    size_t n = strlen(answer->dir);
    return strncmp(path, answer->dir, n) == 0 && path[n] == '/' ? path + n + 1 : path;
}

static const char *title_of(struct mr_arena *arena, const char *path) {
    const char *slash = strrchr(path, '/');
    char *title = mr_strdup(arena, slash ? slash + 1 : path);
    char *dot = strrchr(title, '.');
    if (dot)
        *dot = '\0';
    for (char *p = title; *p; p++)
        *p = *p == '-' ? ' ' : *p;
    return title;
}

static void add_link(struct mr_page *page, const char *what, const char *path) {
    mr_page_add(page, (struct mr_page_item){.kind = MR_PAGE_LINK, .cell = {what, path}});
}

void mr_answer_links(struct mr_page *page, const struct mr_answer *answer) {
    const struct mr_published *p = answer->published;
    mr_answer_heading(page, MR_PAGE_HEADING, "The report");
    add_link(page, "Workbook", below(answer, p->workbook));
    if (p->submittal)
        add_link(page, "Submittal", below(answer, p->submittal));
    if (p->charts.n)
        add_link(page, "Figures", mr_printf(page->arena, "%s/charts", below(answer, p->dir)));
    add_link(page, "Data", below(answer, p->json));
}

void mr_answer_figures(struct mr_page *page, const struct mr_answer *answer) {
    for (size_t i = 0; i < answer->published->charts.n; i++) {
        const char *path = answer->published->charts.v[i];
        size_t n = strlen(path);
        if (n > 4 && strcmp(path + n - 4, ".png") == 0)
            mr_page_add(page, (struct mr_page_item){.kind = MR_PAGE_FIGURE,
                                                    .cell = {title_of(page->arena, path), below(answer, path)}});
    }
}
