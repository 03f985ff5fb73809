/*
 * unread_columns.c - the safety net under recognition: a column of the kind's own matter that is not read is said,
 * with the line for the job file that reads it. Half a shapes that vanishes is worse than a warning too many, but a
 * warning about every "Mean" and "Battery" would teach the clerk to skip them all. So only these are said: a column
 * of numbers whose heading states a unit of what the kind measures, and a column whose meaning another heading took.
 */
#include "normalise/unit/unread_columns.h"

#include "normalise/column/refusing_words.h"
#include "normalise/column/suggest.h"
#include "normalise/phrase/free_words.h"
#include "normalise/phrase/objecting_words.h"

#include <string.h>

enum { UNREAD_MOST = 4 };

static bool measures(enum mr_kind kind, enum mr_dim dim) {
    switch (dim) {
    case MR_DIM_PRESSURE:
        return kind == MR_KIND_PRESSURE;
    case MR_DIM_TEMP:
    case MR_DIM_SHARE:
        return kind == MR_KIND_CLIMATE || kind == MR_KIND_TEMPERATURE;
    case MR_DIM_FILM:
        return mr_is_film_kind(kind) || kind == MR_KIND_VERIFICATION;
    case MR_DIM_AREA:
    case MR_DIM_LENGTH:
        return kind == MR_KIND_ZONES;
    case MR_DIM_NONE:
    case MR_DIM_RISE:
    case MR_DIM_VOLUME:
    case MR_DIM_MASS:
    case MR_DIM_DURATION:
        break;
    }
    return false;
}

/* Words of figures that are worked out from the readings or set beside them; they are left out on purpose. */
static bool derived(const struct mr_map *map, const char *words) {
    static const char *const list[] = {
        "delta",     "difference", "diff",       "margin",     "spread",      "rise",     "alarm",   "setpoint",
        "set point", "offset",     "correction", "error",      "uncertainty", "mean",     "average", "avg",
        "min",       "max",        "std",        "sd",         "median",      "limit",    "target",  "nominal",
        "spec",      "specified",  "wft",        "wet",        "design",      "required", "battery", "number",
        "no",        "count",      "mittel",     "mittelwert", "moyenne",     "media",    "minus"};
    for (size_t i = 0; i < MR_COUNT(list); i++)
        if (mr_words_hold(words, list[i]))
            return true;
    for (size_t i = 0; i < map->ignore.n; i++)
        if (mr_words_hold(words, map->ignore.v[i]))
            return true;
    return false;
}

/* The dimension that a heading states, of those that the kind measures: "RES (psi)", "RES psi", "Deck 1 °C". */
static enum mr_dim stated_dim(enum mr_kind kind, const struct mr_head *head) {
    static const enum mr_dim dims[] = {MR_DIM_PRESSURE, MR_DIM_TEMP, MR_DIM_SHARE,
                                       MR_DIM_FILM,     MR_DIM_AREA, MR_DIM_LENGTH};
    const char *tail = head->text + strlen(head->text);
    while (tail > head->text && tail[-1] != ' ' && tail[-1] != '_')
        tail--;
    bool word = strlen(tail) < 2 || strcmp(tail, "in") == 0 || tail == head->text; /* "Batch C" is no temperature */
    for (size_t i = 0; i < MR_COUNT(dims); i++) {
        enum mr_unit unit;
        if (measures(kind, dims[i]) &&
            ((*head->unit && mr_unit_parse(head->unit, strlen(head->unit), dims[i], &unit)) ||
             (!*head->unit && !word && mr_unit_parse(tail, strlen(tail), dims[i], &unit))))
            return dims[i];
    }
    return MR_DIM_NONE;
}

static bool job_ignores(const struct mr_file_state *state, size_t col) {
    const struct mr_file_rule *rule = state->source->rule;
    for (size_t i = 0; rule && i < rule->column.n; i++)
        if (mr_names_column(state->scratch, state->source, rule->column.v[i].name, col))
            return true;
    return false;
}

/* What the column is most likely, to be proposed: a meaning of the dimension that no column has yet. */
static enum mr_meaning propose(const struct mr_plan *plan, enum mr_dim dim, const char *words) {
    static const struct {
        enum mr_kind kind;
        enum mr_meaning meaning;
    } list[] = {{MR_KIND_PRESSURE, MR_M_LINE_A}, {MR_KIND_PRESSURE, MR_M_LINE_B},
                {MR_KIND_PRESSURE, MR_M_MAIN},   {MR_KIND_CLIMATE, MR_M_STEEL},
                {MR_KIND_CLIMATE, MR_M_AIR},     {MR_KIND_CLIMATE, MR_M_DEW},
                {MR_KIND_CLIMATE, MR_M_RH},      {MR_KIND_TEMPERATURE, MR_M_PROBE_TEMP},
                {MR_KIND_TEMPERATURE, MR_M_RH},  {MR_KIND_THICKNESS, MR_M_FILM},
                {MR_KIND_BASE_METAL, MR_M_FILM}, {MR_KIND_VERIFICATION, MR_M_FILM},
                {MR_KIND_WET_FILM, MR_M_FILM},   {MR_KIND_ZONES, MR_M_AREA},
                {MR_KIND_ZONES, MR_M_STEEL_MM},  {MR_KIND_ZONES, MR_M_MEMBER}};
    enum mr_meaning last = MR_M_IGNORE;
    if (dim == MR_DIM_TEMP && (mr_words_hold(words, "dew") || mr_words_hold(words, "taupunkt")))
        return MR_M_DEW;
    for (size_t i = 0; i < MR_COUNT(list); i++)
        if (list[i].kind == plan->kind && mr_meaning_dim(list[i].meaning) == dim) {
            last = list[i].meaning;
            if (mr_plan_column_of(plan, last) == MR_NONE)
                return last;
        }
    return last;
}

