/*
 * answer.c - what the page at the top of the job says, for somebody who drops files into a folder and opens nothing
 * else. The advice comes first and is given once, with the places that it holds for.
 */
#include "render/answer/answer_parts.h"
#include "render/data/outline.h"

#include "base/outfile.h"
#include "milrise/render.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { WORDS_IN_FRONT = 6, WORDS_BEHIND = 60 };
enum { FILES_MOST = 30, STEPS_TENTHS = 200 }; /* what the steps are to have of the front page, where files take it */
enum {
    ZONES_PRINTED = 300,
    MORE_TENTHS = 13
}; /* further zones are folded; the line that counts the steps left out */

/* 0 where the job file is wrong in another way too. */
static size_t values_to_fill_in(const struct mr_answer *answer) {
    size_t n = 0;
    for (size_t i = 0; answer->status == MR_E_JOB && answer->diags && i < answer->diags->list.n; i++) {
        const struct mr_diag *d = &answer->diags->list.v[i];
        if (strcmp(d->id, MR_NOT_FILLED_IN) == 0)
            n++;
        else if (d->severity == MR_ERROR)
            return 0;
    }
    return n;
}

static const char *lead_of(struct mr_arena *arena, const struct mr_answer *answer) {
    if (answer->published && answer->assessment)
        return mr_printf(arena, "The job %s. %s.",
                         answer->assessment->outcome == MR_NOT_SHOWN ? "is not shown to conform"
                         : answer->assessment->outcome == MR_NOT_REQUIRED
                             ? "asks for nothing that was judged"
                             : mr_outcome_text(answer->assessment->outcome),
                         mr_zone_counts_text(arena, answer->assessment));
    if (answer->job && answer->job->untouched)
        return "No report yet: job.milrise is still the unedited template. State the job's name, time zone and "
               "limits in it.";
    struct stat st;
    const char *older = lstat(mr_printf(arena, "%s/reports/latest", answer->dir), &st) == 0
                            ? " The earlier report lacks what has come in since."
                            : "";
    const size_t n = values_to_fill_in(answer);
    if (n)
        return mr_printf(arena, "No report yet: %zu %s in job.milrise still %s to be filled in.%s", n,
                         n == 1 ? "value" : "values", n == 1 ? "has" : "have", older);
    if (answer->status == MR_E_JOB)
        return mr_printf(arena, "No report: the job file has mistakes.%s", older);
    if (answer->status == MR_E_NODATA)
        return mr_printf(arena, "No report yet: nothing in this folder could be judged.%s", older);
    return mr_printf(arena, "No report: it could not be written.%s", older);
}

static enum mr_page_tone tone_of_job(const struct mr_answer *answer) {
    if (!answer->published || !answer->assessment)
        return MR_TONE_BAD;
    const enum mr_outcome outcome = answer->assessment->outcome;
    return outcome == MR_DOES_NOT_CONFORM ? MR_TONE_BAD
           : outcome == MR_CONFORMS       ? MR_TONE_GOOD
           : outcome == MR_NOT_SHOWN      ? MR_TONE_OPEN
                                          : MR_TONE_PLAIN;
}

static void add_head(struct mr_page *page, const struct mr_answer *answer) {
    struct mr_arena *arena = page->arena;
    const struct mr_assessment *a = answer->published ? answer->assessment : NULL;
    const char *name = answer->job && answer->job->name && *answer->job->name ? answer->job->name : "Job";
    mr_answer_heading(page, MR_PAGE_TITLE, name);
    mr_page_add(page, (struct mr_page_item){
                          .kind = MR_PAGE_LEAD, .tone = tone_of_job(answer), .cell = {lead_of(arena, answer)}});
    mr_answer_sentence(
        page, mr_printf(arena, "%s%smilrise %s%s.", answer->when ? answer->when : "", answer->when ? ", " : "",
                        answer->version,
                        a ? mr_printf(arena, ", revision %ld, from %zu %s", answer->published->revision,
                                      a->aligned->data->files.n, a->aligned->data->files.n == 1 ? "file" : "files")
                          : ""));
}

static void add_limits(struct mr_page *page) {
    mr_answer_sentence(page, "This report assists and does not replace a qualified coating inspector, the supplier's "
                             "written instructions, the contract specification, local codes or licensed engineering. "
                             "Relieve line pressure before opening anything.");
}

/* All zones where the front page had no room for them, printed unless they are many sheets; then what is shown only
 * where it is asked for. */
