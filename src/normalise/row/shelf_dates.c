/* shelf_dates.c - see shelf_dates.h. */
#include "normalise/row/shelf_dates.h"

#include "normalise/cell/when.h"
#include "normalise/cell/words.h"
#include "normalise/column/question.h"
#include "normalise/column/suggest.h"
#include "normalise/row/row_fates.h"

#include <string.h>

/* What else is dated in such logs: beginnings of words, in the languages of the maps. */
static const char *const other_dates[] = {
    "receiv",    "recept",    "deliver", "arriv",   "manufact", "mfg",      "mfd",     "made",   "prod",
    "open",      "logged",    "entr",    "enter",   "sign",     "check",    "weigh",   "measur", "mix",
    "order",     "ship",      "invoic",  "sampl",   "test",     "print",    "cal",     "certif", "plan",
    "sched",     "updat",     "creat",   "modif",   "herst",    "hergest",  "liefer",  "gelief", "eingang",
    "wareneing", "geoffnet",  "fabri",   "livr",    "recu",     "reci",     "ouv",     "abiert", "apert",
    "consegn",   "ricev",     "lever",   "ontvang", "geopend",  "tillverk", "motta",   "oppn",   "dosta",
    "otwar",     "recebi",    "abert",   "geplant", "prevu",    "previst",  "inspect", "approv", "release",
    "gepruft",   "unterschr", "signe",   "day",     "date",     "start",    "stop",    "begin",  "end"};

static bool is_other_date(const char *heading) {
    for (const char *w = heading; *w; w += strcspn(w, " "), w += *w == ' ')
        for (size_t i = 0; i < MR_COUNT(other_dates); i++)
            if (strncmp(w, other_dates[i], strlen(other_dates[i])) == 0)
                return true;
    return false;
}

/* A day under a heading that nobody knows: it may be the one until which the material was good. */
static bool is_unknown_day(const struct mr_plan_column *c, const struct mr_cell *cell) {
    struct mr_when when;
    return c->as.meaning == MR_M_IGNORE && !c->by_job && *c->words && !is_other_date(c->words) &&
           mr_when_scan(cell->p, cell->n, &when) && when.has_date && !when.has_clock;
}

static void ask(struct mr_file_state *state, const struct mr_row *row, size_t col) {
    struct mr_plan_column *c = &state->plan->col[col];
    if (c->asked)
        return;
    c->asked = true;
    const char *key = mr_column_key(state->arena, state->source, col);
    const char *line = mr_printf(state->arena, "%s = shelf date", key);
    mr_file_ask(
        state->arena, state->file, MR_ASK_SHELF,
        mr_printf(state->arena, "%s\n# only if the material may be used until then; else %s = ignore", line, key));
    mr_diag_add(
        state->diags, MR_WARNING, "unknown-day", (struct mr_place){.file = state->source->path, .line = row->line},
        mr_clean_text(state->scratch, c->as.name, strlen(c->as.name), 60),
        mr_printf(state->scratch,
                  "If the material may be used until then, add to job.milrise: %s / %s; otherwise %s = ignore.",
                  mr_file_key(state->scratch, state->source), line, key),
        "holds days, and it is not known whether they are shelf dates");
}

/* Columns whose heading ends in a or b; one column without a letter is for both. */
void mr_take_shelf(const struct mr_spread *s, int64_t *a, int64_t *b, bool *unread) {
    *a = *b = MR_T_NONE;
    *unread = false;
    for (size_t i = 0; i < s->state->plan->n; i++) {
        const struct mr_plan_column *c = &s->state->plan->col[i];
        int64_t date, clock;
        if (c->cell >= s->row->n || !s->row->cell[c->cell].n)
            continue;
        const struct mr_cell *cell = &s->row->cell[c->cell];
        if (is_unknown_day(c, cell)) {
            *unread = true;
            ask(s->state, s->row, i);
        }
        if (c->as.meaning != MR_M_SHELF)
            continue;
        mr_timer_cell(&s->state->timer, cell, s->row->line, &date, &clock);
        bool is_a = mr_words_hold(c->words, "a") && !mr_words_hold(c->words, "a utiliser"),
             is_b = mr_words_hold(c->words, "b");
        if (date == MR_T_NONE && !mr_missing_word(cell->p, cell->n)) {
            *unread = true;
            mr_state_say(s->state, MR_ASIDE_BAD_TIME, s->row, (uint32_t)c->cell + 1, cell,
                         "Write the day, as 2026-09-30. Value left out.", "is not a shelf date");
        }
        if (!is_b)
            *a = date;
        if (!is_a)
            *b = date;
    }
}
