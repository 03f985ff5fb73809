/*
 * outline.h - what workbook, charts and report.json share about one report: names, dates, the words at its head.
 */
#ifndef MILRISE_RENDER_DATA_OUTLINE_H
#define MILRISE_RENDER_DATA_OUTLINE_H

#include "render/chart/charts.h"

struct mr_outline {
    struct mr_arena *arena;
    const struct mr_assessment *a;
    const char *version;  /* of milrise */
    const char *folder;   /* the job folder's own name, safe as a file name */
    const char *job_name; /* as stated, else the folder */
    long revision;
    const char *revision_text; /* "revision 0" */
    const char *stamp;         /* date that is printed; "" where none is known */
    int64_t created_utc_ms;    /* for document properties; never from the clock */
    const char *offset_text;   /* "UTC+02:00" where one offset holds for all data, else "" */
    bool letter;               /* paper of the printed pages, else A4 */
    struct mr_chart_job chart_job;
    const mr_chart_list *charts;
};

/** mr_outline_make - charts is borrowed and may still be empty. stamp NULL: from the job, else from the data. */
struct mr_outline mr_outline_make(struct mr_arena *arena, const struct mr_assessment *a, const char *version,
                                  const char *stamp, long revision, const mr_chart_list *charts);

/** mr_outline_in - the same outline whose makers take their memory from another arena, for a thread of its own. */
struct mr_outline mr_outline_in(const struct mr_outline *outline, struct mr_arena *arena);

/** mr_since_text - "since revision 2", of a figure that stands as it is since then. */
const char *mr_since_text(struct mr_arena *arena, long revision);

/* A person reads no workbook of more zones: it has no page for each and no formulas, and its long tables stand as CSV
 * beside it (long_tables.h). */
enum { MR_BOOK_ZONES_MOST = 10000 };

/** mr_many_zones - more than that. */
bool mr_many_zones(const struct mr_outline *outline);

/** mr_zones_listed - places of the zones that a list for people shows: all in their order, or of more than that those
 * with the worst outcomes. Shape: *out_n. */
const size_t *mr_zones_listed(struct mr_arena *arena, const struct mr_assessment *a, size_t *out_n);

/** mr_first_revision - the number that the job gives its first report; 0 where it states none. */
long mr_first_revision(const struct mr_job *job);

/** mr_place_text - "logs/lines.csv:118-131"; "" where there is no file. */
const char *mr_place_text(struct mr_arena *arena, const struct mr_place *place);

/** mr_outcome_counts - zones by outcome; counts holds four numbers by enum mr_outcome. */
void mr_outcome_counts(const struct mr_assessment *a, size_t counts[4]);

/** mr_zone_counts_text - "8 zones: 6 conform, 1 does not conform, 1 not shown"; outcomes that no zone has are left
 * out but for the first three. */
const char *mr_zone_counts_text(struct mr_arena *arena, const struct mr_assessment *a);

/** mr_account_of - a file's account after all stages. */
const struct mr_account *mr_account_of(const struct mr_assessment *a, size_t file);

/** mr_outline_word - a heading as the job's wording prints it; itself where tables of no job are written. */
const char *mr_outline_word(const struct mr_outline *outline, const char *english);

/** mr_coats_of - coats that a zone's page tells of: as many as are required, and any that were sprayed beyond. */
int mr_coats_of(const struct mr_assessment *assessment, size_t zone);

#endif
