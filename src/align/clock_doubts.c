/*
 * clock_doubts.c - is a whole clock wrong? Minutes as estimated, whole hours, days, a year, day and month exchanged:
 * each reading is held against all coats that the logger saw, and against the times as given.
 *
 * A reading is better where at least three more coats fit than as given, at least twice as many, and half of those
 * that the record then covers; or where it is better on every count (dominates). A sound clock fits most coats as
 * given, so nothing can double them; a probe that saw no heat gives no reading enough fits. Two loggers that were
 * exchanged are a simpler cause than two wrong clocks. Where two loggers or more disagree with the spray log by as
 * much and none agrees with it, the log is the one that is off. The thresholds are a project decision; the rate of
 * false alarms over simulated jobs stands in tests/property.
 */
#include "align/hypotheses.h"

#include "base/text.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { LEAST_GAIN = 3, MOST_READINGS = 48 };

static const int64_t hour_ms = 3600000;

int64_t mr_day_of(const struct mr_align_state *st, int64_t t_utc_ms) {
    int64_t local = mr_local_ms(st->out, t_utc_ms);
    return local / MR_DAY_MS - (local % MR_DAY_MS < 0);
}

/* Whole days by which a clock's first and last event lie off the first and the last coat: a date that was set wrong
 * may be off by any number of them. */
static size_t days_apart(const struct mr_align_state *st, const struct mr_coat_events *e, size_t clock,
                         int64_t out[2]) {
    int64_t first = INT64_MAX, last = INT64_MIN;
    for (size_t i = 0; i < st->out->tracks.n; i++)
        if (st->out->tracks.v[i].clock == clock && e->onsets[i].n) {
            int64_t from = e->onsets[i].v[0].t0_utc_ms, to = e->onsets[i].v[e->onsets[i].n - 1].t0_utc_ms;
            first = from < first ? from : first;
            last = to > last ? to : last;
        }
    const mr_spans *pulls = &e->pulls[clock];
    if (pulls->n) {
        first = pulls->v[0].t0_utc_ms < first ? pulls->v[0].t0_utc_ms : first;
        last = pulls->v[pulls->n - 1].t0_utc_ms > last ? pulls->v[pulls->n - 1].t0_utc_ms : last;
    }
    if (first > last || !e->coats.n)
        return 0;
    out[0] = mr_day_of(st, first) - mr_day_of(st, e->coats.v[0]->t0_utc_ms);
    out[1] = mr_day_of(st, last) - mr_day_of(st, e->coats.v[e->coats.n - 1]->t0_utc_ms);
    return 2;
}

/* An estimate that whole hours agree with says no more than they do. */
static bool is_whole_hours(const struct mr_clock *c) {
    double hours = round(c->est_offset_s / 3600);
    return fabs(hours) >= 1 && fabs(c->est_offset_s - 3600 * hours) <= c->est_spread_s;
}

/* Readings from the simplest to the farthest: of equal ones the first is taken. */
static size_t readings_of(const struct mr_align_state *st, const struct mr_coat_events *e, size_t clock,
                          struct mr_time_reading *out) {
    static const int64_t usual[] = {1, -1, 2, -2, 365, -365, 366, -366};
    const struct mr_clock *c = &st->out->clocks.v[clock];
    size_t n = 0;
    if (c->estimated && c->est_finding && !c->est_applied && !is_whole_hours(c))
        out[n++] = (struct mr_time_reading){.offset_ms = (int64_t)llround(c->est_offset_s * 1000)};
    for (int64_t h = 1; h <= 12; h++) {
        out[n++] = (struct mr_time_reading){.offset_ms = h * hour_ms};
        out[n++] = (struct mr_time_reading){.offset_ms = -h * hour_ms};
    }
    for (size_t i = 0; i < MR_COUNT(usual); i++)
        out[n++] = (struct mr_time_reading){.offset_ms = usual[i] * MR_DAY_MS};
    int64_t days[2];
    for (size_t i = days_apart(st, e, clock, days); i-- > 0;)
        if (days[i] != 0)
            out[n++] = (struct mr_time_reading){.offset_ms = days[i] * MR_DAY_MS};
    out[n++] = (struct mr_time_reading){.swapped = true};
    for (size_t i = 0; i < n; i++)
        out[i].zone = mr_clock_zone(st, clock);
    return n;
}

/* Better on every count: more coats fit, less heat and pressure is left without a coat, and few coats are newly
 * missed. So a logger that ran a day off is told from days on which the crew kept the same hours: read as given, one
 * day of coats has no record, and one day of the record no coats. */
