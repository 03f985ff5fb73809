/*
 * heat_coat.c - what the probes of a zone saw of one coat, taken together.
 *
 * One pulse speaks for a coat: the greatest that began in time. Pulses are never added up, for the second may be the
 * sun; where there are several, the coat's heat is not known. Heat per area is the adiabatic rise times the heat
 * capacity of the plate and of the film on it. The film of one coat is the step in film thickness from coat to
 * coat where each coat was measured, else an equal share of the system's film.
 */
#include "assess/climate/sweep.h"
#include "assess/finding/finding_text.h"
#include "assess/heat/heat.h"
#include "assess/heat/heat_job.h"
#include "assess/heat/heat_turns.h"
#include "assess/heat/steel.h"

#include <math.h>

/* ---- what one probe saw ---- */

/* How a pulse of the coat's track lies to its window; MR_PULSE_NONE where it is no business of this window. */
static enum mr_pulse lies(const struct mr_assess *a, const struct mr_window *w, size_t window,
                          const struct mr_heat_event *e) {
    int64_t slack = mr_setting_ms(&a->job->settings, MR_CLOCK_TOLERANCE);
    int64_t slowest = mr_setting_ms(a->aligned->zones.v[w->zone].settings, MR_RISE_SLOWEST);
    if (e->window == window)
        return e->t_onset > mr_heat_late_from_ms(a, w) + slack ? MR_PULSE_LATE : MR_PULSE_IN_TIME;
    if (e->window == MR_NONE && e->zone == w->zone && e->t_onset < w->t0_utc_ms - slack &&
        e->t_onset >= w->t0_utc_ms - slowest)
        return MR_PULSE_EARLY;
    return MR_PULSE_NONE;
}

/* In time comes before late, late before early; a fit before none; then the greater one. */
static bool speaks_louder(const struct mr_heat_event *e, enum mr_pulse pulse, const struct mr_heat_event *than,
                          enum mr_pulse than_pulse) {
    static const int rank[] = {
        [MR_PULSE_NONE] = 0, [MR_PULSE_EARLY] = 2, [MR_PULSE_LATE] = 3, [MR_PULSE_UNFIT] = 1, [MR_PULSE_IN_TIME] = 4};
    if (rank[pulse] != rank[than_pulse])
        return rank[pulse] > rank[than_pulse];
    bool fits = e->fit == MR_FIT_OK;
    return !than || (fits ? e->rise_fit_k > than->rise_fit_k : e->rise_k > than->rise_k);
}

/* Whether the record holds the rise from before its onset to where it clearly cools. A fit reaches further than the
 * record; what it says there is no evidence. */
static bool is_seen_whole(const struct mr_track *track, const struct mr_heat_event *e, int64_t slowest_ms) {
    const int64_t before = slowest_ms / 10, after = slowest_ms / 3, gap = slowest_ms / 15;
    return mr_track_cover_ms(track, e->t_onset - before, e->t_onset, gap) >= 0.5 * (double)before &&
           mr_track_cover_ms(track, e->t_peak, e->t_peak + after, gap) >= 0.15 * (double)after;
}

static void take_event(const struct mr_assess *a, const struct mr_window *w, struct mr_probe_heat *p) {
    const struct mr_heat_event *e = &a->out->heats.v[p->event];
    int64_t slowest = mr_setting_ms(a->aligned->zones.v[w->zone].settings, MR_RISE_SLOWEST);
    p->onset_s = (double)(e->t_onset - w->t0_utc_ms) * 1e-3;
    p->baseline_c = e->baseline_c;
    p->lower_bound = e->no_baseline || e->no_peak || !is_seen_whole(p->track, e, slowest);
    p->weather = e->weather;
    p->gust_log_sd = e->gust_log_sd;
    p->resolution_k = e->resolution_k;
    if (e->fit != MR_FIT_OK)
        return;
    p->rise_k = e->rise_fit_k;
    p->rise_se_k = e->rise_fit_se_k;
    p->onset_se_s = e->onset_se_s;
    p->k_per_s = e->k_per_s;
    p->tau_s = e->tau_s;
    p->k_se = e->k_se;
    p->tau_se = e->tau_se;
    if (p->n_more == 0) {
        p->adiabatic_k = e->rise_adiabatic_k;
        p->adiabatic_se_k = e->rise_adiabatic_se_k;
    }
}

