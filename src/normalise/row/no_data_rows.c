/*
 * no_data_rows.c - rows that hold no record: headers, blanks, broken lines, footers, other tables, rows without a
 * time.
 */
#include "normalise/row/no_data_rows.h"

#include "base/text.h"
#include "normalise/cell/words.h"
#include "normalise/column/suggest.h"
#include "normalise/row/block_lines.h"
#include "normalise/row/row_fates.h"
#include "normalise/row/row_unit.h"
#include "normalise/row/summary_rows.h"
#include "normalise/row/unread_rows.h"

#include <string.h>

bool mr_state_last(const struct mr_file_state *state) {
    return state->source->ends_in_mid_line && state->count.seen == state->source->rows;
}

static bool repeats_header(const struct mr_file_state *state, const struct mr_row *row) {
    size_t same = 0, named = 0;
    for (size_t i = 0; i < state->plan->n; i++) {
        const char *text = state->source->columns[i].text;
        size_t n = strlen(text);
        if (!n)
            continue;
        named++;
        /* a repeated header stands unshifted, as the first did */
        same += i < row->n && row->cell[i].n == n && memcmp(row->cell[i].p, text, n) == 0;
    }
    return state->source->header_line && named && same * 2 > named && same + 1 >= named;
}

static enum mr_aside broken_why(enum mr_broken broken) {
    switch (broken) {
    case MR_BROKEN_QUOTE:
        return MR_ASIDE_QUOTE;
    case MR_BROKEN_LONG:
        return MR_ASIDE_LONG;
    case MR_BROKEN_HALF:
        return MR_ASIDE_HALF_LINE;
    case MR_BROKEN_NO:
    case MR_BROKEN_BYTES:
    case MR_BROKEN_NUL:
        break;
    }
    return MR_ASIDE_BYTES;
}

static const char *const broken_mend[] = {
    [MR_ASIDE_QUOTE] = "Close or remove the quote. Row set aside.",
    [MR_ASIDE_LONG] = "Check the file: a line end may be missing. Row set aside.",
    [MR_ASIDE_HALF_LINE] = "Export the file again once the instrument has finished writing. Row set aside.",
    [MR_ASIDE_BYTES] =
        "State the encoding in the job file, e.g. [file \"NAME\"] with encoding = windows-1252. Row set aside.",
};

static bool is_rule(const struct mr_cell *cell) {
    for (size_t i = 0; i < cell->n; i++)
        if (!strchr("-=_*~ ", cell->p[i]) || !cell->p[i])
            return false;
    return cell->n > 2;
}

enum { LEGEND_LINES_MOST = 200, LEGEND_TEXT_MOST = 400 };

static void legend_keep(struct mr_file_state *state, const struct mr_row *row) {
    char text[LEGEND_TEXT_MOST];
    size_t used = 0;
    if (state->legend.n == LEGEND_LINES_MOST)
        return;
    for (size_t i = 0; i < row->n; i++) {
        if (used + row->cell[i].n + 2 > sizeof text)
            break;
        if (i)
            text[used++] = '\t';
        memcpy(text + used, row->cell[i].p, row->cell[i].n);
        used += row->cell[i].n;
    }
    if (used)
        MR_PUSH(state->scratch, &state->legend,
                ((struct mr_legend_line){mr_strndup(state->scratch, text, used), row->line}));
}

/* "Page 1 of 1", "Printed 2026-05-13 by QA": what a spreadsheet prints below its rows. */
static bool is_print_line(struct mr_file_state *state, const struct mr_cell *cell) {
    static const char *const first[] = {"page",      "seite",   "pagina",   "printed",  "gedruckt",
                                        "imprime",   "impreso", "impresso", "stampato", "afgedrukt",
                                        "utskriven", "strona",  "sida",     "blatt"};
    enum { WORDS_MOST = 10 };
    const char *words = mr_words_fold(state->scratch, cell->p, cell->n);
    size_t n = 0;
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ')
        n++;
    return n > 1 && n <= WORDS_MOST && mr_word_among(words, strcspn(words, " "), first, MR_COUNT(first));
}

static bool is_lone_print_line(struct mr_file_state *state, const struct mr_row *row) {
    for (size_t i = 1; i < row->n; i++)
        if (row->cell[i].n)
            return false;
    return row->n && row->cell[0].n && is_print_line(state, &row->cell[0]);
}

/* Rules, legends and signatures below a table: words only, behind a blank row or another such line, or alone as
 * `name: text`. */
