/*
 * placed.c - each reading in its zone, with the way it came there, its coat, its stage and its survey.
 *
 * A reading measures the last coat begun before it. A survey of a zone ends where a coat or a repair of that zone
 * comes between two readings, where the pause is longer than the survey gap, or where the stated coat changes.
 * Readings without a time come first: those of one file are one survey.
 */
#include "align/align_state.h"
#include "numeric/search.h"

#include <stdlib.h>
#include <string.h>

/* Windows and repairs of each zone, in order of time. */
struct history {
    MR_VEC(size_t) windows;  /* index into windows */
    MR_VEC(int64_t) starts;  /* of each of them */
    MR_VEC(int64_t) repairs; /* start of each */
};

struct placer {
    struct mr_align_state *st;
    struct history *zones; /* shape: zones */
    int64_t longest_window_ms;
    int64_t survey_gap_ms;
    bool *by_batch; /* shape: files; see find_batches */
};

/* The registered zone that a batch bears the name of; MR_NONE. */
static size_t zone_of_batch(const struct mr_alignment *a, const char *batch) {
    const size_t zone = *batch ? mr_zone_find(a, batch, NULL) : MR_NONE;
    return zone < a->zones.n && a->zones.v[zone].registered ? zone : MR_NONE;
}

/* A gauge has one word for what it sorts its readings by. Where a file names no zone and each of its batches bears
 * the name of one of the register, a batch is a zone and no area of one. */
static bool *find_batches(struct mr_align_state *st) {
    const struct mr_data *data = st->data;
    bool *all = MR_ARRAY(st->arena, bool, data->files.n);
    for (size_t i = 0; i < data->files.n; i++)
        all[i] = data->files.v[i].kind == MR_KIND_THICKNESS;
    for (size_t i = 0; i < data->readings.n; i++) {
        const struct mr_reading *r = &data->readings.v[i];
        const bool same = i && data->readings.v[i - 1].file == r->file && data->readings.v[i - 1].area == r->area;
        if (all[r->file] && !(same && !*r->zone))
            all[r->file] = !*r->zone && zone_of_batch(st->out, r->area) != MR_NONE;
    }
    return all;
}

static struct placer placer_new(struct mr_align_state *st) {
    struct mr_alignment *a = st->out;
    struct placer p = {.st = st,
                       .zones = MR_ARRAY(st->arena, struct history, a->zones.n),
                       .survey_gap_ms = mr_align_setting_ms(st, MR_SURVEY_GAP),
                       .by_batch = find_batches(st)};
    for (size_t i = 0; i < a->windows.n; i++) {
        const struct mr_window *w = &a->windows.v[i];
        MR_PUSH(st->arena, &p.zones[w->zone].windows, i);
        MR_PUSH(st->arena, &p.zones[w->zone].starts, w->t0_utc_ms);
        if (w->t1_utc_ms - w->t0_utc_ms > p.longest_window_ms)
            p.longest_window_ms = w->t1_utc_ms - w->t0_utc_ms;
    }
    for (size_t i = 0; i < a->actions.n; i++) {
        const struct mr_action_at *r = &a->actions.v[i];
        if (r->log->action == MR_ACTION_REPAIR && r->zone != MR_NONE && r->t0_utc_ms != MR_T_NONE)
            MR_PUSH(st->arena, &p.zones[r->zone].repairs, r->t0_utc_ms);
    }
    return p;
}

static int by_window_start(const void *item, const void *key) {
    const struct mr_window *window = item;
    return mr_order_ms(&window->t0_utc_ms, key);
}

