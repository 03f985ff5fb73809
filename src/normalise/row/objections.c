/* objections.c - see objections.h. */
#include "normalise/row/objections.h"

#include "base/text.h"
#include "normalise/cell/number.h"
#include "normalise/cell/words.h"
#include "normalise/column/limits_missed.h"
#include "normalise/column/suggest.h"
#include "normalise/phrase/ticks.h"
#include "normalise/row/unread_rows.h"
#include "numeric/dew_point.h"
#include "numeric/magnus.h"

#include <math.h>
#include <string.h>

/* Of a ventilated psychrometer, per K and as a share of the air's pressure (WMO-No. 8, from memory), at sea level. */
static const double psychrometer_per_k = 6.62e-4, air_pa = 101325.0;

static const double slack = 1e-9; /* of the rounding of units */

/* NaN where the figure is held against no one limit, or the job has none. */
static double limit_of(const struct mr_job *job, enum mr_objecting how) {
    return how == MR_OBJECTING_RH ? mr_strictest(job, MR_RH_MAX, true) : mr_strictest(job, MR_SPREAD_MIN, false);
}

/* Its limits stand elsewhere among the settings, and some always do. */
static bool needs_limit(enum mr_kind kind, enum mr_objecting how) {
    return kind == MR_KIND_CLIMATE || how == MR_OBJECTING_RH || how == MR_OBJECTING_SPREAD || how == MR_OBJECTING_DEW;
}

/* The unit of a log's own temperatures, for a column that states none. */
static enum mr_unit unit_of_log(const struct mr_file_state *state) {
    for (size_t k = 0; k < state->log.channels.n; k++)
        if (mr_meaning_dim(state->log.channels.v[k].meaning) == MR_DIM_TEMP &&
            state->log.channels.v[k].unit != MR_UNIT_NONE)
            return state->log.channels.v[k].unit;
    return MR_UNIT_NONE;
}

/* "Steel temp F"; without any, the degree Celsius, of which a miss is heard the sooner. */
static enum mr_unit unit_of_words(const struct mr_file_state *state, size_t col) {
    enum mr_unit unit = MR_UNIT_C;
    const char *tail = strrchr(state->plan->col[col].words, ' ');
    if (tail && mr_unit_parse(tail + 1, strlen(tail + 1), MR_DIM_TEMP, &unit))
        return unit;
    return MR_UNIT_C;
}

/* A share, or a pressure as the lines are logged in. */
static enum mr_unit unit_of_line(const struct mr_file_state *state, size_t col, enum mr_objecting how) {
    const struct mr_head *head = &state->source->columns[col];
    enum mr_unit unit = MR_UNIT_NONE;
    if (strchr(head->text, '%'))
        return MR_UNIT_PCT;
    if (how == MR_OBJECTING_RATIO || mr_unit_parse(head->unit, strlen(head->unit), MR_DIM_PRESSURE, &unit))
        return unit;
    for (size_t k = 0; k < state->log.channels.n; k++)
        if (mr_meaning_dim(state->log.channels.v[k].meaning) == MR_DIM_PRESSURE)
            return state->log.channels.v[k].unit;
    return MR_UNIT_NONE;
}

static enum mr_unit unit_of(const struct mr_file_state *state, size_t col, enum mr_objecting how) {
    const char *text = state->source->columns[col].unit;
    enum mr_unit unit = MR_UNIT_NONE;
    if (how == MR_OBJECTING_RH)
        return MR_UNIT_PCT;
    if (state->plan->kind == MR_KIND_PRESSURE || how == MR_OBJECTING_RATIO)
        return unit_of_line(state, col, how);
    if (*text && mr_unit_parse(text, strlen(text), how == MR_OBJECTING_SPREAD ? MR_DIM_RISE : MR_DIM_TEMP, &unit))
        return unit;
    unit = state->plan->kind == MR_KIND_SPRAY_LOG ? unit_of_words(state, col) : unit_of_log(state);
    if (how == MR_OBJECTING_SPREAD)
        return unit == MR_UNIT_F ? MR_UNIT_RISE_F : MR_UNIT_RISE_K;
    return unit;
}

