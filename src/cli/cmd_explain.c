#include "cli/cli.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

/* The path below the job folder, by which the job's [file] rules know a file; as given where it lies elsewhere. */
static const char *path_in_job(struct mr_arena *arena, const char *job, const char *given) {
    char folder[PATH_MAX], file[PATH_MAX];
    if (!job || !realpath(job, folder) || !realpath(given, file))
        return given;
    size_t n = strlen(folder);
    return strncmp(folder, file, n) == 0 && file[n] == '/' ? mr_strdup(arena, file + n + 1) : given;
}

int mr_cmd_explain(struct mr_arena *arena, const struct mr_cli_options *o) {
    struct mr_diags diags;
    mr_diags_init(&diags, arena);
    const struct mr_job *job = mr_job_default(arena);
    if (o->job && mr_job_load(arena, o->job, &diags, &job) != MR_OK) {
        mr_cli_diags(arena, &diags, MR_WARNING);
        return MR_EXIT_USAGE;
    }
    struct mr_sources sources = {.job = job};
    size_t readable = 0;
    for (int i = 0; i < o->n_paths; i++) {
        struct mr_source source;
        if (mr_read_source(arena, job, o->paths[i], path_in_job(arena, o->job, o->paths[i]), &diags, &source) ==
            MR_OK)
            readable++;
        mr_read_split(arena, job, &source, &sources);
    }
    const struct mr_data *data;
    enum mr_status status = mr_normalise(arena, &sources, &diags, &data);
    if (status != MR_OK)
        return (int)mr_cli_exit(status);
    if (mr_cli_out(o->json ? mr_explain_json(arena, data) : mr_explain_text(arena, data)))
        return MR_EXIT_OUTPUT;
    if (o->json)
        mr_cli_diags(arena, &diags, MR_ERROR);
    if (!readable)
        return MR_EXIT_NO_INPUT;
    return diags.count[MR_ERROR] + diags.count[MR_WARNING] ? MR_EXIT_OPEN : MR_EXIT_CONFORMS;
}
