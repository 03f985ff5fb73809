/*
 * live_checks.c - outcomes as formulas: a check from its limit, a zone from its checks, the job from all of them.
 *
 * A check is live only where the formula gives the outcome that was worked out: what is held back for a clock in
 * doubt, or decided by more than the figure beside it, stays a value.
 */
#include "render/book/live.h"

#include <math.h>
#include <string.h>

static mr_x number(struct mr_live *l, double value) {
    return mr_x_number(l->scratch, value);
}

static mr_x word(struct mr_live *l, enum mr_outcome outcome) {
    return mr_x_text(l->scratch, mr_outcome_text(outcome));
}

static const struct mr_check *check_at(const struct mr_live *l, size_t row) {
    return &l->o->a->checks.v[row];
}

static const char *film_of(struct mr_live *l, const struct mr_check *c) {
    return c->coat ? mr_printf(l->scratch, "coat %d", c->coat) : "system";
}

/* The row of the limits that a check was judged by; MR_NONE. */
static size_t limit_of(struct mr_live *l, size_t row) {
    const struct mr_check *c = check_at(l, row);
    if (strcmp(c->group, "thickness") != 0 || !c->rule)
        return MR_NONE;
    const struct mr_block *b = mr_block_of(&l->limit_films, mr_zone_name(l->o->a, c->zone), film_of(l, c), NULL);
    for (size_t r = b ? b->from : 1; b && r <= b->to; r++)
        if (strcmp(mr_live_text(l->limits, "limit_name", r), c->rule) == 0)
            return r;
    return MR_NONE;
}

/* The row of the sampling table behind a check of how much was measured; MR_NONE. */
static size_t sampling_of(struct mr_live *l, size_t row) {
    const struct mr_check *c = check_at(l, row);
    if (strcmp(c->id, "thickness.enough") != 0)
        return MR_NONE;
    size_t count;
    const size_t *at = mr_word_places(&l->sampling_rules.by_word, mr_zone_name(l->o->a, c->zone), &count);
    for (size_t i = 0; i < count; i++) {
        const struct mr_block *b = &l->sampling_rules.list.v[at[i]];
        const size_t n = strlen(b->word[2]);
        if (!strcmp(b->word[1], film_of(l, c)) && !strncmp(c->rule, b->word[2], n) && c->rule[n] == ',')
            return b->from;
    }
    return MR_NONE;
}

/* --- measured and limits ------------------------------------------------------------------------------- */

/* From the unit of the thickness tables into that of the check. */
static mr_x in_unit(struct mr_live *l, size_t row, mr_x cell) {
    const enum mr_unit shown = l->o->a->job->display.film, wanted = check_at(l, row)->unit;
    if (shown == wanted)
        return cell;
    return mr_x_op(l->scratch, cell, "*", number(l, mr_from_canonical(wanted, mr_to_canonical(shown, 1.0))));
}

static mr_x limit_measured(struct mr_live *l, size_t row, size_t limit) {
    struct mr_arena *s = l->scratch;
    if (check_at(l, row)->unit != MR_UNIT_PCT)
        return in_unit(l, row, mr_live_cell(l, l->limits, "worst", limit));
    return mr_x_op(s, mr_x_op(s, number(l, 100), "*", mr_live_cell(l, l->limits, "missed", limit)), "/",
                   mr_live_cell(l, l->limits, "judged", limit));
}

/* The ratio of a shift, where one alone has this value; the last row may be their sum. */
static mr_x ratio_of(struct mr_live *l, double value) {
    const struct mr_table *t = mr_find_table(l->o->a, "material");
    size_t found = MR_NONE;
    for (size_t r = 0; t && r < t->n_rows; r++) {
        const struct mr_value v_cell = mr_live_value(t, "ratio", r), *v = &v_cell;
        if (v->type != MR_V_NUMBER || fabs(v->number - value) > 1e-12)
            continue;
        if (found == MR_NONE)
            found = r;
        else if (r + 1 < t->n_rows || t->n_rows > 2)
            return NULL;
    }
    return found == MR_NONE ? NULL : mr_live_cell(l, t, "ratio", found);
}

