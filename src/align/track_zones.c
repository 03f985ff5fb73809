/*
 * track_zones.c - in which zone each track was, and when.
 *
 * Strongest first: the zone that a file or channel states itself, for the time that the file covers; the job's
 * assignment of that channel; the job's assignment of the whole instrument; a channel that is called like a zone of
 * the register. A weaker source fills only the time that the stronger ones leave. A hygrometer may stand for several
 * zones at once.
 */
#include "align/align_state.h"

#include "base/keyfile.h"
#include "base/text.h"

#include <stdlib.h>
#include <string.h>

/* The job's own times are those of the site. In the hour that exists twice a span is taken at its longest. */
static int64_t site_utc(const struct mr_align_state *st, int64_t local_ms, bool last, int64_t open) {
    if (local_ms == MR_T_NONE)
        return open;
    struct mr_tz_cursor cursor = mr_tz_cursor(st->out->site);
    struct mr_tz_moment moment = mr_tz_to_utc(&cursor, local_ms);
    return last ? moment.last_utc_ms : moment.first_utc_ms;
}

static bool same_channel(const char *a, const char *b) {
    return mr_text_equal_fold(a, strlen(a), b, strlen(b));
}

static void check_overlaps(struct mr_align_state *st) {
    for (size_t i = 0; i < st->spells.n; i++)
        for (size_t k = 0; k < i; k++) {
            const struct mr_spell *a = &st->spells.v[k], *b = &st->spells.v[i];
            bool same_thing = a->clock == b->clock && a->clock != MR_NONE && same_channel(a->channel, b->channel);
            if (same_thing && a->zone != b->zone && a->t0_utc_ms < b->t1_utc_ms && b->t0_utc_ms < a->t1_utc_ms)
                mr_align_error(st, "assignment-overlap", b->place, b->channel,
                               "Let one assignment end before the next begins.",
                               "this channel is assigned to two zones at the same time");
        }
}

void mr_align_spells(struct mr_align_state *st) {
    st->spells.n = 0;
    for (size_t i = 0; i < st->job->assignments.n; i++) {
        const struct mr_assignment *a = &st->job->assignments.v[i];
        const struct mr_instrument *inst = mr_job_instrument(st->job, a->instrument);
        struct mr_spell s = {.clock = mr_names_get(&st->instrument_clock, inst ? inst->name : a->instrument),
                             .channel = a->channel ? a->channel : "",
                             .zone = mr_align_zone(st, a->zone),
                             .t0_utc_ms = site_utc(st, a->from_local_ms, false, INT64_MIN),
                             .t1_utc_ms = site_utc(st, a->to_local_ms, true, INT64_MAX),
                             .place = a->place};
        if (s.t1_utc_ms < s.t0_utc_ms)
            mr_align_error(st, "assignment-span", a->place, a->zone, "Write the earlier moment first.",
                           "this assignment ends before it begins");
        if (s.zone == MR_NONE)
            mr_align_error(st, "assignment-zone", a->place, a->zone, "Write the zone's name as in the zone register.",
                           "this name matches no zone, or more than one");
        MR_PUSH(st->arena, &st->spells, s);
    }
    check_overlaps(st);
}

size_t mr_align_assigned(struct mr_align_state *st, size_t clock, int64_t t_utc_ms) {
    for (size_t i = 0; i < st->spells.n && clock != MR_NONE && t_utc_ms != MR_T_NONE; i++) {
        struct mr_spell *s = &st->spells.v[i];
        if (s->clock != clock || *s->channel || t_utc_ms < s->t0_utc_ms || t_utc_ms > s->t1_utc_ms)
            continue;
        s->used = true;
        return s->zone == MR_ZONE_GUN ? MR_NONE : s->zone;
    }
    return MR_NONE;
}

static int by_start(const void *a, const void *b) {
    const struct mr_stay *x = a, *y = b;
    if (x->t0_utc_ms != y->t0_utc_ms)
        return x->t0_utc_ms < y->t0_utc_ms ? -1 : 1;
    return (x->zone > y->zone) - (x->zone < y->zone);
}

/* Adds what of the stay no earlier one covers. The list stays sorted and free of overlaps. */
static void add_where_free(struct mr_align_state *st, struct mr_track *track, struct mr_stay stay) {
    int64_t from = stay.t0_utc_ms;
    size_t n = track->stays.n;
    for (size_t i = 0; i <= n; i++) {
        int64_t taken0 = i < n ? track->stays.v[i].t0_utc_ms : INT64_MAX;
        int64_t taken1 = i < n ? track->stays.v[i].t1_utc_ms : INT64_MAX;
        struct mr_stay piece = stay;
        piece.t0_utc_ms = from;
        piece.t1_utc_ms = i < n && taken0 <= stay.t1_utc_ms ? taken0 - (taken0 > INT64_MIN) : stay.t1_utc_ms;
        if (piece.t0_utc_ms <= piece.t1_utc_ms && !(taken0 == INT64_MIN && i < n))
            MR_PUSH(st->arena, &track->stays, piece);
        if (i == n || taken1 >= stay.t1_utc_ms)
            break;
        from = taken1 >= from ? taken1 + 1 : from;
    }
    qsort(track->stays.v, track->stays.n, sizeof *track->stays.v, by_start);
}

