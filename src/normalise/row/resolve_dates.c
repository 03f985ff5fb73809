/*
 * resolve_dates.c - the dates of a file are settled, and stamps become moments. A spray log kept by hand may leave
 * its dates out: they are inferred here, and the rows say so.
 */
#include "normalise/row/resolve_dates.h"

#include "normalise/column/suggest.h"
#include "normalise/row/drop_rows.h"
#include "normalise/row/log_columns.h"
#include "normalise/row/row_fates.h"
#include "normalise/row/zone_claims.h"

#include <stdlib.h>
#include <string.h>

/* --- dropping rows ------------------------------------------------------------------------------------------------
 */

/* --- logs ---------------------------------------------------------------------------------------------------------
 */

static void settle_log(struct mr_file_state *state) {
    struct mr_log *log = &state->log;
    mr_log_change_times(state);
    mr_timer_moments(&state->timer, log->t_ms, log->n);
    size_t lost = 0;
    for (size_t i = 0; i < log->n; i++)
        lost += log->t_ms[i] == MR_T_NONE;
    if (!lost || state->plan->kind == MR_KIND_UNKNOWN)
        return;
    int8_t *fate = MR_ARRAY(state->scratch, int8_t, log->n);
    for (size_t i = 0; i < log->n; i++)
        fate[i] = log->t_ms[i] == MR_T_NONE ? (int8_t)MR_ASIDE_BAD_TIME : (int8_t)MR_FATE_USED;
    mr_log_drop(state, fate);
    mr_diag_add(state->diags, MR_ERROR, "bad-time", (struct mr_place){.file = state->source->path}, NULL,
                "Correct the dates, or the order of day and month in the job file.",
                "%zu row%s with a date that does not exist when read %s", lost, lost == 1 ? "" : "s",
                state->verdict.order_text);
}

/* The first year that a clock shows that has lost its time: it counts from 1970, 1980 or 2000. */
static bool is_reset(const struct mr_file_state *state, int64_t t_ms) {
    static const int years[] = {1970, 1980, 2000};
    int64_t first = state->job->first_day_local_ms;
    for (size_t i = 0; i < MR_COUNT(years) && t_ms != MR_T_NONE; i++) {
        int64_t from = mr_days_from_civil(years[i], 1, 1) * MR_DAY_MS,
                to = mr_days_from_civil(years[i] + 1, 1, 1) * MR_DAY_MS;
        if (t_ms >= from - MR_DAY_MS && t_ms < to)
            return first == MR_T_NONE || first < from || first >= to;
    }
    return false;
}

static void say_reset(struct mr_file_state *state, uint32_t line, size_t rows) {
    mr_diag_add(state->diags, MR_ERROR, "clock-reset", (struct mr_place){.file = state->source->path, .line = line},
                NULL,
                "Set the instrument's clock, and correct the times of these rows if they are known. Rows set aside.",
                "%zu row%s ha%s a time in the year that a clock shows after a reset", rows, rows == 1 ? "" : "s",
                rows == 1 ? "s" : "ve");
}

/* Fates by the times of n records; how many were reset. */
#define MARK_RESET(vec, field)                                                                                       \
    for (size_t i_ = 0; i_ < (vec).n; i_++) {                                                                        \
        bool reset_ = is_reset(state, (vec).v[i_].field);                                                            \
        fate[i_] = reset_ ? (int8_t)MR_ASIDE_CLOCK_RESET : (int8_t)MR_FATE_USED;                                     \
        line[i_] = (vec).v[i_].line;                                                                                 \
        first = reset_ && !found ? line[i_] : first;                                                                 \
        found += reset_;                                                                                             \
    }

#define KEEP_UNRESET(vec, field)                                                                                     \
    if ((vec).n) {                                                                                                   \
        size_t kept_ = 0, n_ = (vec).n;                                                                              \
        MARK_RESET(vec, field)                                                                                       \
        for (size_t i_ = 0; i_ < n_ && found; i_++)                                                                  \
            if (fate[i_] == MR_FATE_USED)                                                                            \
                (vec).v[kept_++] = (vec).v[i_];                                                                      \
        if (found) {                                                                                                 \
            (vec).n = kept_;                                                                                         \
            mr_rows_split(state, fate, line, n_);                                                                    \
        }                                                                                                            \
    }