/* Figures that another table works out: the least spread, the rise against thickness. */
static mr_x other_measured(struct mr_live *l, size_t row) {
    const struct mr_check *c = check_at(l, row);
    const char *zone = c->zone == MR_NONE ? "" : mr_zone_name(l->o->a, c->zone);
    if (!strcmp(c->group, "climate") && c->unit == l->o->a->job->display.rise)
        return mr_live_spread(l, zone, c->coat, c->measured);
    if (!strcmp(c->id, "material.ratio"))
        return ratio_of(l, c->measured);
    const struct mr_table *t = mr_find_table(l->o->a, "rise-against-thickness");
    size_t n;
    const size_t *at = mr_rows_of_zone(l, t, zone, &n);
    return !strcmp(c->id, "reaction.rise-against-film") && n == 1 && c->unit == MR_UNIT_PCT
               ? mr_live_cell(l, t, "ratio_pct", at[0])
               : NULL;
}

static mr_x check_measured(struct mr_live *l, const struct mr_table *t, size_t row) {
    (void)t;
    const size_t limit = limit_of(l, row), sampling = sampling_of(l, row);
    if (limit != MR_NONE)
        return limit_measured(l, row, limit);
    if (other_measured(l, row))
        return other_measured(l, row);
    if (sampling == MR_NONE)
        return NULL;
    const bool areas = mr_live_value(l->sampling, "areas_asked", sampling).type == MR_V_COUNT;
    return mr_live_cell(l, l->sampling, areas ? "areas_taken" : "readings_taken", sampling);
}

static mr_x bound(struct mr_live *l, size_t row, bool upper) {
    const size_t limit = limit_of(l, row), sampling = sampling_of(l, row);
    if (limit != MR_NONE && check_at(l, row)->unit == MR_UNIT_PCT)
        return upper ? mr_live_cell(l, l->limits, "may_miss_pct", limit) : NULL;
    if (limit != MR_NONE)
        return in_unit(l, row, mr_live_cell(l, l->limits, "limit", limit));
    if (sampling == MR_NONE || upper)
        return NULL;
    const bool areas = mr_live_value(l->sampling, "areas_asked", sampling).type == MR_V_COUNT;
    return mr_live_cell(l, l->sampling, areas ? "areas_asked" : "readings_asked", sampling);
}

static mr_x check_at_least(struct mr_live *l, const struct mr_table *t, size_t row) {
    (void)t;
    return bound(l, row, false);
}

static mr_x check_at_most(struct mr_live *l, const struct mr_table *t, size_t row) {
    (void)t;
    return bound(l, row, true);
}

/* --- outcomes of checks -------------------------------------------------------------------------------- */

/* Checks of the same film that ask whether enough was measured by this rule, or by the job's own numbers. */
static mr_x enough_of(struct mr_live *l, size_t row, size_t limit, bool *out_enough) {
    struct mr_arena *s = l->scratch;
    const struct mr_check *c = check_at(l, row);
    const struct mr_block *b = mr_block_of(&l->check_zones, mr_zone_name(l->o->a, c->zone), NULL, NULL);
    const char *rule = mr_live_text(l->limits, "rule", limit);
    const size_t n = strlen(rule);
    mr_x all = mr_x_op(s, number(l, 0), "=", number(l, 0));
    *out_enough = true;
    for (size_t r = b ? b->from : 1; b && r <= b->to; r++) {
        const struct mr_check *k = check_at(l, r);
        if (k->coat != c->coat || strncmp(k->id, "thickness.enough", 16) != 0)
            continue;
        if (!strcmp(k->id, "thickness.enough") && (strncmp(k->rule, rule, n) != 0 || k->rule[n] != ','))
            continue;
        *out_enough = *out_enough && k->outcome == MR_CONFORMS;
        all = mr_x_op(s, all, "*", mr_x_op(s, mr_live_cell(l, l->checks, "outcome", r), "=", word(l, MR_CONFORMS)));
    }
    return all;
}

