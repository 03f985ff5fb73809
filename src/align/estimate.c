/*
 * estimate.c - clocks against each other, instrument by instrument.
 *
 * Pressure loggers see the trigger itself and are compared edge by edge with the spray log's windows. Temperature
 * loggers see heat that follows within the window, so their onsets are compared with the windows of their zone as
 * intervals; where no spray log serves, with the activity at the gun that other instruments saw. Several temperature
 * loggers are also compared with each other by how long their onsets lag behind the windows' starts, which is often
 * far sharper. Gauges and hygrometers see no such event and get no estimate. An estimate is a finding where it
 * exceeds the stated threshold, and half of that even less its own spread; it is applied only where the job says so.
 * Drift is the difference between the first and the second half of the job, a day or longer.
 */
#include "align/align_state.h"
#include "align/lags.h"
#include "align/offset.h"

#include <math.h>
#include <stdlib.h>

enum { VAGUE_S = 900 }; /* a wider interval than this on either side says nothing about a clock: project decision */

typedef MR_VEC(struct mr_offset_range) interval_list;
typedef MR_VEC(struct mr_event) event_list;

/* What one clock is compared by. */
struct evidence {
    bool edges;
    event_list onsets;
    interval_list pulls;
    const interval_list *reference;
    const char *against;
    bool seen; /* there was something to compare */
    struct mr_offset found;
    struct mr_offset
        rough; /* of a temperature logger, from however few events: to tell which window an onset belongs to */
};

struct judge {
    struct mr_align_state *st;
    struct mr_offset_limits limits;
    interval_list log;         /* windows of the spray log */
    struct evidence *evidence; /* shape: clocks */
};

/* The coarsest of minute, five minutes and quarter of an hour that all hand-kept times are multiples of. */
static int64_t unit_of(const struct mr_align_state *st) {
    static const int64_t units[] = {900000, 300000, 60000};
    for (size_t u = 0; u < MR_COUNT(units); u++) {
        bool all = st->data->sprays.n > 0;
        for (size_t i = 0; i < st->data->sprays.n && all; i++) {
            const struct mr_spray *s = &st->data->sprays.v[i];
            all = s->action != MR_ACTION_SPRAY || ((s->start_ms == MR_T_NONE || s->start_ms % units[u] == 0) &&
                                                   (s->stop_ms == MR_T_NONE || s->stop_ms % units[u] == 0));
        }
        if (all)
            return units[u];
    }
    return 0;
}

static struct judge judge_new(struct mr_align_state *st) {
    double least = mr_set_num(&st->job->settings, MR_CLOCK_EVENTS);
    struct judge j = {.st = st};
    j.limits = (struct mr_offset_limits){.search_ms = mr_align_setting_ms(st, MR_CLOCK_SEARCH),
                                         .tolerance_ms = mr_align_setting_ms(st, MR_CLOCK_TOLERANCE),
                                         .lag_ms = mr_align_setting_ms(st, MR_ONSET_LAG),
                                         .unit_ms = unit_of(st),
                                         .least = least >= 2 ? (size_t)least : 2};
    if (j.limits.search_ms > MR_DAY_MS)
        j.limits.search_ms = MR_DAY_MS;
    if (j.limits.unit_ms > j.limits.tolerance_ms)
        j.limits.tolerance_ms += j.limits.unit_ms / 2;
    for (size_t i = 0; i < st->out->windows.n; i++) {
        const struct mr_window *w = &st->out->windows.v[i];
        struct mr_offset_range interval = {w->t0_utc_ms, w->t1_utc_ms, w->zone};
        if (!w->found && w->t1_utc_ms > w->t0_utc_ms)
            MR_PUSH(st->arena, &j.log, interval);
    }
    return j;
}

static void take_evidence(struct judge *j, size_t clock, struct evidence *e) {
    struct mr_align_state *st = j->st;
    mr_spans pulls = {0};
    for (size_t i = 0; i < st->out->tracks.n; i++)
        for (size_t k = 0; st->out->tracks.v[i].clock == clock && k < st->track_activity[i].n; k++)
            MR_PUSH(st->arena, &pulls, st->track_activity[i].v[k]);
    mr_spans_join(&pulls, mr_align_setting_ms(st, MR_ACTIVE_PAUSE));
    for (size_t i = 0; i < pulls.n; i++) {
        struct mr_offset_range interval = {pulls.v[i].t0_utc_ms, pulls.v[i].t1_utc_ms, MR_NONE};
        MR_PUSH(st->arena, &e->pulls, interval);
    }
    for (size_t i = 0; i < st->onsets.n; i++) {
        struct mr_event event = {st->onsets.v[i].t_utc_ms, st->onsets.v[i].zone};
        if (st->out->tracks.v[st->onsets.v[i].track].clock == clock)
            MR_PUSH(st->arena, &e->onsets, event);
    }
}

