/*
 * timer.h - reads the time of every row of one file, as stamps that become moments once the dates are settled.
 */
#ifndef MILRISE_NORMALISE_CLOCK_TIMER_H
#define MILRISE_NORMALISE_CLOCK_TIMER_H

#include "normalise/clock/datebook.h"
#include "normalise/column/plan.h"

enum mr_time_read {
    MR_READ_OK,
    MR_READ_BLANK,   /* no time in the cell */
    MR_READ_BAD,     /* not a time */
    MR_READ_NO_DATE, /* a time of day or an elapsed time, and no date to add it to */
    MR_READ_ZONE,    /* with a zone where the file has none, or the other way round */
};

/* How lines above a table and between its blocks call the start, the date and the zone of the clock; folded, parted
 * by
 * '|'. */
#define MR_START_NAMES                                                                                               \
    "start|started|start time|start date time|start datetime|logging started|recording "                             \
    "started|begin|beginn|startzeit|started at|"                                                                     \
    "first sample|first reading|test start|log start|start of log|datetime|date time|start of recording|start "      \
    "zeit|debut|début"
#define MR_DATE_NAMES                                                                                                \
    "date|start date|test date|datum|measurement date|logging date|recording date|day|shift date|startdatum|log "    \
    "date|batch date|"                                                                                               \
    "fecha|data"
#define MR_ZONE_OF_TIME_NAMES                                                                                        \
    "time zone|timezone|utc offset|zone offset|zeitzone|tz|gmt offset|utc offset h|gmt offset h|utc offset hours|"   \
    "gmt offset hours|utc offset min|utc offset minutes|time zone offset|timezone offset|tz offset|offset from utc|" \
    "offset from gmt|offset to utc|utc difference|fuseau|huso horario|zona oraria|differenza utc|decalage utc|"      \
    "desfase utc|zeitverschiebung|fuseau horaire|zona horaria|fuso orario|fuso horario|"                             \
    "tijdzone|tidszon|strefa czasowa|clock zone|time base|time reference"

#define MR_BASE_STEP (INT64_C(1) << 45) /* room for the times of one block, from its base */
#define MR_BASE_BIAS (INT64_C(1) << 44) /* some lie before it */

struct mr_zone_claim { /* a zone in words, anywhere in the file; line 0 = heading or preamble */
    const char *text;
    uint32_t line;
};

struct mr_timer {
    struct mr_arena *arena;
    MR_VEC(struct mr_zone_claim) claims; /* each text once */
    const struct mr_plan *plan;
    struct mr_datebook book;
    char prefix[32]; /* date text of the last row, and its stamp */
    size_t prefix_n;
    int64_t prefix_stamp;
    char suffix[12]; /* zone text of the last row, and its offset */
    size_t suffix_n;
    int32_t suffix_min;
    int zoned;              /* -1 not known yet, 0 wall clock, 1 with a zone */
    int64_t base_stamp;     /* date of time-of-day rows, start of elapsed rows; MR_T_NONE */
    MR_VEC(int64_t) bases;  /* one for each block of the file: the stamps of its rows name theirs */
    int64_t base_ms;        /* time of day of the start, days carried past midnight */
    const char *base_why;   /* where the base comes from, "" */
    int64_t last_clock;     /* of the row before; -1 */
    uint32_t rollovers;     /* midnights passed by a time-of-day column */
    double least_s, most_s; /* elapsed, s */
    bool whole_zone;        /* the header or the preamble states one offset for the whole file */
    int32_t whole_min;
    const char *zone_said; /* where that stands, as written; "" */
    const char *zone_name; /* a zone named there whose offset is not told: "Europe/Berlin", "mst"; "" */
    int64_t start_clock;   /* time of day of a start in the preamble; -1 */
    int64_t carried_stamp; /* date that stands once above its rows; midnights passed below it */
    int carried_days;
    bool parts_known; /* date in cells of its own: the last one, and its stamp */
    int parts[3];
    int64_t parts_stamp;
    int64_t serial_least, serial_most; /* day numbers as moments, counted from 1900; MR_T_NONE */
    bool serial_1904;                  /* they are counted from 1904 */
};

/** mr_timer_claim - a zone in words that the file names: "CDT". */
void mr_timer_claim(struct mr_timer *timer, const char *text, size_t n, uint32_t line);

void mr_timer_init(struct mr_timer *timer, struct mr_arena *arena, const struct mr_plan *plan);

/** mr_timer_read - the time of a row. *out: a stamp (forms with a date), ms (epoch) or ms since the base (the
 * others).
 */
enum mr_time_read mr_timer_read(struct mr_timer *timer, const struct mr_row *row, int64_t *out);

/** mr_timer_block - a line between blocks of a file gives the rows below it another date, or another start; false
 * where it is none. */
bool mr_timer_block(struct mr_timer *timer, const char *text, size_t n, uint32_t line);

/** mr_timer_cell - a moment in one cell, outside the row's own time: start, stop, shelf date. *out_date: stamp of the
 * date or MR_T_NONE; *out_clock: ms since midnight or -1. */
enum mr_time_read mr_timer_cell(struct mr_timer *timer, const struct mr_cell *cell, uint32_t line, int64_t *out_date,
                                int64_t *out_clock);

/** mr_timer_settle - settle the dates; job: its days; log: rows stand in order of time. */
struct mr_date_verdict mr_timer_settle(struct mr_timer *timer, const struct mr_job *job, bool log);

/** mr_timer_moment - a stamp from mr_timer_read as ms in the file's basis, MR_T_NONE where its date does not exist.
 */
int64_t mr_timer_moment(const struct mr_timer *timer, int64_t stamp);

/** mr_timer_moments - the same over a column, in place. */
void mr_timer_moments(const struct mr_timer *timer, int64_t *stamps, size_t n);

enum mr_time_basis mr_timer_basis(const struct mr_timer *timer);

/** mr_name_day - day of the only date that a file's name bears and that has one reading; INT64_MIN. */
int64_t mr_name_day(const char *path);

#endif