static bool dominates(const struct mr_fit_count *better, const struct mr_fit_count *given,
                      const struct mr_time_reading *reading) {
    if (better->fits <= given->fits || better->orphans >= given->orphans)
        return false;
    size_t gain = better->fits - given->fits + given->orphans - better->orphans;
    size_t missed = better->seen - better->fits, was_missed = given->seen - given->fits;
    size_t newly = missed > was_missed ? missed - was_missed : 0;
    /* Dates are few and hours of a day many, so that weather hits one by chance: dates need less to be doubted. */
    bool date = reading->swapped || reading->offset_ms % MR_DAY_MS == 0;
    return gain >= (date ? LEAST_GAIN - 1 : LEAST_GAIN) && (date ? 2 : 3) * newly <= gain;
}

/* Whether the pressures themselves, edge by edge, show an error that the log's whole minutes cannot explain. */
static bool edges_say(const struct mr_align_state *st, const struct mr_coat_events *e, size_t clock) {
    const struct mr_clock *c = &st->out->clocks.v[clock];
    return c->est_finding && !c->est_applied && e->pulls[clock].n > 0;
}

static struct mr_clock_verdict weigh(const struct mr_align_state *st, const struct mr_coat_events *e, size_t clock) {
    struct mr_time_reading reading[MOST_READINGS];
    size_t n = readings_of(st, e, clock, reading);
    struct mr_clock_verdict v = {0};
    const struct mr_time_reading as_given = {0};
    v.given = mr_clock_fits(st, e, clock, &as_given);
    for (size_t i = 0; i < n; i++) {
        struct mr_fit_count f = mr_clock_fits(st, e, clock, &reading[i]);
        size_t off = f.seen - f.fits + f.orphans, best_off = v.better.seen - v.better.fits + v.better.orphans;
        if (f.fits > v.better.fits || (f.fits == v.better.fits && f.fits > 0 && off < best_off)) {
            v.better = f;
            v.reading = reading[i];
        }
    }
    v.doubted = (v.better.fits >= v.given.fits + LEAST_GAIN && v.better.fits >= 2 * v.given.fits &&
                 2 * v.better.fits >= v.better.seen) ||
                dominates(&v.better, &v.given, &v.reading);
    if (!v.doubted && edges_say(st, e, clock)) {
        v.reading =
            (struct mr_time_reading){.offset_ms = (int64_t)llround(st->out->clocks.v[clock].est_offset_s * 1000)};
        v.better = mr_clock_fits(st, e, clock, &v.reading);
        v.doubted = v.better.fits > 0 && v.better.fits >= v.given.fits;
    }
    return v;
}

static bool same_reading(const struct mr_time_reading *a, const struct mr_time_reading *b) {
    return a->swapped == b->swapped && llabs(a->offset_ms - b->offset_ms) <= 5 * 60000;
}

/* The one reading in which all clocks that saw any coat disagree with the log, at least two of them; NULL. A clock
 * that saw too few coats to be doubted by itself joins where the reading of another one suits it better. */
static const struct mr_clock_verdict *shared_reading(const struct mr_align_state *st, const struct mr_coat_events *e,
                                                     const struct mr_clock_verdict *v, size_t n) {
    const struct mr_clock_verdict *first = NULL;
    size_t together = 0;
    for (size_t i = 0; i < n; i++) {
        if (v[i].doubted && first && !same_reading(&first->reading, &v[i].reading))
            return NULL;
        if (v[i].doubted && !first)
            first = &v[i];
    }
    for (size_t i = 0; i < n && first; i++) {
        size_t fits = v[i].doubted ? v[i].better.fits : mr_clock_fits(st, e, i, &first->reading).fits;
        if (!v[i].doubted && v[i].given.fits > 0 && fits <= v[i].given.fits)
            return NULL;
        together += fits > v[i].given.fits;
    }
    return together > 1 ? first : NULL;
}

static const char *file_pattern(struct mr_align_state *st, size_t clock) {
    for (size_t i = 0; i < st->data->files.n; i++)
        if (st->files[i].timing.clock == clock)
            return mr_align_place(st, (uint32_t)i, 0).file;
    return "";
}

/* Lines for the job file that take the error off. */
static const char *offset_lines(struct mr_align_state *st, size_t clock, const char *name, int64_t offset_ms) {
    const char *amount = offset_ms % hour_ms == 0 ? mr_printf(st->arena, "%lld h", (long long)(offset_ms / hour_ms))
                                                  : mr_printf(st->arena, "%lld s", (long long)(offset_ms / 1000));
    bool named = mr_job_instrument(st->job, name) != NULL;
    return named ? mr_printf(st->arena, "[instrument \"%s\"]\nclock offset = %s", name, amount)
                 : mr_printf(st->arena, "[file \"%s\"]\ninstrument = %s\n[instrument \"%s\"]\nclock offset = %s",
                             file_pattern(st, clock), name, name, amount);
}

