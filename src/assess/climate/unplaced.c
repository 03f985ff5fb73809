/*
 * unplaced.c - an instrument of which nobody states where it stood shows a limit missed, beside one that is placed on
 * the zone and shows it kept. It may have stood in the zone too, or in the yard: nobody picks the better of the two.
 * The limit is not shown until its place is stated (other_tracks.c finds them).
 */
#include "assess/climate/climate.h"

/* The one of its tracks that stands for the zone least well. */
static const struct mr_track *unplaced_track(const struct mr_period *p, size_t i) {
    const struct mr_climate_tracks *k = p->unplaced[i].tracks;
    const enum mr_quantity q = p->watch[i].quantity;
    const bool spread = q == MR_Q_SPREAD;
    const struct mr_track *const of[] = {spread || q == MR_Q_STEEL ? k->steel : NULL, spread ? k->dew : NULL,
                                         q == MR_Q_RH || (spread && k->dew == NULL) ? k->rh : NULL,
                                         q == MR_Q_AIR || (spread && k->dew == NULL) ? k->air : NULL};
    const struct mr_track *least = NULL;
    for (size_t n = 0; n < MR_COUNT(of); n++)
        if (of[n] != NULL && (least == NULL || mr_period_rank(of[n], p) < mr_period_rank(least, p)))
            least = of[n];
    return least;
}

const char *mr_unplaced_name(const struct mr_period *p, size_t i) {
    return mr_climate_instrument(unplaced_track(p, i));
}

/* "relative humidity of 93.0 % (limit at most 85 %)" */
static const char *miss_text(struct mr_assess *a, const struct mr_period *p, size_t i) {
    const struct mr_watch *w = &p->unplaced[i].watch;
    const int decimals = mr_miss_decimals(w->worst, w->limit, p->limit[i].decimals);
    return mr_printf(a->arena, "%s of %s at %s (limit %s %s)", p->row[i]->name,
                     mr_value_text(a, w->worst, w->unit, decimals), mr_moment_text(a, w->worst_ms),
                     w->upper ? "at most" : "at least", mr_value_text(a, w->limit, w->unit, -1));
}

void mr_find_unplaced(struct mr_assess *a, const struct mr_period *p) {
    struct mr_finding f = mr_blank_finding("unplaced-instrument", MR_WARNING, p->window->zone, p->window->coat);
    const char *names = NULL, *misses = NULL, *who = NULL;
    for (size_t i = 0; i < p->n; i++) {
        if (p->unplaced[i].tracks == NULL || mr_climate_judge(p, &p->watch[i]) != MR_NOT_SHOWN)
            continue;
        const struct mr_watch *w = &p->unplaced[i].watch;
        const char *miss = miss_text(a, p, i), *title = p->row[i]->title;
        names = names == NULL ? title : mr_printf(a->arena, "%s, %s", names, title);
        misses = misses == NULL ? miss : mr_printf(a->arena, "%s, %s", misses, miss);
        who = who == NULL ? mr_unplaced_name(p, i) : who;
        mr_evidence_track(a, &f.evidence, unplaced_track(p, i), w->first_out_ms, w->last_out_ms,
                          "out of the limit, at a place that nobody states");
    }
    if (names == NULL)
        return;
    f.t0_utc_ms = p->from_ms;
    f.t1_utc_ms = p->to_ms;
    f.rule = "an instrument that shows a limit missed stood at a stated place";
    f.source = MR_SRC_CP;
    f.what = mr_printf(a->arena,
                       "%s: %s shows %s, and nobody states where it stood; the instrument placed on the zone shows "
                       "the limit kept. Not shown: %s.",
                       mr_capitalised(a, mr_zone_label(a, f.zone, f.coat)), who, misses, names);
    f.next_step =
        mr_printf(a->arena,
                  "State in job.milrise where %s stood: `zones =` under its [instrument] section. If it "
                  "stood at none of the job's zones, set `kind = ignore` in the [file] section of its export.",
                  who);
    mr_add_evidence(a, &f.evidence, p->window->place, "the window");
    mr_add_finding(a, &f);
}
