/*
 * live_changed.c - what a check says once something was changed in the workbook that its formula does not follow.
 *
 * The sheet may know less than a new report, never more: where it cannot tell what that would say, the check says
 * that one is to be made, and so does its zone, unless something in it does not conform already.
 */
#include "render/book/live.h"

#include <math.h>
#include <string.h>

/* Of the day number with which spreadsheets count time; four seconds of it, more than sums of them are off. */
#define DAYS_TO_1970 25569.0
#define SECONDS_4 5e-5

static mr_x number(struct mr_live *l, double value) {
    return mr_x_number(l->scratch, value);
}

static mr_x op(struct mr_live *l, mr_x left, const char *operator, mr_x right) {
    return mr_x_op(l->scratch, left, operator, right);
}

static mr_x word(struct mr_live *l, enum mr_outcome outcome) {
    return mr_x_text(l->scratch, mr_outcome_text(outcome));
}

/* x as long as a condition holds. NULL conditions hold. */
static mr_x as_long_as(struct mr_live *l, mr_x condition, mr_x x) {
    return condition ? mr_x_call(l->scratch, "IF", condition, x, mr_x_text(l->scratch, MR_UNKNOWN_WORD)) : x;
}

/* --- the film ------------------------------------------------------------------------------------------ */

struct film {
    const char *zone, *name;
    const struct mr_block *readings, *spots;
};

static struct film film_of(const struct mr_live *l, const char *zone, const char *name) {
    return (struct film){.zone = zone,
                         .name = name,
                         .readings = mr_block_of(&l->reading_films, zone, name, NULL),
                         .spots = mr_block_of(&l->spot_films, zone, name, NULL)};
}

/* Surveys of the film, and whether the newest is the one that counts: else what was changed may let another count. */
static size_t surveys_of(const struct mr_live *l, const struct film *f, bool *out_newest) {
    const struct mr_table *t = mr_find_table(l->o->a, "surveys");
    size_t n = 0;
    *out_newest = true;
    for (size_t r = 0; t && r < t->n_rows; r++)
        if (!strcmp(mr_live_text(t, "zone", r), f->zone) && !strcmp(mr_live_text(t, "coat", r), f->name)) {
            *out_newest = !strcmp(mr_live_text(t, "counts", r), "yes");
            n++;
        }
    return n;
}

/* No reading of a zone was changed. NULL: it has none. */
static mr_x unchanged(struct mr_live *l, const char *zone) {
    size_t n;
    const size_t *row = mr_rows_of_zone(l, l->summary, zone, &n);
    mr_x sum = NULL;
    for (size_t i = 0; i < n; i++) {
        mr_x one = mr_live_cell(l, l->summary, "changed", row[i]);
        sum = sum ? op(l, sum, "+", one) : one;
    }
    return sum ? op(l, sum, "=", number(l, 0)) : NULL;
}

/* As many readings and as few doubts as reported: whoever counts places, patterns or shifts counts the same. */
static mr_x as_many(struct mr_live *l, const struct film *f) {
    struct mr_arena *s = l->scratch;
    double doubted = 0;
    if (!f->readings || !f->spots)
        return NULL;
    for (size_t r = f->spots->from; r <= f->spots->to; r++)
        doubted += (double)mr_live_value(l->spots, "doubted", r).count;
    mr_x shown = mr_live_range(l, l->readings, "shown", f->readings->from, f->readings->to),
         now = mr_x_call(s, "SUM", mr_live_range(l, l->spots, "doubted", f->spots->from, f->spots->to));
    const size_t n = f->readings->to - f->readings->from + 1;
    return op(l, op(l, mr_x_call(s, "COUNT", shown), "=", number(l, (double)n)), "*",
              op(l, now, "<=", number(l, doubted)));
}

/* How many readings of rows are numbers that a gauge can show. */
static mr_x readable(struct mr_live *l, size_t from, size_t to) {
    struct mr_arena *s = l->scratch;
    const struct mr_job *job = l->o->a->job;
    const double least = mr_from_canonical(job->display.film, mr_set_num(&job->settings, MR_PLAUSIBLE_FILM_MIN)),
                 most = mr_from_canonical(job->display.film, mr_set_num(&job->settings, MR_PLAUSIBLE_FILM_MAX));
    mr_x shown = mr_live_range(l, l->readings, "shown", from, to);
    if (isnan(least) || isnan(most))
        return mr_x_call(s, "COUNT", shown);
    mr_x low = op(l, mr_x_text(s, ">="), "&", number(l, least - MR_LIVE_SLACK)),
         high = op(l, mr_x_text(s, ">"), "&", number(l, most + MR_LIVE_SLACK));
    return op(l, mr_x_call(s, "COUNTIF", shown, low), "-", mr_x_call(s, "COUNTIF", shown, high));
}

