/*
 * events.c - what the logs themselves tell about spraying: pulls of the trigger and onsets of heat.
 */
#include "align/align_state.h"

#include <stdlib.h>

static int by_time(const void *a, const void *b) {
    const struct mr_onset *x = a, *y = b;
    if (x->t_utc_ms != y->t_utc_ms)
        return x->t_utc_ms < y->t_utc_ms ? -1 : 1;
    return (x->track > y->track) - (x->track < y->track);
}

static void take_activity(struct mr_align_state *st, size_t track) {
    const struct mr_track *t = &st->out->tracks.v[track];
    mr_track_activity(st, t, &st->track_activity[track]);
    if (t->stays.n)
        return;
    for (size_t i = 0; i < st->track_activity[track].n; i++)
        MR_PUSH(st->arena, &st->activity, st->track_activity[track].v[i]);
}

static void take_onsets(struct mr_align_state *st, size_t track) {
    size_t first = st->onsets.n, kept = first;
    mr_track_onsets(st, track, &st->onsets);
    for (size_t i = first; i < st->onsets.n; i++) {
        struct mr_onset *o = &st->onsets.v[i];
        bool gun;
        o->zone = mr_track_zone(st->out, &st->out->tracks.v[track], o->t_utc_ms, &gun, NULL);
        if (!gun)
            st->onsets.v[kept++] = *o;
    }
    st->onsets.n = kept;
}

void mr_align_events(struct mr_align_state *st) {
    st->activity.n = st->onsets.n = 0;
    st->track_activity = MR_ARRAY(st->arena, mr_spans, st->out->tracks.n);
    for (size_t i = 0; i < st->out->tracks.n; i++) {
        enum mr_meaning meaning = st->out->tracks.v[i].meaning;
        if (meaning == MR_M_LINE_A || meaning == MR_M_LINE_B)
            take_activity(st, i);
        else if (meaning == MR_M_PROBE_TEMP)
            take_onsets(st, i);
    }
    mr_spans_join(&st->activity, mr_align_setting_ms(st, MR_ACTIVE_PAUSE));
    if (st->onsets.n)
        qsort(st->onsets.v, st->onsets.n, sizeof *st->onsets.v, by_time);
}
