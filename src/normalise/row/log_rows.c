/*
 * log_rows.c - rows of climate, temperature and pressure logs become columns of numbers.
 *
 * This is where the time goes when a job has 20 million rows: per row one date comparison, one clock and one exact
 * decimal per channel, no allocation, no formatting. What does not go through the narrow way is looked at again by
 * `slow_value`.
 */
#include "normalise/row/log_rows.h"

#include "base/text.h"
#include "normalise/row/companions.h"
#include "normalise/row/fill_down.h"
#include "normalise/row/free_cells.h"
#include "normalise/row/log_channels.h"
#include "normalise/row/no_data_rows.h"
#include "normalise/row/objections.h"
#include "normalise/row/row_fates.h"
#include "normalise/row/row_unit.h"
#include "normalise/row/unread_rows.h"

#include <math.h>
#include <string.h>

/* Room for the rows to come, judged by the share of rows used so far: a log grows once, from a first piece to its
 * whole length, and a file of a thousand million blank lines takes no room for them. */
static size_t next_capacity(const struct mr_file_state *state) {
    enum { FIRST = 16384 };
    const struct mr_log *log = &state->log;
    uint64_t rows = state->source->rows;
    if (!log->cap)
        return rows < FIRST ? (size_t)rows + 1 : FIRST;
    double share = (double)log->n / (double)state->count.seen;
    size_t expected = (size_t)(share * (double)rows * 1.01) + FIRST, doubled = log->cap * 2;
    if (expected <= log->cap + log->cap / 4)
        expected = doubled;
    return expected < rows + 1 ? expected : (size_t)rows + 1;
}

static void grow(struct mr_file_state *state) {
    struct mr_log *log = &state->log;
    size_t cap = next_capacity(state);
    size_t old8 = log->cap * sizeof(int64_t), new8 = cap * sizeof(int64_t), old4 = log->cap * sizeof(uint32_t);
    size_t new4 = cap * sizeof(uint32_t);
    log->t_ms = mr_arena_grow(log->arena, log->t_ms, old8, new8);
    log->line = mr_arena_grow(log->arena, log->line, old4, new4);
    if (log->is_long) {
        log->which = mr_arena_grow(log->arena, log->which, old4, new4);
        log->value = mr_arena_grow(log->arena, log->value, old8, new8);
    }
    for (size_t k = 0; k < log->channels.n && !log->is_long; k++)
        log->channels.v[k].value = mr_arena_grow(log->arena, log->channels.v[k].value, old8, new8);
    log->cap = cap;
}

/* Why a cell gave no value; MR_FATE_USED where it did. */
static int cell_aside(struct mr_file_state *state, const struct mr_row *row, size_t col, enum mr_num what,
                      const struct mr_number *x) {
    const struct mr_cell *cell = &row->cell[state->plan->col[col].cell];
    const char *heading = state->plan->col[col].as.name, *mend = "Correct the cell. Value left out.",
               *text = "is not a number";
    if (what == MR_NUM_MISSING)
        return mr_is_beyond_scale(state->plan->col[col].as.meaning, cell) ? MR_ASIDE_BOUND : MR_ASIDE_NO_VALUE;
    if (what == MR_NUM_MIXED) {
        text = state->plan->col[col].style.mark == '.' ? "has a decimal comma in a column of decimal points"
                                                       : "has a decimal point in a column of decimal commas";
        mend = mr_printf(state->scratch, "If it means %.10g, write it like the others. Value left out.", x->value);
    } else if (what == MR_NUM_AMBIGUOUS) {
        text = "can be a thousand or a fraction";
        mr_ask_decimal(state);
        mend =
            "Add to this file's [file] section in job.milrise: decimal = point, or decimal = comma. Value left out.";
    }
    mr_state_say(state, MR_ASIDE_BAD_NUMBER, row, (uint32_t)state->plan->col[col].cell + 1, cell, mend,
                 mr_printf(state->scratch, "%s (column \"%s\")", text,
                           mr_clean_text(state->scratch, heading, strlen(heading), 60)));
    return MR_ASIDE_BAD_NUMBER;
}