static void set_reset_aside(struct mr_file_state *state) {
    struct mr_records *r = &state->records;
    struct mr_log *log = &state->log;
    size_t most = log->n, found = 0;
    const size_t counts[] = {r->readings.n, r->verifications.n, r->shift_items.n, r->materials.n};
    for (size_t i = 0; i < MR_COUNT(counts); i++)
        most = counts[i] > most ? counts[i] : most;
    if (!most || state->plan->kind == MR_KIND_UNKNOWN)
        return;
    uint32_t first = 0, *line = MR_ARRAY(state->scratch, uint32_t, most);
    int8_t *fate = MR_ARRAY(state->scratch, int8_t, most);
    for (size_t i = 0; i < log->n; i++) {
        bool reset = is_reset(state, mr_log_ms(log, i));
        fate[i] = reset ? (int8_t)MR_ASIDE_CLOCK_RESET : (int8_t)MR_FATE_USED;
        first = reset && !found ? mr_log_line(log, i) : first;
        found += reset;
    }
    if (log->n && found)
        mr_log_drop(state, fate);
    KEEP_UNRESET(r->readings, t_ms)
    KEEP_UNRESET(r->verifications, t_ms)
    KEEP_UNRESET(r->shift_items, day_ms)
    KEEP_UNRESET(r->materials, t_ms)
    if (found)
        say_reset(state, first, found);
}

/* A log with dates alone: one row a day is a daily log, at midnight; several rows of a day have lost their time of
 * day.
 */
static bool dates_alone(const struct mr_plan *plan) {
    return plan->form == MR_FORM_DATE ||
           (plan->form == MR_FORM_PARTS && plan->clock_col == MR_NONE && !plan->day_shares);
}

static bool lacks_clock(struct mr_file_state *state) {
    const struct mr_log *log = &state->log;
    if (!dates_alone(state->plan) || log->n < 2)
        return false;
    int64_t *last = MR_ARRAY(state->scratch, int64_t, log->channels.n + 1);
    for (size_t k = 0; k <= log->channels.n; k++)
        last[k] = MR_T_NONE;
    for (size_t i = 0; i < log->n; i++) {
        int64_t *of_channel = &last[log->is_long ? log->which[i] : 0];
        if (*of_channel == mr_log_ms(log, i))
            return true;
        *of_channel = mr_log_ms(log, i);
    }
    return false;
}

static void set_undated_aside(struct mr_file_state *state) {
    mr_diag_add(state->diags, MR_ERROR, "no-time", (struct mr_place){.file = state->source->path}, NULL,
                "Export the time of day too; if a column holds it, add to this file's [file] section in job.milrise: "
                "column NAME = time, or = hour. File set aside.",
                "several rows share a date, and no time of day can be read");
    mr_state_relabel(state, MR_ASIDE_NO_TIME);
    state->log.n = 0;
}

/* --- hand-kept records --------------------------------------------------------------------------------------------
 */

/* Days are needed before stop can follow start: what the row says, else the row before, else the base. */
struct spray_day {
    int64_t day_ms;     /* midnight of the current row's date; MR_T_NONE */
    int64_t last_start; /* of the row before */
};

static int64_t spray_base(struct mr_file_state *state, const char **why) {
    int64_t base = state->timer.base_stamp == MR_T_NONE
                       ? MR_T_NONE
                       : mr_datebook_moment(&state->timer.book, state->timer.base_stamp);
    *why = state->timer.base_why;
    if (base == MR_T_NONE && state->job->first_day_local_ms != MR_T_NONE &&
        (state->job->last_day_local_ms == state->job->first_day_local_ms ||
         state->job->last_day_local_ms == MR_T_NONE)) {
        base = state->job->first_day_local_ms;
        *why = "the job's one day of work";
    }
    return base;
}

