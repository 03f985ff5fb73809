/*
 * sheet_verdict.c - the first sheet, which must answer alone, and the last two: what the report is not, and who
 * signs.
 */
#include "render/book/book_sheets.h"

#include "render/data/cautions.h"
#include "render/data/long_tables.h"

#include <math.h>
#include <string.h>

#define CAUTION_WIDTH 120.0

static unsigned put_fact(const struct mr_book_job *job, struct mr_sheet *s, unsigned row, const char *name,
                         const char *value) {
    if (!value || !value[0])
        return row;
    mr_sheet_text(s, row, 0, MR_LOOK_NAME, mr_book_word(job, name));
    mr_sheet_text(s, row, 1, MR_LOOK_VALUE, value);
    return row + 1;
}

static const char *days_text(const struct mr_book_job *job) {
    const struct mr_alignment *al = job->o->a->aligned;
    const struct mr_chart_job *c = &job->o->chart_job;
    if (al->shifts.n == 0)
        return "";
    const char *from = mr_day_text(c, al->shifts.v[0].t0_utc_ms),
               *to = mr_day_text(c, al->shifts.v[al->shifts.n - 1].t1_utc_ms);
    const char *days = strcmp(from, to) == 0 ? from : mr_printf(job->arena, "%s to %s", from, to);
    return mr_printf(job->arena, "%s (%zu %s)", days, al->shifts.n, al->shifts.n == 1 ? "shift" : "shifts");
}

/* Whose report it is: a line of its own, across the columns. */
static unsigned put_own(struct mr_sheet *s, unsigned row, const char *text) {
    if (!text[0])
        return row;
    mr_sheet_text(s, row, 0, MR_LOOK_NAME, text);
    return row + 1;
}

static void put_logo(const struct mr_book_job *job, struct mr_sheet *s) {
    enum { LOGO_COLUMN = 8, LOGO_W_PT = 150, LOGO_H_PT = 60 };
    const struct mr_wording *w = &job->o->a->job->wording;
    if (w->logo)
        mr_sheet_picture(s, 0, LOGO_COLUMN, (const unsigned char *)w->logo->data, w->logo->size,
                         mr_printf(job->arena, "logo %s", w->firm), LOGO_W_PT, LOGO_H_PT);
}

static unsigned put_facts(const struct mr_book_job *job, struct mr_sheet *s) {
    const struct mr_outline *o = job->o;
    const struct mr_job *j = o->a->job;
    mr_sheet_height(s, 0, 26);
    mr_sheet_text(s, 0, 0, MR_LOOK_TITLE, mr_printf(job->arena, "%s: %s", j->wording.title, o->job_name));
    put_logo(job, s);
    unsigned row = 1;
    row = put_own(s, row, j->wording.firm);
    row = put_own(s, row, j->wording.address);
    row = put_fact(job, s, row, "Site", j->site);
    row = put_fact(job, s, row, "Contract", j->contract);
    row = put_fact(job, s, row, "Client", j->client);
    row = put_fact(job, s, row, "Crew", j->crew);
    row = put_fact(job, s, row, "Days of work", days_text(job));
    row = put_fact(job, s, row, "Revision", mr_printf(job->arena, "%ld", o->revision));
    row = put_fact(job, s, row, "Date", o->stamp);
    row = put_fact(job, s, row, "Times",
                   o->offset_text[0] ? mr_printf(job->arena, "local, %s (%s)", j->time_zone, o->offset_text)
                                     : mr_printf(job->arena, "local, %s, each with its offset", j->time_zone));
    return row;
}

/* 175 in all: what goes on a page of Letter, the narrower one across, at the smallest scale. The first and the last
 * share what names of zones and reasons need. */
enum { VERDICT_COLUMNS = 11, SHARED = 70, NAME_LEAST = 23, NAME_MOST = 58 };
static const double usual_widths[VERDICT_COLUMNS] = {
    NAME_LEAST, 12, 11.6, 11.6, 11.6, 11.6, 11.6, 11.6, 11.6, 11.6, SHARED - NAME_LEAST};

/* The width of the names at which the rows of the zones are lowest. */
static double name_width(const struct mr_assessment *a, size_t n, const size_t *listed) {
    double best = NAME_LEAST, lowest = (double)INFINITY;
    for (double name = NAME_LEAST; name <= NAME_MOST; name++) {
        const double both[] = {name, SHARED - name};
        double sum = 0;
        for (size_t i = 0; i < n; i++) {
            const struct mr_zone_result *z = &a->zones[listed[i]];
            const struct mr_cell_out cells[] = {mr_text_cell(MR_LOOK_WRAP, a->aligned->zones.v[listed[i]].name),
                                                mr_text_cell(MR_LOOK_WRAP, z->worst)};
            const double least = z->outcome == MR_DOES_NOT_CONFORM ? 2 * MR_ROW_PT : MR_ROW_PT;
            sum += fmax(least, mr_sheet_row_height(MR_COUNT(cells), cells, both));
        }
        if (sum < 0.98 * lowest) {
            lowest = sum;
            best = name;
        }
    }
    return best;
}

