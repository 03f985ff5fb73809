/*
 * file_state.c - counting rows. Every row passes mr_state_fate exactly once; later judgements (copies, repeated
 * readings, dates that stay open) change fates, never the count.
 */
#include "normalise/row/file_state.h"
#include "base/text.h"

#include <math.h>
#include <string.h>

static void add_run(struct mr_file_state *w, int fate, uint32_t line, uint32_t line_end, uint64_t rows) {
    struct mr_fate_run *last = w->fates.n ? &w->fates.v[w->fates.n - 1] : NULL;
    if (last && last->fate == fate) {
        last->rows += rows;
        last->line_end = line_end;
        return;
    }
    struct mr_fate_run run = {fate, line, line_end, rows};
    MR_PUSH(w->arena, &w->fates, run);
}

void mr_state_fate(struct mr_file_state *w, int fate, const struct mr_row *row) {
    add_run(w, fate, row->line, row->line_end > row->line ? row->line_end : row->line, 1);
}

void mr_state_relabel(struct mr_file_state *w, enum mr_aside why) {
    struct mr_fate_run *old = w->fates.v;
    size_t n = w->fates.n;
    w->fates.v = NULL;
    w->fates.n = w->fates.cap = 0;
    for (size_t i = 0; i < n; i++)
        add_run(w, old[i].fate == MR_FATE_USED ? (int)why : old[i].fate, old[i].line, old[i].line_end, old[i].rows);
}

void mr_state_split(struct mr_file_state *w, const int8_t *fate, const uint32_t *line, size_t n) {
    struct mr_fate_run *old = w->fates.v;
    size_t runs = w->fates.n, at = 0;
    w->fates.v = NULL;
    w->fates.n = w->fates.cap = 0;
    for (size_t i = 0; i < runs; i++) {
        if (old[i].fate != MR_FATE_USED) {
            add_run(w, old[i].fate, old[i].line, old[i].line_end, old[i].rows);
            continue;
        }
        for (uint64_t k = 0; k < old[i].rows && at < n; k++, at++) {
            bool last = k + 1 == old[i].rows || at + 1 == n;
            uint32_t end = last ? old[i].line_end : line[at + 1] - 1;
            add_run(w, fate[at], line[at], end < line[at] ? line[at] : end, 1);
        }
    }
}

bool mr_state_close(struct mr_file_state *w) {
    struct mr_account *a = &w->file->account;
    *a = (struct mr_account){.rows_read = w->source->rows};
    uint64_t total = 0;
    for (size_t i = 0; i < w->fates.n; i++) {
        const struct mr_fate_run *f = &w->fates.v[i];
        total += f->rows;
        if (f->fate == MR_FATE_HEADER) {
            a->rows_header += f->rows;
        } else if (f->fate == MR_FATE_USED) {
            a->rows_used += f->rows;
        } else {
            a->rows_set_aside += f->rows;
            a->by_reason[f->fate] += f->rows;
            struct mr_aside_run run = {(enum mr_aside)f->fate, f->line, f->line_end, f->rows};
            MR_PUSH(w->arena, &a->runs, run);
        }
    }
    return total == a->rows_read;
}

void mr_state_say(struct mr_file_state *w, enum mr_aside why, const struct mr_row *row, uint32_t column,
                  const struct mr_cell *cell, const char *mend, const char *what) {
    if (w->said[why]++ >= MR_SAY_MOST)
        return;
    struct mr_place place = {.file = w->source->path,
                             .line = row->line,
                             .column = column,
                             .line_end = row->line_end > row->line ? row->line_end : 0};
    const char *text = cell ? mr_clean_text(w->scratch, cell->p, cell->n, 80) : NULL;
    mr_diag_add(w->diags, MR_ERROR, mr_aside_word(why), place, text, mend, "%s", what);
}

/* --- rows that are no data ----------------------------------------------------------------------------------------
 */

bool mr_state_last(const struct mr_file_state *w) {
    return w->source->ends_in_mid_line && w->row_no == w->source->rows;
}

