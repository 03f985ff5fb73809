/*
 * book_report.c - the order of the workbook's sheets, as a reviewer reads: the verdict, what is open, findings, a
 * page for each zone, the checks; then the figures behind them from film to gauge; then the inputs and the basis, and
 * the sign-off.
 */
#include "render/book/book_report.h"

#include "render/book/book_sheets.h"
#include "render/data/long_tables.h"

#include <string.h>

/* Tables by id, in order; what is not listed comes before the inputs. printed: as pages. */
static const struct book_order {
    const char *id;
    bool printed;
} sheet_order[] = {{"non-conformances", true},
                   {"findings", true},
                   {"", false}, /* the zones' pages */
                   {"checks", true},
                   {"zones", false},
                   {"thickness-summary", false},
                   {"thickness-limits", false},
                   {"thickness-areas", false},
                   {"spots", false},
                   {"gauge-readings", false},
                   {"thickness-sampling", false},
                   {"thickness-on-site", false},
                   {"thickness-intervals", false},
                   {"thickness-order", false},
                   {"thickness-doubt", false},
                   {"surveys", false},
                   {"repaired-areas", false},
                   {"thickness-corrections", false},
                   {"wet-film", false},
                   {"wet-film-readings", false},
                   {"windows", false},
                   {"climate", false},
                   {"least-spread", false},
                   {"heat-by-coat", false},
                   {"heat-events", false},
                   {"rise-against-thickness", false},
                   {"heat-constants", false},
                   {"line-pressures", false},
                   {"line-events", false},
                   {"pauses", false},
                   {"material", false},
                   {"material-zones", false},
                   {"lots", false},
                   {"gauge-verifications", true},
                   {"shift-record", false},
                   {"shift-timeline", false}},
  last[] = {{"inputs", true},    {"set-aside", false},      {"words", false},         {"clocks", false},
            {"channels", false}, {"alignment", false},      {"configuration", false}, {"thickness-rules", true},
            {"settings", true},  {"revision-history", true}};

/* Histograms stand on the zones' pages, outcomes on the sheet of the verdict. */
static const struct {
    const char *sheet, *title, *kinds[MR_KINDS_A_SHEET];
} chart_sheets[] = {{"Charts film",
                     "Film of the zones",
                     {"zones-compared", "film-by-day", "before-and-after", "spots", "film-map", "normal-plot"}},
                    {"Charts heat", "Heat of each coat", {"reaction", "coats-from-onset"}},
                    {"Chart rise and thickness", "Rise against thickness", {"rise-against-thickness"}},
                    {"Charts climate", "Climate of each shift", {"climate"}},
                    {"Charts lines", "Line pressures of each shift", {"lines"}},
                    {"Charts shifts", "Timeline of each shift", {"shift-timeline"}}};

typedef MR_VEC(struct mr_sheet *) sheet_list;

static bool has_chart(const struct mr_outline *o, const char *const kinds[MR_KINDS_A_SHEET]) {
    for (size_t i = 0; i < o->charts->n; i++)
        for (size_t k = 0; k < MR_KINDS_A_SHEET && kinds[k]; k++)
            if (strcmp(o->charts->v[i].kind, kinds[k]) == 0)
                return true;
    return false;
}

static struct mr_book *open_book(const struct mr_outline *o, const struct mr_book_paths *paths) {
    const char *footer = o->stamp[0] ? mr_printf(o->arena, "%s, %s", o->revision_text, o->stamp) : o->revision_text;
    const struct mr_job *job = o->a->job;
    const struct mr_wording *w = &job->wording;
    const struct mr_book_info info = {.title = mr_printf(o->arena, "%s: %s", w->title, o->job_name),
                                      .subject = job->site,
                                      .company = w->firm[0] ? w->firm : job->contract,
                                      .author = w->author,
                                      .page = mr_word(job, "page"),
                                      .of = mr_word(job, "of"),
                                      .comments =
                                          mr_printf(o->arena, "%s; made by milrise %s", o->revision_text, o->version),
                                      .created_utc_ms = o->created_utc_ms,
                                      .footer_left = o->job_name,
                                      .footer_middle = footer,
                                      .letter = o->letter,
                                      .tmp_dir = paths->tmp_dir};
    return mr_book_open(o->arena, paths->workbook, &info);
}

/* --- which sheets ---------------------------------------------------------------------------------------- */

static const struct mr_table *table_of(const struct mr_book_job *job, const char *id) {
    if (!strcmp(id, job->checks->id))
        return job->checks;
    return !strcmp(id, job->findings->id) ? job->findings : mr_find_table(job->o->a, id);
}

static bool listed(const char *id) {
    for (size_t i = 0; i < MR_COUNT(sheet_order); i++)
        if (strcmp(sheet_order[i].id, id) == 0)
            return true;
    for (size_t i = 0; i < MR_COUNT(last); i++)
        if (strcmp(last[i].id, id) == 0)
            return true;
    return false;
}

/* In place of a table whose rows stand beside the workbook: its heads, and where to find them. */
static const struct mr_table *stand_in(const struct mr_book_job *job, const struct mr_rows *r, const char *file) {
    return mr_table_new(job->arena, r->id, r->title,
                        mr_printf(job->arena, "%zu rows, which stand beside this workbook in %s. %s", r->n, file,
                                  r->note ? r->note : ""),
                        r->n_fields, r->fields);
}

