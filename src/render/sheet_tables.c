/*
 * sheet_tables.c - sheets that are one table: those of the assessment, findings, checks, inputs, settings; and sheets of charts.
 */
#include "render/book_report.h"

#include <math.h>
#include <string.h>

enum { WIDTH_LEAST = 8, WIDTH_MOST = 60, ROWS_LOOKED_AT = 400, NOTE_LINES = 6 };

static size_t characters(const char *text) {
    size_t n = 0;
    for (; *text; text++)
        n += ((unsigned char)*text & 0xc0) != 0x80;
    return n;
}

/* A note is broken into rows of about the sheet's width: long text in one cell would be cut off in print. */
static unsigned put_note(struct mr_sheet *sheet, struct mr_arena *arena, unsigned row, const char *note, double width) {
    if (!note || !note[0])
        return row;
    const char *lines[NOTE_LINES];
    const double characters_wide = width < 60 ? 60 : width > 150 ? 150 : width;
    const size_t n = mr_text_wrap(arena, note, 10.0, false, characters_wide * 5.4, NOTE_LINES, lines);
    for (size_t i = 0; i < n; i++)
        mr_sheet_text(sheet, row++, 0, MR_LOOK_NOTE, lines[i]);
    return row;
}

unsigned mr_sheet_head(struct mr_sheet *sheet, struct mr_arena *arena, const char *title, const char *note, size_t n,
                       const struct mr_head_cell *cells) {
    double width = 0;
    for (size_t i = 0; i < n; i++) {
        mr_sheet_width(sheet, (unsigned)i, cells[i].width);
        width += cells[i].width;
    }
    mr_sheet_height(sheet, 0, 24);
    mr_sheet_text(sheet, 0, 0, MR_LOOK_TITLE, title);
    unsigned row = put_note(sheet, arena, 1, note, width) + 1;
    for (size_t i = 0; i < n; i++)
        mr_sheet_text(sheet, row, (unsigned)i, MR_LOOK_HEAD, cells[i].title);
    return row;
}

static double wanted_width(const struct mr_table *t, size_t c, const char *title) {
    if (t->fields[c].width > 0)
        return t->fields[c].width > 100 ? 100 : t->fields[c].width;
    size_t most = 0;
    for (const char *word = title; *word;) { /* headers wrap at blanks */
        const size_t n = strcspn(word, " ");
        most = n > most ? n : most;
        word += n + strspn(word + n, " ");
    }
    for (size_t r = 0; r < t->n_rows && r < ROWS_LOOKED_AT; r++) {
        const struct mr_value *v = &t->values.v[r * t->n_fields + c];
        const size_t n = v->type == MR_V_TEXT && v->text ? characters(v->text)
                         : v->type == MR_V_TIME          ? 19
                         : v->type == MR_V_OUTCOME       ? 16
                                                         : 0;
        most = n > most ? n : most;
    }
    most += 2;
    return most < WIDTH_LEAST ? WIDTH_LEAST : most > WIDTH_MOST ? WIDTH_MOST : (double)most;
}

static bool has_times(const struct mr_table *t, size_t c) {
    for (size_t r = 0; r < t->n_rows && r < ROWS_LOOKED_AT; r++)
        if (t->values.v[r * t->n_fields + c].type == MR_V_TIME)
            return true;
    return false;
}

static const char *column_title(const struct mr_book_job *job, const struct mr_table *t, size_t c) {
    const struct mr_field *f = &t->fields[c];
    const char *unit = mr_unit_symbol(f->unit), *title = f->title ? f->title : f->key;
    if (unit[0] && !strstr(title, unit))
        return mr_printf(job->arena, "%s, %s", title, unit);
    if (job->o->offset_text[0] && has_times(t, c))
        return mr_printf(job->arena, "%s (%s)", title, job->o->offset_text);
    return title;
}

