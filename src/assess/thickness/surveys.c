/*
 * surveys.c - the surveys of one subject: which readings belong to each, and whether they are enough.
 *
 * The alignment numbers the surveys of a zone by pauses, coats and repairs. Here a survey also ends where measuring
 * begins again: coming back to a spot or an area that is full, or to any after a long pause, is measuring it again;
 * so is going on after a long pause where nothing is named, because then nobody can tell whether it is the same
 * ground. Which survey counts is settled in standing.c.
 */
#include "assess/thickness/thickness.h"

#include "numeric/stable_sort.h"

#include <math.h>
#include <string.h>

static int by_time(const void *a, const void *b) {
    const struct mr_film_reading *x = a, *y = b;
    int order = MR_ORDER(x->t_utc_ms, y->t_utc_ms);
    if (order == 0)
        order = MR_ORDER(x->area_no, y->area_no);
    if (order == 0)
        order = MR_ORDER(x->spot_no, y->spot_no);
    if (order == 0)
        order = MR_ORDER(x->file, y->file);
    return order ? order : MR_ORDER(x->line, y->line);
}

/* Names are kept once by file, so that readings of one place point at one text: its id is made once too. */
static const char *id_of(const struct mr_thickness *t, const char *name, const char *former, const char *former_id) {
    return former == name ? former_id : mr_area_id(t->a->arena, name);
}

struct mr_film_reading mr_film_reading_of(const struct mr_thickness *t, size_t at,
                                          const struct mr_film_reading *former) {
    static const struct mr_film_reading none = {.at = 0};
    former = former ? former : &none;
    const struct mr_placed *p = &t->a->aligned->readings.v[at];
    const struct mr_reading *r = p->reading;
    struct mr_film_reading f = {.at = (uint32_t)at,
                                .t_utc_ms = p->t_utc_ms,
                                .area_id = id_of(t, r->area, former->area_name, former->area_id),
                                .spot_id = id_of(t, r->spot, former->spot_name, former->spot_id),
                                .area_name = r->area,
                                .spot_name = r->spot,
                                .gauge = t->gauges.reading_gauge[at],
                                .file = r->file,
                                .line = r->line,
                                .lost_before = (uint32_t)t->lost_before[at],
                                .is_mean = r->n_readings != 1,
                                .mean_of = r->n_readings,
                                .mean_sd_um = r->sd_um};
    if (!mr_film_quanta(r->written, r->unit, &f.quanta) && !mr_film_quanta(r->film_um, MR_UNIT_UM, &f.quanta))
        f.quanta = 0; /* cannot be: the reader refuses what no gauge can show */
    return f;
}

static size_t number(const struct mr_setting *job, size_t rule) {
    size_t own = (size_t)fmax(1, job->value);
    return rule == 0 || (job->from_job && own > rule) ? own : rule;
}

size_t mr_spot_number(const struct mr_settings *settings, const struct mr_rule *rule) {
    return number(&settings->v[MR_DFT_GAGE_PER_SPOT], rule->readings_per_spot);
}

size_t mr_area_number(const struct mr_settings *settings, const struct mr_rule *rule) {
    return number(&settings->v[MR_DFT_SPOT_PER_AREA], rule->spots_per_area);
}

static size_t stated(const struct mr_setting *job) {
    return job->from_job ? (size_t)fmax(1, job->value) : 0;
}

/* Grouped by the greatest number that any rule in force works with. */
static struct mr_film_grouping grouping(const struct mr_subject *s) {
    const struct mr_settings *set = s->z->settings;
    const struct mr_setting *spot = &set->v[MR_DFT_GAGE_PER_SPOT], *area = &set->v[MR_DFT_SPOT_PER_AREA];
    struct mr_film_grouping how = {
        .stated_per_spot = stated(spot),
        .stated_per_area = stated(area),
        .gap_ms = (int64_t)(mr_set_num(set, MR_DFT_SPOT_GAP) * 1000),
        .block_gap_ms = (int64_t)(mr_set_num(set, MR_DFT_AGAIN) * 1000),
    };
    bool leave = false, numbered = false;
    for (size_t i = 0; i < s->rules->n; i++) {
        const struct mr_rule *rule = s->rules->v[i];
        leave = leave || rule->discards;
        numbered = numbered || rule->readings_per_spot;
        if (!rule->readings_per_spot && !rule->spots_per_area)
            continue;
        how.per_spot = mr_spot_number(set, rule) > how.per_spot ? mr_spot_number(set, rule) : how.per_spot;
        how.per_area = mr_area_number(set, rule) > how.per_area ? mr_area_number(set, rule) : how.per_area;
    }
    if (!numbered) {
        how.per_spot = (size_t)fmax(1, spot->value);
        how.per_area = (size_t)fmax(1, area->value);
    }
    how.unusual = mr_set_num(set, MR_DFT_UNUSUAL);
    how.discards = leave && mr_set_flag(set, MR_DFT_DISCARD);
    return how;
}

