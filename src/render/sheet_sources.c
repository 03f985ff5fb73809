/*
 * sheet_sources.c - what the report rests on: the files with their accounts and fingerprints, the settings in force. And the sheets of
 * charts.
 */
#include "render/book_report.h"

#include <math.h>
#include <string.h>

/* Chart sheets in print: points of a row, points of a page between its margins, scale in percent. */
enum { ROW_PT = 15, PAGE_PT = 745, SCALE_PCT = 90 };

static struct mr_cell_out text_cell(enum mr_look look, const char *text) {
    return (struct mr_cell_out){.look = look, .text = text};
}

static struct mr_cell_out count_cell(uint64_t n) {
    return (struct mr_cell_out){.look = MR_LOOK_COUNT, .kind = MR_CELL_NUMBER, .number = (double)n};
}

static const char *reasons_text(struct mr_arena *arena, const struct mr_account *acc, const char *copy_of) {
    enum { RUNS_SHOWN = 8 };
    const char *text = copy_of && copy_of[0] ? mr_printf(arena, "copy of %s", copy_of) : "";
    for (int k = 0; k < MR_ASIDE_COUNT; k++) {
        if (acc->by_reason[k] == 0)
            continue;
        const char *lines = "";
        size_t shown = 0;
        for (size_t i = 0; i < acc->runs.n; i++) {
            const struct mr_aside_run *run = &acc->runs.v[i];
            if ((int)run->why != k || shown++ >= RUNS_SHOWN)
                continue;
            const char *comma = lines[0] ? ", " : "";
            lines = run->line_end > run->line ? mr_printf(arena, "%s%s%u-%u", lines, comma, (unsigned)run->line, (unsigned)run->line_end)
                                              : mr_printf(arena, "%s%s%u", lines, comma, (unsigned)run->line);
        }
        if (shown > RUNS_SHOWN)
            lines = mr_printf(arena, "%s and %zu more places, in report.json", lines, shown - RUNS_SHOWN);
        const char *where = lines[0] ? mr_printf(arena, ": lines %s", lines) : "";
        text = mr_printf(arena, "%s%s%llu %s%s", text, text[0] ? "\n" : "", (unsigned long long)acc->by_reason[k],
                         mr_aside_text((enum mr_aside)k), where);
    }
    return text;
}

static const char *delimiter_text(char delimiter) {
    switch (delimiter) {
    case ',': return "comma";
    case ';': return "semicolon";
    case '\t': return "tab";
    case '|': return "pipe";
    default: return "none";
    }
}

void mr_sheet_inputs(const struct mr_book_job *job, struct mr_sheet *s) {
    static const struct mr_head_cell head[] = {{"File", 32}, {"Kind", 22}, {"Known by", 32}, {"Encoding", 12}, {"Delimiter", 11}, {"Dates", 13},
                                               {"Instrument", 18}, {"Rows read", 10}, {"Header", 8}, {"Used", 10}, {"Set aside", 8},
                                               {"Why set aside", 40}, {"SHA-256", 36}};
    const struct mr_assessment *a = job->o->a;
    double widths[MR_COUNT(head)];
    const unsigned top = mr_sheet_head(s, job->arena, "Inputs", "Every file of the job folder. Rows read = header + used + set aside, for each file; nothing is left out silently.",
                                       MR_COUNT(head), head, widths);
    const size_t n = a->aligned->data->files.n;
    for (size_t i = 0; i < n; i++) {
        const struct mr_file *f = &a->aligned->data->files.v[i];
        const struct mr_account *acc = mr_account_of(a, i);
        const struct mr_cell_out cells[] = {text_cell(MR_LOOK_WRAP, f->source->path), text_cell(MR_LOOK_WRAP, mr_kind_text(f->kind)),
                                            text_cell(MR_LOOK_WRAP, f->kind_why),
                                            text_cell(MR_LOOK_TEXT, f->source->readable ? mr_encoding_text(f->source->encoding) : "not readable"),
                                            text_cell(MR_LOOK_TEXT, delimiter_text(f->source->delimiter)), text_cell(MR_LOOK_WRAP, f->date_order),
                                            text_cell(MR_LOOK_WRAP, f->instrument_name), count_cell(acc->rows_read), count_cell(acc->rows_header),
                                            count_cell(acc->rows_used), count_cell(acc->rows_set_aside),
                                            text_cell(MR_LOOK_WRAP, reasons_text(job->arena, acc, f->copy_of)), text_cell(MR_LOOK_WRAP, f->source->sha256)};
        mr_sheet_row(s, top + 1 + (unsigned)i, MR_COUNT(cells), cells, widths);
    }
    mr_sheet_table(s, top, top + (unsigned)n, MR_COUNT(head) - 1, true);
}