static bool of_words(enum mr_objecting how) {
    return how == MR_OBJECTING_ALARM || how == MR_OBJECTING_PERMIT || how == MR_OBJECTING_EVENT ||
           how == MR_OBJECTING_REST || how == MR_OBJECTING_TEXT || how == MR_OBJECTING_WEATHER;
}

void mr_objections_begin(struct mr_file_state *state) {
    const struct mr_plan *plan = state->plan;
    for (size_t i = 0; plan->map && i < plan->n; i++) {
        const struct mr_plan_column *c = &plan->col[i];
        const bool beside = c->as.meaning == MR_M_IGNORE || c->as.meaning == MR_M_STATE ||
                            c->as.meaning == MR_M_NOTE || c->as.meaning == MR_M_SERIAL; /* "Pump: off" */
        const bool no_scale = c->as.meaning == MR_M_DEW && c->as.unit == MR_UNIT_NONE;
        if ((!beside && !no_scale) || c->by_job || !*c->words)
            continue;
        struct mr_objecting_column column = {.col = i, .how = mr_objecting_of(plan->kind, c->words)};
        if (column.how == MR_OBJECTING_NONE)
            continue;
        column.unit = of_words(column.how) ? MR_UNIT_NONE : unit_of(state, i, column.how);
        column.limit = of_words(column.how) ? (double)NAN : limit_of(state->job, column.how);
        if (of_words(column.how) || !isnan(column.limit) || !needs_limit(plan->kind, column.how))
            MR_PUSH(state->arena, &state->objecting, column);
    }
}

/* The row's own value, canonical; NaN. */
static double own(const struct mr_file_state *state, enum mr_meaning meaning) {
    const struct mr_log *log = &state->log;
    for (size_t k = 0; k < log->channels.n && log->n && !log->is_long; k++) {
        const struct mr_log_channel *c = &log->channels.v[k];
        if (c->meaning == meaning && (c->unit != MR_UNIT_NONE || meaning == MR_M_RH))
            return c->unit == MR_UNIT_NONE ? c->value[log->n - 1] : mr_to_canonical(c->unit, c->value[log->n - 1]);
    }
    return (double)NAN;
}

static double dew_of_wet_bulb(double air_c, double wet_c) {
    const double pa = mr_magnus_pa(wet_c) - psychrometer_per_k * air_pa * (air_c - wet_c);
    const double rh = 100.0 * pa / mr_magnus_pa(air_c);
    return rh > 0.0 ? mr_dew_point_c(air_c, fmin(rh, 100.0)) : (double)NAN;
}

static double as_share(const struct mr_objecting_column *column, double x) {
    return column->unit == MR_UNIT_PCT ? x / 100.0 : x;
}

/* Between two rows a line may have dropped out or surged that neither of them shows. */
static bool line_objects(const struct mr_file_state *state, const struct mr_objecting_column *column, double x) {
    const struct mr_settings *set = &state->job->settings;
    const double a = own(state, MR_M_LINE_A), b = own(state, MR_M_LINE_B);
    if (column->how == MR_OBJECTING_APART) {
        const double share = column->unit == MR_UNIT_PCT ? fabs(x) : 100.0 * fabs(x) / ((a + b) / 2.0);
        return share > mr_strictest(state->job, MR_IMBALANCE_MAX, true) + slack && share < (double)INFINITY;
    }
    const enum mr_meaning line = mr_line_of_words(state->plan->col[column->col].words);
    const bool least = column->how == MR_OBJECTING_LEAST;
    if (column->unit == MR_UNIT_PCT)
        return false;
    if (line == MR_M_MAIN) /* it is up where the lines are */
        return fmax(a, b) > mr_set_num(set, MR_RELIEVED_BELOW) &&
               (least ? x < mr_strictest(state->job, MR_MAIN_MIN, false)
                      : x > mr_strictest(state->job, MR_MAIN_MAX, true));
    const double as_logged = line == MR_M_LINE_A ? a : b;
    return least ? x < mr_set_num(set, MR_DROPOUT_BELOW) / 100.0 * as_logged
                 : as_logged > 0.0 && x > mr_set_num(set, MR_SURGE_ABOVE) / 100.0 * as_logged;
}