static void add_behind(struct mr_page *page, const struct mr_answer *answer, const struct mr_advices *steps,
                       size_t step, bool each_file, bool words) {
    const struct mr_assessment *a = answer->assessment;
    const bool more = a->aligned->zones.n > MR_ZONES_IN_FRONT, printed = more && a->aligned->zones.n <= ZONES_PRINTED;
    mr_answer_heading(page, MR_PAGE_TURN, printed ? "printed" : NULL);
    if (more)
        mr_answer_all_zones(page, printed ? MR_PAGE_HEADING : MR_PAGE_FOLD, a, steps);
    if (step < steps->v.n) {
        mr_answer_heading(page, MR_PAGE_FOLD, "More to do");
        step = mr_steps_add(page, steps, step, SIZE_MAX, false);
    }
    if (step < steps->v.n)
        mr_answer_sentence(
            page, mr_printf(page->arena, "%zu more: see the sheet Findings of the workbook.", steps->v.n - step));
    if (!words)
        mr_answer_words(page, a, MR_PAGE_FOLD, WORDS_BEHIND);
    mr_answer_wet_film(page, a);
    if (!each_file)
        mr_answer_all_files(page, a);
    mr_answer_asides(page, a);
    mr_answer_figures(page, answer);
}

/* As many steps as the page has room for, and how many more there are. */
static size_t add_front_steps(struct mr_page *page, const struct mr_advices *steps, size_t all, size_t taken) {
    const size_t before = page->items.n;
    size_t step = mr_steps_add(page, steps, 0, taken < all ? all - taken : 0, false);
    if (steps->v.n == 0)
        mr_answer_sentence(page, "Nothing is open.");
    if (step == steps->v.n)
        return step;
    page->items.n = before;
    taken += MORE_TENTHS;
    step = mr_steps_add(page, steps, 0, taken < all ? all - taken : 0, false);
    mr_answer_sentence(page, mr_printf(page->arena,
                                       "%zu more %s under \"More to do\", and on the sheet Findings of the workbook.",
                                       steps->v.n - step, steps->v.n - step == 1 ? "step stands" : "steps stand"));
    return step;
}

static struct mr_page tail_of(struct mr_page *page, const struct mr_answer *answer, bool each_file, bool words) {
    struct mr_page tail = {.arena = page->arena, .form = page->form};
    if (words)
        mr_answer_words(&tail, answer->assessment, MR_PAGE_HEADING, WORDS_IN_FRONT);
    else
        mr_answer_words_told(&tail, answer->assessment);
    mr_answer_front_files(&tail, answer->assessment, each_file);
    mr_answer_links(&tail, answer);
    add_limits(&tail);
    return tail;
}

/* What all steps would take. */
static size_t tenths_of_steps(struct mr_page *page, const struct mr_advices *steps) {
    const size_t before = page->items.n;
    mr_steps_add(page, steps, 0, SIZE_MAX, false);
    const size_t tenths = page->form->tenths(page, before, page->items.n);
    page->items.n = before;
    return tenths;
}

/* The parts behind the steps are made first, aside, so that the steps take what room is left on the page. Each file
 * is listed where that leaves enough of it. */
static void add_front(struct mr_page *page, const struct mr_answer *answer, const struct mr_advices *steps) {
    const struct mr_assessment *a = answer->assessment;
    const size_t all = 10 * page->form->lines;
    mr_answer_front_zones(page, a, steps);
    mr_answer_heading(page, MR_PAGE_HEADING, "What to do");
    const size_t head = page->form->tenths(page, 0, page->items.n);
    bool each_file = a->aligned->data && a->aligned->data->files.n <= FILES_MOST, words = true;
    struct mr_page tail = tail_of(page, answer, each_file, words);
    /* what is to do takes the room before remarks, and those before the files one by one */
    const size_t needed = tenths_of_steps(page, steps);
    if (each_file && head + tail.form->tenths(&tail, 0, tail.items.n) + STEPS_TENTHS > all)
        tail = tail_of(page, answer, each_file = false, words);
    if (head + tail.form->tenths(&tail, 0, tail.items.n) + needed > all)
        tail = tail_of(page, answer, each_file, words = false);
    const size_t step = add_front_steps(page, steps, all, head + tail.form->tenths(&tail, 0, tail.items.n));
    for (size_t i = 0; i < tail.items.n; i++)
        MR_PUSH(page->arena, &page->items, tail.items.v[i]);
    add_behind(page, answer, steps, step, each_file, words);
}

static struct mr_page page_of(struct mr_arena *arena, const struct mr_answer *answer,
                              const struct mr_page_form *form) {
    struct mr_page page = {.arena = arena, .form = form};
    const struct mr_advices steps = mr_steps_of(arena, answer);
    add_head(&page, answer);
    if (answer->published && answer->assessment) {
        add_front(&page, answer, &steps);
        return page;
    }
    mr_answer_heading(&page, MR_PAGE_HEADING, "What to do");
    const size_t step = mr_steps_add(&page, &steps, 0, SIZE_MAX, true);
    if (step < steps.v.n)
        mr_answer_sentence(&page,
                           mr_printf(arena, "%zu more: correct these first, and run again.", steps.v.n - step));
    if (steps.v.n == 0)
        mr_answer_sentence(&page, answer->status == MR_E_NODATA
                                      ? "Drop the instruments' exports into this folder or any subfolder."
                                      : "Nothing is open.");
    add_limits(&page);
    return page;
}

