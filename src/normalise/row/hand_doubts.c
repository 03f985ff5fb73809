/* hand_doubts.c - see hand_doubts.h. */
#include "normalise/row/hand_doubts.h"

#include "base/text.h"
#include "normalise/cell/number.h"
#include "normalise/cell/words.h"
#include "normalise/column/companion_words.h"
#include "normalise/column/stated_purpose.h"
#include "normalise/column/suggest.h"
#include "normalise/phrase/requirement_words.h"
#include "normalise/phrase/ticks.h"

#include <math.h>
#include <string.h>

/* "Status: rejected", "Hold: yes". heading: folded, without its unit. */
static bool is_objection(const char *text, const char *heading, const char *words) {
    return mr_tick_of(heading, words) == MR_TICK_OBJECTS ||
           (mr_companion_of(MR_KIND_SHIFT_RECORD, text, heading) <= MR_COMPANION_STATE && mr_says_amiss(words));
}

/* The first column beside the item whose answer says that something was not well. The job's word settles it. */
void mr_take_objection(const struct mr_spread *s, struct mr_shift_item *r) {
    struct mr_file_state *state = s->state;
    for (size_t i = 0; i < state->plan->n && !r->objection; i++) {
        const struct mr_plan_column *c = &state->plan->col[i];
        if (c->as.meaning != MR_M_IGNORE || c->by_job || c->cell >= s->row->n || !s->row->cell[c->cell].n)
            continue;
        const struct mr_cell *cell = &s->row->cell[c->cell];
        const char *words = mr_words_fold(state->scratch, cell->p, cell->n);
        if (!is_objection(c->as.name, c->words, words))
            continue;
        r->objection =
            mr_printf(state->arena, "%s: %s", mr_clean_text(state->scratch, c->as.name, strlen(c->as.name), 40),
                      mr_clean_text(state->scratch, mr_text_keep(state, cell->p, cell->n), cell->n, 40));
        r->objection_key = mr_printf(state->arena, "%s / %s = ignore", mr_file_key(state->scratch, state->source),
                                     mr_column_key(state->scratch, state->source, i));
    }
}

static bool asks_under(const char *heading, const char *words) {
    return mr_heading_requires(heading) ||
           (mr_heading_multiplies(heading) && strcmp(words, "1") != 0 && strcmp(words, "one") != 0);
}

/* Whether each figure of a text is a limit of the film that the job states: it asks for nothing more. */
static bool repeats_limits(const struct mr_file_state *state, const char *text) {
    const char *words = mr_words_fold(state->scratch, text, strlen(text));
    const double um =
        mr_words_hold(words, "mil") || mr_words_hold(words, "mils") ? mr_to_canonical(MR_UNIT_MIL, 1.0) : 1.0;
    const double least = mr_set_num(&state->job->settings, MR_DFT_MIN),
                 most = mr_set_num(&state->job->settings, MR_DFT_MAX);
    bool any = false;
    for (const char *p = text + strcspn(text, "0123456789"); *p; p += strcspn(p, "0123456789")) {
        const size_t n = strspn(p, "0123456789.");
        struct mr_number x;
        if (mr_number_scan(p, n, (struct mr_number_style){.mark = '.'}, &x) != MR_NUM_OK)
            return false;
        const double figure = um * x.value;
        if (!(fabs(figure - least) < 0.001 * least) && !(fabs(figure - most) < 0.001 * most))
            return false;
        any = true;
        p += n;
    }
    return any;
}

/* "DFT 250-350 um" names no specification of the job: it is one. */
static bool is_specification(struct mr_file_state *state, const struct mr_cell *cell, const char *words) {
    if (repeats_limits(state, mr_strndup(state->scratch, cell->p, cell->n)))
        return false;
    for (size_t i = 0; i < state->job->specs.n; i++) {
        const char *own = state->job->specs.v[i].spec;
        if (strcmp(mr_words_fold(state->scratch, own, strlen(own)), words) == 0)
            return false;
    }
    return mr_states_film(words);
}

/* "Minimum DFT: 250 um" above the register is asked of each of its zones. */
static void take_asks_above(struct mr_file_state *state, struct mr_zone_row *r) {
    const struct mr_file_rule *rule = state->source->rule;
    for (size_t i = 0; i < state->source->preamble.n && !r->asks && !(rule && *rule->kind); i++) {
        const struct mr_pair *p = &state->source->preamble.v[i];
        const char *heading = mr_words_fold(state->scratch, p->name, strlen(p->name)),
                   *words = mr_words_fold(state->scratch, p->value, strlen(p->value));
        const bool figure = strcspn(words, "0123456789") < strlen(words);
        if (!figure || (!mr_heading_requires(heading) && !mr_note_requires(words)) || repeats_limits(state, p->value))
            continue;
        r->asks = mr_printf(state->arena, "%s: %s", mr_clean_text(state->scratch, p->name, strlen(p->name), 40),
                            mr_clean_text(state->scratch, p->value, strlen(p->value), 40));
        r->asks_key = mr_printf(state->arena, "%s / kind = zones", mr_file_key(state->scratch, state->source));
    }
}

/* What the row asks for in a column that has no meaning here, or in a note. The job's word settles a column. */
void mr_take_asks(const struct mr_spread *s, struct mr_zone_row *r) {
    struct mr_file_state *state = s->state;
    take_asks_above(state, r);
    for (size_t i = 0; i < state->plan->n && !r->asks; i++) {
        const struct mr_plan_column *c = &state->plan->col[i];
        const bool note = c->as.meaning == MR_M_NOTE || c->as.meaning == MR_M_SPEC;
        const bool substrate = c->as.meaning == MR_M_SUBSTRATE;
        if ((c->as.meaning != MR_M_IGNORE && !note && !substrate) || c->by_job || c->cell >= s->row->n ||
            !s->row->cell[c->cell].n)
            continue;
        const struct mr_cell *cell = &s->row->cell[c->cell];
        const char *words = mr_words_fold(state->scratch, cell->p, cell->n);
        static const char *const none[] = {"none", "na", "n a", "no", "keine", "aucun"};
        const char *text = state->source->columns[i].text,
                   *heading = mr_words_fold(state->scratch, text, strlen(text));
        const bool objects =
            substrate ? mr_names_other_substrate("substrate", words) : !note && is_objection(text, heading, words);
        const bool asks = (!note && !substrate && asks_under(heading, words)) || mr_note_requires(words) ||
                          (c->as.meaning == MR_M_SPEC && is_specification(state, cell, words));
        if (!*words || (!objects && (!asks || mr_word_among(words, strlen(words), none, MR_COUNT(none)))))
            continue;
        r->asks = mr_printf(state->arena, "%s: %s", mr_clean_text(state->scratch, text, strlen(text), 40),
                            mr_clean_text(state->scratch, mr_text_keep(state, cell->p, cell->n), cell->n, 40));
        r->asks_key = mr_printf(state->arena, "%s / %s = ignore", mr_file_key(state->scratch, state->source),
                                mr_column_key(state->scratch, state->source, i));
    }
}
