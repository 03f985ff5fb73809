/*
 * heat_events.c - the events of all temperature tracks, with zone, coat and window.
 *
 * A probe that moves between zones jumps in temperature and stands on other steel, so each stay of a track is
 * searched by itself, and so is the time between stays. An event's zone is that of the stay; where no stay says it,
 * the spray window that is open at the onset, if there is only one. Its coat is that of the last window of the zone
 * that had opened by the onset, give or take what a hand-kept start may be wrong. Stretches are searched side by side
 * and their events taken over in order.
 */
#include "assess/finding/finding_text.h"
#include "assess/heat/heat.h"
#include "assess/heat/heat_job.h"
#include "assess/heat/heat_turns.h"
#include "assess/heat/steel.h"
#include "base/pool.h"

#include <math.h>
#include <string.h>

/* One stretch of a track, and what was found in it. */
struct stretch {
    const struct mr_track *track;
    size_t index; /* of the track */
    struct mr_stay stay;
    int64_t zero_ms;
    mr_heat_list found;
    mr_no_pulses absent;
};

struct worker_room { /* memory of one thread */
    struct mr_arena *scratch, *results;
};

struct search {
    struct mr_assess *a;
    struct mr_heat_reference *others; /* shape: tracks that may serve as references */
    size_t n_others;
    const struct mr_track **other_track; /* of each */
    bool *watched;                       /* shape: windows; see find_watched */
    MR_VEC(struct stretch) stretches;    /* by track, then time */
    struct worker_room *room;            /* shape: threads */
};

/* Probes, and steel columns that stand on one zone; the steel column of a hygrometer that serves all is climate. */
static bool carries_heat(const struct mr_track *track) {
    if (track->n == 0)
        return false;
    return track->meaning == MR_M_PROBE_TEMP || (track->meaning == MR_M_STEEL && track->stays.n == 1);
}

static int64_t slack_ms(const struct mr_assess *a) {
    return mr_setting_ms(&a->job->settings, MR_CLOCK_TOLERANCE);
}

/* The last window of the zone that had opened by the onset and was not yet long over. */
static size_t window_of(const struct mr_assess *a, size_t zone, int64_t t_onset) {
    const struct mr_alignment *al = a->aligned;
    size_t best = MR_NONE;
    for (size_t i = 0; i < al->windows.n && al->windows.v[i].t0_utc_ms - slack_ms(a) <= t_onset; i++)
        if (al->windows.v[i].zone == zone)
            best = i;
    return best != MR_NONE && t_onset <= mr_heat_last_onset_ms(a, &al->windows.v[best]) ? best : MR_NONE;
}

/* The one window open at the onset, whatever its zone. */
static size_t only_window(const struct mr_assess *a, int64_t t_onset) {
    size_t found = MR_NONE;
    for (size_t i = 0; i < a->aligned->windows.n; i++) {
        const struct mr_window *w = &a->aligned->windows.v[i];
        if (w->t0_utc_ms - slack_ms(a) > t_onset)
            break;
        if (t_onset > w->t1_utc_ms + slack_ms(a))
            continue;
        if (found != MR_NONE)
            return MR_NONE;
        found = i;
    }
    return found;
}

static struct mr_place lines_of(const struct search *s, const struct mr_track *track, int64_t t0, int64_t t1) {
    size_t i0 = mr_track_first(track, t0), i1 = mr_track_first(track, t1);
    if (i1 >= track->n)
        i1 = track->n - 1;
    struct mr_place place = mr_track_place(s->a->aligned, track, i0), last = place;
    for (size_t i = i1; i > i0; i--) { /* an event over two files is named by the first */
        last = mr_track_place(s->a->aligned, track, i);
        if (last.file == place.file)
            break;
    }
    place.line_end = last.line > place.line ? last.line : 0;
    return place;
}

static const struct mr_heat_term *carried_terms(struct mr_arena *arena, const struct mr_heat_found *f) {
    struct mr_heat_term *out = MR_ARRAY(arena, struct mr_heat_term, f->n_carried);
    for (size_t i = 0; i < f->n_carried; i++) {
        const struct mr_heat_curve *c = &f->carried[i];
        out[i] = (struct mr_heat_term){f->onset_s - c->onset_s, c->adiabatic_k, c->k_per_s, c->tau_s};
    }
    return out;
}

static int64_t moment(int64_t zero_ms, double s) {
    return zero_ms + (int64_t)llround(s * 1e3);
}

