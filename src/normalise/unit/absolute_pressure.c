/*
 * absolute_pressure.c - lines are judged by gauge pressure; a column of absolute pressure is never converted by
 * guess.
 */
#include "normalise/unit/absolute_pressure.h"

#include <string.h>

bool mr_says_absolute(const char *words) {
    static const char *const list[] = {"abs",  "absolute", "absolut", "absolu", "psia",  "bara",
                                       "kpaa", "bar a",    "k paa",   "k pa a", "m paa", "mbara"};
    for (size_t i = 0; i < MR_COUNT(list); i++)
        if (mr_words_hold(words, list[i]))
            return true;
    return false;
}

void mr_refuse_absolute(struct mr_file_state *state) {
    for (size_t i = 0; i < state->plan->n; i++) {
        struct mr_plan_column *c = &state->plan->col[i];
        const char *text = state->source->columns[i].text;
        if (mr_meaning_dim(c->as.meaning) != MR_DIM_PRESSURE || c->as.unit_origin == MR_ORIGIN_JOB ||
            !mr_says_absolute(mr_words_fold(state->scratch, text, strlen(text))))
            continue;
        c->as.unit = MR_UNIT_NONE;
        c->as.unit_origin = MR_ORIGIN_UNKNOWN;
        c->as.unit_why = "";
        c->unit_stated = false;
    }
}
