/*
 * answer.c - what the page at the top of the job says, for somebody who drops files into a folder and opens nothing
 * else. The advice comes first and is given once, with the places that it holds for.
 */
#include "render/answer/answer_page.h"
#include "render/data/outline.h"
#include "render/plot/chart_table.h"

#include "base/outfile.h"
#include "base/text_set.h"
#include "milrise/render.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { PLACES_MOST = 4, PLACES_ALONE = 20, STEPS_MOST = 30, WET_MOST = 30 };

static void add(struct mr_page *page, enum mr_page_kind kind, const char *a, const char *b, const char *c,
                const char *d) {
    const char *cell[MR_PAGE_CELLS] = {a, b, c, d};
    struct mr_page_item item = {.kind = kind};
    for (size_t i = 0; i < MR_PAGE_CELLS; i++)
        if (cell[i])
            item.cell[i] = mr_clean_text(page->arena, cell[i], strlen(cell[i]), 1000);
    MR_PUSH(page->arena, &page->items, item);
}

static void add_one(struct mr_page *page, enum mr_page_kind kind, const char *text) {
    add(page, kind, text, NULL, NULL, NULL);
}

/* A step whose further lines are to be pasted. */
static void add_step(struct mr_page *page, const char *text) {
    size_t n = strcspn(text, "\n");
    add_one(page, MR_PAGE_STEP, mr_strndup(page->arena, text, n));
    for (const char *line = text + n; *line; line += n) {
        n = strcspn(++line, "\n");
        add_one(page, MR_PAGE_PASTE, mr_strndup(page->arena, line, n));
    }
}

/* One piece of advice and what it is about; the same advice is one step. Of very many places only those that are
 * shown are kept, the others are counted. */
struct advice {
    const char *step;
    struct mr_text_set seen; /* places */
    MR_VEC(const char *) places;
};

struct advices {
    struct mr_arena *arena;
    struct mr_text_set seen; /* steps, each with its number */
    MR_VEC(struct advice) v;
};

static void advise(struct advices *all, const char *step, const char *place) {
    struct mr_text_entry *known = mr_text_entry(&all->seen, step, strlen(step));
    if (!known->text) {
        *known = (struct mr_text_entry){step, all->v.n};
        const struct advice fresh = {.step = step, .seen = {.arena = all->arena}};
        MR_PUSH(all->arena, &all->v, fresh);
    }
    struct advice *a = &all->v.v[known->at];
    struct mr_text_entry *told = mr_text_entry(&a->seen, place, strlen(place));
    if (told->text)
        return;
    told->text = place;
    if (a->places.n <= PLACES_ALONE)
        MR_PUSH(all->arena, &a->places, place);
}

/* What a workbook lists is shortened here; where there is none, the page is all that there is to read. */
static void add_advices(struct mr_page *page, const struct advices *all, bool published) {
    const size_t most = published ? PLACES_MOST : PLACES_ALONE;
    const char *where = published ? "see the sheet Findings of the workbook" : "correct these first, and run again";
    for (size_t i = 0; i < all->v.n && i < STEPS_MOST; i++) {
        const struct advice *a = &all->v.v[i];
        add_step(page, a->step);
        size_t shown = a->seen.n <= most + 1 ? a->seen.n : most;
        for (size_t k = 0; k < shown; k++)
            add_one(page, MR_PAGE_DETAIL, a->places.v[k]);
        if (shown < a->seen.n)
            add_one(page, MR_PAGE_DETAIL,
                    mr_printf(page->arena, "and %zu more like these: %s", a->seen.n - shown, where));
    }
    if (all->v.n > STEPS_MOST)
        add_one(page, MR_PAGE_TEXT, mr_printf(page->arena, "%zu more steps: %s.", all->v.n - STEPS_MOST, where));
}

/* What the job file lacks comes first: nothing else can be mended before. */
static void advise_on_diags(struct advices *all, const struct mr_diags *diags, bool of_job_file) {
    for (size_t i = 0; diags && i < diags->list.n; i++) {
        const struct mr_diag *d = &diags->list.v[i];
        bool in_job_file = d->place.file && strcmp(d->place.file, MR_JOB_FILE) == 0;
        if (d->severity < MR_WARNING || in_job_file != of_job_file)
            continue;
        struct mr_diag bare = *d;
        bare.mend = NULL;
        advise(all, d->mend && *d->mend ? d->mend : "Correct this:", mr_diag_line(all->arena, &bare));
    }
}

static void advise_on_findings(struct advices *all, const struct mr_assessment *a) {
    for (size_t i = 0; i < a->findings.n; i++) {
        const struct mr_finding *f = &a->findings.v[i];
        if (f->severity >= MR_WARNING)
            advise(all, f->next_step && *f->next_step ? f->next_step : "Check this:", f->what);
    }
}