static void set_zone(struct mr_stay *stay, size_t zone) {
    stay->gun = zone == MR_ZONE_GUN;
    stay->zone = stay->gun || zone == MR_ZONE_ELSEWHERE ? MR_NONE : zone;
}

/* Zones that the files state: where they agree, for all time. */
static void own_stays(struct mr_align_state *st, size_t track, size_t part0, size_t part1) {
    struct mr_track *t = &st->out->tracks.v[track];
    const char *only = NULL;
    bool agree = true;
    for (size_t i = part0; i < part1; i++) {
        const char *zone = st->data->channels.v[st->parts.v[i].channel].zone;
        zone = zone ? zone : "";
        agree &= !only || mr_align_zone(st, only) == mr_align_zone(st, zone);
        only = zone;
    }
    for (size_t i = part0; i < part1; i++) {
        const struct mr_channel *c = &st->data->channels.v[st->parts.v[i].channel];
        const struct mr_seq *seq = &st->seqs.v[st->channel_seq[st->parts.v[i].channel]];
        if (!c->zone || !*c->zone)
            continue;
        struct mr_stay stay = {.t0_utc_ms = agree ? INT64_MIN : seq->first_utc_ms,
                               .t1_utc_ms = agree ? INT64_MAX : seq->last_utc_ms,
                               .route = MR_ROUTE_OWN};
        const size_t zone = mr_align_zone(st, c->zone);
        set_zone(&stay, zone);
        if (stay.gun || stay.zone != MR_NONE || zone == MR_ZONE_ELSEWHERE)
            add_where_free(st, t, stay);
        if (agree)
            break;
    }
}

static void assigned_stays(struct mr_align_state *st, struct mr_track *t, bool whole) {
    for (size_t i = 0; i < st->spells.n; i++) {
        struct mr_spell *s = &st->spells.v[i];
        if (s->clock != t->clock ||
            (whole ? *s->channel != '\0' : !same_channel(s->channel, t->channel) || !*s->channel))
            continue;
        s->used = true;
        struct mr_stay stay = {.t0_utc_ms = s->t0_utc_ms, .t1_utc_ms = s->t1_utc_ms, .route = MR_ROUTE_ASSIGNED};
        set_zone(&stay, s->zone);
        add_where_free(st, t, stay);
    }
}

static bool is_climate(enum mr_meaning meaning) {
    return meaning == MR_M_AIR || meaning == MR_M_RH || meaning == MR_M_STEEL || meaning == MR_M_DEW;
}

/* [instrument] zones = A, B: open stays side by side. */
static void stands_for(struct mr_align_state *st, struct mr_track *t) {
    const struct mr_instrument *inst = *t->instrument ? mr_job_instrument(st->job, t->instrument) : NULL;
    const char *p = inst && inst->zones && is_climate(t->meaning) && !t->stays.n ? inst->zones : "";
    char name[MR_ZONE_KEY_MAX];
    while ((p = mr_name_next(p, ",", name))) {
        size_t zone = mr_align_zone(st, name);
        if (zone < st->out->zones.n) {
            struct mr_stay stay = {
                .zone = zone, .t0_utc_ms = INT64_MIN, .t1_utc_ms = INT64_MAX, .route = MR_ROUTE_ASSIGNED};
            MR_PUSH(st->arena, &t->stays, stay);
        } else if (t->meaning == MR_M_AIR) {
            mr_align_error(st, "instrument-zone", inst->place, name, "Write the zone's name as in the zone register.",
                           "this name matches no zone, or more than one");
        }
    }
}

static void named_like_zone(struct mr_align_state *st, struct mr_track *t) {
    char key[MR_ZONE_KEY_MAX];
    mr_zone_key(t->channel, key);
    size_t zone = mr_names_get(&st->keys, key);
    if (zone >= st->out->zones.n || !st->out->zones.v[zone].registered)
        return;
    struct mr_stay stay = {.zone = zone, .t0_utc_ms = INT64_MIN, .t1_utc_ms = INT64_MAX, .route = MR_ROUTE_OWN};
    add_where_free(st, t, stay);
}