static bool place_spray(struct mr_file_state *state, struct mr_spray *r, const struct mr_spray_times *t,
                        struct spray_day *d) {
    const struct mr_datebook *book = &state->timer.book;
    int64_t date = mr_datebook_moment(book, t->date), start_date = mr_datebook_moment(book, t->start_date);
    int64_t stop_date = mr_datebook_moment(book, t->stop_date);
    r->start_ms = r->stop_ms = MR_T_NONE;
    if (date == MR_T_NONE)
        date = start_date != MR_T_NONE ? start_date : stop_date;
    if (date != MR_T_NONE) {
        d->day_ms = date;
    } else if (d->day_ms != MR_T_NONE) {
        r->date_inferred = true;
        int64_t clock = t->start_clock >= 0 ? t->start_clock : t->stop_clock;
        if (d->last_start != MR_T_NONE && clock >= 0 && d->last_start - (d->day_ms + clock) > MR_DAY_MS / 2)
            d->day_ms += MR_DAY_MS; /* the clock fell back by more than half a day: midnight has passed */
    }
    if (d->day_ms == MR_T_NONE)
        return false;
    if (t->start_clock >= 0)
        r->start_ms = (start_date != MR_T_NONE ? start_date : d->day_ms) + t->start_clock;
    if (t->stop_clock >= 0) {
        r->stop_ms = (stop_date != MR_T_NONE ? stop_date : d->day_ms) + t->stop_clock;
        if (stop_date == MR_T_NONE && r->start_ms != MR_T_NONE && r->stop_ms < r->start_ms)
            r->stop_ms += MR_DAY_MS;
    } else if (r->start_ms != MR_T_NONE && t->duration_ms >= 0) {
        r->stop_ms = r->start_ms + t->duration_ms;
    }
    if (r->action == MR_ACTION_SPRAY && r->stop_ms == r->start_ms) /* no coat takes no time: the stop is not known */
        r->stop_ms = MR_T_NONE;
    if (r->start_ms == MR_T_NONE && r->stop_ms == MR_T_NONE && t->date != MR_T_NONE && r->action != MR_ACTION_SPRAY) {
        r->start_ms = d->day_ms;
        if (r->action == MR_ACTION_REPAIR) /* at any time of that day */
            r->stop_ms = d->day_ms + MR_DAY_MS - 1;
    }
    if (r->start_ms != MR_T_NONE)
        d->last_start = r->start_ms;
    return r->start_ms != MR_T_NONE || r->stop_ms != MR_T_NONE;
}

static void note_inferred(struct mr_file_state *state, size_t inferred, const char *why) {
    if (inferred)
        mr_diag_add(
            state->diags, MR_NOTE, "date-inferred", (struct mr_place){.file = state->source->path}, NULL,
            "To be sure, write the date in each row.",
            "%zu row%s with a time but no date: the date comes from %s and moves on a day where the clock falls back",
            inferred, inferred == 1 ? "" : "s", *why ? why : "the rows before");
}

/* Rows are written down as they happen. A start far before the row above may be a clock of twelve hours without AM
 * and PM. */
static void doubt_spray_clocks(struct mr_file_state *state) {
    for (size_t i = 1; i < state->records.sprays.n; i++) {
        const struct mr_spray *a = &state->records.sprays.v[i - 1], *b = &state->records.sprays.v[i];
        if (a->start_ms == MR_T_NONE || b->start_ms == MR_T_NONE || a->start_ms - b->start_ms < MR_DAY_MS / 4 ||
            a->start_ms - b->start_ms > MR_DAY_MS)
            continue;
        mr_diag_add(state->diags, MR_WARNING, "time-backwards",
                    (struct mr_place){.file = state->source->path, .line = b->line}, NULL,
                    "Check the row; write afternoon times as 13:10, or with PM.",
                    "the row starts hours before the row above");
        return;
    }
}

/* One offset that the file states for its times holds for start and stop as for any other column. */
static void shift_spray(const struct mr_timer *t, struct mr_spray *r) {
    const int64_t shift = t->whole_zone && t->zoned != 1 ? t->whole_min * INT64_C(60000) : 0;
    r->start_ms -= r->start_ms == MR_T_NONE ? 0 : shift;
    r->stop_ms -= r->stop_ms == MR_T_NONE ? 0 : shift;
}

