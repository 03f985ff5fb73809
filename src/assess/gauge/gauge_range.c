/*
 * gauge_range.c - where a gauge's verifications prove it: near the certified values, and not elsewhere.
 *
 * A shim of 25 µm says nothing of a film of 230 µm. The film's mean, as the gauge showed it, must lie between two
 * certified values on which the gauge passed, or within a stated share of the nearest one (common practice, no
 * source).
 */
#include "assess/finding/finding_text.h"
#include "assess/finding/line_ranges.h"
#include "assess/gauge/gauge.h"

#include <math.h>
#include <string.h>

/* One gauge on one zone. */
struct gauge_range {
    const char *gauge;
    double sum_um;
    size_t n;
    int64_t t0_utc_ms, t1_utc_ms;
    double below_um, above_um; /* nearest certified values on each side; NaN */
    double nearest_um;
};

/* Shims on which the gauge passed from one moment to another. */
static void find_shims(const struct mr_gauges *g, struct gauge_range *r, int64_t from_utc_ms, int64_t to_utc_ms) {
    double mean = r->sum_um / (double)r->n;
    r->below_um = r->above_um = r->nearest_um = MR_NAN;
    for (size_t i = 0; i < g->checks.n; i++) {
        const struct mr_gauge_check *c = &g->checks.v[i];
        double um = c->checked->check->certified_um;
        int64_t t = c->checked->t_utc_ms;
        if (!c->pass || strcmp(c->gauge, r->gauge) != 0 || t == MR_T_NONE || t < from_utc_ms || t > to_utc_ms)
            continue;
        if (um <= mean && !(r->below_um >= um))
            r->below_um = um;
        if (um >= mean && !(r->above_um <= um))
            r->above_um = um;
        if (!(fabs(r->nearest_um - mean) <= fabs(um - mean)))
            r->nearest_um = um;
    }
}

static bool is_proven(const struct gauge_range *r, double share) {
    if (!isnan(r->below_um) && !isnan(r->above_um))
        return true;
    return fabs(r->sum_um / (double)r->n - r->nearest_um) <= share * r->nearest_um;
}

/* The gauge must be proven before its use and after it, each time where the film lies; that there was a verification
 * on both sides is a check of its own. */
static void find_both_sides(const struct mr_gauges *g, struct gauge_range *r, int64_t age_ms, double share) {
    struct gauge_range after = *r;
    find_shims(g, r, r->t0_utc_ms - age_ms, r->t1_utc_ms);
    find_shims(g, &after, r->t0_utc_ms, r->t1_utc_ms + age_ms);
    if (isnan(r->nearest_um) || (!isnan(after.nearest_um) && !is_proven(&after, share)))
        *r = after;
}

static struct gauge_range gauge_in_zone(const struct mr_assess *a, const struct mr_gauges *g, const char *gauge,
                                        const size_t *at, size_t n) {
    struct gauge_range r = {.gauge = gauge, .t0_utc_ms = INT64_MAX, .t1_utc_ms = INT64_MIN};
    for (size_t i = 0; i < n; i++) {
        const struct mr_placed *p = &a->aligned->readings.v[at[i]];
        if (strcmp(g->reading_gauge[at[i]], gauge) != 0 || p->t_utc_ms == MR_T_NONE)
            continue;
        r.sum_um += p->reading->film_um;
        r.n++;
        r.t0_utc_ms = p->t_utc_ms < r.t0_utc_ms ? p->t_utc_ms : r.t0_utc_ms;
        r.t1_utc_ms = p->t_utc_ms > r.t1_utc_ms ? p->t_utc_ms : r.t1_utc_ms;
    }
    return r;
}