static void put_time(const struct mr_book_job *job, struct mr_sheet *s, unsigned row, unsigned column, int64_t t_utc_ms) {
    if (t_utc_ms == MR_T_NONE)
        mr_sheet_blank(s, row, column, MR_LOOK_TEXT);
    else if (job->o->offset_text[0])
        mr_sheet_time(s, row, column, MR_LOOK_TIME, mr_local_ms(job->o->a->aligned, t_utc_ms));
    else
        mr_sheet_text(s, row, column, MR_LOOK_TEXT, mr_local_text(job->arena, job->o->a->aligned, t_utc_ms));
}

static void put_value(const struct mr_book_job *job, struct mr_sheet *s, unsigned row, unsigned column, const struct mr_field *f,
                      const struct mr_value *v, bool wrap) {
    switch (v->type) {
    case MR_V_BLANK: mr_sheet_text(s, row, column, MR_LOOK_BLANK, v->text); break;
    case MR_V_TEXT: mr_sheet_text(s, row, column, wrap ? MR_LOOK_WRAP : MR_LOOK_TEXT, v->text); break;
    case MR_V_NUMBER: mr_sheet_number(s, row, column, mr_look_decimals(f->decimals), v->number); break;
    case MR_V_COUNT: mr_sheet_number(s, row, column, MR_LOOK_COUNT, (double)v->count); break;
    case MR_V_TIME: put_time(job, s, row, column, v->count); break;
    case MR_V_OUTCOME:
        mr_sheet_text(s, row, column, mr_look_outcome((enum mr_outcome)v->count, false), mr_outcome_text((enum mr_outcome)v->count));
        break;
    }
}

void mr_sheet_rows(const struct mr_book_job *job, struct mr_sheet *sheet, const struct mr_table *t, size_t from, size_t to) {
    struct mr_head_cell *head = MR_ARRAY(job->arena, struct mr_head_cell, t->n_fields);
    for (size_t c = 0; c < t->n_fields; c++) {
        head[c].title = column_title(job, t, c);
        head[c].width = wanted_width(t, c, head[c].title);
    }
    const unsigned top = mr_sheet_head(sheet, job->arena, t->title, t->note, t->n_fields, head);
    for (size_t r = from; r < to; r++)
        for (size_t c = 0; c < t->n_fields; c++)
            put_value(job, sheet, top + 1 + (unsigned)(r - from), (unsigned)c, &t->fields[c], &t->values.v[r * t->n_fields + c],
                      to - from <= ROWS_LOOKED_AT * 10);
    mr_sheet_table(sheet, top, top + (unsigned)(to - from), (unsigned)t->n_fields - 1, true);
}

static const char *evidence_text(struct mr_arena *arena, const mr_evidence_list *list) {
    enum { SHOWN = 20 };
    const char *text = "";
    for (size_t i = 0; i < list->n && i < SHOWN; i++) {
        const char *place = mr_place_text(arena, &list->v[i].place), *note = list->v[i].note;
        text = mr_printf(arena, "%s%s%s%s%s%s", text, i ? "\n" : "", place, note && note[0] ? " (" : "", note ? note : "",
                         note && note[0] ? ")" : "");
    }
    return list->n > SHOWN ? mr_printf(arena, "%s\nand %zu more, in report.json", text, list->n - SHOWN) : text;
}

static void put_coat(struct mr_sheet *s, unsigned row, unsigned column, int coat) {
    if (coat > 0)
        mr_sheet_number(s, row, column, MR_LOOK_COUNT, coat);
    else
        mr_sheet_blank(s, row, column, MR_LOOK_TEXT);
}

