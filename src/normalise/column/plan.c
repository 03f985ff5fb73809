/*
 * plan.c - makes the plan of one file: the job's word first, then the guess of recognise.c, then how times and
 * numbers are written.
 */
#include "normalise/column/doubtful_columns.h"
#include "normalise/column/rivals.h"
#include "normalise/column/stated_purpose.h"
#include "normalise/column/suggest.h"
#include "normalise/column/unread_names.h"

#include <stdlib.h>
#include <string.h>

size_t mr_plan_column_of(const struct mr_plan *plan, enum mr_meaning meaning) {
    for (size_t i = 0; i < plan->n; i++)
        if (plan->col[i].as.meaning == meaning)
            return i;
    return MR_NONE;
}

/* --- kind --------------------------------------------------------------------------------------------------------
 */

struct choice {
    struct mr_arena *arena;
    const struct mr_maps *maps;
    const struct mr_source *source;
    const struct mr_column_shapes *shapes;
    struct mr_guesses guesses;
};

static void rank(struct choice *c) {
    struct mr_guesses *g = &c->guesses;
    *g = (struct mr_guesses){.arena = c->arena, .source = c->source, .shapes = c->shapes};
    g->first = g->second = MR_KIND_UNKNOWN;
    for (enum mr_kind k = MR_KIND_THICKNESS; k < MR_KIND_NOT_A_TABLE; k++) {
        g->guess[k] = mr_guess_kind(c->arena, c->maps, k, c->source, c->shapes);
        if (g->guess[k].score > g->guess[g->first].score) {
            g->second = g->first;
            g->first = k;
        } else if (g->guess[k].score > g->guess[g->second].score) {
            g->second = k;
        }
    }
}

static const char *evidence(struct choice *c, enum mr_kind kind) {
    const struct mr_guess *g = &c->guesses.guess[kind];
    const char *text = "";
    size_t shown = 0;
    for (size_t i = 0; i < c->shapes->columns && shown < 6; i++) {
        if (g->col[i].as.meaning == MR_M_IGNORE || !*c->source->columns[i].text)
            continue;
        text = mr_printf(c->arena, "%s%s\"%s\" = %s", text, shown ? ", " : "",
                         mr_clean_text(c->arena, c->source->columns[i].text, strlen(c->source->columns[i].text), 60),
                         mr_meaning_word(g->col[i].as.meaning));
        shown++;
    }
    return mr_printf(c->arena, "columns %s%s", text,
                     g->by_file_words ? "; the file's name or preamble says so too" : "");
}

static void say_unsure(struct choice *c, struct mr_plan *plan, struct mr_diags *diags) {
    struct mr_suggestion s = mr_suggest_kind(&c->guesses);
    if (*s.lines)
        mr_plan_ask(c->arena, plan, s.question, s.lines);
    plan->kind_why = s.why;
    mr_diag_add(
        diags, MR_ERROR, "unknown-kind", (struct mr_place){.file = c->source->path}, NULL,
        mr_printf(c->arena, "Add to job.milrise, with the right words: %s", mr_one_line(c->arena, plan->mend)),
        "the file was not recognised: %s", plan->kind_why);
}

/* The kind, or none where the file itself says that its readings may be of something else. */
static enum mr_kind kind_of_work(struct choice *c, const struct mr_job *job, enum mr_kind kind, struct mr_plan *plan,
                                 struct mr_diags *diags) {
    struct mr_place place;
    const char *text = mr_other_purpose(c->arena, job, kind, c->source, &place);
    if (!text)
        return kind;
    mr_plan_ask(c->arena, plan, MR_ASK_PURPOSE, mr_printf(c->arena, "kind = %s", mr_kind_word(kind)));
    plan->kind_why = place.line ? "a line of the file says that the readings may not be of the work"
                                : "the name of the file says that the readings may not be of the work";
    mr_diag_add(diags, MR_ERROR, "other-purpose", place, mr_clean_text(c->arena, text, strlen(text), 60),
                mr_printf(c->arena, "If they are, say so in job.milrise: %s. File set aside.",
                          mr_one_line(c->arena, plan->mend)),
                "says that the readings may not be of the work, or not be right");
    return MR_KIND_UNKNOWN;
}