static const struct mr_heat_share *shared_terms(struct mr_arena *arena, const struct mr_heat_found *f,
                                                int64_t zero_ms) {
    struct mr_heat_share *out = MR_ARRAY(arena, struct mr_heat_share, f->shared.n);
    for (size_t i = 0; i < f->shared.n; i++)
        out[i] = (struct mr_heat_share){moment(zero_ms, f->shared.t_s[i]), f->shared.k[i]};
    return out;
}

static void set_fit(struct mr_arena *arena, const struct mr_heat_found *f, int64_t zero_ms, struct mr_heat_event *e) {
    e->fit = f->fit;
    e->fit_note = f->fit_note;
    e->rise_fit_k = f->rise_fit_k;
    e->rise_fit_se_k = f->rise_fit_se_k;
    e->rise_adiabatic_k = f->curve.adiabatic_k;
    e->rise_adiabatic_se_k = f->adiabatic_se_k;
    e->k_per_s = f->curve.k_per_s;
    e->tau_s = f->curve.tau_s;
    e->k_se = f->k_se;
    e->tau_se = f->tau_se;
    e->onset_se_s = f->onset_se_s;
    e->line_c = f->line_c;
    e->drift_k_per_s = f->drift_k_per_s;
    e->bend_k_per_s2 = f->bend_k_per_s2;
    e->rmse_k = f->rmse_k;
    e->resolution_k = f->resolution_k;
    e->weather = f->rmse_k > 2.0 * f->noise_k;
    e->gust_log_sd = f->gust_log_sd;
    e->n_carried = f->n_carried;
    e->n_shared = f->shared.n;
    e->shared = shared_terms(arena, f, zero_ms);
    e->carried = carried_terms(arena, f);
}

static void keep(const struct search *s, const struct stretch *from, const struct mr_heat_found *f) {
    const struct mr_stay *stay = &from->stay;
    const int64_t zero_ms = from->zero_ms;
    struct mr_heat_event e = {
        .track = from->index, .zone = stay->zone, .window = MR_NONE, .gun = stay->gun, .route = stay->route};
    e.t_baseline = moment(zero_ms, f->baseline_from_s);
    e.t_onset = moment(zero_ms, f->onset_s);
    e.t_peak = moment(zero_ms, f->peak_s);
    e.t_end = moment(zero_ms, f->end_s);
    e.baseline_c = f->baseline_c;
    e.peak_c = f->peak_c;
    e.rise_k = f->rise_k;
    e.rise_se_k = f->rise_se_k;
    e.rate_k_per_s = f->rate_k_per_s;
    e.time_above_half_s = f->time_above_half_s;
    e.area_k_s = f->area_k_s;
    e.no_baseline = f->no_baseline;
    e.no_peak = f->no_peak;
    set_fit(s->a->arena, f, zero_ms, &e);
    e.time_to_peak_s = f->fit == MR_FIT_OK ? mr_heat_peak_delay(&f->curve) : f->peak_s - f->onset_s;
    if (f->aside) { /* it speaks for no coat */
    } else if (!e.gun && e.zone == MR_NONE) {
        e.window = only_window(s->a, e.t_onset);
        if (e.window != MR_NONE) {
            e.zone = s->a->aligned->windows.v[e.window].zone;
            e.route = MR_ROUTE_WINDOW;
        }
    } else if (!e.gun) {
        e.window = window_of(s->a, e.zone, e.t_onset);
    }
    e.coat = e.window == MR_NONE ? 0 : s->a->aligned->windows.v[e.window].coat;
    e.place = lines_of(s, from->track, e.t_onset, e.t_end);
    MR_PUSH(s->a->arena, &s->a->out->heats, e);
}

/* ---- what is known before ---- */

/* Windows on whose zone a probe stands while their heat should show. */
static void find_watched(struct search *s) {
    const struct mr_alignment *al = s->a->aligned;
    s->watched = MR_ARRAY(s->a->arena, bool, al->windows.n);
    for (size_t i = 0; i < al->tracks.n; i++)
        for (size_t k = 0; carries_heat(&al->tracks.v[i]) && k < al->tracks.v[i].stays.n; k++) {
            const struct mr_stay *stay = &al->tracks.v[i].stays.v[k];
            for (size_t w = 0; w < al->windows.n; w++)
                if (!stay->gun && stay->zone == al->windows.v[w].zone &&
                    stay->t0_utc_ms <= al->windows.v[w].t0_utc_ms &&
                    stay->t1_utc_ms >= mr_heat_late_from_ms(s->a, &al->windows.v[w]))
                    s->watched[w] = true;
        }
}

