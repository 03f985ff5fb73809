/*
 * lost_samples.c - a record that falls silent for a coat.
 *
 * Values are joined by a straight line where they lie no further apart than the greatest gap, for a slow logger is as
 * good as a quick one. But where a log that goes on every minute has nothing for most of a coat, the line is drawn
 * through what nobody measured: the sensor was off, in a fault, or its values were taken out. Limits that it shows
 * kept are not shown then, unless another instrument that stands for the zone as well did record; what is missed
 * stays missed.
 */
#include "assess/climate/climate.h"

#include "numeric/select.h"

#include <math.h>

enum { STEPS_LOOKED_AT = 16, STEPS_LEAST = 3 };

/* Places of the last value at or before a moment and of the first one after; MR_NONE where there is none. */
static size_t value_before(const struct mr_track *t, size_t i) {
    while (i-- > 0)
        if (!isnan(mr_real(&t->value, i)))
            return i;
    return MR_NONE;
}

static size_t value_from(const struct mr_track *t, size_t i) {
    while (i < t->n && isnan(mr_real(&t->value, i)))
        i++;
    return i < t->n ? i : MR_NONE;
}

/* The usual time between two values, just before the window and after it; 0 where they are too few to tell. */
static double usual_step_ms(const struct mr_track *t, size_t before, size_t after) {
    double step[2 * STEPS_LOOKED_AT];
    size_t n = 0;
    for (size_t i = before, k; n < STEPS_LOOKED_AT && i != MR_NONE; i = k) {
        k = value_before(t, i);
        if (k != MR_NONE)
            step[n++] = (double)(mr_whole(&t->t_utc_ms, i) - mr_whole(&t->t_utc_ms, k));
    }
    for (size_t i = after, k, most = n + STEPS_LOOKED_AT; n < most && i != MR_NONE; i = k) {
        k = value_from(t, i + 1);
        if (k != MR_NONE)
            step[n++] = (double)(mr_whole(&t->t_utc_ms, k) - mr_whole(&t->t_utc_ms, i));
    }
    return n < STEPS_LEAST ? 0.0 : mr_median(step, n);
}

struct silence {
    int64_t from_ms, to_ms; /* the longest */
    double usual_ms;        /* between two values, otherwise */
};

/* Whether the track has no value for more than half of the window, though it usually has several. */
static bool is_lost(const struct mr_period *p, const struct mr_track *t, struct silence *out) {
    const int64_t t0 = p->window->t0_utc_ms, t1 = p->window->t1_utc_ms;
    const size_t before = value_before(t, mr_wholes_first(&t->t_utc_ms, t->n, t0 + 1)),
                 after = value_from(t, mr_wholes_first(&t->t_utc_ms, t->n, t1));
    const double factor = mr_set_num(p->settings, MR_GAP_FACTOR);
    int64_t silent = 0;
    if (before == MR_NONE || after == MR_NONE || t1 <= t0 || isnan(factor))
        return false;
    *out = (struct silence){.usual_ms = usual_step_ms(t, before, after)};
    for (size_t i = before, k; i < after && out->usual_ms > 0.0; i = k) {
        k = value_from(t, i + 1);
        const int64_t from = mr_whole(&t->t_utc_ms, i), to = mr_whole(&t->t_utc_ms, k);
        if ((double)(to - from) <= factor * out->usual_ms)
            continue;
        silent += (to < t1 ? to : t1) - (from > t0 ? from : t0);
        if (to - from > out->to_ms - out->from_ms) {
            out->from_ms = from;
            out->to_ms = to;
        }
    }
    return 2 * silent > t1 - t0;
}

/* Whether another instrument, standing for the zone as well, recorded then. It has had its say on what is missed. */
static bool is_made_good(const struct mr_assess *a, const struct mr_period *p, const struct mr_track *t) {
    const int rank = mr_period_rank(t, p);
    struct silence unused;
    for (size_t i = 0; i < a->aligned->tracks.n; i++) {
        const struct mr_track *other = &a->aligned->tracks.v[i];
        const int own = mr_period_rank(other, p);
        if (other->meaning == t->meaning && own > 0 && own >= rank && !is_lost(p, other, &unused) &&
            mr_track_cover_ms(other, p->window->t0_utc_ms, p->window->t1_utc_ms, p->gap_ms) > 0.0)
            return true;
    }
    return false;
}

static const char *name_of(enum mr_meaning meaning) {
    return meaning == MR_M_RH    ? "humidity"
           : meaning == MR_M_AIR ? "air temperature"
           : meaning == MR_M_DEW ? "dew point"
                                 : "steel temperature";
}

/* Whether the limit's quantity hangs on the track. */
static bool hangs_on(const struct mr_climate_tracks *k, enum mr_quantity q, const struct mr_track *t) {
    const bool of_dew = k->dew != NULL ? t == k->dew : t == k->air || t == k->rh;
    switch (q) {
    case MR_Q_SPREAD:
        return t == k->steel || of_dew;
    case MR_Q_RH:
        return t == k->rh;
    case MR_Q_AIR:
        return t == k->air;
    case MR_Q_STEEL:
        return t == k->steel;
    case MR_Q_DEW:
        return of_dew;
    case MR_Q_COUNT:
        break;
    }
    return false;
}

void mr_hear_lost(struct mr_assess *a, struct mr_period *p) {
    const struct mr_track *const served[] = {p->tracks.rh, p->tracks.air, p->tracks.steel, p->tracks.dew};
    for (size_t k = 0; k < MR_COUNT(served); k++) {
        struct silence s;
        if (served[k] == NULL || !is_lost(p, served[k], &s) || is_made_good(a, p, served[k]))
            continue;
        mr_evidence_track(a, &p->lost_evidence, served[k], s.from_ms, s.to_ms, "silent between");
        for (size_t i = 0; i < p->n; i++)
            if (!p->row[i]->bare_only && p->lost[i] == NULL &&
                hangs_on(&p->tracks, p->watch[i].quantity, served[k])) {
                p->watch[i].lost = true;
                p->lost[i] = mr_printf(a->arena, "no %s was recorded from %s, though %s usually has a value every %s",
                                       name_of(served[k]->meaning), mr_span_text(a, s.from_ms, s.to_ms),
                                       mr_climate_instrument(served[k]), mr_ms_text(a, s.usual_ms));
            }
    }
}

void mr_find_lost(struct mr_assess *a, const struct mr_period *p) {
    const char *names = NULL, *what = NULL;
    struct mr_finding f = mr_blank_finding("climate-lost", MR_WARNING, p->window->zone, p->window->coat);
    for (size_t i = 0; i < p->n; i++) {
        if (p->lost[i] == NULL || mr_climate_judge(p, &p->watch[i]) != MR_NOT_SHOWN)
            continue;
        names = names == NULL ? p->row[i]->title : mr_printf(a->arena, "%s, %s", names, p->row[i]->title);
        what = what == NULL ? p->lost[i] : what;
    }
    if (names == NULL)
        return;
    f.evidence = p->lost_evidence;
    f.t0_utc_ms = p->window->t0_utc_ms;
    f.t1_utc_ms = p->window->t1_utc_ms;
    f.rule = "most of a coat lies under values that were measured";
    f.source = MR_SRC_PD;
    f.what = mr_printf(a->arena, "%s: %s; most of the coat lies in that time. Not shown: %s.",
                       mr_capitalised(a, mr_zone_label(a, f.zone, f.coat)), what, names);
    f.next_step = "Find out why the record stops there, and add the export of another instrument for that time.";
    mr_add_evidence(a, &f.evidence, p->window->place, "the window");
    mr_add_finding(a, &f);
}
