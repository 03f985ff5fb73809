/*
 * taken_back.c - see taken_back.h. A mark may stand at just those samples that fail, so what was marked proves
 * nothing either way.
 */
#include "assess/climate/taken_back.h"

#include "assess/finding/finding_text.h"

void mr_find_taken_back(struct mr_assess *a, const struct mr_window *window, int64_t from_ms, int64_t to_ms,
                        const char *what) {
    struct mr_finding f = mr_blank_finding("samples-taken-back", MR_WARNING, window->zone, window->coat);
    f.t0_utc_ms = from_ms;
    f.t1_utc_ms = to_ms;
    f.rule = "samples marked as not valid show nothing, for or against";
    f.source = MR_SRC_PD;
    f.what = mr_printf(a->arena, "%s: %s not shown. Within %s the log itself marks samples in a row as not valid.",
                       mr_capitalised(a, mr_zone_label(a, f.zone, f.coat)), what, mr_span_text(a, from_ms, to_ms));
    f.next_step = "See the marked rows on the sheet Rows set aside. If they count after all, add the line given "
                  "there to job.milrise; else show that time by another logger.";
    mr_add_evidence(a, &f.evidence, window->place, "the window");
    mr_add_finding(a, &f);
}