/* Windows whose heat a stay may show: those of its zone; where the probe stands nowhere, those that no probe watches,
 * for a probe that stood on the zone knows better than a neighbour. NULL at the gun. window: of each. */
static struct mr_heat_focus *focus_of(const struct search *s, struct mr_arena *scratch, const struct mr_stay *stay,
                                      size_t *out_n, size_t **out_window) {
    const struct mr_alignment *al = s->a->aligned;
    *out_n = 0;
    if (stay->gun)
        return NULL;
    int64_t slack = slack_ms(s->a);
    struct mr_heat_focus *focus = MR_ARRAY(scratch, struct mr_heat_focus, al->windows.n + 1);
    *out_window = MR_ARRAY(scratch, size_t, al->windows.n + 1);
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        int64_t slowest = mr_setting_ms(al->zones.v[w->zone].settings, MR_RISE_SLOWEST);
        int64_t last = mr_heat_last_onset_ms(s->a, w);
        if ((stay->zone == MR_NONE ? s->watched[i] : w->zone != stay->zone) || last < stay->t0_utc_ms ||
            w->t0_utc_ms > stay->t1_utc_ms)
            continue;
        (*out_window)[*out_n] = i;
        focus[(*out_n)++] = (struct mr_heat_focus){.early_ms = w->t0_utc_ms - slowest,
                                                   .from_ms = w->t0_utc_ms - slack,
                                                   .late_ms = mr_heat_late_from_ms(s->a, w) + slack,
                                                   .last_ms = last};
    }
    return focus;
}

/* When a track is no reference: while its zone is sprayed and still warm from it, and where it moves. */
static void add_busy(const struct search *s, const struct mr_track *track, struct mr_heat_reference *r) {
    const struct mr_alignment *al = s->a->aligned;
    int64_t(*busy)[2] = mr_alloc(s->a->arena, al->windows.n + 2 * track->stays.n + 1, sizeof *busy);
    for (size_t k = 0; k < track->stays.n; k++) {
        const struct mr_stay *stay = &track->stays.v[k];
        if (stay->gun) {
            busy[r->n_busy][0] = stay->t0_utc_ms;
            busy[r->n_busy++][1] = stay->t1_utc_ms;
            continue;
        }
        busy[r->n_busy][0] = busy[r->n_busy][1] = stay->t0_utc_ms;
        r->n_busy++;
        for (size_t i = 0; i < al->windows.n; i++) {
            const struct mr_window *w = &al->windows.v[i];
            if (w->zone != stay->zone || w->t0_utc_ms > stay->t1_utc_ms || w->t1_utc_ms < stay->t0_utc_ms)
                continue;
            busy[r->n_busy][0] = w->t0_utc_ms - slack_ms(s->a);
            busy[r->n_busy++][1] = mr_heat_last_onset_ms(s->a, w);
        }
    }
    r->busy_ms = (const int64_t(*)[2])busy;
}

static void gather_references(struct search *s) {
    const struct mr_alignment *al = s->a->aligned;
    s->others = MR_ARRAY(s->a->arena, struct mr_heat_reference, al->tracks.n);
    s->other_track = MR_ARRAY(s->a->arena, const struct mr_track *, al->tracks.n);
    for (size_t i = 0; i < al->tracks.n; i++) {
        const struct mr_track *t = &al->tracks.v[i];
        if (t->n < 5 || (t->meaning != MR_M_PROBE_TEMP && t->meaning != MR_M_STEEL && t->meaning != MR_M_AIR))
            continue;
        struct mr_heat_reference r = {
            .n = t->n, .t_ms = t->t_utc_ms, .value = t->value, .air = t->meaning == MR_M_AIR};
        add_busy(s, t, &r);
        s->other_track[s->n_others] = t;
        s->others[s->n_others++] = r;
    }
}

/* All but the track itself. */
static struct mr_heat_references references_of(const struct search *s, struct mr_arena *scratch,
                                               const struct mr_track *track) {
    struct mr_heat_reference *v = MR_ARRAY(scratch, struct mr_heat_reference, s->n_others);
    size_t n = 0;
    for (size_t i = 0; i < s->n_others; i++)
        if (s->other_track[i] != track)
            v[n++] = s->others[i];
    return (struct mr_heat_references){n, v};
}

/* ---- the search ---- */

