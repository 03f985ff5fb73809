/*
 * rivals.c - several columns of a file that claim one meaning: which of them keep it.
 */
#include "normalise/column/rivals.h"

#include "normalise/cell/words.h"
#include "normalise/column/suggest.h"

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

/* "DFT" beside "DFT 2" is no series: the one without a number may be their mean, or another film. */
static bool is_numbered(const char *words) {
    enum mr_unit unit;
    const size_t bare = mr_unit_suffix(words, MR_DIM_FILM, &unit);
    return has_number(words) || series_length(words) < (bare ? bare : strlen(words));
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

/* Two tables side by side: the left one alone is read. A reading written in two units counts once. */
static void keep_one_table(struct mr_plan_column *col, size_t n, enum mr_meaning meaning) {
    size_t best = MR_NONE;
    for (size_t i = 0; i < n; i++)
        if (col[i].as.meaning == meaning && (best == MR_NONE || col[i].score > col[best].score))
            best = i;
    bool alone = best != MR_NONE && !has_number(col[best].words) && side_by_side(col, n);
    for (size_t i = 0; i < n; i++)
        if (col[i].as.meaning == meaning && i != best && (alone || other_unit(&col[i], &col[best]))) {
            col[i].beaten = meaning;
            col[i].as.meaning = MR_M_IGNORE;
        }
}

void mr_settle_rivals(struct mr_plan_column *col, const int *score, const struct mr_column_shapes *shapes, size_t n) {
    keep_best(col, score, n);
    drop_counters(col, shapes, n);
    keep_one_table(col, n, MR_M_FILM);
    keep_one_table(col, n, MR_M_CERTIFIED);
}

/* --- rivals that ask ----------------------------------------------------------------------------------------------
 */

/* Meanings of which a file of the kind has one, unless its headings number them. */
static bool stands_once(enum mr_kind kind, enum mr_meaning m) {
    if (m == MR_M_FILM || m == MR_M_CERTIFIED)
        return true;
    if (kind == MR_KIND_TEMPERATURE)
        return m == MR_M_PROBE_TEMP;
    if (kind == MR_KIND_PRESSURE)
        return m == MR_M_LINE_A || m == MR_M_LINE_B || m == MR_M_MAIN;
    return kind == MR_KIND_CLIMATE && (m == MR_M_AIR || m == MR_M_RH || m == MR_M_DEW || m == MR_M_STEEL);
}

/* "RH 1" and "RH 2" are two sensors, which the job parts by assigning them; "DFT" and "Coating thickness" are two
 * answers to one question. Two probes have two names: of two columns called "T1" nobody knows which one is assigned.
 */
static bool is_rival(const struct mr_plan_column *a, const struct mr_plan_column *b, bool assigned) {
    if (a->as.meaning != b->as.meaning || other_unit(a, b))
        return false;
    if (*a->words && strcmp(a->words, b->words) == 0)
        return true;
    if (a->as.meaning == MR_M_STEEL) /* steel has as many probes as the job puts on its zones */
        return !assigned;
    if (a->as.meaning == MR_M_PROBE_TEMP)
        return false;
    bool film = a->as.meaning == MR_M_FILM || a->as.meaning == MR_M_CERTIFIED;
    if (!same_series(a->words, b->words) || (film && is_numbered(a->words) != is_numbered(b->words)))
        return true;
    return !film && !assigned;
}

/* Where the job names one of them, that one is read. That a heading is the meaning's whole name decides nothing: "RH"
 * may stand beside "RH deck". */
static bool loses(const struct mr_plan_column *a, const struct mr_plan_column *b) {
    return b->by_job && !a->by_job;
}

static void drop_losers(struct mr_plan *plan) {
    for (size_t i = 0; i < plan->n; i++)
        for (size_t k = 0; k < plan->n; k++) {
            struct mr_plan_column *a = &plan->col[i];
            const struct mr_plan_column *b = &plan->col[k];
            if (i == k || a->as.meaning == MR_M_IGNORE || a->as.meaning != b->as.meaning || other_unit(a, b) ||
                !stands_once(plan->kind, a->as.meaning) || !loses(a, b))
                continue;
            a->beaten = a->as.meaning;
            a->as = (struct mr_column){.name = a->as.name, .unit_why = ""};
        }
}

static const char *rule_line(struct mr_arena *arena, const struct mr_plan *plan, size_t col, bool keep) {
    const struct mr_column *as = &plan->col[col].as;
    const char *unit = as->unit == MR_UNIT_NONE ? "" : mr_unit_symbol(as->unit);
    if (!keep)
        return mr_printf(arena, "%s = ignore", mr_column_key(arena, plan->source, col));
    return mr_printf(arena, "%s = %s%s%s%s", mr_column_key(arena, plan->source, col), mr_meaning_word(as->meaning),
                     *unit ? " [" : "", unit, *unit ? "]" : "");
}

void mr_ask_rivals(struct mr_arena *arena, const struct mr_job *job, struct mr_plan *plan, struct mr_diags *diags) {
    bool assigned = job->assignments.n > 0;
    drop_losers(plan);
    for (size_t i = 0; i < plan->n; i++) {
        enum mr_meaning m = plan->col[i].as.meaning;
        const char *lines = rule_line(arena, plan, i, true), *names = "";
        size_t found = 0;
        for (size_t k = i + 1; k < plan->n && stands_once(plan->kind, m); k++) {
            if (!is_rival(&plan->col[i], &plan->col[k], assigned) || (plan->col[i].by_job && plan->col[k].by_job))
                continue;
            lines = mr_printf(arena, "%s\n%s", lines, rule_line(arena, plan, k, false));
            const char *name = plan->col[k].as.name;
            names = mr_printf(arena, "%s%s\"%s\"", names, found++ ? ", " : "",
                              mr_clean_text(arena, name, strlen(name), 60));
        }
        if (!found)
            continue;
        const char *key = mr_file_key(arena, plan->source);
        mr_diag_add(diags, MR_ERROR, "rival-columns",
                    (struct mr_place){.file = plan->source->path, .line = plan->source->header_line},
                    mr_clean_text(arena, plan->col[i].as.name, strlen(plan->col[i].as.name), 60),
                    mr_printf(arena, "Say in job.milrise which one it is: %s / %s. Values set aside.", key,
                              mr_one_line(arena, lines)),
                    "and %s all claim to be the %s", names, mr_meaning_word(m));
        mr_plan_ask(arena, plan, MR_ASK_RIVALS,
                    mr_printf(arena, "%s\n# or the other way round: keep one, ignore the rest", lines));
        plan->rivals = true;
        for (size_t k = plan->n; k-- > i;) /* itself last: the others are compared with it */
            if (k == i || is_rival(&plan->col[i], &plan->col[k], assigned)) {
                plan->col[k].rival_of = m;
                plan->col[k].as = (struct mr_column){.name = plan->col[k].as.name, .unit_why = ""};
                plan->col[k].asked = true;
            }
    }
}
