/*
 * heat_verdict.c - see heat_verdict.h.
 *
 * Right or not shown, never wrong: a pulse counts only with a fit that came to rest, with its onset in time, and with
 * an interval that decides. What the gusts of a few minutes may have done to the rise widens the interval by which a
 * coat fails; it is no reason to doubt one that lies within the band (measured on simulated sites). "No reaction"
 * needs an interval that leaves no room for one.
 */
#include "assess/heat/heat_verdict.h"

#include "assess/climate/sweep.h"
#include "assess/finding/finding_text.h"
#include "assess/heat/heat_turns.h"
#include "assess/heat/steel.h"

#include <math.h>

static const double SURE = 1.96;             /* standard errors of a 95 % interval */
static const double OF_THE_BAND = 1.0 / 3.0; /* common practice, no source */
static const double SLOW_HEAT = 0.5;         /* share of the band: so much warming is no lack of heat; likewise */
static const double STRANGE = 0.7;           /* of the logarithm, a factor of two; common practice, no source */
static const double SHARE_SD = 0.15;         /* of a coat's film that is an equal share of the system's; likewise */
static const double DETERMINED = 0.5;        /* a standard error above this share of the rise determines nothing */

static const char FIND_DATA[] = "Find the probe's data, and log from 10 min before the first trigger pull.";
static const char CALM_PROBE[] =
    "Shade the probe, keep a reference probe on bare steel beside it, and log from 10 min before the first pull.";
static const char STEADY_PROBE[] =
    "Log every 10 s or faster with a probe pressed to the steel, from 10 min before the first pull.";
static const char CLOCKS[] = "Settle the clocks of spray log and logger and the assignment of channels first.";
static const char CHECK_MIX[] =
    "Compare the rise with film and line pressures; check ratio and material before the next coat.";
static const char TEST_FILM[] =
    "Test the film for hardness; check for residual water, a starved line or an off-ratio mix.";
static const char STRANGER[] = "Check that the probe sat on this steel, and what else could have warmed it.";
static const char CHECK_FILM[] =
    "Measure the film at the probe and check whether the steel was still warm from an earlier pass.";

static const char *rise_text(struct mr_assess *a, const struct mr_rise_band *b, double k) {
    return mr_value_text(a, mr_from_canonical(b->unit, k), b->unit, b->decimals);
}

const char *mr_rise_doubt_text(struct mr_assess *a, const struct mr_rise_band *b, double k, double se_k) {
    const double unit = mr_from_canonical(b->unit, 1.0), half = SURE * se_k * unit;
    const int decimals = half < 0.095 ? 2 : 1; /* value and interval end at the same place: GUM 7.2.6 */
    if (!(se_k > 0.0) || !isfinite(k))
        return "not determined";
    return mr_printf(a->arena, "%.*f ± %s", decimals, k * unit, mr_value_text(a, half, b->unit, decimals));
}

static struct mr_heat_verdict not_shown(const struct mr_probe_heat *p, const char *why, const char *next) {
    return (struct mr_heat_verdict){MR_NOT_SHOWN, MR_HEAT_UNKNOWN, p, why, next, MR_HEAT_CLEAR};
}

static struct mr_heat_verdict unclear(enum mr_heat_unclear how, const struct mr_probe_heat *p, const char *why,
                                      const char *next) {
    return (struct mr_heat_verdict){MR_NOT_SHOWN, MR_HEAT_UNKNOWN, p, why, next, how};
}

static struct mr_heat_verdict fails(enum mr_heat_kind kind, const struct mr_probe_heat *p, const char *why,
                                    const char *next) {
    return (struct mr_heat_verdict){MR_DOES_NOT_CONFORM, kind, p, why, next, MR_HEAT_CLEAR};
}

static const char *steadier(const struct mr_probe_heat *p) {
    return p->weather ? CALM_PROBE : STEADY_PROBE;
}

/* A pulse of its own outside the time in which this coat's heat belongs. */
static struct mr_heat_verdict out_of_time(struct mr_assess *a, const struct mr_probe_heat *p) {
    const char *when = p->onset_s < 0.0 ? "before the window opens" : "after it opens";
    double min = fabs(p->onset_s) / 60.0;
    if (p->other_window != MR_NONE)
        return not_shown(p,
                         mr_printf(a->arena, "The heat at the probe began %.1f min %s, inside the window of %s.", min,
                                   when, mr_zone_label(a, a->aligned->windows.v[p->other_window].zone, 0)),
                         CLOCKS);
    return not_shown(
        p, mr_printf(a->arena, "The heat at the probe began %.1f min %s; none began in the window.", min, when),
        CLOCKS);
}

