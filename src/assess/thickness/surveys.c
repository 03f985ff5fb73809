/*
 * surveys.c - the surveys of one subject: which readings belong to each, are they enough, which one counts.
 *
 * The alignment numbers the surveys of a zone by the pauses between readings. A large zone may take two days: two
 * surveys that are both short of what the rules ask, of the same film (nothing was sprayed or repaired between them),
 * are one. The newest complete survey counts. Where none is complete, the newest one is judged as far as it goes.
 */
#include "assess/thickness/thickness.h"

#include "numeric/stable_sort.h"

#include <math.h>

struct numbered {
    size_t survey, at;
};

static int by_survey(const void *a, const void *b) {
    const struct numbered *x = a, *y = b;
    return x->survey != y->survey ? MR_ORDER(x->survey, y->survey) : MR_ORDER(x->at, y->at);
}

static struct mr_film_reading film_reading(const struct mr_thickness *t, size_t at) {
    const struct mr_placed *p = &t->a->aligned->readings.v[at];
    const struct mr_reading *r = p->reading;
    struct mr_film_reading f = {.at = at,
                                .t_utc_ms = p->t_utc_ms,
                                .area_id = r->area,
                                .spot_id = r->spot,
                                .gauge = t->gauges.reading_gauge[at],
                                .file = r->file,
                                .line = r->line};
    if (!mr_film_quanta(r->written, r->unit, &f.quanta) && !mr_film_quanta(r->film_um, MR_UNIT_UM, &f.quanta))
        f.quanta = 0; /* cannot be: the reader refuses what no gauge can show */
    return f;
}

static struct mr_film_grouping grouping(const struct mr_subject *s) {
    const struct mr_settings *set = s->z->settings;
    bool leave = false;
    for (size_t i = 0; i < s->rules->n; i++)
        leave = leave || s->rules->v[i]->discards;
    return (struct mr_film_grouping){
        .per_spot = (size_t)fmax(1, mr_set_num(set, MR_DFT_GAGE_PER_SPOT)),
        .per_area = (size_t)fmax(1, mr_set_num(set, MR_DFT_SPOT_PER_AREA)),
        .gap_ms = (int64_t)(mr_set_num(set, MR_DFT_SPOT_GAP) * 1000),
        .unusual = leave && mr_set_flag(set, MR_DFT_DISCARD) ? mr_set_num(set, MR_DFT_UNUSUAL) : 0,
    };
}

static bool has_enough(const struct mr_subject *s, const struct mr_film *film, const struct mr_rule *rule) {
    struct mr_need need = mr_rule_need(rule, s->z->area_m2, s->us, film->per_spot, film->per_area);
    struct mr_need taken = mr_rule_taken(film, rule);
    if (!need.known) /* how many are asked is not known: one complete value must do, and the sampling check says so */
        return rule->counts_areas ? taken.areas > 0 : taken.readings > 0;
    return taken.areas >= need.areas && taken.spots >= need.spots && taken.readings >= need.readings;
}

static void judge(struct mr_thickness *t, const struct mr_subject *s, struct mr_survey *survey) {
    struct mr_arena *arena = t->a->arena;
    survey->verdicts = MR_ARRAY(arena, struct mr_rule_verdict *, s->rules->n);
    survey->complete = s->rules->n > 0;
    survey->fails = false;
    for (size_t r = 0; r < s->rules->n; r++) {
        const struct mr_rule *rule = s->rules->v[r];
        survey->verdicts[r] = MR_ARRAY(arena, struct mr_rule_verdict, rule->limits.n);
        mr_rule_judge(&survey->film, rule, &s->limits, survey->verdicts[r]);
        survey->complete = survey->complete && has_enough(s, &survey->film, rule);
        for (size_t i = 0; i < rule->limits.n; i++)
            survey->fails = survey->fails || survey->verdicts[r][i].outcome == MR_DOES_NOT_CONFORM;
    }
}

static void build(struct mr_thickness *t, const struct mr_subject *s, struct mr_film_reading *readings, size_t n,
                  struct mr_survey *survey) {
    const struct mr_film_grouping how = grouping(s);
    survey->t0_utc_ms = survey->t1_utc_ms = MR_T_NONE;
    for (size_t i = 0; i < n; i++) {
        int64_t time = readings[i].t_utc_ms;
        if (time == MR_T_NONE)
            continue;
        if (survey->t0_utc_ms == MR_T_NONE || time < survey->t0_utc_ms)
            survey->t0_utc_ms = time;
        if (survey->t1_utc_ms == MR_T_NONE || time > survey->t1_utc_ms)
            survey->t1_utc_ms = time;
    }
    mr_film_group(t->a->arena, readings, n, &how, &survey->film);
    judge(t, s, survey);
}

static bool same_film(const struct mr_survey *a, const struct mr_survey *b) {
    return !a->complete && !b->complete && a->window == b->window && a->stage == b->stage;
}

static void join(struct mr_thickness *t, const struct mr_subject *s, struct mr_survey *into,
                 const struct mr_survey *next) {
    struct mr_film_reading *all = MR_ARRAY(t->a->arena, struct mr_film_reading, into->film.n + next->film.n);
    size_t n = 0;
    const struct mr_survey *parts[] = {into, next};
    for (size_t p = 0; p < MR_COUNT(parts); p++)
        for (size_t i = 0; i < parts[p]->film.n; i++)
            all[n++] = film_reading(t, parts[p]->film.readings[i].at);
    into->joined += next->joined;
    build(t, s, all, n, into);
}

void mr_surveys_build(struct mr_thickness *t, struct mr_subject *s, const mr_index_list *readings) {
    struct mr_arena *arena = t->a->arena;
    struct numbered *order = MR_ARRAY(arena, struct numbered, readings->n);
    for (size_t i = 0; i < readings->n; i++)
        order[i] = (struct numbered){t->a->aligned->readings.v[readings->v[i]].survey, readings->v[i]};
    mr_sort_stable(arena, order, readings->n, sizeof *order, by_survey);
    for (size_t i = 0; i < readings->n;) {
        size_t end = i;
        while (end < readings->n && order[end].survey == order[i].survey)
            end++;
        struct mr_film_reading *r = MR_ARRAY(arena, struct mr_film_reading, end - i);
        for (size_t j = i; j < end; j++)
            r[j - i] = film_reading(t, order[j].at);
        const struct mr_placed *first = &t->a->aligned->readings.v[order[i].at];
        struct mr_survey survey = {
            .number = order[i].survey, .joined = 1, .window = first->window, .stage = first->stage};
        build(t, s, r, end - i, &survey);
        struct mr_survey *last = s->surveys.n ? &s->surveys.v[s->surveys.n - 1] : NULL;
        if (last && same_film(last, &survey))
            join(t, s, last, &survey);
        else
            MR_PUSH(arena, &s->surveys, survey);
        i = end;
    }
    for (size_t i = 0; i < s->surveys.n; i++)
        if (s->surveys.v[i].complete)
            s->counting = &s->surveys.v[i];
    if (!s->counting && s->surveys.n)
        s->counting = &s->surveys.v[s->surveys.n - 1];
    if (s->counting)
        s->counting->counts = true;
}