static bool is_footer(struct mr_file_state *state, const struct mr_row *row) {
    size_t given = 0, n = 0, rules = 0;
    for (size_t i = 0; i < row->n; i++) {
        const struct mr_cell *cell = &row->cell[i];
        if (!cell->n || is_rule(cell)) {
            rules += cell->n > 0;
            continue;
        }
        if (mr_is_digit(cell->p[0]) || strchr("+-.,", cell->p[0]))
            return false;
        given++;
        n = given == 1 ? cell->n : n;
    }
    if (!given || !row->cell[0].n)
        return rules && !given;
    const char *colon = memchr(row->cell[0].p, ':', n);
    if (given == 1 && is_print_line(state, &row->cell[0]))
        return true;
    bool pair = given == 1 && colon && colon > row->cell[0].p && !mr_is_digit(colon[-1]);
    return pair || (state->count.footer_row && state->count.footer_row + 1 == state->count.seen);
}

/* Whether the row was set aside as a statistics or footer line. */
static bool set_footer_aside(struct mr_file_state *state, const struct mr_row *row) {
    bool footer = is_footer(state, row);
    if (!footer && !mr_state_summary(row))
        return false;
    if (footer)
        state->count.footer_row = state->count.seen;
    mr_state_fate(state, MR_ASIDE_SUMMARY, row);
    return true;
}

/* Said where another table begins, not for each of its rows. */
static void set_other_aside(struct mr_file_state *state, const struct mr_row *row) {
    bool goes_on =
        state->count.fates.n && state->count.fates.v[state->count.fates.n - 1].fate == MR_ASIDE_OTHER_TABLE;
    if (!goes_on)
        mr_state_say(state, MR_ASIDE_OTHER_TABLE, row, 1, &row->cell[0],
                     "Put each table in its own file. The rows of this one are set aside.",
                     "another table begins here, with a header of its own");
    mr_state_fate(state, MR_ASIDE_OTHER_TABLE, row);
}

static void set_ragged_aside(struct mr_file_state *state, const struct mr_row *row) {
    legend_keep(state, row);
    if (set_footer_aside(state, row))
        return;
    mr_unread_place(state, row);
    if (mr_state_last(state) && row->n < state->plan->least_cells) {
        mr_state_say(state, MR_ASIDE_HALF_LINE, row, 0, NULL, broken_mend[MR_ASIDE_HALF_LINE],
                     mr_aside_text(MR_ASIDE_HALF_LINE));
        mr_state_fate(state, MR_ASIDE_HALF_LINE, row);
        return;
    }
    const char *what = mr_printf(state->scratch, "the row has %zu cell%s where the header has %zu", row->n,
                                 row->n == 1 ? "" : "s", state->plan->most_cells);
    const char *mend = row->n > state->plan->most_cells && state->source->delimiter == ','
                           ? "Put cells that contain a comma in quotes, or export with semicolons. Row set aside."
                           : "Complete or remove the row. Row set aside.";
    mr_state_say(state, MR_ASIDE_RAGGED, row, 0, NULL, mend, what);
    mr_state_fate(state, MR_ASIDE_RAGGED, row);
}

static bool ragged(const struct mr_plan *plan, const struct mr_row *row) {
    if (row->n < plan->least_cells)
        return true;
    for (size_t i = plan->most_cells; i < row->n; i++)
        if (row->cell[i].n)
            return true;
    return false;
}

bool mr_state_not_data(struct mr_file_state *state, const struct mr_row *row) {
    state->count.seen++;
    if (row->part == MR_ROW_BODY && row->broken == MR_BROKEN_NO && row->n == state->plan->most_cells &&
        state->count.body_seen && row->n && row->cell[0].n && row->cell[0].p[0] != *state->source->columns[0].text)
        /* nearly every row: it cannot be the header once more */
        return row->n > 1 && !row->cell[1].n && is_lone_print_line(state, row) && set_footer_aside(state, row);
    if (row->part == MR_ROW_BLANK) {
        state->count.footer_row = state->count.seen;
        mr_state_fate(state, MR_ASIDE_BLANK, row);
    } else if (row->part == MR_ROW_OTHER) {
        set_other_aside(state, row);
    } else if (row->part == MR_ROW_PREAMBLE || (row->part == MR_ROW_HEADER && !state->count.body_seen)) {
        legend_keep(state, row);
        if (row->part == MR_ROW_HEADER && row->line > state->source->header_line && !state->source->units_line)
            (void)mr_units_below_heading(state, row); /* a header all the same */
        mr_state_fate(state, MR_FATE_HEADER, row);
    } else if (row->part == MR_ROW_HEADER) {
        mr_state_fate(state, MR_ASIDE_REPEATED_HEADER, row);
    } else if (row->part == MR_ROW_BROKEN || row->broken != MR_BROKEN_NO) {
        enum mr_aside why = broken_why(row->broken);
        mr_state_say(state, why, row, 0, NULL, broken_mend[why], mr_aside_text(why));
        mr_state_fate(state, (int)why, row);
    } else if (state->count.body_seen && repeats_header(state, row)) {
        mr_state_fate(state, MR_ASIDE_REPEATED_HEADER, row);
    } else if (state->count.body_seen && mr_block_line(state, row)) {
        mr_state_fate(state, MR_FATE_HEADER, row);
    } else if (!state->count.body_seen && mr_units_below_heading(state, row)) {
        mr_state_fate(state, MR_FATE_HEADER, row);
    } else if (ragged(state->plan, row)) {
        state->count.body_seen = true;
        set_ragged_aside(state, row);
    } else {
        state->count.body_seen = true;
        return is_lone_print_line(state, row) && set_footer_aside(state, row);
    }
    return true;
}

