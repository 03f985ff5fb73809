/*
 * live.h - which cells of which tables are formulas. Recipes find tables by id and columns by key; one that does not
 * find what it needs gives no formula, and its name is kept: the workbook says so, and a test fails.
 *
 * A value whose making a spreadsheet cannot repeat (fits, exact tolerance factors, logs that are not in the workbook)
 * stays a value; the note of its table names the method.
 */
#ifndef MILRISE_RENDER_BOOK_LIVE_H
#define MILRISE_RENDER_BOOK_LIVE_H

#include "render/data/word_index.h"
#include "render/sheet/formula.h"
#include "render/sheet/layout.h"

/* A value misses a limit by more than this, in the unit of the table: the program compares exact numbers, a
 * spreadsheet rounded ones, and the steps of a gauge are far coarser. */
#define MR_LIVE_SLACK 1e-9

/* Rows of a table that share the texts of some columns and follow each other. */
struct mr_block {
    const char *word[3];
    size_t from, to; /* the last one in */
};
typedef struct mr_block_list {
    MR_VEC(struct mr_block) list;
    struct mr_word_index by_word; /* by their first words */
} mr_block_list;

/* Rows of a table by zone. */
struct mr_zone_rows {
    const struct mr_table *table;
    struct mr_word_index index;
};

/* What outcomes rest on. */
enum mr_basis {
    MR_OF_ALL,
    MR_OF_READINGS, /* under their names */
    MR_OF_FILM,
    MR_OF_GAUGE,
    MR_OF_CLIMATE,
    MR_OF_REACTION,
    MR_OF_LINES,
    MR_OF_MATERIAL,
    MR_OF_SHIFT,
    MR_BASES
};

/* Rows of a table that are held against what was reported (live_typed.h). */
struct mr_guard {
    enum { MR_GUARD_CELLS, MR_GUARD_NAMES, MR_GUARD_ADDED } kind;
    const struct mr_table *table;
    size_t from, to; /* the last one in */
    size_t zone;     /* zones.n: of the whole job */
    enum mr_basis basis;
    char *cells;           /* shape: n_fields: enum mr_guard_cell, of MR_GUARD_CELLS */
    size_t room;           /* characters of its formula, about */
    struct mr_guard *more; /* rows below whose cells are of other kinds, in the same formula */
};

struct mr_live {
    struct mr_arena *arena;   /* for what stays */
    struct mr_arena *scratch; /* for expressions; emptied now and then */
    const struct mr_outline *o;
    const struct mr_table *readings, *spots, *summary, *areas, *limits, *sampling, *checks, *findings, *zones;
    mr_block_list reading_films, spot_films, summary_films, area_rules, limit_films, sampling_rules;
    mr_block_list check_zones;
    size_t *spot_first; /* shape: spots->n_rows + 1: first reading of each spot; NULL where the tables do not agree */
    size_t *reading_spot; /* shape: readings->n_rows, where spot_first is there */
    size_t *area_first;   /* shape: areas->n_rows: first spot of each area; MR_NONE where not known */
    MR_VEC(struct mr_zone_rows *) zone_rows;
    MR_VEC(const char *) lost;
    bool all_usual;                 /* of so many readings that none is left out: columns of usual ones are blank */
    MR_VEC(struct mr_guard) guards; /* by zone and basis, row by row as in the table typed */
    size_t *guard_first;            /* shape: (zones + 1) x MR_BASES + 1 */
    const struct mr_table *typed, *since;
};

/* A recipe: the formula of one cell. */
typedef mr_x mr_recipe_fn(struct mr_live *live, const struct mr_table *table, size_t row);
struct mr_recipe {
    const char *table, *column;
    mr_recipe_fn *make;
    bool blanks; /* it gives the reason for a blank cell as well */
};

/** mr_live_begin - checks, findings: the tables made from the assessment's lists. */
struct mr_live *mr_live_begin(const struct mr_outline *outline, const struct mr_table *checks,
                              const struct mr_table *findings);

/* Recipes by room of the workbook; ends in a row of NULL. */
extern const struct mr_recipe mr_reading_recipes[], mr_film_recipes[], mr_limit_recipes[], mr_check_recipes[],
    mr_wet_recipes[], mr_other_recipes[], mr_typed_recipes[];

/** mr_recipes_of - for each column of a table its recipe or NULL; shape: n_fields. */
typedef const struct mr_recipe **mr_recipes_fn(struct mr_live *live, const struct mr_table *table);
mr_recipes_fn mr_recipes_of;

