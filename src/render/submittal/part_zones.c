/*
 * part_zones.c - one or two pages for each zone: outcome, figures of film and coats, every check with its evidence,
 * then the two figures that say most.
 */
#include "render/submittal/parts.h"

#include <math.h>
#include <string.h>

/* Rows of a table whose column "zone" names this zone, as a grid of the columns there are. */
static void put_rows(const struct mr_sub *s, const char *table, const char *zone, size_t n, const char *const *keys) {
    const struct mr_table *t = mr_find_table(s->a, table);
    const size_t at = mr_find_column(t, "zone");
    struct mr_grid_column *columns = MR_ARRAY(s->arena, struct mr_grid_column, n);
    size_t *field = MR_ARRAY(s->arena, size_t, n), used = 0;
    for (size_t i = 0; at != MR_NONE && i < n; i++) {
        const size_t c = mr_find_column(t, keys[i]);
        if (c == MR_NONE)
            continue;
        field[used] = c;
        columns[used++] = (struct mr_grid_column){mr_sub_title(s, &t->fields[c]), i > 0};
    }
    struct mr_grid grid = mr_grid_new(s->arena, used, columns);
    for (size_t r = 0; used && r < t->n_rows; r++) {
        const struct mr_value own = mr_table_value(t, r, at), *v = &own;
        if (v->type == MR_V_TEXT && strcmp(v->text, zone) == 0)
            for (size_t i = 0; i < used; i++)
                mr_sub_cell(s, &grid, t, r, field[i]);
    }
    if (grid.cells.n)
        mr_leaves_grid(s->l, &grid);
}

/* What the zone is, and what decided it, in a line or two. */
static void put_facts(const struct mr_sub *s, const struct mr_zone *z, const struct mr_zone_result *r) {
    const struct mr_display *d = &s->a->job->display;
    const char *spec = z->settings && z->settings->spec ? z->settings->spec : "";
    const struct mr_fact facts[] = {
        {"Decided by", r->worst ? r->worst : ""},
        {"Specification", spec},
        {"Area", isfinite(z->area_m2) ? mr_short_text(s->arena, z->area_m2, d->area) : ""},
        {"Steel", isfinite(z->steel_mm) ? mr_short_text(s->arena, z->steel_mm, d->length) : ""},
        {"Coats required", mr_printf(s->arena, "%d", z->coats)}};
    const char *line = "";
    for (size_t i = 0; i < MR_COUNT(facts); i++)
        if (facts[i].value[0])
            line = mr_printf(s->arena, "%s%s%s: %s", line, *line ? ". " : "", mr_sub_word(s, facts[i].name),
                             facts[i].value);
    mr_leaves_paragraph(s->l, MR_LEAF_BODY, 0, mr_printf(s->arena, "%s.", line));
}

static void put_groups(const struct mr_sub *s, size_t zone) {
    struct mr_grid_column columns[9] = {{"Outcome", false}};
    for (size_t g = 0; g < 8; g++)
        columns[1 + g].title = mr_group_titles[g];
    struct mr_grid grid = mr_sub_grid(s, MR_COUNT(columns), columns);
    const struct mr_zone_result *r = &s->a->zones[zone];
    mr_grid_outcome(&grid, r->outcome, mr_sub_word(s, mr_outcome_text(r->outcome)));
    for (size_t g = 0; g < 8; g++)
        mr_grid_outcome(&grid, r->by_group[g], mr_sub_word(s, mr_outcome_text(r->by_group[g])));
    mr_leaves_grid(s->l, &grid);
}

static void put_checks(const struct mr_sub *s, size_t zone) {
    static const struct mr_grid_column columns[] = {{"Check", false},   {"Coat", true},   {"Outcome", false},
                                                    {"Measured", true}, {"Limit", false}, {"Evidence", false}};
    struct mr_grid grid = mr_sub_grid(s, MR_COUNT(columns), columns);
    for (size_t i = 0; i < s->a->checks.n; i++) {
        const struct mr_check *c = &s->a->checks.v[i];
        if (c->zone != zone || c->outcome == MR_NOT_REQUIRED)
            continue;
        mr_grid_text(&grid, c->title);
        mr_grid_text(&grid, c->coat > 0 ? mr_printf(s->arena, "%d", c->coat) : "");
        mr_grid_outcome(&grid, c->outcome, mr_sub_word(s, mr_outcome_text(c->outcome)));
        mr_grid_text(&grid, mr_shown_measured(s->arena, c));
        mr_grid_text(&grid, mr_shown_limits(s->arena, c));
        mr_grid_text(&grid, mr_shown_places(s->arena, &c->evidence));
    }
    if (grid.cells.n)
        mr_leaves_grid(s->l, &grid);
}

