/*
 * plausible.c - what a person would doubt on seeing the curve: a sensor that does not move, a jump, a gap, a clock
 * that goes back. The values stay and the report shows the doubt. Where a sensor of the climate stands still, jumps
 * away and back, lies far from another one or repeats its figures, it shows no limit kept: the time around is not
 * shown (assess/report/unread_logs.c).
 */
#include "normalise/file/plausible.h"

#include "base/text.h"
#include "normalise/row/log_columns.h"
#include "numeric/search.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { FLAGS_MOST = 10, STEPS = 512 };

struct watch {
    struct mr_file_state *file;
    size_t shown, hidden;
    const char *id;
};

static void flag(struct watch *f, uint32_t line, uint32_t line_end, const char *column, const char *mend,
                 const char *what) {
    if (f->shown == FLAGS_MOST) {
        f->hidden++;
        return;
    }
    f->shown++;
    struct mr_place place = {.file = f->file->source->path, .line = line, .line_end = line_end > line ? line_end : 0};
    mr_diag_add(f->file->diags, MR_WARNING, f->id, place, column, mend, "%s", what);
}

static void close_watch(struct watch *f) {
    if (f->hidden)
        mr_diag_add(f->file->diags, MR_WARNING, f->id, (struct mr_place){.file = f->file->source->path}, NULL, NULL,
                    "not listed: %zu more of the same", f->hidden);
}

/* Usual step in time: the median of some steps spread over the file. */
static int64_t usual_step(const int64_t *t, size_t n) {
    int64_t step[STEPS] = {0};
    size_t k = 0, stride = n / STEPS + 1;
    for (size_t i = 1; i < n && k < STEPS; i += stride)
        if (t[i] > t[i - 1])
            step[k++] = t[i] - t[i - 1];
    qsort(step, k, sizeof step[0], mr_order_ms);
    return k ? step[k / 2] : 0;
}

/* The line where a clock was set back: the rows from there on run over moments that rows before them have. A file
 * that runs backwards, one pasted from parts in another order, and small disorder are none. 0 = nowhere. */
static uint32_t set_back_at(const int64_t *t, const uint32_t *line, size_t n) {
    enum { LEAST_MS = 60000 };
    size_t backwards = 0, at = 0;
    for (size_t i = 1; i < n; i++) {
        backwards += t[i] < t[i - 1];
        at = !at && t[i - 1] - t[i] >= LEAST_MS ? i : at;
    }
    if (!at || backwards * 10 > n)
        return 0;
    int64_t first = t[0], last = t[at];
    for (size_t i = 1; i < at; i++)
        first = t[i] < first ? t[i] : first;
    for (size_t i = at; i < n && t[i] >= last; i++)
        last = t[i];
    return last > first && t[at] < t[at - 1] ? line[at] : 0;
}

/* A longer step is a gap, over which nobody knows what a sensor did. */
static int64_t longest_step(const struct mr_file_state *state, const int64_t *t, size_t n) {
    const int64_t usual = usual_step(t, n);
    const double factor = mr_set_num(&state->job->settings, MR_GAP_FACTOR);
    return usual && factor > 0 ? (int64_t)(factor * (double)usual) : INT64_MAX;
}

static void look_at_times(struct mr_file_state *state, const int64_t *t, const uint32_t *line, size_t n) {
    struct watch back = {.file = state, .id = "time-backwards"}, gap = {.file = state, .id = "gap"};
    int64_t usual = usual_step(t, n);
    int64_t limit = longest_step(state, t, n);
    for (size_t i = 1; i < n; i++) {
        int64_t step = t[i] - t[i - 1];
        if (step < 0) {
            char from[32], to[32];
            mr_when_text(t[i - 1], from);
            mr_when_text(t[i], to);
            flag(&back, line[i], 0, NULL, "Check the instrument's clock.",
                 mr_printf(state->scratch, "the time goes back from %s to %s", from, to));
        } else if (step > limit) {
            char missing[MR_DURATION_TEXT], apart[MR_DURATION_TEXT];
            mr_duration_text((double)step, missing);
            mr_duration_text((double)usual, apart);
            flag(&gap, line[i - 1], line[i], NULL, NULL,
                 mr_printf(state->scratch, "a gap of %s; samples are usually %s apart", missing, apart));
        }
    }
    close_watch(&back);
    close_watch(&gap);
}