static void add_table(struct mr_book_job *job, sheet_list *list, const struct mr_table *t, bool printed) {
    if (!t)
        return;
    const struct mr_assessment *a = job->o->a;
    const size_t n = t == job->checks ? a->checks.n : t == job->findings ? a->findings.n : t->n_rows;
    const char *file = mr_csv_file(job->o, t->id, n);
    const struct mr_rows rows = mr_rows_of_table(t);
    if (file && t->n_rows > 0)
        t = stand_in(job, &rows, file);
    struct mr_table_layout *l = mr_layout_add(job->layout, job->book, job->o, t);
    l->beside = file != NULL;
    l->printed = printed;
    if (printed)
        mr_layout_fit(job->arena, l, mr_page_characters(job->o->letter, false, (unsigned)t->n_fields));
    for (size_t i = 0; i < l->pieces.n; i++)
        MR_PUSH(job->arena, list, l->pieces.v[i].sheet);
}

static struct mr_sheet *add_sheet(const struct mr_book_job *job, sheet_list *list, const char *name) {
    struct mr_sheet *s = mr_sheet_add(job->book, name);
    MR_PUSH(job->arena, list, s);
    return s;
}

static void add_zone_sheets(struct mr_book_job *job, sheet_list *list) {
    const size_t n = (job->o->a->aligned->zones.n + MR_ZONES_A_SHEET - 1) / MR_ZONES_A_SHEET;
    job->zones = MR_ARRAY(job->arena, struct mr_sheet *, n);
    for (size_t i = 0; i < n; i++)
        job->zones[i] = add_sheet(job, list, "Zone pages");
}

static size_t add_charts(const struct mr_book_job *job, sheet_list *list) {
    const size_t at = list->n;
    for (size_t i = 0; job->charts && i < MR_COUNT(chart_sheets); i++)
        if (has_chart(job->o, chart_sheets[i].kinds))
            add_sheet(job, list, chart_sheets[i].sheet);
    return at;
}

static void fill_charts(const struct mr_book_job *job, struct mr_sheet *const *sheet) {
    for (size_t i = 0; job->charts && i < MR_COUNT(chart_sheets); i++)
        if (has_chart(job->o, chart_sheets[i].kinds))
            mr_sheet_charts(job, *sheet++, chart_sheets[i].kinds, chart_sheets[i].title);
}

/* The sheets are made first, in their order, so that links and formulas can point forward; then each is filled. */
static void write_sheets(struct mr_book_job *job) {
    const struct mr_assessment *a = job->o->a;
    sheet_list list = {0};
    job->live = mr_live_begin(job->o, job->checks, job->findings);
    mr_live_guard(job->live, mr_recipes_of);
    job->verdict = add_sheet(job, &list, "Verdict");
    for (size_t i = 0; i < MR_COUNT(sheet_order); i++) {
        if (sheet_order[i].id[0])
            add_table(job, &list, table_of(job, sheet_order[i].id), sheet_order[i].printed);
        else if (a->aligned->zones.n > 0 && !mr_many_zones(job->o))
            add_zone_sheets(job, &list);
    }
    const size_t charts = add_charts(job, &list);
    for (size_t i = 0; i < a->tables.n; i++)
        if (!listed(a->tables.v[i]->id))
            add_table(job, &list, a->tables.v[i], false);
    for (size_t i = 0; i < MR_COUNT(last); i++)
        add_table(job, &list, table_of(job, last[i].id), last[i].printed);
    add_table(job, &list, job->live->since, false);
    add_table(job, &list, job->live->typed, false);
    struct mr_sheet *cautions = add_sheet(job, &list, "Cautions and limits"),
                    *signoff = add_sheet(job, &list, "Sign-off");
    if (job->zones) /* for no page, a look at every window for every zone */
        mr_zone_pages_plan(job);
    mr_sheet_verdict(job, list.n, list.v);
    for (size_t i = 0; i < job->layout->tables.n; i++)
        mr_sheet_of_table(job, job->layout->tables.v[i]);
    mr_zone_pages(job);
    fill_charts(job, list.v + charts);
    mr_sheet_cautions(job, cautions);
    mr_sheet_signoff(job, signoff);
    mr_key_names(job);
    mr_arena_free(job->live->scratch);
}

/* A list as a table, or what stands for it. */
static const struct mr_table *list_table(const struct mr_book_job *job, const struct mr_rows rows) {
    const char *file = mr_csv_file(job->o, rows.id, rows.n);
    return file ? stand_in(job, &rows, file) : mr_rows_table(job->o, &rows);
}

const char *mr_book_report(const struct mr_outline *o, const struct mr_book_paths *paths) {
    struct mr_book_layout layout = {.arena = o->arena};
    struct mr_book_job job = {
        .o = o, .book = open_book(o, paths), .arena = o->arena, .layout = &layout, .charts = paths->charts};
    if (!job.book)
        return "the workbook could not be started";
    job.checks = list_table(&job, mr_check_rows(o));
    job.findings = list_table(&job, mr_finding_rows(o));
    write_sheets(&job);
    return mr_book_close(job.book);
}