static enum mr_kind stated_kind(struct choice *c, const struct mr_job *job, struct mr_plan *plan,
                                struct mr_diags *diags) {
    const struct mr_file_rule *rule = c->source->rule;
    enum mr_kind kind = MR_KIND_UNKNOWN;
    if (!rule)
        return kind;
    if (*rule->columns) {
        kind = mr_maps_kind(c->arena, job, rule->columns);
        plan->kind_why =
            mr_printf(c->arena, "column map %s of the job file, line %u", rule->columns, (unsigned)rule->place.line);
        if (kind == MR_KIND_UNKNOWN)
            mr_diag_add(diags, MR_ERROR, "column-map", rule->place, rule->columns,
                        mr_printf(c->arena, "Put the map into columns/%s.map beside the job file.", rule->columns),
                        "there is no column map of this name");
    }
    if (!*rule->kind)
        return kind;
    if (mr_kind_find(c->arena, rule->kind, &kind))
        plan->kind_why = mr_printf(c->arena, "job file line %u", (unsigned)rule->place.line);
    else
        mr_diag_add(diags, MR_ERROR, "file-kind", rule->place, rule->kind,
                    mr_printf(c->arena, "Write one of: %s.", mr_kind_words(c->arena)), "is not a kind of file");
    return kind;
}

static void choose_kind(struct choice *c, const struct mr_job *job, struct mr_plan *plan, struct mr_diags *diags) {
    enum mr_kind kind = stated_kind(c, job, plan, diags);
    plan->kind_stated = kind != MR_KIND_UNKNOWN;
    rank(c);
    if (!plan->kind_stated) {
        const struct mr_guess *best = &c->guesses.guess[c->guesses.first],
                              *next = &c->guesses.guess[c->guesses.second];
        if (best->score >= MR_GUESS_ENOUGH && best->score - next->score >= MR_GUESS_LEAD) {
            plan->kind_why = evidence(c, c->guesses.first);
            kind = kind_of_work(c, job, c->guesses.first, plan, diags);
        } else {
            say_unsure(c, plan, diags);
        }
    }
    plan->kind = kind;
    plan->map = kind == MR_KIND_UNKNOWN ? NULL : &c->maps->map[kind];
    plan->col = c->guesses.guess[kind == MR_KIND_UNKNOWN ? MR_KIND_TEMPERATURE : kind].col;
}

/* --- the job's own columns ---------------------------------------------------------------------------------------
 */

static const char *meanings(struct mr_arena *arena) {
    const char *list = "";
    for (enum mr_meaning m = MR_M_IGNORE; m < MR_MEANING_COUNT; m++)
        list = mr_printf(arena, "%s%s%s", list, *list ? ", " : "", mr_meaning_word(m));
    return list;
}

static void apply_column_rule(struct mr_arena *arena, struct mr_plan *plan, const struct mr_file_rule *rule,
                              const struct mr_file_column *stated, struct mr_diags *diags) {
    enum mr_meaning meaning = MR_M_IGNORE;
    if (!mr_meaning_find(arena, stated->meaning, &meaning)) {
        mr_diag_add(diags, MR_ERROR, "column-meaning", rule->place, stated->meaning,
                    mr_printf(arena, "Write one of: %s.", meanings(arena)),
                    "is not a meaning that a column can have (column %s)", stated->name);
        return;
    }
    enum mr_unit known;
    if (*stated->unit && !mr_unit_fits(stated->unit, strlen(stated->unit), mr_meaning_dim(meaning), &known))
        mr_diag_add(diags, MR_ERROR, "column-unit", rule->place, stated->unit,
                    "Write it as in thickness [um], air [degC], line A [psi].", "is not a unit of %s (column %s)",
                    mr_meaning_word(meaning), stated->name);
    bool found = false;
    for (size_t i = 0; i < plan->n; i++) {
        struct mr_plan_column *c = &plan->col[i];
        if (!mr_names_column(arena, plan->source, stated->name, i))
            continue;
        found = true;
        bool same_dim = mr_meaning_dim(meaning) == mr_meaning_dim(c->as.meaning);
        c->as.meaning = meaning;
        c->by_job = true;
        c->mean = false;
        const char *unit = *stated->unit ? stated->unit : plan->source->columns[i].unit;
        if (*stated->unit || !same_dim) {
            c->unit_unknown = NULL;
            c->scale = MR_UNSCALED;
        }
        if ((*stated->unit || !same_dim) && mr_unit_fits(unit, strlen(unit), mr_meaning_dim(meaning), &c->as.unit)) {
            c->as.unit_why = *stated->unit ? mr_printf(arena, "job file line %u", (unsigned)rule->place.line)
                                           : "stated in the header";
            c->as.unit_origin = *stated->unit ? MR_ORIGIN_JOB : MR_ORIGIN_HEADING;
            c->unit_stated = true;
        } else if (!same_dim) {
            c->as.unit = MR_UNIT_NONE;
            c->as.unit_origin = MR_ORIGIN_UNKNOWN;
            c->as.unit_why = "";
            c->unit_stated = false;
        }
    }
    if (!found)
        mr_diag_add(diags, MR_WARNING, "no-such-column", rule->place, stated->name,
                    "Write the column's heading as it appears in the file, or column 1, column 2, ...",
                    "%s has no such column", plan->source->path);
}

