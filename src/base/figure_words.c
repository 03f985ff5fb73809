/*
 * figure_words.c - see the header.
 */
#include "base/figure_words.h"

#include "base/text.h"

#include <string.h>

const struct mr_figure_word mr_figure_words[MR_FIGURE_COUNT] = {
#define MR_FIGURE_WORD(id, name, standard, what) [id] = {name, what, standard},
    MR_FIGURE_LIST(MR_FIGURE_WORD)
#undef MR_FIGURE_WORD
};

static bool choose(const char *word, size_t n, bool chosen[MR_FIGURE_COUNT]) {
    const bool all = mr_text_equal_fold(word, n, "all", 3), standard = mr_text_equal_fold(word, n, "standard", 8);
    bool known = all || standard;
    for (size_t k = 0; k < MR_FIGURE_COUNT; k++)
        if (all || (standard && mr_figure_words[k].standard) ||
            mr_text_equal_fold(word, n, mr_figure_words[k].name, strlen(mr_figure_words[k].name)))
            known = chosen[k] = true;
    return known;
}

bool mr_figure_choice(const char *list, bool chosen[MR_FIGURE_COUNT], const char **wrong, size_t *wrong_n) {
    memset(chosen, 0, MR_FIGURE_COUNT * sizeof *chosen);
    *wrong = NULL;
    *wrong_n = 0;
    while (*list) {
        list += strspn(list, " \t,");
        size_t n = strcspn(list, ","), end = n;
        while (end > 0 && (list[end - 1] == ' ' || list[end - 1] == '\t'))
            end--;
        if (end > 0 && !choose(list, end, chosen) && !*wrong) {
            *wrong = list;
            *wrong_n = end;
        }
        list += n;
    }
    return !*wrong;
}
