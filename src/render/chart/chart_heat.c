/*
 * chart_heat.c - one coat's heat on one zone: what the probes showed, the fitted curve, onset, baseline, peak and
 * rise.
 *
 * A coat whose probe shows no event gets its picture too: the flat line is the evidence.
 */
#include "render/chart/chart_heat.h"
#include "render/chart/charts.h"
#include "render/plot/chart_table.h"
#include "render/plot/chart_windows.h"

#include <math.h>

enum { MINUTE_MS = 60000 };

static bool stays_on(const struct mr_track *track, size_t zone, int64_t t0, int64_t t1) {
    for (size_t i = 0; i < track->stays.n; i++) {
        const struct mr_stay *s = &track->stays.v[i];
        if (s->zone == zone && !s->gun && s->t0_utc_ms <= t1 && s->t1_utc_ms >= t0)
            return true;
    }
    return false;
}

static bool has_samples(const struct mr_track *track, int64_t t0, int64_t t1) {
    const size_t i = mr_track_first(track, t0);
    return i < track->n && mr_track_ms(track, i) <= t1;
}

static void add_probe(struct mr_heat_view *v, const struct mr_track *track, const struct mr_heat_event *event) {
    for (size_t i = 0; i < v->n; i++)
        if (v->probe[i].track == track && (!event || v->probe[i].event == event || !v->probe[i].event)) {
            v->probe[i].event = event ? event : v->probe[i].event;
            return;
        }
    if (v->n == MR_PROBES_MOST) {
        v->left_out++;
        return;
    }
    v->probe[v->n++] = (struct mr_heat_probe){track, event};
}

static void find_probes(struct mr_heat_view *v) {
    const struct mr_assessment *a = v->job->a;
    for (size_t i = 0; i < a->heats.n; i++) {
        const struct mr_heat_event *e = &a->heats.v[i];
        if (e->zone == v->zone && e->coat == v->coat && !e->gun && e->track < a->aligned->tracks.n)
            add_probe(v, &a->aligned->tracks.v[e->track], e);
    }
    if (!v->window)
        return;
    const int64_t t0 = v->window->t0_utc_ms, t1 = v->window->t1_utc_ms + 20 * MINUTE_MS;
    for (size_t i = 0; i < a->aligned->tracks.n; i++) {
        const struct mr_track *t = &a->aligned->tracks.v[i];
        if (t->meaning == MR_M_PROBE_TEMP && stays_on(t, v->zone, t0, t1) && has_samples(t, t0, t1))
            add_probe(v, t, NULL);
    }
}

static void find_span(struct mr_heat_view *v) {
    v->t0 = v->window ? v->window->t0_utc_ms : INT64_MAX;
    v->t1 = v->window ? v->window->t1_utc_ms + 10 * MINUTE_MS : INT64_MIN;
    for (size_t i = 0; i < v->n; i++) {
        const struct mr_heat_event *e = v->probe[i].event;
        if (!e)
            continue;
        v->t0 = e->t_onset < v->t0 ? e->t_onset : v->t0;
        v->t1 = e->t_end > v->t1 ? e->t_end : v->t1;
    }
    int64_t lead = (v->t1 - v->t0) / 8; /* room for the bracket */
    lead = lead < 2 * MINUTE_MS ? 2 * MINUTE_MS : lead;
    v->t0 -= lead;
    v->t1 += lead / 4;
}

/* The figures that the coat was judged by. */
static void take_judged(struct mr_heat_view *v) {
    const struct mr_table *t = mr_find_table(v->job->a, "heat-by-coat");
    const char *zone = mr_zone_name(v->job->a, v->zone);
    size_t r = v->window ? mr_row_of(t, 0, zone, v->coat) : MR_NONE;
    while (r != MR_NONE && mr_cell_time(t, r, "start") != v->window->t0_utc_ms)
        r = mr_row_of(t, r + 1, zone, v->coat);
    v->channel = r == MR_NONE ? "" : mr_cell_text(t, r, "channel");
    v->rise_k = r == MR_NONE ? MR_NAN : mr_cell_number(t, r, "rise");
    v->rise_95_k = r == MR_NONE ? MR_NAN : mr_cell_number(t, r, "rise_95");
    v->low_k = r == MR_NONE ? MR_NAN : mr_cell_number(t, r, "band_low");
    v->high_k = r == MR_NONE ? MR_NAN : mr_cell_number(t, r, "band_high");
}

static void add_heat(const struct mr_chart_job *job, mr_chart_list *out, struct mr_heat_view *v) {
    find_probes(v);
    if (v->n == 0)
        return;
    find_span(v);
    struct mr_arena *arena = job->arena;
    const char *zone = mr_zone_name(job->a, v->zone);
    const char *coat = mr_heat_coat(v);
    take_judged(v);
    const struct mr_heat_event *e = v->probe[0].event;
    struct mr_chart chart = {.kind = "reaction", .zone = v->zone, .list = mr_heat_draw(v)};
    chart.alt =
        e ? mr_printf(arena, "Temperature over time of %s, %s, rising %s after the material landed.", zone, coat,
                      mr_shown(arena, isfinite(v->rise_k) ? v->rise_k : e->rise_k, v->rise, 1))
          : mr_printf(arena, "Temperature over time of %s, %s, without a rise that could be found.", zone, coat);
    mr_chart_add(job, out, chart,
                 v->coat > 0 ? mr_printf(arena, "reaction-%s-coat-%d", mr_slug(arena, zone), v->coat)
                             : mr_printf(arena, "reaction-%s-coat-not-known", mr_slug(arena, zone)));
}

/* The first window of the coat, or an empty one for events of no known window. */
static struct mr_heat_view *view_of(const struct mr_chart_job *job, size_t zone, int coat,
                                    const struct mr_window *window) {
    struct mr_heat_view *v = MR_NEW(job->arena, struct mr_heat_view);
    *v = (struct mr_heat_view){.job = job,
                               .zone = zone,
                               .coat = coat,
                               .window = window,
                               .temp = job->display.temp,
                               .rise = job->display.rise};
    return v;
}

static bool has_window(const struct mr_assessment *a, size_t zone, int coat, size_t before) {
    for (size_t i = 0; i < before; i++)
        if (a->aligned->windows.v[i].zone == zone && a->aligned->windows.v[i].coat == coat)
            return true;
    return false;
}

void mr_charts_heat(const struct mr_chart_job *job, mr_chart_list *out) {
    const struct mr_assessment *a = job->a;
    for (size_t z = 0; z < a->aligned->zones.n; z++) {
        for (size_t i = 0; i < a->aligned->windows.n; i++) {
            const struct mr_window *w = &a->aligned->windows.v[i];
            if (w->zone == z && !has_window(a, z, w->coat, i))
                add_heat(job, out, view_of(job, z, w->coat, w));
        }
        for (size_t i = 0; i < a->heats.n; i++) {
            const struct mr_heat_event *e = &a->heats.v[i];
            bool first = e->zone == z && !e->gun && !has_window(a, z, e->coat, a->aligned->windows.n);
            for (size_t k = 0; first && k < i; k++)
                first = !(a->heats.v[k].zone == z && a->heats.v[k].coat == e->coat && !a->heats.v[k].gun);
            if (first)
                add_heat(job, out, view_of(job, z, e->coat, NULL));
        }
    }
}