/* A probe at the gun, or in the cup of the mix check, is on no steel, whatever warms it. */
static void named_as_gun(struct mr_align_state *st, struct mr_track *t) {
    static const char *const names[] = {"gun", "mix check", "mixcheck", "pistole", "pistolet", "pistola", "pistool"};
    const char *words = mr_fold(st->arena, t->channel, strlen(t->channel));
    bool gun = false;
    for (size_t i = 0; i < MR_COUNT(names) && !t->stays.n; i++) {
        const char *at = strstr(words, names[i]);
        const size_t n = strlen(names[i]);
        gun |= at && (at == words || at[-1] == ' ') && (at[n] == ' ' || at[n] == '\0');
    }
    if (!gun)
        return;
    struct mr_stay stay = {
        .zone = MR_NONE, .gun = true, .t0_utc_ms = INT64_MIN, .t1_utc_ms = INT64_MAX, .route = MR_ROUTE_OWN};
    add_where_free(st, t, stay);
}

void mr_align_track_zones(struct mr_align_state *st) {
    for (size_t i = 0, end; i < st->parts.n; i = end) {
        size_t track = st->parts.v[i].track;
        struct mr_track *t = &st->out->tracks.v[track];
        for (end = i + 1; end < st->parts.n && st->parts.v[end].track == track;)
            end++;
        own_stays(st, track, i, end);
        assigned_stays(st, t, false);
        assigned_stays(st, t, true);
        stands_for(st, t);
        if (t->meaning == MR_M_PROBE_TEMP || t->meaning == MR_M_STEEL)
            named_like_zone(st, t);
        if (t->meaning == MR_M_PROBE_TEMP)
            named_as_gun(st, t);
    }
}

/* --- assignments that no data answer to: one message an instrument, with the names that exist ----------------- */

enum { MOST_NAMES = 12, MOST_TOLD = 5 };

typedef MR_VEC(const char *) name_list;

static void add_name(struct mr_arena *arena, name_list *list, const char *name) {
    for (size_t i = 0; i < list->n; i++)
        if (strcmp(list->v[i], name) == 0)
            return;
    if (*name)
        MR_PUSH(arena, list, name);
}

/* "T1, T2, T3 and 4 more" */
static const char *joined(struct mr_arena *arena, const name_list *list, size_t most) {
    const char *text = "";
    for (size_t i = 0; i < list->n && i < most; i++)
        text = i == 0 ? list->v[0] : mr_printf(arena, "%s, %s", text, list->v[i]);
    return list->n <= most ? text : mr_printf(arena, "%s and %zu more", text, list->n - most);
}

/* Names that files have: channels of a clock, or all instruments where clock is MR_NONE. */
static name_list existing_names(struct mr_align_state *st, size_t clock) {
    name_list list = {0};
    for (size_t i = 0; i < st->out->tracks.n; i++) {
        const struct mr_track *t = &st->out->tracks.v[i];
        if (clock == MR_NONE || t->clock == clock)
            add_name(st->arena, &list, clock == MR_NONE ? t->instrument : t->channel);
    }
    return list;
}

static const char *advice(struct mr_align_state *st, size_t clock, const name_list *wanted) {
    name_list names = existing_names(st, clock);
    const char *things = clock == MR_NONE ? "instruments" : "channels";
    if (!names.n)
        return mr_printf(st->arena, "No file names its %s; `milrise explain FILE` shows what each file holds.",
                         things);
    const char *near = mr_nearest(wanted->v[0], names.v, names.n);
    const char *nearest = near ? mr_printf(st->arena, " The nearest to \"%s\" is \"%s\".", wanted->v[0], near) : "";
    return mr_printf(st->arena, "The %s in the files are: %s.%s Correct the name in the job file.", things,
                     joined(st->arena, &names, MOST_NAMES), nearest);
}

static void tell_instrument(struct mr_align_state *st, size_t first, bool *told) {
    const struct mr_spell *s = &st->spells.v[first];
    const char *instrument = st->job->assignments.v[first].instrument;
    name_list wanted = {0};
    size_t n = 0;
    for (size_t i = first; i < st->spells.n; i++) {
        if (st->spells.v[i].used || strcmp(st->job->assignments.v[i].instrument, instrument) != 0)
            continue;
        told[i] = true;
        n++;
        add_name(st->arena, &wanted, s->clock == MR_NONE ? instrument : st->spells.v[i].channel);
    }
    if (!wanted.n)
        add_name(st->arena, &wanted, instrument);
    const char *often = n > 1 ? mr_printf(st->arena, " (%zu assignments)", n) : "";
    const char *what = s->clock == MR_NONE ? "no file comes from this instrument"
                                           : mr_printf(st->arena, "the files of %s hold no such channel", instrument);
    mr_diag_add(st->diags, MR_WARNING, "assignment-unused", s->place, joined(st->arena, &wanted, MOST_TOLD),
                advice(st, s->clock, &wanted), "%s%s", what, often);
}

void mr_align_tell_unused(struct mr_align_state *st) {
    bool *told = MR_ARRAY(st->arena, bool, st->spells.n);
    for (size_t i = 0; i < st->spells.n; i++)
        if (!st->spells.v[i].used && !told[i])
            tell_instrument(st, i, told);
}
