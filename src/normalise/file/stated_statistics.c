/* stated_statistics.c - see stated_statistics.h. Numbers are compared as written, in the unit of the column. */
#include "normalise/file/stated_statistics.h"

#include "base/text.h"
#include "normalise/cell/number.h"
#include "normalise/cell/words.h"
#include "normalise/phrase/statistic_words.h"

#include <math.h>
#include <string.h>

struct statement {
    enum mr_statistic of;
    double value, half_digit;
    const char *text;
};

struct statistics {
    struct mr_file_state *state;
    MR_VEC(struct statement) said;
    size_t n, rows, n_means, n_counts;
    double least, most, sum;
};

/* Half of the last digit that a number shows. */
static double half_digit(const char *text, size_t n) {
    size_t decimals = 0;
    bool mark = false;
    for (size_t i = 0; i < n; i++) {
        if (mark && !mr_is_digit(text[i]))
            break;
        decimals += mark;
        mark = mark || ((text[i] == '.' || text[i] == ',') && i + 1 < n && mr_is_digit(text[i + 1]));
    }
    return 0.5 * pow(10, -(double)decimals);
}

static bool number_of(const char *text, size_t n, struct mr_number *out) {
    const struct mr_number_style any = {.mark = '?'};
    return mr_number_scan(text, n, any, out) == MR_NUM_OK && isfinite(out->value);
}

/* The unit of the film's column; MR_UNIT_NONE where rows have units of their own. */
static enum mr_unit own_unit(const struct mr_plan *plan) {
    if (mr_plan_column_of(plan, MR_M_UNIT) != MR_NONE)
        return MR_UNIT_NONE;
    const size_t col = mr_plan_column_of(plan, MR_M_FILM);
    return col == MR_NONE ? MR_UNIT_NONE : plan->col[col].as.unit;
}

static void take_statement(struct statistics *s, const char *name, const char *value, size_t n) {
    const enum mr_statistic of = mr_statistic_named(mr_words_fold(s->state->scratch, name, strlen(name)));
    struct mr_number number;
    enum mr_unit unit = own_unit(s->state->plan), stated = unit;
    if (of == MR_STATISTIC_NONE || !number_of(value, n, &number))
        return;
    if (of != MR_STATISTIC_COUNT && number.unit && number.unit_n &&
        !mr_unit_parse(number.unit, number.unit_n, MR_DIM_FILM, &stated))
        return;
    const double factor =
        of == MR_STATISTIC_COUNT || stated == unit ? 1 : mr_to_canonical(stated, 1) / mr_to_canonical(unit, 1);
    if (of != MR_STATISTIC_COUNT && stated != unit && unit == MR_UNIT_NONE)
        return;
    const struct statement out = {of, number.value * factor, half_digit(value, n) * factor,
                                  mr_printf(s->state->arena, "%s: %.*s", name, (int)(n < 40 ? n : 40), value)};
    s->n_means += of == MR_STATISTIC_MEAN;
    s->n_counts += of == MR_STATISTIC_COUNT;
    MR_PUSH(s->state->scratch, &s->said, out);
}

/* "Minimum: 120 um" in one cell, or the word in one and one number in another. */
static bool take_row(struct statistics *s, const struct mr_row *row) {
    const struct mr_cell *word = NULL, *number = NULL;
    struct mr_number unused;
    size_t filled = 0;
    for (size_t i = 0; i < row->n; i++) {
        const struct mr_cell *c = &row->cell[i];
        if (!c->n)
            continue;
        filled++;
        word = word ? word : c;
        number = c != word && !number && number_of(c->p, c->n, &unused) ? c : number;
    }
    if (!word || filled > 3 || word->n > 60)
        return false;
    const size_t mark = strcspn(mr_strndup(s->state->scratch, word->p, word->n), ":=");
    const char *name = mr_strndup(s->state->scratch, word->p, mark < word->n ? mark : word->n);
    if (mr_statistic_named(mr_words_fold(s->state->scratch, name, strlen(name))) == MR_STATISTIC_NONE)
        return false;
    if (mark + 1 < word->n) {
        const char *value = mr_strndup(s->state->scratch, word->p + mark + 1, word->n - mark - 1);
        value += strspn(value, " \t");
        take_statement(s, name, value, strlen(value));
    } else if (number) {
        take_statement(s, name, number->p, number->n);
    }
    return true;
}