/* Several rows at one moment: the export has cut the times short, to minutes say. Nobody knows the times in between.
 */
static void look_at_cut_times(struct mr_file_state *state, const int64_t *t, const uint32_t *line, size_t n) {
    const struct mr_log *log = &state->log; /* of rows in two places each is a row of its own */
    size_t same = 0, first = 0;
    for (size_t i = 1; i < n; i++)
        if (t[i] == t[i - 1] && (!log->place.n || strcmp(log->place.v[i], log->place.v[i - 1]) == 0)) {
            first = same++ ? first : i;
        }
    if (same * 4 < n || n < 4)
        return;
    char text[32];
    mr_when_text(t[first], text);
    mr_diag_add(state->diags, MR_WARNING, "times-cut",
                (struct mr_place){.file = state->source->path, .line = line[first - 1], .line_end = line[first]},
                NULL, "Export the times with seconds, or each instrument to a file of its own.",
                "%zu of %zu rows repeat the time of the row before, the first at %s: the export rounds times too "
                "coarsely, or "
                "holds several instruments; each row of a time that says something else is judged as an instrument "
                "of its own",
                same, n, text);
}

/* A stretch of a climate log by which no limit is shown to be kept. */
static void doubt(struct mr_file_state *state, uint32_t line, uint32_t line_end) {
    if (state->plan->kind == MR_KIND_CLIMATE)
        MR_PUSH(state->arena, &state->records.lost_cells,
                ((struct mr_lost_cell){line, line_end, MR_ASIDE_IMPLAUSIBLE}));
}

/* Whole and half steps may well stay the same for hours; a sensor that shows tenths does not. */
static bool shows_tenths(const double *value, size_t n) {
    enum { LOOK_MOST = 20000 };
    for (size_t i = 0; i < n && i < LOOK_MOST; i++)
        if (!isnan(value[i]) && fabs(2.0 * value[i] - round(2.0 * value[i])) > 0.02)
            return true;
    return false;
}

/* How long a value may stay: humidity in tenths never does for long, unless the air is saturated. */
static double may_stay_s(const struct mr_settings *settings, bool humid, double value) {
    static const double saturated_pct = 99.5;
    const double always_s = mr_set_num(settings, MR_STUCK_AFTER), humid_s = mr_set_num(settings, MR_STUCK_RH);
    return humid && value < saturated_pct ? fmin(always_s, humid_s) : always_s;
}

/* Steel and air of one log, too far apart for both to be true: a sensor that is open, or a wrong scale. */
static void look_at_apart(struct mr_file_state *state) {
    const struct mr_log *log = &state->log;
    const struct mr_log_channel *air = NULL, *steel = NULL;
    const double most = mr_set_num(&state->job->settings, MR_APART_MOST);
    for (size_t k = 0; k < log->channels.n; k++) {
        const struct mr_log_channel *c = &log->channels.v[k];
        air = c->meaning == MR_M_AIR && !c->dropped ? c : air;
        steel = c->meaning == MR_M_STEEL && !c->dropped ? c : steel;
    }
    if (!air || !steel)
        return;
    struct watch apart = {.file = state, .id = "steel-air-apart"};
    for (size_t i = 0, to; i < log->n; i = to + 1) {
        for (to = i; to < log->n && fabs(steel->value[to] - air->value[to]) > most; to++)
            ;
        if (to == i)
            continue;
        flag(&apart, log->line[i], log->line[to - 1], NULL, "Check the sensors, and the units of their columns.",
             mr_printf(state->scratch, "steel at %.1f °C beside air at %.1f °C", steel->value[i], air->value[i]));
        doubt(state, log->line[i], log->line[to - 1]);
    }
    close_watch(&apart);
}

/* Steel that shows the air's own figures, row by row while they change, was filled in from the air sensor: two
 * sensors on two things never agree like that. Where nothing changes, they may. */