/* Whether a figure misses the limit that the row's own values are held against. */
static bool figure_objects(const struct mr_file_state *state, const struct mr_objecting_column *column, double x) {
    const double steel = own(state, MR_M_STEEL), air = own(state, MR_M_AIR);
    switch (column->how) {
    case MR_OBJECTING_RH:
        return x > column->limit + slack;
    case MR_OBJECTING_SPREAD:
        return x < column->limit - slack;
    case MR_OBJECTING_DEW:
        return steel - x < column->limit - slack;
    case MR_OBJECTING_WET_BULB:
        return steel - dew_of_wet_bulb(air, x) < column->limit - slack;
    case MR_OBJECTING_STEEL:
        return x - mr_dew_point_c(air, own(state, MR_M_RH)) < column->limit - slack;
    case MR_OBJECTING_RATIO:
        return mr_limit_missed(state->job, column->how, as_share(column, x), true);
    case MR_OBJECTING_LEAST:
    case MR_OBJECTING_GREATEST:
    case MR_OBJECTING_APART:
        return line_objects(state, column, x);
    case MR_OBJECTING_COUNT:
    case MR_OBJECTING_AIR:
    case MR_OBJECTING_NONE:
    case MR_OBJECTING_ALARM:
    case MR_OBJECTING_PERMIT:
    case MR_OBJECTING_EVENT:
    case MR_OBJECTING_REST:
    case MR_OBJECTING_TEXT:
    case MR_OBJECTING_WEATHER:
        break;
    }
    return false;
}

/* "1.02:1"; NaN. */
static double parts_in(const struct mr_cell *cell, struct mr_number_style style) {
    const char *colon = memchr(cell->p, ':', cell->n);
    struct mr_number a, b;
    if (!colon || mr_number_scan(cell->p, (size_t)(colon - cell->p), style, &a) != MR_NUM_OK ||
        mr_number_scan(colon + 1, cell->n - (size_t)(colon + 1 - cell->p), style, &b) != MR_NUM_OK)
        return (double)NAN;
    return b.value > 0.0 ? a.value / b.value : (double)NAN;
}

/* Canonical; NaN where there is none. */
static double figure_in(const struct mr_file_state *state, const struct mr_objecting_column *column,
                        const struct mr_cell *cell) {
    const struct mr_number_style style = state->plan->col[column->col].style;
    struct mr_number x;
    if (mr_number_scan(cell->p, cell->n, style, &x) != MR_NUM_OK)
        return column->how == MR_OBJECTING_RATIO ? parts_in(cell, style) : (double)NAN;
    return column->unit == MR_UNIT_NONE ? x.value : mr_to_canonical(column->unit, x.value);
}

static bool look(struct mr_file_state *state, struct mr_objecting_column *column, const struct mr_cell *cell) {
    if (of_words(column->how)) {
        const bool digits = column->how == MR_OBJECTING_TEXT && (mr_is_digit(*cell->p) || *cell->p == '-');
        enum { WORDS_MOST = 40 };
        const char *words = mr_words_fold(state->scratch, cell->p, cell->n);
        if (column->how == MR_OBJECTING_TEXT &&
            mr_tick_of(state->plan->col[column->col].words, words) == MR_TICK_OBJECTS)
            return true;
        return !digits && (cell->n <= WORDS_MOST || column->how == MR_OBJECTING_WEATHER) &&
               mr_cell_objects(column->how, words);
    }
    const double x = figure_in(state, column, cell);
    if (isnan(x)) /* "Dew on steel: yes" */
        return mr_tick_of(state->plan->col[column->col].words, mr_words_fold(state->scratch, cell->p, cell->n)) ==
               MR_TICK_OBJECTS;
    return figure_objects(state, column, x);
}

/* A text stands for many rows: what was said of the one before holds for the same one. */
static bool objects(struct mr_file_state *state, struct mr_objecting_column *column, const struct mr_row *row) {
    const size_t at = state->plan->col[column->col].cell;
    const struct mr_cell *cell = at < row->n ? &row->cell[at] : NULL;
    if (!cell || !cell->n)
        return false;
    if (!of_words(column->how))
        return look(state, column, cell);
    if (cell->n != column->last_n || memcmp(cell->p, column->last, cell->n) != 0) {
        column->objects = look(state, column, cell);
        column->last_n = cell->n <= sizeof column->last ? cell->n : 0;
        memcpy(column->last, cell->p, column->last_n);
    }
    return column->objects;
}