static unsigned put_left_out(const struct mr_book_job *job, struct mr_sheet *s, unsigned row) {
    const size_t zones = job->o->a->aligned->zones.n;
    const char *file = mr_csv_file(job->o, "zones", zones);
    if (!mr_many_zones(job->o))
        return row;
    mr_sheet_text(
        s, row, 0, MR_LOOK_NOTE,
        mr_printf(job->arena,
                  "Of %zu zones the %d with the worst outcomes; %s%s. A workbook of more than %d zones has no "
                  "pages of zones and no formulas.",
                  zones, MR_BOOK_ZONES_MOST,
                  file ? "all of them stand beside this workbook in " : "all of them: sheet Zones", file ? file : "",
                  MR_BOOK_ZONES_MOST));
    return row + 1;
}

/* Zones against groups of checks, each cell a reference to the sheet Zones; at the end the job. Words are the same as
 * everywhere, never shortened to a sign. */
static unsigned put_zones(const struct mr_book_job *job, struct mr_sheet *s, unsigned row, const double *widths) {
    static const char *const columns[] = {"outcome", "thickness", "gauge",        "climate", "reaction",
                                          "lines",   "material",  "shift_record", "history", "worst_checks"};
    const struct mr_assessment *a = job->o->a;
    const struct mr_table *t = job->live->zones;
    struct mr_cell_out cells[VERDICT_COLUMNS] = {mr_text_cell(MR_LOOK_HEAD, mr_book_word(job, "Zone")),
                                                 mr_text_cell(MR_LOOK_HEAD, mr_book_word(job, "Outcome"))};
    for (size_t g = 0; g < MR_COUNT(mr_groups); g++)
        cells[2 + g] = mr_text_cell(MR_LOOK_HEAD, mr_book_word(job, mr_group_titles[g]));
    cells[10] = mr_text_cell(MR_LOOK_HEAD, mr_book_word(job, "Because of"));
    size_t n;
    const size_t *listed = mr_zones_listed(job->arena, a, &n);
    const size_t rows = t ? n + t->n_rows - a->aligned->zones.n : 0; /* the job's comes last */
    row = put_left_out(job, s, row);
    mr_sheet_row(s, job->arena, row, MR_COUNT(cells), cells, widths);
    mr_sheet_table(s, row, row + (unsigned)rows, 10, true);
    for (size_t k = 0; k < rows; k++) {
        const size_t i = k < n ? listed[k] : a->aligned->zones.n + k - n;
        const bool zone = k < n && job->zones;
        cells[0] = mr_text_cell(zone ? MR_LOOK_LINK_CELL : MR_LOOK_WRAP, mr_live_text(t, "zone", i));
        cells[0].target = zone ? mr_zone_sheet(job, i) : NULL;
        cells[0].target_row = zone ? job->zone_row[i] : 0;
        for (size_t c = 0; c < MR_COUNT(columns); c++)
            cells[1 + c] = mr_ref_cell(job, s, t, columns[c], i);
        mr_sheet_row(s, job->arena, ++row, MR_COUNT(cells), cells, widths);
    }
    return row + 1;
}

/* Outcomes in the cells are the words that formulas give; another language stands beside them here. */
static unsigned put_legend(const struct mr_book_job *job, struct mr_sheet *s, unsigned row) {
    mr_sheet_text(s, row++, 0, MR_LOOK_SUBTITLE, mr_book_word(job, "What the words mean"));
    for (size_t i = 0; i < MR_MEANINGS; i++, row++) {
        const struct mr_meaning_of *m = &mr_meanings[i];
        const char *word = mr_outcome_text(m->outcome), *own = mr_book_word(job, word),
                   *text = mr_book_word(job, m->text);
        mr_sheet_text(s, row, 0, mr_look_outcome(m->outcome, false), word);
        mr_sheet_text(s, row, 1, MR_LOOK_VALUE,
                      strcmp(word, own) == 0 ? text : mr_printf(job->arena, "%s: %s", own, text));
    }
    return row;
}