/* One row that leads to what was found here. */
static void put_findings(const struct mr_sub *s, size_t zone) {
    enum { IN_ROW = 10 };
    struct mr_leaves *l = s->l;
    double x = l->left;
    size_t n = 0;
    for (size_t i = 0; i < s->a->findings.n; i++) {
        if (s->a->findings.v[i].zone != zone)
            continue;
        if (n % IN_ROW == 0) {
            mr_leaves_need(l, 12);
            x = l->left;
        }
        const char *text = n++ ? mr_printf(s->arena, "%zu", i + 1)
                               : mr_printf(s->arena, "%s: %zu", mr_sub_word(s, "Findings"), i + 1);
        mr_leaves_open(l, "P");
        mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_LINK, .to = mr_sub_finding_place(s, i)});
        mr_leaves_put(l,
                      (struct mr_set_piece){
                          .kind = MR_PIECE_TEXT, .ink = MR_INK_BLUE, .x = x, .y = l->y + 9, .size = 9, .text = text});
        mr_leaves_put(l, (struct mr_set_piece){.kind = MR_PIECE_UNLINK});
        mr_leaves_close(l);
        x += mr_leaf_width(l, text, 9, false) + 14;
        if (n % IN_ROW == 0)
            l->y += 12;
    }
    if (n == 0)
        mr_leaves_paragraph(l, MR_LEAF_BODY, 0,
                            mr_printf(s->arena, "%s: %s", mr_sub_word(s, "Findings"), mr_sub_word(s, "none")));
    else
        l->y += n % IN_ROW ? 16 : 4;
}

static size_t coat_row(const struct mr_table *t, const char *zone, int coat) {
    const size_t z = mr_find_column(t, "zone"), c = mr_find_column(t, "coat");
    for (size_t r = 0; z != MR_NONE && c != MR_NONE && r < t->n_rows; r++) {
        const struct mr_value name = mr_table_value(t, r, z), n = mr_table_value(t, r, c);
        if (name.type == MR_V_TEXT && strcmp(name.text, zone) == 0 && n.type == MR_V_COUNT && n.count == coat)
            return r;
    }
    return MR_NONE;
}

/* Climate, rise and lines of each coat side by side. */
static void put_coats(const struct mr_sub *s, const struct mr_zone *z) {
    static const struct {
        const char *table, *key;
    } parts[] = {{"climate", "spread_least"},  {"climate", "spread_limit"},  {"climate", "humidity_greatest"},
                 {"heat-by-coat", "rise"},     {"heat-by-coat", "band_low"}, {"heat-by-coat", "band_high"},
                 {"line-pressures", "mean_a"}, {"line-pressures", "mean_b"}, {"line-pressures", "imbalance_held"}};
    struct mr_grid_column columns[1 + MR_COUNT(parts)] = {{mr_sub_word(s, "Coat"), false}};
    const struct mr_table *table[MR_COUNT(parts)];
    size_t field[MR_COUNT(parts)];
    bool any = false;
    for (size_t i = 0; i < MR_COUNT(parts); i++) {
        table[i] = mr_find_table(s->a, parts[i].table);
        field[i] = mr_find_column(table[i], parts[i].key);
        columns[1 + i] = (struct mr_grid_column){
            field[i] == MR_NONE ? mr_sub_word(s, "Not there") : mr_sub_title(s, &table[i]->fields[field[i]]), true};
    }
    struct mr_grid grid = mr_grid_new(s->arena, MR_COUNT(columns), columns);
    const int coats = mr_coats_of(s->a, (size_t)(z - s->a->aligned->zones.v));
    for (int coat = 1; coat <= coats; coat++) {
        mr_grid_text(&grid, mr_printf(s->arena, "%d", coat));
        for (size_t i = 0; i < MR_COUNT(parts); i++) {
            const size_t row = field[i] == MR_NONE ? MR_NONE : coat_row(table[i], z->name, coat);
            any = any || row != MR_NONE;
            if (row == MR_NONE)
                mr_grid_text(&grid, "");
            else
                mr_sub_cell(s, &grid, table[i], row, field[i]);
        }
    }
    if (any)
        mr_leaves_grid(s->l, &grid);
}

