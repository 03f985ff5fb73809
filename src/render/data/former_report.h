/*
 * former_report.h - what the revision before said, read from its report.json.
 */
#ifndef MILRISE_RENDER_DATA_FORMER_REPORT_H
#define MILRISE_RENDER_DATA_FORMER_REPORT_H

#include "milrise/arena.h"

struct mr_former_zone {
    const char *name, *outcome;
    long readings;            /* of the survey that counted; -1 where no film was measured */
    double mean_um, least_um; /* NaN where none */
};

struct mr_former_entry { /* a row of the register of non-conformances, as text */
    const char *number, *zone, *what, *found, *found_in, *disposition, *closed, *closed_by, *state;
};

struct mr_former_pair { /* a file and its SHA-256, or a setting and its value */
    const char *name, *value;
};

struct mr_former_figure {
    const char *stem, *key; /* as in struct mr_chart */
    long since;
    int64_t created_utc_ms;
};

/* Texts are "" where the report has none. */
struct mr_former {
    bool any; /* false: there was none that could be read */
    long revision;
    const char *version, *outcome;
    MR_VEC(struct mr_former_zone) zones;
    MR_VEC(struct mr_former_entry) entries;
    MR_VEC(struct mr_former_figure) figures;
    MR_VEC(struct mr_former_pair) files, settings; /* "SPECIFICATION [section] key" */
};

/** mr_former_read - text: the report.json of that revision, NULL where there is none. What cannot be read is left
 * out. */
struct mr_former mr_former_read(struct mr_arena *arena, const char *text);

/** mr_setting_name - how a setting is named in mr_former. */
const char *mr_setting_name(struct mr_arena *arena, const char *spec, const char *section, const char *key);

#endif