static void keep_first(struct mr_file_state *state, struct mr_objecting_column *column, const struct mr_row *row) {
    if (column->rows++)
        return;
    const struct mr_cell *cell = &row->cell[state->plan->col[column->col].cell];
    column->first = row->line;
    column->text = mr_text_keep(state, cell->p, cell->n);
}

static bool stands_against(const struct mr_file_state *state, const struct mr_objecting_column *c, double x) {
    return mr_limit_missed(state->job, c->how, x, *state->source->columns[c->col].unit);
}

void mr_objections_of_coat(struct mr_file_state *state, const struct mr_row *row) {
    double figure[MR_OBJECTING_COUNT];
    for (size_t i = 0; i < MR_COUNT(figure); i++)
        figure[i] = (double)NAN;
    for (size_t i = 0; i < state->objecting.n; i++) {
        const struct mr_objecting_column *c = &state->objecting.v[i];
        const size_t at = state->plan->col[c->col].cell;
        if (at < row->n && row->cell[at].n && !of_words(c->how))
            figure[c->how] = figure_in(state, c, &row->cell[at]);
    }
    const double dew = isnan(figure[MR_OBJECTING_DEW])
                           ? mr_dew_point_c(figure[MR_OBJECTING_AIR], figure[MR_OBJECTING_RH])
                           : figure[MR_OBJECTING_DEW];
    bool any = false;
    for (size_t i = 0; i < state->objecting.n; i++) {
        struct mr_objecting_column *c = &state->objecting.v[i];
        const bool missed = c->how == MR_OBJECTING_RH       ? figure[c->how] > c->limit + slack
                            : c->how == MR_OBJECTING_SPREAD ? figure[c->how] < c->limit - slack
                            : c->how == MR_OBJECTING_RATIO
                                ? mr_limit_missed(state->job, c->how, as_share(c, figure[c->how]), true)
                            : c->how == MR_OBJECTING_AIR ? stands_against(state, c, figure[c->how])
                            : c->how == MR_OBJECTING_STEEL
                                ? figure[c->how] - dew < c->limit - slack || stands_against(state, c, figure[c->how])
                                : of_words(c->how) && objects(state, c, row);
        if (missed)
            keep_first(state, c, row);
        any |= missed;
    }
    if (any)
        mr_unread_cell(state, row, MR_ASIDE_OBJECTED);
}

void mr_objections_hear(struct mr_file_state *state, const struct mr_row *row) {
    bool any = false, rest = false;
    for (size_t i = 0; i < state->objecting.n; i++) {
        struct mr_objecting_column *column = &state->objecting.v[i];
        if (!objects(state, column, row))
            continue;
        *(column->how == MR_OBJECTING_REST ? &rest : &any) = true;
        keep_first(state, column, row);
    }
    if (any || rest)
        mr_unread_cell(state, row, any ? MR_ASIDE_OBJECTED : MR_ASIDE_AT_REST);
}

void mr_objections_report(struct mr_file_state *state) {
    for (size_t i = 0; i < state->objecting.n; i++) {
        const struct mr_objecting_column *c = &state->objecting.v[i];
        if (!c->rows || c->how == MR_OBJECTING_REST) /* a machine rests between its coats */
            continue;
        const char *name = state->plan->col[c->col].as.name;
        mr_diag_add(
            state->diags, MR_WARNING, "log-objects", (struct mr_place){.file = state->source->path, .line = c->first},
            NULL,
            mr_printf(state->scratch,
                      "Find out which is right. If the column says nothing of the job's limits, add to "
                      "job.milrise: %s / %s = ignore.",
                      mr_file_key(state->scratch, state->source),
                      mr_column_key(state->scratch, state->source, c->col)),
            "column \"%s\": %zu row%s object%s to the values beside %s, the first with \"%s\"; a coat in their "
            "time cannot be shown to keep its limits",
            mr_clean_text(state->scratch, name, strlen(name), 60), c->rows, c->rows == 1 ? "" : "s",
            c->rows == 1 ? "s" : "", c->rows == 1 ? "it" : "them",
            mr_clean_text(state->scratch, c->text, strlen(c->text), 40));
    }
}
