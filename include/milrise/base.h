/*
 * base.h - the words that every stage shares: status codes, places in files, growable lists.
 *
 * Error rule: a call that can fail returns `enum mr_status` (MR_OK is 0) and is must-use. The status says what
 * the caller has to do; what a person needs to know goes to the diagnostics list (diag.h). Nothing in the
 * library prints, exits, reads the clock, the environment or the locale.
 * Time rule: a moment is `int64_t` milliseconds. `t_utc_ms` counts from 1970-01-01T00:00:00Z; `t_local_ms` is
 * the same count with the wall clock's figures read as if they were UTC (no zone applied yet).
 * Number rule: a missing value is NaN in memory, a blank with a reason on paper, never zero.
 */
#ifndef MILRISE_BASE_H
#define MILRISE_BASE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define MR_MUST_USE __attribute__((warn_unused_result))
#define MR_PRINTF(fmt, args) __attribute__((format(printf, fmt, args)))

/* The one list of status codes: name, sentence. */
#define MR_STATUS_LIST(X)                                                                                            \
    X(MR_OK, "done")                                                                                                 \
    X(MR_E_IO, "a file could not be read")                                                                           \
    X(MR_E_SYNTAX, "a text does not follow its grammar")                                                             \
    X(MR_E_RANGE, "a value lies outside what the call can work with")                                                \
    X(MR_E_FEW, "too few values for the answer asked for")                                                           \
    X(MR_E_NOFIT, "a fit did not converge or does not describe the data")                                            \
    X(MR_E_NODATA, "nothing that could be judged")                                                                   \
    X(MR_E_JOB, "the job file cannot be used")                                                                       \
    X(MR_E_USAGE, "the command line cannot be used")                                                                 \
    X(MR_E_OUTPUT, "an output could not be written")                                                                 \
    X(MR_E_BUG, "a mistake of milrise itself")

enum mr_status {
#define MR_STATUS_NAME(name, text) name,
    MR_STATUS_LIST(MR_STATUS_NAME)
#undef MR_STATUS_NAME
};

/** mr_status_text - the sentence for a status. Returns: static text, never NULL. */
const char *mr_status_text(enum mr_status status);

/* Where something stands. Lines and columns count from 1; 0 means "does not apply". */
struct mr_place {
    const char *file;  /* path relative to the job folder, or as given on the command line; may be NULL */
    uint32_t line;     /* first physical line */
    uint32_t line_end; /* last physical line; 0 where it is the same line */
    uint32_t column;   /* field number in a table, character in a key file; 0 = whole line */
};

/* Every day in UTC, as POSIX counts them. */
#define MR_DAY_MS INT64_C(86400000)

/* A moment that is not known. */
#define MR_T_NONE INT64_MIN

/* An index that points nowhere. */
#define MR_NONE SIZE_MAX

/* A growable list whose items live in an arena; see MR_PUSH in arena.h. */
#define MR_VEC(type)                                                                                                 \
    struct {                                                                                                         \
        type *v;                                                                                                     \
        size_t n;                                                                                                    \
        size_t cap;                                                                                                  \
    }

/* NaN as a double; math.h's NAN is a float. */
#define MR_NAN ((double)__builtin_nanf(""))

#define MR_COUNT(array) (sizeof(array) / sizeof((array)[0]))

#endif
