#include "base/pool.h"
#include "cli/job_folders.h"
#include "cli/job_run.h"
#include "cli/own_process.h"
#include "cli/stages.h"

#include <string.h>
#include <unistd.h>

enum { FONTS_S = 50 };

static const char *stamp_of(struct mr_arena *arena, const char *asked) {
    if (!asked)
        return NULL;
    if (asked[0] != 'n' || asked[1] != 'o' || asked[2] != 'w' || asked[3])
        return asked;
    return mr_now_text(arena);
}

/* Without an operand, the folder where the command stands. */
static const char *folder_of(const struct mr_cli_options *o) {
    return o->n_paths ? o->paths[0] : ".";
}

static unsigned processors(void) {
    long n = sysconf(_SC_NPROCESSORS_ONLN);
    return n < 1 ? 1 : n > 16 ? 16 : (unsigned)n;
}

/* Mistakes of the job file as they are printed, for the note beside the report. */
static const char *reason_of(struct mr_arena *arena, const struct mr_diags *diags, enum mr_status status) {
    enum { TOLD_MOST = 10 };
    if (status == MR_E_NODATA)
        return "Nothing in the job folder could be judged.";
    const char *text = "";
    size_t errors = 0;
    for (size_t i = 0; i < diags->list.n; i++)
        if (diags->list.v[i].severity == MR_ERROR && errors++ < TOLD_MOST)
            text = mr_printf(arena, "%s%s%s", text, *text ? "\n" : "", mr_diag_line(arena, &diags->list.v[i]));
    return errors > TOLD_MOST ? mr_printf(arena, "%s\nand %zu more", text, errors - TOLD_MOST) : text;
}

static void leave_note(struct mr_run *run, const struct mr_cli_options *o, const char *reason) {
    const char *dir = folder_of(o);
    if (mr_is_job(run->arena, dir))
        mr_render_not_published(run->arena, dir, o->out, stamp_of(run->arena, "now"), reason, &run->diags);
}

/* Before anything is drawn: the fonts, and that a thread can be had. */
static enum mr_status prepare_drawing(struct mr_run *run, const struct mr_cli_options *o) {
    alarm(FONTS_S); /* ends this process; the one that waits for it says so */
    const int error = mr_render_fonts();
    alarm(0);
    if (!error)
        return MR_OK;
    mr_diag_add(&run->diags, MR_ERROR, "threads", (struct mr_place){0}, NULL,
                "Run milrise again when fewer programs run here; with --no-charts it needs none.",
                "no thread can be started, and figures need one: %s", strerrordesc_np(error));
    leave_note(run, o, mr_diag_line(run->arena, &run->diags.list.v[run->diags.list.n - 1]));
    return MR_E_OUTPUT;
}

static int print_published(struct mr_arena *arena, const struct mr_assessment *a, const struct mr_published *p) {
    const char *charts =
        p->charts.n ? mr_printf(arena, "charts:   %zu files in %s/charts\n", p->charts.n, p->dir) : "";
    const char *submittal = p->submittal ? mr_printf(arena, "submittal: %s\n", p->submittal) : "";
    return mr_cli_out(mr_printf(
        arena, "%s\nrevision: %ld%s\nworkbook: %s\n%s%sdata:     %s\n", mr_verdict_text(arena, a), p->revision,
        p->unchanged ? ", unchanged: it already says the same" : "", p->workbook, submittal, charts, p->json));
}

/* The page at the top of the job; a report that goes elsewhere is not the folder's. Returns: whether no older page
 * stands for this run's. What went wrong is told at once, apart from what the run itself has to say. */
static bool leave_answer(struct mr_run *run, const struct mr_cli_options *o, enum mr_status status,
                         const struct mr_published *published) {
    const char *dir = folder_of(o);
    if (o->out || !mr_is_job(run->arena, dir))
        return true;
    struct mr_answer answer = {.dir = dir,
                               .job = run->job,
                               .status = status,
                               .when = stamp_of(run->arena, "now"),
                               .version = MR_VERSION,
                               .diags = &run->diags,
                               .assessment = published && published->told ? published->told : run->assessment,
                               .published = published};
    struct mr_diags of_pages;
    mr_diags_init(&of_pages, run->arena);
    const bool written = mr_answer_write(run->arena, &answer, &of_pages) == MR_OK;
    mr_cli_diags(run->arena, &of_pages, MR_ERROR);
    return written;
}

