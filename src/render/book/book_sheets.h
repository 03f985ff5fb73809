/*
 * book_sheets.h - what the sheets of a report share: the book in hand, cells of tables, and the sheets themselves in
 * their order.
 */
#ifndef MILRISE_RENDER_BOOK_BOOK_SHEETS_H
#define MILRISE_RENDER_BOOK_BOOK_SHEETS_H

#include "render/book/live.h"
#include "render/data/outline.h"
#include "render/sheet/book.h"
#include "render/sheet/value_cell.h"

struct mr_book_job {
    const struct mr_outline *o;
    struct mr_book *book;
    struct mr_arena *arena;
    struct mr_book_layout *layout;
    struct mr_live *live;
    const struct mr_table *checks, *findings;
    struct mr_sheet *verdict;
    struct mr_sheet **zones; /* sheets of one page for each zone, MR_ZONES_A_SHEET on each; NULL: none */
    unsigned *zone_row;      /* shape: zones.n: where each zone's page begins on its sheet */
    bool charts;
};

/** mr_book_word - a heading as the job's wording prints it. */
static inline const char *mr_book_word(const struct mr_book_job *job, const char *english) {
    return mr_outline_word(job->o, english);
}

enum { MR_ZONES_A_SHEET = 2000 }; /* a sheet ends at 1048576 rows */
static inline struct mr_sheet *mr_zone_sheet(const struct mr_book_job *job, size_t zone) {
    return job->zones ? job->zones[zone / MR_ZONES_A_SHEET] : NULL;
}

/** mr_table_head - title, note, heads and widths of a table's sheet. */
void mr_table_head(const struct mr_book_job *job, struct mr_sheet *sheet, const struct mr_table_layout *layout,
                   unsigned head_row);

/** mr_table_links - jumps from cells of a row to where they are explained. */
void mr_table_links(const struct mr_book_job *job, const struct mr_table *table, size_t row,
                    struct mr_cell_out *cells);

/** mr_sheet_of_table - all sheets of a table. */
void mr_sheet_of_table(const struct mr_book_job *job, const struct mr_table_layout *table);

/** mr_put_words - a text as notes, broken into rows no wider than width_pt, so that nothing of it is cut. Returns:
 * the first row below it. */
unsigned mr_put_words(const struct mr_book_job *job, struct mr_sheet *sheet, unsigned row, unsigned column,
                      enum mr_look look, const char *words, double width_pt);

/** mr_words_rows - how many rows that takes. */
size_t mr_words_rows(const struct mr_book_job *job, enum mr_look look, const char *words, double width_pt);

/** mr_put_chart - a chart's plot at a row, between its words as cells. Returns: the first row below it. */
unsigned mr_put_chart(const struct mr_book_job *job, struct mr_sheet *sheet, unsigned row,
                      const struct mr_chart *chart);

/** mr_ref_cell - a cell that shows another one, of a table, by a formula. table NULL, or no such column: blank. */
struct mr_cell_out mr_ref_cell(const struct mr_book_job *job, const struct mr_sheet *own,
                               const struct mr_table *table, const char *column, size_t row);

/** mr_zone_pages - one page for each zone; also fills job->zone_row beforehand (mr_zone_pages_plan). */
void mr_zone_pages_plan(struct mr_book_job *job);
void mr_zone_pages(const struct mr_book_job *job);

/** mr_key_names - defined names of the key figures. */
void mr_key_names(const struct mr_book_job *job);

void mr_sheet_signoff(const struct mr_book_job *job, struct mr_sheet *sheet);
void mr_sheet_verdict(const struct mr_book_job *job, size_t n_sheets, struct mr_sheet *const *sheets);
void mr_sheet_cautions(const struct mr_book_job *job, struct mr_sheet *sheet);

enum { MR_KINDS_A_SHEET = 6 };
/** mr_sheet_charts - all charts of some kinds, kind after kind; fewer end with NULL. */
void mr_sheet_charts(const struct mr_book_job *job, struct mr_sheet *sheet, const char *const kinds[MR_KINDS_A_SHEET],
                     const char *title);

#endif