/* Film beside base metal, or the other way round: as the kind's own reading it would count as what it is not. */
static bool of_other_kind(enum mr_kind kind, const char *words) {
    static const char *const film[] = {"dft", "film", "coating", "coat", "schichtdicke", "net"}, *const metal[] = {
                                                                                                     "bmr", "base",
                                                                                                     "metal",
                                                                                                     "substrate",
                                                                                                     "uncoated"};
    for (size_t i = 0; kind == MR_KIND_BASE_METAL && i < MR_COUNT(film); i++)
        if (mr_words_hold(words, film[i]))
            return true;
    for (size_t i = 0; kind == MR_KIND_THICKNESS && i < MR_COUNT(metal); i++)
        if (mr_words_hold(words, metal[i]))
            return true;
    return false;
}

/* How to have the column read. Lines for the job file only where following them gives what the column says. */
static const char *mend(struct mr_file_state *state, size_t col, enum mr_meaning meaning, size_t other) {
    const char *key = mr_column_key(state->scratch, state->source, col);
    if (of_other_kind(state->plan->kind, state->plan->col[col].words))
        return mr_printf(state->scratch,
                         "If it is to be used, put film and base metal in separate files; otherwise add to "
                         "job.milrise: %s / %s = ignore.",
                         mr_file_key(state->scratch, state->source), key);
    if (other != MR_NONE && strcmp(state->source->columns[col].text, state->source->columns[other].text) == 0)
        return "Put side-by-side tables in separate files.";
    const char *instead = other == MR_NONE
                              ? ""
                              : mr_printf(state->scratch, " (and %s = ignore, if only one is to be used)",
                                          mr_column_key(state->scratch, state->source, other));
    return mr_printf(state->scratch,
                     "If it is to be used, add to job.milrise: %s / %s = %s%s; otherwise %s = ignore.",
                     mr_file_key(state->scratch, state->source), key, mr_meaning_word(meaning), instead, key);
}

static void say(struct mr_file_state *state, size_t col, enum mr_meaning meaning, size_t other,
                enum mr_severity severity, const char *what) {
    const char *name = state->plan->col[col].as.name;
    mr_diag_add(state->diags, severity, "column-unread",
                (struct mr_place){.file = state->source->path, .line = state->source->header_line},
                mr_clean_text(state->scratch, name, strlen(name), 60), mend(state, col, meaning, other), "%s", what);
}

/* Bytes of a heading's words without a unit at their end. */
static size_t bare(const char *words, enum mr_dim dim) {
    const char *tail = strrchr(words, ' ');
    enum mr_unit unit;
    return tail && mr_unit_parse(tail + 1, strlen(tail + 1), dim, &unit) ? (size_t)(tail - words) : strlen(words);
}

/* "DFT (mils)" beside "DFT (um)": the same readings once more. */
static bool same_in_other_unit(const struct mr_plan *plan, size_t col, size_t other, const struct mr_head *head) {
    const struct mr_plan_column *a = &plan->col[col], *b = &plan->col[other];
    enum mr_dim dim = mr_meaning_dim(b->as.meaning);
    enum mr_unit unit = MR_UNIT_NONE;
    const char *tail = strrchr(a->words, ' ');
    if (dim == MR_DIM_NONE || b->as.unit == MR_UNIT_NONE ||
        !(mr_unit_parse(head->unit, strlen(head->unit), dim, &unit) ||
          (tail && mr_unit_parse(tail + 1, strlen(tail + 1), dim, &unit))))
        return false;
    size_t n = bare(a->words, dim);
    return unit != b->as.unit && n == bare(b->words, dim) && memcmp(a->words, b->words, n) == 0;
}

/* Statistics and limits that a gauge holds: they may be of other readings than these, or ask more than the job. */
static bool says_of_film(enum mr_kind kind, const char *words) {
    static const char *const list[] = {"mean",    "average", "avg",  "min",       "minimum",    "max",
                                       "maximum", "limit",   "spec", "specified", "mittelwert", "moyenne",
                                       "media",   "nominal", "low",  "required",  "target"};
    for (size_t i = 0; kind == MR_KIND_THICKNESS && i < MR_COUNT(list); i++)
        if (mr_words_hold(words, list[i]))
            return true;
    return false;
}

