/*
 * near_names.c - rows under a name that may be a slip of the pen for a zone's. They are kept as a zone of their own,
 * and whatever they say, a coat sprayed after the survey or a thin spot, may be true of the zone that they resemble.
 * What to do about it is alignment's near miss, a finding already.
 */
#include "assess/finding/finding_text.h"

void mr_assess_near_names(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    for (size_t i = 0; i < al->zones.n; i++) {
        const struct mr_zone *z = &al->zones.v[i];
        const size_t near = z->near && *z->near ? mr_zone_find(al, z->near, NULL) : MR_NONE;
        if (near == MR_NONE)
            continue;
        struct mr_check c = mr_blank_check("history.names", "Rows under a similar name", "history", near, 0);
        c.outcome = MR_NOT_SHOWN;
        c.rule = "every row that may be of the zone bears its name or one of its aliases";
        c.source = MR_SRC_PD;
        c.detail = mr_printf(a->arena, "Rows under \"%s\" may be of %s: no zone in the register is called so.",
                             z->name, al->zones.v[near].name);
        mr_add_evidence(a, &c.evidence, z->place, "the first of them");
        mr_add_check(a, &c);
    }
}