/* The one zone whose window is open at a moment; MR_NONE where none is, or more than one. */
static size_t zone_by_window(const struct placer *p, int64_t t_utc_ms) {
    const struct mr_alignment *a = p->st->out;
    size_t zone = MR_NONE;
    size_t begun = mr_first_after(&t_utc_ms, a->windows.v, a->windows.n, sizeof *a->windows.v, by_window_start);
    for (size_t i = begun; i > 0 && t_utc_ms - a->windows.v[i - 1].t0_utc_ms <= p->longest_window_ms; i--) {
        const struct mr_window *w = &a->windows.v[i - 1];
        if (t_utc_ms > w->t1_utc_ms || w->zone == zone)
            continue;
        if (zone != MR_NONE)
            return MR_NONE;
        zone = w->zone;
    }
    return zone;
}

static void find_zone(const struct placer *p, const struct mr_reading *r, const struct mr_timing *timing,
                      struct mr_placed *out) {
    struct mr_align_state *st = p->st;
    out->route_note = "";
    out->zone = mr_align_zone(st, r->zone);
    out->route = MR_ROUTE_OWN;
    if (out->zone < st->out->zones.n) {
        out->route_note = mr_align_zone_note(st, r->zone, out->zone);
        return;
    }
    out->zone = mr_align_assigned(st, timing->clock, out->t_utc_ms);
    out->route = MR_ROUTE_ASSIGNED;
    if (out->zone == MR_NONE && out->t_utc_ms != MR_T_NONE) {
        out->zone = zone_by_window(p, out->t_utc_ms);
        out->route = MR_ROUTE_WINDOW;
    }
    if (out->zone == MR_NONE)
        out->route = MR_ROUTE_NONE;
}

/* How many of the zone's windows have begun by then. */
static size_t begun(const struct placer *p, size_t zone, int64_t t_utc_ms) {
    const struct history *h = &p->zones[zone];
    return mr_first_ms_after(h->starts.v, h->starts.n, t_utc_ms);
}

static size_t repaired(const struct placer *p, size_t zone, int64_t t_utc_ms) {
    const struct history *h = &p->zones[zone];
    return mr_first_ms_after(h->repairs.v, h->repairs.n, t_utc_ms);
}

static void find_stage(const struct placer *p, const struct mr_reading *r, struct mr_placed *out) {
    const struct mr_alignment *a = p->st->out;
    out->window = MR_NONE;
    out->coat = mr_align_coat(r->coat);
    out->stage = MR_STAGE_UNKNOWN;
    if (out->zone == MR_NONE || out->t_utc_ms == MR_T_NONE)
        return;
    const struct history *h = &p->zones[out->zone];
    size_t done = begun(p, out->zone, out->t_utc_ms), mended = repaired(p, out->zone, out->t_utc_ms);
    const struct mr_window *last = NULL;
    if (done) {
        out->window = h->windows.v[done - 1];
        last = &a->windows.v[out->window];
        if (!out->coat)
            out->coat = last->coat;
    }
    bool own_coat_to_come = false;
    for (size_t i = done; i < h->windows.n && out->coat; i++)
        own_coat_to_come |= a->windows.v[h->windows.v[i]].coat == out->coat;
    for (size_t i = 0; i < done && own_coat_to_come; i++)
        own_coat_to_come = a->windows.v[h->windows.v[i]].coat != out->coat;
    if (mended && (last ? h->repairs.v[mended - 1] >= last->t0_utc_ms : h->windows.n == 0))
        out->stage = MR_STAGE_AFTER_REPAIR;
    else if (own_coat_to_come || (!last && h->windows.n))
        out->stage = MR_STAGE_BEFORE_COAT;
    else if (last)
        out->stage = MR_STAGE_AFTER_COAT;
}

struct queued {
    size_t zone, index;
    int64_t t_utc_ms;
};

static int by_zone_time(const void *a, const void *b) {
    const struct queued *x = a, *y = b;
    if (x->zone != y->zone)
        return x->zone < y->zone ? -1 : 1;
    if (x->t_utc_ms != y->t_utc_ms)
        return x->t_utc_ms < y->t_utc_ms ? -1 : 1;
    return (x->index > y->index) - (x->index < y->index);
}