/* --- merged cells --------------------------------------------------------------------------------------------------
 */

static bool may_carry(enum mr_meaning m) {
    return m == MR_M_ZONE || m == MR_M_COAT || m == MR_M_AREA_ID || m == MR_M_SERIAL || m == MR_M_PROBE ||
           m == MR_M_UNIT || m == MR_M_LOT_A || m == MR_M_LOT_B || m == MR_M_DATE || m == MR_M_PART || m == MR_M_DRUM;
}

/* Not a signature, nor the name of a row's own thing. Merged: the first row is filled, and at least half as many
 * cells are blank as filled. A few forgotten cells are no merged ones. In a log a clock must stand beside the date,
 * so that rows without any time stay what they are. */
static void plan_carried(struct mr_plan *plan, const struct mr_column_shapes *shapes) {
    for (size_t i = 0; i < plan->n; i++) {
        const struct mr_shape *s = &shapes->col[i];
        struct mr_plan_column *c = &plan->col[i];
        bool beside_clock = c->as.meaning != MR_M_DATE || plan->clock_col != MR_NONE || !mr_is_log(plan->kind);
        c->carried = may_carry(c->as.meaning) && plan->kind != MR_KIND_ZONES && beside_clock && s->filled_first &&
                     s->cells && s->blanks > 1 && s->blanks * 2 >= s->cells && s->blanks == s->missing;
        plan->carries |= c->carried;
    }
}

/* --- numbers -----------------------------------------------------------------------------------------------------
 */

static void plan_numbers(struct mr_plan *plan, const struct mr_column_shapes *shapes) {
    bool stated = plan->source->rule && *plan->source->rule->decimal && plan->source->decimal;
    for (size_t i = 0; i < plan->n; i++) {
        const struct mr_shape *s = &shapes->col[i];
        struct mr_plan_column *c = &plan->col[i];
        char mark = shapes->decimal;
        bool own = false;
        if (!stated && s->points != s->commas) {
            mark = s->points > s->commas ? '.' : ',';
            own = true;
        }
        if (!mark && (s->doubt_points || s->doubt_commas))
            c->style = (struct mr_number_style){'?', true};
        else
            c->style = (struct mr_number_style){mark ? mark : '.', s->grouped > 0};
        uint32_t other = c->style.mark == ',' ? s->doubt_points : s->doubt_commas;
        if (mark && !own && other && !s->points && !s->commas)
            c->style.grouped = true;
        c->style_open = !mark && c->style.mark != '?';
        c->as.decimal = s->points || s->commas || ((s->doubt_points || s->doubt_commas) && mark) ? c->style.mark : 0;
    }
}

/* Cells of a whole row: columns without a heading at the end may be absent. */
static void plan_width(struct mr_plan *plan) {
    plan->most_cells = plan->source->n_columns;
    size_t least = plan->source->n_columns;
    while (least > 1 && !*plan->source->columns[least - 1].text && plan->source->header_line && !plan->shift)
        least--;
    plan->least_cells = least;
}

struct mr_plan *mr_plan_make(struct mr_arena *arena, const struct mr_job *job, const struct mr_maps *maps,
                             const struct mr_source *source, const struct mr_column_shapes *shapes,
                             struct mr_diags *diags) {
    struct mr_plan *plan = MR_NEW(arena, struct mr_plan);
    plan->source = source;
    plan->n = shapes->columns;
    plan->shift = shapes->shift;
    plan->kind_why = plan->mend = "";
    plan->missing = source->rule ? source->rule->missing : "";
    struct choice c = {.arena = arena, .maps = maps, .source = source, .shapes = shapes};
    choose_kind(&c, job, plan, diags);
    for (size_t i = 0; source->rule && i < source->rule->column.n; i++)
        apply_column_rule(arena, plan, source->rule, &source->rule->column.v[i], diags);
    for (size_t i = 0; i < plan->n && plan->kind == MR_KIND_UNKNOWN; i++) {
        enum mr_meaning m = plan->col[i].as.meaning;
        if (!mr_is_row_time(m))
            plan->col[i].as = (struct mr_column){.name = plan->col[i].as.name, .unit_why = ""};
    }
    mr_ask_rivals(arena, job, plan, diags);
    mr_ask_doubtful_columns(arena, plan, diags);
    mr_ask_unread_names(arena, plan, shapes, diags);
    mr_plan_times(arena, plan, shapes);
    plan_carried(plan, shapes);
    plan_numbers(plan, shapes);
    plan_width(plan);
    return plan;
}