void mr_state_bad_time(struct mr_file_state *state, const struct mr_row *row, enum mr_time_read got) {
    const struct mr_plan *plan = state->plan;
    size_t col = plan->date_col != MR_NONE ? plan->date_col : plan->clock_col;
    const struct mr_cell *cell =
        col != MR_NONE && plan->col[col].cell < row->n ? &row->cell[plan->col[col].cell] : NULL;
    if (repeats_header(state, row)) {
        mr_state_fate(state, MR_ASIDE_REPEATED_HEADER, row);
        return;
    }
    if (set_footer_aside(state, row))
        return;
    enum mr_aside why = got == MR_READ_BAD || got == MR_READ_ZONE ? MR_ASIDE_BAD_TIME : MR_ASIDE_NO_TIME;
    if (why == MR_ASIDE_BAD_TIME && mr_state_last(state))
        why = MR_ASIDE_HALF_LINE;
    const char *what =
        got == MR_READ_ZONE ? "the time zone is written in some rows and not in others"
        : got == MR_READ_NO_DATE
            ? (plan->form == MR_FORM_ELAPSED ? "elapsed time without a stated start or a stated unit of time"
                                             : "a time of day without a stated date")
        : why == MR_ASIDE_NO_TIME ? "the row has no time"
                                  : "not a time";
    if (got == MR_READ_NO_DATE && !state->start_asked) {
        state->start_asked = true;
        bool bare = plan->form == MR_FORM_ELAPSED && plan->elapsed_unit == MR_UNIT_NONE && !plan->sample_ms &&
                    !(cell && memchr(cell->p, ':', cell->n));
        if (bare)
            mr_file_ask(state->arena, state->file, MR_ASK_ELAPSED_UNIT,
                        mr_printf(state->arena, "%s = elapsed [?]\n# replace ? with the unit: s, min or h",
                                  mr_column_key(state->arena, state->source, plan->date_col)));
        if (state->timer.base_stamp == MR_T_NONE)
            mr_file_ask(state->arena, state->file,
                        plan->form == MR_FORM_ELAPSED ? MR_ASK_ELAPSED_START : MR_ASK_FIRST_DATE,
                        plan->form == MR_FORM_ELAPSED
                            ? "start = ?\n# replace ? with the moment of elapsed time 0, such as 2026-05-11 07:30:00"
                            : "start = ?\n# replace ? with the date of the first row, such as 2026-05-11");
    }
    const char *mend =
        got == MR_READ_NO_DATE
            ? (plan->form == MR_FORM_ELAPSED ? "Add to this file's [file] section in job.milrise: start = 2026-05-11 "
                                               "07:30:00; write the unit (s, min, h) in the header. Row set aside."
                                             : "Add to this file's [file] section in job.milrise: start = "
                                               "2026-05-11; or put the date in the file's name. Row set aside.")
            : "Write it as 2026-05-11 14:03:20. Row set aside.";
    mr_state_say(state, why, row, col == MR_NONE ? 0 : (uint32_t)plan->col[col].cell + 1,
                 cell && cell->n ? cell : NULL, mend, what);
    mr_state_fate(state, (int)why, row);
}

bool mr_row_unknown(void *ctx, const struct mr_row *row) {
    struct mr_file_state *state = ctx;
    if (mr_state_not_data(state, row))
        return true;
    int64_t t;
    if (mr_timer_read(&state->timer, row, &t) == MR_READ_OK) {
        if (state->log.n == state->log.cap) {
            size_t cap = state->log.cap ? state->log.cap * 2 : 256;
            state->log.t_ms = mr_arena_grow(state->scratch, state->log.t_ms, state->log.cap * sizeof(int64_t),
                                            cap * sizeof(int64_t));
            state->log.cap = cap;
        }
        state->log.t_ms[state->log.n++] = t;
    }
    mr_state_fate(state, MR_ASIDE_UNKNOWN_KIND, row);
    return true;
}