/* Each reading is such a number, or was taken out. What cannot be read may be what fails, and a report says so of the
 * zone. NULL: nothing to ask. */
static mr_x legible(struct mr_live *l, const struct film *f) {
    if (!f->readings)
        return NULL;
    const size_t from = f->readings->from, to = f->readings->to;
    return op(l, readable(l, from, to), "=",
              mr_x_call(l->scratch, "COUNTA", mr_live_range(l, l->readings, "shown", from, to)));
}

/* A file whose own statistics say how many readings it holds: with one less, the whole file is in doubt. */
static bool counts_itself(const struct mr_live *l, const char *path) {
    const struct mr_alignment *al = l->o->a->aligned;
    for (size_t i = 0; i < al->data->files.n; i++)
        if (!strcmp(al->data->files.v[i].source->path, path))
            return mr_account_of(l->o->a, i)->by_reason[MR_ASIDE_SUMMARY] > 0;
    return false;
}

/* Where a film has readings of such a file, all readings of the workbook are there and can be read. NULL: it has
 * none. */
static mr_x none_taken_out(struct mr_live *l, const struct film *f) {
    bool any = false;
    const char *last = "";
    for (size_t r = f->readings ? f->readings->from : 1; f->readings && r <= f->readings->to && !any; r++) {
        const char *path = mr_live_text(l->readings, "file", r);
        any = strcmp(path, last) != 0 && counts_itself(l, path);
        last = path;
    }
    if (!any)
        return NULL;
    const size_t n = l->readings->n_rows;
    return op(l, readable(l, 0, n - 1), "=", number(l, (double)n));
}

/* The specified limits of a film, where surveys that are not in the workbook were judged by them as well. */
static mr_x same_limits(struct mr_live *l, const struct film *f) {
    static const char *const limits[] = {"limit_min", "limit_max"};
    const struct mr_block *b = mr_block_of(&l->summary_films, f->zone, f->name, NULL);
    mr_x all = NULL;
    for (size_t i = 0; b && i < MR_COUNT(limits); i++) {
        const struct mr_value v_cell = mr_live_value(l->summary, limits[i], b->from), *v = &v_cell;
        if (v->type != MR_V_NUMBER)
            continue;
        mr_x off = op(l, mr_live_cell(l, l->summary, limits[i], b->from), "-", number(l, v->number)),
             one = op(l, mr_x_call(l->scratch, "ABS", off), "<", number(l, MR_LIVE_SLACK));
        all = all ? op(l, all, "*", one) : one;
    }
    return all;
}

/* Each reading still stands at its time: coats, repairs and verifications hang on these. NULL: nothing to ask, or the
 * times are texts (live_unlike.c). */
static mr_x at_its_time(struct mr_live *l, const struct film *f) {
    const struct mr_alignment *al = l->o->a->aligned;
    double sum = 0;
    if (!f->readings)
        return NULL;
    const size_t from = f->readings->from, to = f->readings->to;
    for (size_t r = from; r <= to; r++) {
        const struct mr_value v_cell = mr_live_value(l->readings, "time", r), *v = &v_cell;
        if (v->type != MR_V_TIME || v->count == MR_T_NONE || !l->o->offset_text[0])
            return NULL;
        sum += (double)mr_local_ms(al, v->count) / (double)MR_DAY_MS + DAYS_TO_1970;
    }
    mr_x now = mr_x_call(l->scratch, "SUM", mr_live_range(l, l->readings, "time", from, to));
    return op(l, mr_x_call(l->scratch, "ABS", op(l, now, "-", number(l, sum))), "<", number(l, SECONDS_4));
}

static mr_x both(struct mr_live *l, mr_x a, mr_x b) {
    return a && b ? op(l, a, "*", b) : a ? a : b;
}

/* The same conditions for all checks of a film. */
static mr_x as_it_was_taken(struct mr_live *l, const struct film *f) {
    bool newest;
    mr_x all = both(l, both(l, legible(l, f), at_its_time(l, f)), none_taken_out(l, f));
    return surveys_of(l, f, &newest) > 1 ? both(l, all, same_limits(l, f)) : all;
}