/* Whether what stands here is what was reported, or what would follow from what was changed in the sheet. */
static unsigned put_changed(const struct mr_book_job *job, struct mr_sheet *s, unsigned row) {
    struct mr_live *l = job->live;
    const struct mr_table *t = l->summary;
    struct mr_cell_out cell = {.look = MR_LOOK_COUNT, .kind = MR_CELL_NUMBER, .number = 0};
    if (!l->readings || !t || t->n_rows == 0)
        return row;
    mr_x sum = mr_x_call(job->arena, "SUM", mr_live_range(l, t, "changed", 0, t->n_rows - 1));
    if (l->typed)
        sum = mr_x_op(job->arena, sum, "+",
                      mr_x_call(job->arena, "SUM", mr_live_range(l, l->typed, "cells", 0, l->typed->n_rows - 1)));
    cell.formula = mr_formula_text(job->arena, job->layout, mr_sheet_name(s), sum);
    mr_sheet_text(s, row, 0, MR_LOOK_NAME, mr_book_word(job, "Cells changed here"));
    mr_sheet_cell(s, row, 1, &cell);
    mr_sheet_text(s, row, 2, MR_LOOK_VALUE,
                  "0: as reported. Else the outcomes are what a new report would say, or \"" MR_UNKNOWN_WORD
                  "\" where no formula follows the change; make it before relying on them.");
    return row + 1;
}

static unsigned put_counts(const struct mr_book_job *job, struct mr_sheet *s, unsigned row) {
    const struct mr_assessment *a = job->o->a;
    const struct mr_table *t = job->live->zones;
    struct mr_cell_out outcome = mr_text_cell(mr_look_outcome(a->outcome, true), mr_outcome_text(a->outcome));
    if (t && t->n_rows > 0) {
        outcome.formula = mr_ref_cell(job, s, t, "outcome", t->n_rows - 1).formula;
    }
    mr_sheet_height(s, row, 28);
    mr_sheet_cell(s, row, 0, &outcome);
    mr_sheet_text(s, row, 1, MR_LOOK_SUMMARY, mr_printf(job->arena, "%s.", mr_zone_counts_text(job->arena, a)));
    row++;
    row = put_changed(job, s, row);
    if (!a->judged)
        mr_sheet_text(s, row++, 0, MR_LOOK_NOTE, "Nothing in the job folder could be judged.");
    mr_sheet_text(s, row++, 0, MR_LOOK_NOTE, mr_book_word(job, mr_limit_of_use));
    return row;
}

/* The last rows of zones stand on the legend's page: it says nothing alone. */
enum { ROWS_WITH_LEGEND = 4 };

void mr_sheet_verdict(const struct mr_book_job *job, size_t n_sheets, struct mr_sheet *const *sheets) {
    struct mr_sheet *s = job->verdict;
    double widths[VERDICT_COLUMNS];
    size_t n;
    const size_t *listed = mr_zones_listed(job->arena, job->o->a, &n);
    memcpy(widths, usual_widths, sizeof widths);
    widths[0] = name_width(job->o->a, n, listed);
    widths[VERDICT_COLUMNS - 1] = SHARED - widths[0];
    for (unsigned c = 0; c < VERDICT_COLUMNS; c++)
        mr_sheet_width(s, c, widths[c]);
    unsigned row = put_facts(job, s) + 1;
    row = put_counts(job, s, row);
    const unsigned first = row + 2, zones_end = put_zones(job, s, row + 1, widths), legend = zones_end + 1;
    row = put_legend(job, s, legend) - 1;
    mr_sheet_print(s, false, 175, row, VERDICT_COLUMNS - 1);
    const unsigned kept = zones_end > first + ROWS_WITH_LEGEND ? ROWS_WITH_LEGEND : zones_end - first;
    mr_sheet_keep_together(s, false, zones_end - kept, kept * 3 * MR_ROW_PT + (row + 1 - zones_end) * MR_ROW_PT, row);
    row += 2;
    mr_sheet_text(s, row++, 0, MR_LOOK_SUBTITLE, mr_book_word(job, "Sheets of this workbook"));
    for (size_t i = 1; i < n_sheets; i++, row++) {
        const char *name = mr_sheet_name(sheets[i]), *own = mr_book_word(job, name);
        mr_sheet_link(s, row, 0, MR_LOOK_LINK, sheets[i], 0, name);
        if (strcmp(name, own) != 0)
            mr_sheet_text(s, row, 1, MR_LOOK_VALUE, own);
    }
}

static void put_wrapped(const struct mr_book_job *job, struct mr_sheet *s, unsigned row, const char *text) {
    static const double width[] = {CAUTION_WIDTH};
    const struct mr_cell_out cell = mr_text_cell(MR_LOOK_WRAP, text);
    mr_sheet_row(s, job->arena, row, 1, &cell, width);
}

