/*
 * parts.h - the parts of a submittal, each in a file of its own, in their order.
 */
#ifndef MILRISE_RENDER_SUBMITTAL_PARTS_H
#define MILRISE_RENDER_SUBMITTAL_PARTS_H

#include "render/data/shown_value.h"
#include "render/submittal/leaves.h"
#include "render/submittal/submittal.h"

/* Where a zone's page has room for the way to its figures that stand behind all zones. */
struct mr_sub_more {
    bool has_page;
    size_t page; /* from 0, before the contents are put in */
    double y;    /* baseline */
};

struct mr_sub {
    const struct mr_outline *o;
    const struct mr_assessment *a;
    struct mr_arena *arena;
    struct mr_leaves *l;
    const struct mr_zone_choice *choice;
    const struct mr_table *findings;
    size_t n_chosen;
    struct mr_sub_more *more; /* shape: zones */
    bool *placed;             /* shape: charts: shown in a part that comes before the further figures */
};

/** mr_sub_word - a heading in the report's language. */
const char *mr_sub_word(const struct mr_sub *s, const char *english);

/** mr_sub_shows - has this zone pages here? MR_NONE, the whole job: always. */
bool mr_sub_shows(const struct mr_sub *s, size_t zone);

/** mr_sub_zone_place, mr_sub_finding_place - names of places. The zone's is NULL where it has no pages here. */
const char *mr_sub_zone_place(const struct mr_sub *s, size_t zone);
const char *mr_sub_finding_place(const struct mr_sub *s, size_t finding);

/** mr_sub_grid - columns with heads in the report's language. */
struct mr_grid mr_sub_grid(const struct mr_sub *s, size_t n, const struct mr_grid_column *columns);

/** mr_sub_title - a column's title with its unit. mr_sub_day - the day of a local moment. mr_sub_cell - a table's
 * cell into a grid. */
const char *mr_sub_title(const struct mr_sub *s, const struct mr_field *field);
const char *mr_sub_day(const struct mr_sub *s, int64_t local_ms);
void mr_sub_cell(const struct mr_sub *s, struct mr_grid *grid, const struct mr_table *table, size_t row,
                 size_t column);

/** mr_sub_section - a section on a new page: heading, place, bookmark. */
void mr_sub_section(const struct mr_sub *s, const char *english, const char *place);

/** mr_sub_table - rows of a table of the assessment in the columns of these keys; zone: only rows of shown zones.
 * Says so where there is none. */
void mr_sub_table(const struct mr_sub *s, const struct mr_table *table, size_t n, const char *const *keys);

void mr_sub_cover(const struct mr_sub *s);
void mr_sub_verdict(const struct mr_sub *s);
void mr_sub_open(const struct mr_sub *s);
void mr_sub_findings(const struct mr_sub *s);
void mr_sub_zones(const struct mr_sub *s);
void mr_sub_figures(const struct mr_sub *s); /* those of the job and its shifts, and more of the zones */
void mr_sub_gauges(const struct mr_sub *s);
void mr_sub_inputs(const struct mr_sub *s);
void mr_sub_basis(const struct mr_sub *s);
void mr_sub_cautions(const struct mr_sub *s);

#endif
