/*
 * render.h - stage 5: an assessment becomes a workbook, charts and report.json under JOB/reports/.
 *
 * All outputs are made and checked in a staging folder, then put in place together; on any failure the reports
 * that were there before stay as they were. The same assessment gives the same bytes.
 */
#ifndef MILRISE_RENDER_H
#define MILRISE_RENDER_H

#include "milrise/assess.h"

struct mr_render_options {
    const char *out_dir; /* where to publish; NULL = JOB/reports */
    const char *version; /* of milrise, for the run record */
    const char *stamp;   /* date and time to print; NULL = from the job or the data */
    unsigned threads;    /* for the workbook and the charts; 0 = 1 */
    const char *now;     /* date and time of the run, for the note that nothing was published; may be NULL */
    bool charts;         /* false: workbook and report.json only, no submittal */
};

struct mr_published {
    long revision;
    bool unchanged;       /* the newest revision already says the same: nothing was written */
    const char *dir;      /* the revision's folder */
    const char *workbook; /* paths, in arena */
    const char *json;
    const char *submittal; /* NULL without charts */
    MR_VEC(const char *) charts;
    const struct mr_assessment *told; /* with what former revisions leave open; as the report tells it */
};

/** mr_render - publish as OUT/revision-<n> and let OUT/latest name it, unless the newest revision says the same.
 * Returns: MR_OK; MR_E_OUTPUT with diagnostics where anything could not be written, the former report untouched. */
enum mr_status mr_render(struct mr_arena *arena, const struct mr_assessment *assessment,
                         const struct mr_render_options *options, struct mr_diags *diags,
                         struct mr_published *out) MR_MUST_USE;

/* ---- single outputs, outside of a revision ---- */

typedef MR_VEC(const char *) mr_path_list;

/** mr_render_submittal - the submittal with pages for some zones (shape: zones; NULL = all) as a file in the folder
 * to (NULL: where the program runs). It has the number of the published revision that says the same, else it is
 * marked as a draft. A file of its name is replaced. Returns: MR_OK with the path in out; MR_E_OUTPUT with
 * diagnostics. */
enum mr_status mr_render_submittal(struct mr_arena *arena, const struct mr_assessment *assessment,
                                   const struct mr_render_options *options, const bool *zones, const char *to,
                                   struct mr_diags *diags, mr_path_list *out) MR_MUST_USE;

/* What a figure can be asked for by; names as mr_render_kinds and its neighbours list them. */
struct mr_figure_wish {
    const char *kind;
    size_t zone;        /* MR_NONE: all of that kind */
    const char *size;   /* NULL: as in the report */
    const char *format; /* NULL: pdf */
};

struct mr_name {
    const char *name, *what;
};
const struct mr_name *mr_render_kinds(struct mr_arena *arena, size_t *n);
const struct mr_name *mr_render_sizes(struct mr_arena *arena, size_t *n);
const char *const *mr_render_formats(size_t *n);

/** mr_render_fonts - load the system's fonts, which drawing does itself where nobody did before. The library for them
 * waits for ever on a lock of its own where memory fails it at a bad moment (fontconfig 2.14): whoever calls from a
 * process of its own may set a time for it. Not from several threads.
 *  Returns: 0, or the errno for which no thread can be started: setting text needs one. */
int mr_render_fonts(void);

/** mr_render_figure - the figures of one kind as files in the folder to, as mr_render_submittal. None: out is empty.
 */
enum mr_status mr_render_figure(struct mr_arena *arena, const struct mr_assessment *assessment,
                                const struct mr_render_options *options, const struct mr_figure_wish *wish,
                                const char *to, struct mr_diags *diags, mr_path_list *out) MR_MUST_USE;

#define MR_REASON_HEAD "\nReason:\n" /* the line after it begins the reason in the note */

/** mr_render_not_published - leave the note NOT-PUBLISHED.txt beside the reports: with date and reason, so that
 * nobody takes an old report for today's. The next report removes it. out_dir NULL: JOB/reports. */
void mr_render_not_published(struct mr_arena *arena, const char *job_dir, const char *out_dir, const char *now,
                             const char *reason, struct mr_diags *diags);

/* What is known about a run, however far it came: the answer in the folder, one page at the top of the job that says
 * in plain words how the zones stand, what to do, what was taken in and where the report is. */
struct mr_answer {
    const char *dir;          /* the job folder */
    const struct mr_job *job; /* NULL: not read */
    enum mr_status status;
    const char *when;    /* date and time of the run; NULL = not said */
    const char *version; /* of milrise */
    const struct mr_diags *diags;
    const struct mr_assessment *assessment; /* NULL: nothing was judged */
    const struct mr_published *published;   /* NULL: nothing was published */
};

/** mr_answer_text, mr_answer_html - the page, UTF-8, in arena. */
char *mr_answer_text(struct mr_arena *arena, const struct mr_answer *answer);
char *mr_answer_html(struct mr_arena *arena, const struct mr_answer *answer);

/** mr_answer_write - both pages into the job folder, as MR_ANSWER_TEXT and MR_ANSWER_HTML. A file of that name that
 * does not carry the mark of an answer is never replaced, which is told. Returns: MR_OK; MR_E_OUTPUT where a page
 * could not be written: an older one of ours is then removed, or stays and is told as old. diags: of the writing
 * alone. */
enum mr_status mr_answer_write(struct mr_arena *arena, const struct mr_answer *answer, struct mr_diags *diags);

/** mr_answer_retire - removes pages of earlier runs from a job folder: those that do not lead to the revision
 * ("revision-1"). */
void mr_answer_retire(struct mr_arena *arena, const char *dir, const char *revision);

/* A workbook of tables alone, one sheet each. */
struct mr_tables_book {
    const char *title, *footer, *version;
    int64_t created_utc_ms;
    size_t n;
    const struct mr_table *const *tables; /* without times */
};

/** mr_render_tables - FOLDER/NAME, whole or as it was; its temporary files lie in folder. Returns: MR_OK; MR_E_OUTPUT
 * with errno, and in *why what went wrong as a clause, or NULL. */
enum mr_status mr_render_tables(struct mr_arena *arena, const char *folder, const char *name,
                                const struct mr_tables_book *what, const char **why) MR_MUST_USE;

/* Rows of a table on a page over many things. */
struct mr_one_page_part {
    const char *title;
    const struct mr_table *table;
    size_t from, n; /* rows; as many of them are shown as the page has room for */
    size_t n_keys;
    const char *const *keys; /* columns */
};

struct mr_one_page {
    const char *title, *lead, *foot, *version;
    int64_t created_utc_ms;
    bool letter; /* paper, else A4 */
    size_t n_parts;
    const struct mr_one_page_part *parts;
    const struct mr_table
        *film; /* columns film_low_um, film_mean_um and film_high_um, in rising order; may be NULL */
};

/** mr_render_one_page - FOLDER/NAME, a PDF of one page, whole or as it was; rows that find no room are counted.
 * Returns: MR_OK; MR_E_OUTPUT with errno. */
enum mr_status mr_render_one_page(struct mr_arena *arena, const char *folder, const char *name,
                                  const struct mr_one_page *what) MR_MUST_USE;

/** mr_render_discard - remove this process's unfinished folder, if any. Safe in an exit path. */
void mr_render_discard(void);

/** mr_verdict_text - the short table of zones and outcomes that the command prints. */
char *mr_verdict_text(struct mr_arena *arena, const struct mr_assessment *assessment);

#endif
