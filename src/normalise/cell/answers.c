/* answers.c - see answers.h. */
#include "normalise/cell/answers.h"

#include "base/text.h"
#include "milrise/base.h"

#include <string.h>

static const char *const yes[] = {"yes", "y", "true", "t", "x", "ja", "j", "oui", "o", "si", "s", "sim", "tak"};
static const char *const no[] = {"no", "n", "false", "f", "nein", "non", "nee", "nej", "nao", "nie"};
static const char *const none[] = {"none",   "nil",     "na",      "n a",     "keine",   "kein",
                                   "aucun",  "aucune",  "ninguno", "ninguna", "nessuno", "nessuna",
                                   "nenhum", "nenhuma", "geen",    "inga",    "ingen",   "brak"};

#define AMONG(words, list) mr_word_among(words, strlen(words), list, MR_COUNT(list))

bool mr_answers_yes(const char *words) {
    return AMONG(words, yes);
}

bool mr_answers_no(const char *words) {
    return AMONG(words, no);
}

bool mr_answers_none(const char *words) {
    return AMONG(words, no) || AMONG(words, none);
}

bool mr_is_figure(const char *words) {
    return *words && strspn(words, "0123456789 ") == strlen(words);
}

bool mr_is_zero(const char *words) {
    return mr_is_figure(words) && strspn(words, "0 ") == strlen(words);
}
