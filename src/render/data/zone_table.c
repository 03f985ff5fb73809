/*
 * zone_table.c - see zone_table.h. Words and figures are those of the other outputs: nothing is worked out here.
 */
#include "render/data/zone_table.h"

#include "base/buffer.h"
#include "render/data/cautions.h"
#include "render/data/csv_text.h"
#include "render/data/shown_value.h"
#include "render/plot/chart_list.h"

#include <string.h>

enum { COLUMNS = 8 };

struct mr_zone_rows_of {
    size_t *first, *next; /* shape: zones + 1; checks: MR_NONE ends a chain */
};

const struct mr_zone_rows_of *mr_zone_rows_make(const struct mr_outline *o) {
    const size_t zones = o->a->aligned->zones.n, n = o->a->checks.n;
    struct mr_zone_rows_of *rows = MR_NEW(o->arena, struct mr_zone_rows_of);
    *rows = (struct mr_zone_rows_of){MR_ARRAY(o->arena, size_t, zones + 1), MR_ARRAY(o->arena, size_t, n)};
    for (size_t z = 0; z <= zones; z++)
        rows->first[z] = MR_NONE;
    for (size_t i = n; i-- > 0;) {
        const size_t zone = o->a->checks.v[i].zone < zones ? o->a->checks.v[i].zone : zones;
        rows->next[i] = rows->first[zone];
        rows->first[zone] = i;
    }
    return rows;
}

const char *mr_zone_table_name(const struct mr_outline *o, size_t zone, enum mr_zone_format format) {
    return mr_printf(o->arena, "zones/%02zu-%s.%s", zone + 1, mr_slug(o->arena, o->a->aligned->zones.v[zone].name),
                     format == MR_ZONE_CSV ? "csv" : "html");
}

/* A table under construction in one format. */
struct zone_text {
    enum mr_zone_format format;
    struct mr_buffer text;
};

static void put_html(struct zone_text *t, const char *cell) {
    for (; *cell; cell++) {
        const char *code = *cell == '&'    ? "&amp;"
                           : *cell == '<'  ? "&lt;"
                           : *cell == '>'  ? "&gt;"
                           : *cell == '"'  ? "&quot;"
                           : *cell == '\n' ? "<br>"
                                           : NULL;
        if (code)
            mr_buffer_text(&t->text, code);
        else if ((unsigned char)*cell >= 0x20 || *cell == '\t')
            mr_buffer_add(&t->text, cell, 1);
        else
            mr_buffer_text(&t->text, "\xef\xbf\xbd"); /* U+FFFD: HTML has no control characters */
    }
}

static void put_row(struct zone_text *t, bool head, const char *const cells[COLUMNS]) {
    const bool html = t->format == MR_ZONE_HTML;
    mr_buffer_text(&t->text, html ? "<tr>" : "");
    for (size_t i = 0; i < COLUMNS; i++) {
        if (html) {
            mr_buffer_text(&t->text, head ? "<th scope=\"col\">" : "<td>");
            put_html(t, cells[i] ? cells[i] : "");
            mr_buffer_text(&t->text, head ? "</th>" : "</td>");
        } else {
            mr_buffer_text(&t->text, i ? "," : "");
            mr_csv_cell(&t->text, cells[i] ? cells[i] : "");
        }
    }
    mr_buffer_text(&t->text, html ? "</tr>\n" : "\r\n");
}

static const char *coat_text(const struct mr_outline *o, int coat) {
    return coat > 0 ? mr_printf(o->arena, "%d", coat) : "";
}

static void put_checks(const struct mr_outline *o, const struct mr_zone_rows_of *rows, size_t zone,
                       struct zone_text *t) {
    const char *name = o->a->aligned->zones.v[zone].name;
    for (size_t i = rows->first[zone]; i != MR_NONE; i = rows->next[i]) {
        const struct mr_check *c = &o->a->checks.v[i];
        const char *const cells[COLUMNS] = {name,
                                            c->title,
                                            coat_text(o, c->coat),
                                            mr_shown_measured(o->arena, c),
                                            mr_shown_limits(o->arena, c),
                                            mr_outcome_text(c->outcome),
                                            c->rule,
                                            mr_shown_places(o->arena, &c->evidence)};
        put_row(t, false, cells);
    }
}

/* The film in figures, where the zone was measured. */
static void put_film(const struct mr_outline *o, const char *zone, struct zone_text *t) {
    static const char *const columns[] = {"readings", "spots", "areas", "mean", "sd", "min", "median", "max"};
    const struct mr_table *film = mr_find_table(o->a, "thickness-summary");
    for (size_t r = 0; film && r < film->n_rows; r++) {
        if (strcmp(mr_cell_text(film, r, "zone"), zone) != 0)
            continue;
        for (size_t i = 0; i < MR_COUNT(columns); i++) {
            const size_t c = mr_find_column(film, columns[i]);
            if (c == MR_NONE)
                continue;
            const char *unit = mr_unit_symbol(film->fields[c].unit), *value = mr_shown_value(o, film, r, c);
            const char *const cells[COLUMNS] = {
                zone, mr_printf(o->arena, "Film, %s: %s", mr_cell_text(film, r, "coat"), film->fields[c].title), "",
                *unit ? mr_printf(o->arena, "%s %s", value, unit) : value};
            put_row(t, false, cells);
        }
    }
}

const char *mr_zone_table_text(const struct mr_outline *o, const struct mr_zone_rows_of *rows, size_t zone,
                               enum mr_zone_format format) {
    static const char *const head[COLUMNS] = {"Zone",  "Check",   "Coat", "Measured",
                                              "Limit", "Outcome", "Rule", "Evidence"};
    const char *name = o->a->aligned->zones.v[zone].name;
    struct zone_text t = {.format = format, .text = {.arena = o->arena}};
    mr_buffer_text(&t.text, format == MR_ZONE_CSV ? MR_CSV_HEAD
                                                  : "<!DOCTYPE html>\n<html lang=\"en\">\n<head><meta "
                                                    "charset=\"utf-8\"><title>");
    if (format == MR_ZONE_HTML) {
        put_html(&t, name);
        mr_buffer_text(&t.text, "</title></head>\n<body>\n<table border=\"1\" cellspacing=\"0\" cellpadding=\"4\">\n"
                                "<caption>");
        put_html(&t, mr_printf(o->arena, "%s, %s: %s, %s", o->job_name, o->revision_text, name,
                               mr_outcome_text(o->a->zones[zone].outcome)));
        mr_buffer_text(&t.text, "</caption>\n<thead>\n");
    }
    put_row(&t, true, head);
    mr_buffer_text(&t.text, format == MR_ZONE_HTML ? "</thead>\n<tbody>\n" : "");
    const char *const all[COLUMNS] = {
        name, "Outcome of the zone", "", "", "", mr_outcome_text(o->a->zones[zone].outcome)};
    put_row(&t, false, all);
    put_checks(o, rows, zone, &t);
    put_film(o, name, &t);
    if (format == MR_ZONE_HTML) {
        mr_buffer_text(&t.text, "</tbody>\n</table>\n<p>");
        put_html(&t, mr_limit_of_use);
        mr_buffer_text(&t.text, "</p>\n</body>\n</html>\n");
    }
    return mr_buffer_end(&t.text);
}