/* Heat out of time whose shape no fit describes: it may be the coat's and the spray log wrong, or weather. */
static struct mr_heat_verdict stray(struct mr_assess *a, const struct mr_rise_band *b,
                                    const struct mr_probe_heat *p) {
    return not_shown(
        p,
        mr_printf(a->arena,
                  "No pulse stands out in the window, but the steel warmed by %s from %.1f min %s, as no "
                  "fit describes.",
                  rise_text(a, b, p->stray_k), fabs(p->stray_s) / 60.0,
                  p->stray_s < 0.0 ? "before it opens" : "after it opens"),
        CLOCKS);
}

/* How far the film of this coat, and with it its heat, may be from what the band is scaled to; of the rise. */
static double share_doubt(const struct mr_coat_heat *coat, const struct mr_rise_band *b) {
    return b->film && coat->film_shared ? SURE * SHARE_SD : 0.0;
}

static struct mr_heat_verdict film_not_known(const struct mr_probe_heat *p) {
    return not_shown(
        p,
        "The rise lies outside the band for an equal share of the system's film, and this coat's own film "
        "was not measured.",
        "Add readings taken after each coat, with the number of the coat, to the job folder.");
}

static struct mr_heat_verdict without_pulse(struct mr_assess *a, const struct mr_coat_heat *coat,
                                            const struct mr_rise_band *b, const struct mr_probe_heat *p) {
    double cover = mr_set_num(a->aligned->zones.v[coat->zone].settings, MR_RISE_COVER);
    if (p->coverage_pct < cover)
        return not_shown(p,
                         mr_printf(a->arena,
                                   "The probe's data cover %.0f %% of the time in which the heat should show "
                                   "(at least %.0f %%).",
                                   p->coverage_pct, cover),
                         FIND_DATA);
    if (isnan(p->most_k))
        return unclear(MR_HEAT_PARTIAL, p, "The record around the window is too short to tell heat from weather.",
                       FIND_DATA);
    if (p->as_the_air)
        return not_shown(p, "The probe follows the air temperature, not that of a steel plate.",
                         "Check that the probe sits on the steel.");
    if (p->warmed_k >= SLOW_HEAT * b->low_k)
        return unclear(MR_HEAT_UNCERTAIN, p,
                       mr_printf(a->arena, "The steel warmed by %s, but not as a reaction on this steel does.",
                                 rise_text(a, b, p->warmed_k)),
                       steadier(p));
    if (p->stray_k >= SLOW_HEAT * b->low_k)
        return stray(a, b, p);
    double least = 0.1 / mr_from_canonical(b->unit, 1.0);
    const char *most = mr_printf(a->arena, "The record rules out a rise of more than %s (95 %%).",
                                 rise_text(a, b, fmax(p->most_k, least)));
    if (p->most_k < fmin(b->none_k, isnan(b->low_k) ? HUGE_VAL : b->low_k))
        return fails(MR_HEAT_NO_REACTION, p, most, TEST_FILM);
    if (p->most_k < b->low_k * (1.0 - share_doubt(coat, b)))
        return fails(MR_HEAT_WEAK, p, most, CHECK_MIX);
    if (p->most_k < b->low_k)
        return film_not_known(p);
    return unclear(MR_HEAT_UNCERTAIN, p,
                   mr_printf(a->arena,
                             "No pulse stands out, but the record does not rule out a rise of up to %s (95 %%).",
                             rise_text(a, b, p->most_k)),
                   steadier(p));
}

/* A band for another plate proves nothing about this one. No heat at all is told without it. */
static struct mr_heat_verdict on_this_plate(struct mr_assess *a, const struct mr_coat_heat *coat,
                                            const struct mr_rise_band *b, struct mr_heat_verdict v) {
    if (!b->open || v.outcome == MR_NOT_SHOWN || v.kind == MR_HEAT_NO_REACTION)
        return v;
    double steel_mm = mr_set_num(a->aligned->zones.v[coat->zone].settings, MR_RISE_STEEL);
    if (steel_mm > 0.0 && !b->steel)
        return not_shown(v.probe,
                         mr_printf(a->arena,
                                   "The band holds for %.3g mm steel, and the zone's steel thickness is not known.",
                                   steel_mm),
                         "State the zone's steel thickness, with its unit, in the zone register.");
    return not_shown(v.probe, "The band holds for a stated film, and the film of this coat is not known.",
                     "Add the thickness readings of this coat to the job folder.");
}