mr_x mr_live_film_changed(struct mr_live *l, const struct mr_check *c, const char *film, mr_x formula, mr_x fails) {
    struct mr_arena *s = l->scratch;
    const char *zone = mr_zone_name(l->o->a, c->zone);
    const struct film f = film_of(l, zone, film);
    const bool counts = !strncmp(c->id, "thickness.enough", 16);
    mr_x unknown = mr_x_text(s, MR_UNKNOWN_WORD);
    mr_x live = formula;
    if (live && mr_live_standings(l)) {
        bool newest;
        const size_t surveys = surveys_of(l, &f, &newest);
        if (!newest && c->outcome != MR_CONFORMS)
            live = mr_x_call(s, "IF", op(l, live, "=", word(l, MR_CONFORMS)), unknown, live);
        if (surveys > 1 && c->outcome != MR_NOT_SHOWN)
            live = mr_x_call(s, "IF", op(l, live, "=", word(l, MR_NOT_SHOWN)), unknown, live);
        return as_long_as(l, as_it_was_taken(l, &f), live);
    }
    mr_x same = counts && mr_live_standings(l) ? as_many(l, &f) : unchanged(l, zone);
    if (!same)
        return live;
    mr_x else_what = fails ? mr_x_call(s, "IF", fails, word(l, MR_DOES_NOT_CONFORM), unknown) : unknown;
    return as_long_as(l, as_it_was_taken(l, &f),
                      mr_x_call(s, "IF", same, live ? live : word(l, c->outcome), else_what));
}

mr_x mr_live_history(struct mr_live *l, const struct mr_check *c, const char *film, size_t zone) {
    const struct film f = film_of(l, mr_zone_name(l->o->a, c->zone), film);
    const enum mr_outcome now = (enum mr_outcome)mr_live_value(l->zones, "thickness", zone).count;
    bool newest;
    size_t reported;
    const size_t surveys = surveys_of(l, &f, &newest);
    mr_x thin = mr_live_thin_areas(l, f.zone, f.name, &reported), more = thin ? op(l, thin, ">", number(l, 0)) : NULL;
    const bool lone = c->outcome == (reported ? MR_NOT_SHOWN : MR_NOT_REQUIRED);
    mr_x taken = as_it_was_taken(l, &f);
    if (surveys == 1 && lone)
        return as_long_as(l, taken,
                          more ? mr_live_if(l, more, mr_outcome_text(MR_NOT_SHOWN), mr_outcome_text(MR_NOT_REQUIRED))
                               : word(l, c->outcome));
    mr_x same = op(l, mr_live_cell(l, l->zones, "thickness", zone), "=", word(l, now));
    if (thin)
        same = op(l, same, "*", op(l, thin, "<=", number(l, (double)reported)));
    return as_long_as(l, both(l, both(l, same, same_limits(l, &f)), taken), word(l, c->outcome));
}

/* --- gauges -------------------------------------------------------------------------------------------- */

static bool among(const char *const *list, size_t n, const char *text) {
    for (size_t i = 0; i < n; i++)
        if (!strcmp(list[i], text))
            return true;
    return false;
}

enum { GAUGES_MOST = 4 };

/* The gauges that a zone's readings were taken with; of more than a few, none is told apart. */
static size_t gauges_of(struct mr_live *l, const char *zone, const char *out[GAUGES_MOST]) {
    size_t n, found = 0;
    const size_t *row = mr_rows_of_zone(l, l->readings, zone, &n);
    for (size_t i = 0; i < n; i++) {
        const char *gauge = mr_live_text(l->readings, "gauge", row[i]);
        if (among(out, found, gauge))
            continue;
        if (found == GAUGES_MOST)
            return 0;
        out[found++] = gauge;
    }
    return found;
}

/* As many verifications of a gauge have passed as reported. */
static mr_x as_verified(struct mr_live *l, const struct mr_table *t, const char *gauge) {
    struct mr_arena *s = l->scratch;
    size_t passed = 0;
    for (size_t r = 0; r < t->n_rows; r++)
        passed += !strcmp(mr_live_text(t, "gauge", r), gauge) && !strcmp(mr_live_text(t, "result", r), "passed");
    mr_x own = op(l, mr_live_range(l, t, "gauge", 0, t->n_rows - 1), "=", mr_x_text(s, gauge)),
         good = op(l, mr_live_range(l, t, "result", 0, t->n_rows - 1), "=", mr_x_text(s, "passed"));
    return op(l, mr_x_call(s, "SUMPRODUCT", op(l, own, "*", good)), "=", number(l, (double)passed));
}

