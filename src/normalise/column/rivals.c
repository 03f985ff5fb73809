/*
 * rivals.c - several columns of a file that claim one meaning: which of them keep it.
 */
#include "normalise/column/recognise.h"

#include <string.h>

static bool may_repeat(enum mr_meaning m) {
    return mr_is_channel(m) || mr_is_time(m) || m == MR_M_ROLE || m == MR_M_NOTE || m == MR_M_FILM ||
           m == MR_M_STATE || m == MR_M_UNIT || m == MR_M_CERTIFIED;
}

/* Of several columns for a meaning that stands once, the best header keeps it. */
static void keep_best(struct mr_plan_column *col, const int *score, size_t n) {
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < n; k++)
            if (k != i && col[k].as.meaning == col[i].as.meaning && !may_repeat(col[i].as.meaning) &&
                ((k < i && score[k] == score[i]) || score[k] > score[i])) {
                col[i].beaten = col[i].as.meaning;
                col[i].as.meaning = MR_M_IGNORE;
                col[i].as.unit = MR_UNIT_NONE;
                col[i].as.unit_origin = MR_ORIGIN_UNKNOWN;
                col[i].as.unit_why = "";
                break;
            }
}

static bool has_number(const char *words) {
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ')
        if (strspn(w, "0123456789") == strcspn(w, " "))
            return true;
    return false;
}

/* "Reading" beside "Value", or a column that counts its rows, is the number of the reading. */
static void drop_counters(struct mr_plan_column *col, const struct mr_column_shapes *shapes, size_t n) {
    bool value = false;
    for (size_t i = 0; i < n; i++)
        value |= strcmp(col[i].words, "value") == 0 && shapes->col[i].numbers;
    for (size_t i = 0; i < n; i++)
        if (col[i].as.meaning == MR_M_FILM && !col[i].unit_stated && !has_number(col[i].words) &&
            ((value && strcmp(col[i].words, "reading") == 0) || (col[i].generic && mr_shape_counts(&shapes->col[i]))))
            col[i].as = (struct mr_column){.name = col[i].as.name, .meaning = MR_M_READING_NO, .unit_why = ""};
}

/* "reading 1 um", "Reading B", "DFT": the words before unit and number or letter. */
static size_t series_length(const char *words) {
    enum mr_unit unit;
    size_t n = mr_unit_suffix(words, MR_DIM_FILM, &unit);
    n = n ? n : strlen(words);
    size_t cut = n;
    while (cut && words[cut - 1] != ' ')
        cut--;
    bool number = cut && strspn(words + cut, "0123456789") == n - cut, letter = cut && n - cut == 1;
    return number || letter ? cut - 1 : n;
}

/* "shim 1 reading" and "shim 2 reading" are of one series too. */
static bool same_series(const char *a, const char *b) {
    const char *a_end = a + series_length(a), *b_end = b + series_length(b);
    while (a < a_end && b < b_end) {
        size_t n = strcspn(a, " "), m = strcspn(b, " ");
        bool numbers = strspn(a, "0123456789") == n && strspn(b, "0123456789") == m;
        if (!numbers && (n != m || memcmp(a, b, n) != 0))
            return false;
        a += n + (a[n] == ' ');
        b += m + (b[m] == ' ');
    }
    return a >= a_end && b >= b_end;
}

/* "DFT um" beside "DFT mils" is one reading written twice. */
static bool other_unit(const struct mr_plan_column *a, const struct mr_plan_column *b) {
    return a->unit_stated && b->unit_stated && a->as.unit != b->as.unit;
}

/* Two tables side by side repeat the headings of their times or numbers too: then the left one alone is read. */
static bool side_by_side(const struct mr_plan_column *col, size_t n) {
    for (size_t i = 0; i < n; i++)
        for (size_t k = i + 1; k < n; k++)
            if (*col[i].words && strcmp(col[i].words, col[k].words) == 0 &&
                (mr_is_row_time(col[i].as.meaning) || col[i].as.meaning == MR_M_READING_NO ||
                 col[i].as.meaning == MR_M_ZONE))
                return true;
    return false;
}

/* Thickness and certified values may repeat as "reading 1, reading 2, ...", as "Reading A, Reading B" or under equal
 * headings; of different headings the best keeps it. */
static void keep_best_film(struct mr_plan_column *col, const int *score, size_t n, enum mr_meaning meaning) {
    size_t best = MR_NONE;
    for (size_t i = 0; i < n; i++)
        if (col[i].as.meaning == meaning && (best == MR_NONE || score[i] > score[best]))
            best = i;
    bool alone = best != MR_NONE && !has_number(col[best].words) && side_by_side(col, n);
    for (size_t i = 0; i < n; i++)
        if (col[i].as.meaning == meaning && i != best &&
            (alone || !same_series(col[i].words, col[best].words) || other_unit(&col[i], &col[best]))) {
            col[i].beaten = meaning;
            col[i].as.meaning = MR_M_IGNORE;
        }
}

void mr_settle_rivals(struct mr_plan_column *col, const int *score, const struct mr_column_shapes *shapes, size_t n) {
    keep_best(col, score, n);
    drop_counters(col, shapes, n);
    keep_best_film(col, score, n, MR_M_FILM);
    keep_best_film(col, score, n, MR_M_CERTIFIED);
}
