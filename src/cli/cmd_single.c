/*
 * cmd_single.c - one submittal or one figure, outside of a revision. Names that are not there are answered with those
 * that are, and the nearest.
 */
#include "base/keyfile.h"
#include "cli/stages.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static void wrong_name(struct mr_arena *arena, const struct mr_cli_options *o, const char *what, const char *given,
                       size_t n, const char *const *known) {
    const char *near = mr_nearest(given, known, n), *list = "";
    for (size_t i = 0; i < n; i++)
        list = mr_printf(arena, "%s%s%s", list, i ? ", " : "", known[i]);
    fprintf(stderr, "milrise %s: there is no %s \"%s\".%s%s%s There are: %s.\n", o->command, what, given,
            near ? " Did you mean \"" : "", near ? near : "", near ? "\"?" : "", n ? list : "none");
}

static void wrong_zone(struct mr_arena *arena, const struct mr_cli_options *o, const struct mr_alignment *al,
                       const char *given) {
    const char **known = MR_ARRAY(arena, const char *, al->zones.n + 1);
    for (size_t z = 0; z < al->zones.n; z++)
        known[z] = mr_clean_text(arena, al->zones.v[z].name, strlen(al->zones.v[z].name), 200);
    wrong_name(arena, o, "zone", given, al->zones.n, known);
}

static struct mr_render_options options_of(const struct mr_cli_options *o) {
    return (struct mr_render_options){.out_dir = o->out, .version = MR_VERSION, .stamp = o->stamp, .charts = true};
}

/* Judges the job. Returns: -1 to go on, else the exit status. */
static int judge(struct mr_run *run, struct mr_arena *arena, const struct mr_cli_options *o) {
    const enum mr_status status = mr_run_folder(run, arena, o->paths[0], MR_LAST_ASSESS, NULL);
    if (run->job && run->job->untouched) {
        fprintf(stderr, "milrise %s: " MR_JOB_FILE " is still the unedited template, and its limits are examples.\n",
                o->command);
        return MR_EXIT_USAGE;
    }
    if (status == MR_OK)
        return -1;
    mr_cli_diags(arena, &run->diags, MR_WARNING);
    if (status == MR_E_NODATA)
        fprintf(stderr, "milrise %s: nothing in %s could be judged.\n", o->command, o->paths[0]);
    return (int)mr_cli_exit(status);
}

static int tell(struct mr_run *run, const struct mr_cli_options *o, enum mr_status status, const mr_path_list *made) {
    if (status != MR_OK) {
        mr_cli_diags(run->arena, &run->diags, MR_ERROR);
        return (int)mr_cli_exit(status);
    }
    const char *text = "";
    for (size_t i = 0; i < made->n; i++)
        text = mr_printf(run->arena, "%s%s\n", text, made->v[i]);
    return o->quiet ? 0 : mr_cli_out(text);
}

/* Does path lie in folder, or is it that folder? Both are real paths. */
static bool lies_in(const char *path, const char *folder) {
    const size_t n = strlen(folder);
    return strncmp(path, folder, n) == 0 && (path[n] == '\0' || path[n] == '/' || (n && folder[n - 1] == '/'));
}

/* Where the files go. A job folder's files are its inputs, all but those in its reports: a figure put among them
 * would be asked about, and make another report of it. Returns: false, and said, where --to names such a place. */
static bool place_of(struct mr_arena *arena, const struct mr_cli_options *o, const char **out) {
    char job[PATH_MAX], to[PATH_MAX];
    *out = o->to;
    if (!realpath(o->paths[0], job) || !realpath(o->to ? o->to : ".", to) || !lies_in(to, job))
        return true;
    const char *reports = o->out ? o->out : mr_printf(arena, "%s/reports", o->paths[0]);
    if (lies_in(to, mr_printf(arena, "%s/reports", job)))
        return true;
    if (o->to) {
        fprintf(stderr,
                "milrise %s: %s lies in the job folder, where every file is an input. Name a folder elsewhere, or "
                "%s.\n",
                o->command, o->to, reports);
        return false;
    }
    mkdir(reports, 0777); /* where that fails, writing the file does too, and says why */
    *out = reports;
    return true;
}

