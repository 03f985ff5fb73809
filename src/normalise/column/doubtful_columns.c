/* doubtful_columns.c - see doubtful_columns.h. */
#include "normalise/column/doubtful_columns.h"

#include "normalise/cell/words.h"
#include "normalise/column/strange_words.h"
#include "normalise/column/suggest.h"

#include <string.h>

/* "Reading A" to "Reading C": a letter alone marks a column of several. */
static bool one_of_a_series(const struct mr_plan *plan, size_t col, const char *letter) {
    const char *words = plan->col[col].words;
    const size_t before = (size_t)(letter - words), length = strlen(words);
    for (size_t i = 0; i < plan->n; i++) {
        const struct mr_plan_column *c = &plan->col[i];
        if (i != col && c->as.meaning == plan->col[col].as.meaning && strlen(c->words) == length &&
            memcmp(c->words, words, before) == 0 && strcmp(c->words + before + 1, letter + 1) == 0 &&
            c->words[before] != *letter)
            return true;
    }
    return false;
}

static bool is_doubtful(struct mr_arena *arena, const struct mr_plan *plan, size_t col, const char **out_word,
                        size_t *out_n) {
    const struct mr_plan_column *c = &plan->col[col];
    const enum mr_meaning m = c->as.meaning;
    /* a reading on a shim is held against the shim, which shows what is none */
    const bool asks = plan->kind == MR_KIND_PRESSURE ? m == MR_M_LINE_A || m == MR_M_LINE_B || m == MR_M_MAIN
                                                     : m == MR_M_FILM && mr_is_film_kind(plan->kind);
    if (!asks || c->by_job || c->mean || c->unit_unknown) /* its unit is asked for already */
        return false;
    const char *text = plan->source->columns[col].text, *words = c->words;
    const bool factor = mr_is_scaled(c->scale); /* "(tenths of mil)" was read as a unit */
    if (factor)
        words = mr_words_fold(arena, text, strcspn(text, "(["));
    *out_word = mr_strange_word(plan->map, m, words, out_n);
    return *out_word && !(*out_n == 1 && !factor && one_of_a_series(plan, col, *out_word));
}

void mr_ask_doubtful_columns(struct mr_arena *arena, struct mr_plan *plan, struct mr_diags *diags) {
    const bool film = plan->kind != MR_KIND_PRESSURE;
    const char *what = film ? "film" : "the pressure of a line that sprayed";
    bool *doubtful =
        MR_ARRAY(arena, bool, plan->n); /* of all before any is left out: a series stands or falls whole */
    const char **word = MR_ARRAY(arena, const char *, plan->n);
    size_t *length = MR_ARRAY(arena, size_t, plan->n);
    for (size_t i = 0; i < plan->n; i++)
        doubtful[i] = is_doubtful(arena, plan, i, &word[i], &length[i]);
    for (size_t i = 0; i < plan->n; i++) {
        if (!doubtful[i])
            continue;
        struct mr_plan_column *c = &plan->col[i];
        const char *key = mr_file_key(arena, plan->source);
        const char *unit = c->as.unit == MR_UNIT_NONE ? "" : mr_printf(arena, " [%s]", mr_unit_symbol(c->as.unit));
        const char *line = mr_printf(arena, "%s = %s%s", mr_column_key(arena, plan->source, i),
                                     mr_meaning_word(c->as.meaning), unit);
        mr_diag_add(diags, MR_ERROR, film ? "doubtful-film" : "doubtful-line",
                    (struct mr_place){.file = plan->source->path, .line = plan->source->header_line},
                    mr_clean_text(arena, c->as.name, strlen(c->as.name), 60),
                    mr_printf(arena,
                              "If the column holds %s, say so in job.milrise: %s / %s; else set it to ignore. Values "
                              "set aside.",
                              film ? "film readings" : what, key, line),
                    "may be %s, but \"%.*s\" in the heading is not known here", what, (int)length[i], word[i]);
        mr_plan_ask(arena, plan, film ? MR_ASK_FILM_WORD : MR_ASK_LINE_WORD,
                    mr_printf(arena, "%s\n# or = ignore, where it is not %s", line, what));
        c->as = (struct mr_column){.name = c->as.name, .unit_why = ""};
        c->asked = true;
    }
}
