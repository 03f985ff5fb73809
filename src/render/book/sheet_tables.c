/*
 * sheet_tables.c - sheets that are one table: findings, checks, and the tables of the assessment.
 */
#include "render/book/book_report.h"

#include <math.h>
#include <string.h>

enum {
    WIDTH_LEAST = 8,
    WIDTH_TEXT = 48,
    WIDTH_MOST = 66,
    TIME_CHARACTERS = 19,
    ROWS_LOOKED_AT = 400,
    ROWS_WRAPPED = 4000,
    NOTE_LINES = 6
};

static size_t characters(const char *text) {
    size_t n = 0;
    for (; *text; text++)
        n += ((unsigned char)*text & 0xc0) != 0x80;
    return n;
}

/* A note is broken into rows of about the sheet's width: long text in one cell would be cut off in print. */
static unsigned put_note(struct mr_sheet *sheet, struct mr_arena *arena, unsigned row, const char *note,
                         double width) {
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
                       const struct mr_head_cell *cells, double *out_widths) {
    struct mr_cell_out *head = MR_ARRAY(arena, struct mr_cell_out, n);
    double width = 0;
    for (size_t i = 0; i < n; i++) {
        mr_sheet_width(sheet, (unsigned)i, cells[i].width);
        out_widths[i] = cells[i].width;
        width += cells[i].width;
        head[i] = (struct mr_cell_out){.look = MR_LOOK_HEAD, .text = cells[i].title};
    }
    mr_sheet_height(sheet, 0, 24);
    mr_sheet_text(sheet, 0, 0, MR_LOOK_TITLE, title);
    const unsigned row = put_note(sheet, arena, 1, note, width) + 1;
    mr_sheet_row(sheet, arena, row, n, head, out_widths);
    return row;
}

/* Longest run without a blank: what cannot be broken into two lines. */
static size_t longest_word(const char *text) {
    size_t most = 0;
    for (const char *word = text; *word;) {
        const size_t n = strcspn(word, " \n");
        most = n > most ? n : most;
        word += n + strspn(word + n, " \n");
    }
    return most;
}

static size_t least(size_t a, size_t b) {
    return a < b ? a : b;
}

/* Wide enough for the header's and the cells' longest words, and for whole texts up to WIDTH_TEXT; longer ones wrap.
 */