static void look_at_twins(struct mr_file_state *state, const struct mr_log_channel *air,
                          const struct mr_log_channel *steel) {
    enum { CHANGES_LEAST = 8 };
    const struct mr_log *log = &state->log;
    struct watch twins = {.file = state, .id = "steel-is-air"};
    for (size_t i = 0, to; i < log->n; i = to + 1) {
        size_t changes = 0;
        for (to = i; to < log->n && fabs(steel->value[to] - air->value[to]) < 1e-9; to++)
            changes += to > i && fabs(air->value[to] - air->value[to - 1]) > 1e-9;
        if (changes < CHANGES_LEAST)
            continue;
        flag(
            &twins, log->line[i], log->line[to - 1], steel->name,
            "If it is filled in from the air sensor, set the column to ignore in the file's [file] section, and show "
            "the steel by another sensor.",
            mr_printf(state->scratch, "shows the air's own figure in %zu rows on end, while it changes %zu times",
                      to - i, changes));
        doubt(state, log->line[i], log->line[to - 1]);
    }
    close_watch(&twins);
}

/* Steel that stands still for an hour while the air beside it moves: heavy steel may, a sensor that is off does too.
 * So it is told, and takes nothing back. */
static void look_at_still_steel(struct mr_file_state *state, const struct mr_log_channel *air,
                                const struct mr_log_channel *steel) {
    enum { CHANGES_LEAST = 20, AN_HOUR_MS = 3600000 };
    const struct mr_log *log = &state->log;
    struct watch still = {.file = state, .id = "still-steel"};
    for (size_t i = 0, to; i < log->n; i = to) {
        size_t changes = 0;
        for (to = i + 1; to < log->n && fabs(steel->value[to] - steel->value[i]) < 1e-9; to++)
            changes += fabs(air->value[to] - air->value[to - 1]) > 0.05;
        if (changes >= CHANGES_LEAST && log->t_ms[to - 1] - log->t_ms[i] >= AN_HOUR_MS)
            flag(&still, log->line[i], log->line[to - 1], steel->name, "Make sure that the sensor was on the steel.",
                 mr_printf(state->scratch, "stays at %.6g for %.3g h, while the air changes %zu times",
                           steel->value[i], (double)(log->t_ms[to - 1] - log->t_ms[i]) / 3.6e6, changes));
    }
    close_watch(&still);
}

static void look_at_steel_and_air(struct mr_file_state *state) {
    const struct mr_log *log = &state->log;
    for (size_t k = 0; k < log->channels.n; k++)
        for (size_t m = 0; m < log->channels.n; m++) {
            const struct mr_log_channel *air = &log->channels.v[k], *steel = &log->channels.v[m];
            if (air->meaning != MR_M_AIR || steel->meaning != MR_M_STEEL || air->dropped || steel->dropped)
                continue;
            look_at_twins(state, air, steel);
            look_at_still_steel(state, air, steel);
        }
}

/* Air over a site is hardly ever that dry: a sensor that is off, or a fraction called percent. */
static void look_at_dry(struct mr_file_state *state, const struct mr_log_channel *c) {
    const struct mr_log *log = &state->log;
    const double least = mr_set_num(&state->job->settings, MR_DRIEST);
    struct watch dry = {.file = state, .id = "too-dry"};
    for (size_t i = 0, to; i < log->n; i = to + 1) {
        for (to = i; to < log->n && c->value[to] < least; to++)
            ;
        if (to == i)
            continue;
        flag(&dry, log->line[i], log->line[to - 1], c->name, "Check the sensor, and the unit of its column.",
             mr_printf(state->scratch, "shows %.3g %% relative humidity; below %.3g %% none is believed", c->value[i],
                       least));
        doubt(state, log->line[i], log->line[to - 1]);
    }
    close_watch(&dry);
}

/* One channel's samples, as the file gives them. */
struct unchanged_run {
    size_t from; /* first sample of the stretch without change */
    double value;
    bool open;
};