/* Activity at the gun as other clocks saw it, joined over pauses, since heat follows any stroke of a window. */
static interval_list others_activity(struct judge *j, size_t clock) {
    struct mr_align_state *st = j->st;
    mr_spans spans = {0};
    interval_list list = {0};
    for (size_t i = 0; i < st->out->tracks.n; i++)
        for (size_t k = 0; st->out->tracks.v[i].clock != clock && k < st->track_activity[i].n; k++)
            MR_PUSH(st->arena, &spans, st->track_activity[i].v[k]);
    mr_spans_join(&spans, mr_align_setting_ms(st, MR_WINDOW_GAP));
    for (size_t i = 0; i < spans.n; i++) {
        struct mr_offset_range interval = {spans.v[i].t0_utc_ms, spans.v[i].t1_utc_ms, MR_NONE};
        MR_PUSH(st->arena, &list, interval);
    }
    return list;
}

/* Windows that the instrument's log could have seen at all. */
static interval_list within_log(struct judge *j, size_t clock, const interval_list *all, int64_t from, int64_t to) {
    int64_t t0 = INT64_MAX, t1 = INT64_MIN;
    interval_list list = {0};
    for (size_t i = 0; i < j->st->out->tracks.n; i++) {
        const struct mr_track *t = &j->st->out->tracks.v[i];
        if (t->clock != clock)
            continue;
        t0 = mr_track_ms(t, 0) < t0 ? mr_track_ms(t, 0) : t0;
        t1 = mr_track_ms(t, t->n - 1) > t1 ? mr_track_ms(t, t->n - 1) : t1;
    }
    for (size_t i = 0; i < all->n; i++)
        if (all->v[i].t0_ms >= t0 && all->v[i].t1_ms <= t1 && all->v[i].t0_ms >= from && all->v[i].t0_ms < to)
            MR_PUSH(j->st->arena, &list, all->v[i]);
    return list;
}

/* The comparison over windows that begin in [from, to). */
static struct mr_offset compare(struct judge *j, size_t clock, const struct evidence *e, int64_t from, int64_t to) {
    if (e->edges) {
        interval_list seen = within_log(j, clock, e->reference, from, to);
        return mr_offset_by_edges(j->st->arena, e->pulls.v, e->pulls.n, seen.v, seen.n, &j->limits);
    }
    size_t first = 0;
    while (first < e->onsets.n && e->onsets.v[first].t_ms < from)
        first++;
    size_t last = first;
    while (last < e->onsets.n && e->onsets.v[last].t_ms < to)
        last++;
    return mr_offset_by_intervals(j->st->arena, e->onsets.v + first, last - first, e->reference->v, e->reference->n,
                                  &j->limits);
}

static void estimate_drift(struct judge *j, size_t clock, const struct evidence *e, struct mr_clock *c) {
    int64_t t0 = e->edges ? e->pulls.v[0].t0_ms : e->onsets.v[0].t_ms;
    int64_t t1 = e->edges ? e->pulls.v[e->pulls.n - 1].t0_ms : e->onsets.v[e->onsets.n - 1].t_ms;
    if (t1 - t0 < MR_DAY_MS)
        return;
    int64_t mid = t0 + (t1 - t0) / 2;
    struct mr_offset a = compare(j, clock, e, INT64_MIN, mid), b = compare(j, clock, e, mid, INT64_MAX);
    if (!a.found || !b.found)
        return;
    double half_days = (double)(t1 - t0) / 2 / MR_DAY_MS;
    c->est_drift_s_per_day = (b.offset_ms - a.offset_ms) / 1000 / half_days;
    c->est_drift_spread_s_per_day = (a.spread_ms + b.spread_ms) / 1000 / half_days;
}

static const char *span_text(struct mr_arena *arena, double s) {
    int whole = (int)(fabs(s) + 0.5);
    if (whole < 120)
        return mr_printf(arena, "%d s", whole);
    return whole % 60 ? mr_printf(arena, "%d min %d s", whole / 60, whole % 60)
                      : mr_printf(arena, "%d min", whole / 60);
}