static void search_stretch(void *ctx, size_t piece, size_t worker) {
    const struct search *s = ctx;
    struct stretch *here = &s->stretches.v[piece];
    const struct mr_stay *stay = &here->stay;
    const struct mr_track *track = here->track;
    struct mr_arena *scratch = s->room[worker].scratch, *results = s->room[worker].results;
    size_t i0 = stay->t0_utc_ms == INT64_MIN ? 0 : mr_track_first(track, stay->t0_utc_ms);
    size_t i1 = stay->t1_utc_ms == INT64_MAX ? track->n : mr_track_first(track, stay->t1_utc_ms + 1);
    if (i1 < i0 + 5)
        return;
    const struct mr_settings *set =
        stay->zone == MR_NONE ? &s->a->job->settings : s->a->aligned->zones.v[stay->zone].settings;
    struct mr_heat_series series = {.n = i1 - i0,
                                    .t_ms = mr_wholes_from(track->t_utc_ms, i0),
                                    .zero_ms = mr_track_ms(track, i0),
                                    .value = mr_reals_from(track->value, i0)};
    struct mr_heat_options options = {.slowest_s = mr_set_num(set, MR_RISE_SLOWEST),
                                      .least_k = mr_heat_least_k(s->a, stay->zone)};
    if (isnan(options.slowest_s))
        options.slowest_s = 0.0;
    mr_arena_reset(scratch);
    struct mr_heat_references references = references_of(s, scratch, track);
    struct mr_heat_usual usual = mr_heat_usual_of(s->a, stay->zone);
    size_t *window = NULL;
    options.references = &references;
    if (!stay->gun && options.slowest_s > 0.0)
        options.usual = &usual;
    options.focus = focus_of(s, scratch, stay, &options.n_focus, &window);
    options.absence =
        options.focus && stay->zone != MR_NONE ? MR_ARRAY(scratch, struct mr_heat_absence, options.n_focus) : NULL;
    here->zero_ms = series.zero_ms;
    mr_heat_find(results, scratch, &series, &options, &here->found);
    for (size_t i = 0; options.absence && i < options.n_focus; i++) {
        struct mr_no_pulse none = {.window = window[i], .track = here->index, .absence = options.absence[i]};
        MR_PUSH(results, &here->absent, none);
    }
}

static void add_stretch(struct search *s, size_t index, const struct mr_stay *stay) {
    struct stretch stretch = {.track = &s->a->aligned->tracks.v[index], .index = index, .stay = *stay};
    MR_PUSH(s->a->arena, &s->stretches, stretch);
}

/* Stays, and what lies between them, in order of time. */
static void add_stretches(struct search *s, size_t index) {
    const struct mr_track *track = &s->a->aligned->tracks.v[index];
    int64_t next = INT64_MIN;
    const struct mr_stay nowhere = {.zone = MR_NONE, .route = MR_ROUTE_NONE};
    for (size_t i = 0; i < track->stays.n; i++) {
        const struct mr_stay *stay = &track->stays.v[i];
        struct mr_stay before = nowhere;
        before.t0_utc_ms = next;
        before.t1_utc_ms = stay->t0_utc_ms == INT64_MIN ? INT64_MIN : stay->t0_utc_ms - 1;
        if (before.t1_utc_ms > before.t0_utc_ms)
            add_stretch(s, index, &before);
        add_stretch(s, index, stay);
        if (stay->t1_utc_ms == INT64_MAX)
            return;
        next = stay->t1_utc_ms + 1;
    }
    struct mr_stay rest = nowhere;
    rest.t0_utc_ms = next;
    rest.t1_utc_ms = INT64_MAX;
    add_stretch(s, index, &rest);
}

void mr_heat_collect(struct mr_assess *a, mr_no_pulses *absent) {
    struct search s = {.a = a, .room = MR_ARRAY(a->arena, struct worker_room, mr_pool_most())};
    for (size_t i = 0; i < mr_pool_most(); i++)
        s.room[i] = (struct worker_room){mr_arena_like(a->arena), mr_arena_like(a->arena)};
    gather_references(&s);
    find_watched(&s);
    for (size_t i = 0; i < a->aligned->tracks.n; i++)
        if (carries_heat(&a->aligned->tracks.v[i]))
            add_stretches(&s, i);
    mr_pool_each(s.stretches.n, search_stretch, &s);
    for (size_t i = 0; i < s.stretches.n; i++) {
        const struct stretch *here = &s.stretches.v[i];
        for (size_t k = 0; k < here->found.n; k++)
            keep(&s, here, &here->found.v[k]);
        for (size_t k = 0; k < here->absent.n; k++)
            MR_PUSH(a->arena, absent, here->absent.v[k]);
    }
    mr_heat_settle_turns(a);
    for (size_t i = 0; i < mr_pool_most(); i++) {
        mr_arena_free(s.room[i].scratch);
        mr_arena_free(s.room[i].results);
    }
}
