/*
 * unlogged_coats.c - a zone that was sprayed at a time of which the spray log says nothing: nobody knows lots,
 * climate and film of what landed there, so the zone is not shown until the log has a row that explains it.
 */
#include "assess/finding/finding_text.h"

static void add(struct mr_assess *a, const struct mr_unlogged *u) {
    const struct mr_track *track = &a->aligned->tracks.v[u->track];
    struct mr_check c = mr_blank_check("history.unlogged", "Spraying that no row explains", "history", u->zone, 0);
    c.outcome = MR_NOT_SHOWN;
    c.rule = "every coat stands in the spray log";
    c.source = MR_SRC_CP;
    c.detail =
        mr_printf(a->arena,
                  "The lines were under spraying pressure from %s, channel %s warmed from %s on, and no row of "
                  "the spray log explains it.",
                  mr_span_text(a, u->t0_utc_ms, u->t1_utc_ms), track->channel, mr_moment_text(a, u->onset_utc_ms));
    mr_evidence_track(a, &c.evidence, track, u->onset_utc_ms,
                      u->t1_utc_ms > u->onset_utc_ms ? u->t1_utc_ms : u->onset_utc_ms, "the probe warms");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "unlogged-spraying", MR_WARNING);
    f.t0_utc_ms = u->t0_utc_ms;
    f.t1_utc_ms = u->t1_utc_ms;
    f.what = mr_printf(a->arena, "%s: %s", mr_capitalised(a, mr_zone_label(a, u->zone, 0)), c.detail);
    f.next_step =
        "Enter in the spray log what was sprayed then and on which zone: the coat, or the test or cleaning that "
        "it was.";
    mr_add_finding(a, &f);
}

void mr_assess_unlogged(struct mr_assess *a) {
    for (size_t i = 0; i < a->aligned->unlogged.n; i++)
        add(a, &a->aligned->unlogged.v[i]);
}