static void write_note(struct judge *j, struct mr_clock *c, bool seen) {
    struct mr_arena *arena = j->st->arena;
    if (!seen) {
        c->note = "It shows no event by which its clock could be compared.";
        return;
    }
    if (!c->estimated) {
        c->note = mr_printf(arena, "Compared with %s, too few events agree on an offset (%zu, and %zu that do not).",
                            c->est_against, c->est_events, c->est_unmatched);
        return;
    }
    const char *stated = c->stated ? " after the stated correction" : "";
    if (c->est_spread_s > VAGUE_S) {
        c->note = mr_printf(arena,
                            "Compared with %s its clock may be off by anything from %s %s to %s %s%s: that confirms "
                            "nothing.",
                            c->est_against, span_text(arena, c->est_offset_s - c->est_spread_s),
                            c->est_offset_s - c->est_spread_s < 0 ? "slow" : "fast",
                            span_text(arena, c->est_offset_s + c->est_spread_s),
                            c->est_offset_s + c->est_spread_s < 0 ? "slow" : "fast", stated);
        return;
    }
    c->note = mr_printf(arena, "Compared with %s it runs %s %s%s (plus or minus %s; %zu events agree, %zu do not)%s.",
                        c->est_against, span_text(arena, c->est_offset_s), c->est_offset_s < 0 ? "slow" : "fast",
                        stated, span_text(arena, c->est_spread_s), c->est_events, c->est_unmatched,
                        c->est_applied   ? "; the estimate is applied, as the job asks"
                        : c->est_finding ? "; the estimate is not applied"
                                         : "; that is too little for a finding");
}

/* By the spray log; a temperature logger without one by the gun as others saw it. */
static void compare_clock(struct judge *j, size_t clock) {
    struct evidence *e = &j->evidence[clock];
    e->against = "the spray log";
    e->reference = &j->log;
    take_evidence(j, clock, e);
    e->edges = e->pulls.n > 0 && j->log.n > 0;
    if (e->edges || (e->onsets.n && j->log.n))
        e->found = compare(j, clock, e, INT64_MIN, INT64_MAX);
    e->seen = e->edges || (e->onsets.n && j->log.n);
    e->rough = e->found;
    if (e->seen && !e->edges && !e->found.found) {
        struct judge easy = *j;
        easy.limits.least = 2;
        e->rough = compare(&easy, clock, e, INT64_MIN, INT64_MAX);
    }
    if (e->found.found || !e->onsets.n)
        return;
    interval_list *activity = MR_NEW(j->st->arena, interval_list);
    *activity = others_activity(j, clock);
    struct evidence other = *e;
    other.edges = false;
    other.reference = activity;
    other.against = "the line pressure at the gun";
    other.seen = true;
    if (!activity->n)
        return;
    other.found = compare(j, clock, &other, INT64_MIN, INT64_MAX);
    if (other.found.found || !e->seen)
        *e = other;
}

/* Three loggers or more: the median one is taken for right. */
static void fit_one(struct judge *j, size_t reference, size_t clock, const struct mr_lag_result *r) {
    struct evidence *e = &j->evidence[clock];
    bool fits = fabs(r->offset_ms - e->found.offset_ms) <= r->spread_ms + e->found.spread_ms;
    if (!fits || r->spread_ms >= e->found.spread_ms)
        return;
    size_t all = e->found.events + e->found.unmatched;
    e->found.events = r->events;
    e->found.unmatched = all > r->events ? all - r->events : 0;
    e->found.offset_ms = r->offset_ms;
    e->found.spread_ms = r->spread_ms;
    e->against = mr_printf(j->st->arena,
                           "the other temperature loggers (delay of heat behind the spray log's windows; nearest %s)",
                           j->st->out->clocks.v[reference].instrument);
}

static void cut_to(struct mr_offset *found, double lo, double hi) {
    lo = fmax(lo, found->offset_ms - found->spread_ms);
    hi = fmin(hi, found->offset_ms + found->spread_ms);
    if (lo > hi)
        return;
    found->offset_ms = (lo + hi) / 2;
    found->spread_ms = (hi - lo) / 2;
}

/* Two loggers: the difference of their clocks is known, not which one is off; but each must also fit the windows, and
 * what one cannot be the other cannot be either. */
