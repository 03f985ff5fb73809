/*
 * book_report.c - the order of the workbook's sheets: the verdict, findings, checks, charts, the tables of the
 * assessment (the last of them inputs and settings in force), and at the end the cautions and the limits of the
 * report.
 *
 * A table longer than a sheet goes on in further sheets of the same name with a number.
 */
#include "render/book/book_report.h"

#include <string.h>

enum { ROWS_PER_SHEET = 1000000 };

static const struct {
    const char *kind, *sheet, *title;
} chart_sheets[] = {{"thickness", "Charts thickness", "Film thickness of each zone"},
                    {"reaction", "Charts heat", "Heat of each coat"},
                    {"rise-against-thickness", "Chart rise and thickness", "Rise against thickness"},
                    {"climate", "Charts climate", "Climate of each shift"},
                    {"lines", "Charts lines", "Line pressures of each shift"},
                    {"shift-story", "Charts shifts", "Time line of each shift"}};

static bool has_chart(const struct mr_outline *o, const char *kind) {
    for (size_t i = 0; i < o->charts->n; i++)
        if (strcmp(o->charts->v[i].kind, kind) == 0)
            return true;
    return false;
}

static struct mr_book *open_book(const struct mr_outline *o, const struct mr_book_paths *paths) {
    const char *footer = o->stamp[0] ? mr_printf(o->arena, "%s, %s", o->revision_text, o->stamp) : o->revision_text;
    const struct mr_book_info info = {.title = mr_printf(o->arena, "Coating report: %s", o->job_name),
                                      .subject = o->a->job->site,
                                      .company = o->a->job->contract,
                                      .comments =
                                          mr_printf(o->arena, "%s; made by milrise %s", o->revision_text, o->version),
                                      .created_utc_ms = o->created_utc_ms,
                                      .footer_left = o->job_name,
                                      .footer_middle = footer,
                                      .tmp_dir = paths->tmp_dir};
    return mr_book_open(o->arena, paths->workbook, &info);
}

typedef MR_VEC(struct mr_sheet *) sheet_list;

static struct mr_sheet *add(const struct mr_book_job *job, sheet_list *list, const char *name) {
    struct mr_sheet *s = mr_sheet_add(job->book, name);
    MR_PUSH(job->arena, list, s);
    return s;
}

/* The sheets are made first, in their order, so that the first can link to all; then each is filled. */
static void write_tables(const struct mr_book_job *job, sheet_list *list, bool fill, size_t *at) {
    const struct mr_assessment *a = job->o->a;
    for (size_t i = 0; i < a->tables.n; i++) {
        const struct mr_table *t = a->tables.v[i];
        size_t from = 0;
        do {
            const size_t to = t->n_rows - from > ROWS_PER_SHEET ? from + ROWS_PER_SHEET : t->n_rows;
            if (fill)
                mr_sheet_rows(job, list->v[(*at)++], t, from, to);
            else
                add(job, list, t->title);
            from = to;
        } while (from < t->n_rows);
    }
}

static void write_charts(const struct mr_book_job *job, sheet_list *list, const char *charts_dir, bool fill,
                         size_t *at) {
    for (size_t i = 0; charts_dir && i < MR_COUNT(chart_sheets); i++) {
        if (!has_chart(job->o, chart_sheets[i].kind))
            continue;
        if (fill)
            mr_sheet_charts(job, list->v[(*at)++], chart_sheets[i].kind, chart_sheets[i].title, charts_dir);
        else
            add(job, list, chart_sheets[i].sheet);
    }
}

static void write_sheets(const struct mr_book_job *job, const char *charts_dir) {
    sheet_list list = {0};
    add(job, &list, "Verdict");
    add(job, &list, "Findings");
    add(job, &list, "Checks");
    size_t at = list.n;
    write_charts(job, &list, charts_dir, false, NULL);
    write_tables(job, &list, false, NULL);
    add(job, &list, "Cautions and limits");
    mr_sheet_verdict(job, list.v[0], list.n, list.v);
    mr_sheet_findings(job, list.v[1]);
    mr_sheet_checks(job, list.v[2]);
    write_charts(job, &list, charts_dir, true, &at);
    write_tables(job, &list, true, &at);
    mr_sheet_cautions(job, list.v[at]);
}

const char *mr_book_report(const struct mr_outline *o, const struct mr_book_paths *paths) {
    struct mr_book_job job = {o, open_book(o, paths), o->arena};
    if (!job.book)
        return "the workbook could not be started";
    write_sheets(&job, paths->charts_dir);
    return mr_book_close(job.book);
}