static bool look_at(void *ctx, const struct mr_row *row) {
    struct statistics *s = ctx;
    const struct mr_plan *plan = s->state->plan;
    if (row->broken != MR_BROKEN_NO || row->part == MR_ROW_HEADER || row->part == MR_ROW_PREAMBLE)
        return true;
    if (take_row(s, row) || row->part != MR_ROW_BODY)
        return true;
    const size_t before = s->n;
    for (size_t i = 0; i < plan->n; i++) {
        const struct mr_plan_column *c = &plan->col[i];
        struct mr_number number;
        if (c->as.meaning != MR_M_FILM || c->cell >= row->n ||
            !number_of(row->cell[c->cell].p, row->cell[c->cell].n, &number))
            continue;
        s->least = s->n && s->least < number.value ? s->least : number.value;
        s->most = s->n && s->most > number.value ? s->most : number.value;
        s->sum += number.value;
        s->n++;
    }
    s->rows += s->n > before;
    return true;
}

/* A value that the job states as a limit of the film, in the unit of the column. */
static bool is_limit(const struct statistics *s, double value) {
    const enum mr_setting_id ids[] = {MR_DFT_MIN, MR_DFT_MAX};
    const enum mr_unit unit = own_unit(s->state->plan);
    const double um = unit == MR_UNIT_NONE ? value : mr_to_canonical(unit, value);
    for (size_t i = 0; i < MR_COUNT(ids); i++) {
        const double limit = mr_set_num(&s->state->job->settings, ids[i]);
        if (isfinite(limit) && (fabs(um - limit) < 0.01 * limit || fabs(um - 0.8 * limit) < 0.008 * limit ||
                                fabs(um - 1.2 * limit) < 0.012 * limit))
            return true;
    }
    return false;
}

/* A count of blocks stands for some of the rows; one alone for all of them, for those that were not deleted, or for
 * the rows where each holds several readings. Fewer are rows that came to the export from elsewhere. */
static bool counts_rows(const struct statistics *s, double stated) {
    const double n = (double)s->n, used = (double)s->state->records.readings.n;
    return stated <= n &&
           (s->n_counts > 1 || stated >= n || stated >= used || (s->rows < s->n && stated >= (double)s->rows));
}

/* Means of several blocks say nothing of all rows; a least value is one of the whole whatever block it is of. */
static bool holds(const struct statistics *s, const struct statement *said) {
    const double slack = said->half_digit * 1.01 + 1e-9;
    const double mean = s->sum / (double)s->n;
    switch (said->of) {
    case MR_STATISTIC_COUNT:
        return counts_rows(s, said->value);
    case MR_STATISTIC_LEAST:
        return said->value >= s->least - slack || is_limit(s, said->value);
    case MR_STATISTIC_MOST:
        return said->value <= s->most + slack || is_limit(s, said->value);
    case MR_STATISTIC_MEAN:
        return (said->value >= s->least - slack && said->value <= s->most + slack &&
                (s->n_means > 1 || fabs(said->value - mean) <= slack + 0.03 * mean));
    case MR_STATISTIC_NONE:
        break;
    }
    return true;
}

const char *mr_stated_statistics(struct mr_file_state *state) {
    struct statistics s = {.state = state};
    const struct mr_source *source = state->source;
    if (state->plan->kind != MR_KIND_THICKNESS || mr_plan_column_of(state->plan, MR_M_COUNT_OF) != MR_NONE)
        return NULL;
    for (size_t i = 0; i < source->preamble.n; i++)
        take_statement(&s, source->preamble.v[i].name, source->preamble.v[i].value,
                       strlen(source->preamble.v[i].value));
    if (mr_read_rows(source, look_at, &s) != MR_OK || s.n == 0) /* a file that changes is told by others */
        return NULL;
    bool of_means = false; /* a row may stand for several readings */
    for (size_t i = 0; i < state->records.readings.n; i++)
        of_means = of_means || state->records.readings.v[i].n_readings != 1;
    for (size_t i = 0; i < s.said.n; i++)
        if (!(of_means && s.said.v[i].of == MR_STATISTIC_COUNT) && !holds(&s, &s.said.v[i]))
            return mr_printf(state->arena, "it says \"%s\", and its rows hold %zu readings from %g to %g, mean %.4g",
                             s.said.v[i].text, s.n, s.least, s.most, s.sum / (double)s.n);
    return NULL;
}