static bool new_survey(const struct placer *p, const struct mr_placed *a, const struct mr_placed *b) {
    if (b->t_utc_ms == MR_T_NONE)
        return a->reading->file != b->reading->file;
    if (a->t_utc_ms == MR_T_NONE)
        return true;
    return b->t_utc_ms - a->t_utc_ms > p->survey_gap_ms || a->coat != b->coat ||
           begun(p, b->zone, a->t_utc_ms) != begun(p, b->zone, b->t_utc_ms) ||
           repaired(p, b->zone, a->t_utc_ms) != repaired(p, b->zone, b->t_utc_ms);
}

static void number_surveys(const struct placer *p, struct mr_placed *v, size_t n) {
    struct queued *queue = MR_ARRAY(p->st->arena, struct queued, n);
    size_t queued = 0;
    for (size_t i = 0; i < n; i++)
        if (v[i].zone != MR_NONE)
            queue[queued++] = (struct queued){v[i].zone, i, v[i].t_utc_ms};
    qsort(queue, queued, sizeof *queue, by_zone_time);
    for (size_t i = 1; i < queued; i++) {
        const struct mr_placed *before = &v[queue[i - 1].index];
        struct mr_placed *here = &v[queue[i].index];
        if (before->zone == here->zone)
            here->survey = before->survey + new_survey(p, before, here);
    }
    mr_arena_drop(p->st->arena, queue);
}

/* The reading as it is meant: its batch is its zone. */
static const struct mr_reading *with_batch_as_zone(const struct placer *p, const struct mr_reading *r) {
    struct mr_reading *meant = MR_NEW(p->st->arena, struct mr_reading);
    *meant = *r;
    meant->zone = r->area;
    meant->area = "";
    return meant;
}

static struct mr_placed place(const struct placer *p, const struct mr_reading *r) {
    if (p->by_batch[r->file])
        r = with_batch_as_zone(p, r);
    struct mr_timing timing = mr_align_timing(p->st, r->file, r->serial);
    struct mr_placed out = {.reading = r};
    out.t_utc_ms = mr_align_utc(p->st, r->file, r->line, 0, r->t_ms, &timing, &out.aside);
    if (out.aside) {
        out.zone = out.window = MR_NONE;
        out.route = MR_ROUTE_NONE;
        out.route_note = "set aside: its time does not exist or exists twice";
        return out;
    }
    find_zone(p, r, &timing, &out);
    if (p->by_batch[r->file] && !*out.route_note)
        out.route_note = "the batch bears the zone's name";
    find_stage(p, r, &out);
    return out;
}

void mr_align_placed(struct mr_align_state *st) {
    struct mr_alignment *a = st->out;
    struct placer p = placer_new(st);
    a->readings.v = MR_ARRAY(st->arena, struct mr_placed, st->data->readings.n);
    a->readings.n = a->readings.cap = st->data->readings.n;
    for (size_t i = 0; i < st->data->readings.n; i++) {
        a->readings.v[i] = place(&p, &st->data->readings.v[i]);
        if (!a->readings.v[i].aside)
            a->by_route[a->readings.v[i].route]++;
    }
    for (size_t i = 0; i < st->data->base_metal.n; i++)
        MR_PUSH(st->arena, &a->base_metal, place(&p, &st->data->base_metal.v[i]));
    for (size_t i = 0; i < st->data->wet_film.n; i++)
        MR_PUSH(st->arena, &a->wet_film, place(&p, &st->data->wet_film.v[i]));
    number_surveys(&p, a->readings.v, a->readings.n);
    number_surveys(&p, a->base_metal.v, a->base_metal.n);
    for (size_t i = 0; i < st->data->verifications.n; i++) {
        const struct mr_verification *v = &st->data->verifications.v[i];
        struct mr_timing timing = mr_align_timing(st, v->file, v->serial);
        bool aside = false;
        struct mr_checked c = {v, mr_align_utc(st, v->file, v->line, 0, v->t_ms, &timing, &aside)};
        MR_PUSH(st->arena, &a->checks, c);
    }
}
