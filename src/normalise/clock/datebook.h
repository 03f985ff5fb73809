/*
 * datebook.h - all dates of one file, in order, until the whole file tells which figure is the day.
 *
 * A log has few dates and many rows. Each date is entered once, when it first appears, and rows carry a stamp that
 * points to the entry plus the time since its midnight. When the file has been read the order is settled by evidence
 * over all entries, and stamps become moments by one multiplication each. So rows stream once, whatever the evidence
 * is and wherever in the file it stands.
 */
#ifndef MILRISE_NORMALISE_CLOCK_DATEBOOK_H
#define MILRISE_NORMALISE_CLOCK_DATEBOOK_H

#include "milrise/arena.h"
#include "normalise/cell/when.h"

struct mr_datebook_entry {
    struct mr_date date;
    uint32_t line;
    const char *text; /* as written */
    int64_t
        clock_before; /* time of day of the row before, -1 = none; for evidence from a log that runs past midnight */
    int64_t clock_after;
};

struct mr_datebook {
    struct mr_arena *arena;
    MR_VEC(struct mr_datebook_entry) list;
    MR_VEC(int64_t) days; /* per entry once settled; INT64_MIN = no such date under the order */
};

/* What else is known about the order of day and month. */
struct mr_date_hints {
    int stated; /* enum mr_order, or -1; the job file's */
    const char *stated_why;
    int header;                  /* enum mr_order, or -1; a format in the header, "MM/DD/YYYY" */
    int64_t first_day, last_day; /* of the job, days since 1970; INT64_MIN = not known */
    int64_t other_day;           /* date in the file's name or preamble that has one reading only; INT64_MIN */
    const char *other_what;      /* where it stands */
    bool log;                    /* rows stand in order of time */
};

struct mr_date_verdict {
    bool settled;
    enum mr_order order;
    const char *order_text;    /* "" where no date is written */
    const char *why;           /* evidence, or why there is none; in the book's arena */
    uint32_t line, other_line; /* lines that speak for it, or that contradict each other */
};

/* Stamps: entry i and t milliseconds since its midnight (-1 to +2 days). */
#define MR_STAMP_STEP (4 * MR_DAY_MS)
#define MR_STAMP_BIAS MR_DAY_MS

/** mr_datebook_enter - a date as a stamp of its midnight. line, text: for evidence; clock: time of day of the row, or
 * -1. */
int64_t mr_datebook_enter(struct mr_datebook *book, const struct mr_date *date, uint32_t line, const char *text,
                          size_t n, int64_t clock_before, int64_t clock_after);

/** mr_datebook_settle - find the order and fill days where it is settled. */
struct mr_date_verdict mr_datebook_settle(struct mr_datebook *book, const struct mr_date_hints *hints);

/** mr_datebook_moment - a stamp as ms, MR_T_NONE where its date does not exist. Only after a settled verdict. */
static inline int64_t mr_datebook_moment(const struct mr_datebook *book, int64_t stamp) {
    if (stamp == MR_T_NONE)
        return MR_T_NONE;
    int64_t day = book->days.v[stamp / MR_STAMP_STEP];
    return day == INT64_MIN ? MR_T_NONE : day * MR_DAY_MS + stamp % MR_STAMP_STEP - MR_STAMP_BIAS;
}

/** mr_date_format_order - the order that a header's words state, "DATE (MM/DD/YYYY)", "TT.MM.JJJJ", or -1. */
int mr_date_format_order(const char *header);

#endif