static bool repeats_header(const struct mr_file_state *w, const struct mr_row *row) {
    size_t same = 0, named = 0;
    for (size_t i = 0; i < w->plan->n; i++) {
        const char *text = w->source->columns[i].text;
        size_t n = strlen(text);
        if (!n)
            continue;
        named++;
        /* a repeated header stands unshifted, as the first did */
        same += i < row->n && row->cell[i].n == n && memcmp(row->cell[i].p, text, n) == 0;
    }
    return w->source->header_line && named && same * 2 > named && same + 1 >= named;
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
    [MR_ASIDE_QUOTE] = "Close the quote or take it away. Row set aside.",
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

void mr_legend_keep(struct mr_file_state *w, const struct mr_row *row) {
    char text[LEGEND_TEXT_MOST];
    size_t used = 0;
    if (w->legend.n == LEGEND_LINES_MOST)
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
        MR_PUSH(w->scratch, &w->legend, ((struct mr_legend_line){mr_strndup(w->scratch, text, used), row->line}));
}

/* Rules, legends and signatures below a table: words only, behind a blank row or another such line, or alone as
 * `name: text`. */
static bool is_footer(const struct mr_file_state *w, const struct mr_row *row) {
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
    bool pair = given == 1 && colon && colon > row->cell[0].p && !mr_is_digit(colon[-1]);
    return pair || (w->footer_row && w->footer_row + 1 == w->row_no);
}

/* Whether the row was set aside as a statistics or footer line. */
static bool set_footer_aside(struct mr_file_state *w, const struct mr_row *row) {
    bool footer = is_footer(w, row);
    if (!footer && !mr_state_summary(row))
        return false;
    if (footer)
        w->footer_row = w->row_no;
    mr_state_fate(w, MR_ASIDE_SUMMARY, row);
    return true;
}

/* Said where another table begins, not for each of its rows. */
static void set_other_aside(struct mr_file_state *w, const struct mr_row *row) {
    bool goes_on = w->fates.n && w->fates.v[w->fates.n - 1].fate == MR_ASIDE_OTHER_TABLE;
    if (!goes_on)
        mr_state_say(w, MR_ASIDE_OTHER_TABLE, row, 1, &row->cell[0],
                     "Put each table into a file of its own. Its rows are set aside.",
                     "another table begins here, with a header of its own");
    mr_state_fate(w, MR_ASIDE_OTHER_TABLE, row);
}

static void set_ragged_aside(struct mr_file_state *w, const struct mr_row *row) {
    mr_legend_keep(w, row);
    if (set_footer_aside(w, row))
        return;
    if (mr_state_last(w) && row->n < w->plan->least_cells) {
        mr_state_say(w, MR_ASIDE_HALF_LINE, row, 0, NULL, broken_mend[MR_ASIDE_HALF_LINE],
                     mr_aside_text(MR_ASIDE_HALF_LINE));
        mr_state_fate(w, MR_ASIDE_HALF_LINE, row);
        return;
    }
    const char *what =
        mr_printf(w->scratch, "the row has %zu cells where the header has %zu", row->n, w->plan->most_cells);
    const char *mend = row->n > w->plan->most_cells && w->source->delimiter == ','
                           ? "Put cells that hold a comma into quotes, or export with semicolons. Row set aside."
                           : "Complete the row, or take it out. Row set aside.";
    mr_state_say(w, MR_ASIDE_RAGGED, row, 0, NULL, mend, what);
    mr_state_fate(w, MR_ASIDE_RAGGED, row);
}

static bool ragged(const struct mr_plan *plan, const struct mr_row *row) {
    if (row->n < plan->least_cells)
        return true;
    for (size_t i = plan->most_cells; i < row->n; i++)
        if (row->cell[i].n)
            return true;
    return false;
}

bool mr_state_not_data(struct mr_file_state *w, const struct mr_row *row) {
    w->row_no++;
    if (row->part == MR_ROW_BODY && row->broken == MR_BROKEN_NO && row->n == w->plan->most_cells && w->body_seen &&
        row->n && row->cell[0].n && row->cell[0].p[0] != *w->source->columns[0].text)
        return false; /* nearly every row: it cannot be the header once more */
    if (row->part == MR_ROW_BLANK) {
        w->footer_row = w->row_no;
        mr_state_fate(w, MR_ASIDE_BLANK, row);
    } else if (row->part == MR_ROW_OTHER) {
        set_other_aside(w, row);
    } else if (row->part == MR_ROW_PREAMBLE || (row->part == MR_ROW_HEADER && !w->body_seen)) {
        mr_legend_keep(w, row);
        mr_state_fate(w, MR_FATE_HEADER, row);
    } else if (row->part == MR_ROW_HEADER) {
        mr_state_fate(w, MR_ASIDE_REPEATED_HEADER, row);
    } else if (row->part == MR_ROW_BROKEN || row->broken != MR_BROKEN_NO) {
        enum mr_aside why = broken_why(row->broken);
        mr_state_say(w, why, row, 0, NULL, broken_mend[why], mr_aside_text(why));
        mr_state_fate(w, (int)why, row);
    } else if (w->body_seen && repeats_header(w, row)) {
        mr_state_fate(w, MR_ASIDE_REPEATED_HEADER, row);
    } else if (w->body_seen && mr_block_line(w, row)) {
        mr_state_fate(w, MR_FATE_HEADER, row);
    } else if (ragged(w->plan, row)) {
        w->body_seen = true;
        set_ragged_aside(w, row);
    } else {
        w->body_seen = true;
        return false;
    }
    return true;
}

void mr_state_bad_time(struct mr_file_state *w, const struct mr_row *row, enum mr_time_read got) {
    const struct mr_plan *plan = w->plan;
    size_t col = plan->date_col != MR_NONE ? plan->date_col : plan->clock_col;
    const struct mr_cell *cell =
        col != MR_NONE && plan->col[col].cell < row->n ? &row->cell[plan->col[col].cell] : NULL;
    if (repeats_header(w, row)) {
        mr_state_fate(w, MR_ASIDE_REPEATED_HEADER, row);
        return;
    }
    if (set_footer_aside(w, row))
        return;
    enum mr_aside why = got == MR_READ_BAD || got == MR_READ_ZONE ? MR_ASIDE_BAD_TIME : MR_ASIDE_NO_TIME;
    if (why == MR_ASIDE_BAD_TIME && mr_state_last(w))
        why = MR_ASIDE_HALF_LINE;
    const char *what = got == MR_READ_ZONE       ? "the time zone is written in some rows and not in others"
                       : got == MR_READ_NO_DATE  ? (plan->form == MR_FORM_ELAPSED
                                                        ? "elapsed time, and no start or no unit of time is stated"
                                                        : "a time of day, and no date is stated")
                       : why == MR_ASIDE_NO_TIME ? "the row has no time"
                                                 : "not a time";
    const char *mend = got == MR_READ_NO_DATE
                           ? (plan->form == MR_FORM_ELAPSED
                                  ? "Put a line such as `Start: 2026-05-11 07:30:00` above the header, and "
                                    "the unit (s, min, h) into the header. Row set aside."
                                  : "Put a line such as `Date: 2026-05-11` above the header, or the date "
                                    "into the file's name. Row set aside.")
                           : "Write it as 2026-05-11 14:03:20. Row set aside.";
    mr_state_say(w, why, row, col == MR_NONE ? 0 : (uint32_t)plan->col[col].cell + 1, cell && cell->n ? cell : NULL,
                 mend, what);
    mr_state_fate(w, (int)why, row);
}

bool mr_row_unknown(void *ctx, const struct mr_row *row) {
    struct mr_file_state *w = ctx;
    if (mr_state_not_data(w, row))
        return true;
    int64_t t;
    if (mr_timer_read(&w->timer, row, &t) == MR_READ_OK) {
        if (w->log.n == w->log.cap) {
            size_t cap = w->log.cap ? w->log.cap * 2 : 256;
            w->log.t_ms = mr_arena_grow(w->scratch, w->log.t_ms, w->log.cap * sizeof(int64_t), cap * sizeof(int64_t));
            w->log.cap = cap;
        }
        w->log.t_ms[w->log.n++] = t;
    }
    mr_state_fate(w, MR_ASIDE_UNKNOWN_KIND, row);
    return true;
}

void mr_physical_range(const struct mr_settings *settings, enum mr_meaning meaning, double *least, double *most) {
    enum mr_setting_id low, high;
    switch (mr_meaning_dim(meaning)) {
    case MR_DIM_TEMP:
        low = meaning == MR_M_PROBE_TEMP || meaning == MR_M_STEEL ? MR_PLAUSIBLE_PROBE_MIN : MR_PLAUSIBLE_AIR_MIN;
        high = meaning == MR_M_PROBE_TEMP || meaning == MR_M_STEEL ? MR_PLAUSIBLE_PROBE_MAX : MR_PLAUSIBLE_AIR_MAX;
        break;
    case MR_DIM_SHARE:
        low = MR_PLAUSIBLE_RH_MIN;
        high = MR_PLAUSIBLE_RH_MAX;
        break;
    case MR_DIM_PRESSURE:
        low = MR_PLAUSIBLE_PRESSURE_MIN;
        high = MR_PLAUSIBLE_PRESSURE_MAX;
        break;
    case MR_DIM_FILM:
        low = MR_PLAUSIBLE_FILM_MIN;
        high = MR_PLAUSIBLE_FILM_MAX;
        break;
    case MR_DIM_NONE:
    case MR_DIM_RISE:
    case MR_DIM_AREA:
    case MR_DIM_LENGTH:
    case MR_DIM_VOLUME:
    case MR_DIM_MASS:
    case MR_DIM_DURATION:
    default:
        *least = (double)-INFINITY;
        *most = (double)INFINITY;
        return;
    }
    *least = mr_set_num(settings, low);
    *most = mr_set_num(settings, high);
}

/* --- texts --------------------------------------------------------------------------------------------------------
 */

struct mr_texts { /* open addressing over interned texts; only looked up, never walked */
    const char **slot;
    size_t n, cap;
};

static size_t hash(const char *p, size_t n) {
    uint64_t h = UINT64_C(1469598103934665603);
    for (size_t i = 0; i < n; i++)
        h = (h ^ (unsigned char)p[i]) * UINT64_C(1099511628211);
    return (size_t)(h ^ (h >> 32));
}

static void rehash(struct mr_file_state *w, struct mr_texts *t) {
    size_t cap = t->cap ? t->cap * 2 : 64;
    const char **slot = MR_ARRAY(w->scratch, const char *, cap);
    for (size_t i = 0; i < t->cap; i++)
        if (t->slot[i]) {
            size_t at = hash(t->slot[i], strlen(t->slot[i])) & (cap - 1);
            while (slot[at])
                at = (at + 1) & (cap - 1);
            slot[at] = t->slot[i];
        }
    t->slot = slot;
    t->cap = cap;
}

const char *mr_text_keep(struct mr_file_state *w, const char *text, size_t n) {
    const char *nul = n ? memchr(text, '\0', n) : NULL;
    n = nul ? (size_t)(nul - text) : n;
    if (!n)
        return "";
    if (!w->texts)
        w->texts = MR_NEW(w->scratch, struct mr_texts);
    struct mr_texts *t = w->texts;
    if (t->n * 2 >= t->cap)
        rehash(w, t);
    size_t at = hash(text, n) & (t->cap - 1);
    for (; t->slot[at]; at = (at + 1) & (t->cap - 1))
        if (strncmp(t->slot[at], text, n) == 0 && t->slot[at][n] == '\0')
            return t->slot[at];
    t->n++;
    return t->slot[at] = mr_strndup(w->arena, text, n);
}
