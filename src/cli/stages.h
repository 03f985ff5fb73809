/*
 * stages.h - the five calls in their order, for the subcommands.
 */
#ifndef MILRISE_CLI_STAGES_H
#define MILRISE_CLI_STAGES_H

#include "cli/cli.h"
#include "cli/progress.h"

struct mr_run {
    struct mr_arena *arena;
    struct mr_diags diags;
    const struct mr_job *job;
    struct mr_sources sources;
    const struct mr_data *data;
    const struct mr_alignment *aligned;
    const struct mr_assessment *assessment;
};

enum mr_last { MR_LAST_READ, MR_LAST_NORMALISE, MR_LAST_ALIGN, MR_LAST_ASSESS };

/** mr_run_folder - job file and stages up to last. progress: may be NULL. MR_E_NODATA from align or assess still
 * leaves their results. */
enum mr_status mr_run_folder(struct mr_run *run, struct mr_arena *arena, const char *dir, enum mr_last last,
                             struct mr_progress *progress) MR_MUST_USE;

#endif
