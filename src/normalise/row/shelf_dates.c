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

/* Of these, the days before which there was no such material. */
static const char *const first_days[] = {
    "receiv",  "recept", "deliver", "arriv",   "manufact",  "mfg",     "mfd",   "made",  "produced", "production",
    "herst",   "liefer", "gelief",  "eing",    "wareneing", "hergest", "fabri", "livr",  "recu",     "recib",
    "consegn", "ricev",  "lever",   "ontvang", "tillverk",  "motta",   "dosta", "recebi"};

/* A material that is to be tested again by a day may be used until that day. */
static const char *const retests[] = {"retest",    "re test",  "recertif", "re certif", "requalif",
                                      "re qualif", "revalid",  "re valid", "reinspec",  "re inspec",
                                      "reanaly",   "re analy", "nachpruf", "reevaluat", "re evaluat"};

/* Whether a word of the heading begins so. */
static bool begins_with_one(const char *heading, const char *const *words, size_t n) {
    for (const char *w = heading; *w; w += strcspn(w, " "), w += *w == ' ')
        for (size_t i = 0; i < n; i++)
            if (strncmp(w, words[i], strlen(words[i])) == 0)
                return true;
    return false;
}

static bool is_other_date(const char *heading) {
    return begins_with_one(heading, other_dates, MR_COUNT(other_dates)) ||
           begins_with_one(heading, retests, MR_COUNT(retests));
}

/* "Delivered", not "next delivery". */
static bool is_first_day(const char *heading) {
    static const char *const ahead[] = {"next",  "expect",  "due",   "plan",   "sched",
                                        "order", "geplant", "prevu", "previst"};
    return begins_with_one(heading, first_days, MR_COUNT(first_days)) &&
           !begins_with_one(heading, ahead, MR_COUNT(ahead));
}

/* "Retest date", "recertified until", not "retested on": that is over. */
static bool is_retest(const char *heading) {
    static const char *const over[] = {"retested",    "recertified", "requalified", "revalidated",
                                       "reinspected", "reanalysed",  "reanalyzed",  "tested",
                                       "certified",   "qualified",   "validated",   "inspected"},
                             *const ahead[] = {"until", "till", "by", "due", "next", "before", "valid", "bis"};
    return begins_with_one(heading, retests, MR_COUNT(retests)) &&
           (!begins_with_one(heading, over, MR_COUNT(over)) || begins_with_one(heading, ahead, MR_COUNT(ahead)));
}

static bool is_passed_over(const struct mr_plan_column *c) {
    return c->as.meaning == MR_M_IGNORE && !c->by_job && *c->words;
}

static bool is_shelf(const struct mr_plan_column *c) {
    return c->as.meaning == MR_M_SHELF || (is_passed_over(c) && is_retest(c->words));
}

/* A day under a heading that nobody knows: it may be the one until which the material was good. */
static bool is_unknown_day(const struct mr_plan_column *c, const struct mr_cell *cell) {
    struct mr_when when;
    return is_passed_over(c) && !is_other_date(c->words) && mr_when_scan(cell->p, cell->n, &when) && when.has_date &&
           !when.has_clock;
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

static void take_shelf(const struct mr_spread *s, const struct mr_plan_column *c, int64_t *date, bool *unread) {
    const struct mr_cell *cell = &s->row->cell[c->cell];
    int64_t clock;
    mr_timer_cell(&s->state->timer, cell, s->row->line, date, &clock);
    if (*date != MR_T_NONE || mr_missing_word(cell->p, cell->n))
        return;
    *unread = true;
    mr_state_say(s->state, MR_ASIDE_BAD_TIME, s->row, (uint32_t)c->cell + 1, cell,
                 "Write the day, as 2026-09-30. Value left out.", "is not a shelf date");
}

static bool take_first_day(const struct mr_spread *s, const struct mr_plan_column *c, int64_t *date) {
    const struct mr_cell *cell = &s->row->cell[c->cell];
    struct mr_when when;
    int64_t clock;
    if (!is_passed_over(c) || !is_first_day(c->words) || !mr_when_scan(cell->p, cell->n, &when) || !when.has_date)
        return false;
    mr_timer_cell(&s->state->timer, cell, s->row->line, date, &clock);
    return *date != MR_T_NONE;
}

/* Columns whose heading ends in a or b; one column without a letter is for both. */
struct mr_lot_days mr_take_lot_days(const struct mr_spread *s) {
    struct mr_lot_days days = {MR_T_NONE, MR_T_NONE, MR_T_NONE, MR_T_NONE, false};
    for (size_t i = 0; i < s->state->plan->n; i++) {
        const struct mr_plan_column *c = &s->state->plan->col[i];
        int64_t date = MR_T_NONE;
        if (c->cell >= s->row->n || !s->row->cell[c->cell].n)
            continue;
        const bool shelf = is_shelf(c);
        if (!shelf && is_unknown_day(c, &s->row->cell[c->cell])) {
            days.unread = true;
            ask(s->state, s->row, i);
        }
        if (shelf)
            take_shelf(s, c, &date, &days.unread);
        else if (!take_first_day(s, c, &date))
            continue;
        const bool is_a = mr_words_hold(c->words, "a") && !mr_words_hold(c->words, "a utiliser"),
                   is_b = mr_words_hold(c->words, "b");
        if (!is_b)
            *(shelf ? &days.shelf_a : &days.from_a) = date;
        if (!is_a)
            *(shelf ? &days.shelf_b : &days.from_b) = date;
    }
    return days;
}