static const char mark[] = MR_ANSWER_MARK ": each run overwrites this file, and anything added by hand";

char *mr_answer_text(struct mr_arena *arena, const struct mr_answer *answer) {
    struct mr_page page = page_of(arena, answer, &mr_form_of_text);
    return mr_page_text(&page, mark);
}

char *mr_answer_html(struct mr_arena *arena, const struct mr_answer *answer) {
    struct mr_page page = page_of(arena, answer, &mr_form_of_html);
    return mr_page_html(&page, mark);
}

/* What lies under the name of a page. */
enum page_there { PAGE_NONE, PAGE_OURS, PAGE_OF_A_PERSON, PAGE_UNREAD };

static enum page_there page_at(struct mr_arena *arena, const char *path, const char **out) {
    char *text;
    size_t n;
    struct stat st;
    *out = "";
    if (lstat(path, &st) == 0 && !S_ISREG(st.st_mode))
        return PAGE_OF_A_PERSON;
    const enum mr_status status = mr_file_slurp_own(arena, path, (size_t)64 << 20, &text, &n);
    if (status == MR_E_IO && errno == ENOENT)
        return PAGE_NONE;
    if (status != MR_OK)
        return status == MR_E_RANGE ? PAGE_OF_A_PERSON : PAGE_UNREAD;
    *out = text;
    return strstr(mr_strndup(arena, text, n < 200 ? n : 200), MR_ANSWER_MARK) ? PAGE_OURS : PAGE_OF_A_PERSON;
}

/* Whether the page that stands there differs from this run's in nothing but the date of the run. */
static bool says_same(const char *old, const char *text, const char *when) {
    const char *at = when && *when ? strstr(text, when) : NULL;
    const size_t n = strlen(text), from = at ? (size_t)(at - text) : n, past = at ? from + strlen(when) : n;
    return strlen(old) == n && memcmp(old, text, from) == 0 && memcmp(old + past, text + past, n - past) == 0;
}

/* The page could not be written: what stands there is older than this run, and goes where that is possible. */
static void tell_unwritten(struct mr_arena *arena, const struct mr_answer *answer, const char *name,
                           enum page_there there, int error, struct mr_diags *diags) {
    const char *why = strerrordesc_np(error);
    const char *mend = answer->published
                           ? "Read the report in reports/latest; make room in the job folder and make it writable, "
                             "then run again."
                           : "Make room in the job folder and make it writable, then run again.";
    const struct mr_place place = {.file = name};
    if (there == PAGE_NONE)
        mr_diag_add(diags, MR_ERROR, "answer", place, NULL, mend, "could not be written: %s", why);
    else if (there == PAGE_OURS && unlink(mr_printf(arena, "%s/%s", answer->dir, name)) == 0)
        mr_diag_add(diags, MR_ERROR, "answer", place, NULL, mend,
                    "could not be written: %s; the one from an earlier run was removed", why);
    else
        mr_diag_add(diags, MR_ERROR, "answer", place, NULL, mend,
                    "is from an earlier run and could not be replaced: %s; do not take it for today's", why);
}

void mr_answer_retire(struct mr_arena *arena, const char *dir, const char *revision) {
    static const char *const pages[] = {MR_ANSWER_TEXT, MR_ANSWER_HTML};
    for (size_t i = 0; i < MR_COUNT(pages); i++) {
        const char *path = mr_printf(arena, "%s/%s", dir, pages[i]), *old;
        if (page_at(arena, path, &old) == PAGE_OURS && !strstr(old, mr_printf(arena, "/%s/", revision)))
            unlink(path); /* where that fails, the message has said that a page may be missing */
    }
}

enum mr_status mr_answer_write(struct mr_arena *arena, const struct mr_answer *answer, struct mr_diags *diags) {
    const struct {
        const char *name, *text;
    } pages[] = {{MR_ANSWER_TEXT, mr_answer_text(arena, answer)}, {MR_ANSWER_HTML, mr_answer_html(arena, answer)}};
    enum mr_status status = MR_OK;
    for (size_t i = 0; i < MR_COUNT(pages); i++) {
        const char *path = mr_printf(arena, "%s/%s", answer->dir, pages[i].name);
        const char *old;
        const enum page_there there = page_at(arena, path, &old);
        if (there == PAGE_OF_A_PERSON) {
            mr_diag_add(diags, MR_ERROR, "answer", (struct mr_place){.file = pages[i].name}, NULL,
                        "Give your file another name.", "a file of this name is here that milrise did not make");
            continue;
        }
        int error = there == PAGE_UNREAD ? errno : 0;
        if (!error && mr_file_write(arena, path, pages[i].text, strlen(pages[i].text)) != MR_OK)
            error = errno;
        if (!error || (there == PAGE_OURS && says_same(old, pages[i].text, answer->when)))
            continue;
        status = MR_E_OUTPUT;
        tell_unwritten(arena, answer, pages[i].name, there, error, diags);
    }
    return status;
}
