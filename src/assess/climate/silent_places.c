/*
 * silent_places.c - an instrument that the job places on a zone, and that recorded nothing while it was sprayed.
 *
 * Its record is lost, lies in a file that was not handed in, or under a wrong date. Another instrument, of which
 * nobody says where it stood, does not take its place: limits that it shows kept are not shown for this zone. What it
 * shows missed is missed, unless a doubt over the silent one's clock holds that back (clock_hold.h).
 */
#include "assess/climate/climate.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

/* Assignments of the job that no track answers to. */
struct unanswered {
    size_t zone;
    const struct mr_assignment *as;
};
struct mr_unanswered {
    MR_VEC(struct unanswered) list;
};

static bool same_text(const char *a, const char *b) {
    return mr_text_equal_fold(a, strlen(a), b, strlen(b));
}

static bool is_answered(const struct mr_assess *a, const struct mr_assignment *as) {
    const struct mr_instrument *instrument = mr_job_instrument(a->job, as->instrument);
    const char *name = instrument != NULL ? instrument->name : as->instrument;
    for (size_t i = 0; i < a->aligned->tracks.n; i++) {
        const struct mr_track *t = &a->aligned->tracks.v[i];
        if (same_text(t->instrument, name) && (*as->channel == '\0' || same_text(t->channel, as->channel)))
            return true;
    }
    return false;
}

const struct mr_unanswered *mr_unanswered_places(struct mr_assess *a) {
    struct mr_unanswered *u = MR_NEW(a->arena, struct mr_unanswered);
    for (size_t i = 0; i < a->job->assignments.n; i++) {
        const struct mr_assignment *as = &a->job->assignments.v[i];
        struct unanswered item = {mr_zone_find(a->aligned, as->zone, NULL), as};
        if (item.zone != MR_NONE && !is_answered(a, as))
            MR_PUSH(a->arena, &u->list, item);
    }
    return u;
}

/* Whether the job places the track on the zone at some time of the window; *out: from when to when, at most from the
 * start of the judged time to the window's end. */
static bool is_placed(const struct mr_period *p, const struct mr_track *track, int64_t *out_from, int64_t *out_to) {
    const struct mr_window *w = p->window;
    for (size_t i = 0; i < track->stays.n; i++) {
        const struct mr_stay *s = &track->stays.v[i];
        if (s->gun || s->zone != w->zone || s->route != MR_ROUTE_ASSIGNED || s->t1_utc_ms < w->t0_utc_ms ||
            s->t0_utc_ms > w->t1_utc_ms)
            continue;
        *out_from = s->t0_utc_ms > p->from_ms ? s->t0_utc_ms : p->from_ms;
        *out_to = s->t1_utc_ms < w->t1_utc_ms ? s->t1_utc_ms : w->t1_utc_ms;
        return true;
    }
    return false;
}

static bool is_silent(const struct mr_period *p, const struct mr_track *track, int64_t from_ms, int64_t to_ms) {
    return mr_track_cover_ms(track, from_ms, to_ms, p->gap_ms) <= 0.0 &&
           isnan(mr_track_at(track, from_ms, p->gap_ms, NULL)) && isnan(mr_track_at(track, to_ms, p->gap_ms, NULL));
}

/* The track that speaks for a limit in place of one of that meaning; NULL where none is asked for. */
static const struct mr_track *in_place_of(const struct mr_climate_tracks *k, enum mr_quantity q,
                                          enum mr_meaning meaning) {
    const bool spread = q == MR_Q_SPREAD;
    switch ((int)meaning) {
    case MR_M_PROBE_TEMP:
    case MR_M_STEEL:
        return spread || q == MR_Q_STEEL ? k->steel : NULL;
    case MR_M_RH:
        return q == MR_Q_RH ? k->rh : spread ? (k->dew != NULL ? k->dew : k->rh) : NULL;
    case MR_M_AIR:
        return q == MR_Q_AIR ? k->air : spread && k->dew == NULL ? k->air : NULL;
    case MR_M_DEW:
        return spread ? (k->dew != NULL ? k->dew : k->rh) : NULL;
    default:
        return NULL;
    }
}

/* The track's file or files, as a whole: the rows that would speak are not there. */
static void add_files(struct mr_assess *a, mr_evidence_list *list, const struct mr_track *track) {
    const size_t ends[] = {0, track->n ? track->n - 1 : 0};
    struct mr_place last = {0};
    for (size_t i = 0; i < MR_COUNT(ends); i++) {
        struct mr_place place = mr_track_place(a->aligned, track, ends[i]);
        place.line = place.line_end = 0;
        if (place.file != NULL && place.file != last.file)
            mr_add_evidence(a, list, place, "placed on the zone, without a record of this time");
        last = place;
    }
}

static const char *called(struct mr_assess *a, const char *instrument, const char *channel) {
    return *channel == '\0' ? instrument
           : *instrument    ? mr_printf(a->arena, "channel %s of %s", channel, instrument)
                            : channel;
}

