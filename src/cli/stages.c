#include "cli/stages.h"

#include <malloc.h>

/* Between two stages, what was freed goes back to the system. The process would keep it for further blocks, and of a
 * large job that is as much as it holds. */
static void give_back(void) {
    malloc_trim(0);
}

static void tell_rows(struct mr_progress *progress, const struct mr_sources *sources) {
    uint64_t rows = 0;
    for (size_t i = 0; i < sources->list.n; i++)
        rows += sources->list.v[i].rows;
    mr_progress_rows(progress, rows);
}

enum mr_status mr_run_folder(struct mr_run *run, struct mr_arena *arena, const char *dir, enum mr_last last,
                             struct mr_progress *progress) {
    *run = (struct mr_run){.arena = arena};
    mr_diags_init(&run->diags, arena);
    enum mr_status status = mr_job_load(arena, dir, &run->diags, &run->job);
    if (status == MR_OK)
        status = mr_read_folder(arena, run->job, &run->diags, &run->sources);
    if (status != MR_OK || last == MR_LAST_READ)
        return status;
    tell_rows(progress, &run->sources);
    mr_progress_step(progress, MR_STEP_NORMALISE);
    status = mr_normalise(arena, &run->sources, &run->diags, &run->data);
    if (status != MR_OK || last == MR_LAST_NORMALISE)
        return status;
    mr_progress_step(progress, MR_STEP_ALIGN);
    give_back();
    status = mr_align(arena, run->data, &run->diags, &run->aligned);
    if ((status != MR_OK && status != MR_E_NODATA) || last == MR_LAST_ALIGN)
        return status;
    mr_progress_step(progress, MR_STEP_ASSESS);
    mr_align_release(arena, run->aligned);
    give_back();
    status = mr_assess(arena, run->aligned, &run->diags, &run->assessment);
    mr_align_judged(arena, run->aligned);
    give_back();
    return status;
}
