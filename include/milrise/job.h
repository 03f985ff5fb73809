/*
 * job.h - the job file: what the person in charge says about site, instruments, files and limits.
 *
 * Text in sections of `key = value`, read by mr_job_load (stage read). Errors are collected with line and column,
 * all of them, and a job file with an error is not used (MR_E_JOB). Example: templates/job/job.milrise.
 */
#ifndef MILRISE_JOB_H
#define MILRISE_JOB_H

#include "milrise/arena.h"
#include "milrise/diag.h"
#include "milrise/settings.h"

#define MR_JOB_FILE "job.milrise"
#define MR_NOT_FILLED_IN "not-filled-in"     /* id of the diagnostics of a ? that still stands in it */
#define MR_NOT_PUBLISHED "NOT-PUBLISHED.txt" /* in reports: when and why the last run published nothing */
#define MR_ANSWER_TEXT "answer.txt"          /* the answer in the folder (render.h), which is no input */
#define MR_ANSWER_HTML "answer.html"
#define MR_ANSWER_MARK "milrise answer" /* in its first line or two */

/* A text file known by name: rules, column maps, templates. Built in, or beside the job file. */
struct mr_text_file {
    const char *name; /* path below templates/ or below the job folder */
    const char *data; /* NUL-terminated */
    size_t size;
};

/* A text that steers how the job is read and judged: an input like any other, told with its fingerprint. */
struct mr_config_file {
    const char *path; /* below the job folder, or below templates/ */
    bool built_in;
    uint64_t bytes;
    char sha256[65];
};

/* Two readings of a clock against the truth; the wall clock's figures in the instrument's own zone. */
struct mr_clock_point {
    int64_t shown_local_ms;
    int64_t true_local_ms;
};

/* [instrument "NAME"] */
struct mr_instrument {
    const char *name;      /* as in the job file; files name it by serial, logger id or file pattern */
    const char *serial;    /* other name under which exports know it; "" = name */
    const char *files;     /* glob over paths of its exports; "" = by serial in the file only */
    const char *time_zone; /* IANA name or +HH:MM; "" = the job's */
    double offset_s;       /* shown minus true, s; 0 = none */
    bool offset_given;     /* the job states it */
    size_t n_points;       /* 0, 1 or 2 check points of its clock */
    struct mr_clock_point point[2];
    const char *uncertainty; /* thickness gauge: expanded, "3 %" or "2 um"; "" = [thickness] gauge uncertainty */
    const char *certificate; /* certificate number; "" = none */
    int64_t certified_until_local_ms; /* end of the certificate's validity; MR_T_NONE = not stated */
    const char *zones;                /* hygrometer: zones it stands for, separated by commas; "" = all */
    struct mr_place place;
};

/* [assign "INSTRUMENT"]: channel = zone, from, to */
struct mr_assignment {
    const char *instrument; /* name or serial */
    const char *channel;    /* channel name in the export; "" = whole instrument */
    const char *zone;       /* as written; "gun" = mix check at the gun */
    int64_t from_local_ms;  /* in the job's zone; MR_T_NONE = always */
    int64_t to_local_ms;
    struct mr_place place;
};

/* [file "GLOB"]: how files of that path are to be understood where they do not say so themselves. "" = not said. */
struct mr_file_rule {
    const char *glob;
    const char *kind;      /* a kind's word, or "ignore" */
    const char *encoding;  /* utf-8, utf-16le, utf-16be, windows-1252, latin-1 */
    const char *delimiter; /* comma, semicolon, tab, pipe, blanks */
    const char *decimal;   /* point, comma */
    const char *dates;     /* year-first, month-first, day-first, year-day-month */
    const char *time_zone;
    const char *start;      /* moment of an elapsed time of 0, or the date of a clock: 2026-05-11 07:30:00 */
    const char *instrument; /* name of the instrument it comes from */
    const char *missing;    /* texts that mean "no value", separated by commas, e.g. -9999, 0 */
    const char *columns;    /* name of a column map: columns/NAME.map */
    MR_VEC(struct mr_file_column) column; /* `column NAME = MEANING [UNIT]` */
    struct mr_place place;
};

