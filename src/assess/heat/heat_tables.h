/*
 * heat_tables.h - the tables of events and of coats (heat_tables.c).
 */
#ifndef MILRISE_ASSESS_HEAT_HEAT_TABLES_H
#define MILRISE_ASSESS_HEAT_HEAT_TABLES_H

#include "assess/heat/heat_job.h"

struct mr_heat_row {                   /* how a coat was judged */
    const struct mr_probe_heat *probe; /* the one that spoke; NULL */
    double low_k, high_k, factor;
    bool scaled;
    enum mr_outcome outcome;
    const char *why;
};

/** mr_heat_table_coats - one row per coat. rows: as many as coats. */
void mr_heat_table_coats(struct mr_assess *a, const mr_coat_heats *coats, const struct mr_heat_row *rows);

/** mr_heat_table_events - one row per event of out->heats. */
void mr_heat_table_events(struct mr_assess *a);

#endif
