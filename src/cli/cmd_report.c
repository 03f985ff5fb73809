#include "cli/stages.h"

#include <time.h>
#include <unistd.h>

static const char *stamp_of(struct mr_arena *arena, const char *asked) {
    if (!asked)
        return NULL;
    if (asked[0] != 'n' || asked[1] != 'o' || asked[2] != 'w' || asked[3])
        return asked;
    time_t now = time(NULL);
    struct tm utc;
    gmtime_r(&now, &utc);
    return mr_printf(arena, "%04d-%02d-%02d %02d:%02d UTC", utc.tm_year + 1900, utc.tm_mon + 1, utc.tm_mday,
                     utc.tm_hour, utc.tm_min);
}

static unsigned processors(void) {
    long n = sysconf(_SC_NPROCESSORS_ONLN);
    return n < 1 ? 1 : n > 16 ? 16 : (unsigned)n;
}

int mr_cmd_report(struct mr_arena *arena, const struct mr_cli_options *o) {
    struct mr_run run;
    enum mr_status status = mr_run_folder(&run, arena, o->paths[0], MR_LAST_ASSESS);
    if (status != MR_OK) {
        mr_cli_diags(arena, &run.diags, MR_WARNING);
        if (status == MR_E_NODATA)
            fprintf(stderr,
                    "%s: nothing here that could be judged. Drop exports into the folder; `milrise explain FILE` "
                    "tells how "
                    "one is understood.\n",
                    o->paths[0]);
        return (int)mr_cli_exit(status);
    }
    struct mr_render_options options = {.out_dir = o->out,
                                        .version = MR_VERSION,
                                        .stamp = stamp_of(arena, o->stamp),
                                        .threads = o->threads ? o->threads : processors(),
                                        .charts = !o->no_charts};
    struct mr_published published = {0};
    status = mr_render(arena, run.assessment, &options, &run.diags, &published);
    if (!o->quiet || status != MR_OK)
        mr_cli_diags(arena, &run.diags, status == MR_OK ? MR_WARNING : MR_ERROR);
    if (status != MR_OK)
        return (int)mr_cli_exit(status);
    if (!o->quiet) {
        char *text = mr_printf(arena, "%s\nworkbook: %s\ncharts:   %zu files in %s/charts\ndata:     %s\n",
                               mr_verdict_text(arena, run.assessment), published.workbook, published.charts.n,
                               published.dir, published.json);
        if (mr_cli_out(text))
            return MR_EXIT_OUTPUT;
    }
    return run.assessment->outcome <= MR_CONFORMS ? MR_EXIT_CONFORMS : MR_EXIT_OPEN;
}
