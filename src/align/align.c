/*
 * align.c - the stage in order: names, clocks, doubtful times, series, what they tell, windows, shifts; then the
 * clocks are compared, and where the job has the estimates applied, all that depends on time is placed once more.
 * Last, other readings of clocks, places and dates are weighed; what fits better is named and, for clocks, applied on
 * request.
 */
#include "align/align_state.h"

#include <string.h>

static void place_in_time(struct mr_align_state *st) {
    struct mr_alignment *a = st->out;
    st->seqs.n = st->parts.n = 0;
    mr_arena_reset(st->series);
    a->tracks.n = a->windows.n = a->actions.n = a->shifts.n = a->shift_item_shift.n = a->material_utc.n = 0;
    mr_align_seqs(st);
    mr_align_tracks(st);
    mr_align_track_zones(st);
    mr_align_events(st);
    mr_align_windows(st);
    mr_align_detected_windows(st);
    mr_align_shifts(st);
}

/* All has been told the first time. */
static void place_again(struct mr_align_state *st) {
    struct mr_diags *diags = st->diags;
    st->diags = NULL;
    place_in_time(st);
    st->diags = diags;
}

static void later(int64_t *last, int64_t t_utc_ms) {
    if (t_utc_ms != MR_T_NONE && (*last == MR_T_NONE || t_utc_ms > *last))
        *last = t_utc_ms;
}

static int64_t last_moment(const struct mr_alignment *a) {
    int64_t last = MR_T_NONE;
    for (size_t i = 0; i < a->tracks.n; i++)
        later(&last, mr_track_ms(&a->tracks.v[i], a->tracks.v[i].n - 1));
    for (size_t i = 0; i < a->windows.n; i++)
        later(&last, a->windows.v[i].t1_utc_ms);
    for (size_t i = 0; i < a->actions.n; i++)
        later(&last, a->actions.v[i].t1_utc_ms);
    for (size_t i = 0; i < a->readings.n; i++)
        later(&last, a->readings.v[i].t_utc_ms);
    for (size_t i = 0; i < a->base_metal.n; i++)
        later(&last, a->base_metal.v[i].t_utc_ms);
    for (size_t i = 0; i < a->wet_film.n; i++)
        later(&last, a->wet_film.v[i].t_utc_ms);
    for (size_t i = 0; i < a->checks.n; i++)
        later(&last, a->checks.v[i].t_utc_ms);
    for (size_t i = 0; i < a->material_utc.n; i++)
        later(&last, a->material_utc.v[i]);
    return last;
}

static bool empty(const struct mr_data *d) {
    return d->readings.n + d->base_metal.n + d->wet_film.n + d->verifications.n + d->sprays.n + d->shift_items.n +
               d->materials.n + d->zones.n + d->channels.n ==
           0;
}

void mr_align_release(struct mr_arena *arena, const struct mr_alignment *a) {
    bool *lent = MR_ARRAY(arena, bool, a->data->files.n);
    for (size_t i = 0; i < a->tracks.n; i++)
        lent[a->tracks.v[i].file0] |= !mr_is_column(&a->tracks.v[i].file);
    for (size_t i = 0; i < a->data->channels.n; i++) {
        struct mr_channel *c = &a->data->channels.v[i];
        if (lent[c->file])
            continue;
        c->t_ms = c->line = (struct mr_wholes){0};
        c->value = (struct mr_reals){0};
        c->n = 0;
    }
    for (size_t i = 0; i < a->data->files.n; i++)
        if (!lent[i] && a->data->files.v[i].series)
            mr_arena_reset(a->data->files.v[i].series);
}

void mr_align_judged(struct mr_arena *arena, const struct mr_alignment *a) {
    if (!a->own || !a->data->own)
        return;
    mr_arena_drop(arena, a->readings.v);
    mr_arena_drop(arena, a->data->readings.v);
    memset(&a->own->readings, 0, sizeof a->own->readings);
    memset(&a->data->own->readings, 0, sizeof a->data->own->readings);
}

enum mr_status mr_align(struct mr_arena *arena, const struct mr_data *data, struct mr_diags *diags,
                        const struct mr_alignment **out) {
    struct mr_alignment *a = MR_NEW(arena, struct mr_alignment);
    struct mr_align_state st = {.arena = arena, .data = data, .job = data->job, .diags = diags, .out = a};
    *out = a->own = a;
    st.series = mr_arena_child(arena);
    a->data = data;
    a->job = data->job;
    a->diags = diags;
    a->site = mr_align_tzone(&st, data->job->time_zone, (struct mr_place){.file = data->job->file});
    if (!a->site)
        return MR_E_JOB;
    mr_align_zones(&st);
    mr_align_clocks(&st);
    mr_align_folds(&st);
    mr_align_spells(&st);
    place_in_time(&st);
    if (mr_align_estimates(&st))
        place_again(&st);
    if (mr_align_doubt_clocks(&st))
        place_again(&st);
    mr_align_doubt_climate(&st);
    mr_align_doubt_channels(&st);
    mr_align_doubt_rows(&st);
    mr_align_placed(&st);
    mr_align_unlogged(&st);
    mr_align_tell_unused(&st);
    a->last_utc_ms = last_moment(a);
    if (st.job_error)
        return MR_E_JOB;
    return empty(data) ? MR_E_NODATA : MR_OK;
}
