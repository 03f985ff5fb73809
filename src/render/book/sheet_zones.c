/*
 * sheet_zones.c - one page for each zone: outcome, figures, what is open, the film's chart, and the line to sign.
 * Every figure here is a reference to the table where it is worked out.
 */
#include "render/book/book_sheets.h"

#include <math.h>
#include <string.h>

enum { COLUMNS = 8, CHART_ROWS = 23, NAME_PT = 440, WHY_PT = 330, REASON_PT = 560, CHARACTERS = 96 };
static const double width[COLUMNS] = {19, 10.9, 11.6, 10.9, 10.9, 10.9, 10.9, 10.9};
static const char *const open_columns[] = {"outcome", "measured", "at_least", "at_most", "unit"};

/* A row of cells under construction. */
struct zone_page {
    const struct mr_book_job *job;
    struct mr_sheet *sheet;
    size_t zone;
    const char *name;
    unsigned row;
    double begin_pt; /* of the sheet, where the page begins */
};

static void put_row(struct zone_page *p, const struct mr_cell_out *cells) {
    mr_sheet_row(p->sheet, p->job->arena, p->row++, COLUMNS, cells, width);
}

static const char *titled(const struct mr_book_job *job, const struct mr_table *t, const char *column) {
    const size_t c = mr_find_column(t, column);
    const struct mr_table_layout *l = mr_layout_of(job->layout, t);
    return c == MR_NONE || !l ? "" : l->title[c];
}

static size_t first_row(const struct zone_page *p, const struct mr_table *t) {
    size_t n;
    const size_t *row = mr_rows_of_zone(p->job->live, t, p->name, &n);
    return n ? row[0] : MR_NONE;
}

static void put_film(struct zone_page *p) {
    static const char *const columns[COLUMNS] = {"coat", "readings", "spots", "mean", "sd", "min", "median", "max"};
    const struct mr_table *t = p->job->live->summary;
    size_t n;
    const size_t *row = mr_rows_of_zone(p->job->live, t, p->name, &n);
    struct mr_cell_out cells[COLUMNS] = {{0}};
    if (n == 0)
        return;
    for (size_t i = 0; i < COLUMNS; i++)
        cells[i] = mr_text_cell(MR_LOOK_HEAD, titled(p->job, t, columns[i]));
    put_row(p, cells);
    for (size_t k = 0; k < n; k++) {
        for (size_t i = 0; i < COLUMNS; i++)
            cells[i] = mr_ref_cell(p->job, p->sheet, t, columns[i], row[k]);
        put_row(p, cells);
    }
}

static size_t coat_row(const struct zone_page *p, const struct mr_table *t, int64_t coat) {
    size_t n;
    const size_t *row = mr_rows_of_zone(p->job->live, t, p->name, &n);
    for (size_t i = 0; i < n; i++)
        if (mr_live_value(t, "coat", row[i]).count == coat)
            return row[i];
    return MR_NONE;
}

/* Climate, rise and lines of each coat in one table; each figure refers to its own. */
static void put_coats(struct zone_page *p) {
    static const struct {
        const char *table, *column;
    } columns[COLUMNS - 1] = {{"climate", "spread_least"},         {"climate", "spread_limit"},
                              {"climate", "humidity_greatest"},    {"heat-by-coat", "rise"},
                              {"heat-by-coat", "band_low"},        {"heat-by-coat", "band_high"},
                              {"line-pressures", "imbalance_held"}};
    const struct mr_table *tables[COLUMNS - 1];
    struct mr_cell_out cells[COLUMNS] = {mr_text_cell(MR_LOOK_HEAD, mr_book_word(p->job, "Coat"))};
    bool any = false;
    for (size_t i = 0; i + 1 < COLUMNS; i++) {
        tables[i] = mr_find_table(p->job->o->a, columns[i].table);
        cells[1 + i] = mr_text_cell(MR_LOOK_HEAD, tables[i] ? titled(p->job, tables[i], columns[i].column) : "");
        any = any || first_row(p, tables[i]) != MR_NONE;
    }
    if (!any)
        return;
    put_row(p, cells);
    const int coats = mr_coats_of(p->job->o->a, p->zone);
    for (int coat = 1; coat <= coats; coat++) {
        cells[0] = (struct mr_cell_out){.look = MR_LOOK_COUNT, .kind = MR_CELL_NUMBER, .number = coat};
        for (size_t i = 0; i + 1 < COLUMNS; i++)
            cells[1 + i] = mr_ref_cell(p->job, p->sheet, tables[i], columns[i].column, coat_row(p, tables[i], coat));
        put_row(p, cells);
    }
}

