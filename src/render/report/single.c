/*
 * single.c - a figure or a submittal made by itself, outside of a revision. It carries the number of the published
 * revision where that says the same, and else says that it is a draft: nothing may look like a revision that is none.
 */
#include "milrise/render.h"

#include "base/buffer.h"
#include "base/json.h"
#include "base/outfile.h"
#include "render/chart/figures.h"
#include "render/data/changes.h"
#include "render/data/content.h"
#include "render/data/former_sieve.h"
#include "render/draw/draw_cairo.h"
#include "render/publish/beneath.h"
#include "render/publish/output_failed.h"
#include "render/publish/revisions.h"
#include "render/report/kept.h"
#include "render/submittal/submittal.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

struct single {
    struct mr_arena *arena;
    mr_chart_list charts;
    struct mr_outline outline;
    struct mr_former former; /* the newest revision's report; any false: none */
    bool draft;
};

static bool says_the_same(struct mr_arena *arena, const struct mr_assessment *a,
                          const struct mr_render_options *options, const char *content) {
    char own[65];
    for (int charts = 0; charts < 2; charts++) {
        mr_report_content(arena, a, options->version, charts, own);
        if (strcmp(own, content) == 0)
            return true;
    }
    return false;
}

/* The register goes on from the newest revision, as the next report's would; a copy of that revision says nothing of
 * what changed since it. */