static bool has_enough(const struct mr_subject *s, const struct mr_film *film, const struct mr_rule *rule) {
    struct mr_need need = mr_rule_need(rule, s->z->area_m2, s->us, mr_spot_number(s->z->settings, rule),
                                       mr_area_number(s->z->settings, rule));
    struct mr_need taken = mr_rule_taken(film, rule);
    if (!need.known) /* how many are required is not known: one complete value must do; the sampling check says so */
        return rule->counts_areas ? taken.areas > 0 : taken.readings > 0;
    return taken.areas >= need.areas && taken.spots >= need.spots && taken.readings >= need.readings;
}

size_t mr_stated_taken(const struct mr_film *film, bool areas) {
    size_t whole = 0;
    for (size_t i = 0; film && !areas && i < film->spots.n; i++)
        whole += film->spots.v[i].taken;
    if (!film || !areas)
        return whole;
    for (size_t i = 0; i < film->areas.n; i++) {
        size_t spots;
        (void)mr_film_area_mean(film, &film->areas.v[i], false, film->per_spot, &spots);
        whole += spots >= film->per_area;
    }
    return whole;
}

static bool has_stated(const struct mr_subject *s, const struct mr_film *film) {
    const struct mr_setting *v = s->z->settings->v;
    return !((double)mr_stated_taken(film, true) < v[MR_DFT_AREAS_REQUIRED].value) &&
           !((double)mr_stated_taken(film, false) < v[MR_DFT_READINGS_REQUIRED].value);
}

static void judge(struct mr_thickness *t, const struct mr_subject *s, struct mr_survey *survey) {
    struct mr_arena *arena = t->held;
    survey->verdicts = MR_ARRAY(arena, struct mr_rule_verdict *, s->rules->n);
    survey->complete = s->rules->n > 0 && has_stated(s, &survey->film);
    survey->fails = survey->in_doubt = survey->thin_area = false;
    for (size_t r = 0; r < s->rules->n; r++) {
        const struct mr_rule *rule = s->rules->v[r];
        survey->verdicts[r] = MR_ARRAY(arena, struct mr_rule_verdict, rule->limits.n);
        mr_rule_judge(&survey->film, rule, &s->limits, survey->verdicts[r]);
        survey->complete = survey->complete && has_enough(s, &survey->film, rule);
        for (size_t i = 0; i < rule->limits.n; i++) {
            survey->fails = survey->fails || survey->verdicts[r][i].outcome == MR_DOES_NOT_CONFORM;
            survey->in_doubt = survey->in_doubt || survey->verdicts[r][i].short_missing > 0;
            survey->thin_area = survey->thin_area || survey->verdicts[r][i].thin_areas > 0;
        }
    }
}

static bool beyond_a_spot(const void *subject, int64_t quanta) {
    const struct mr_subject *s = subject;
    for (size_t r = 0; r < s->rules->n; r++)
        if (mr_rule_spot_beyond(s->rules->v[r], &s->limits, quanta))
            return true;
    return false;
}

void mr_survey_build(struct mr_thickness *t, const struct mr_subject *s, struct mr_film_reading *readings, size_t n,
                     struct mr_survey *survey) {
    struct mr_film_grouping how = grouping(s);
    how.names = t->a->arena; /* tables show them */
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
    mr_film_group(t->held, readings, n, &how, &survey->film);
    mr_film_doubt(&survey->film, beyond_a_spot, s);
    judge(t, s, survey);
}

/* What was measured so far in the survey under way. */
struct progress {
    const struct mr_film_grouping *how;
    size_t need_areas, need_readings; /* of the rules in force; 0 where none says */
    bool need_known;
    size_t *spot_n, *area_n; /* shape: ids + 1; readings held, valid where the round is the current one */
    size_t *spot_round, *area_round;
    size_t *spot_area;        /* shape: ids + 1; areas_met when it was met last */
    int64_t *spot_t, *area_t; /* shape: ids + 1; last reading */
    size_t round;             /* number of the survey */
    size_t areas, spots_here; /* where no area is named: areas begun, spots in the latest */
    size_t areas_met;         /* how often names of spots began again */
};

static struct progress progress_new(struct mr_arena *arena, const struct mr_subject *s,
                                    const struct mr_film_grouping *how, size_t ids) {
    struct progress p = {.how = how, .need_known = true};
    p.spot_n = MR_ARRAY(arena, size_t, ids + 1);
    p.area_n = MR_ARRAY(arena, size_t, ids + 1);
    p.spot_round = MR_ARRAY(arena, size_t, ids + 1);
    p.area_round = MR_ARRAY(arena, size_t, ids + 1);
    p.spot_area = MR_ARRAY(arena, size_t, ids + 1);
    p.spot_t = MR_ARRAY(arena, int64_t, ids + 1);
    p.area_t = MR_ARRAY(arena, int64_t, ids + 1);
    p.round = 1;
    for (size_t i = 0; i < s->rules->n; i++) {
        struct mr_need need =
            mr_rule_need(s->rules->v[i], s->z->area_m2, s->us, mr_spot_number(s->z->settings, s->rules->v[i]),
                         mr_area_number(s->z->settings, s->rules->v[i]));
        p.need_known = p.need_known && need.known;
        p.need_areas = need.areas > p.need_areas ? need.areas : p.need_areas;
        p.need_readings = need.readings > p.need_readings ? need.readings : p.need_readings;
    }
    return p;
}