/* What the recipes use. A column that is not there is noted as lost. */
void mr_live_note_lost(struct mr_live *live, const char *table, const char *column);
mr_x mr_live_cell(struct mr_live *live, const struct mr_table *table, const char *column, size_t row);
mr_x mr_live_range(struct mr_live *live, const struct mr_table *table, const char *column, size_t from, size_t to);
struct mr_value mr_live_value(const struct mr_table *table, const char *column, size_t row); /* blank: none */
const char *mr_live_text(const struct mr_table *table, const char *column, size_t row);      /* "" */
/** mr_rows_of_zone - rows of a table whose column "zone" holds the name, in ascending order. table may be NULL. */
const size_t *mr_rows_of_zone(struct mr_live *live, const struct mr_table *table, const char *zone, size_t *out_n);
const struct mr_block *mr_block_of(const mr_block_list *blocks, const char *a, const char *b, const char *c);

/** mr_live_standings - whether the sheet itself decides which readings are unusual, left out or in doubt. */
bool mr_live_standings(const struct mr_live *live);

/** mr_live_spread - the cell of a coat's least spread, where it is this value; NULL. */
mr_x mr_live_spread(struct mr_live *live, const char *zone, int64_t coat, double value);

/** mr_live_beyond - whether values lie beyond the limit of a row of the thickness limits. */
mr_x mr_live_beyond(struct mr_live *live, const struct mr_table *limits, size_t row, mr_x values);

/** mr_live_has_sides - whether the sheet follows which readings of a film's spots are left aside for a minimum and
 * for a maximum, where spots have more than they need. */
bool mr_live_has_sides(struct mr_live *live, const char *zone, const char *film);

/** mr_live_thin_areas - areas of a film that lack spots, not half of them, and miss a limit by those that they have;
 *  NULL: the sheet does not tell. out_reported: as reported. */
mr_x mr_live_thin_areas(struct mr_live *live, const char *zone, const char *film, size_t *out_reported);

/** mr_live_history - whether what missed a limit was repaired: exact of one survey, else as reported while the film's
 *  outcome stands. zone: its row of the zones. */
mr_x mr_live_history(struct mr_live *live, const struct mr_check *check, const char *film, size_t zone);

/** mr_live_missed_by_all - values of a row of the thickness limits, spots or areas, that miss it with all of their
 *  readings; NULL where that is not known. */
mr_x mr_live_missed_by_all(struct mr_live *live, size_t limit);

/** mr_live_film_changed - a check of the film as it stands after changes. live: its formula, NULL where it has none;
 *  fails: then a condition under which a new report surely says that it does not conform; NULL. */
mr_x mr_live_film_changed(struct mr_live *live, const struct mr_check *check, const char *film, mr_x formula,
                          mr_x fails);

/** mr_live_gauge_changed - a check of the gauges behind a zone's readings: as reported while the same verifications
 *  pass and the film lies where they prove the gauge. NULL: no formula. */
mr_x mr_live_gauge_changed(struct mr_live *live, const struct mr_check *check);

/** mr_live_material_changed - a ratio that no one row of the material gives: as reported while none changes. NULL. */
mr_x mr_live_material_changed(struct mr_live *live, const struct mr_check *check);

/** mr_live_follows - x while the condition holds, else MR_UNKNOWN_WORD. */
mr_x mr_live_follows(struct mr_live *live, mr_x condition, mr_x x);

/** mr_live_guard - makes the tables of what was typed over, before the sheets are laid out; none of very many zones.
 * recipes: mr_recipes_of, handed over since it knows these tables' own. */
void mr_live_guard(struct mr_live *live, mr_recipes_fn *recipes);

/** mr_live_guarded - x, or the check's outcome where it is NULL, while nothing was typed over on which the check
 * rests; then MR_UNKNOWN_WORD. */
mr_x mr_live_guarded(struct mr_live *live, const struct mr_check *check, mr_x x);

/** mr_live_numbers - of each cell of a range whether it holds a number. */
mr_x mr_live_numbers(struct mr_live *live, mr_x range);

/* Worst of the outcomes in a range and in one more (NULL = none); one text of two. */
mr_x mr_live_worst(struct mr_live *live, mr_x range, mr_x more);
mr_x mr_live_if(struct mr_live *live, mr_x condition, const char *yes, const char *no);

#endif
