/*
 * clock_hold.c - see clock_hold.h.
 */
#include "assess/finding/clock_hold.h"

#include <string.h>

/* Whether two places share a row; line 0 is the whole file. */
static bool overlap(const struct mr_place *doubted, const struct mr_place *at) {
    if (doubted->file == NULL || at->file == NULL || strcmp(doubted->file, at->file) != 0)
        return false;
    uint32_t end = at->line_end > at->line ? at->line_end : at->line;
    return doubted->line == 0 || at->line == 0 || (doubted->line >= at->line && doubted->line <= end);
}

static bool hangs_on(const struct mr_clock_doubt *d, size_t zone, const struct mr_place *place) {
    if (d->applied || (d->zones != NULL && (zone == MR_NONE || !d->zones[zone])))
        return false;
    for (size_t k = 0; k < d->places.n; k++)
        if (overlap(&d->places.v[k], place))
            return true;
    return false;
}

bool mr_is_doubted(const struct mr_assess *a, size_t zone, const struct mr_place *place) {
    for (size_t i = 0; i < a->aligned->doubts.n; i++)
        if (hangs_on(&a->aligned->doubts.v[i], zone, place))
            return true;
    return false;
}

static const struct mr_clock_doubt *doubt_of(const struct mr_alignment *aligned, size_t zone,
                                             const mr_evidence_list *evidence) {
    for (size_t i = 0; i < aligned->doubts.n; i++)
        for (size_t k = 0; k < evidence->n; k++)
            if (hangs_on(&aligned->doubts.v[i], zone, &evidence->v[k].place))
                return &aligned->doubts.v[i];
    return NULL;
}

static const char *with_capital(struct mr_assess *a, const char *text) {
    char *copy = mr_strdup(a->arena, text);
    if (copy[0] >= 'a' && copy[0] <= 'z')
        copy[0] = (char)(copy[0] - 'a' + 'A');
    return copy;
}

/* "The clock of K8 looks 24 h slow" */
static const char *reason(struct mr_assess *a, const struct mr_clock_doubt *d) {
    bool several = d->kind == MR_DOUBT_CHANNELS || d->kind == MR_DOUBT_LOGGERS;
    return mr_printf(a->arena, "%s look%s %s", with_capital(a, d->who), several ? "" : "s", d->looks);
}

const char *mr_doubt_next_step(struct mr_assess *a, const struct mr_clock_doubt *d) {
    if (d->applied)
        return mr_printf(a->arena, "Check it on site, then state it in the job file:\n%s", d->paste);
    if (*d->paste == '\0')
        return "Correct the instrument's dates and export again: day and month stand in each other's place.";
    switch (d->kind) {
    case MR_DOUBT_ROW:
        return mr_printf(
            a->arena, "Ask who kept the log. If so, correct the row's start to %s, and its stop with it.", d->paste);
    case MR_DOUBT_CHANNELS:
    case MR_DOUBT_LOGGERS:
        return mr_printf(a->arena,
                         "Check on site which probe was where. If they were exchanged, replace the lines for these "
                         "channels in the job file with:\n%s",
                         d->paste);
    case MR_DOUBT_LOG:
        return mr_printf(a->arena, "Ask who kept the log. If so, add to the job file:\n%s", d->paste);
    case MR_DOUBT_CLOCK:
    case MR_DOUBT_DATES:
        break;
    }
    return mr_printf(a->arena, "Compare the instrument with a reliable clock. If it is off, add to the job file:\n%s",
                     d->paste);
}

/* What the log leaves out of a coat's time; NULL where it gives start and stop. */
static const char *missing_time(struct mr_assess *a, const struct mr_check *check) {
    static const char *const groups[] = {"climate", "lines", "reaction"};
    bool timed = false;
    for (size_t i = 0; i < MR_COUNT(groups); i++)
        timed = timed || strcmp(check->group, groups[i]) == 0;
    if (!timed || !check->coat)
        return NULL;
    const struct mr_chains *windows = mr_windows_by_zone(a);
    for (size_t i = mr_chains_first(windows, check->zone); i != MR_NONE; i = windows->next[i]) {
        const struct mr_window *w = &a->aligned->windows.v[i];
        if (w->coat == check->coat && (w->no_start || w->no_stop))
            return w->no_start ? "start" : "stop";
    }
    return NULL;
}

void mr_hold_check(struct mr_assess *a, struct mr_check *check) {
    const char *missing = check->outcome == MR_CONFORMS ? missing_time(a, check) : NULL;
    if (missing != NULL) {
        check->outcome = MR_NOT_SHOWN;
        check->detail =
            mr_printf(a->arena, "The spray log gives no %s of the coat, so only a moment of it is judged. %s",
                      missing, check->detail == NULL ? "" : check->detail);
    }
    if (check->outcome == MR_NOT_REQUIRED)
        return;
    const struct mr_clock_doubt *d = doubt_of(a->aligned, check->zone, &check->evidence);
    if (d == NULL)
        return;
    check->detail = mr_printf(a->arena, "%s: resolve that first. %s%s", reason(a, d),
                              check->outcome == MR_CONFORMS           ? "As recorded it conforms. "
                              : check->outcome == MR_DOES_NOT_CONFORM ? "As recorded it does not conform. "
                                                                      : "",
                              check->detail == NULL ? "" : check->detail);
    check->outcome = MR_NOT_SHOWN;
}

void mr_hold_finding(struct mr_assess *a, struct mr_finding *finding) {
    const struct mr_clock_doubt *d = NULL;
    bool of_a_moment = finding->zone != MR_NONE || finding->t0_utc_ms != MR_T_NONE;
    if (finding->severity == MR_ERROR || (finding->severity == MR_WARNING && of_a_moment))
        d = doubt_of(a->aligned, finding->zone, &finding->evidence);
    if (d == NULL)
        return;
    finding->severity = MR_WARNING;
    finding->what = mr_printf(a->arena, "%s %s: resolve that first.", finding->what, reason(a, d));
    finding->next_step = mr_doubt_next_step(a, d);
}