static void begin(struct single *s, struct mr_arena *arena, const struct mr_assessment *a,
                  const struct mr_render_options *options) {
    enum { FORMER_MOST = 256 << 20 };
    *s = (struct single){.arena = arena, .draft = true};
    const char *dir = options->out_dir ? options->out_dir : mr_printf(arena, "%s/reports", a->job->dir);
    const int reports = open(dir, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    struct mr_revisions found = {0};
    const struct mr_assessment *with = a;
    if (reports >= 0)
        found = mr_revisions_find(arena, reports);
    if (found.any) {
        size_t gone;
        const char *path = mr_printf(arena, "%s/report.json", mr_revision_name(arena, found.newest.revision));
        s->former = mr_former_read(arena, mr_former_text(arena, reports, path, FORMER_MOST));
        s->draft = !says_the_same(arena, a, options, found.newest.content);
        with = mr_with_former(arena, a, &s->former, options->version, &gone);
    }
    if (reports >= 0)
        close(reports);
    if (!s->draft && with != a && with->tables.n)
        ((struct mr_assessment *)(uintptr_t)with)->tables.n--; /* the changes, which come last */
    s->outline = mr_outline_make(arena, with, options->version, options->stamp, s->draft ? 0 : found.newest.revision,
                                 &s->charts);
    if (s->draft) {
        s->outline.revision_text = mr_word(a->job, "draft, not published");
        s->outline.chart_job.stands = s->outline.revision_text;
    }
}

/* Figures that the published report has too stand since when they stand there. */
static void stand(struct single *s) {
    for (size_t i = 0; s->draft && i < s->charts.n; i++)
        s->charts.v[i].created_utc_ms = s->outline.created_utc_ms;
    if (!s->draft)
        mr_figures_copy(&s->outline, &s->former, &s->charts);
}

static enum mr_status put_file(struct mr_arena *arena, const char *path, const struct mr_buffer *k,
                               struct mr_diags *diags) {
    if (mr_file_write(arena, path, k->v.v, k->v.n) == MR_OK)
        return MR_OK;
    return mr_output_failed(diags, path, errno);
}

static const char *in_folder(struct mr_arena *arena, const char *to, const char *name) {
    return to ? mr_printf(arena, "%s/%s", to, name) : name;
}

enum mr_status mr_render_submittal(struct mr_arena *arena, const struct mr_assessment *a,
                                   const struct mr_render_options *options, const bool *zones, const char *to,
                                   struct mr_diags *diags, mr_path_list *out) {
    struct single s;
    char family[128] = "";
    begin(&s, arena, a, options);
    mr_charts_make(&s.outline.chart_job, &s.charts);
    stand(&s);
    const struct mr_zone_choice choice = {.chosen = zones,
                                          .other_font = !mr_font_found(family, sizeof family) ||
                                                        strcmp(family, MR_CHART_FONT) != 0,
                                          .draft = s.draft};
    const char *name = mr_printf(arena, "%s-submittal", s.outline.folder);
    for (size_t z = 0, n = 0; zones && z < a->aligned->zones.n && n < 3; z++)
        if (zones[z] && ++n <= 2)
            name = mr_printf(arena, "%s-%s", name, mr_slug(arena, a->aligned->zones.v[z].name));
        else if (zones[z])
            name = mr_printf(arena, "%s-and-more", name);
    const char *path = in_folder(arena, to, mr_printf(arena, "%s.pdf", name));
    struct mr_buffer k = {.arena = arena};
    if (mr_submittal(&s.outline, &choice, mr_buffer_keep, &k) != MR_OK)
        return mr_output_failed(diags, path, errno);
    const enum mr_status status = put_file(arena, path, &k, diags);
    if (status == MR_OK)
        MR_PUSH(arena, out, path);
    return status;
}

const struct mr_name *mr_render_kinds(struct mr_arena *arena, size_t *n) {
    *n = MR_FIGURE_COUNT;
    struct mr_name *names = MR_ARRAY(arena, struct mr_name, *n + 1);
    for (size_t i = 0; i < *n; i++)
        names[i] = (struct mr_name){mr_figure_words[i].name, mr_figure_words[i].what};
    return names;
}

static const char *measures(struct mr_arena *arena, const struct mr_figure_size *size) {
    return mr_printf(arena, "%.1f x %.1f in, %.0f x %.0f mm", size->w_pt / 72, size->h_pt / 72,
                     size->w_pt / 72 * 25.4, size->h_pt / 72 * 25.4);
}

const struct mr_name *mr_render_sizes(struct mr_arena *arena, size_t *n) {
    const struct mr_figure_size *a4 = mr_figure_sizes(false, n), *letter = mr_figure_sizes(true, n);
    struct mr_name *names = MR_ARRAY(arena, struct mr_name, *n + 1);
    for (size_t i = 0; i < *n; i++) {
        const char *one = measures(arena, &a4[i]), *other = measures(arena, &letter[i]);
        names[i] = (struct mr_name){
            a4[i].name, strcmp(one, other) == 0 ? one : mr_printf(arena, "A4: %s; Letter: %s", one, other)};
    }
    return names;
}

const char *const *mr_render_formats(size_t *n) {
    *n = MR_PICTURE_COUNT;
    return mr_picture_suffix;
}

enum mr_status mr_render_figure(struct mr_arena *arena, const struct mr_assessment *a,
                                const struct mr_render_options *options, const struct mr_figure_wish *wish,
                                const char *to, struct mr_diags *diags, mr_path_list *out) {
    struct single s;
    begin(&s, arena, a, options);
    const struct mr_figure_kind *kind = mr_figure_kind_find(wish->kind);
    s.outline.chart_job.size = wish->size ? mr_figure_size_find(wish->size, s.outline.letter) : NULL;
    enum mr_picture picture = MR_PICTURE_PDF;
    for (int p = 0; wish->format && p < MR_PICTURE_COUNT; p++)
        if (strcmp(mr_picture_suffix[p], wish->format) == 0)
            picture = (enum mr_picture)p;
    if (kind)
        mr_figure_make(&s.outline.chart_job, kind, wish->zone, &s.charts);
    stand(&s);
    for (size_t i = 0; i < s.charts.n; i++) {
        const struct mr_chart *c = &s.charts.v[i];
        const char *path = in_folder(arena, to, mr_printf(arena, "%s.%s", c->stem, mr_picture_suffix[picture]));
        struct mr_buffer k = {.arena = mr_arena_like(arena)};
        enum mr_status status =
            mr_draw_file(c->list, picture, mr_utc_text(arena, c->created_utc_ms), mr_buffer_keep, &k);
        status = status == MR_OK ? put_file(arena, path, &k, diags) : mr_output_failed(diags, path, errno);
        mr_arena_free(k.arena);
        if (status != MR_OK)
            return status;
        MR_PUSH(arena, out, path);
    }
    return MR_OK;
}
