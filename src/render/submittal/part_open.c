/*
 * part_open.c - how the zones stand, what is open, the register of non-conformances, the findings.
 */
#include "render/data/cautions.h"
#include "render/submittal/parts.h"

#include <string.h>

void mr_sub_verdict(const struct mr_sub *s) {
    const struct mr_assessment *a = s->a;
    struct mr_grid_column columns[2 + 8] = {{"Zone", false}, {"Outcome", false}};
    for (size_t g = 0; g < MR_COUNT(mr_groups); g++)
        columns[2 + g].title = mr_group_titles[g];
    struct mr_grid grid = mr_sub_grid(s, MR_COUNT(columns), columns);
    mr_sub_section(s, "Verdict by zone", "verdict");
    mr_leaves_paragraph(s->l, MR_LEAF_STRONG, 0,
                        mr_printf(s->arena, "%s: %s. %s; %zu %s.", mr_sub_word(s, "Outcome of the job"),
                                  mr_sub_word(s, mr_outcome_text(a->outcome)), mr_zone_counts_text(s->arena, a),
                                  a->findings.n, a->findings.n == 1 ? "finding" : "findings"));
    for (size_t z = 0; z < a->aligned->zones.n; z++) {
        if (!mr_sub_shows(s, z))
            continue;
        mr_grid_link(&grid, a->aligned->zones.v[z].name, mr_sub_zone_place(s, z));
        mr_grid_outcome(&grid, a->zones[z].outcome, mr_sub_word(s, mr_outcome_text(a->zones[z].outcome)));
        for (size_t g = 0; g < 8; g++)
            mr_grid_outcome(&grid, a->zones[z].by_group[g], mr_sub_word(s, mr_outcome_text(a->zones[z].by_group[g])));
    }
    if (grid.cells.n)
        mr_leaves_grid(s->l, &grid);
    for (size_t i = 0; i < s->o->charts->n; i++)
        if (strcmp(s->o->charts->v[i].kind, "verdicts") == 0) {
            mr_leaves_figure(s->l, &s->o->charts->v[i], 2, NULL);
            s->placed[i] = true;
        }
    mr_leaves_heading(s->l, MR_LEAF_H3, mr_sub_word(s, "What the words mean"), NULL);
    struct mr_fact facts[MR_MEANINGS];
    for (size_t i = 0; i < MR_MEANINGS; i++)
        facts[i] = (struct mr_fact){mr_sub_word(s, mr_outcome_text(mr_meanings[i].outcome)),
                                    mr_sub_word(s, mr_meanings[i].text)};
    mr_leaves_facts(s->l, MR_MEANINGS, facts);
}

static void put_check(const struct mr_sub *s, struct mr_grid *grid, const struct mr_check *c) {
    const char *place = c->zone < s->a->aligned->zones.n ? mr_sub_zone_place(s, c->zone) : NULL;
    mr_grid_link(grid, place ? mr_zone_name(s->a, c->zone) : mr_sub_word(s, "whole job"), place);
    mr_grid_text(grid, c->title);
    mr_grid_text(grid, c->coat > 0 ? mr_printf(s->arena, "%d", c->coat) : "");
    mr_grid_outcome(grid, c->outcome, mr_sub_word(s, mr_outcome_text(c->outcome)));
    mr_grid_text(grid, mr_shown_measured(s->arena, c));
    mr_grid_text(grid, mr_shown_limits(s->arena, c));
    mr_grid_text(grid, mr_shown_places(s->arena, &c->evidence));
}

static void put_register(const struct mr_sub *s) {
    static const char *const keys[] = {"number", "what", "found_in", "disposition", "closed", "state"};
    mr_leaves_heading(s->l, MR_LEAF_H2, mr_sub_word(s, "Register of non-conformances"), "register");
    const struct mr_table *t = mr_find_table(s->a, MR_REGISTER);
    if (t)
        mr_leaves_paragraph(s->l, MR_LEAF_NOTE, 0, t->note);
    mr_sub_table(s, t, MR_COUNT(keys), keys);
}