static unsigned put_list(const struct mr_book_job *job, struct mr_sheet *s, unsigned row, const char *title, size_t n,
                         const char *const *items) {
    mr_sheet_text(s, row++, 0, MR_LOOK_SUBTITLE, mr_book_word(job, title));
    for (size_t i = 0; i < n; i++)
        put_wrapped(job, s, row++, mr_printf(job->arena, "%zu. %s", i + 1, mr_book_word(job, items[i])));
    return row + 1;
}

void mr_sheet_cautions(const struct mr_book_job *job, struct mr_sheet *s) {
    mr_sheet_width(s, 0, CAUTION_WIDTH);
    mr_sheet_height(s, 0, 24);
    mr_sheet_text(s, 0, 0, MR_LOOK_TITLE, mr_book_word(job, "Cautions and limits"));
    unsigned row = put_list(job, s, 2, "Cautions", MR_CAUTIONS, mr_cautions);
    row = put_list(job, s, row, "Limits of this report", MR_LIMITS, mr_limits);
    mr_sheet_text(s, row++, 0, MR_LOOK_SUBTITLE, mr_book_word(job, "How it was made"));
    put_wrapped(job, s, row++,
                mr_printf(job->arena,
                          "milrise %s, from the files on the sheet Inputs and the settings on the sheet Settings in "
                          "force. The same files give the same bytes.",
                          job->o->version));
    put_wrapped(job, s, row,
                "report.json beside this workbook holds the same in full precision, with the SHA-256 of every input "
                "and output.");
    for (size_t i = 0; i < job->live->lost.n; i++)
        put_wrapped(job, s, ++row, mr_printf(job->arena, "Not recalculated: %s is not there.", job->live->lost.v[i]));
    mr_sheet_print(s, false, CAUTION_WIDTH, row, 0);
}

static const double signed_widths[] = {34, 30, 30, 22};

enum { COLUMNS = MR_COUNT(signed_widths), SIGNED_PT = 36, WORDS_PT = 600 };

void mr_sheet_signoff(const struct mr_book_job *job, struct mr_sheet *s) {
    const struct mr_assessment *a = job->o->a;
    const struct mr_wording *w = &a->job->wording;
    for (unsigned c = 0; c < COLUMNS; c++)
        mr_sheet_width(s, c, signed_widths[c]);
    mr_sheet_height(s, 0, 24);
    mr_sheet_text(s, 0, 0, MR_LOOK_TITLE, mr_book_word(job, "Sign-off"));
    mr_sheet_text(s, 1, 0, MR_LOOK_NOTE, mr_printf(job->arena, "%s, %s", job->o->job_name, job->o->revision_text));
    unsigned row = 3;
    if (w->firm[0])
        mr_sheet_text(s, row++, 0, MR_LOOK_NAME, w->firm);
    const struct mr_table *t = job->live->zones;
    struct mr_cell_out outcome = mr_text_cell(mr_look_outcome(a->outcome, false), mr_outcome_text(a->outcome));
    if (t && t->n_rows > 0)
        outcome = mr_ref_cell(job, s, t, "outcome", t->n_rows - 1);
    mr_sheet_text(s, row, 0, MR_LOOK_NAME, mr_book_word(job, "Outcome of the job"));
    mr_sheet_cell(s, row++, 1, &outcome);
    row = mr_put_words(job, s, row + 1, 0, MR_LOOK_NOTE, w->statement, WORDS_PT);
    row = mr_put_words(job, s, row + 1, 0, MR_LOOK_NOTE, mr_book_word(job, mr_limit_of_use), WORDS_PT);
    row = mr_put_words(job, s, row + 1, 0, MR_LOOK_NOTE, w->sign_off, WORDS_PT);
    for (size_t i = 0; i < w->roles.n; i++, row++) {
        const struct mr_cell_out cells[COLUMNS] = {mr_text_cell(MR_LOOK_SIGN, w->roles.v[i]),
                                                   mr_text_cell(MR_LOOK_SIGN, mr_book_word(job, "Name, role")),
                                                   mr_text_cell(MR_LOOK_SIGN, mr_book_word(job, "Signature")),
                                                   mr_text_cell(MR_LOOK_SIGN, mr_book_word(job, "Date"))};
        mr_sheet_height(s, row, SIGNED_PT);
        for (unsigned c = 0; c < COLUMNS; c++)
            mr_sheet_cell(s, row, c, &cells[c]);
    }
    mr_sheet_print(s, false, 116, row, COLUMNS - 1);
}