struct mr_file_column {
    const char *name;    /* header text as in the file */
    const char *meaning; /* a meaning's word, or "ignore" */
    const char *unit;    /* "" = as found */
};

/* [disposition "ZONE"]: what was decided about a film that missed a limit, in writing. */
enum mr_decision { MR_DECISION_REPAIR, MR_DECISION_INSPECT_AGAIN, MR_DECISION_ACCEPT };
struct mr_disposition {
    const char *zone;  /* as written */
    const char *areas; /* as written, separated by commas; "" = the whole zone */
    const char *by;    /* role */
    const char *why;
    enum mr_decision decision;
    int64_t when_local_ms; /* in the job's zone */
    bool day_only;         /* dated by the day: any time of that day */
    struct mr_place place;
};

/* wording/NAME.wording: words of cover and sign-off, headings in another language. Texts are "" where not stated. */
struct mr_word_pair {
    const char *english, *printed;
};
struct mr_wording {
    const char *file;     /* path below templates/ or the job folder */
    const char *language; /* tag of RFC 5646: "en", "de" */
    const char *firm, *address, *title, *statement, *author, *sign_off;
    const struct mr_text_file *logo; /* a PNG file of the job's; NULL */
    MR_VEC(const char *) roles;      /* of those who sign */
    MR_VEC(struct mr_word_pair) headings;
};

struct mr_job {
    const char *dir;  /* folder as given */
    const char *file; /* "job.milrise" */
    bool untouched;   /* the job file is the template as it comes: its limits are examples */
    const char *name, *site, *contract, *client, *crew; /* "" where not stated; people by role only */
    const char *time_zone;                              /* IANA name of the site */
    int64_t first_day_local_ms, last_day_local_ms;      /* dates of the work, evidence for day and month; MR_T_NONE */
    struct mr_display display;
    struct mr_settings settings;      /* the job's own */
    MR_VEC(struct mr_settings) specs; /* by specification */
    MR_VEC(struct mr_instrument) instruments;
    MR_VEC(struct mr_assignment) assignments;
    MR_VEC(struct mr_disposition) dispositions;
    MR_VEC(struct mr_file_rule) file_rules; /* in order; the first that matches and states a key wins */
    MR_VEC(struct mr_config_file)
    config; /* the job file, then columns/ and rules/ of the job, then the built-in ones */
    MR_VEC(struct mr_text_file)
    texts; /* columns/, rules/ and wording/ files of the job folder, before the built-in
            * ones */
    struct mr_wording wording;
};

/** mr_job_load - read DIR/job.milrise. dir is borrowed for the arena's life.
 *  Returns: MR_OK; MR_E_JOB with at least one MR_ERROR in diags where the file is absent or has errors. */
enum mr_status mr_job_load(struct mr_arena *arena, const char *dir, struct mr_diags *diags,
                           const struct mr_job **out) MR_MUST_USE;

/** mr_job_default - a job that states nothing, for `explain` without a job. time_zone is "UTC". Never fails. */
const struct mr_job *mr_job_default(struct mr_arena *arena);

/** mr_job_spec - settings for a specification's name (letter case and blanks folded); the job's own where the name
 *  is empty; NULL where the job has no such specification. */
const struct mr_settings *mr_job_spec(const struct mr_job *job, const char *spec);

/** mr_job_instrument - the instrument known by this name or serial, or NULL. */
const struct mr_instrument *mr_job_instrument(const struct mr_job *job, const char *name);

/** mr_word - a heading as the job's wording prints it; itself where that has none. */
const char *mr_word(const struct mr_job *job, const char *english);

/** mr_template - a built-in text by its path below templates/, or NULL. mr_templates - all of them, sorted by name.
 */
const struct mr_text_file *mr_template(const char *name);
const struct mr_text_file *mr_templates(size_t *out_n);

#endif