static bool paused(int64_t before, int64_t after, int64_t most_ms) {
    return before != MR_T_NONE && after != MR_T_NONE && after - before > most_ms;
}

/* Where no area is named: the reading's spot was met in this area already, so the next area begins. */
static bool begins_area(const struct progress *p, const struct mr_film_reading *before,
                        const struct mr_film_reading *r) {
    size_t spot = r->spot_no;
    if (!spot || r->area_no || p->spot_round[spot] != p->round || p->spot_area[spot] != p->areas_met)
        return false;
    bool full = p->spot_n[spot] >= p->how->per_spot, pause = paused(p->spot_t[spot], r->t_utc_ms, p->how->gap_ms);
    return before->spot_no == spot ? full && pause : full || pause;
}

/* Whether the reading measures again what this survey has measured already. */
static bool is_again(const struct progress *p, const struct mr_film_reading *before,
                     const struct mr_film_reading *r) {
    const struct mr_film_grouping *how = p->how;
    size_t spot = r->spot_no, area = r->area_no;
    if (!area && p->need_readings > 0 && paused(before->t_utc_ms, r->t_utc_ms, how->block_gap_ms))
        return true;
    if (!area) /* the next area, unless all that are required were begun */
        return begins_area(p, before, r) && p->need_known && p->areas >= (p->need_areas ? p->need_areas : 1);
    if (spot && p->spot_round[spot] == p->round) {
        bool full = p->spot_n[spot] >= how->per_spot, left = before->spot_no != spot;
        if (full && (left || paused(p->spot_t[spot], r->t_utc_ms, how->gap_ms)))
            return true;
    }
    if (p->area_round[area] != p->round)
        return false;
    bool full = !spot && p->area_n[area] >= how->per_spot * how->per_area, left = before->area_no != area;
    return (full && left) || paused(p->area_t[area], r->t_utc_ms, how->block_gap_ms);
}

static void note_reading(struct progress *p, const struct mr_film_reading *before, const struct mr_film_reading *r) {
    size_t spot = r->spot_no, area = r->area_no;
    bool next = begins_area(p, before, r);
    p->areas_met += next;
    bool known = p->spot_round[spot] == p->round && (area || p->spot_area[spot] == p->areas_met);
    if (spot && !area && !known) {
        bool begins = p->areas == 0 || next || p->spots_here >= p->how->per_area;
        p->areas += begins;
        p->spots_here = begins ? 1 : p->spots_here + 1;
    }
    size_t fills = mr_film_behind(r) ? mr_film_behind(r) : p->how->per_spot;
    p->spot_n[spot] = (known ? p->spot_n[spot] : 0) + fills;
    p->spot_round[spot] = p->round;
    p->spot_area[spot] = p->areas_met;
    p->spot_t[spot] = r->t_utc_ms;
    p->area_n[area] = (p->area_round[area] == p->round ? p->area_n[area] : 0) + fills;
    p->area_round[area] = p->round;
    p->area_t[area] = r->t_utc_ms;
}

static void add_survey(struct mr_thickness *t, struct mr_subject *s, const struct mr_film_reading *readings,
                       size_t n) {
    struct mr_arena *arena = t->held;
    struct mr_film_reading *own = MR_ARRAY(arena, struct mr_film_reading, n);
    memcpy(own, readings, n * sizeof *own);
    const struct mr_placed *first = &t->a->aligned->readings.v[readings->at];
    struct mr_survey survey = {.number = first->survey, .window = first->window, .stage = first->stage};
    mr_survey_build(t, s, own, n, &survey);
    MR_PUSH(arena, &s->surveys, survey);
}

void mr_surveys_build(struct mr_thickness *t, struct mr_subject *s, const mr_index_list *readings) {
    struct mr_arena *scratch = mr_arena_like(t->a->arena); /* each survey keeps readings of its own */
    struct mr_film_reading *r = MR_ARRAY(scratch, struct mr_film_reading, readings->n);
    for (size_t i = 0; i < readings->n; i++)
        r[i] = mr_film_reading_of(t, readings->v[i], i ? &r[i - 1] : NULL);
    const struct mr_film_grouping how = grouping(s);
    struct progress p = progress_new(scratch, s, &how, mr_film_number_ids(scratch, r, readings->n));
    mr_sort_stable(scratch, r, readings->n, sizeof *r, by_time);
    size_t begin = 0;
    for (size_t i = 0; i < readings->n; i++) {
        const struct mr_placed *here = &t->a->aligned->readings.v[r[i].at];
        if (i > begin &&
            (here->survey != t->a->aligned->readings.v[r[i - 1].at].survey || is_again(&p, &r[i - 1], &r[i]))) {
            add_survey(t, s, r + begin, i - begin);
            begin = i;
            p.round++;
            p.areas = p.spots_here = 0;
        }
        note_reading(&p, i > begin ? &r[i - 1] : &r[i], &r[i]);
    }
    if (readings->n > begin)
        add_survey(t, s, r + begin, readings->n - begin);
    mr_arena_free(scratch);
}