/* Lines for the job file that settle how a file is read. */
static void add_lines_to_paste(struct mr_page *page, const struct mr_assessment *a) {
    const struct mr_data *data = a->aligned->data;
    for (size_t i = 0; data && i < data->files.n; i++) {
        const struct mr_file *f = &data->files.v[i];
        if (!f->mend || !*f->mend)
            continue;
        add_one(page, MR_PAGE_STEP,
                mr_printf(page->arena,
                          "State how to read %s: add these lines to %s and keep those that are true of the file.",
                          f->source->path, MR_JOB_FILE));
        for (const char *line = f->mend; *line;) {
            size_t n = strcspn(line, "\n");
            add_one(page, MR_PAGE_PASTE, mr_strndup(page->arena, line, n));
            line += n + (line[n] == '\n');
        }
    }
}

static void add_steps(struct mr_page *page, const struct mr_answer *answer) {
    struct advices all = {.arena = page->arena, .seen = {.arena = page->arena}};
    size_t before = page->items.n;
    add_one(page, MR_PAGE_HEADING, "What to do");
    if (answer->assessment && answer->published) {
        add_lines_to_paste(page, answer->assessment);
        advise_on_findings(&all, answer->assessment);
    } else {
        advise_on_diags(&all, answer->diags, true);
        advise_on_diags(&all, answer->diags, false);
    }
    add_advices(page, &all, answer->published != NULL);
    if (page->items.n == before + 1)
        add_one(page, MR_PAGE_TEXT,
                answer->status == MR_E_NODATA ? "Drop the instruments' exports into this folder or any subfolder."
                                              : "Nothing is open.");
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
    if (answer->status == MR_E_JOB)
        return "No report: the job file has mistakes. An earlier report lacks what has come in since.";
    if (answer->status == MR_E_NODATA)
        return "No report yet: nothing in this folder could be judged.";
    return "No report: it could not be written. An earlier report lacks what has come in since.";
}

static void add_zones(struct mr_page *page, const struct mr_assessment *a) {
    if (a->aligned->zones.n == 0)
        return;
    add_one(page, MR_PAGE_HEADING, "Zones");
    add(page, MR_PAGE_ROW_HEAD, "Zone", "Outcome", "Because of", NULL);
    size_t n;
    const size_t *listed = mr_zones_listed(page->arena, a, &n);
    for (size_t k = 0; k < n; k++) {
        const size_t i = listed[k];
        const char *worst = a->zones[i].worst;
        bool open = a->zones[i].outcome >= MR_NOT_SHOWN;
        add(page, MR_PAGE_ROW, a->aligned->zones.v[i].name, mr_outcome_text(a->zones[i].outcome),
            open && worst && *worst ? worst : "-", NULL);
    }
    if (n < a->aligned->zones.n)
        add_one(page, MR_PAGE_TEXT,
                mr_printf(page->arena,
                          "These %zu have the worst outcomes of %zu zones; all of them: the table Zones.", n,
                          a->aligned->zones.n));
}

/* "220 µm (200 to 240)": mean, least and greatest of a row; the reason where there is none. */
static const char *wet_text(struct mr_arena *arena, const struct mr_table *t, size_t row, const char *mean,
                            const char *least, const char *most) {
    const struct mr_value *v = &t->values.v[row * t->n_fields];
    const size_t at = mr_find_column(t, mean), low = mr_find_column(t, least), high = mr_find_column(t, most);
    const struct mr_field *f = &t->fields[at];
    if (v[at].type == MR_V_BLANK)
        return mr_printf(arena, "none: %s", v[at].text);
    return mr_printf(arena, "%.*f %s (%.*f to %.*f)", f->decimals, v[at].number, mr_unit_symbol(f->unit), f->decimals,
                     v[low].number, f->decimals, v[high].number);
}

/* What wet film forecasts, told as that and nothing more. */
static void add_wet_film(struct mr_page *page, const struct mr_assessment *a) {
    const struct mr_table *t = mr_find_table(a, "wet-film");
    if (!t)
        return;
    add_one(page, MR_PAGE_HEADING, "Wet film: a forecast, not judged");
    add(page, MR_PAGE_ROW_HEAD, "Zone and coat", "Readings", "Wet film", "Dry film, forecast");
    for (size_t i = 0; i < t->n_rows && i < WET_MOST; i++) {
        const struct mr_value *v = &t->values.v[i * t->n_fields];
        add(page, MR_PAGE_ROW, mr_printf(page->arena, "%s, %s", v[0].text, v[1].text),
            mr_printf(page->arena, "%lld", (long long)v[2].count),
            wet_text(page->arena, t, i, "wet_mean", "wet_min", "wet_max"),
            wet_text(page->arena, t, i, "forecast_mean", "forecast_min", "forecast_max"));
    }
    if (t->n_rows > WET_MOST)
        add_one(page, MR_PAGE_TEXT,
                mr_printf(page->arena, "%zu more: see the sheet Wet film of the workbook.", t->n_rows - WET_MOST));
}

static const char *set_aside_text(struct mr_arena *arena, const struct mr_account *acc) {
    const char *text = "";
    for (size_t k = 0; k < MR_ASIDE_COUNT; k++)
        if (acc->by_reason[k])
            text = mr_printf(arena, "%s%s%s: %llu", text, *text ? "; " : "", mr_aside_text((enum mr_aside)k),
                             (unsigned long long)acc->by_reason[k]);
    return *text ? text : "-";
}