/* At most two pages: a figure for which they have no room is shown behind all zones. */
static void put_figures(const struct mr_sub *s, size_t zone, size_t first_page) {
    struct mr_leaves *l = s->l;
    for (size_t i = 0; i < s->o->charts->n; i++) {
        if (s->o->charts->v[i].zone != zone)
            continue;
        const struct mr_leaf_mark mark = mr_leaves_mark(l);
        mr_leaves_figure(l, &s->o->charts->v[i], 2, NULL);
        if (l->leaf.n - first_page > 2) {
            mr_leaves_undo(l, &mark);
            return;
        }
        s->placed[i] = true;
    }
}

static void put_zone(const struct mr_sub *s, size_t zone) {
    static const char *const film[] = {"coat", "readings", "spots", "areas", "mean", "sd", "min", "median", "max"};
    const struct mr_zone *z = &s->a->aligned->zones.v[zone];
    const size_t first_page = s->l->leaf.n - 1;
    mr_leaves_heading(s->l, MR_LEAF_H2, z->name, mr_sub_zone_place(s, zone));
    put_groups(s, zone);
    put_facts(s, z, &s->a->zones[zone]);
    s->more[zone] = (struct mr_sub_more){true, s->l->leaf.n - 1, s->l->y + 9};
    put_findings(s, zone);
    put_rows(s, "thickness-summary", z->name, MR_COUNT(film), film);
    put_coats(s, z);
    put_checks(s, zone);
    put_figures(s, zone, first_page);
}

void mr_sub_zones(const struct mr_sub *s) {
    const size_t n = s->a->aligned->zones.n;
    bool any = false;
    for (size_t z = 0; z < n; z++) {
        if (!mr_sub_shows(s, z))
            continue;
        if (!any)
            mr_sub_section(s, "Zones", "zones");
        else
            mr_leaves_turn(s->l);
        any = true;
        put_zone(s, z);
    }
}

/* At the right of the line that leads to the zone's findings. */
static void put_way(const struct mr_sub *s, size_t zone, const char *place) {
    struct mr_leaves *l = s->l;
    struct mr_leaf *page = &l->leaf.v[s->more[zone].page];
    const struct mr_set_piece number = {.kind = MR_PIECE_NUMBER,
                                        .ink = MR_INK_BLUE,
                                        .x = l->right,
                                        .y = s->more[zone].y,
                                        .size = 9,
                                        .anchor = MR_RIGHT,
                                        .to = place};
    struct mr_set_piece words = number;
    words.kind = MR_PIECE_TEXT;
    words.x -= mr_leaf_width(l, "000 ", 9, false);
    words.text = mr_printf(s->arena, "%s: %s", mr_sub_word(s, "Further figures"), mr_sub_word(s, "page"));
    const struct mr_set_piece row[] = {{.kind = MR_PIECE_OPEN, .text = "P"},
                                       {.kind = MR_PIECE_LINK, .to = place},
                                       words,
                                       number,
                                       {.kind = MR_PIECE_UNLINK},
                                       {.kind = MR_PIECE_CLOSE}};
    for (size_t i = 0; i < MR_COUNT(row); i++)
        MR_PUSH(s->arena, &page->pieces, row[i]);
}

/* What the zones' pages had no room for, and what belongs to the job or a shift. */
void mr_sub_figures(const struct mr_sub *s) {
    const mr_chart_list *charts = s->o->charts;
    const size_t zones = s->a->aligned->zones.n;
    bool any = false;
    for (size_t i = 0; i < charts->n; i++) {
        const size_t zone = charts->v[i].zone;
        if (s->placed[i] || !mr_sub_shows(s, zone))
            continue;
        if (!any)
            mr_sub_section(s, "Further figures", "figures");
        any = true;
        const char *place = zone < zones ? mr_printf(s->arena, "more-%zu", zone + 1) : NULL;
        mr_leaves_figure(s->l, &charts->v[i], 2, zone < zones && s->more[zone].has_page ? place : NULL);
        if (zone < zones && s->more[zone].has_page)
            put_way(s, zone, place);
        if (zone < zones)
            s->more[zone].has_page = false;
    }
}
