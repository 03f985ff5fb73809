/*
 * assess.c - the fourth stage's entry: runs the parts in an order in which each finds what it needs (films before
 * heat and material, everything before the timeline), then assembles.
 */
#include "assess/finding/assessment.h"

static void (*const parts[])(struct mr_assess *) = {
    mr_assess_thickness,  mr_assess_coats,         mr_assess_climate,        mr_assess_repair_climate,
    mr_assess_reaction,   mr_assess_lines,         mr_assess_material,       mr_assess_shift,
    mr_assess_near_names, mr_assess_unread,        mr_assess_unread_logs,    mr_assess_copied_stretches,
    mr_assess_statements, mr_assess_taken_back,    mr_assess_sections,       mr_assess_certificates,
    mr_assess_provenance, mr_assess_configuration, mr_assess_shift_timeline, mr_assess_nonconformances,
    mr_assess_finish,     mr_assess_evidence};

enum mr_status mr_assess(struct mr_arena *arena, const struct mr_alignment *aligned, struct mr_diags *diags,
                         const struct mr_assessment **out) {
    struct mr_assessment *result = MR_NEW(arena, struct mr_assessment);
    struct mr_assess a = {.arena = arena, .aligned = aligned, .job = aligned->job, .diags = diags, .out = result};
    result->aligned = aligned;
    result->job = aligned->job;
    for (size_t i = 0; i < MR_COUNT(parts); i++) {
        parts[i](&a);
        mr_work_done(&a);
    }
    *out = result;
    return result->judged ? MR_OK : MR_E_NODATA;
}
