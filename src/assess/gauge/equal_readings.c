/*
 * equal_readings.c - long runs of readings that are all the same: a gauge that stood still, or one shim, or figures
 * that were typed.
 *
 * How long a run no honest gauge gives hangs on the step in which it shows the film. Sprayed film scatters by 3 % at
 * least, so a reading falls into one step with the share of the normal law that the step covers; a run is too long
 * where its chance lies below 1e-9. A gauge that shows whole mils may give ten of them forty times at 10 mil, one
 * that shows 0.1 mil or 1 um may not.
 *
 * The step is the greatest that all readings of the gauge, on film and on shims, are multiples of; never less than
 * the last digit that it shows. Values that are multiples of a greater step by chance do not excuse a run: beyond its
 * digits a step is at most 5 % of the reading.
 */
#include "assess/finding/finding_text.h"
#include "assess/finding/line_ranges.h"
#include "assess/gauge/gauge.h"

#include "numeric/distributions.h"
#include "numeric/exact_decimal.h"
#include "numeric/search.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { FEWEST = 15 }; /* an area of five spots by three readings: shorter runs are found on even film */

static const double least_scatter = 0.03; /* SD of sprayed film over its mean; common practice, no source */
static const double chance_most = 1e-9;   /* of a run; project decision */
static const double widest_step = 0.05;   /* of the reading; project decision */