static void put_links(struct zone_page *p) {
    const struct mr_assessment *a = p->job->o->a;
    const struct {
        const char *text;
        const struct mr_table *table;
    } links[] = {{"Checks", p->job->checks},
                 {"Film", mr_find_table(a, "thickness-summary")},
                 {"Readings", mr_find_table(a, "gauge-readings")},
                 {"Climate", mr_find_table(a, "climate")},
                 {"Heat", mr_find_table(a, "heat-by-coat")},
                 {"Lines", mr_find_table(a, "line-pressures")}};
    mr_sheet_link(p->sheet, p->row, 0, MR_LOOK_LINK, p->job->verdict, 0, mr_book_word(p->job, "Verdict"));
    unsigned column = 1;
    for (size_t i = 0; i < MR_COUNT(links); i++) {
        const size_t row = first_row(p, links[i].table);
        const struct mr_place_on_sheet to = mr_layout_place(p->job->layout, links[i].table, row);
        if (row != MR_NONE && to.to)
            mr_sheet_link(p->sheet, p->row, column++, MR_LOOK_LINK, to.to, to.row,
                          mr_book_word(p->job, links[i].text));
    }
    p->row++;
}

static void put_outcomes(struct zone_page *p) {
    static const char *const columns[] = {"thickness", "gauge",    "climate",      "reaction",
                                          "lines",     "material", "shift_record", "history"};
    const struct mr_table *t = p->job->live->zones;
    const size_t row = first_row(p, t);
    const struct mr_zone_result *r = &p->job->o->a->zones[p->zone];
    struct mr_cell_out cells[COLUMNS];
    mr_sheet_height(p->sheet, p->row, 28);
    mr_sheet_text(p->sheet, p->row, 0, MR_LOOK_NAME, mr_book_word(p->job, "Outcome"));
    struct mr_cell_out outcome = mr_text_cell(mr_look_outcome(r->outcome, false), mr_outcome_text(r->outcome));
    if (row != MR_NONE)
        outcome = mr_ref_cell(p->job, p->sheet, t, "outcome", row);
    mr_sheet_cell(p->sheet, p->row, 1, &outcome);
    const char *why = r->worst && r->worst[0]
                          ? mr_printf(p->job->arena, "%s: %s", mr_book_word(p->job, "Because of"), r->worst)
                          : "";
    const unsigned below = mr_put_words(p->job, p->sheet, p->row, 2, MR_LOOK_VALUE, why, WHY_PT);
    p->row = below > p->row ? below : p->row + 1;
    for (size_t g = 0; g < COLUMNS; g++)
        cells[g] = mr_text_cell(MR_LOOK_HEAD, mr_book_word(p->job, mr_group_titles[g]));
    put_row(p, cells);
    for (size_t g = 0; g < COLUMNS; g++) {
        cells[g] = mr_text_cell(mr_look_outcome(r->by_group[g], false), mr_outcome_text(r->by_group[g]));
        if (row != MR_NONE)
            cells[g] = mr_ref_cell(p->job, p->sheet, t, columns[g], row);
    }
    put_row(p, cells);
}

/* A little room between a table and what follows it. */
static void put_gap(struct zone_page *p) {
    enum { GAP_PT = 7 };
    mr_sheet_height(p->sheet, p->row, GAP_PT);
    mr_sheet_text(p->sheet, p->row++, 0, MR_LOOK_NOTE, "");
}

static const struct mr_chart *film_chart(const struct zone_page *p) {
    const mr_chart_list *charts = p->job->o->charts;
    for (size_t i = 0; p->job->charts && i < charts->n; i++)
        if (charts->v[i].zone == p->zone && strcmp(charts->v[i].kind, "thickness") == 0)
            return &charts->v[i];
    return NULL;
}

static void put_open_head(struct zone_page *p) {
    struct mr_cell_out head[COLUMNS] = {mr_text_cell(MR_LOOK_HEAD, mr_book_word(p->job, "Open")),
                                        mr_text_cell(MR_LOOK_HEAD, mr_book_word(p->job, "Coat"))};
    for (size_t i = 0; i < MR_COUNT(open_columns); i++)
        head[2 + i] = mr_text_cell(MR_LOOK_HEAD, titled(p->job, p->job->checks, open_columns[i]));
    head[COLUMNS - 1] = mr_text_cell(MR_LOOK_HEAD, mr_book_word(p->job, "Where"));
    put_row(p, head);
}