int mr_cmd_submittal(struct mr_arena *arena, const struct mr_cli_options *o) {
    struct mr_run run;
    const char *to;
    if (!place_of(arena, o, &to))
        return MR_EXIT_USAGE;
    int status = judge(&run, arena, o);
    if (status >= 0)
        return status;
    const struct mr_alignment *al = run.aligned;
    bool *zones = o->n_zones ? MR_ARRAY(arena, bool, al->zones.n + 1) : NULL;
    for (unsigned i = 0; i < o->n_zones; i++) {
        const size_t z = mr_zone_find(al, o->zones[i], NULL);
        if (z == MR_NONE) {
            wrong_zone(arena, o, al, o->zones[i]);
            return MR_EXIT_USAGE;
        }
        zones[z] = true;
    }
    mr_path_list made = {0};
    const struct mr_render_options options = options_of(o);
    status = tell(&run, o, mr_render_submittal(arena, run.assessment, &options, zones, to, &run.diags, &made), &made);
    if (status)
        return status;
    return run.assessment->outcome <= MR_CONFORMS ? MR_EXIT_CONFORMS : MR_EXIT_OPEN;
}

static const char *listed(struct mr_arena *arena, const char *title, size_t n, const struct mr_name *names) {
    const char *text = mr_printf(arena, "%s:\n", title);
    for (size_t i = 0; i < n; i++)
        text = mr_printf(arena, "%s  %-24s %s\n", text, names[i].name, names[i].what);
    return text;
}

static int list_names(struct mr_arena *arena) {
    size_t kinds, sizes;
    const struct mr_name *kind = mr_render_kinds(arena, &kinds), *size = mr_render_sizes(arena, &sizes);
    return mr_cli_out(mr_printf(arena, "%s\n%s\nformats: pdf, svg, png\n", listed(arena, "kinds", kinds, kind),
                                listed(arena, "sizes", sizes, size)));
}

static bool is_name(struct mr_arena *arena, const struct mr_cli_options *o, const char *what, const char *given,
                    size_t n, const struct mr_name *names) {
    const char **known = MR_ARRAY(arena, const char *, n + 1);
    for (size_t i = 0; i < n; i++) {
        known[i] = names[i].name;
        if (!given || strcmp(given, names[i].name) == 0)
            return true;
    }
    wrong_name(arena, o, what, given, n, known);
    return false;
}

static bool is_format(struct mr_arena *arena, const struct mr_cli_options *o) {
    size_t n;
    const char *const *formats = mr_render_formats(&n);
    for (size_t i = 0; i < n; i++)
        if (!o->format || strcmp(o->format, formats[i]) == 0)
            return true;
    wrong_name(arena, o, "format", o->format, n, formats);
    return false;
}

int mr_cmd_figure(struct mr_arena *arena, const struct mr_cli_options *o) {
    size_t kinds, sizes;
    const struct mr_name *kind = mr_render_kinds(arena, &kinds), *size = mr_render_sizes(arena, &sizes);
    if (!o->kind)
        return list_names(arena);
    if (!is_name(arena, o, "kind", o->kind, kinds, kind) || !is_name(arena, o, "size", o->size, sizes, size) ||
        !is_format(arena, o))
        return MR_EXIT_USAGE;
    const char *to;
    if (!place_of(arena, o, &to))
        return MR_EXIT_USAGE;
    struct mr_run run;
    const int status = judge(&run, arena, o);
    if (status >= 0)
        return status;
    mr_path_list made = {0};
    const struct mr_render_options options = options_of(o);
    for (unsigned i = 0; i < o->n_zones || i == 0; i++) {
        struct mr_figure_wish wish = {o->kind, MR_NONE, o->size, o->format};
        if (o->n_zones)
            wish.zone = mr_zone_find(run.aligned, o->zones[i], NULL);
        if (o->n_zones && wish.zone == MR_NONE) {
            wrong_zone(arena, o, run.aligned, o->zones[i]);
            return MR_EXIT_USAGE;
        }
        const enum mr_status drawn = mr_render_figure(arena, run.assessment, &options, &wish, to, &run.diags, &made);
        if (drawn != MR_OK)
            return tell(&run, o, drawn, &made);
    }
    if (made.n == 0) {
        fprintf(stderr, "milrise figure: the job has no figure of the kind %s%s\n", o->kind,
                o->n_zones ? " for this zone. Figures of a shift or of the whole job are made without --zone."
                           : ": its data do not give one.");
        return MR_EXIT_NO_INPUT;
    }
    return tell(&run, o, MR_OK, &made);
}
