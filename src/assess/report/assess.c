/*
 * assess.c - the fourth stage's entry: runs the parts in an order in which each finds what it needs (films before
 * heat and material, everything before the timeline), then assembles.
 */
#include "assess/finding/assessment.h"

enum mr_status mr_assess(struct mr_arena *arena, const struct mr_alignment *aligned, struct mr_diags *diags,
                         const struct mr_assessment **out) {
    struct mr_assessment *result = MR_NEW(arena, struct mr_assessment);
    struct mr_assess a = {.arena = arena, .aligned = aligned, .job = aligned->job, .diags = diags, .out = result};
    result->aligned = aligned;
    result->job = aligned->job;
    mr_assess_thickness(&a);
    mr_assess_coats(&a);
    mr_assess_climate(&a);
    mr_assess_repair_climate(&a);
    mr_assess_reaction(&a);
    mr_assess_lines(&a);
    mr_assess_material(&a);
    mr_assess_shift(&a);
    mr_assess_near_names(&a);
    mr_assess_unread(&a);
    mr_assess_unread_logs(&a);
    mr_assess_statements(&a);
    mr_assess_sections(&a);
    mr_assess_certificates(&a);
    mr_assess_provenance(&a);
    mr_assess_configuration(&a);
    mr_assess_shift_timeline(&a);
    mr_assess_nonconformances(&a);
    mr_assess_finish(&a);
    mr_assess_evidence(&a);
    *out = result;
    return result->judged ? MR_OK : MR_E_NODATA;
}
