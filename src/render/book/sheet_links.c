/*
 * sheet_links.c - from any row to where it is explained: a zone's name leads to its page, a check and a finding to
 * the table with the figures behind them.
 */
#include "render/book/book_sheets.h"

#include <math.h>
#include <string.h>

/* The table with the figures behind a group of checks; with a coat of the same zone where it has one. */
static const struct {
    const char *group, *table;
} behind[] = {{"thickness", "thickness-limits"},
              {"gauge", "gauge-verifications"},
              {"climate", "climate"},
              {"reaction", "heat-by-coat"},
              {"lines", "line-pressures"},
              {"material", "material"},
              {"shift record", "shift-record"},
              {"history", "surveys"}};

/* Row of a table for a zone and a coat; of its zone where the coat is not there; 0 where neither is. */
static size_t row_for(const struct mr_book_job *job, const struct mr_table *t, const char *zone, int coat) {
    size_t n;
    const size_t *row = mr_rows_of_zone(job->live, t, zone, &n);
    for (size_t i = 0; i < n; i++) {
        const struct mr_value v = mr_live_value(t, "coat", row[i]);
        if (coat > 0 && v.type == MR_V_COUNT && v.count == coat)
            return row[i];
    }
    return n ? row[0] : 0;
}

/* The row of the limits that a thickness check was judged by, else that of the zone. */
static size_t limit_row(const struct mr_book_job *job, const struct mr_table *t, const char *zone, const char *rule) {
    size_t n;
    const size_t *row = mr_rows_of_zone(job->live, t, zone, &n);
    for (size_t i = 0; i < n; i++)
        if (!strcmp(mr_live_text(t, "limit_name", row[i]), rule))
            return row[i];
    return n ? row[0] : 0;
}

static void lead_to(const struct mr_book_job *job, const struct mr_table *t, size_t row, struct mr_cell_out *cell) {
    const struct mr_place_on_sheet p = mr_layout_place(job->layout, t, row);
    if (!p.to)
        return;
    if (cell->kind == MR_CELL_NUMBER && isfinite(cell->number)) { /* a jump has a text */
        cell->text = mr_printf(job->arena, "%.0f", cell->number);
        cell->kind = MR_CELL_TEXT;
    }
    cell->look = MR_LOOK_LINK_CELL;
    cell->target = p.to;
    cell->target_row = p.row;
}

static const struct mr_table *table_behind(const struct mr_book_job *job, const char *group) {
    for (size_t i = 0; i < MR_COUNT(behind); i++)
        if (strcmp(behind[i].group, group) == 0)
            return mr_find_table(job->o->a, behind[i].table);
    return NULL;
}

static void link_check(const struct mr_book_job *job, const struct mr_check *c, struct mr_cell_out *cell) {
    const struct mr_table *t = table_behind(job, c->group);
    const char *zone = mr_zone_name(job->o->a, c->zone);
    if (!t || t->n_rows == 0)
        return;
    lead_to(job, t,
            !strcmp(t->id, "thickness-limits") && c->rule ? limit_row(job, t, zone, c->rule)
                                                          : row_for(job, t, zone, c->coat),
            cell);
}

/* A finding leads to the check that it speaks of: the same zone, coat and rule, else the same zone and coat. */
static size_t check_behind(const struct mr_book_job *job, const struct mr_finding *f) {
    const struct mr_assessment *a = job->o->a;
    size_t best = MR_NONE, n;
    const size_t *row = mr_rows_of_zone(job->live, job->checks, mr_zone_name(a, f->zone), &n);
    for (size_t i = 0; i < n; i++) {
        const struct mr_check *c = &a->checks.v[row[i]];
        if (c->zone != f->zone || c->coat != f->coat)
            continue;
        if (c->rule && f->rule && strcmp(c->rule, f->rule) == 0 && c->outcome >= MR_NOT_SHOWN)
            return row[i];
        if (best == MR_NONE && c->outcome >= MR_NOT_SHOWN)
            best = row[i];
    }
    return best;
}

static void link_zone(const struct mr_book_job *job, const char *zone, struct mr_cell_out *cell) {
    size_t n;
    if (!job->zones)
        return;
    const size_t *row = mr_rows_of_zone(job->live, job->live->zones, zone, &n); /* in the order of the zones */
    if (n == 0 || row[0] >= job->o->a->aligned->zones.n)
        return;
    cell->look = MR_LOOK_LINK_CELL;
    cell->target = mr_zone_sheet(job, row[0]);
    cell->target_row = job->zone_row[row[0]];
}

void mr_table_links(const struct mr_book_job *job, const struct mr_table *t, size_t row, struct mr_cell_out *cells) {
    enum { ROWS_LINKED = 20000 };
    const size_t zone = mr_find_column(t, "zone"), check = mr_find_column(t, "check"),
                 number = mr_find_column(t, "number");
    if (t->n_rows > ROWS_LINKED || t == job->live->typed)
        return;
    if (zone != MR_NONE && cells[zone].kind == MR_CELL_TEXT && !cells[zone].formula && cells[zone].text)
        link_zone(job, cells[zone].text, &cells[zone]);
    if (t == job->checks && check != MR_NONE)
        link_check(job, &job->o->a->checks.v[row], &cells[check]);
    if (t == job->findings && number != MR_NONE) { /* on a short cell: long jumps are not wrapped everywhere */
        const size_t at = check_behind(job, &job->o->a->findings.v[row]);
        if (at != MR_NONE)
            lead_to(job, job->checks, at, &cells[number]);
    }
}