/* The window of another zone in which a pulse began that does not fit its own. strict: between its start and stop. */
static size_t other_window(const struct mr_assess *a, const struct mr_window *own, const struct mr_heat_event *e,
                           bool strict) {
    int64_t slack = mr_setting_ms(&a->job->settings, MR_CLOCK_TOLERANCE);
    for (size_t i = 0; i < a->aligned->windows.n; i++) {
        const struct mr_window *w = &a->aligned->windows.v[i];
        if (w->zone != own->zone && e->t_onset >= w->t0_utc_ms - slack &&
            e->t_onset <= (strict ? w->t1_utc_ms : mr_heat_late_from_ms(a, w)) + slack)
            return i;
    }
    return MR_NONE;
}

static void choose_pulse(const struct mr_assess *a, size_t window, size_t track, struct mr_probe_heat *p) {
    const struct mr_window *w = &a->aligned->windows.v[window];
    const struct mr_heat_event *best = NULL;
    for (size_t i = 0; i < a->out->heats.n; i++) {
        const struct mr_heat_event *e = &a->out->heats.v[i];
        enum mr_pulse pulse = e->track == track ? lies(a, w, window, e) : MR_PULSE_NONE;
        if (e->fit != MR_FIT_OK && (pulse == MR_PULSE_EARLY || pulse == MR_PULSE_LATE) && e->rise_k > p->stray_k) {
            p->stray_k = e->rise_k;
            p->stray_s = (double)(e->t_onset - w->t0_utc_ms) * 1e-3;
        }
        if (pulse == MR_PULSE_NONE || (e->fit != MR_FIT_OK && pulse != MR_PULSE_IN_TIME))
            continue;
        if (e->fit != MR_FIT_OK)
            pulse = MR_PULSE_UNFIT;
        if (pulse == MR_PULSE_IN_TIME) {
            p->n_more++;
            p->more_k += e->rise_fit_k;
        }
        if (speaks_louder(e, pulse, best, p->pulse)) {
            best = e;
            p->pulse = pulse;
            p->event = i;
        }
    }
    if (!best)
        return;
    if (p->pulse == MR_PULSE_IN_TIME) {
        p->n_more--;
        p->more_k -= best->rise_fit_k;
    }
    take_event(a, w, p);
    if (best->fit == MR_FIT_OK && best->window == window)
        p->also_of = mr_heat_also_of(a, p->event, p->n_more);
    /* In a short window heat is in time for a while after its end, unless another zone is sprayed by then. */
    int64_t slack = mr_setting_ms(&a->job->settings, MR_CLOCK_TOLERANCE) +
                    mr_setting_ms(&a->job->settings, MR_ONSET_LAG) + (int64_t)(2e3 * fmin(p->onset_se_s, 60.0));
    bool behind = p->pulse == MR_PULSE_IN_TIME && best->t_onset > w->t1_utc_ms + slack;
    if (p->pulse == MR_PULSE_EARLY || p->pulse == MR_PULSE_LATE || behind)
        p->other_window = other_window(a, w, best, behind);
}

static void take_absence(const mr_no_pulses *absent, size_t window, size_t track, struct mr_probe_heat *p) {
    for (size_t i = 0; i < absent->n; i++) {
        const struct mr_no_pulse *n = &absent->v[i];
        if (n->window != window || n->track != track || isnan(n->absence.most_k))
            continue;
        p->most_k = n->absence.most_k;
        p->warmed_k = n->absence.warmed_k;
        p->as_the_air = n->absence.as_the_air;
        p->weather = n->absence.weather;
        if (p->pulse == MR_PULSE_NONE || p->pulse == MR_PULSE_UNFIT) {
            p->rise_k = n->absence.rise_k;
            p->rise_se_k = n->absence.rise_se_k;
        }
    }
}

