/*
 * clock_doubts.c - is a whole clock wrong? Minutes as estimated, whole hours, days, a year, day and month exchanged:
 * each reading is held against all coats that the logger saw, and against the times as given.
 *
 * A reading is better where at least three more coats fit than as given, at least twice as many, and half of those
 * that the record then covers. A sound clock fits most coats as given, so nothing can double them; a probe that saw
 * no heat gives no reading enough fits. Two loggers that were exchanged are a simpler cause than two wrong clocks.
 * Where two loggers or more disagree with the spray log by as much and none agrees with it, the log is the one that
 * is off. The thresholds are a project decision; the rate of false alarms over simulated jobs stands in
 * tests/property.
 */
#include "align/hypotheses.h"

#include "base/text.h"

#include <math.h>
#include <stdlib.h>

enum { LEAST_GAIN = 3, MOST_READINGS = 48 };

static const int64_t hour_ms = 3600000, day_ms = 86400000;

/* The better reading of one clock. */
struct verdict_on_clock {
    bool doubted;
    struct mr_time_reading reading;
    struct mr_fit_count given, better;
};

/* Readings from the simplest to the farthest: of equal ones the first is taken. */
static size_t readings_of(const struct mr_clock *c, struct mr_time_reading *out) {
    size_t n = 0;
    if (c->estimated && c->est_finding)
        out[n++] = (struct mr_time_reading){.offset_ms = (int64_t)llround(c->est_offset_s * 1000)};
    for (int64_t h = 1; h <= 12; h++) {
        out[n++] = (struct mr_time_reading){.offset_ms = h * hour_ms};
        out[n++] = (struct mr_time_reading){.offset_ms = -h * hour_ms};
    }
    static const int64_t days[] = {1, -1, 2, -2, 365, -365, 366, -366};
    for (size_t i = 0; i < MR_COUNT(days); i++)
        out[n++] = (struct mr_time_reading){.offset_ms = days[i] * day_ms};
    out[n++] = (struct mr_time_reading){.swapped = true};
    return n;
}

static struct verdict_on_clock weigh(const struct mr_align_state *st, const struct mr_coat_events *e, size_t clock) {
    struct mr_time_reading reading[MOST_READINGS];
    size_t n = readings_of(&st->out->clocks.v[clock], reading);
    struct verdict_on_clock v = {0};
    const struct mr_time_reading as_given = {0};
    v.given = mr_clock_fits(st, e, clock, &as_given);
    for (size_t i = 0; i < n; i++) {
        struct mr_fit_count f = mr_clock_fits(st, e, clock, &reading[i]);
        if (f.fits > v.better.fits) {
            v.better = f;
            v.reading = reading[i];
        }
    }
    v.doubted = v.better.fits >= v.given.fits + LEAST_GAIN && v.better.fits >= 2 * v.given.fits &&
                2 * v.better.fits >= v.better.seen;
    return v;
}

static bool same_reading(const struct mr_time_reading *a, const struct mr_time_reading *b) {
    return a->swapped == b->swapped && llabs(a->offset_ms - b->offset_ms) <= 5 * 60000;
}

/* The one reading in which all clocks that saw any coat disagree with the log, at least two of them; NULL. */
static const struct verdict_on_clock *shared_reading(const struct verdict_on_clock *v, size_t n) {
    const struct verdict_on_clock *first = NULL;
    size_t together = 0;
    for (size_t i = 0; i < n; i++) {
        if (!v[i].doubted && v[i].given.fits == 0)
            continue;
        if (!v[i].doubted || (first && !same_reading(&first->reading, &v[i].reading)))
            return NULL;
        first = first ? first : &v[i];
        together++;
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

/* The clock's dates as they would be with day and month exchanged. */
static const char *date_lines(struct mr_align_state *st, size_t clock) {
    for (size_t i = 0; i < st->data->files.n; i++) {
        const struct mr_file *f = &st->data->files.v[i];
        if (st->files[i].timing.clock == clock)
            return mr_printf(st->arena, "[file \"%s\"]\ndates = %s", mr_align_place(st, (uint32_t)i, 0).file,
                             f->date_order && f->date_order[0] == 'd' ? "month-first" : "day-first");
    }
    return "";
}

static void doubt_clock(struct mr_align_state *st, size_t clock, const struct verdict_on_clock *v) {
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
    d.paste = v->reading.swapped ? date_lines(st, clock)
                                 : offset_lines(st, clock, c->instrument,
                                                v->reading.offset_ms + (int64_t)llround(c->offset_s * 1000));
    mr_doubt_files(st, &d, clock);
    MR_PUSH(st->arena, &st->out->doubts, d);
}

static void doubt_log(struct mr_align_state *st, const struct verdict_on_clock *v) {
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
    d.paste =
        v->reading.swapped ? date_lines(st, clock) : offset_lines(st, clock, "spray log", -v->reading.offset_ms);
    MR_PUSH(st->arena, &st->out->doubts, d);
}

static void apply(struct mr_align_state *st, size_t clock, const struct verdict_on_clock *v) {
    st->out->doubts.v[st->out->doubts.n - 1].applied = true;
    st->corrections[clock].offset_ms += (double)v->reading.offset_ms;
    st->out->clocks.v[clock].offset_s += (double)v->reading.offset_ms / 1000;
}

bool mr_align_doubt_clocks(struct mr_align_state *st) {
    const struct mr_coat_events e = mr_coat_events(st);
    size_t n = st->out->clocks.n;
    bool moved = false, may_apply = mr_set_flag(&st->job->settings, MR_CLOCK_APPLY);
    if (e.coats.n < LEAST_GAIN)
        return false;
    struct verdict_on_clock *v = MR_ARRAY(st->arena, struct verdict_on_clock, n);
    struct mr_fit_count *best = MR_ARRAY(st->arena, struct mr_fit_count, n);
    for (size_t i = 0; i < n; i++) {
        v[i] = weigh(st, &e, i);
        best[i] = v[i].doubted ? v[i].better : v[i].given;
    }
    /* One exchange is a simpler cause than two wrong clocks. */
    const bool *exchanged = mr_align_doubt_loggers(st, &e, best);
    for (size_t i = 0; i < n; i++)
        v[i].doubted &= !exchanged[i];
    const struct verdict_on_clock *shared = shared_reading(v, n);
    if (shared) {
        doubt_log(st, shared);
        return false;
    }
    for (size_t i = 0; i < n; i++) {
        if (!v[i].doubted)
            continue;
        doubt_clock(st, i, &v[i]);
        if (!may_apply || v[i].reading.swapped)
            continue;
        apply(st, i, &v[i]);
        moved = true;
    }
    return moved;
}