static void hold(struct mr_period *p, size_t i, const char *name) {
    p->silent[i] = name;
    p->watch[i].unheard = true;
}

static void ask_track(struct mr_assess *a, struct mr_period *p, const struct mr_track *track) {
    int64_t from, to;
    if (!is_placed(p, track, &from, &to))
        return;
    const bool silent = is_silent(p, track, from, to);
    const struct mr_place file = {.file = mr_track_place(a->aligned, track, 0).file};
    if (!silent && !mr_is_doubted(a, p->window->zone, &file))
        return;
    for (size_t i = 0; i < p->n; i++) {
        const struct mr_climate_tracks *k = p->other[i] != NULL ? p->other[i] : &p->tracks;
        const struct mr_track *speaks = in_place_of(k, p->watch[i].quantity, track->meaning);
        if (speaks == NULL || mr_period_rank(speaks, p) >= 2)
            continue;
        if (silent)
            hold(p, i, called(a, track->instrument, track->channel));
        add_files(a, &p->silent_evidence[i], track);
    }
}

/* What a channel measured of which there is no record, nobody knows: a channel is taken for a probe on steel, a whole
 * instrument for all. */
static void ask_assignment(struct mr_assess *a, struct mr_period *p, const struct unanswered *u) {
    const int64_t t0 = mr_local_ms(a->aligned, p->window->t0_utc_ms),
                  t1 = mr_local_ms(a->aligned, p->window->t1_utc_ms);
    const struct mr_assignment *as = u->as;
    if (u->zone != p->window->zone || (as->from_local_ms != MR_T_NONE && as->from_local_ms > t1) ||
        (as->to_local_ms != MR_T_NONE && as->to_local_ms < t0))
        return;
    static const enum mr_meaning all[] = {MR_M_PROBE_TEMP, MR_M_RH, MR_M_AIR};
    for (size_t i = 0; i < p->n; i++)
        for (size_t m = 0; m < (*as->channel == '\0' ? MR_COUNT(all) : 1); m++) {
            const struct mr_climate_tracks *k = p->other[i] != NULL ? p->other[i] : &p->tracks;
            const struct mr_track *speaks = in_place_of(k, p->watch[i].quantity, all[m]);
            if (speaks == NULL || mr_period_rank(speaks, p) >= 2 || p->silent[i] != NULL)
                continue;
            hold(p, i, called(a, as->instrument, as->channel));
            mr_add_evidence(a, &p->silent_evidence[i], as->place, "placed on the zone, without a record");
        }
}

void mr_hear_silent_places(struct mr_assess *a, struct mr_period *p, const struct mr_unanswered *unanswered) {
    for (size_t i = 0; i < a->aligned->tracks.n; i++)
        if (a->aligned->tracks.v[i].stays.n > 0)
            ask_track(a, p, &a->aligned->tracks.v[i]);
    for (size_t i = 0; i < unanswered->list.n; i++)
        ask_assignment(a, p, &unanswered->list.v[i]);
}

void mr_add_silent_evidence(struct mr_assess *a, const struct mr_period *p, size_t i, mr_evidence_list *list) {
    for (size_t k = 0; k < p->silent_evidence[i].n; k++)
        mr_add_evidence(a, list, p->silent_evidence[i].v[k].place, p->silent_evidence[i].v[k].note);
}

void mr_find_silent(struct mr_assess *a, const struct mr_period *p) {
    const char *names = NULL, *who = NULL;
    struct mr_finding f = mr_blank_finding("silent-instrument", MR_WARNING, p->window->zone, p->window->coat);
    for (size_t i = 0; i < p->n; i++) {
        if (p->silent[i] == NULL || mr_climate_judge(p, &p->watch[i]) != MR_NOT_SHOWN)
            continue;
        names = names == NULL ? p->row[i]->title : mr_printf(a->arena, "%s, %s", names, p->row[i]->title);
        who = who == NULL ? p->silent[i] : who;
        if (f.evidence.n == 0)
            mr_add_silent_evidence(a, p, i, &f.evidence);
    }
    if (names == NULL)
        return;
    f.t0_utc_ms = p->from_ms;
    f.t1_utc_ms = p->window->t1_utc_ms;
    f.rule = "the instrument that the job places on a zone speaks for it";
    f.source = MR_SRC_CP;
    f.what = mr_printf(
        a->arena,
        "%s: the job places %s there, and it recorded nothing from %s; another instrument, placed nowhere, "
        "does not stand in for it. Not shown: %s.",
        mr_capitalised(a, mr_zone_label(a, f.zone, f.coat)), who, mr_span_text(a, f.t0_utc_ms, f.t1_utc_ms), names);
    f.next_step =
        "Add its export for that time and check its dates. If it stood elsewhere then, correct its line under "
        "[assign] or its zones under [instrument].";
    mr_add_evidence(a, &f.evidence, p->window->place, "the window");
    mr_add_finding(a, &f);
}
