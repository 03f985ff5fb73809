/*
 * heat_coat.c - what the probes of a zone saw of one coat, taken together.
 *
 * A coat may land in several passes, each of which warms the steel: its rise is the greatest sum of all of them above
 * what the steel would have done without the coat, its heat the sum. Heat per area is the adiabatic rise times the
 * heat capacity of the plate and of the film on it. The film of one coat is the step in film thickness from coat to
 * coat where each coat was measured, else an equal share of the system's film.
 */
#include "assess/climate/sweep.h"
#include "assess/finding/finding_text.h"
#include "assess/heat/heat.h"
#include "assess/heat/heat_job.h"
#include "assess/heat/steel.h"

#include <math.h>

double mr_band_factor(struct mr_assess *a, const struct mr_coat_heat *coat, bool *out_steel, bool *out_film) {
    const struct mr_zone *zone = &a->aligned->zones.v[coat->zone];
    double steel_mm = mr_set_num(zone->settings, MR_RISE_STEEL), film_um = mr_set_num(zone->settings, MR_RISE_FILM);
    double density = mr_set_num(zone->settings, MR_FILM_DENSITY), heat = mr_set_num(zone->settings, MR_FILM_HEAT);
    double factor = 1.0, here = isnan(coat->film_um) ? 0.0 : coat->film_um;
    *out_steel = !isnan(steel_mm) && steel_mm > 0.0 && !isnan(zone->steel_mm) && zone->steel_mm > 0.0;
    *out_film = !isnan(film_um) && film_um > 0.0 && here > 0.0;
    if (*out_film)
        factor *= here / film_um;
    if (*out_steel) {
        double there = *out_film ? film_um : here;
        factor *= (mr_steel_capacity(steel_mm, 20.0) + mr_film_capacity(there, density, heat)) /
                  (mr_steel_capacity(zone->steel_mm, 20.0) + mr_film_capacity(here, density, heat));
    }
    return factor;
}

/* ---- what one probe saw ---- */

/* Greatest sum of several fitted events, sampled finely enough for 0.1 %. */
static double summed_peak(const struct mr_heat_event *const *events, size_t n) {
    double first = (double)events[0]->t_onset * 1e-3, last = (double)events[n - 1]->t_onset * 1e-3 - first;
    last += 1.5 * events[n - 1]->time_to_peak_s;
    double best = 0.0;
    for (int step = 0; step <= 1000; step++) {
        double t = last * step / 1000.0, sum = 0.0;
        for (size_t i = 0; i < n; i++) {
            struct mr_heat_curve curve = {(double)events[i]->t_onset * 1e-3 - first, events[i]->rise_adiabatic_k,
                                          events[i]->k_per_s, events[i]->tau_s};
            sum += mr_heat_rise(&curve, t);
        }
        best = fmax(best, sum);
    }
    return best;
}

static void sum_events(struct mr_assess *a, struct mr_probe_heat *p, const struct mr_heat_event **events, size_t n) {
    const struct mr_heat_event *all = a->out->heats.v, *first = events[0];
    bool fitted = true;
    double peak_c = -1e9, squares = 0.0;
    p->n_events = n;
    p->first = (size_t)(first - all);
    p->best = p->first;
    p->baseline_c = first->baseline_c;
    p->lower_bound = first->no_baseline;
    p->adiabatic_k = p->adiabatic_se_k = 0.0;
    for (size_t i = 0; i < n; i++) {
        fitted = fitted && events[i]->fit == MR_FIT_OK;
        p->adiabatic_k += events[i]->rise_adiabatic_k;
        p->adiabatic_se_k = hypot(p->adiabatic_se_k, events[i]->rise_adiabatic_se_k);
        squares += events[i]->rise_fit_se_k * events[i]->rise_fit_se_k;
        peak_c = fmax(peak_c, events[i]->peak_c);
        p->lower_bound = p->lower_bound || events[i]->no_peak;
        if (events[i]->rise_k > all[p->best].rise_k)
            p->best = (size_t)(events[i] - all);
    }
    if (fitted) {
        p->rise_k = n == 1 ? first->rise_fit_k : summed_peak(events, n);
        p->rise_se_k = sqrt(squares);
    } else {
        p->rise_k = peak_c - p->baseline_c;
        p->rise_se_k = first->rise_se_k;
        p->adiabatic_k = p->adiabatic_se_k = MR_NAN;
    }
}

