/*
 * still_line.c - a line whose gauge shows one value while the machine works. A proportioning pump strokes, and a
 * working line moves with it; a channel that stands still shows neither dropouts nor balance, so the coat is not
 * shown.
 *
 * A small ripple may vanish in the last digit of a coarse display. So one still line is told by the other: while the
 * first shows one value, the other, through the same kind of channel, goes through FEWEST_LEVELS of them. Both still
 * is told by the digits: over a whole coat no line stands within one of them where a digit is less than FINE of the
 * pressure. A resting trigger, which lets both lines stand for a while, is neither. The main is left out: a regulator
 * may hold it.
 */
#include "assess/lines/line_grid.h"
#include "assess/lines/lines.h"

#include <math.h>

enum { FEWEST_SAMPLES = 30, FEWEST_LEVELS = 5 };
static const double FINE = 0.0025;

struct still {
    int64_t from_ms, to_ms; /* the longest stretch of one value; equal where there is none */
    double kpa;
    size_t samples;
};

static bool same(double x, double y) {
    return !(x < y) && !(x > y);
}

/* Whether `other` goes through enough values between samples i and j: by a list of the first few. */
static bool moves(const double *other, size_t i, size_t j) {
    double seen[FEWEST_LEVELS];
    size_t n = 0, changes = 0;
    for (size_t k = i; k <= j; k++) {
        size_t at = 0;
        if (isnan(other[k]))
            continue;
        changes += k > i && !same(other[k], other[k - 1]);
        while (at < n && !same(seen[at], other[k]))
            at++;
        if (at == n && n < FEWEST_LEVELS)
            seen[n++] = other[k];
    }
    return n == FEWEST_LEVELS && 4 * changes > j - i;
}

/* The longest stretch in which v shows one value over up samples lo..hi; other: NULL, or what has to move meanwhile.
 */
static struct still look(const struct mr_line_work *w, const double *v, const double *other, size_t lo, size_t hi,
                         int64_t least_ms) {
    struct still longest = {.kpa = MR_NAN};
    for (size_t i = lo, j; i < hi; i = j + 1) {
        for (j = i; j + 1 < hi && same(v[j + 1], v[i]); j++) {
        }
        const int64_t lasts = w->t_ms[j] - w->t_ms[i];
        if (isnan(v[i]) || j - i < FEWEST_SAMPLES || lasts < least_ms || lasts <= longest.to_ms - longest.from_ms ||
            (other && !moves(other, i, j)))
            continue;
        longest = (struct still){w->t_ms[i], w->t_ms[j], v[i], j - i + 1};
    }
    return longest;
}

/* The smallest step between two values of a track under pressure: its last digit, or more. */
static double digit_kpa(const struct mr_track *track, double relieved_kpa) {
    double least = (double)INFINITY;
    for (size_t i = 1; i < track->n; i++) {
        const double x = mr_track_value(track, i - 1), y = mr_track_value(track, i);
        if (x > relieved_kpa && y > relieved_kpa && (x < y || x > y))
            least = fmin(least, fabs(x - y));
    }
    return least;
}

static void say(struct mr_assess *a, const struct mr_line_run *p, const char *who, const struct still *s) {
    struct mr_check c =
        mr_blank_check("lines.still", "Lines that move with the pump", "lines", p->window->zone, p->window->coat);
    const enum mr_unit unit = a->job->display.pressure;
    c.outcome = MR_NOT_SHOWN;
    c.measured = (double)(s->to_ms - s->from_ms) / 1000.0;
    c.unit = MR_UNIT_S;
    c.rule = "a line under work does not stand still";
    c.source = MR_SRC_PD;
    c.detail = mr_printf(a->arena, "%s at %s for %s, %s, while the machine sprayed.", who,
                         mr_value_text(a, mr_from_canonical(unit, s->kpa), unit, mr_pressure_decimals(unit)),
                         mr_ms_text(a, (double)(s->to_ms - s->from_ms)), mr_count_text(a, s->samples, "sample"));
    mr_evidence_track(a, &c.evidence, p->tracks.a, s->from_ms, s->to_ms, "line A");
    mr_evidence_track(a, &c.evidence, p->tracks.b, s->from_ms, s->to_ms, "line B");
    mr_add_evidence(a, &c.evidence, p->window->place, "the window");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "still-line", MR_WARNING);
    f.t0_utc_ms = s->from_ms;
    f.t1_utc_ms = s->to_ms;
    f.what = mr_printf(a->arena, "%s: %s", mr_capitalised(a, mr_zone_label(a, c.zone, c.coat)), c.detail);
    f.next_step =
        "Check the gauge and its channel; show that time by another logger, or examine the film sprayed then.";
    f.caution = mr_caution_relieve;
    mr_add_finding(a, &f);
}

void mr_line_still(struct mr_assess *a, struct mr_line_work *w, const struct mr_line_run *p) {
    if (!p->r.up || !p->tracks.a || !p->tracks.b)
        return;
    mr_line_load(w, p->tracks.a, p->tracks.b, p->window->t0_utc_ms, p->window->t1_utc_ms, &p->limits);
    const size_t lo = mr_line_at(w, p->r.up_from_ms), hi = mr_line_at(w, p->r.up_to_ms + 1);
    const int64_t least = p->limits.pause_ms;
    const struct still of_a = look(w, w->a, w->b, lo, hi, least), of_b = look(w, w->b, w->a, lo, hi, least);
    if (of_a.samples && of_a.kpa > p->limits.relieved_kpa)
        say(a, p, "line A stood still", &of_a);
    if (of_b.samples && of_b.kpa > p->limits.relieved_kpa)
        say(a, p, "line B stood still", &of_b);
    if (of_a.samples || of_b.samples)
        return;
    const struct still a_alone = look(w, w->a, NULL, lo, hi, least), b_alone = look(w, w->b, NULL, lo, hi, least);
    if (a_alone.samples != hi - lo || b_alone.samples != hi - lo)
        return;
    const double digit =
        fmin(digit_kpa(p->tracks.a, p->limits.relieved_kpa), digit_kpa(p->tracks.b, p->limits.relieved_kpa));
    if (digit < FINE * fmin(a_alone.kpa, b_alone.kpa))
        say(a, p, "both lines stood still, line A", &a_alone);
}