/* The clock's dates as they would be with day and month exchanged; "" where no file of it writes any. */
static const char *date_lines(struct mr_align_state *st, size_t clock) {
    const char *lines = "";
    for (size_t i = 0; i < st->data->files.n; i++) {
        const struct mr_file *f = &st->data->files.v[i];
        const char *order = f->date_order ? f->date_order : "", *other = "day-first";
        if (st->files[i].timing.clock != clock || *order == '\0')
            continue;
        if (strcmp(order, "day-first") == 0)
            other = "month-first";
        if (strncmp(order, "year", 4) == 0)
            other = strcmp(order, "year-first") == 0 ? "year-day-month" : "year-first";
        lines = mr_printf(st->arena, "%s%s[file \"%s\"]\ndates = %s", lines, *lines ? "\n" : "",
                          mr_align_place(st, (uint32_t)i, 0).file, other);
    }
    return lines;
}

void mr_doubt_clock(struct mr_align_state *st, size_t clock, const struct mr_clock_verdict *v) {
    struct mr_clock *c = &st->out->clocks.v[clock];
    struct mr_clock_doubt d = {.kind = v->reading.swapped ? MR_DOUBT_DATES : MR_DOUBT_CLOCK,
                               .clock = clock,
                               .who = mr_printf(st->arena, "the clock of %s", c->instrument),
                               .offset_s = (double)v->reading.offset_ms / 1000,
                               .fits = v->better.fits,
                               .fits_given = v->given.fits,
                               .seen = v->better.seen};
    d.looks =
        v->reading.swapped ? "to have day and month exchanged" : mr_error_words(st->arena, v->reading.offset_ms);
    if (v->why)
        d.looks = mr_printf(st->arena, "%s (%s)", d.looks, v->why);
    d.paste = v->reading.swapped
                  ? date_lines(st, clock)
                  : offset_lines(st, clock, c->instrument,
                                 mr_elapsed_ms(st, &v->reading) + (int64_t)llround(c->offset_s * 1000));
    mr_doubt_files(st, &d, clock);
    MR_PUSH(st->arena, &st->out->doubts, d);
}

static void doubt_log(struct mr_align_state *st, const struct mr_clock_verdict *v) {
    struct mr_clock_doubt d = {.kind = MR_DOUBT_LOG,
                               .clock = MR_NONE,
                               .who = "the spray log",
                               .offset_s = -(double)v->reading.offset_ms / 1000,
                               .fits = v->better.fits,
                               .fits_given = v->given.fits,
                               .seen = v->better.seen};
    d.looks =
        v->reading.swapped ? "to have day and month exchanged" : mr_error_words(st->arena, -v->reading.offset_ms);
    size_t clock = MR_NONE;
    for (size_t i = 0; i < st->data->files.n; i++) {
        if (st->data->files.v[i].kind != MR_KIND_SPRAY_LOG)
            continue;
        clock = st->files[i].timing.clock;
        MR_PUSH(st->arena, &d.places, mr_align_place(st, (uint32_t)i, 0));
    }
    d.paste = v->reading.swapped ? date_lines(st, clock)
                                 : offset_lines(st, clock, "spray log", -mr_elapsed_ms(st, &v->reading));
    MR_PUSH(st->arena, &st->out->doubts, d);
}

static void apply(struct mr_align_state *st, size_t clock, int64_t offset_ms) {
    st->out->doubts.v[st->out->doubts.n - 1].applied = true;
    st->corrections[clock].offset_ms += (double)offset_ms;
    st->out->clocks.v[clock].offset_s += (double)offset_ms / 1000;
}

bool mr_align_doubt_clocks(struct mr_align_state *st) {
    const struct mr_coat_events e = mr_coat_events(st);
    size_t n = st->out->clocks.n;
    bool moved = false, may_apply = mr_set_flag(&st->job->settings, MR_CLOCK_APPLY);
    struct mr_clock_verdict *v = MR_ARRAY(st->arena, struct mr_clock_verdict, n);
    struct mr_fit_count *best = MR_ARRAY(st->arena, struct mr_fit_count, n);
    for (size_t i = 0; i < n; i++) {
        v[i] = weigh(st, &e, i);
        best[i] = v[i].doubted ? v[i].better : v[i].given;
    }
    /* One exchange is a simpler cause than two wrong clocks. */
    const bool *exchanged = mr_align_doubt_loggers(st, &e, best);
    for (size_t i = 0; i < n; i++)
        v[i].doubted &= !exchanged[i];
    const struct mr_clock_verdict *shared = shared_reading(st, &e, v, n);
    if (shared) {
        doubt_log(st, shared);
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        if (!v[i].doubted)
            continue;
        mr_doubt_clock(st, i, &v[i]);
        if (!may_apply || v[i].reading.swapped)
            continue;
        apply(st, i, mr_elapsed_ms(st, &v[i].reading));
        moved = true;
    }
    return moved;
}