static void judge_gauge(struct mr_assess *a, const struct gauge_range *r, size_t zone) {
    double share = mr_set_num(&a->job->settings, MR_DFT_CHECK_RANGE) / 100, mean = r->sum_um / (double)r->n;
    enum mr_unit unit = a->job->display.film;
    struct mr_check c = mr_blank_check("gauge.range", "Gauge verified in the range of the film", "gauge", zone, 0);
    bool proven = is_proven(r, share);
    c.outcome = proven ? MR_CONFORMS : MR_NOT_SHOWN;
    c.measured = 100 * fabs(mean - r->nearest_um) / r->nearest_um;
    c.limit_high = 100 * share;
    c.unit = MR_UNIT_PCT;
    c.decimals = 1;
    c.rule = "the film lies between two verified shims or near one";
    c.source = mr_source_of(a, &a->job->settings, MR_DFT_CHECK_RANGE);
    const char *name = *r->gauge ? r->gauge : "(not named)",
               *film = mr_value_text(a, mr_from_canonical(unit, mean), unit, -1);
    c.detail =
        isnan(r->nearest_um)
            ? mr_printf(a->arena, "No verification of gauge %s passed around these readings; their mean is %s.", name,
                        film)
            : mr_printf(a->arena, "Gauge %s: nearest shim %s, mean of the readings %s.", name,
                        mr_value_text(a, mr_from_canonical(unit, r->nearest_um), unit, -1), film);
    mr_add_check(a, &c);
    if (proven)
        return;
    struct mr_finding f = mr_finding_of(&c, "gauge-out-of-range", MR_WARNING);
    f.t0_utc_ms = r->t0_utc_ms;
    f.t1_utc_ms = r->t1_utc_ms;
    f.what = mr_printf(a->arena, "Zone %s: %s%s", a->aligned->zones.v[zone].name, c.detail,
                       isnan(r->nearest_um) ? "" : " That is too far apart to verify the gauge there.");
    f.next_step = "Verify the gauge on shims on both sides of the film's thickness, then measure again.";
    mr_add_finding(a, &f);
}

void mr_gauge_check_range(struct mr_assess *a, const struct mr_gauges *g, size_t zone, const size_t *at, size_t n) {
    int64_t age_ms = mr_setting_ms(&a->job->settings, MR_DFT_CHECK_AGE);
    MR_VEC(const char *) seen = {0};
    for (size_t i = 0; i < n; i++) {
        const char *gauge = g->reading_gauge[at[i]];
        bool known = false;
        for (size_t k = 0; k < seen.n && !known; k++)
            known = seen.v[k] == gauge || strcmp(seen.v[k], gauge) == 0;
        if (known)
            continue;
        MR_PUSH(a->arena, &seen, gauge);
        struct gauge_range r = gauge_in_zone(a, g, gauge, at, n);
        if (r.n == 0)
            continue;
        find_both_sides(g, &r, age_ms, mr_set_num(&a->job->settings, MR_DFT_CHECK_RANGE) / 100);
        judge_gauge(a, &r, zone);
    }
}

/* Film that was measured before its cure time had passed is marked, not judged otherwise. */
void mr_note_uncured(struct mr_assess *a, size_t zone, const size_t *at, size_t n) {
    const struct mr_alignment *al = a->aligned;
    int64_t cure_ms = mr_setting_ms(al->zones.v[zone].settings, MR_CLIMATE_CURE);
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, n);
    MR_VEC(int64_t) repairs = {0}; /* ends of them */
    const struct mr_chains *actions = mr_actions_by_zone(a);
    for (size_t i = mr_chains_first(actions, zone); i != MR_NONE; i = actions->next[i])
        if (al->actions.v[i].log->action == MR_ACTION_REPAIR)
            MR_PUSH(a->arena, &repairs, al->actions.v[i].t1_utc_ms);
    size_t early = 0;
    for (size_t i = 0; i < n; i++) {
        const struct mr_placed *p = &al->readings.v[at[i]];
        if (p->t_utc_ms == MR_T_NONE)
            continue;
        bool uncured = p->window < al->windows.n && p->t_utc_ms < al->windows.v[p->window].t1_utc_ms + cure_ms;
        for (size_t k = 0; k < repairs.n && !uncured; k++)
            uncured = p->t_utc_ms >= repairs.v[k] && p->t_utc_ms < repairs.v[k] + cure_ms;
        if (uncured)
            lines[early++] = (struct mr_line){p->reading->file, p->reading->line};
    }
    if (early == 0)
        return;
    struct mr_finding f = mr_blank_finding("measured-before-cure", MR_WARNING, zone, 0);
    f.measured = (double)early;
    f.rule = mr_printf(a->arena, "film is measured after its cure time of %s", mr_ms_text(a, (double)cure_ms));
    f.source = mr_source_of(a, al->zones.v[zone].settings, MR_CLIMATE_CURE);
    f.what = mr_printf(a->arena, "Zone %s: %s taken before the cure time of %s had passed.", al->zones.v[zone].name,
                       mr_count_text(a, early, "reading"), mr_ms_text(a, (double)cure_ms));
    f.next_step = "Measure again after the cure time, or correct the clocks or the cure time.";
    mr_add_lines(a, &f.evidence, lines, early, 12, "measured before cure");
    mr_add_finding(a, &f);
}