static mr_x outcome_by_limit(struct mr_live *l, size_t row, size_t limit) {
    struct mr_arena *s = l->scratch;
    bool enough;
    mr_x all = enough_of(l, row, limit, &enough);
    const struct mr_value own_cell = mr_live_value(l->limits, "outcome", limit), *own = &own_cell;
    const bool whole = mr_live_value(l->limits, "short", limit).count == 0;
    enum mr_outcome expected = (enum mr_outcome)own->count;
    if (expected == MR_CONFORMS && (!enough || !whole))
        expected = MR_NOT_SHOWN;
    if (expected != check_at(l, row)->outcome || expected == MR_NOT_REQUIRED)
        return NULL;
    mr_x cell = mr_live_cell(l, l->limits, "outcome", limit);
    mr_x sure = mr_x_op(s, all, "*", mr_x_op(s, mr_live_cell(l, l->limits, "short", limit), "=", number(l, 0)));
    mr_x held = mr_x_call(s, "IF", sure, cell, word(l, MR_NOT_SHOWN));
    return mr_x_call(s, "IF", mr_x_op(s, cell, "=", word(l, MR_CONFORMS)), held, cell);
}

static mr_x outcome_by_sampling(struct mr_live *l, size_t row, size_t sampling) {
    struct mr_arena *s = l->scratch;
    const struct mr_value left_cell = mr_live_value(l->sampling, "readings_left", sampling), *left = &left_cell;
    const int64_t sum = mr_live_value(l->sampling, "areas_left", sampling).count +
                        mr_live_value(l->sampling, "spots_left", sampling).count + left->count;
    if (left->type != MR_V_COUNT || check_at(l, row)->outcome != (sum == 0 ? MR_CONFORMS : MR_NOT_SHOWN))
        return NULL;
    mr_x all = mr_x_call(s, "SUM", mr_live_cell(l, l->sampling, "areas_left", sampling),
                         mr_live_cell(l, l->sampling, "spots_left", sampling),
                         mr_live_cell(l, l->sampling, "readings_left", sampling));
    return mr_live_if(l, mr_x_op(s, all, "=", number(l, 0)), mr_outcome_text(MR_CONFORMS),
                      mr_outcome_text(MR_NOT_SHOWN));
}

/* Where measured value and limits on the sheet decide, they do so here too. One part in 10^9 is for the conversion
 * of units, as in the program. */
static mr_x outcome_by_figures(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    const struct mr_check *c = check_at(l, row);
    const bool plain = !strcmp(c->group, "climate") || !strcmp(c->group, "lines") || !strcmp(c->group, "material") ||
                       !strcmp(c->id, "reaction.rise-against-film");
    const bool low = !isnan(c->limit_low), high = !isnan(c->limit_high);
    if (!plain || isnan(c->measured) || (!low && !high))
        return NULL;
    const double slack_low = 1e-9 * fabs(c->limit_low), slack_high = 1e-9 * fabs(c->limit_high);
    const bool out =
        (low && c->measured < c->limit_low - slack_low) || (high && c->measured > c->limit_high + slack_high);
    if (c->outcome != (out ? MR_DOES_NOT_CONFORM : MR_CONFORMS))
        return NULL;
    mr_x measured = mr_live_cell(l, t, "measured", row), fails = NULL;
    if (low)
        fails = mr_x_op(s, measured, "<", mr_x_op(s, mr_live_cell(l, t, "at_least", row), "-", number(l, slack_low)));
    if (high) {
        mr_x over =
            mr_x_op(s, measured, ">", mr_x_op(s, mr_live_cell(l, t, "at_most", row), "+", number(l, slack_high)));
        fails = low ? mr_x_call(s, "OR", fails, over) : over;
    }
    return mr_live_if(l, fails, mr_outcome_text(MR_DOES_NOT_CONFORM), mr_outcome_text(MR_CONFORMS));
}

/* --- zones and job ------------------------------------------------------------------------------------- */

static bool is_job(const struct mr_table *t, size_t row) {
    return row + 1 == t->n_rows;
}

/* Checks of one zone and group. zone NULL: those of no zone, which come last; group NULL: all. */
static mr_x checks_of(struct mr_live *l, const char *zone, const char *group) {
    const mr_block_list *all = &l->check_zones;
    const struct mr_block *b = zone          ? mr_block_of(all, zone, NULL, NULL)
                               : all->list.n ? &all->list.v[all->list.n - 1]
                                             : NULL;
    if (!b || (!zone && check_at(l, b->from)->zone != MR_NONE))
        return NULL;
    size_t from = b->from, to = b->to;
    while (group && from <= to && strcmp(check_at(l, from)->group, group) != 0)
        from++;
    while (group && to > from && strcmp(check_at(l, to)->group, group) != 0)
        to--;
    return from > to ? NULL : mr_live_range(l, l->checks, "outcome", from, to);
}

