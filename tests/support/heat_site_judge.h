/*
 * heat_site_judge.h - a simulated site as the assessing code sees it, and the score of what it says.
 */
#ifndef TEST_HEAT_SITE_JUDGE_H
#define TEST_HEAT_SITE_JUDGE_H

#include "assess/finding/assessment.h"
#include "support/heat_site.h"

struct site_score {
    size_t coats, right, not_shown, wrong;
    size_t healthy, healthy_right, healthy_wrong;
    size_t fitted, covered; /* of coats with heat: 95 % intervals of the rise, and those that hold the truth */
    size_t by_fault[SITE_FAULTS][3]; /* right, not shown, wrong */
    size_t passed;                   /* faulty coats that conform */
    size_t placed;                   /* healthy coats with a rise */
    double sum_centre;               /* over those: of rise over the centre of its band */
};

/** site_assess - tracks, windows, zones and films of the site, assessed. Lives in arena. */
struct mr_assess *site_assess(struct mr_arena *arena, const struct site *s);

/** site_add - assess one site and count. verbose: prints what is wrong. */
void site_add(struct mr_arena *arena, const struct site *s, bool verbose, struct site_score *score);

/** site_coverage_pct - of the intervals counted; NaN for none. */
double site_coverage_pct(const struct site_score *score);

#endif