static int64_t common_divisor(int64_t a, int64_t b) {
    a = a < 0 ? -a : a;
    b = b < 0 ? -b : b;
    while (b) {
        const int64_t rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

static int decimals_of(double written) {
    double scaled = fabs(written);
    int n = 0;
    for (; n < 6 && fabs(scaled - round(scaled)) > 1e-6; n++)
        scaled *= 10.0;
    return n;
}

static struct mr_gauge_shown *shown_of(struct mr_arena *arena, mr_gauge_shown_list *list, const char *gauge,
                                       enum mr_unit unit) {
    for (size_t i = 0; i < list->n; i++)
        if (list->v[i].unit == unit && (list->v[i].gauge == gauge || strcmp(list->v[i].gauge, gauge) == 0))
            return &list->v[i];
    struct mr_gauge_shown fresh = {.gauge = gauge, .unit = unit};
    MR_PUSH(arena, list, fresh);
    return &list->v[list->n - 1];
}

static void note(struct mr_arena *arena, mr_gauge_shown_list *list, const char *gauge, double written,
                 enum mr_unit unit) {
    int64_t quanta;
    if (!mr_film_quanta(written, unit, &quanta) || quanta <= 0)
        return;
    struct mr_gauge_shown *s = shown_of(arena, list, gauge ? gauge : "", unit);
    s->differ = s->differ || (s->divisor && quanta != s->first);
    s->first = s->divisor ? s->first : quanta;
    s->divisor = common_divisor(s->divisor, quanta);
    const int decimals = decimals_of(written);
    s->decimals = decimals > s->decimals ? decimals : s->decimals;
}

void mr_gauge_note_shown(const struct mr_assess *a, struct mr_arena *arena, struct mr_gauges *g) {
    const struct mr_alignment *al = a->aligned;
    for (size_t i = 0; i < al->readings.n; i++) {
        const struct mr_reading *r = al->readings.v[i].reading;
        if (r->n_readings == 1)
            note(arena, &g->shown, g->reading_gauge[i], r->written, r->unit);
    }
    for (size_t i = 0; i < g->checks.n; i++) {
        const struct mr_verification *v = g->checks.v[i].checked->check;
        note(arena, &g->shown, g->checks.v[i].gauge, v->reading_written, v->unit);
    }
}

/* The step of a gauge about a reading, in the unit that it shows. */
static double step_of(const struct mr_gauge_shown *s, int64_t quanta, double written) {
    const double digit = pow(10.0, -s->decimals), of_values = written * (double)s->divisor / (double)quanta;
    return fmax(digit, s->differ ? fmin(of_values, widest_step * written) : 0.0);
}

/* The length from which a run of one value is too long. */
static double longest_run(double step, double written) {
    const double z = step / 2.0 / (least_scatter * written),
                 share = mr_normal_p(z) - mr_normal_p(-z); /* of readings that fall into one step */
    return share >= 1.0 ? (double)INFINITY : fmax(FEWEST, 1.0 + log(chance_most) / log(share));
}

static int by_number(const void *a, const void *b) {
    return MR_ORDER(*(const size_t *)a, *(const size_t *)b);
}

/* Single readings in the order of their files, each once; returns how many. */
static size_t in_order(const struct mr_alignment *al, const size_t *at, size_t n, size_t *out) {
    size_t singles = 0, kept = 0;
    for (size_t i = 0; i < n; i++)
        if (al->readings.v[at[i]].reading->n_readings == 1)
            out[singles++] = at[i];
    if (singles)
        qsort(out, singles, sizeof *out, by_number);
    for (size_t i = 0; i < singles; i++)
        if (!kept || out[kept - 1] != out[i])
            out[kept++] = out[i];
    return kept;
}

static bool goes_on(const struct mr_alignment *al, const struct mr_gauges *g, size_t x, size_t y) {
    const struct mr_reading *a = al->readings.v[x].reading, *b = al->readings.v[y].reading;
    return a->unit == b->unit && !(a->written < b->written) && !(a->written > b->written) &&
           strcmp(g->reading_gauge[x], g->reading_gauge[y]) == 0;
}

static void tell(struct mr_assess *a, size_t zone, const size_t *at, size_t n) {
    const struct mr_reading *r = a->aligned->readings.v[at[0]].reading;
    struct mr_check c = mr_blank_check("thickness.equal", "Readings differ as film does", "thickness", zone, 0);
    c.outcome = MR_NOT_SHOWN;
    c.measured = (double)n;
    c.rule = "film differs from place to place by more than the step of the gauge";
    c.source = MR_SRC_CP;
    c.detail = mr_printf(a->arena, "%zu readings on end are all %s; sprayed film is not so even.", n,
                         mr_value_text(a, r->written, r->unit, decimals_of(r->written)));
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, n);
    for (size_t i = 0; i < n; i++) {
        const struct mr_reading *own = a->aligned->readings.v[at[i]].reading;
        lines[i] = (struct mr_line){own->file, own->line};
    }
    mr_add_lines(a, &c.evidence, lines, n, 6, "the same value");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "equal-readings", MR_WARNING);
    f.what = mr_printf(a->arena, "Zone %s: %s", a->aligned->zones.v[zone].name, c.detail);
    f.next_step =
        "Compare the equal readings with the memory of the gauge; verify it, and measure these places again.";
    mr_add_finding(a, &f);
}

/* A zone is told of once, by its longest run. */
void mr_gauge_check_equal(struct mr_assess *a, struct mr_gauges *g, size_t zone, const size_t *at, size_t n) {
    const struct mr_alignment *al = a->aligned;
    size_t *v = MR_ARRAY(mr_work(a), size_t, n), from = 0, longest = 0;
    n = in_order(al, at, n, v);
    for (size_t i = 0, end; i < n; i = end) {
        for (end = i + 1; end < n && goes_on(al, g, v[end - 1], v[end]);)
            end++;
        const struct mr_reading *r = al->readings.v[v[i]].reading;
        int64_t quanta;
        if (end - i < FEWEST || end - i <= longest || !mr_film_quanta(r->written, r->unit, &quanta) || quanta <= 0)
            continue;
        const struct mr_gauge_shown *s = shown_of(a->arena, &g->shown, g->reading_gauge[v[i]], r->unit);
        if ((double)(end - i) < longest_run(step_of(s, quanta, r->written), r->written))
            continue;
        from = i;
        longest = end - i;
    }
    if (longest)
        tell(a, zone, v + from, longest);
}