/* Whether a logarithm lies so far from what the job's coats share that it is of something else. */
static bool is_strange(double own, double own_se, double shared) {
    const double apart = fabs(log(own / shared));
    return shared > 0.0 && own > 0.0 && apart > STRANGE && apart > SURE * own_se / own;
}

/* A plate in the calmest air loses at least so much, W/(m2 K), one of its faces insulated: by radiation alone a
 * painted face loses 5 at 20 degC. A plate of which nobody knows the thickness is taken for a thick one. Common
 * practice, no source. */
static const double LOSS_LEAST = 1.5, THICK_MM = 20.0;

/* Warm, and warm ever after: a blower, the sun, or a probe that was moved to warmer steel. */
static bool keeps_its_heat(const struct mr_coat_heat *coat, const struct mr_probe_heat *p) {
    const double capacity = coat->capacity > 0.0 ? coat->capacity : mr_steel_capacity(THICK_MM, 20.0);
    return p->tau_s > 0.0 && p->tau_se >= 0.0 && p->tau_s - SURE * p->tau_se > capacity / LOSS_LEAST;
}

/* A pulse of the right size may be of another thing: one that reacts or cools as no other coat of the job does. */
static bool is_of_this_film(const struct mr_coat_heat *coat, const struct mr_probe_heat *p) {
    const double loss = coat->capacity / p->tau_s;
    return !is_strange(p->k_per_s, p->k_se, p->shared_rate) &&
           !is_strange(loss, loss * p->tau_se / p->tau_s, p->shared_loss);
}

static struct mr_heat_verdict in_time(struct mr_assess *a, const struct mr_coat_heat *coat,
                                      const struct mr_rise_band *b, const struct mr_probe_heat *p) {
    /* JCGM 100:2008, F.2.2.1: a display in steps of d has a standard uncertainty of d/sqrt(12). */
    double step = p->resolution_k / sqrt(12.0), r = p->rise_k;
    double u = SURE * hypot(hypot(p->rise_se_k, step), r * b->doubt), u_gusts = hypot(u, SURE * r * b->gusts);
    double width = b->high_k - b->low_k;
    double tolerance = OF_THE_BAND * (isnan(width) ? 0.2 * (isnan(b->low_k) ? b->high_k : b->low_k) : width);
    if (p->lower_bound)
        return unclear(MR_HEAT_PARTIAL, p,
                       "The record begins or ends within the rise, so it shows only a part of it.", FIND_DATA);
    if (!(p->rise_se_k > 0.0) || p->rise_se_k > DETERMINED * r)
        return unclear(MR_HEAT_UNCERTAIN, p, "The record does not determine the rise.", steadier(p));
    if (p->n_more > 0 && r < b->low_k)
        return not_shown(p,
                         mr_printf(a->arena,
                                   "%zu pulses began in the window, the greatest of %s: the coat may have "
                                   "landed in several passes.",
                                   p->n_more + 1, mr_rise_doubt_text(a, b, r, p->rise_se_k)),
                         "Log each pass over the probe as a coat of its own, or spray the probe in one pass.");
    bool simple = u <= tolerance;
    double low = mr_from_canonical(b->unit, b->low_k), high = mr_from_canonical(b->unit, b->high_k);
    const double share = r * share_doubt(coat, b);
    const bool below = mr_below(mr_from_canonical(b->unit, r + u_gusts), low),
               above = mr_above(mr_from_canonical(b->unit, r - u_gusts), high);
    if (below && r + u_gusts < b->none_k)
        return fails(MR_HEAT_NO_REACTION, p, "The rise is too small for a reaction.", TEST_FILM);
    if (!below && keeps_its_heat(coat, p))
        return unclear(MR_HEAT_UNCERTAIN, p, "The steel warmed and did not cool again, as steel under a film does.",
                       STRANGER);
    const bool strange = !is_of_this_film(coat, p);
    if (above && p->pulse == MR_PULSE_LATE) /* a late coat has no more heat than one in time */
        return out_of_time(a, p);
    if (above && strange)
        return unclear(MR_HEAT_UNCERTAIN, p,
                       "The steel warmed more than it should, but not as under the job's other coats.", STRANGER);
    if ((below && !mr_below(mr_from_canonical(b->unit, r + hypot(u_gusts, share)), low)) ||
        (above && !mr_above(mr_from_canonical(b->unit, r - hypot(u_gusts, share)), high)))
        return film_not_known(p);
    if (below)
        return fails(MR_HEAT_WEAK, p, "The rise is below the band.", CHECK_MIX);
    if (above)
        return fails(MR_HEAT_HOT, p, "The rise is above the band.", CHECK_FILM);
    bool inside = !mr_below(mr_from_canonical(b->unit, simple ? r : r - u), low) &&
                  !mr_above(mr_from_canonical(b->unit, simple ? r : r + u), high);
    if (!inside)
        return unclear(MR_HEAT_UNCERTAIN, p, "The rise is too uncertain to place it inside or outside the band.",
                       steadier(p));
    if (strange)
        return unclear(MR_HEAT_UNCERTAIN, p,
                       "The steel warmed as much as it should, but not as under the job's other coats.", STRANGER);
    return (struct mr_heat_verdict){MR_CONFORMS, MR_HEAT_FITS, p, "The rise is within the band.", "", MR_HEAT_CLEAR};
}

