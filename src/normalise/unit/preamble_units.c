/*
 * preamble_units.c - see preamble_units.h.
 */
#include "normalise/unit/preamble_units.h"

#include "normalise/unit/unit_evidence.h"

#include <string.h>

/* Whether a unit may be meant for another column of the file: "Units: %" beside a temperature. */
static bool fits_another(const struct mr_plan *plan, const char *value) {
    struct mr_stated_unit unit;
    for (size_t i = 0; i < plan->n; i++)
        if (mr_unit_says(value, strlen(value), mr_meaning_dim(plan->col[i].as.meaning), &unit) == MR_UNIT_FITS)
            return true;
    return false;
}

/* One line above the table that states a unit, for one column; own: it names the column. A statement that is not
 * understood stays one. */
static void take_preamble_unit(struct mr_file_state *state, struct mr_plan_column *c, const char *value, bool own) {
    struct mr_stated_unit unit;
    enum mr_unit_says says = mr_unit_says(value, strlen(value), mr_meaning_dim(c->as.meaning), &unit);
    if (says == MR_UNIT_FITS) {
        c->as.unit = unit.unit;
        c->scale = unit.scale;
        c->unit_unknown = NULL;
        c->as.unit_why = "stated in the preamble";
        c->as.unit_origin = MR_ORIGIN_PREAMBLE;
        c->unit_stated = true;
    } else if (says == MR_UNIT_UNKNOWN && (own || !fits_another(state->plan, value))) {
        c->unit_unknown = mr_clean_text(state->arena, value, strlen(value), 24);
    }
}

/* A line that speaks of a column whose heading has another unit; true where some column that it speaks of bears its
 * unit, so that it may be meant for that one. */
static bool is_borne(const struct mr_plan *plan, const char *words, enum mr_dim dim,
                     const struct mr_stated_unit *unit) {
    for (size_t i = 0; i < plan->n; i++) {
        const struct mr_plan_column *c = &plan->col[i];
        if (mr_meaning_dim(c->as.meaning) == dim && c->as.unit == unit->unit && mr_legend_scope(words, c->words, dim))
            return true;
    }
    return false;
}

/* Which of two statements is true nobody can tell: the value is one of 10 um as well as of 10 mil. */
static void compare_with_heading(struct mr_file_state *state, struct mr_plan_column *c, const char *words,
                                 const char *value) {
    const enum mr_dim dim = mr_meaning_dim(c->as.meaning);
    struct mr_stated_unit unit;
    if (c->as.unit_origin != MR_ORIGIN_HEADING || mr_unit_says(value, strlen(value), dim, &unit) != MR_UNIT_FITS ||
        unit.unit == c->as.unit || is_borne(state->plan, words, dim, &unit))
        return;
    c->unit_unknown = mr_unit_symbol(c->as.unit);
    c->unit_rival = mr_clean_text(state->arena, value, strlen(value), 24);
    c->as.unit = MR_UNIT_NONE;
    c->as.unit_origin = MR_ORIGIN_UNKNOWN;
    c->as.unit_why = "";
}

/* "All readings in mils": the words before the preposition, and the rest; without one, as in "Units mils", those
 * after the first word. False where the line is a single word. */
static bool parts_of_title(struct mr_arena *arena, const char *title, const char **words, const char **value) {
    static const char *const prepositions[] = {" in ", " en ", " em ", " i ", " w "};
    const char *at = NULL;
    size_t n = 0;
    for (size_t i = 0; i < MR_COUNT(prepositions); i++)
        for (const char *p = strstr(title, prepositions[i]); p; p = strstr(p + 1, prepositions[i]))
            if (!at || p > at) {
                at = p;
                n = strlen(prepositions[i]);
            }
    if (!at) {
        at = strchr(title, ' ');
        if (!at)
            return false;
        n = 1;
        *words = mr_words_fold(arena, title, (size_t)(at - title));
    } else {
        *words = mr_printf(arena, "units %s", mr_words_fold(arena, title, (size_t)(at - title)));
    }
    size_t length = strlen(at + n);
    while (length && strchr(". \t", at[n + length - 1]))
        length--;
    *value = mr_strndup(arena, at + n, length);
    return true;
}

static void compare_with_titles(struct mr_file_state *state) {
    for (size_t i = 0; i < state->source->titles.n; i++) {
        const char *words, *value;
        if (!parts_of_title(state->scratch, state->source->titles.v[i].value, &words, &value))
            continue;
        for (size_t k = 0; k < state->plan->n; k++) {
            struct mr_plan_column *c = &state->plan->col[k];
            const enum mr_dim dim = mr_meaning_dim(c->as.meaning);
            if (dim != MR_DIM_NONE && mr_legend_scope(words, c->words, dim))
                compare_with_heading(state, c, words, value);
        }
    }
}

void mr_preamble_units(struct mr_file_state *state) {
    compare_with_titles(state);
    for (size_t i = 0; i < state->source->preamble.n; i++) {
        const struct mr_pair *p = &state->source->preamble.v[i];
        const char *words = mr_words_fold(state->scratch, p->name, strlen(p->name));
        for (size_t k = 0; k < state->plan->n; k++) {
            struct mr_plan_column *c = &state->plan->col[k];
            const enum mr_dim dim = mr_meaning_dim(c->as.meaning);
            if (dim == MR_DIM_NONE || !mr_legend_scope(words, c->words, dim))
                continue;
            if (!c->unit_stated && c->as.unit == MR_UNIT_NONE)
                take_preamble_unit(state, c, p->value, !mr_legend_scope(words, "", dim));
            else
                compare_with_heading(state, c, words, p->value);
        }
    }
}
