/*
 * part_back.c - what the verdict rests on: gauges, inputs, rules and settings, methods, cautions.
 */
#include "render/data/cautions.h"
#include "render/submittal/parts.h"

#include <string.h>

static void put_certificates(const struct mr_sub *s) {
    static const struct mr_grid_column columns[] = {
        {"Instrument", false}, {"Serial", false}, {"Certificate", false}, {"Valid until", false}, {"Place", false}};
    struct mr_grid grid = mr_sub_grid(s, MR_COUNT(columns), columns);
    const struct mr_job *job = s->a->job;
    for (size_t i = 0; i < job->instruments.n; i++) {
        const struct mr_instrument *in = &job->instruments.v[i];
        mr_grid_text(&grid, in->name);
        mr_grid_text(&grid, in->serial);
        mr_grid_text(&grid, in->certificate);
        mr_grid_text(&grid,
                     in->certified_until_local_ms == MR_T_NONE ? "" : mr_sub_day(s, in->certified_until_local_ms));
        mr_grid_text(&grid, mr_place_text(s->arena, &in->place));
    }
    if (!grid.cells.n)
        return;
    mr_leaves_heading(s->l, MR_LEAF_H2, mr_sub_word(s, "Instruments"), "instruments");
    mr_leaves_grid(s->l, &grid);
}

void mr_sub_gauges(const struct mr_sub *s) {
    static const char *const keys[] = {"gauge",         "time",          "when",     "certified", "reading", "off",
                                       "tolerance_rss", "tolerance_sum", "in_force", "result",    "where"};
    const struct mr_table *t = mr_find_table(s->a, "gauge-verifications");
    mr_sub_section(s, "Gauges", "gauges");
    if (t)
        mr_leaves_paragraph(s->l, MR_LEAF_NOTE, 0, t->note);
    mr_sub_table(s, t, MR_COUNT(keys), keys);
    put_certificates(s);
}

void mr_sub_inputs(const struct mr_sub *s) {
    static const char *const keys[] = {"path",      "kind",           "rows_read", "rows_header",
                                       "rows_used", "rows_set_aside", "sha256"};
    static const char *const steering[] = {"path", "origin", "bytes", "sha256"};
    const struct mr_table *t = mr_find_table(s->a, "inputs"), *config = mr_find_table(s->a, "configuration");
    mr_sub_section(s, "Inputs", "inputs");
    if (t)
        mr_leaves_paragraph(s->l, MR_LEAF_NOTE, 0, t->note);
    mr_sub_table(s, t, MR_COUNT(keys), keys);
    if (!config)
        return;
    mr_leaves_heading(s->l, MR_LEAF_H2, mr_sub_word(s, config->title), "configuration");
    mr_leaves_paragraph(s->l, MR_LEAF_NOTE, 0, config->note);
    mr_sub_table(s, config, MR_COUNT(steering), steering);
}

static void put_methods(const struct mr_sub *s) {
    static const char *const tables[] = {"thickness-summary",
                                         "spots",
                                         "thickness-sampling",
                                         "thickness-intervals",
                                         "thickness-order",
                                         "surveys",
                                         "climate",
                                         "heat-by-coat",
                                         "heat-events",
                                         "rise-against-thickness",
                                         "line-pressures",
                                         "pauses",
                                         "material",
                                         "clocks",
                                         "alignment"};
    mr_leaves_heading(s->l, MR_LEAF_H2, mr_sub_word(s, "Methods"), "methods");
    for (size_t i = 0; i < MR_COUNT(tables); i++) {
        const struct mr_table *t = mr_find_table(s->a, tables[i]);
        if (t && t->note)
            mr_leaves_paragraph(s->l, MR_LEAF_BODY, 0,
                                mr_printf(s->arena, "%s: %s", mr_sub_word(s, t->title), t->note));
    }
}

void mr_sub_basis(const struct mr_sub *s) {
    static const char *const rules[] = {"rule", "limit", "text", "source", "edition", "clause", "origin"};
    static const char *const settings[] = {"section", "key", "specification", "value", "from", "line", "source"};
    static const char *const changes[] = {"about", "what", "before", "after", "words"};
    const struct mr_table *r = mr_find_table(s->a, "thickness-rules"), *set = mr_find_table(s->a, "settings"),
                          *history = mr_find_table(s->a, "revision-history");
    mr_sub_section(s, "Basis", "basis");
    if (r) {
        mr_leaves_heading(s->l, MR_LEAF_H2, mr_sub_word(s, r->title), "rules");
        mr_leaves_paragraph(s->l, MR_LEAF_NOTE, 0, r->note);
        mr_sub_table(s, r, MR_COUNT(rules), rules);
    }
    put_methods(s);
    if (set) {
        mr_leaves_heading(s->l, MR_LEAF_H2, mr_sub_word(s, set->title), "settings");
        mr_leaves_paragraph(s->l, MR_LEAF_NOTE, 0, set->note);
        mr_sub_table(s, set, MR_COUNT(settings), settings);
    }
    if (history) {
        mr_leaves_heading(s->l, MR_LEAF_H2, mr_sub_word(s, history->title), "changes");
        mr_leaves_paragraph(s->l, MR_LEAF_NOTE, 0, history->note);
        mr_sub_table(s, history, MR_COUNT(changes), changes);
    }
}

static void put_list(const struct mr_sub *s, const char *title, const char *place, size_t n,
                     const char *const *items) {
    mr_leaves_heading(s->l, MR_LEAF_H2, mr_sub_word(s, title), place);
    for (size_t i = 0; i < n; i++)
        mr_leaves_paragraph(s->l, MR_LEAF_BODY, 0, mr_printf(s->arena, "%zu. %s", i + 1, mr_sub_word(s, items[i])));
}

void mr_sub_cautions(const struct mr_sub *s) {
    mr_sub_section(s, "Cautions and limit of use", "cautions");
    put_list(s, "Cautions", "cautions-list", MR_CAUTIONS, mr_cautions);
    put_list(s, "Limits of this report", "limits", MR_LIMITS, mr_limits);
    mr_leaves_paragraph(
        s->l, MR_LEAF_NOTE, 0,
        mr_printf(s->arena,
                  "Made by milrise %s. The same files give the same bytes. The workbook and report.json "
                  "of this revision hold the same figures, report.json in full precision. A drawn figure names the "
                  "revision since which it stands as it is.",
                  s->o->version));
}