/* The mean of the zone's readings lies between the shims of its gauges, or no farther out than reported. */
static mr_x in_range(struct mr_live *l, const struct mr_table *t, const char *zone, const char *const *gauge,
                     size_t n) {
    double low = -(double)INFINITY, high = (double)INFINITY, sum = 0;
    size_t rows;
    const size_t *row = mr_rows_of_zone(l, l->readings, zone, &rows);
    for (size_t i = 0; i < n; i++) {
        double least = (double)INFINITY, most = -(double)INFINITY;
        for (size_t r = 0; r < t->n_rows; r++)
            if (!strcmp(mr_live_text(t, "gauge", r), gauge[i]) && !strcmp(mr_live_text(t, "result", r), "passed")) {
                least = fmin(least, mr_live_value(t, "certified", r).number);
                most = fmax(most, mr_live_value(t, "certified", r).number);
            }
        low = fmax(low, least);
        high = fmin(high, most);
    }
    if (rows == 0 || row[rows - 1] - row[0] + 1 != rows)
        return NULL;
    for (size_t i = 0; i < rows; i++)
        sum += mr_live_value(l->readings, "shown", row[i]).number;
    mr_x mean = mr_x_call(l->scratch, "AVERAGE", mr_live_range(l, l->readings, "shown", row[0], row[rows - 1]));
    low = fmin(low, sum / (double)rows) - MR_LIVE_SLACK;
    high = fmax(high, sum / (double)rows) + MR_LIVE_SLACK;
    return op(l, op(l, mean, ">=", number(l, low)), "*", op(l, mean, "<=", number(l, high)));
}

/* The zone's readings are there, as they were taken. */
static mr_x zone_as_it_was_taken(struct mr_live *l, const char *zone) {
    size_t n;
    const size_t *row = mr_rows_of_zone(l, l->readings, zone, &n);
    const char *last = NULL;
    mr_x all = NULL;
    for (size_t i = 0; i < n; i++) {
        const char *name = mr_live_text(l->readings, "coat", row[i]);
        const struct film f = film_of(l, zone, name);
        if ((last && !strcmp(last, name)) || !f.readings)
            continue;
        mr_x shown = mr_live_range(l, l->readings, "shown", f.readings->from, f.readings->to);
        last = name;
        all = both(l, all,
                   both(l, op(l, mr_x_call(l->scratch, "COUNT", shown), ">", number(l, 0)), as_it_was_taken(l, &f)));
    }
    return all;
}

mr_x mr_live_gauge_changed(struct mr_live *l, const struct mr_check *c) {
    const struct mr_table *t = mr_find_table(l->o->a, "gauge-verifications");
    const char *gauge[GAUGES_MOST], *zone = mr_zone_name(l->o->a, c->zone);
    const size_t n = t && t->n_rows ? gauges_of(l, zone, gauge) : 0;
    mr_x all = zone_as_it_was_taken(l, zone);
    for (size_t i = 0; i < n; i++)
        all = both(l, all, as_verified(l, t, gauge[i]));
    if (n && !strcmp(c->id, "gauge.range"))
        all = both(l, all, in_range(l, t, zone, gauge, n));
    return all ? as_long_as(l, all, word(l, c->outcome)) : NULL;
}

mr_x mr_live_material_changed(struct mr_live *l, const struct mr_check *c) {
    static const char *const parts[] = {"part_a", "part_b"};
    const struct mr_table *t = mr_find_table(l->o->a, "material");
    mr_x all = NULL;
    for (size_t i = 0; t && i < MR_COUNT(parts); i++)
        for (size_t r = 0; r < t->n_rows; r++) {
            const struct mr_value v_cell = mr_live_value(t, parts[i], r), *v = &v_cell;
            if (v->type != MR_V_NUMBER)
                continue;
            mr_x off = op(l, mr_live_cell(l, t, parts[i], r), "-", number(l, v->number)),
                 one = op(l, mr_x_call(l->scratch, "ABS", off), "<", number(l, MR_LIVE_SLACK));
            all = all ? op(l, all, "*", one) : one;
        }
    return all ? as_long_as(l, all, word(l, c->outcome)) : NULL;
}

mr_x mr_live_follows(struct mr_live *l, mr_x condition, mr_x x) {
    return as_long_as(l, condition, x);
}