static int report_here(struct mr_arena *arena, const struct mr_cli_options *o) {
    struct mr_run run;
    mr_pool_threads(o->threads ? o->threads : processors());
    struct mr_progress *progress = mr_progress_begin(arena, o->quiet, !o->no_charts);
    enum mr_status status = mr_run_folder(&run, arena, folder_of(o), MR_LAST_ASSESS, progress);
    if (run.job && run.job->untouched) {
        mr_diag_add(&run.diags, MR_ERROR, "job-file", (struct mr_place){.file = MR_JOB_FILE}, NULL,
                    "State the job's name, time zone and limits in it, then run again.",
                    "is still the unedited template, and its limits are examples");
        status = MR_E_JOB;
    }
    if (status != MR_OK) {
        mr_progress_end(progress);
        leave_note(&run, o, reason_of(arena, &run.diags, status));
        leave_answer(&run, o, status, NULL);
        mr_cli_diags(arena, &run.diags, MR_WARNING);
        if (status == MR_E_NODATA)
            fprintf(stderr,
                    "%s: nothing here that could be judged. Drop exports into the folder; `milrise explain FILE` "
                    "shows how it reads one.\n",
                    folder_of(o));
        return (int)mr_cli_exit(status);
    }
    struct mr_render_options options = {.out_dir = o->out,
                                        .version = MR_VERSION,
                                        .stamp = stamp_of(arena, o->stamp),
                                        .now = stamp_of(arena, "now"),
                                        .threads = o->threads ? o->threads : processors(),
                                        .charts = !o->no_charts};
    struct mr_published published = {0};
    mr_progress_step(progress, MR_STEP_RENDER);
    if (options.charts)
        status = prepare_drawing(&run, o);
    if (status == MR_OK)
        status = mr_render(arena, run.assessment, &options, &run.diags, &published);
    mr_progress_end(progress);
    if (!o->quiet || status != MR_OK)
        mr_cli_diags(arena, &run.diags, status == MR_OK ? MR_WARNING : MR_ERROR);
    const bool answered = leave_answer(&run, o, status, status == MR_OK ? &published : NULL);
    if (status != MR_OK)
        return (int)mr_cli_exit(status);
    if ((!o->quiet && print_published(arena, run.assessment, &published)) || !answered)
        return MR_EXIT_OUTPUT;
    return run.assessment->outcome <= MR_CONFORMS ? MR_EXIT_CONFORMS : MR_EXIT_OPEN;
}

/* Which revision stands: the target of `latest`, "" where there is none. */
static void latest_of(struct mr_arena *arena, const struct mr_cli_options *o, char out[64]) {
    const char *link =
        o->out ? mr_printf(arena, "%s/latest", o->out) : mr_printf(arena, "%s/reports/latest", folder_of(o));
    const ssize_t n = readlink(link, out, 63);
    out[n > 0 ? n : 0] = '\0';
}

/* The run ended before it could say why. What it left half made is removed by the next one. A report that was
 * published stands; the pages of an earlier one must not pass for its own. Returns: the exit status. */
static int tell_broken(struct mr_arena *arena, const struct mr_cli_options *o, const char *why, const char *before,
                       int status) {
    char after[64];
    latest_of(arena, o, after);
    if (strcmp(before, after) != 0) {
        if (!o->out)
            mr_answer_retire(arena, folder_of(o), after);
        fprintf(stderr,
                "milrise: %s, after %s was published; the answer in the folder may be missing: run it again\n", why,
                after);
        return MR_EXIT_OUTPUT;
    }
    fprintf(stderr, "milrise: %s; nothing was published\n", why);
    mr_broken_note(arena, folder_of(o), o->out, stamp_of(arena, "now"), why,
                   "Run it again with more free memory; if it ends so again, send the job folder with your report of "
                   "the fault.");
    return status;
}

int mr_cmd_report(struct mr_arena *arena, const struct mr_cli_options *o) {
    const char *broken;
    char before[64];
    latest_of(arena, o, before);
    const int status = mr_own_process(report_here, arena, o, &broken);
    return *broken ? tell_broken(arena, o, broken, before, status) : status;
}