static struct mr_heat_verdict of_either(struct mr_assess *a, const struct mr_coat_heat *coat,
                                        const struct mr_probe_heat *p) {
    int other = a->aligned->windows.v[p->also_of].coat;
    return not_shown(
        p,
        mr_printf(a->arena,
                  "Coat %d shows no heat of its own, and the heat at the probe may be that of coat %d or "
                  "of coat %d, sprayed so soon after it: the two are not separable in this record.",
                  other, other, coat->coat),
        "Test the film for hardness. From now on log start and stop of each coat to the second, and "
        "leave a pause between two coats at the probe.");
}

static struct mr_heat_verdict by_pulse(struct mr_assess *a, const struct mr_coat_heat *coat,
                                       const struct mr_rise_band *b, const struct mr_probe_heat *p) {
    if (p->also_of != MR_NONE)
        return of_either(a, coat, p);
    switch (p->pulse) {
    case MR_PULSE_IN_TIME:
        return p->other_window == MR_NONE ? in_time(a, coat, b, p) : out_of_time(a, p);
    case MR_PULSE_LATE:
        if (p->other_window == MR_NONE)
            return in_time(a, coat, b, p); /* the onset has a check of its own */
        return out_of_time(a, p);
    case MR_PULSE_EARLY:
        return out_of_time(a, p);
    case MR_PULSE_UNFIT:
        if (isnan(p->most_k) || p->most_k >= b->low_k)
            return unclear(MR_HEAT_UNCERTAIN, p, "The steel warmed, but not as a reaction on this steel does.",
                           steadier(p));
        return without_pulse(a, coat, b, p);
    case MR_PULSE_NONE:
        break;
    }
    return without_pulse(a, coat, b, p);
}

struct mr_heat_verdict mr_heat_verdict_of(struct mr_assess *a, const struct mr_coat_heat *coat,
                                          const struct mr_rise_band *b, const struct mr_probe_heat *p) {
    return on_this_plate(a, coat, b, by_pulse(a, coat, b, p));
}

/* ---- coats that overlap ---- */

/* Whether the record holds what a coat alone would show. */
static bool is_recorded(const struct mr_assess *a, const struct mr_window *w, const struct mr_probe_heat *p) {
    int64_t slowest = 2 * mr_heat_pause_ms(a, w), from = w->t0_utc_ms - slowest / 10, to = w->t1_utc_ms + slowest / 3;
    return mr_track_cover_ms(p->track, from, to, slowest / 15) >= 0.9 * (double)(to - from);
}

struct mr_heat_verdict mr_heat_not_parted(struct mr_assess *a, const struct mr_coat_heat *coat,
                                          struct mr_heat_verdict v) {
    size_t other = v.unclear && v.outcome == MR_NOT_SHOWN ? mr_heat_overlapping(a, coat->window) : MR_NONE;
    if (other == MR_NONE)
        return v;
    const struct mr_window *w = &a->aligned->windows.v[coat->window], *o = &a->aligned->windows.v[other];
    double apart = (double)(o->t0_utc_ms - w->t0_utc_ms) / 6e4;
    bool whole = v.unclear == MR_HEAT_PARTIAL && is_recorded(a, w, v.probe);
    v.why =
        mr_printf(a->arena,
                  "%s%sCoat %d was sprayed %.0f min %s this one, before the steel had cooled: the heat of the two "
                  "is not separable in this record.",
                  whole ? "" : v.why, whole ? "" : " ", o->coat, apart < 0.0 ? -apart : apart,
                  apart < 0.0 ? "before" : "after");
    v.next =
        mr_printf(a->arena,
                  "Test the film of this coat for hardness. From now on leave %.0f min between two coats at the "
                  "probe, log on for as long after the last one, and keep a reference probe on bare steel beside "
                  "it.",
                  (double)mr_heat_pause_ms(a, w) / 6e4);
    return v;
}