/* A check with its figures and a jump to its row; beneath it why it is open, as reported. */
static void put_check(struct zone_page *p, size_t row) {
    const struct mr_table *t = p->job->checks;
    const struct mr_place_on_sheet to = mr_layout_place(p->job->layout, t, row);
    struct mr_cell_out cells[COLUMNS] = {mr_text_cell(MR_LOOK_WRAP, mr_live_text(t, "check", row))};
    cells[COLUMNS - 1] = mr_text_cell(MR_LOOK_LINK_CELL, mr_printf(p->job->arena, "row %u", to.row + 1));
    cells[COLUMNS - 1].target = to.to;
    cells[COLUMNS - 1].target_row = to.row;
    cells[1] = mr_ref_cell(p->job, p->sheet, t, "coat", row);
    for (size_t i = 0; i < MR_COUNT(open_columns); i++)
        cells[2 + i] = mr_ref_cell(p->job, p->sheet, t, open_columns[i], row);
    put_row(p, cells);
    p->row = mr_put_words(p->job, p->sheet, p->row, 0, MR_LOOK_NOTE, mr_live_text(t, "why", row), REASON_PT);
}

static double words_pt(const struct zone_page *p, const char *words, double width_pt) {
    return (double)mr_words_rows(p->job, MR_LOOK_NOTE, words, width_pt) * MR_ROW_PT;
}

/* Points that a check takes with its reason. */
static double check_pt(const struct zone_page *p, size_t row) {
    const struct mr_table *t = p->job->checks;
    const enum mr_outcome outcome = (enum mr_outcome)mr_live_value(t, "outcome", row).count;
    const struct mr_cell_out cells[] = {mr_text_cell(MR_LOOK_WRAP, mr_live_text(t, "check", row)),
                                        mr_text_cell(mr_look_outcome(outcome, false), mr_outcome_text(outcome))};
    const double widths[] = {width[0], width[2]};
    return fmax(MR_ROW_PT, mr_sheet_row_height(MR_COUNT(cells), cells, widths)) +
           words_pt(p, mr_live_text(t, "why", row), REASON_PT);
}

/* What the page has left beside the chart with its words, and the line to sign. */
static double room_pt(const struct zone_page *p, double used_pt) {
    enum { SIGNED_PT = 36 };
    const struct mr_chart *c = film_chart(p);
    double room = mr_page_points(p->job->o->letter, true) - used_pt - SIGNED_PT;
    if (c)
        room -=
            mr_plot_height(c->list) + MR_ROW_PT + words_pt(p, c->list->subtitle, c->list->width_pt) +
            words_pt(p, mr_printf(p->job->arena, "%s · charts/%s.png", c->list->caption, c->stem), c->list->width_pt);
    return room;
}

/* Checks that do not conform, then those that are not shown: as many as there is room for, one at least. */
static void put_open(struct zone_page *p) {
    const struct mr_table *t = p->job->checks;
    size_t shown = 0, more = 0;
    double room = room_pt(p, mr_sheet_points(p->sheet, p->row) - p->begin_pt) - 2 * MR_ROW_PT;
    for (int outcome = MR_DOES_NOT_CONFORM; outcome >= MR_NOT_SHOWN; outcome--)
        for (size_t r = first_row(p, t); t && r < t->n_rows && !strcmp(mr_live_text(t, "zone", r), p->name); r++) {
            if (mr_live_value(t, "outcome", r).count != outcome)
                continue;
            room -= check_pt(p, r);
            if (shown > 0 && (room < 0 || more > 0)) {
                more++;
                continue;
            }
            if (shown++ == 0)
                put_open_head(p);
            put_check(p, r);
        }
    if (more)
        mr_sheet_text(p->sheet, p->row++, 0, MR_LOOK_NOTE,
                      mr_printf(p->job->arena, "and %zu more on the sheet Checks", more));
}

static void put_chart(struct zone_page *p) {
    const struct mr_chart *c = film_chart(p);
    if (!c)
        return;
    put_gap(p);
    p->row = mr_put_chart(p->job, p->sheet, p->row, c);
}