/* The job's own row: the worst of the zones above it and of the checks that belong to no zone. */
static mr_x job_group(struct mr_live *l, const struct mr_table *t, const char *column, const char *group) {
    if (t->n_rows < 2)
        return NULL;
    return mr_live_worst(l, mr_live_range(l, t, column, 0, t->n_rows - 2), checks_of(l, NULL, group));
}

static mr_x zone_outcome(struct mr_live *l, const struct mr_table *t, size_t row) {
    if (is_job(t, row))
        return l->checks->n_rows
                   ? mr_live_worst(l, mr_live_range(l, l->checks, "outcome", 0, l->checks->n_rows - 1), NULL)
                   : NULL;
    mr_x range = checks_of(l, mr_live_text(t, "zone", row), NULL);
    return range ? mr_live_worst(l, range, NULL) : NULL;
}

static mr_x zone_group(struct mr_live *l, const struct mr_table *t, size_t row, const char *column,
                       const char *group) {
    if (is_job(t, row))
        return job_group(l, t, column, group);
    mr_x range = checks_of(l, mr_live_text(t, "zone", row), group);
    return range ? mr_live_worst(l, range, NULL) : NULL;
}

#define ZONE_GROUP(column, group)                                                                                    \
    static mr_x zone_##column(struct mr_live *l, const struct mr_table *t, size_t row) {                             \
        return zone_group(l, t, row, #column, group);                                                                \
    }
ZONE_GROUP(thickness, "thickness")
ZONE_GROUP(gauge, "gauge")
ZONE_GROUP(climate, "climate")
ZONE_GROUP(reaction, "reaction")
ZONE_GROUP(lines, "lines")
ZONE_GROUP(material, "material")
ZONE_GROUP(shift_record, "shift record")
ZONE_GROUP(history, "history")

/* A spot or an area that misses its limit with all of its readings misses it without those beyond the opposite limit
 * too (rules_judge.c): so much is sure where the formula does not follow which are left aside. */
static mr_x sure_to_fail(struct mr_live *l, size_t limit) {
    mr_x missed = limit == MR_NONE || !mr_live_standings(l) ? NULL : mr_live_missed_by_all(l, limit);
    return missed ? mr_x_op(l->scratch, missed, ">", number(l, 0)) : NULL;
}

/* What the formula does not follow: then the check says that a new report is to be made. Checks of the film that no
 * reading's value can change stay. */
static mr_x held_back(struct mr_live *l, size_t row, mr_x live) {
    const struct mr_check *c = check_at(l, row);
    const size_t limit = limit_of(l, row);
    const bool follows =
        !strncmp(c->id, "thickness.enough", 16) || limit != MR_NONE || !strcmp(c->id, "thickness.extent");
    if (!strcmp(c->id, "material.ratio") && c->outcome != MR_NOT_REQUIRED && !ratio_of(l, c->measured))
        return mr_live_material_changed(l, c);
    if (c->zone == MR_NONE || c->outcome == MR_NOT_REQUIRED || !l->readings)
        return live;
    if (!strcmp(c->group, "gauge"))
        return mr_live_gauge_changed(l, c);
    return follows ? mr_live_film_changed(l, c, film_of(l, c), live, live ? NULL : sure_to_fail(l, limit)) : live;
}

/* Of surveys and repairs, beside the film's own outcome. */
static mr_x outcome_of_history(struct mr_live *l, size_t row) {
    const struct mr_check *c = check_at(l, row);
    size_t n;
    if (strcmp(c->group, "history") != 0 || c->zone == MR_NONE)
        return NULL;
    const size_t *zone = mr_rows_of_zone(l, l->zones, mr_zone_name(l->o->a, c->zone), &n);
    return n && zone_thickness(l, l->zones, zone[0]) ? mr_live_history(l, c, film_of(l, c), zone[0]) : NULL;
}

/* Every zone's film has a say in the line that rise is held against. Its slope stays as fitted: what lies near a
 * limit once a film was changed, a new report decides. */