static void look_at_values(struct mr_file_state *state, const struct mr_log_channel *c, const int64_t *t,
                           const uint32_t *line, const double *value, size_t n) {
    const struct mr_settings *settings = &state->job->settings;
    struct watch stuck = {.file = state, .id = "stuck-sensor"}, jump = {.file = state, .id = "jump"};
    bool share = mr_meaning_dim(c->meaning) == MR_DIM_SHARE;
    double most = mr_set_num(settings, share ? MR_JUMP_RH : MR_JUMP_TEMP);
    struct unchanged_run run = {0};
    const bool tenths = shows_tenths(value, n);
    const int64_t longest = longest_step(state, t, n);
    uint32_t away = 0; /* line of a jump that none has followed; by `by` */
    double by = 0;
    for (size_t i = 0; i <= n; i++) {
        double v = i < n ? value[i] : (double)NAN;
        if (i < n && isnan(v))
            continue;
        bool same = run.open && i < n && v >= run.value && v <= run.value && t[i] - t[i - 1] <= longest;
        if (!same && run.open && i > run.from + (share ? 25 : 10) &&
            (double)(t[i - 1] - t[run.from]) / 1000.0 > may_stay_s(settings, share && tenths, run.value)) {
            if (tenths)
                doubt(state, line[run.from], line[i - 1]);
            flag(&stuck, line[run.from], line[i - 1], c->name, "Check the sensor.",
                 mr_printf(state->scratch, "stays at %.6g for %.3g h", run.value,
                           (double)(t[i - 1] - t[run.from]) / 3.6e6));
        }
        if (i < n && run.open && i && !isnan(value[i - 1]) && t[i] > t[i - 1] && t[i] - t[i - 1] <= 60000 &&
            fabs(v - value[i - 1]) > most) {
            if (away && by * (v - value[i - 1]) < 0)
                doubt(state, away, line[i - 1]);
            away = away ? 0 : line[i];
            by = v - value[i - 1];
            flag(&jump, line[i - 1], line[i], c->name, "Check the sensor and its lead.",
                 mr_printf(state->scratch, "jumps from %.6g to %.6g", value[i - 1], v));
        }
        if (!same) {
            run = (struct unchanged_run){i, v, i < n};
        }
    }
    close_watch(&stuck);
    close_watch(&jump);
}

/* A file bears the day of its rows, or a later one on which it was exported. Rows long after the day in the name come
 * from a clock that is off, or the file is not what it is called. */
static void look_at_name(struct mr_file_state *state) {
    enum { DAYS_LEAST = 31 };
    const int64_t day = mr_name_day(state->source->path);
    int64_t first, last;
    if (!mr_is_log(state->plan->kind) || day == INT64_MIN || !mr_state_span(state, &first, &last) ||
        first / MR_DAY_MS - day <= DAYS_LEAST)
        return;
    char text[32];
    mr_when_text(first, text);
    mr_diag_add(state->diags, MR_WARNING, "name-date", (struct mr_place){.file = state->source->path}, NULL,
                "Find out whether the logger's clock was right, and whether this is the file of those days.",
                "its rows begin at %s, long after the day in its name", text);
}

void mr_flag_implausible(struct mr_file_state *state) {
    look_at_name(state);
    const struct mr_log *log = &state->log;
    if (log->is_long || !log->n) /* channels of a long file interleave; align sees each as a track */
        return;
    mr_log_open(state);
    look_at_times(state, log->t_ms, log->line, log->n);
    if (!log->place.n && state->serial_col == MR_NONE) /* rows of one sensor, in one place */
        state->back_line = set_back_at(log->t_ms, log->line, log->n);
    look_at_cut_times(state, log->t_ms, log->line, log->n);
    for (size_t k = 0; k < log->channels.n; k++) {
        const struct mr_log_channel *c = &log->channels.v[k];
        bool watched = c->meaning == MR_M_AIR || c->meaning == MR_M_RH || c->meaning == MR_M_DEW;
        if (watched && !c->dropped)
            look_at_values(state, c, log->t_ms, log->line, c->value, log->n);
        if (c->meaning == MR_M_RH && !c->dropped)
            look_at_dry(state, c);
    }
    look_at_apart(state);
    look_at_steel_and_air(state);
}
