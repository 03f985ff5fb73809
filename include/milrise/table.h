/*
 * table.h - a neutral report table: what assess has worked out, before anyone decides how it looks.
 *
 * assess fills tables, render turns each into a sheet, an entry of report.json and a text dump. A cell knows its type
 * and unrounded value; its column knows title, unit and how many decimals to show.
 */
#ifndef MILRISE_TABLE_H
#define MILRISE_TABLE_H

#include "milrise/arena.h"
#include "milrise/units.h"

enum mr_value_type {
    MR_V_BLANK, /* with text: the reason for the blank */
    MR_V_TEXT,
    MR_V_NUMBER, /* in the column's unit, unrounded */
    MR_V_COUNT,
    MR_V_TIME,    /* t_utc_ms; shown in the job's zone */
    MR_V_OUTCOME, /* enum mr_outcome in count */
};

struct mr_value { /* two words: a large job has millions */
    union {
        double number;    /* MR_V_NUMBER */
        int64_t count;    /* MR_V_COUNT, MR_V_TIME, MR_V_OUTCOME */
        const char *text; /* MR_V_TEXT, MR_V_BLANK; never read of other types: see mr_v_words */
    };
    enum mr_value_type type;
    int own_decimals; /* of a number, + 1; 0 = the column's */
};

struct mr_field {      /* a column of a table */
    const char *key;   /* stable word for report.json, snake_case with unit, e.g. "mean_um" or "mean_mil" */
    const char *title; /* for people */
    enum mr_unit unit;
    int decimals; /* shown; -1 = as many as needed up to 6 */
};

struct mr_cells; /* a column of a long table, packed: it has a dozen cells a reading */

struct mr_table {
    const char *id;    /* stable word in kebab case */
    const char *title; /* sheet name, at most 31 characters, none of []:*?/\ */
    const char *note;  /* one or two sentences above the table: what it shows, method and source; may be NULL */
    size_t n_fields;
    const struct mr_field *fields;
    size_t n_rows;
    struct mr_cells *cells;         /* shape: n_fields, of the rows before the last; see mr_table_value */
    MR_VEC(struct mr_value) values; /* of the last rows, row by row */
};

/** mr_table_new - an empty table; fields are copied. */
struct mr_table *mr_table_new(struct mr_arena *arena, const char *id, const char *title, const char *note,
                              size_t n_fields, const struct mr_field *fields);

/** mr_table_add - append a row of exactly n_fields values (copied; texts borrowed). */
void mr_table_add(struct mr_arena *arena, struct mr_table *table, const struct mr_value *values);

/** mr_table_whole - no more rows come, or hardly any: the table keeps no room for them. */
void mr_table_whole(struct mr_arena *arena, struct mr_table *table);

/** mr_table_value - of a row and a column. */
struct mr_value mr_table_value(const struct mr_table *table, size_t row, size_t column);

/* Values. A NaN or infinite number becomes a blank with the reason "not known". */
struct mr_value mr_v_text(const char *text);
struct mr_value mr_v_num(double number);
struct mr_value mr_v_num_to(double number, int decimals); /* shown with decimals of its own; -1 = as many as needed */
struct mr_value mr_v_count(int64_t count);
struct mr_value mr_v_time(int64_t t_utc_ms);
struct mr_value mr_v_outcome(int outcome);
struct mr_value mr_v_blank(const char *why);

/** mr_v_words - the text of MR_V_TEXT and MR_V_BLANK; NULL of any other value. */
const char *mr_v_words(const struct mr_value *value);

#endif