void mr_sheet_findings(const struct mr_book_job *job, struct mr_sheet *s) {
    static const struct mr_head_cell head[] = {{"No.", 5}, {"Gravity", 16}, {"Zone", 20}, {"Coat", 6}, {"What", 48}, {"Measured", 10}, {"Limit", 10},
                                               {"Unit", 6}, {"From", 19}, {"To", 19}, {"Next step", 40}, {"Caution", 34}, {"Rule", 30},
                                               {"Source", 26}, {"Evidence: file and lines", 36}, {"Kind", 20}};
    const struct mr_assessment *a = job->o->a;
    const char *zone_of_time = job->o->offset_text[0] ? mr_printf(job->arena, " Times are local, %s.", job->o->offset_text) : " Times are local.";
    const unsigned top = mr_sheet_head(s, job->arena, "Findings", mr_printf(job->arena, "What a reviewer must know, gravest first.%s", zone_of_time),
                                       MR_COUNT(head), head);
    static const char *const gravity[] = {[MR_NOTE] = "note", [MR_WARNING] = "to be looked at", [MR_ERROR] = "does not conform"};
    static const enum mr_look looks[] = {[MR_NOTE] = MR_LOOK_WRAP, [MR_WARNING] = MR_LOOK_NOT_SHOWN, [MR_ERROR] = MR_LOOK_DOES_NOT_CONFORM};
    for (size_t i = 0; i < a->findings.n; i++) {
        const struct mr_finding *f = &a->findings.v[i];
        const unsigned row = top + 1 + (unsigned)i;
        mr_sheet_number(s, row, 0, MR_LOOK_COUNT, (double)(i + 1));
        mr_sheet_text(s, row, 1, looks[f->severity], gravity[f->severity]);
        mr_sheet_text(s, row, 2, MR_LOOK_WRAP, mr_zone_name(a, f->zone));
        put_coat(s, row, 3, f->coat);
        mr_sheet_text(s, row, 4, MR_LOOK_WRAP, f->what);
        mr_sheet_number(s, row, 5, mr_look_decimals(f->decimals), f->measured);
        mr_sheet_number(s, row, 6, mr_look_decimals(f->decimals), f->limit);
        mr_sheet_text(s, row, 7, MR_LOOK_TEXT, mr_unit_symbol(f->unit));
        put_time(job, s, row, 8, f->t0_utc_ms);
        put_time(job, s, row, 9, f->t1_utc_ms);
        mr_sheet_text(s, row, 10, MR_LOOK_WRAP, f->next_step);
        mr_sheet_text(s, row, 11, MR_LOOK_WRAP, f->caution);
        mr_sheet_text(s, row, 12, MR_LOOK_WRAP, f->rule);
        mr_sheet_text(s, row, 13, MR_LOOK_WRAP, f->source);
        mr_sheet_text(s, row, 14, MR_LOOK_WRAP, evidence_text(job->arena, &f->evidence));
        mr_sheet_text(s, row, 15, MR_LOOK_TEXT, f->id);
    }
    if (a->findings.n == 0)
        mr_sheet_text(s, top + 1, 0, MR_LOOK_NOTE, "No findings.");
    mr_sheet_table(s, top, top + (unsigned)a->findings.n, MR_COUNT(head) - 1, true);
}

void mr_sheet_checks(const struct mr_book_job *job, struct mr_sheet *s) {
    static const struct mr_head_cell head[] = {{"Zone", 24}, {"Group", 13}, {"Check", 34}, {"Coat", 6}, {"Outcome", 17}, {"Measured", 11},
                                               {"At least", 10}, {"At most", 10}, {"Unit", 6}, {"Rule", 40}, {"Source", 34}, {"Why", 50},
                                               {"Evidence: file and lines", 38}, {"Key", 26}};
    const struct mr_assessment *a = job->o->a;
    const unsigned top = mr_sheet_head(s, job->arena, "Checks", "Every check that was made. Outcomes rest on unrounded values; the figures here are rounded for reading.",
                                       MR_COUNT(head), head);
    for (size_t i = 0; i < a->checks.n; i++) {
        const struct mr_check *c = &a->checks.v[i];
        const unsigned row = top + 1 + (unsigned)i;
        const enum mr_look figure = mr_look_decimals(c->decimals);
        mr_sheet_text(s, row, 0, MR_LOOK_WRAP, mr_zone_name(a, c->zone));
        mr_sheet_text(s, row, 1, MR_LOOK_TEXT, c->group);
        mr_sheet_text(s, row, 2, MR_LOOK_WRAP, c->title);
        put_coat(s, row, 3, c->coat);
        mr_sheet_text(s, row, 4, mr_look_outcome(c->outcome, false), mr_outcome_text(c->outcome));
        mr_sheet_number(s, row, 5, figure, c->measured);
        mr_sheet_number(s, row, 6, figure, c->limit_low);
        mr_sheet_number(s, row, 7, figure, c->limit_high);
        mr_sheet_text(s, row, 8, MR_LOOK_TEXT, mr_unit_symbol(c->unit));
        mr_sheet_text(s, row, 9, MR_LOOK_WRAP, c->rule);
        mr_sheet_text(s, row, 10, MR_LOOK_WRAP, c->source);
        mr_sheet_text(s, row, 11, MR_LOOK_WRAP, c->detail);
        mr_sheet_text(s, row, 12, MR_LOOK_WRAP, evidence_text(job->arena, &c->evidence));
        mr_sheet_text(s, row, 13, MR_LOOK_TEXT, c->id);
    }
    mr_sheet_table(s, top, top + (unsigned)a->checks.n, MR_COUNT(head) - 1, true);
}