/* A cell that is no plain decimal in range: missing, marked, with a unit of its own, out of range, or wrong. */
static int slow_value(struct mr_file_state *state, const struct mr_row *row, struct mr_log_channel *channel,
                      double *out) {
    struct mr_plan_column *c = &state->plan->col[channel->col];
    const struct mr_cell *cell = &row->cell[c->cell];
    struct mr_number x;
    *out = (double)NAN;
    if (*state->plan->missing && mr_missing_listed(state->plan->missing, cell->p, cell->n))
        return MR_ASIDE_NO_VALUE;
    enum mr_num what = mr_number_scan(cell->p, cell->n, c->style, &x);
    if (what == MR_NUM_MIXED && c->style_open) {
        c->style.mark = c->style.mark == '.' ? ',' : '.';
        c->style_open = false;
        what = MR_NUM_OK;
    }
    if (what == MR_NUM_OK && x.doubtful)
        what = MR_NUM_AMBIGUOUS;
    if (what != MR_NUM_OK)
        return cell_aside(state, row, channel->col, what, &x);
    if (x.mark) {
        c->style_open = false;
        c->as.decimal = c->as.decimal ? c->as.decimal : x.mark;
        channel->mark = c->style.mark;
        channel->plain = !*state->plan->missing && c->style.mark != '?' && !mr_is_scaled(channel->scale) &&
                         (channel->written == MR_UNIT_NONE || channel->written == channel->unit);
    }
    if (x.unit) {
        enum mr_unit unit;
        if (!mr_unit_parse(x.unit, x.unit_n, mr_meaning_dim(channel->meaning), &unit))
            return cell_aside(state, row, channel->col, MR_NUM_BAD, &x);
        if (channel->unit != MR_UNIT_NONE && unit != channel->unit)
            x.value = mr_from_canonical(channel->unit, mr_to_canonical(unit, x.value));
        else if (channel->unit == MR_UNIT_NONE)
            return cell_aside(state, row, channel->col, MR_NUM_BAD, &x);
    } else {
        x.value = mr_scale(channel->scale, x.value);
        if (channel->written != MR_UNIT_NONE && channel->written != channel->unit)
            x.value = mr_from_canonical(channel->unit, mr_to_canonical(channel->written, x.value));
    }
    if (x.value < channel->least || x.value > channel->most) {
        mr_state_say(state, MR_ASIDE_OUT_OF_RANGE, row, (uint32_t)c->cell + 1, cell,
                     "Value left out; the job file sets the limits under [plausibility].",
                     mr_printf(state->scratch, "is outside the plausible range of \"%s\"",
                               mr_clean_text(state->scratch, c->as.name, strlen(c->as.name), 60)));
        return MR_ASIDE_OUT_OF_RANGE;
    }
    *out = x.value;
    return MR_FATE_USED;
}

/* [-]digits[mark digits] of at most 15 digits: one exact division, as in base/text.c, here inlined into the loop over
 * cells because it runs once per value of every log. False sends the cell to slow_value, which knows everything. */
static inline bool quick_decimal(const char *p, uint32_t n, char mark, double *out) {
    static const double tens[] = {1e0, 1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                  1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};
    if (n == 0 || n > 15)
        return false;
    bool minus = *p == '-';
    const char *end = p + n;
    p += minus;
    int64_t mantissa = 0;
    const char *start = p;
    for (; p < end && mr_is_digit(*p); p++)
        mantissa = mantissa * 10 + (*p - '0');
    if (p == start)
        return false;
    if (p == end) {
        *out = minus ? -(double)mantissa : (double)mantissa;
        return true;
    }
    if (*p++ != mark)
        return false;
    start = p;
    for (; p < end && mr_is_digit(*p); p++)
        mantissa = mantissa * 10 + (*p - '0');
    if (p != end)
        return false;
    double value = (double)mantissa / tens[end - start];
    *out = minus ? -value : value;
    return true;
}

static inline int take_value(struct mr_file_state *state, const struct mr_row *row, struct mr_log_channel *channel,
                             double *out) {
    if (channel->cell >= row->n) {
        *out = (double)NAN;
        return MR_ASIDE_NO_VALUE;
    }
    const struct mr_cell *cell = &row->cell[channel->cell];
    if (channel->plain && quick_decimal(cell->p, cell->n, channel->mark, out) && *out >= channel->least &&
        *out <= channel->most && *out > -9998.0)
        return MR_FATE_USED;
    return slow_value(state, row, channel, out);
}

/* The reason of a row without any value: the gravest of its cells'. */
static int graver(int a, int b) {
    static const int order[] = {MR_FATE_USED,          MR_ASIDE_NO_VALUE, MR_ASIDE_BOUND,
                                MR_ASIDE_OUT_OF_RANGE, MR_ASIDE_NO_UNIT,  MR_ASIDE_BAD_NUMBER};
    for (size_t i = MR_COUNT(order); i-- > 0;)
        if (a == order[i] || b == order[i])
            return order[i];
    return a;
}

/* What a unit column says of a value; an unknown unit is never overruled. Said once for each reason as ever. */
static int row_unit(struct mr_file_state *state, const struct mr_row *row, struct mr_log_channel *channel) {
    struct mr_stated_unit unit;
    const struct mr_cell *cell;
    enum mr_row_unit got =
        mr_row_unit(state->plan, row, channel->col, mr_meaning_dim(channel->meaning), &unit, &cell);
    bool by_column = state->plan->col[channel->col].as.unit_origin == MR_ORIGIN_UNIT_COLUMN;
    if (got == MR_ROW_UNIT_GIVEN) {
        mr_channel_takes(state, channel, &unit, MR_ORIGIN_UNIT_COLUMN);
        return MR_FATE_USED;
    }
    if (got == MR_ROW_UNIT_ABSENT && !by_column)
        return MR_FATE_USED;
    mr_state_say(state, MR_ASIDE_NO_UNIT, row, 0, got == MR_ROW_UNIT_UNKNOWN ? cell : NULL,
                 "Correct the unit's cell. Value left out.",
                 got == MR_ROW_UNIT_UNKNOWN ? "is not a unit of this channel"
                                            : "the row has no unit where the others have one");
    return MR_ASIDE_NO_UNIT;
}