/* Where no event was found: the greatest mean of about a minute above the mean of the five minutes before the window.
 */
static double warming_seen(const struct mr_track *track, int64_t t0, int64_t t1) {
    size_t i = mr_track_first(track, t0 - 300000), n = 0, first = i;
    double sum = 0.0, best = -1e9, around = 0.0;
    for (; i < track->n && track->t_utc_ms[i] < t0; i++)
        if (!isnan(track->value[i])) {
            sum += track->value[i];
            n++;
        }
    if (n == 0)
        return MR_NAN;
    double base = sum / (double)n;
    size_t count = 0;
    for (first = i; i < track->n && track->t_utc_ms[i] <= t1; i++) {
        if (!isnan(track->value[i])) {
            around += track->value[i];
            count++;
        }
        for (; track->t_utc_ms[i] - track->t_utc_ms[first] >= 60000; first++)
            if (!isnan(track->value[first])) {
                around -= track->value[first];
                count--;
            }
        if (count > 0)
            best = fmax(best, around / (double)count);
    }
    return best > -1e9 ? best - base : MR_NAN;
}

/* Time in which the onset was to be seen: from the opening until it would be late. */
static int64_t late_from(const struct mr_assess *a, const struct mr_window *w) {
    int64_t late = mr_setting_ms(a->aligned->zones.v[w->zone].settings, MR_RISE_LATE);
    return w->t0_utc_ms + late > w->t1_utc_ms ? w->t0_utc_ms + late : w->t1_utc_ms;
}

/* Events of one track in one window; out NULL: only how many. */
static size_t events_of(const struct mr_assess *a, size_t window, size_t track, const struct mr_heat_event **out) {
    size_t n = 0;
    for (size_t i = 0; i < a->out->heats.n; i++) {
        if (a->out->heats.v[i].window != window || a->out->heats.v[i].track != track)
            continue;
        if (out)
            out[n] = &a->out->heats.v[i];
        n++;
    }
    return n;
}

static void look_at_probe(struct mr_assess *a, struct mr_coat_heat *coat, const struct mr_track *track, size_t index,
                          const struct mr_stay *stay) {
    const struct mr_window *w = &a->aligned->windows.v[coat->window];
    const struct mr_settings *set = a->aligned->zones.v[coat->zone].settings;
    struct mr_probe_heat p = {
        .track = track, .first = MR_NONE, .best = MR_NONE, .rise_k = MR_NAN, .rise_se_k = MR_NAN};
    p.adiabatic_k = p.adiabatic_se_k = p.onset_s = p.baseline_c = MR_NAN;
    size_t n = events_of(a, coat->window, index, NULL);
    if (n == 0 && !stay)
        return;
    const struct mr_heat_event **mine = MR_ARRAY(a->arena, const struct mr_heat_event *, n);
    events_of(a, coat->window, index, mine);
    int64_t from = w->t0_utc_ms, to = late_from(a, w);
    if (stay && stay->t0_utc_ms > from)
        from = stay->t0_utc_ms;
    if (stay && stay->t1_utc_ms < to)
        to = stay->t1_utc_ms;
    int64_t gap = mr_setting_ms(set, MR_RISE_SLOWEST) / 6;
    double whole = (double)(late_from(a, w) - w->t0_utc_ms);
    p.coverage_pct = to > from && whole > 0.0 ? 100.0 * mr_track_cover_ms(track, from, to, gap) / whole : 0.0;
    if (n > 0) {
        sum_events(a, &p, mine, n);
        p.onset_s = (double)(mine[0]->t_onset - w->t0_utc_ms) * 1e-3;
    } else if (to > from) {
        p.rise_k = warming_seen(track, from, to);
    }
    coat->probes[coat->n_probes++] = p;
}