static void add_files(struct mr_page *page, const struct mr_assessment *a) {
    const struct mr_data *data = a->aligned->data;
    if (!data || data->files.n == 0)
        return;
    add_one(page, MR_PAGE_HEADING, "What was taken in");
    add(page, MR_PAGE_ROW_HEAD, "File", "Taken as", "Rows used", "Rows set aside");
    for (size_t i = 0; i < data->files.n; i++) {
        const struct mr_file *f = &data->files.v[i];
        const struct mr_account *acc = mr_account_of(a, i);
        add(page, MR_PAGE_ROW, f->source->path, f->copy_of ? "copy of another file" : mr_kind_text(f->kind),
            mr_printf(page->arena, "%llu", (unsigned long long)acc->rows_used), set_aside_text(page->arena, acc));
    }
}

static const char *below(const struct mr_answer *answer, const char *path) {
    size_t n = strlen(answer->dir);
    return strncmp(path, answer->dir, n) == 0 && path[n] == '/' ? path + n + 1 : path;
}

static const char *title_of(struct mr_arena *arena, const char *path) {
    const char *slash = strrchr(path, '/');
    char *title = mr_strdup(arena, slash ? slash + 1 : path);
    char *dot = strrchr(title, '.');
    if (dot)
        *dot = '\0';
    for (char *p = title; *p; p++)
        *p = *p == '-' ? ' ' : *p;
    return title;
}

static void add_report(struct mr_page *page, const struct mr_answer *answer) {
    const struct mr_published *p = answer->published;
    add_one(page, MR_PAGE_HEADING, "The report");
    add(page, MR_PAGE_LINK, "Workbook", below(answer, p->workbook), NULL, NULL);
    if (p->submittal)
        add(page, MR_PAGE_LINK, "Submittal", below(answer, p->submittal), NULL, NULL);
    if (p->charts.n)
        add(page, MR_PAGE_LINK, "Figures", mr_printf(page->arena, "%s/charts", below(answer, p->dir)), NULL, NULL);
    add(page, MR_PAGE_LINK, "Data", below(answer, p->json), NULL, NULL);
    for (size_t i = 0; i < p->charts.n; i++) {
        const char *path = p->charts.v[i];
        size_t n = strlen(path);
        if (n > 4 && strcmp(path + n - 4, ".png") == 0)
            add(page, MR_PAGE_FIGURE, title_of(page->arena, path), below(answer, path), NULL, NULL);
    }
}

static struct mr_page page_of(struct mr_arena *arena, const struct mr_answer *answer) {
    struct mr_page page = {.arena = arena};
    const struct mr_assessment *a = answer->published ? answer->assessment : NULL;
    const char *name = answer->job && answer->job->name && *answer->job->name ? answer->job->name : "Job";
    add_one(&page, MR_PAGE_TITLE, name);
    add_one(&page, MR_PAGE_LEAD, lead_of(arena, answer));
    add_one(&page, MR_PAGE_TEXT,
            mr_printf(arena, "%s%smilrise %s%s.", answer->when ? answer->when : "", answer->when ? ", " : "",
                      answer->version,
                      a ? mr_printf(arena, ", revision %ld, from %zu %s", answer->published->revision,
                                    a->aligned->data->files.n, a->aligned->data->files.n == 1 ? "file" : "files")
                        : ""));
    if (a)
        add_zones(&page, a);
    add_steps(&page, answer);
    if (a) {
        add_wet_film(&page, a);
        add_files(&page, a);
        add_report(&page, answer);
    }
    add_one(&page, MR_PAGE_HEADING, "Limits of this page");
    add_one(&page, MR_PAGE_TEXT,
            "The report assists and does not replace a qualified coating inspector, the supplier's written "
            "instructions, the "
            "contract specification, local codes or licensed engineering. Relieve line pressure before opening "
            "anything.");
    return page;
}

static const char mark[] = MR_ANSWER_MARK ": each run overwrites this file, and anything added by hand";

char *mr_answer_text(struct mr_arena *arena, const struct mr_answer *answer) {
    struct mr_page page = page_of(arena, answer);
    return mr_page_text(&page, mark);
}

char *mr_answer_html(struct mr_arena *arena, const struct mr_answer *answer) {
    struct mr_page page = page_of(arena, answer);
    return mr_page_html(&page, mark);
}

/* What lies under the name of a page. */
enum page_there { PAGE_NONE, PAGE_OURS, PAGE_OF_A_PERSON, PAGE_UNREAD };

static enum page_there page_at(struct mr_arena *arena, const char *path, const char **out) {
    char *text;
    size_t n;
    struct stat st;
    *out = "";
    if (lstat(path, &st) == 0 && !S_ISREG(st.st_mode)) /* a link is never read through */
        return PAGE_OF_A_PERSON;
    const enum mr_status status = mr_file_slurp(arena, path, (size_t)64 << 20, &text, &n);
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