/* One logger carried from place to place, or several in one file: each row says where it was taken. */
static void keep_place(struct mr_file_state *state, const struct mr_row *row) {
    const size_t cell = state->plan->col[state->log.place_col].cell;
    const char *place = cell < row->n ? mr_text_keep(state, row->cell[cell].p, row->cell[cell].n) : "";
    MR_PUSH(state->log.arena, &state->log.place, place);
}

static void take_wide(struct mr_file_state *state, const struct mr_row *row, int64_t t) {
    struct mr_log *log = &state->log;
    bool any = false;
    int why = MR_ASIDE_NO_VALUE;
    for (size_t k = 0; k < log->channels.n; k++) {
        struct mr_log_channel *channel = &log->channels.v[k];
        int got = state->unit_columns ? row_unit(state, row, channel) : MR_FATE_USED;
        channel->value[log->n] = (double)NAN;
        if (got == MR_FATE_USED)
            got = take_value(state, row, channel, &channel->value[log->n]);
        if (got == MR_FATE_USED) {
            any = true;
        } else {
            why = graver(why, got);
            state->count.values_left_out += got != MR_ASIDE_NO_VALUE;
            channel->out_of_range += got == MR_ASIDE_OUT_OF_RANGE;
            mr_unread_value(state, row, channel->meaning, got);
        }
    }
    if (!any && !log->channels.n && state->plan->rivals)
        why = MR_ASIDE_RIVALS;
    if (!any && why == MR_ASIDE_BAD_NUMBER && mr_state_last(state))
        why = MR_ASIDE_HALF_LINE;
    if (any) {
        log->t_ms[log->n] = t;
        log->line[log->n++] = row->line;
        if (log->place_col != MR_NONE)
            keep_place(state, row);
    }
    mr_state_fate(state, any ? MR_FATE_USED : why, row);
}

static void take_long(struct mr_file_state *state, const struct mr_row *row, int64_t t) {
    struct mr_log *log = &state->log;
    size_t value_col = mr_log_value_column(state->plan);
    int why = MR_ASIDE_INCOMPLETE;
    size_t channel_cell = state->plan->col[mr_plan_column_of(state->plan, MR_M_CHANNEL)].cell;
    size_t which = channel_cell < row->n ? mr_log_channel_of(state, row, value_col, &why) : MR_NONE;
    if (which != MR_NONE) {
        struct mr_log_channel *channel = &log->channels.v[which];
        why = state->unit_columns ? row_unit(state, row, channel) : MR_FATE_USED;
        why = why == MR_FATE_USED ? take_value(state, row, channel, &log->value[log->n]) : why;
        mr_unread_value(state, row, channel->meaning, why);
    }
    if (why == MR_FATE_USED) {
        log->t_ms[log->n] = t;
        log->which[log->n] = (uint32_t)which;
        log->line[log->n++] = row->line;
        if (log->place_col != MR_NONE)
            keep_place(state, row);
    }
    mr_state_fate(state, why, row);
}

static void keep_serial(struct mr_file_state *state, const struct mr_row *row) {
    size_t col = state->serial_col;
    if (state->plan->col[col].cell < row->n)
        state->serial =
            mr_text_keep(state, row->cell[state->plan->col[col].cell].p, row->cell[state->plan->col[col].cell].n);
}

bool mr_row_log(void *ctx, const struct mr_row *row) {
    struct mr_file_state *state = ctx;
    if (mr_state_not_data(state, row))
        return true;
    if (state->plan->carries)
        row = mr_fill_down(state, row);
    int64_t t;
    enum mr_time_read got = mr_timer_read(&state->timer, row, &t);
    if (got != MR_READ_OK) {
        mr_state_bad_time(state, row, got);
        return true;
    }
    const int why = state->companions.n ? mr_companions_fate(state, row) : MR_FATE_USED;
    if (why != MR_FATE_USED) {
        mr_state_fate(state, why, row);
        return true;
    }
    if (state->log.n == state->log.cap)
        grow(state);
    if (state->serial_col != MR_NONE && !*state->serial)
        keep_serial(state, row);
    if (state->log.is_long)
        take_long(state, row, t);
    else
        take_wide(state, row, t);
    if (state->free_columns.n)
        mr_free_cells_hear(state, row);
    if (state->objecting.n)
        mr_objections_hear(state, row);
    return true;
}