static void settle_sprays(struct mr_file_state *state) {
    size_t n = state->records.sprays.n, inferred = 0, lost = 0;
    const char *why;
    struct spray_day d = {spray_base(state, &why), MR_T_NONE};
    int8_t *fate = MR_ARRAY(state->scratch, int8_t, n);
    uint32_t *line = MR_ARRAY(state->scratch, uint32_t, n);
    for (size_t i = 0; i < n; i++) {
        struct mr_spray *r = &state->records.sprays.v[i];
        line[i] = r->line;
        const struct mr_spray_times *t = &state->records.spray_times.v[i];
        fate[i] = place_spray(state, r, t, &d) ? (int8_t)MR_FATE_USED
                  : t->doubted                 ? (int8_t)MR_ASIDE_UNKNOWN_TYPE
                                               : (int8_t)MR_ASIDE_NO_TIME;
        shift_spray(&state->timer, r);
        inferred += r->date_inferred && fate[i] == MR_FATE_USED;
        r->shelf_a_ms = mr_datebook_moment(&state->timer.book, r->shelf_a_ms);
        r->shelf_b_ms = mr_datebook_moment(&state->timer.book, r->shelf_b_ms);
        r->from_a_ms = mr_datebook_moment(&state->timer.book, r->from_a_ms);
        r->from_b_ms = mr_datebook_moment(&state->timer.book, r->from_b_ms);
    }
    mr_state_split(state, fate, line, n);
    size_t kept = 0;
    for (size_t i = 0; i < n; i++) {
        if (fate[i] == MR_FATE_USED) {
            state->records.sprays.v[kept++] = state->records.sprays.v[i];
        } else if (fate[i] == MR_ASIDE_NO_TIME && lost++ < MR_SAY_MOST) {
            mr_diag_add(state->diags, MR_ERROR, "no-time",
                        (struct mr_place){.file = state->source->path, .line = line[i]}, NULL,
                        "Write the date, start and stop in the row, or one date in the file's name or above the "
                        "header. Row set aside.",
                        "the row has no time, or a time without a date");
        }
    }
    state->records.sprays.n = kept;
    if (lost && state->timer.base_stamp == MR_T_NONE)
        mr_file_ask(state->arena, state->file, MR_ASK_SPRAY_DATE,
                    "start = ?\n# replace ? with the date of the first row, such as 2026-05-11");
    note_inferred(state, inferred, why);
    doubt_spray_clocks(state);
}

static void settle_records(struct mr_file_state *state) {
    const struct mr_timer *t = &state->timer;
    size_t undated = 0;
    for (size_t i = 0; i < state->records.readings.n; i++) {
        bool had = state->records.readings.v[i].t_ms != MR_T_NONE;
        state->records.readings.v[i].t_ms = mr_timer_moment(t, state->records.readings.v[i].t_ms);
        undated += had && state->records.readings.v[i].t_ms == MR_T_NONE;
    }
    for (size_t i = 0; i < state->records.verifications.n; i++)
        state->records.verifications.v[i].t_ms = mr_timer_moment(t, state->records.verifications.v[i].t_ms);
    for (size_t i = 0; i < state->records.shift_items.n; i++)
        state->records.shift_items.v[i].day_ms = mr_timer_moment(t, state->records.shift_items.v[i].day_ms);
    for (size_t i = 0; i < state->records.materials.n; i++) {
        struct mr_material *m = &state->records.materials.v[i];
        m->t_ms = mr_timer_moment(t, m->t_ms);
        m->shelf_ms = mr_datebook_moment(&t->book, m->shelf_ms);
        m->from_ms = mr_datebook_moment(&t->book, m->from_ms);
    }
    size_t placeless = 0;
    bool has_zone = mr_plan_column_of(state->plan, MR_M_ZONE) != MR_NONE;
    for (size_t i = 0; i < state->records.readings.n && has_zone; i++)
        placeless += !*state->records.readings.v[i].zone;
    if (placeless && placeless < state->records.readings.n)
        mr_diag_add(state->diags, MR_WARNING, "no-zone", (struct mr_place){.file = state->source->path}, NULL,
                    "Fill in the zone; a reading without a zone counts for no zone.",
                    "no zone in %zu of %zu readings; the others name theirs", placeless, state->records.readings.n);
    if (undated) {
        int8_t *fate = MR_ARRAY(state->scratch, int8_t, state->records.readings.n);
        for (size_t i = 0; i < state->records.readings.n; i++)
            fate[i] =
                state->records.readings.v[i].t_ms == MR_T_NONE ? (int8_t)MR_ASIDE_BAD_TIME : (int8_t)MR_FATE_USED;
        mr_readings_drop(state, fate);
    }
    if (dates_alone(state->plan) && (state->records.readings.n || state->records.verifications.n || state->log.n))
        mr_diag_add(state->diags, MR_WARNING, "date-only", (struct mr_place){.file = state->source->path}, NULL,
                    "Export the time of day too.", "the rows have dates without a time of day; midnight is assumed");
    if (state->records.sprays.n)
        settle_sprays(state);
}

