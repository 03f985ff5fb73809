/* stated_facts.c - see stated_facts.h. */
#include "normalise/file/stated_facts.h"

#include "base/text.h"
#include "normalise/cell/number.h"
#include "normalise/cell/when.h"
#include "normalise/cell/words.h"
#include "normalise/column/heading_match.h"
#include "normalise/phrase/statistic_words.h"
#include "normalise/row/log_columns.h"

#include <math.h>
#include <string.h>

#define AMONG(words, list) mr_word_among(words, strlen(words), list, MR_COUNT(list))

/* ---- the moment of the export ---- */

static const char *const of_export[] = {
    "downloaded",      "download",    "download date",  "download time",  "date of download", "downloaded on",
    "downloaded at",   "exported",    "export date",    "export time",    "date of export",   "exported on",
    "exported at",     "created",     "creation date",  "created on",     "printed",          "printed on",
    "print date",      "report date", "date of report", "report created", "report generated", "generated",
    "generated on",    "saved",       "saved on",       "read out",       "readout",          "read out on",
    "heruntergeladen", "ausgelesen",  "ausgelesen am",  "exportiert",     "exportdatum",      "erstellt",
    "erstellt am",     "gedruckt",    "exporte le",     "imprime le",     "descargado",       "exportado",
    "esportato",       "scaricato",   "gedownload",     "geexporteerd",   "exporterad"};

/* Clock of the office and clock of the instrument may be a time zone apart, and no day is told by its hour. */
static bool is_before_rows(const char *value, int64_t last_ms) {
    struct mr_when when;
    size_t n = strcspn(value, ",;\t");
    mr_trim(&value, &n);
    if (last_ms == MR_T_NONE || !mr_when_scan(value, n, &when) || !when.has_date)
        return false;
    int64_t latest_ms = MR_T_NONE;
    for (int order = 0; order < MR_ORDER_COUNT; order++) {
        int64_t day;
        if (mr_date_day(&when.date, (enum mr_order)order, &day) &&
            (latest_ms == MR_T_NONE || day * MR_DAY_MS > latest_ms))
            latest_ms = day * MR_DAY_MS;
    }
    return latest_ms != MR_T_NONE && last_ms >= latest_ms + 2 * MR_DAY_MS;
}

/* ---- figures of a log ---- */

static bool is_alone(const struct mr_log *log, enum mr_meaning meaning) {
    size_t n = 0;
    for (size_t k = 0; k < log->channels.n; k++)
        n += log->channels.v[k].meaning == meaning;
    return n == 1;
}

/* By its own name, or by a word that the map has for what it alone measures. */
static const struct mr_log_channel *channel_of(struct mr_file_state *state, const char *rest) {
    const struct mr_log *log = &state->log;
    const struct mr_map *map = state->plan->map;
    for (size_t k = 0; k < log->channels.n && *rest && map; k++) {
        const struct mr_log_channel *c = &log->channels.v[k];
        if (c->dropped)
            continue;
        if (strcmp(mr_words_fold(state->scratch, c->name, strlen(c->name)), rest) == 0)
            return c;
        for (size_t i = 0; i < map->words.n && is_alone(log, c->meaning); i++)
            if (map->words.v[i].meaning == c->meaning && mr_word_covers(&map->words.v[i], rest))
                return c;
    }
    return NULL;
}

struct extent {
    double least, most;
    size_t n;
};

static struct extent extent_of(const struct mr_log *log, const struct mr_log_channel *c) {
    struct extent e = {(double)INFINITY, -(double)INFINITY, 0};
    for (size_t i = 0; i < log->n; i++)
        if (!isnan(c->value[i])) {
            e.least = fmin(e.least, c->value[i]);
            e.most = fmax(e.most, c->value[i]);
            e.n++;
        }
    return e;
}

static double canonical(enum mr_unit unit, double x) {
    return unit == MR_UNIT_NONE ? x : mr_to_canonical(unit, x);
}

/* Half of the last digit that is shown. */
static double half_digit(const char *value) {
    const char *mark = strpbrk(value, ".,");
    const size_t decimals = mark ? strspn(mark + 1, "0123456789") : 0;
    return 0.5 * pow(10.0, -(double)decimals);
}

enum bearing { UNSAID, HELD, CONTRADICTED, ELSEWHERE };