static void look_at_probe(struct mr_assess *a, const mr_no_pulses *absent, struct mr_coat_heat *coat, size_t track,
                          const struct mr_stay *stay) {
    const struct mr_window *w = &a->aligned->windows.v[coat->window];
    const struct mr_settings *set = a->aligned->zones.v[coat->zone].settings;
    struct mr_probe_heat p = {
        .track = &a->aligned->tracks.v[track], .event = MR_NONE, .other_window = MR_NONE, .also_of = MR_NONE};
    p.rise_k = p.rise_se_k = p.most_k = p.warmed_k = p.adiabatic_k = p.adiabatic_se_k = MR_NAN;
    p.shared_loss = p.shared_rate = p.k_per_s = p.tau_s = p.k_se = p.tau_se = p.cooling_s = p.cooling_log_sd =
        p.rate_per_s = p.rate_log_sd = p.onset_s = p.onset_se_s = p.baseline_c = MR_NAN;
    choose_pulse(a, coat->window, track, &p);
    if (p.event == MR_NONE && !stay)
        return;
    take_absence(absent, coat->window, track, &p);
    int64_t from = w->t0_utc_ms, to = mr_heat_late_from_ms(a, w);
    double whole = (double)(to - from);
    if (stay && stay->t0_utc_ms > from)
        from = stay->t0_utc_ms;
    if (stay && stay->t1_utc_ms < to)
        to = stay->t1_utc_ms;
    int64_t gap = mr_setting_ms(set, MR_RISE_SLOWEST) / 6;
    p.coverage_pct = to > from && whole > 0.0 ? 100.0 * mr_track_cover_ms(p.track, from, to, gap) / whole : 0.0;
    /* Steel of a climate log, or of readings by hand, was taken for the dew point: it is a probe of the reaction
     * where it recorded it, and takes nothing away where it did not. */
    if (p.track->meaning == MR_M_STEEL && p.event == MR_NONE && !(p.coverage_pct >= mr_set_num(set, MR_RISE_COVER)))
        return;
    coat->probes[coat->n_probes++] = p;
}

/* The stay of a track on the coat's zone that overlaps the time in which the onset was to be seen. */
static const struct mr_stay *stay_on(const struct mr_assess *a, const struct mr_track *track,
                                     const struct mr_window *w) {
    for (size_t i = 0; i < track->stays.n; i++) {
        const struct mr_stay *s = &track->stays.v[i];
        if (!s->gun && s->zone == w->zone && s->t0_utc_ms <= mr_heat_late_from_ms(a, w) &&
            s->t1_utc_ms >= w->t0_utc_ms)
            return s;
    }
    return NULL;
}

static bool saw(const struct mr_assess *a, size_t window, size_t track) {
    for (size_t i = 0; i < a->out->heats.n; i++)
        if (a->out->heats.v[i].window == window && a->out->heats.v[i].track == track)
            return true;
    return false;
}

static void look_at_probes(struct mr_assess *a, const mr_no_pulses *absent, struct mr_coat_heat *coat) {
    const struct mr_window *w = &a->aligned->windows.v[coat->window];
    coat->probes = MR_ARRAY(a->arena, struct mr_probe_heat, a->aligned->tracks.n);
    for (size_t i = 0; i < a->aligned->tracks.n; i++) {
        const struct mr_track *track = &a->aligned->tracks.v[i];
        const struct mr_stay *stay = stay_on(a, track, w);
        if (track->n && (stay || saw(a, coat->window, i)) &&
            (track->meaning == MR_M_PROBE_TEMP || (track->meaning == MR_M_STEEL && track->stays.n == 1)))
            look_at_probe(a, absent, coat, i, stay);
    }
}

/* ---- film and heat ---- */

struct coat_mean { /* of the readings taken after a coat and before the next */
    double sum;
    size_t n;
};

struct film_steps { /* coat_mean of every zone and coat: at first[zone] + coat */
    size_t *first;
    struct coat_mean *mean;
    const struct mr_zone_film **system; /* of each zone; NULL */
    int *coats;                         /* sprayed on each zone */
};