static const struct mr_head_cell setting_head[] = {{"Specification", 16}, {"Section", 14}, {"Setting", 26}, {"Value", 26}, {"From", 10},
                                                   {"Meaning", 60}, {"Source", 44}, {"Where", 24}};

static unsigned put_setting(struct mr_sheet *s, struct mr_arena *arena, unsigned row, const double *widths, const char *spec,
                            const struct mr_setting_def *d, const struct mr_setting *v) {
    const struct mr_cell_out cells[] = {text_cell(MR_LOOK_WRAP, spec), text_cell(MR_LOOK_TEXT, d->section), text_cell(MR_LOOK_WRAP, d->key),
                                        text_cell(MR_LOOK_WRAP, v->set ? v->text : "none"), text_cell(MR_LOOK_TEXT, v->from_job ? "the job" : "default"),
                                        text_cell(MR_LOOK_WRAP, d->meaning), text_cell(MR_LOOK_WRAP, v->from_job ? "stated by the job" : d->source),
                                        text_cell(MR_LOOK_TEXT, mr_place_text(arena, &v->place))};
    mr_sheet_row(s, row, MR_COUNT(cells), cells, widths);
    return row + 1;
}

void mr_sheet_settings(const struct mr_book_job *job, struct mr_sheet *s) {
    const struct mr_job *j = job->o->a->job;
    double widths[MR_COUNT(setting_head)];
    const unsigned top = mr_sheet_head(s, job->arena, "Settings in force", "Every limit and default that the report rests on, and whether it is the default or the job's own. "
                                       "Rows with a specification hold for the zones that name it.", MR_COUNT(setting_head), setting_head, widths);
    unsigned row = top + 1;
    for (int i = 0; i < MR_SETTING_COUNT; i++)
        row = put_setting(s, job->arena, row, widths, "", &mr_setting_defs[i], &j->settings.v[i]);
    for (size_t k = 0; k < j->specs.n; k++)
        for (int i = 0; i < MR_SETTING_COUNT; i++) {
            const struct mr_setting *v = &j->specs.v[k].v[i], *own = &j->settings.v[i];
            if (v->set != own->set || strcmp(v->text ? v->text : "", own->text ? own->text : "") != 0)
                row = put_setting(s, job->arena, row, widths, j->specs.v[k].spec, &mr_setting_defs[i], v);
        }
    mr_sheet_table(s, top, row - 1, MR_COUNT(setting_head) - 1, true);
}

/* Charts stand under each other, as many on an upright page as fit whole. */
void mr_sheet_charts(const struct mr_book_job *job, struct mr_sheet *s, const char *kind, const char *title, const char *dir) {
    const mr_chart_list *charts = job->o->charts;
    MR_VEC(unsigned) breaks = {0};
    mr_sheet_width(s, 0, 100);
    mr_sheet_height(s, 0, 24);
    mr_sheet_text(s, 0, 0, MR_LOOK_TITLE, title);
    mr_sheet_text(s, 1, 0, MR_LOOK_NOTE, "Also as PNG, SVG and PDF in the folder charts, beside this workbook.");
    unsigned row = 3, page_from = 0;
    for (size_t i = 0; i < charts->n; i++) {
        const struct mr_chart *c = &charts->v[i];
        if (strcmp(c->kind, kind) != 0)
            continue;
        const unsigned rows = 2 + (unsigned)ceil(c->list->height_pt / ROW_PT);
        if ((row + rows - page_from) * ROW_PT > PAGE_PT * 100 / SCALE_PCT && row > 3) {
            MR_PUSH(job->arena, &breaks, row);
            page_from = row;
        }
        mr_sheet_text(s, row, 0, MR_LOOK_NOTE, mr_printf(job->arena, "charts/%s", c->stem));
        mr_sheet_image(s, row + 1, 0, mr_printf(job->arena, "%s/%s.png", dir, c->stem), 1.0, c->alt);
        row += rows;
    }
    mr_sheet_portrait(s, SCALE_PCT, breaks.n, breaks.v);
}