/* An extreme that no row reaches: rows are missing, or they are of another setting. */
static enum bearing extreme_stands(struct mr_file_state *state, const char *words, const char *value) {
    const char *rest;
    const enum mr_statistic of = mr_statistic_in(state->scratch, words, &rest);
    const struct mr_log_channel *c = of == MR_STATISTIC_NONE ? NULL : channel_of(state, rest);
    struct mr_number number;
    if (!c ||
        mr_number_scan(value, strcspn(value, ";\t"), (struct mr_number_style){.mark = '?'}, &number) != MR_NUM_OK)
        return UNSAID;
    enum mr_unit unit = c->unit;
    if (number.unit_n && !mr_unit_parse(number.unit, number.unit_n, mr_meaning_dim(c->meaning), &unit))
        return UNSAID;
    mr_log_open(state);
    const struct extent e = extent_of(&state->log, c);
    const double said = canonical(unit, number.value), low = canonical(c->unit, e.least),
                 high = canonical(c->unit, e.most);
    const double slack = 1.01 * half_digit(value) * fabs(canonical(unit, 1.0) - canonical(unit, 0.0)) + 1e-9;
    if (!e.n)
        return UNSAID;
    const bool holds =
        (of == MR_STATISTIC_MOST || said >= low - slack) && (of == MR_STATISTIC_LEAST || said <= high + slack);
    return holds ? HELD : CONTRADICTED;
}

static enum bearing count_stands(const struct mr_file_state *state, const char *words, const char *value) {
    struct mr_number number;
    if (mr_statistic_named(words) != MR_STATISTIC_COUNT ||
        mr_number_scan(value, strlen(value), (struct mr_number_style){.mark = '?'}, &number) != MR_NUM_OK ||
        number.unit_n)
        return UNSAID;
    /* of each channel, where it counts so; a hundredth may be blank or broken */
    const double channels = state->log.channels.n ? (double)state->log.channels.n : 1.0;
    return number.value <= 1.01 * channels * (double)state->source->rows + 1.0 ? HELD : CONTRADICTED;
}

/* ---- the place of a channel ---- */

/* "T1: Chute", where the job has T1 on another zone. */
static bool is_elsewhere(struct mr_file_state *state, const char *words, const char *value) {
    const struct mr_job *job = state->job;
    const char *place = mr_words_fold(state->scratch, value, strlen(value));
    bool assigned = false, same = false, zone = false;
    for (size_t i = 0; i < job->assignments.n; i++) {
        const struct mr_assignment *as = &job->assignments.v[i];
        const char *own = mr_words_fold(state->scratch, as->zone, strlen(as->zone));
        zone |= *place && strcmp(place, own) == 0;
        if (!*as->channel || strcmp(mr_words_fold(state->scratch, as->channel, strlen(as->channel)), words) != 0)
            continue;
        assigned = true;
        same |= mr_words_hold(place, own) || mr_words_hold(own, place);
    }
    return assigned && zone && !same;
}

/* ---- */

static enum bearing stands(struct mr_file_state *state, const struct mr_pair *p, int64_t last_ms) {
    const char *words = mr_words_fold(state->scratch, p->name, strlen(p->name));
    const bool log = mr_is_log(state->plan->kind);
    if (AMONG(words, of_export))
        return is_before_rows(p->value, last_ms) ? CONTRADICTED : UNSAID;
    if (!log)
        return UNSAID;
    if (is_elsewhere(state, words, p->value))
        return ELSEWHERE;
    const enum bearing count = count_stands(state, words, p->value);
    return count != UNSAID || state->log.is_long || !state->log.n ? count : extreme_stands(state, words, p->value);
}

static const char *stated_fact(struct mr_file_state *state) {
    const struct mr_file_rule *rule = state->source->rule;
    const bool judged = mr_is_log(state->plan->kind) || state->plan->kind == MR_KIND_THICKNESS;
    int64_t first_ms, last_ms;
    mr_state_span(state, &first_ms, &last_ms);
    const char *out = NULL;
    for (size_t i = 0; judged && i < state->source->preamble.n; i++) {
        const struct mr_pair *p = &state->source->preamble.v[i];
        const enum bearing s = stands(state, p, last_ms);
        if (s != UNSAID)
            MR_PUSH(state->scratch, &state->checked, p->place.line);
        if (s >= CONTRADICTED && !out && !(rule && *rule->kind))
            out =
                mr_printf(state->arena, "it says \"%s: %s\" in line %u, which %s",
                          mr_clean_text(state->scratch, p->name, strlen(p->name), 40),
                          mr_clean_text(state->scratch, p->value, strlen(p->value), 40), (unsigned)p->place.line,
                          s == ELSEWHERE ? "is not where the job file has that channel" : "its rows do not bear out");
    }
    return out;
}

void mr_hold_against_rows(struct mr_file_state *state) {
    const char *fact = state->plan->kind == MR_KIND_UNKNOWN ? NULL : stated_fact(state);
    if (!fact)
        return;
    state->file->disagrees = fact;
    mr_diag_add(state->diags, MR_NOTE, "stated-otherwise", (struct mr_place){.file = state->source->path}, NULL, NULL,
                "the file contradicts itself: %s", fact);
}
