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

void mr_cli_diags(struct mr_arena *arena, const struct mr_diags *diags, enum mr_severity least) {
    enum { PER_FILE = 50 };
    size_t shown = 0, hidden = 0;
    const char *file = NULL;
    for (size_t i = 0; i < diags->list.n; i++) {
        const struct mr_diag *d = &diags->list.v[i];
        if (d->severity < least)
            continue;
        bool same = file && d->place.file && strcmp(file, d->place.file) == 0;
        if (!same) {
            if (hidden)
                fprintf(stderr, "%s: and %zu more like these, all listed in the report\n", file, hidden);
            file = d->place.file;
            shown = hidden = 0;
        }
        if (shown++ < PER_FILE)
            fprintf(stderr, "%s\n", mr_diag_line(arena, d));
        else
            hidden++;
    }
    if (hidden)
        fprintf(stderr, "%s: and %zu more like these, all listed in the report\n", file ? file : "", hidden);
}

time_t mr_cli_now(void) {
    const char *stated = getenv("SOURCE_DATE_EPOCH");
    char *end;
    long long seconds = stated ? strtoll(stated, &end, 10) : 0;
    return stated && *stated && !*end && seconds >= 0 ? (time_t)seconds : time(NULL);
}
