/*
 * configuration.c - the texts that steered the report, as inputs with their fingerprints: who audits a figure a year
 * later must be able to tell which job file, column map and rule set were in force.
 */
#include "assess/finding/assessment.h"

void mr_assess_configuration(struct mr_assess *a) {
    static const struct mr_field fields[] = {{"path", "File", MR_UNIT_NONE, 0},
                                             {"origin", "From", MR_UNIT_NONE, 0},
                                             {"bytes", "Bytes", MR_UNIT_NONE, 0},
                                             {"sha256", "SHA-256", MR_UNIT_NONE, 0}};
    if (a->job->config.n == 0)
        return;
    struct mr_table *table =
        mr_table_new(a->arena, "configuration", "Job file and rules",
                     "The texts behind this report: the job file, the column maps and rules beside it, and those "
                     "built into the program. A text of the job overrides a built-in one of the same name.",
                     MR_COUNT(fields), fields);
    for (size_t i = 0; i < a->job->config.n; i++) {
        const struct mr_config_file *f = &a->job->config.v[i];
        const struct mr_value v[] = {mr_v_text(f->path), mr_v_text(f->built_in ? "built in" : "job"),
                                     mr_v_count((int64_t)f->bytes), mr_v_text(f->sha256)};
        mr_table_add(a->arena, table, v);
    }
    mr_add_table(a, table);
}
