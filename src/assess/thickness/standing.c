/*
 * standing.c - which survey counts, and what closes a survey that missed a limit.
 *
 * Surveys are taken in order of time. A newer one takes the place of the older one whole where it is complete, or
 * area by area where it measured whole areas by name. A survey that missed a limit keeps its place until a repair
 * lies between it and the newer survey (repairs.c). Measuring again closes nothing by itself.
 */
#include "assess/thickness/thickness.h"

#include <string.h>

static bool is_named(const char *const *ids, size_t n, const char *id) {
    for (size_t i = 0; i < n; i++)
        if (strcmp(ids[i], id) == 0)
            return true;
    return false;
}

struct area_list {
    size_t n;
    const char **ids;
};

/* Named areas of a survey that were measured whole: as many spots as the rules ask, and no fewer readings than the
 * survey that stands has there. */
static struct area_list whole_areas(struct mr_arena *arena, const struct mr_subject *s,
                                    const struct mr_survey *survey, const struct mr_survey *standing) {
    const struct mr_film *film = &survey->film, *old = &standing->film;
    struct area_list list = {0, MR_ARRAY(arena, const char *, film->areas.n)};
    bool by_spots = false;
    for (size_t r = 0; r < s->rules->n; r++)
        by_spots = by_spots || s->rules->v[r]->counts_areas;
    for (size_t i = 0; i < film->areas.n; i++) {
        const struct mr_film_area *area = &film->areas.v[i];
        const char *id = film->readings[film->spots.v[area->first].first].area_id;
        size_t taken = 0, before = 0, full = 0;
        for (size_t k = area->first; k < area->first + area->n; k++) {
            taken += film->spots.v[k].taken;
            full += film->spots.v[k].taken >= film->per_spot + film->spots.v[k].doubted;
        }
        for (size_t k = 0; k < old->n; k++)
            before += strcmp(old->readings[k].area_id, id) == 0;
        if (*id && (by_spots ? full >= film->per_area : taken >= before))
            list.ids[list.n++] = id;
    }
    return list;
}

/* Only the areas that a repair reached. */
static struct area_list repaired_areas(struct area_list list, const struct mr_repair *repair) {
    struct area_list left = {0, list.ids};
    for (size_t i = 0; i < list.n; i++)
        if (repair->whole || is_named(repair->area_ids.v, repair->area_ids.n, list.ids[i]))
            left.ids[left.n++] = list.ids[i];
    return left;
}

/* The standing survey with these areas as the newer one measured them. */
static struct mr_survey *composite(struct mr_thickness *t, const struct mr_subject *s, const struct mr_survey *old,
                                   const struct mr_survey *new, const struct area_list *areas) {
    struct mr_arena *arena = t->held;
    struct mr_survey *c = MR_NEW(arena, struct mr_survey);
    struct mr_film_reading *r = MR_ARRAY(arena, struct mr_film_reading, old->film.n + new->film.n);
    size_t n = 0;
    for (size_t i = 0; i < old->film.n; i++)
        if (!is_named(areas->ids, areas->n, old->film.readings[i].area_id))
            r[n++] = mr_film_reading_of(t, old->film.readings[i].at, NULL);
    for (size_t i = 0; i < new->film.n; i++)
        if (is_named(areas->ids, areas->n, new->film.readings[i].area_id))
            r[n++] = mr_film_reading_of(t, new->film.readings[i].at, NULL);
    *c = (struct mr_survey){.number = new->number, .window = old->window, .stage = new->stage, .composite = true};
    mr_survey_build(t, s, r, n, c);
    return c;
}

static bool covers(const struct area_list *areas, const struct mr_survey *failed) {
    for (size_t i = 0; i < failed->film.n; i++)
        if (!is_named(areas->ids, areas->n, failed->film.readings[i].area_id))
            return false;
    return true;
}

