/*
 * diag.h - what a person needs to know about an input: where, what text, what is wrong, how to mend it.
 *
 * Diagnostics are collected, never printed, by the library. Reading goes on after each of them. The printed form:
 *   survey/dft.csv:118:4: error[number]: "1l2.5" in column "Reading" is not a number; write 112.5. Row set aside.
 */
#ifndef MILRISE_DIAG_H
#define MILRISE_DIAG_H

#include "milrise/arena.h"
#include "milrise/base.h"

enum mr_severity { MR_NOTE, MR_WARNING, MR_ERROR };

struct mr_diag {
    enum mr_severity severity;
    const char *id;        /* stable word in kebab case, e.g. "day-month-order" */
    struct mr_place place; /* where */
    const char *text;      /* offending text, at most 80 bytes, control characters neutralised; may be NULL */
    const char *what;      /* what is wrong, a clause without full stop */
    const char *mend;      /* what to do about it, a sentence; may be NULL */
};

struct mr_diags {
    struct mr_arena *arena;
    MR_VEC(struct mr_diag) list;
    size_t count[3]; /* by severity */
};

/** mr_diags_init - an empty list whose texts live in arena. */
void mr_diags_init(struct mr_diags *diags, struct mr_arena *arena);

/** mr_diag_add - append one. text and mend may be NULL and are copied; what is a printf format.
 *  diags may be NULL: then nothing is kept. */
void mr_diag_add(struct mr_diags *diags, enum mr_severity severity, const char *id, struct mr_place place,
                 const char *text, const char *mend, const char *what, ...) MR_PRINTF(7, 8);

/** mr_diags_append - all of another list behind one's own; the texts stay where they are. */
void mr_diags_append(struct mr_diags *diags, const struct mr_diags *more);

/** mr_diag_line - the printed form of one diagnostic, one line without line end, in arena. */
char *mr_diag_line(struct mr_arena *arena, const struct mr_diag *diag);

/** mr_diag_plain - place, text and what is wrong, for a page that gives the mend once: neither severity nor id. */
char *mr_diag_plain(struct mr_arena *arena, const struct mr_diag *diag);

/** mr_clean_text - a copy of at most max bytes with control characters and broken UTF-8 shown as \xNN; cut texts
 *  end in "…". */
char *mr_clean_text(struct mr_arena *arena, const char *text, size_t n, size_t max);

const char *mr_severity_text(enum mr_severity severity);

#endif