/* Figures under a heading that nobody knows: no limit holds for them, and a person may know what they are. A
 * register's are shown one by one (free_cells.h). */
static void give_to_person(struct mr_file_state *state, const struct mr_shape *shape, size_t col) {
    const struct mr_plan_column *c = &state->plan->col[col];
    const bool counts = mr_shape_counts(shape) && shape->most > 1.0; /* ones and noughts are answers */
    if (state->plan->kind == MR_KIND_ZONES || shape->numbers * 2 < shape->cells || counts ||
        mr_is_judged_figure(state->plan->kind, c->words) ||
        (mr_is_neutral_heading(c->words) && !says_of_film(state->plan->kind, c->words)))
        return;
    const struct mr_saying saying = {.line = state->source->header_line,
                                     .name = c->as.name,
                                     .text = says_of_film(state->plan->kind, c->words)
                                                 ? "figures that no rule reads"
                                                 : "figures under a heading that is not known",
                                     .cells = shape->cells};
    MR_PUSH(state->arena, &state->file->sayings, saying);
}

/* One column; true where something was said, or would have been. */
static bool look(struct mr_file_state *state, const struct mr_column_shapes *shapes, size_t col, bool aloud) {
    const struct mr_plan_column *c = &state->plan->col[col];
    const struct mr_head *head = &state->source->columns[col];
    const struct mr_shape *shape = &shapes->col[col];
    if (c->as.meaning != MR_M_IGNORE || c->asked || !shape->cells || !*head->text || job_ignores(state, col))
        return false;
    if (derived(state->plan->map, c->words) || c->refused ||
        mr_refusing_word(c->words, head->text, MR_M_PROBE_TEMP)) {
        if (says_of_film(state->plan->kind, c->words))
            give_to_person(state, shape, col);
        return false;
    }
    enum mr_dim dim = shape->numbers * 2 >= shape->cells ? stated_dim(state->plan->kind, head) : MR_DIM_NONE;
    size_t other = c->beaten == MR_M_IGNORE ? MR_NONE : mr_plan_column_of(state->plan, c->beaten);
    if (dim == MR_DIM_NONE && other == MR_NONE) {
        give_to_person(state, shape, col);
        return false;
    }
    if (other != MR_NONE && same_in_other_unit(state->plan, col, other, head))
        return false;
    if (!aloud)
        return true;
    bool value = dim != MR_DIM_NONE || mr_meaning_dim(c->beaten) != MR_DIM_NONE || c->beaten == MR_M_ZONE;
    const char *what = "is not read, although its heading states a unit of something that such a file measures";
    if (other != MR_NONE)
        what = mr_printf(state->scratch, "is not read: \"%s\" is taken as the %s",
                         mr_clean_text(state->scratch, state->plan->col[other].as.name,
                                       strlen(state->plan->col[other].as.name), 60),
                         mr_meaning_word(c->beaten));
    say(state, col, other != MR_NONE ? c->beaten : propose(state->plan, dim, c->words), other,
        value ? MR_WARNING : MR_NOTE, what);
    return true;
}

/* Columns that a word of spread, target or calibration keeps from being a sensor: one note, so that nothing goes
 * silently. */
static void note_refused(struct mr_file_state *state) {
    const char *names = "";
    size_t n = 0;
    for (size_t i = 0; i < state->plan->n; i++) {
        const struct mr_plan_column *c = &state->plan->col[i];
        if (c->as.meaning != MR_M_IGNORE || !c->refused)
            continue;
        if (n++ < 6)
            names = mr_printf(state->scratch, "%s%s\"%s\"", names, *names ? ", " : "",
                              mr_clean_text(state->scratch, c->as.name, strlen(c->as.name), 60));
    }
    if (n)
        mr_diag_add(state->diags, MR_NOTE, "not-a-sensor",
                    (struct mr_place){.file = state->source->path, .line = state->source->header_line}, NULL,
                    "If one of them is a measurement, name it in the job file: column NAME = MEANING [UNIT].",
                    "%zu column%s not read as measured, as the heading%s: %s", n, n == 1 ? " is" : "s are",
                    n == 1 ? " says" : "s say", names);
}

void mr_report_unread(struct mr_file_state *state, const struct mr_column_shapes *shapes) {
    size_t found = 0;
    if (state->plan->map)
        note_refused(state);
    for (size_t i = 0; state->plan->map && i < state->plan->n; i++)
        found += look(state, shapes, i, found < UNREAD_MOST);
    if (found > UNREAD_MOST)
        mr_diag_add(state->diags, MR_WARNING, "column-unread",
                    (struct mr_place){.file = state->source->path, .line = state->source->header_line}, NULL, NULL,
                    "not read: %zu more such columns; `milrise explain` lists them as ignore", found - UNREAD_MOST);
}