static bool is_part(const struct mr_survey *standing, const struct mr_survey *survey) {
    for (size_t i = 0; i < standing->film.n; i++)
        for (size_t k = 0; k < survey->film.areas.n; k++)
            if (standing->film.readings[i].at ==
                survey->film.readings[survey->film.spots.v[survey->film.areas.v[k].first].first].at)
                return true;
    return false;
}

/* Failing surveys since the first open one that are no part of what stands are made good only by areas that hold all
 * of their own. */
static bool leaves_open(const struct mr_subject *s, const struct mr_survey *survey, const struct area_list *areas) {
    bool since = false;
    for (size_t i = 0; s->open && i < s->surveys.n && &s->surveys.v[i] != survey; i++) {
        const struct mr_survey *failed = &s->surveys.v[i];
        since = since || failed == s->open;
        if (since && failed->fails && !is_part(s->counting, failed) && !covers(areas, failed))
            return true;
    }
    return false;
}

/* A survey that misses a limit is open with those before it, until one repair after them all. */
static void stays_open(struct mr_thickness *t, struct mr_subject *s, const struct mr_survey *survey) {
    if (!survey->fails)
        return;
    if (s->faults.n == 0 || s->faults.v[s->faults.n - 1].closing) {
        struct mr_fault fault = {.failed = survey};
        MR_PUSH(t->held, &s->faults, fault);
    }
    s->open_over = (s->open && s->open_over) || mr_misses_a_maximum(s, survey);
    if (!s->open || survey->t1_utc_ms > s->open_until_utc_ms)
        s->open_until_utc_ms = survey->t1_utc_ms;
    s->open = s->open ? s->open : survey;
}

static void take_whole(struct mr_thickness *t, struct mr_subject *s, struct mr_survey *survey) {
    s->counting = survey;
    s->open = NULL;
    stays_open(t, s, survey);
}

static void take_areas(struct mr_thickness *t, struct mr_subject *s, struct mr_survey *survey,
                       const struct area_list *areas) {
    bool left_open = leaves_open(s, survey, areas);
    s->counting = composite(t, s, s->counting, survey, areas);
    if (!survey->fails && !s->counting->fails && !left_open)
        s->open = NULL;
    else
        stays_open(t, s, survey->fails ? survey : s->counting);
}

/* A survey that failed after the repair wants another one. */
static bool failed_after_repair(const struct mr_subject *s, const struct mr_survey *survey) {
    for (size_t i = 0; i < s->surveys.n && &s->surveys.v[i] != survey; i++) {
        const struct mr_survey *v = &s->surveys.v[i];
        if (v->fails && v->stage == MR_STAGE_AFTER_REPAIR && v->t1_utc_ms >= s->open->t0_utc_ms)
            return true;
    }
    return s->open->stage == MR_STAGE_AFTER_REPAIR;
}

/* A survey after another: what it replaces, and what it leaves open. */
static void follow(struct mr_thickness *t, struct mr_subject *s, struct mr_survey *survey) {
    struct mr_repair repair = {.whole = true};
    if (s->open) {
        repair = mr_repair_between(t->a, s, survey->t0_utc_ms);
        if (!repair.what && survey->stage == MR_STAGE_AFTER_REPAIR && !failed_after_repair(s, survey))
            repair = (struct mr_repair){
                .whole = true, .t_utc_ms = MR_T_NONE, .what = "repair in the spray log", .place = s->z->place};
        if (!repair.what) {
            survey->unrepaired = true;
            stays_open(t, s, survey);
            return;
        }
    }
    struct area_list areas = repaired_areas(whole_areas(t->a->arena, s, survey, s->counting), &repair);
    bool had_open = s->open != NULL;
    if (survey->complete && repair.whole)
        take_whole(t, s, survey);
    else if (areas.n > 0)
        take_areas(t, s, survey, &areas);
    else if (!s->counting->complete && !s->open)
        take_whole(t, s, survey);
    else
        stays_open(t, s, survey);
    if (had_open && !s->open) {
        struct mr_fault *closed = &s->faults.v[s->faults.n - 1];
        closed->closing = survey;
        closed->repair = s->closed_by = repair;
        s->order_unsure |= repair.unsure && !repair.sure;
    }
}

