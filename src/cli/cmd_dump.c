#include "cli/stages.h"

#include <string.h>

int mr_cmd_dump(struct mr_arena *arena, const struct mr_cli_options *o) {
    static const char *const names[] = {[MR_LAST_READ] = "read",
                                        [MR_LAST_NORMALISE] = "normalise",
                                        [MR_LAST_ALIGN] = "align",
                                        [MR_LAST_ASSESS] = "assess"};
    size_t last = MR_LAST_ASSESS;
    if (o->stage)
        for (last = 0; last < MR_COUNT(names) && strcmp(names[last], o->stage) != 0;)
            last++;
    if (last == MR_COUNT(names)) {
        fprintf(stderr, "milrise dump: \"%s\" is not a stage; there are read, normalise, align and assess\n",
                o->stage);
        return MR_EXIT_USAGE;
    }
    struct mr_run run;
    enum mr_status status = mr_run_folder(&run, arena, o->paths[0], (enum mr_last)last, NULL);
    mr_cli_diags(arena, &run.diags, MR_WARNING);
    if (status != MR_OK && status != MR_E_NODATA)
        return (int)mr_cli_exit(status);
    const char *text = "";
    if (last == MR_LAST_READ)
        text = mr_read_dump(arena, &run.sources);
    else if (last == MR_LAST_NORMALISE)
        text = mr_normalise_dump(arena, run.data);
    else if (last == MR_LAST_ALIGN)
        text = mr_align_dump(arena, run.aligned);
    else
        text = mr_assess_dump(arena, run.assessment);
    return mr_cli_out(text);
}