static const char *reasons_text(struct mr_arena *arena, const struct mr_account *acc) {
    enum { RUNS_SHOWN = 8 };
    const char *text = "";
    for (int k = 0; k < MR_ASIDE_COUNT; k++) {
        if (acc->by_reason[k] == 0)
            continue;
        const char *lines = "";
        size_t shown = 0;
        for (size_t i = 0; i < acc->runs.n; i++) {
            const struct mr_aside_run *run = &acc->runs.v[i];
            if ((int)run->why != k || shown == RUNS_SHOWN)
                continue;
            lines = run->line_end > run->line ? mr_printf(arena, "%s%s%u-%u", lines, shown ? ", " : "", (unsigned)run->line, (unsigned)run->line_end)
                                              : mr_printf(arena, "%s%s%u", lines, shown ? ", " : "", (unsigned)run->line);
            shown++;
        }
        text = mr_printf(arena, "%s%s%llu: %s%s%s%s", text, text[0] ? "\n" : "", (unsigned long long)acc->by_reason[k],
                         mr_aside_text((enum mr_aside)k), lines[0] ? " (lines " : "", lines, lines[0] ? (shown == RUNS_SHOWN ? ", ...)" : ")") : "");
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
    static const struct mr_head_cell head[] = {{"File", 34}, {"Kind", 20}, {"Known by", 36}, {"Encoding", 12}, {"Delimiter", 11}, {"Dates", 14},
                                               {"Instrument", 18}, {"Rows read", 10}, {"Header", 9}, {"Used", 10}, {"Set aside", 10},
                                               {"Why set aside", 46}, {"Copy of", 24}, {"SHA-256", 68}};
    const struct mr_assessment *a = job->o->a;
    const unsigned top = mr_sheet_head(s, job->arena, "Inputs", "Every file of the job folder. Rows read = header + used + set aside, for each file; nothing is left out silently.",
                                       MR_COUNT(head), head);
    const size_t n = a->aligned->data->files.n;
    for (size_t i = 0; i < n; i++) {
        const struct mr_file *f = &a->aligned->data->files.v[i];
        const struct mr_account *acc = mr_account_of(a, i);
        const unsigned row = top + 1 + (unsigned)i;
        mr_sheet_text(s, row, 0, MR_LOOK_WRAP, f->source->path);
        mr_sheet_text(s, row, 1, MR_LOOK_TEXT, mr_kind_text(f->kind));
        mr_sheet_text(s, row, 2, MR_LOOK_WRAP, f->kind_why);
        mr_sheet_text(s, row, 3, MR_LOOK_TEXT, f->source->readable ? mr_encoding_text(f->source->encoding) : "not readable");
        mr_sheet_text(s, row, 4, MR_LOOK_TEXT, delimiter_text(f->source->delimiter));
        mr_sheet_text(s, row, 5, MR_LOOK_WRAP, f->date_order);
        mr_sheet_text(s, row, 6, MR_LOOK_WRAP, f->instrument_name);
        mr_sheet_number(s, row, 7, MR_LOOK_COUNT, (double)acc->rows_read);
        mr_sheet_number(s, row, 8, MR_LOOK_COUNT, (double)acc->rows_header);
        mr_sheet_number(s, row, 9, MR_LOOK_COUNT, (double)acc->rows_used);
        mr_sheet_number(s, row, 10, MR_LOOK_COUNT, (double)acc->rows_set_aside);
        mr_sheet_text(s, row, 11, MR_LOOK_WRAP, reasons_text(job->arena, acc));
        mr_sheet_text(s, row, 12, MR_LOOK_WRAP, f->copy_of);
        mr_sheet_text(s, row, 13, MR_LOOK_TEXT, f->source->sha256);
    }
    mr_sheet_table(s, top, top + (unsigned)n, MR_COUNT(head) - 1, true);
}

static unsigned put_setting(struct mr_sheet *s, struct mr_arena *arena, unsigned row, const char *spec, const struct mr_setting_def *d,
                            const struct mr_setting *v) {
    mr_sheet_text(s, row, 0, MR_LOOK_WRAP, spec);
    mr_sheet_text(s, row, 1, MR_LOOK_TEXT, d->section);
    mr_sheet_text(s, row, 2, MR_LOOK_WRAP, d->key);
    mr_sheet_text(s, row, 3, MR_LOOK_WRAP, v->set ? v->text : "none");
    mr_sheet_text(s, row, 4, MR_LOOK_TEXT, v->from_job ? "the job" : "default");
    mr_sheet_text(s, row, 5, MR_LOOK_WRAP, d->meaning);
    mr_sheet_text(s, row, 6, MR_LOOK_WRAP, v->from_job ? "stated by the job" : d->source);
    mr_sheet_text(s, row, 7, MR_LOOK_TEXT, mr_place_text(arena, &v->place));
    return row + 1;
}

void mr_sheet_settings(const struct mr_book_job *job, struct mr_sheet *s) {
    static const struct mr_head_cell head[] = {{"Specification", 16}, {"Section", 14}, {"Setting", 26}, {"Value", 26}, {"From", 10}, {"Meaning", 60},
                                               {"Source", 44}, {"Where", 24}};
    const struct mr_job *j = job->o->a->job;
    const unsigned top = mr_sheet_head(s, job->arena, "Settings in force", "Every limit and default that the report rests on, and whether it is the default or the job's own. "
                                       "Rows with a specification hold for the zones that name it.", MR_COUNT(head), head);
    unsigned row = top + 1;
    for (int i = 0; i < MR_SETTING_COUNT; i++)
        row = put_setting(s, job->arena, row, "", &mr_setting_defs[i], &j->settings.v[i]);
    for (size_t k = 0; k < j->specs.n; k++)
        for (int i = 0; i < MR_SETTING_COUNT; i++) {
            const struct mr_setting *v = &j->specs.v[k].v[i], *own = &j->settings.v[i];
            if (v->set != own->set || strcmp(v->text ? v->text : "", own->text ? own->text : "") != 0)
                row = put_setting(s, job->arena, row, j->specs.v[k].spec, &mr_setting_defs[i], v);
        }
    mr_sheet_table(s, top, row - 1, MR_COUNT(head) - 1, true);
}

void mr_sheet_charts(const struct mr_book_job *job, struct mr_sheet *s, const char *kind, const char *title, const char *dir) {
    static const struct mr_head_cell head[] = {{"Also as PNG, SVG and PDF in the folder charts, beside this workbook.", 100}};
    const mr_chart_list *charts = job->o->charts;
    mr_sheet_width(s, 0, head[0].width);
    mr_sheet_height(s, 0, 24);
    mr_sheet_text(s, 0, 0, MR_LOOK_TITLE, title);
    mr_sheet_text(s, 1, 0, MR_LOOK_NOTE, head[0].title);
    unsigned row = 3;
    for (size_t i = 0; i < charts->n; i++) {
        const struct mr_chart *c = &charts->v[i];
        if (strcmp(c->kind, kind) != 0)
            continue;
        mr_sheet_text(s, row, 0, MR_LOOK_NOTE, mr_printf(job->arena, "charts/%s", c->stem));
        mr_sheet_image(s, row + 1, 0, mr_printf(job->arena, "%s/%s.png", dir, c->stem), 1.0, c->alt);
        row += 3 + (unsigned)ceil(c->list->height_pt / 15.0);
    }
}