static struct film_steps film_steps_of(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    size_t zones = al->zones.n, all = 0;
    struct film_steps f = {.first = MR_ARRAY(a->arena, size_t, zones + 1),
                           .system = MR_ARRAY(a->arena, const struct mr_zone_film *, zones),
                           .coats = MR_ARRAY(a->arena, int, zones)};
    for (size_t i = 0; i < al->windows.n; i++)
        if (al->windows.v[i].coat > f.coats[al->windows.v[i].zone])
            f.coats[al->windows.v[i].zone] = al->windows.v[i].coat;
    for (size_t z = 0; z < zones; z++) {
        f.first[z] = all;
        all += (size_t)f.coats[z] + 1;
    }
    f.mean = MR_ARRAY(a->arena, struct coat_mean, all);
    for (size_t i = 0; i < al->readings.n; i++) {
        const struct mr_placed *r = &al->readings.v[i];
        if (r->zone == MR_NONE || r->coat < 0 || r->coat > f.coats[r->zone] || r->aside ||
            r->stage == MR_STAGE_BEFORE_COAT)
            continue;
        struct coat_mean *m = &f.mean[f.first[r->zone] + (size_t)r->coat];
        m->sum += r->reading->film_um;
        m->n++;
    }
    for (size_t i = a->out->films.n; i-- > 0;)
        if (a->out->films.v[i].zone < zones)
            f.system[a->out->films.v[i].zone] = &a->out->films.v[i];
    return f;
}

/* NaN where there are no readings. */
static double mean_after(const struct film_steps *f, size_t zone, int coat) {
    const struct coat_mean *m = &f->mean[f->first[zone] + (size_t)coat];
    return m->n ? m->sum / (double)m->n : MR_NAN;
}

/* The system's film is corrected for base metal or profile, single coats' readings are not: the difference at the
 * last coat is taken off all of them. */
static void set_film(const struct film_steps *f, struct mr_coat_heat *coat) {
    const struct mr_zone_film *system = f->system[coat->zone];
    int coats = f->coats[coat->zone];
    coat->film_um = MR_NAN;
    coat->below_um = 0.0;
    if (!system || isnan(system->mean_um) || coats < 1 || coat->coat < 1)
        return;
    double last = mean_after(f, coat->zone, coats), here = mean_after(f, coat->zone, coat->coat);
    double before = coat->coat > 1 ? mean_after(f, coat->zone, coat->coat - 1) : 0.0;
    double offset = last - system->mean_um;
    if (coats > 1 && !isnan(last) && !isnan(here) && !isnan(before) &&
        here - (coat->coat > 1 ? before : offset) > 0.0) {
        coat->below_um = coat->coat > 1 ? before - offset : 0.0;
        coat->film_um = here - offset - coat->below_um;
        return;
    }
    coat->film_um = system->mean_um / coats;
    coat->below_um = coat->film_um * (coat->coat - 1);
    coat->film_shared = coats > 1;
}

static void set_heat(struct mr_assess *a, struct mr_coat_heat *coat) {
    const struct mr_zone *zone = &a->aligned->zones.v[coat->zone];
    double density = mr_set_num(zone->settings, MR_FILM_DENSITY), specific = mr_set_num(zone->settings, MR_FILM_HEAT);
    double sum = 0.0, squares = 0.0, base = 0.0;
    size_t n = 0;
    coat->capacity = coat->heat = coat->heat_se = MR_NAN;
    for (size_t i = 0; i < coat->n_probes; i++) {
        const struct mr_probe_heat *p = &coat->probes[i];
        if (isnan(p->adiabatic_k) || p->lower_bound)
            continue;
        sum += p->adiabatic_k;
        squares += p->adiabatic_se_k * p->adiabatic_se_k;
        base += p->baseline_c;
        n++;
    }
    if (isnan(zone->steel_mm) || zone->steel_mm <= 0.0)
        return;
    coat->capacity =
        mr_steel_capacity(zone->steel_mm, n ? base / (double)n : 20.0) +
        mr_film_capacity((isnan(coat->film_um) ? 0.0 : coat->film_um) + coat->below_um, density, specific);
    if (n == 0)
        return;
    coat->heat = coat->capacity * sum / (double)n;
    coat->heat_se = coat->capacity * sqrt(squares) / (double)n;
}

void mr_heat_coats(struct mr_assess *a, const mr_no_pulses *absent, mr_coat_heats *out) {
    const struct film_steps steps = film_steps_of(a);
    for (size_t i = 0; i < a->aligned->windows.n; i++) {
        const struct mr_window *w = &a->aligned->windows.v[i];
        struct mr_coat_heat coat = {.window = i, .zone = w->zone, .coat = w->coat};
        look_at_probes(a, absent, &coat);
        set_film(&steps, &coat);
        set_heat(a, &coat);
        MR_PUSH(a->arena, out, coat);
    }
}