void mr_sub_open(const struct mr_sub *s) {
    static const struct mr_grid_column columns[] = {{"Zone", false},    {"Check", false},   {"Coat", true},
                                                    {"Outcome", false}, {"Measured", true}, {"Limit", false},
                                                    {"Evidence", false}};
    struct mr_grid grid = mr_sub_grid(s, MR_COUNT(columns), columns);
    mr_sub_section(s, "Open points", "open");
    for (int k = MR_DOES_NOT_CONFORM; k >= MR_NOT_SHOWN; k--)
        for (size_t i = 0; i < s->a->checks.n; i++)
            if ((int)s->a->checks.v[i].outcome == k && mr_sub_shows(s, s->a->checks.v[i].zone))
                put_check(s, &grid, &s->a->checks.v[i]);
    if (grid.cells.n) {
        mr_leaves_paragraph(s->l, MR_LEAF_NOTE, 0,
                            "Every check that does not conform or is not shown, the former first. +2: two more "
                            "places, in report.json.");
        mr_leaves_grid(s->l, &grid);
    } else {
        mr_leaves_paragraph(s->l, MR_LEAF_BODY, 0, mr_sub_word(s, "None."));
    }
    put_register(s);
}

static const char *cell(const struct mr_sub *s, size_t row, const char *key) {
    const size_t c = mr_find_column(s->findings, key);
    return c == MR_NONE ? "" : mr_shown_value(s->o, s->findings, row, c);
}

static const char *labelled(const struct mr_sub *s, const char *label, const char *text) {
    return text[0] ? mr_printf(s->arena, "%s: %s", mr_sub_word(s, label), text) : "";
}

/* Lines of one cell side by side. */
static const char *on_one_line(const struct mr_sub *s, const char *text) {
    const char *joined = "";
    while (*text) {
        const size_t n = strcspn(text, "\n");
        joined = mr_printf(s->arena, "%s%s%.*s", joined, *joined ? "; " : "", (int)n, text);
        text += n + (text[n] == '\n');
    }
    return joined;
}

static void put_finding(const struct mr_sub *s, size_t i) {
    struct mr_leaves *l = s->l;
    const size_t zone = s->a->findings.v[i].zone;
    const char *coat = cell(s, i, "coat");
    const char *head =
        mr_printf(s->arena, "%s. %s: %s%s", cell(s, i, "number"), mr_sub_word(s, cell(s, i, "severity")),
                  zone < s->a->aligned->zones.n ? mr_zone_name(s->a, zone) : mr_sub_word(s, "whole job"),
                  coat[0] ? mr_printf(s->arena, ", %s %s", mr_sub_word(s, "coat"), coat) : "");
    mr_leaves_heading(l, MR_LEAF_H3, head, mr_sub_finding_place(s, i));
    mr_leaves_paragraph(l, MR_LEAF_BODY, 14, cell(s, i, "what"));
    mr_leaves_paragraph(l, MR_LEAF_BODY, 14, labelled(s, "Next step", cell(s, i, "next")));
    mr_leaves_paragraph(l, MR_LEAF_NOTE, 14, labelled(s, "When", cell(s, i, "when")));
    mr_leaves_paragraph(l, MR_LEAF_NOTE, 14, labelled(s, "Rule", on_one_line(s, cell(s, i, "rule"))));
    mr_leaves_paragraph(l, MR_LEAF_NOTE, 14, labelled(s, "Evidence", on_one_line(s, cell(s, i, "evidence"))));
}

void mr_sub_findings(const struct mr_sub *s) {
    size_t shown = 0;
    mr_sub_section(s, "Findings", "findings");
    mr_leaves_paragraph(s->l, MR_LEAF_NOTE, 0, s->findings->note);
    for (size_t i = 0; i < s->a->findings.n; i++) {
        if (!mr_sub_shows(s, s->a->findings.v[i].zone))
            continue;
        struct mr_leaf_mark mark = mr_leaves_mark(s->l);
        do
            put_finding(s, i);
        while (mr_leaves_again(s->l, &mark));
        shown++;
    }
    if (!shown)
        mr_leaves_paragraph(s->l, MR_LEAF_BODY, 0, mr_sub_word(s, "None."));
}