static mr_x near_the_line(struct mr_live *l, size_t row, mr_x live) {
    static const double near_pct = 5;
    struct mr_arena *s = l->scratch;
    const struct mr_check *c = check_at(l, row);
    if (!live || !l->summary || l->summary->n_rows == 0)
        return live;
    mr_x measured = mr_live_cell(l, l->checks, "measured", row),
         changed = mr_x_call(s, "SUM", mr_live_range(l, l->summary, "changed", 0, l->summary->n_rows - 1)),
         far = NULL;
    if (l->since)
        changed = mr_x_op(s, changed, "+", mr_live_cell(l, l->since, "moved", l->since->n_rows - 1));
    if (!isnan(c->limit_low))
        far = mr_x_op(s, measured, ">",
                      mr_x_op(s, mr_live_cell(l, l->checks, "at_least", row), "+", number(l, near_pct)));
    if (!isnan(c->limit_high)) {
        mr_x below = mr_x_op(s, measured, "<",
                             mr_x_op(s, mr_live_cell(l, l->checks, "at_most", row), "-", number(l, near_pct)));
        far = far ? mr_x_op(s, far, "*", below) : below;
    }
    mr_x fails = mr_x_op(s, live, "=", word(l, MR_DOES_NOT_CONFORM));
    size_t n = 0;
    const size_t *zone = c->zone == MR_NONE ? NULL : mr_rows_of_zone(l, l->zones, mr_zone_name(l->o->a, c->zone), &n);
    if (n) { /* by a film that can be read */
        mr_x film = mr_live_cell(l, l->zones, "thickness", zone[0]);
        fails = mr_x_op(s, fails, "*", mr_x_op(s, film, "<>", mr_x_text(s, MR_UNKNOWN_WORD)));
    }
    mr_x sure = mr_x_op(s, mr_x_op(s, changed, "=", number(l, 0)), "+", fails);
    sure = far ? mr_x_op(s, sure, "+", far) : sure;
    return mr_live_follows(l, mr_x_op(s, sure, ">", number(l, 0)), live);
}

static mr_x check_outcome(struct mr_live *l, const struct mr_table *t, size_t row) {
    const size_t limit = limit_of(l, row), sampling = sampling_of(l, row);
    mr_x live = limit != MR_NONE      ? outcome_by_limit(l, row, limit)
                : sampling != MR_NONE ? outcome_by_sampling(l, row, sampling)
                                      : outcome_by_figures(l, t, row);
    if (!strcmp(check_at(l, row)->id, "reaction.rise-against-film"))
        live = near_the_line(l, row, live);
    live = live ? live : outcome_of_history(l, row);
    return mr_live_guarded(l, check_at(l, row), held_back(l, row, live));
}

static mr_x zone_findings(struct mr_live *l, const struct mr_table *t, size_t row) {
    struct mr_arena *s = l->scratch;
    if (!l->findings->n_rows)
        return NULL;
    const size_t last = l->findings->n_rows - 1;
    mr_x grave = mr_x_op(s, mr_live_range(l, l->findings, "severity", 0, last), "<>", mr_x_text(s, "note"));
    if (is_job(t, row))
        return mr_x_call(s, "SUMPRODUCT", mr_x_op(s, number(l, 1), "*", grave));
    mr_x here = mr_x_op(s, mr_live_range(l, l->findings, "zone", 0, last), "=", mr_live_cell(l, t, "zone", row));
    return mr_x_call(s, "SUMPRODUCT", mr_x_op(s, here, "*", grave));
}

const struct mr_recipe mr_check_recipes[] = {{"checks", "measured", check_measured, false},
                                             {"checks", "at_least", check_at_least, false},
                                             {"checks", "at_most", check_at_most, false},
                                             {"checks", "outcome", check_outcome, false},
                                             {"zones", "outcome", zone_outcome, false},
                                             {"zones", "thickness", zone_thickness, false},
                                             {"zones", "gauge", zone_gauge, false},
                                             {"zones", "climate", zone_climate, false},
                                             {"zones", "reaction", zone_reaction, false},
                                             {"zones", "lines", zone_lines, false},
                                             {"zones", "material", zone_material, false},
                                             {"zones", "shift_record", zone_shift_record, false},
                                             {"zones", "history", zone_history, false},
                                             {"zones", "findings", zone_findings, false},
                                             {NULL, NULL, NULL, false}};
