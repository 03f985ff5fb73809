/*
 * console.c - what a command tells the terminal: text, diagnostics, the exit status.
 */
#include "cli/console.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum mr_exit mr_cli_exit(enum mr_status status) {
    switch (status) {
    case MR_OK:
        return MR_EXIT_CONFORMS;
    case MR_E_JOB:
    case MR_E_USAGE:
    case MR_E_SYNTAX:
    case MR_E_IO:
        return MR_EXIT_USAGE;
    case MR_E_NODATA:
    case MR_E_FEW:
        return MR_EXIT_NO_INPUT;
    case MR_E_OUTPUT:
        return MR_EXIT_OUTPUT;
    case MR_E_RANGE:
    case MR_E_NOFIT:
    case MR_E_BUG:
        break;
    }
    return MR_EXIT_BUG;
}

int mr_cli_out(const char *text) {
    if (fputs(text, stdout) == EOF || fflush(stdout) != 0) {
        fprintf(stderr, "milrise: standard output could not be written\n");
        return MR_EXIT_OUTPUT;
    }
    return 0;
}

enum { TOLD_PER_FILE = 50, LINES_TOLD = 5 };

/* What is told once: the same of several places in a file. */
struct told {
    const struct mr_diag *first;
    uint32_t line[LINES_TOLD], last_line; /* of those that follow the first, and the end of an unbroken run */
    size_t n;                             /* all of them */
    bool unbroken;
};

static bool same_text(const char *a, const char *b) {
    return strcmp(a ? a : "", b ? b : "") == 0;
}

static bool same_advice(const struct mr_diag *a, const struct mr_diag *b) {
    return a->severity == b->severity && a->place.line && b->place.line && a->place.column == b->place.column &&
           !a->place.line_end && !b->place.line_end && same_text(a->id, b->id) && same_text(a->text, b->text) &&
           same_text(a->what, b->what) && same_text(a->mend, b->mend);
}

static void tell(struct mr_arena *arena, const struct told *t) {
    struct mr_diag d = *t->first;
    if (t->unbroken && t->n > 1)
        d.place.line_end = t->last_line;
    const char *line = mr_diag_line(arena, &d), *more = "";
    if (t->n > 1 && t->unbroken)
        more = mr_printf(arena, " (%zu rows)", t->n);
    for (size_t i = 1; !t->unbroken && i < t->n && i <= LINES_TOLD; i++)
        more = mr_printf(arena, "%s%s%u", more, i == 1 ? (t->n == 2 ? " Likewise line " : " Likewise lines ") : ", ",
                         t->line[i - 1]);
    if (!t->unbroken && t->n > LINES_TOLD + 1)
        more = mr_printf(arena, "%s and %zu more.", more, t->n - LINES_TOLD - 1);
    else if (*more && !t->unbroken)
        more = mr_printf(arena, "%s.", more);
    fprintf(stderr, "%s%s\n", line, more);
}

static void add_to(struct told *t, const struct mr_diag *d) {
    t->unbroken = t->unbroken && d->place.line == t->last_line + 1;
    t->last_line = d->place.line;
    if (t->n <= LINES_TOLD)
        t->line[t->n - 1] = d->place.line;
    t->n++;
}

static void tell_file(struct mr_arena *arena, const char *file, const struct told *told, size_t n, size_t hidden) {
    for (size_t i = 0; i < n; i++)
        tell(arena, &told[i]);
    if (hidden)
        fprintf(stderr, "%s: and %zu more, all listed in the report\n", file ? file : "", hidden);
}

void mr_cli_diags(struct mr_arena *arena, const struct mr_diags *diags, enum mr_severity least) {
    struct told told[TOLD_PER_FILE];
    size_t n = 0, hidden = 0;
    const char *file = NULL;
    for (size_t i = 0; i < diags->list.n; i++) {
        const struct mr_diag *d = &diags->list.v[i];
        if (d->severity < least)
            continue;
        if (!same_text(file, d->place.file)) {
            tell_file(arena, file, told, n, hidden);
            n = hidden = 0;
        }
        file = d->place.file;
        size_t k = 0;
        while (k < n && !same_advice(told[k].first, d))
            k++;
        if (k < n)
            add_to(&told[k], d);
        else if (n == TOLD_PER_FILE)
            hidden++;
        else {
            told[n] = (struct told){.first = d, .n = 1, .last_line = d->place.line, .unbroken = true};
            n++;
        }
    }
    tell_file(arena, file, told, n, hidden);
}

time_t mr_cli_now(void) {
    const char *stated = getenv("SOURCE_DATE_EPOCH");
    char *end;
    long long seconds = stated ? strtoll(stated, &end, 10) : 0;
    return stated && *stated && !*end && seconds >= 0 ? (time_t)seconds : time(NULL);
}