/* The stay of a track on the coat's zone that overlaps the time in which the onset was to be seen. */
static const struct mr_stay *stay_on(const struct mr_assess *a, const struct mr_track *track,
                                     const struct mr_window *w) {
    for (size_t i = 0; i < track->stays.n; i++) {
        const struct mr_stay *s = &track->stays.v[i];
        if (!s->gun && s->zone == w->zone && s->t0_utc_ms <= late_from(a, w) && s->t1_utc_ms >= w->t0_utc_ms)
            return s;
    }
    return NULL;
}

static void look_at_probes(struct mr_assess *a, struct mr_coat_heat *coat) {
    const struct mr_window *w = &a->aligned->windows.v[coat->window];
    size_t room = 0;
    for (size_t i = 0; i < a->aligned->tracks.n; i++)
        room += stay_on(a, &a->aligned->tracks.v[i], w) || events_of(a, coat->window, i, NULL) > 0;
    coat->probes = MR_ARRAY(a->arena, struct mr_probe_heat, room);
    for (size_t i = 0; i < a->aligned->tracks.n; i++) {
        const struct mr_track *track = &a->aligned->tracks.v[i];
        if (track->n && (track->meaning == MR_M_PROBE_TEMP || (track->meaning == MR_M_STEEL && track->stays.n == 1)))
            look_at_probe(a, coat, track, i, stay_on(a, track, w));
    }
}

/* ---- film and heat ---- */

/* Mean of the readings taken after coat number `coat` and before the next; NaN where none. */
static double mean_after(const struct mr_alignment *al, size_t zone, int coat) {
    double sum = 0.0;
    size_t n = 0;
    for (size_t i = 0; i < al->readings.n; i++) {
        const struct mr_placed *r = &al->readings.v[i];
        if (r->zone == zone && r->coat == coat && !r->aside && r->stage != MR_STAGE_BEFORE_COAT) {
            sum += r->reading->film_um;
            n++;
        }
    }
    return n ? sum / (double)n : MR_NAN;
}

static const struct mr_zone_film *film_of(const struct mr_assess *a, size_t zone) {
    for (size_t i = 0; i < a->out->films.n; i++)
        if (a->out->films.v[i].zone == zone)
            return &a->out->films.v[i];
    return NULL;
}

static int coats_sprayed(const struct mr_alignment *al, size_t zone) {
    int most = 0;
    for (size_t i = 0; i < al->windows.n; i++)
        if (al->windows.v[i].zone == zone && al->windows.v[i].coat > most)
            most = al->windows.v[i].coat;
    return most;
}

/* The system's film is corrected for base metal or profile, single coats' readings are not: the difference at the
 * last coat is taken off all of them. */
static void set_film(struct mr_assess *a, struct mr_coat_heat *coat) {
    const struct mr_zone_film *system = film_of(a, coat->zone);
    int coats = coats_sprayed(a->aligned, coat->zone);
    coat->film_um = MR_NAN;
    coat->below_um = 0.0;
    if (!system || isnan(system->mean_um) || coats < 1 || coat->coat < 1)
        return;
    double last = mean_after(a->aligned, coat->zone, coats), here = mean_after(a->aligned, coat->zone, coat->coat);
    double before = coat->coat > 1 ? mean_after(a->aligned, coat->zone, coat->coat - 1) : 0.0;
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

void mr_heat_coats(struct mr_assess *a, mr_coat_heats *out) {
    for (size_t i = 0; i < a->aligned->windows.n; i++) {
        const struct mr_window *w = &a->aligned->windows.v[i];
        struct mr_coat_heat coat = {.window = i, .zone = w->zone, .coat = w->coat};
        look_at_probes(a, &coat);
        set_film(a, &coat);
        set_heat(a, &coat);
        MR_PUSH(a->arena, out, coat);
    }
}
