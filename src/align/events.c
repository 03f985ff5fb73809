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

static void take_activity(struct mr_making *m, size_t track) {
    const struct mr_track *t = &m->out->tracks.v[track];
    mr_track_activity(m, t, &m->track_activity[track]);
    if (t->stays.n)
        return;
    for (size_t i = 0; i < m->track_activity[track].n; i++)
        MR_PUSH(m->arena, &m->activity, m->track_activity[track].v[i]);
}

static void take_onsets(struct mr_making *m, size_t track) {
    size_t first = m->onsets.n, kept = first;
    mr_track_onsets(m, track, &m->onsets);
    for (size_t i = first; i < m->onsets.n; i++) {
        struct mr_onset *o = &m->onsets.v[i];
        bool gun;
        o->zone = mr_track_zone(m->out, &m->out->tracks.v[track], o->t_utc_ms, &gun, NULL);
        if (!gun)
            m->onsets.v[kept++] = *o;
    }
    m->onsets.n = kept;
}

void mr_make_events(struct mr_making *m) {
    m->activity.n = m->onsets.n = 0;
    m->track_activity = MR_ARRAY(m->arena, mr_spans, m->out->tracks.n);
    for (size_t i = 0; i < m->out->tracks.n; i++) {
        enum mr_meaning meaning = m->out->tracks.v[i].meaning;
        if (meaning == MR_M_LINE_A || meaning == MR_M_LINE_B)
            take_activity(m, i);
        else if (meaning == MR_M_PROBE_TEMP)
            take_onsets(m, i);
    }
    mr_spans_join(&m->activity, mr_make_setting_ms(m, MR_ACTIVE_PAUSE));
    if (m->onsets.n)
        qsort(m->onsets.v, m->onsets.n, sizeof *m->onsets.v, by_time);
}