static double wanted_width(const struct mr_table *t, size_t c, const char *title) {
    size_t most = longest_word(title);
    for (size_t r = 0; r < t->n_rows && r < ROWS_LOOKED_AT; r++) {
        const struct mr_value *v = &t->values.v[r * t->n_fields + c];
        size_t n = 0;
        if (v->type == MR_V_TEXT && v->text) {
            n = least(characters(v->text), WIDTH_TEXT);
            const size_t word = least(longest_word(v->text), WIDTH_MOST);
            n = word > n ? word : n;
        } else if (v->type == MR_V_TIME) {
            n = TIME_CHARACTERS;
        } else if (v->type == MR_V_OUTCOME) {
            n = strlen(mr_outcome_text(MR_DOES_NOT_CONFORM));
        }
        most = n > most ? n : most;
    }
    most += 2;
    return most < WIDTH_LEAST ? WIDTH_LEAST : (double)most;
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

static struct mr_cell_out text_cell(enum mr_look look, const char *text) {
    return (struct mr_cell_out){.look = look, .text = text};
}

static struct mr_cell_out number_cell(enum mr_look look, double number) {
    return (struct mr_cell_out){.look = look, .kind = MR_CELL_NUMBER, .number = number};
}

static struct mr_cell_out count_cell(uint64_t n) {
    return number_cell(MR_LOOK_COUNT, (double)n);
}

static struct mr_cell_out time_cell(const struct mr_book_job *job, int64_t t_utc_ms) {
    if (t_utc_ms == MR_T_NONE)
        return text_cell(MR_LOOK_TEXT, "");
    if (job->o->offset_text[0])
        return (struct mr_cell_out){
            .look = MR_LOOK_TIME, .kind = MR_CELL_TIME, .local_ms = mr_local_ms(job->o->a->aligned, t_utc_ms)};
    return text_cell(MR_LOOK_TEXT, mr_local_text(job->arena, job->o->a->aligned, t_utc_ms));
}

static struct mr_cell_out value_cell(const struct mr_book_job *job, const struct mr_field *f,
                                     const struct mr_value *v, bool wrap) {
    switch (v->type) {
    case MR_V_BLANK:
        break;
    case MR_V_TEXT:
        return text_cell(wrap ? MR_LOOK_WRAP : MR_LOOK_TEXT, v->text);
    case MR_V_NUMBER:
        return number_cell(mr_look_decimals(f->decimals), v->number);
    case MR_V_COUNT:
        return number_cell(MR_LOOK_COUNT, (double)v->count);
    case MR_V_TIME:
        return time_cell(job, v->count);
    case MR_V_OUTCOME:
        return text_cell(mr_look_outcome((enum mr_outcome)v->count, false),
                         mr_outcome_text((enum mr_outcome)v->count));
    }
    return text_cell(MR_LOOK_BLANK, v->text);
}

/* Two columns of one title could not be told apart in a filter or a formula. */
static void name_apart(struct mr_arena *arena, size_t n, struct mr_head_cell *head) {
    for (size_t c = 1; c < n; c++) {
        const char *title = head[c].title;
        unsigned number = 1;
        for (size_t k = 0; k < c; k++)
            number += strcmp(head[k].title, title) == 0;
        if (number > 1)
            head[c].title = mr_printf(arena, "%s (%u)", title, number);
    }
}

/* Long tables are read on screen and filtered, not printed: their rows keep one height. */
void mr_sheet_rows(const struct mr_book_job *job, struct mr_sheet *sheet, const struct mr_table *t, size_t from,
                   size_t to) {
    struct mr_head_cell *head = MR_ARRAY(job->arena, struct mr_head_cell, t->n_fields);
    double *widths = MR_ARRAY(job->arena, double, t->n_fields);
    struct mr_cell_out *cells = MR_ARRAY(job->arena, struct mr_cell_out, t->n_fields);
    for (size_t c = 0; c < t->n_fields; c++) {
        head[c].title = column_title(job, t, c);
        head[c].width = wanted_width(t, c, head[c].title);
    }
    name_apart(job->arena, t->n_fields, head);
    const unsigned top = mr_sheet_head(sheet, job->arena, t->title, t->note, t->n_fields, head, widths);
    const bool wrap = to - from <= ROWS_WRAPPED;
    for (size_t r = from; r < to; r++) {
        for (size_t c = 0; c < t->n_fields; c++) {
            cells[c] = value_cell(job, &t->fields[c], &t->values.v[r * t->n_fields + c], wrap);
            if (!wrap && cells[c].look == MR_LOOK_BLANK)
                cells[c].look = MR_LOOK_TEXT;
        }
        mr_sheet_row(sheet, job->arena, top + 1 + (unsigned)(r - from), t->n_fields, cells, widths);
    }
    mr_sheet_table(sheet, top, top + (unsigned)(to - from), (unsigned)t->n_fields - 1, true);
}

static const char *evidence_text(struct mr_arena *arena, const mr_evidence_list *list) {
    enum { SHOWN = 12 };
    const char *text = "";
    for (size_t i = 0; i < list->n && i < SHOWN; i++) {
        const char *place = mr_place_text(arena, &list->v[i].place), *note = list->v[i].note;
        text = mr_printf(arena, "%s%s%s%s%s%s", text, i ? "\n" : "", place, note && note[0] ? " (" : "",
                         note ? note : "", note && note[0] ? ")" : "");
    }
    return list->n > SHOWN ? mr_printf(arena, "%s\nand %zu more, in report.json", text, list->n - SHOWN) : text;
}

/* Two texts in one cell, each on its own line. */
static const char *both(struct mr_arena *arena, const char *a, const char *b) {
    const bool has_a = a && a[0], has_b = b && b[0];
    return has_a && has_b ? mr_printf(arena, "%s\n%s", a, b) : has_a ? a : has_b ? b : "";
}

static struct mr_cell_out coat_cell(int coat) {
    return number_cell(MR_LOOK_COUNT, coat > 0 ? coat : (double)MR_NAN);
}

void mr_sheet_findings(const struct mr_book_job *job, struct mr_sheet *s) {
    static const struct mr_head_cell head[] = {{"No.", 5},
                                               {"Severity", 15},
                                               {"Zone", 20},
                                               {"Coat", 6},
                                               {"What", 42},
                                               {"Measured", 10},
                                               {"Limit", 9},
                                               {"Unit", 7},
                                               {"From", 20},
                                               {"To", 20},
                                               {"Next step, caution", 42},
                                               {"Rule, source", 34},
                                               {"Evidence: file and lines", 32}};
    static const char *const gravity[] = {
        [MR_NOTE] = "note", [MR_WARNING] = "needs review", [MR_ERROR] = "does not conform"};
    static const enum mr_look looks[] = {
        [MR_NOTE] = MR_LOOK_WRAP, [MR_WARNING] = MR_LOOK_NOT_SHOWN, [MR_ERROR] = MR_LOOK_DOES_NOT_CONFORM};
    const struct mr_assessment *a = job->o->a;
    struct mr_arena *arena = job->arena;
    const char *times =
        job->o->offset_text[0] ? mr_printf(arena, " Times are local, %s.", job->o->offset_text) : " Times are local.";
    double widths[MR_COUNT(head)];
    const unsigned top = mr_sheet_head(s, arena, "Findings",
                                       mr_printf(arena, "What a reviewer must know, most serious first.%s", times),
                                       MR_COUNT(head), head, widths);
    for (size_t i = 0; i < a->findings.n; i++) {
        const struct mr_finding *f = &a->findings.v[i];
        const enum mr_look figure = mr_look_decimals(f->decimals);
        const char *caution = f->caution && f->caution[0] ? mr_printf(arena, "Caution: %s", f->caution) : "";
        const struct mr_cell_out cells[] = {count_cell(i + 1),
                                            text_cell(looks[f->severity], gravity[f->severity]),
                                            text_cell(MR_LOOK_WRAP, mr_zone_name(a, f->zone)),
                                            coat_cell(f->coat),
                                            text_cell(MR_LOOK_WRAP, f->what),
                                            number_cell(figure, f->measured),
                                            number_cell(figure, f->limit),
                                            text_cell(MR_LOOK_TEXT, mr_unit_symbol(f->unit)),
                                            time_cell(job, f->t0_utc_ms),
                                            time_cell(job, f->t1_utc_ms),
                                            text_cell(MR_LOOK_WRAP, both(arena, f->next_step, caution)),
                                            text_cell(MR_LOOK_WRAP, both(arena, f->rule, f->source)),
                                            text_cell(MR_LOOK_WRAP, evidence_text(arena, &f->evidence))};
        mr_sheet_row(s, job->arena, top + 1 + (unsigned)i, MR_COUNT(cells), cells, widths);
    }
    if (a->findings.n == 0)
        mr_sheet_text(s, top + 1, 0, MR_LOOK_NOTE, "No findings.");
    mr_sheet_table(s, top, top + (unsigned)a->findings.n, MR_COUNT(head) - 1, true);
}

void mr_sheet_checks(const struct mr_book_job *job, struct mr_sheet *s) {
    static const struct mr_head_cell head[] = {
        {"Zone", 22},    {"Group", 13},        {"Check", 30},   {"Coat", 6},
        {"Outcome", 14}, {"Measured", 10},     {"At least", 9}, {"At most", 9},
        {"Unit", 7},     {"Rule, source", 42}, {"Why", 44},     {"Evidence: file and lines", 34}};
    const struct mr_assessment *a = job->o->a;
    double widths[MR_COUNT(head)];
    const unsigned top = mr_sheet_head(
        s, job->arena, "Checks",
        "Every check that was made. Outcomes rest on unrounded values; the figures here are rounded for reading.",
        MR_COUNT(head), head, widths);
    for (size_t i = 0; i < a->checks.n; i++) {
        const struct mr_check *c = &a->checks.v[i];
        const enum mr_look figure = mr_look_decimals(c->decimals);
        const struct mr_cell_out cells[] = {
            text_cell(MR_LOOK_WRAP, mr_zone_name(a, c->zone)),
            text_cell(MR_LOOK_TEXT, c->group),
            text_cell(MR_LOOK_WRAP, c->title),
            coat_cell(c->coat),
            text_cell(mr_look_outcome(c->outcome, false), mr_outcome_text(c->outcome)),
            number_cell(figure, c->measured),
            number_cell(figure, c->limit_low),
            number_cell(figure, c->limit_high),
            text_cell(MR_LOOK_TEXT, mr_unit_symbol(c->unit)),
            text_cell(MR_LOOK_WRAP, both(job->arena, c->rule, c->source)),
            text_cell(MR_LOOK_WRAP, c->detail),
            text_cell(MR_LOOK_WRAP, evidence_text(job->arena, &c->evidence))};
        mr_sheet_row(s, job->arena, top + 1 + (unsigned)i, MR_COUNT(cells), cells, widths);
    }
    mr_sheet_table(s, top, top + (unsigned)a->checks.n, MR_COUNT(head) - 1, true);
}
