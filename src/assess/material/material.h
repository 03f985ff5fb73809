/*
 * material.h - what the files of this room share: what each shift used of both parts, and which rows show it.
 */
#ifndef MILRISE_ASSESS_MATERIAL_MATERIAL_H
#define MILRISE_ASSESS_MATERIAL_MATERIAL_H

#include "assess/finding/caution.h"
#include "assess/finding/finding_text.h"

/* What a shift, or the whole job, used. */
struct mr_parts_used {
    double a_l, b_l; /* volumes; NaN where a density is missing */
    size_t rows_a, rows_b;
    int64_t last_a_utc_ms, last_b_utc_ms; /* when the last levels were read; INT64_MAX: on a day without a time */
    int64_t spray_ms;                     /* length of the windows */
    const char *doubt;                    /* why the rows may be of another use of the drums; NULL */
    double least, most;                   /* ratio where levels that do not join are counted in; NaN where all join */
    const char *apart;                    /* which levels those are; NULL */
    mr_evidence_list evidence;
};

struct mr_stock {
    struct mr_parts_used job, *shift; /* shape: shifts.n */
};

/** mr_take_stock - what the material log says that each shift used (stock.c). */
struct mr_stock mr_take_stock(struct mr_assess *a);

/** mr_litres_of - a level's difference of a row as volume; NaN where a density is missing (material_rows.c).
 */
double mr_litres_of(const struct mr_assess *a, const struct mr_material *m, double level);

/** mr_ratio_used - part A for one of part B by volume; NaN where not known. mr_mixed_l - both together. */
double mr_ratio_used(const struct mr_parts_used *u);
double mr_mixed_l(const struct mr_parts_used *u);
enum mr_outcome mr_judge_ratio(const struct mr_settings *settings, double ratio);

/** mr_stock_doubt - why a ratio within the limits is not shown of that shift, and of a zone where one is given
 * (MR_NONE: of all); NULL where it is. */
const char *mr_stock_doubt(struct mr_assess *a, const struct mr_stock *stock, size_t shift, size_t zone,
                           const struct mr_settings *settings);

/* Whose use of the drums a row of the material log shows. */
struct mr_level_row {
    size_t shift;      /* MR_NONE where none */
    const char *doubt; /* why it may not be that shift's; NULL */
    bool of_day;       /* a day without a time */
};

/** mr_level_row - of row i: a day without a time is the shift of that day; a time is when the levels were read
 * (material_rows.c). */
struct mr_level_row mr_level_row(struct mr_assess *a, size_t i);

/* Levels of one drum that follow each other and do not join. */
struct mr_levels_apart {
    size_t row, next;  /* indices into the material log */
    double litres;     /* what is gone; below zero: what is there again. NaN where a density is missing */
    const char *where; /* "12.0 L of part B are gone from drum B1" */
};
struct mr_drums {
    MR_VEC(struct mr_levels_apart) apart;
    bool *refilled; /* per row of the log: its level rises, and it is a refill */
};

/** mr_join_levels - how the levels of each drum follow each other (levels_join.c). mr_find_apart - tells a pair;
 * mr_mend_apart - what to do about it. */
struct mr_drums mr_join_levels(struct mr_assess *a);
void mr_find_apart(struct mr_assess *a, const struct mr_levels_apart *pair);
extern const char mr_mend_apart[];

/** mr_assess_lots - lots and shelf dates traced to zones and coats (lots.c). */
void mr_assess_lots(struct mr_assess *a);

/** mr_find_other_days - tells that no row of the material log is of a shift. mr_find_rising_level - of a row whose
 * level after is above that before (material_rows.c). */
void mr_find_other_days(struct mr_assess *a);
void mr_find_rising_level(struct mr_assess *a, const struct mr_material *m);

#endif