/* --- the file -----------------------------------------------------------------------------------------------------
 */

/* Day numbers of a spreadsheet that nothing confirms. The days they would be are shown, to be written down where they
 * are right. */
static void set_serial_aside(struct mr_file_state *state) {
    char from[32], to[32];
    mr_when_text(state->timer.serial_least, from);
    mr_when_text(state->timer.serial_most, to);
    mr_job_ask(state->arena, state->file, MR_ASK_DAY_NUMBERS,
               mr_printf(state->arena, "[job]\ndates = %.10s .. %.10s", from, to));
    mr_diag_add(state->diags, MR_ERROR, "no-time", (struct mr_place){.file = state->source->path}, NULL,
                mr_printf(state->scratch,
                          "Save the times as text; or, if these are the working days, add under [job] in "
                          "job.milrise: dates = %.10s .. %.10s. File set aside.",
                          from, to),
                "nothing confirms %s", state->verdict.why);
    mr_state_relabel(state, MR_ASIDE_NO_TIME);
}

static void set_file_aside(struct mr_file_state *state) {
    const struct mr_date_verdict *v = &state->verdict;
    struct mr_place place = {.file = state->source->path, .line = v->line};
    mr_file_ask(state->arena, state->file, MR_ASK_DATE_ORDER, "dates = ?\n# replace ? with day-first or month-first");
    const char *text = NULL;
    for (size_t i = 0; i < state->timer.book.list.n && !text; i++)
        if (state->timer.book.list.v[i].line == v->line)
            text = state->timer.book.list.v[i].text;
    mr_diag_add(state->diags, MR_ERROR, "date-order", place, text,
                mr_printf(state->scratch,
                          "Add to job.milrise: %s / dates = day-first, or dates = month-first. The working days "
                          "under [job] may also decide it: dates = 2026-05-11 .. 2026-05-12. File set aside.",
                          mr_file_key(state->scratch, state->source)),
                "day and month cannot be told apart: %s", v->why);
    mr_state_relabel(state, MR_ASIDE_DATE_ORDER);
}

static void note_rollovers(struct mr_file_state *state) {
    if (state->plan->form == MR_FORM_CLOCK && state->timer.base_stamp != MR_T_NONE)
        mr_diag_add(state->diags, MR_NOTE, "date-inferred", (struct mr_place){.file = state->source->path}, NULL,
                    NULL,
                    "the rows have times without a date; the first date is taken from %s (midnights passed: %u)",
                    state->timer.base_why, (unsigned)state->timer.rollovers);
    if (state->plan->form == MR_FORM_ELAPSED)
        state->verdict.why = mr_printf(state->arena, "elapsed time from %.15g s to %.15g s; start: %s",
                                       state->timer.least_s, state->timer.most_s,
                                       state->timer.base_stamp == MR_T_NONE ? "not stated" : state->timer.base_why);
}

void mr_resolve_dates(struct mr_file_state *state) {
    state->verdict = mr_timer_settle(&state->timer, state->job, mr_is_log(state->plan->kind));
    note_rollovers(state);
    state->file->date_order = state->verdict.order_text;
    state->file->date_why = state->verdict.why;
    state->file->basis = mr_timer_basis(&state->timer);
    if (!state->verdict.settled) {
        if (state->plan->form == MR_FORM_SERIAL)
            set_serial_aside(state);
        else
            set_file_aside(state);
        state->log.n = 0;
        state->records.readings.n = state->records.verifications.n = state->records.sprays.n =
            state->records.shift_items.n = state->records.materials.n = 0;
        return;
    }
    settle_log(state);
    if (state->plan->kind != MR_KIND_UNKNOWN && lacks_clock(state))
        set_undated_aside(state);
    settle_records(state);
    set_reset_aside(state);
    mr_settle_zone(state);
}
