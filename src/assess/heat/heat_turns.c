/*
 * heat_turns.c - see heat_turns.h.
 *
 * Coats that follow each other within minutes are fitted together and mostly parted (heat_find.c). What is left are
 * pulses that began just as the next coat did, which a hand-kept start cannot place, and records in which the second
 * coat lands before the first one's heat has shown its shape.
 */
#include "assess/heat/heat_turns.h"

#include "assess/finding/finding_text.h"

int64_t mr_heat_late_from_ms(const struct mr_assess *a, const struct mr_window *w) {
    int64_t late = mr_setting_ms(a->aligned->zones.v[w->zone].settings, MR_RISE_LATE);
    return w->t0_utc_ms + late > w->t1_utc_ms ? w->t0_utc_ms + late : w->t1_utc_ms;
}

int64_t mr_heat_last_onset_ms(const struct mr_assess *a, const struct mr_window *w) {
    const struct mr_settings *set = a->aligned->zones.v[w->zone].settings;
    return w->t1_utc_ms + mr_setting_ms(set, MR_RISE_LATE) + mr_setting_ms(set, MR_RISE_SLOWEST);
}

static int64_t slack_ms(const struct mr_assess *a) {
    return mr_setting_ms(&a->job->settings, MR_CLOCK_TOLERANCE);
}

/* The window of the zone before (step -1) or after (step 1) another one; MR_NONE. */
static size_t neighbour(const struct mr_assess *a, size_t window, int step) {
    const struct mr_alignment *al = a->aligned;
    for (size_t i = window + (size_t)step; i < al->windows.n; i += (size_t)step)
        if (al->windows.v[i].zone == al->windows.v[window].zone)
            return i;
    return MR_NONE;
}

/* A fitted pulse of the same record that belongs to a window, other than number i. */
static bool has_other(const struct mr_assess *a, size_t i, size_t window) {
    for (size_t k = 0; k < a->out->heats.n; k++) {
        const struct mr_heat_event *e = &a->out->heats.v[k];
        if (k != i && e->track == a->out->heats.v[i].track && e->window == window && e->fit == MR_FIT_OK)
            return true;
    }
    return false;
}

/* The window before the event's own, where its heat would be in time there too. */
static size_t earlier_in_time(const struct mr_assess *a, const struct mr_heat_event *e) {
    size_t before = e->window == MR_NONE || e->gun ? MR_NONE : neighbour(a, e->window, -1);
    if (before == MR_NONE || e->t_onset > mr_heat_late_from_ms(a, &a->aligned->windows.v[before]) + slack_ms(a))
        return MR_NONE;
    return before;
}

static bool began_with_the_next(const struct mr_assess *a, const struct mr_heat_event *e) {
    return e->t_onset < a->aligned->windows.v[e->window].t0_utc_ms + slack_ms(a);
}

void mr_heat_settle_turns(struct mr_assess *a) {
    for (size_t i = 0; i < a->out->heats.n; i++) {
        struct mr_heat_event *e = &a->out->heats.v[i];
        size_t before = e->fit == MR_FIT_OK ? earlier_in_time(a, e) : MR_NONE;
        if (before == MR_NONE || !began_with_the_next(a, e) || has_other(a, i, before) || !has_other(a, i, e->window))
            continue;
        e->window = before;
        e->coat = a->aligned->windows.v[before].coat;
    }
}

size_t mr_heat_also_of(const struct mr_assess *a, size_t i, size_t n_more) {
    const struct mr_heat_event *e = &a->out->heats.v[i];
    size_t before = e->window == MR_NONE || e->gun ? MR_NONE : neighbour(a, e->window, -1);
    if (before == MR_NONE || e->t_onset > mr_heat_last_onset_ms(a, &a->aligned->windows.v[before]))
        return MR_NONE;
    bool either = n_more > 0 || (began_with_the_next(a, e) && earlier_in_time(a, e) != MR_NONE);
    return either && !has_other(a, i, before) ? before : MR_NONE;
}

/* Coats further apart than this are parted in calm weather (measured on simulated sites, 2 to 20 min apart). */
int64_t mr_heat_pause_ms(const struct mr_assess *a, const struct mr_window *w) {
    return mr_setting_ms(a->aligned->zones.v[w->zone].settings, MR_RISE_SLOWEST) / 2;
}

/* The coat of the zone nearest in time, with too short a pause between. */
size_t mr_heat_overlapping(const struct mr_assess *a, size_t window) {
    const struct mr_window *w = &a->aligned->windows.v[window];
    int64_t pause = mr_heat_pause_ms(a, w);
    size_t before = neighbour(a, window, -1), after = neighbour(a, window, 1);
    int64_t since = before == MR_NONE ? INT64_MAX : w->t0_utc_ms - a->aligned->windows.v[before].t1_utc_ms,
            until = after == MR_NONE ? INT64_MAX : a->aligned->windows.v[after].t0_utc_ms - w->t1_utc_ms;
    if (since >= pause && until >= pause)
        return MR_NONE;
    return until <= since ? after : before;
}