static void fit_both(struct judge *j, size_t reference, size_t clock, const struct mr_lag_result *r) {
    struct mr_offset *a = &j->evidence[reference].found, *b = &j->evidence[clock].found, was = *a;
    cut_to(a, b->offset_ms - b->spread_ms - r->offset_ms - r->spread_ms,
           b->offset_ms + b->spread_ms - r->offset_ms + r->spread_ms);
    cut_to(b, was.offset_ms - was.spread_ms + r->offset_ms - r->spread_ms,
           was.offset_ms + was.spread_ms + r->offset_ms + r->spread_ms);
}

/* Temperature loggers among each other: their onsets' delays behind the starts of the windows (lags.c). */
static void compare_lags(struct judge *j) {
    mr_lags lags = {0};
    for (size_t i = 0; i < j->st->onsets.n; i++) {
        const struct mr_onset *o = &j->st->onsets.v[i];
        size_t clock = j->st->out->tracks.v[o->track].clock;
        const struct evidence *e = &j->evidence[clock];
        if (e->edges || !e->rough.found || o->zone == MR_NONE)
            continue;
        double at = (double)o->t_utc_ms - e->rough.offset_ms, slack = e->rough.spread_ms, nearest = (double)INFINITY;
        struct mr_lag lag = {.clock = clock, .track = o->track, .zone = o->zone};
        for (size_t w = 0; w < j->log.n; w++) {
            const struct mr_offset_range *window = &j->log.v[w];
            double away = fabs(at - ((double)window->t0_ms + (double)window->t1_ms) / 2);
            if (window->group != o->zone || at < (double)window->t0_ms - slack ||
                at > (double)(window->t1_ms + j->limits.lag_ms) + slack || away >= nearest)
                continue;
            nearest = away;
            lag.lag_ms = (double)(o->t_utc_ms - window->t0_ms);
            lag.width_ms = (double)(window->t1_ms - window->t0_ms);
        }
        if (isfinite(nearest))
            MR_PUSH(j->st->arena, &lags, lag);
    }
    struct mr_lag_result *results = MR_ARRAY(j->st->arena, struct mr_lag_result, j->st->out->clocks.n);
    size_t loggers, reference = mr_lags_compare(j->st->arena, &lags, j->st->out->clocks.n, results, &loggers);
    for (size_t i = 0; i < j->st->out->clocks.n && reference != MR_NONE; i++) {
        const struct evidence *e = &j->evidence[i];
        if (!results[i].found || results[i].events < j->limits.least || !e->found.found || e->reference != &j->log)
            continue;
        if (loggers == 2 && j->evidence[reference].found.found)
            fit_both(j, reference, i, &results[i]);
        else if (loggers > 2)
            fit_one(j, reference, i, &results[i]);
    }
}

static void conclude(struct judge *j, size_t clock) {
    struct mr_align_state *st = j->st;
    struct mr_clock *c = &st->out->clocks.v[clock];
    const struct evidence *e = &j->evidence[clock];
    c->est_against = e->seen ? e->against : "";
    c->est_events = e->found.events;
    c->est_unmatched = e->found.unmatched;
    c->estimated = e->found.found;
    if (e->found.found) {
        double threshold = mr_set_num(&st->job->settings, MR_CLOCK_FINDING);
        c->est_offset_s = e->found.offset_ms / 1000;
        c->est_spread_s = e->found.spread_ms / 1000;
        /* Half of the threshold beyond the spread: many clocks are compared, and one in twenty strays past its
         * interval. */
        c->est_finding = fabs(c->est_offset_s) > threshold && fabs(c->est_offset_s) - c->est_spread_s > threshold / 2;
        estimate_drift(j, clock, e, c);
    }
    write_note(j, c, e->seen);
}

/* The error grows as the stated one plus the estimate at the middle of the events. */
static void apply(struct judge *j, size_t clock) {
    struct mr_clock *c = &j->st->out->clocks.v[clock];
    j->st->corrections[clock].offset_ms += c->est_offset_s * 1000;
    c->offset_s += c->est_offset_s;
    c->est_applied = true;
    write_note(j, c, true);
}

bool mr_align_estimates(struct mr_align_state *st) {
    struct judge j = judge_new(st);
    bool applied = false;
    j.evidence = MR_ARRAY(st->arena, struct evidence, st->out->clocks.n);
    for (size_t i = 0; i < st->out->clocks.n; i++)
        compare_clock(&j, i);
    compare_lags(&j);
    for (size_t i = 0; i < st->out->clocks.n; i++) {
        conclude(&j, i);
        if (st->out->clocks.v[i].est_finding && mr_set_flag(&st->job->settings, MR_CLOCK_APPLY)) {
            apply(&j, i);
            applied = true;
        }
    }
    return applied;
}