/* What was sprayed, repaired or done in a way that nobody knows after the survey that counts. */
static void look_after(struct mr_assess *a, struct mr_subject *s) {
    const struct mr_alignment *al = a->aligned;
    if (s->counting->t0_utc_ms == MR_T_NONE)
        return;
    const struct mr_chains *windows = mr_windows_by_zone(a), *actions = mr_actions_by_zone(a);
    for (size_t i = mr_chains_first(windows, s->zone); i != MR_NONE; i = windows->next[i]) {
        const struct mr_window *w = &al->windows.v[i];
        /* measured while it was sprayed is too early */
        const int64_t end_utc_ms = w->t1_utc_ms > w->t0_utc_ms ? w->t1_utc_ms : w->t0_utc_ms;
        if ((!s->coat || w->coat == s->coat) && end_utc_ms > s->counting->t0_utc_ms)
            s->coat_after = w;
    }
    for (size_t i = mr_chains_first(actions, s->zone); i != MR_NONE; i = actions->next[i]) {
        const struct mr_action_at *r = &al->actions.v[i];
        if ((r->log->action == MR_ACTION_REPAIR || r->log->unknown) && r->t0_utc_ms != MR_T_NONE &&
            r->t0_utc_ms > s->counting->t1_utc_ms)
            s->repair_after = r;
    }
}

/* The marks are shared by all subjects: an array for each would cost zones times readings. */
static void mark_counting(struct mr_thickness *t, struct mr_subject *s) {
    if (!t->counting)
        t->counting = MR_ARRAY(t->held, bool, t->a->aligned->readings.n);
    for (size_t i = 0; i < s->counting->film.n; i++)
        t->counting[s->counting->film.readings[i].at] = true;
    for (size_t k = 0; k < s->surveys.n; k++) {
        struct mr_survey *survey = &s->surveys.v[k];
        for (size_t i = 0; i < survey->film.n; i++)
            survey->counting_readings += t->counting[survey->film.readings[i].at];
    }
    for (size_t i = 0; i < s->counting->film.n; i++)
        t->counting[s->counting->film.readings[i].at] = false;
}

/* What a survey shows beyond the limits in spots or areas that lack readings counts for nothing in it, and is not
 * made good by measuring again: a repair or a decision must lie between it and the survey that counts. */
static bool doubt_stands(struct mr_thickness *t, const struct mr_subject *s, const struct mr_survey *survey) {
    if (survey->t0_utc_ms > s->counting->t1_utc_ms)
        return survey->in_doubt;
    const bool is_the_one = survey == s->counting || (!s->counting->composite && is_part(s->counting, survey));
    if (is_the_one) /* its spots are told with the limits */
        return s->counting->thin_area;
    if (!survey->in_doubt && !survey->thin_area)
        return false;
    struct mr_subject as_open = *s;
    as_open.open = survey;
    as_open.open_until_utc_ms = survey->t1_utc_ms;
    const int64_t before = s->counting->composite ? s->counting->t1_utc_ms : s->counting->t0_utc_ms;
    return !mr_repair_between(t->a, &as_open, before).what;
}

void mr_surveys_stand(struct mr_thickness *t, struct mr_subject *s) {
    for (size_t i = 0; i < s->surveys.n; i++) {
        if (s->counting)
            follow(t, s, &s->surveys.v[i]);
        else
            take_whole(t, s, &s->surveys.v[i]);
    }
    if (!s->counting)
        return;
    for (size_t i = 0; i < s->surveys.n; i++) {
        struct mr_survey *survey = &s->surveys.v[i];
        if (doubt_stands(t, s, survey))
            s->doubtful = survey;
    }
    look_after(t->a, s);
    mark_counting(t, s);
}