static void put_signature(struct zone_page *p) {
    mr_sheet_height(p->sheet, p->row, 30);
    mr_sheet_text(p->sheet, p->row, 0, MR_LOOK_SIGN, mr_book_word(p->job, "Accepted: yes / no"));
    for (unsigned c = 1; c < COLUMNS; c++)
        mr_sheet_text(p->sheet, p->row, c, MR_LOOK_SIGN,
                      c == 2   ? mr_book_word(p->job, "Role")
                      : c == 4 ? mr_book_word(p->job, "Signature")
                      : c == 6 ? mr_book_word(p->job, "Date")
                               : "");
    p->row++;
}

void mr_zone_pages_plan(struct mr_book_job *job) {
    enum { BEFORE_CHART = 40 }; /* rows that a page takes at most, its chart besides; coats and films come on top */
    const struct mr_alignment *al = job->o->a->aligned;
    job->zone_row = MR_ARRAY(job->arena, unsigned, al->zones.n + 1);
    unsigned row = 0;
    for (size_t z = 0; z < al->zones.n; z++) {
        row = z % MR_ZONES_A_SHEET ? row : 0;
        job->zone_row[z] = row;
        row += BEFORE_CHART + CHART_ROWS + 6 * (unsigned)mr_coats_of(job->o->a, z);
    }
}

static void put_page(const struct mr_book_job *job, size_t zone) {
    struct zone_page p = {
        job, mr_zone_sheet(job, zone), zone, job->o->a->aligned->zones.v[zone].name, job->zone_row[zone], 0};
    p.begin_pt = mr_sheet_points(p.sheet, p.row);
    p.row = mr_put_words(job, p.sheet, p.row, 0, MR_LOOK_TITLE, p.name, NAME_PT);
    put_links(&p);
    put_outcomes(&p);
    put_gap(&p);
    put_film(&p);
    put_coats(&p);
    put_open(&p);
    put_chart(&p);
    put_signature(&p);
}

void mr_zone_pages(const struct mr_book_job *job) {
    const size_t n = job->o->a->aligned->zones.n;
    if (!job->zones)
        return;
    for (size_t from = 0; from < n; from += MR_ZONES_A_SHEET) {
        struct mr_sheet *sheet = mr_zone_sheet(job, from);
        const size_t to = from + MR_ZONES_A_SHEET < n ? from + MR_ZONES_A_SHEET : n;
        for (unsigned c = 0; c < COLUMNS; c++)
            mr_sheet_width(sheet, c, width[c]);
        for (size_t z = from; z < to; z++)
            put_page(job, z);
        mr_sheet_breaks(sheet, to - from - 1, job->zone_row + from + 1);
        mr_sheet_print(sheet, true, CHARACTERS, job->zone_row[to - 1] + 70, COLUMNS - 1);
    }
}

/* Outcome, mean, least of each zone, and the job's outcome: names that a formula elsewhere can use. Nobody picks a
 * name from a list of thousands, and the library files each among all others: of very many zones only the job's
 * outcome. */
void mr_key_names(const struct mr_book_job *job) {
    enum { ZONES_NAMED = 1000 };
    static const struct {
        const char *name, *column;
        bool film;
    } names[] = {{"outcome", "outcome", false},
                 {"mean_film", "mean", true},
                 {"least_film", "min", true},
                 {"sd_film", "sd", true},
                 {"readings", "readings", true}};
    const struct mr_table *zones = job->live->zones, *film = job->live->summary;
    const bool many = job->o->a->aligned->zones.n > ZONES_NAMED;
    for (size_t i = 0; i < MR_COUNT(names); i++) {
        const struct mr_table *t = names[i].film ? film : zones;
        const size_t c = mr_find_column(t, names[i].column);
        for (size_t r = 0; c != MR_NONE && r < t->n_rows; r++) {
            const struct mr_place_on_sheet p = mr_layout_place(job->layout, t, r);
            const bool whole = !names[i].film && r + 1 == t->n_rows;
            if (many && !whole)
                continue;
            const char *coat = names[i].film && strcmp(mr_live_text(t, "coat", r), "system") != 0
                                   ? mr_printf(job->arena, "_%s", mr_live_text(t, "coat", r))
                                   : "";
            mr_book_name(job->book,
                         whole ? "job_outcome"
                               : mr_printf(job->arena, "%s_%s%s", names[i].name,
                                           mr_slug(job->arena, mr_live_text(t, "zone", r)), coat),
                         p.to, p.row, (unsigned)c);
        }
    }
}
