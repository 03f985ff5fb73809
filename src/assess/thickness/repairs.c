/*
 * repairs.c - what lies between a survey that missed a limit and a newer one: a repair in the spray log or the
 * material log, a further coat over a thin film, or a written disposition in the job file.
 */
#include "assess/thickness/thickness.h"

#include "base/keyfile.h"

#include <string.h>

static bool lies_between(int64_t t, int64_t after, int64_t before) {
    return t != MR_T_NONE && t >= after && t <= before;
}

static void whole_zone(struct mr_repair *r, int64_t t_utc_ms, const char *what, struct mr_place place) {
    if (!r->whole || r->t_utc_ms < t_utc_ms)
        *r = (struct mr_repair){
            .whole = true, .t_utc_ms = t_utc_ms, .what = what, .place = place, .sure = r->sure, .unsure = r->unsure};
}

/* A repair that spans the end of the one survey or the beginning of the other may lie between them; a day without a
 * time is as long as the day. */
static bool may_lie_between(const struct mr_action_at *r, int64_t after, int64_t before, struct mr_repair *out) {
    if (r->t0_utc_ms == MR_T_NONE || r->t1_utc_ms < after || r->t0_utc_ms > before)
        return false;
    const bool sure = r->t0_utc_ms >= after && r->t1_utc_ms <= before;
    out->sure |= sure;
    out->unsure |= !sure;
    return true;
}

bool mr_misses_a_maximum(const struct mr_subject *s, const struct mr_survey *survey) {
    for (size_t r = 0; r < s->rules->n; r++)
        for (size_t i = 0; i < s->rules->v[r]->limits.n; i++)
            if (survey->verdicts[r][i].outcome == MR_DOES_NOT_CONFORM && survey->verdicts[r][i].limit->upper)
                return true;
    return false;
}

/* The areas of a zone, as its surveys name them. */
static mr_area_ids areas_of(struct mr_assess *a, const struct mr_subject *s) {
    mr_area_ids ids = {0};
    for (size_t i = 0; i < s->surveys.n; i++) {
        const struct mr_film *film = &s->surveys.v[i].film;
        for (size_t k = 0; k < film->areas.n; k++)
            MR_PUSH(a->arena, &ids, film->readings[film->spots.v[film->areas.v[k].first].first].area_id);
    }
    return ids;
}

/* What a row says of the place of a repair: its cell for areas, else its text, else its note. */
struct repair_texts {
    const char *areas, *text, *note;
};

/* A row that names areas is of these alone. */
static void repaired(struct mr_assess *a, const struct mr_subject *s, struct mr_repair *r, int64_t t_utc_ms,
                     const char *what, struct mr_place place, const struct repair_texts *texts) {
    struct mr_repair named = {0};
    const mr_area_ids known = areas_of(a, s);
    const char *areas = texts->areas && *texts->areas ? mr_printf(a->arena, "area %s", texts->areas) : NULL;
    if (!mr_named_areas(a->arena, areas, &known, &named) && !mr_named_areas(a->arena, texts->text, &known, &named) &&
        !mr_named_areas(a->arena, texts->note, &known, &named)) {
        whole_zone(r, t_utc_ms, what, place);
        return;
    }
    for (size_t i = 0; i < named.area_ids.n; i++)
        MR_PUSH(a->arena, &r->area_ids, named.area_ids.v[i]);
    if (r->whole || (r->what && r->t_utc_ms > t_utc_ms))
        return;
    r->t_utc_ms = t_utc_ms;
    r->what = what;
    r->place = place;
}

static void logged(struct mr_assess *a, const struct mr_subject *s, int64_t before, struct mr_repair *out) {
    const struct mr_alignment *al = a->aligned;
    const struct mr_chains *windows = mr_windows_by_zone(a), *actions = mr_actions_by_zone(a);
    for (size_t i = mr_chains_first(actions, s->zone); i != MR_NONE; i = actions->next[i]) {
        const struct mr_action_at *r = &al->actions.v[i];
        if (r->log->action == MR_ACTION_REPAIR && may_lie_between(r, s->open_until_utc_ms, before, out)) {
            const struct repair_texts texts = {r->log->areas, r->log->action_text, r->log->note};
            repaired(a, s, out, r->t0_utc_ms, "repair in the spray log", r->place, &texts);
        }
    }
    for (size_t i = mr_chains_first(windows, s->zone); i != MR_NONE && !s->open_over; i = windows->next[i]) {
        const struct mr_window *w = &al->windows.v[i];
        if (!w->found && (!s->coat || w->coat == s->coat) &&
            lies_between(w->t0_utc_ms, s->open_until_utc_ms, before)) {
            out->sure = true;
            whole_zone(out, w->t0_utc_ms, "further coat in the spray log", w->place);
        }
    }
}

/* What a person writes into the note of a material log, beside the zone's name. */
static const char repair_word[] = "repair";

static void in_material(struct mr_assess *a, const struct mr_subject *s, int64_t after, int64_t before,
                        struct mr_repair *out) {
    const struct mr_alignment *al = a->aligned;
    const char *zone = mr_fold(a->arena, s->z->name, strlen(s->z->name));
    for (size_t i = 0; i < al->material_utc.n; i++) {
        const struct mr_material *m = &al->data->materials.v[i];
        if (!m->note || !*m->note || !lies_between(al->material_utc.v[i], after, before))
            continue;
        const char *note = mr_fold(a->arena, m->note, strlen(m->note));
        const struct repair_texts texts = {.text = m->note};
        if (!strstr(note, repair_word) || !strstr(note, zone))
            continue;
        out->sure = true;
        repaired(a, s, out, al->material_utc.v[i], "repair in the material log", mr_line_place(a, m->file, m->line),
                 &texts);
    }
}

static void add_areas(struct mr_assess *a, const char *list, struct mr_repair *out) {
    for (const char *at = list; *at;) {
        size_t n = strcspn(at, ",;");
        const char *id = mr_area_id(a->arena, mr_strndup(a->arena, at, n));
        if (*id)
            MR_PUSH(a->arena, &out->area_ids, id);
        at += at[n] ? n + 1 : n;
    }
}

/* A disposition dated by the day alone holds all that day. Accepting a film as it is repairs nothing. */
static void in_writing(struct mr_assess *a, const struct mr_subject *s, int64_t after, int64_t before,
                       struct mr_repair *out) {
    int64_t from = mr_local_ms(a->aligned, after), to = mr_local_ms(a->aligned, before);
    for (size_t i = 0; i < a->job->dispositions.n; i++) {
        const struct mr_disposition *d = &a->job->dispositions.v[i];
        int64_t last = d->when_local_ms + (d->day_only ? MR_DAY_MS - 1 : 0);
        if (d->decision == MR_DECISION_ACCEPT || last < from || d->when_local_ms > to ||
            mr_zone_find(a->aligned, d->zone, NULL) != s->zone)
            continue;
        out->sure = true;
        const char *what =
            mr_printf(a->arena, "disposition of %s by the %s: %s", mr_day_label(a, d->when_local_ms), d->by, d->why);
        if (!*d->areas) {
            whole_zone(out, before, what, d->place);
        } else if (!out->whole) {
            out->what = what;
            out->place = d->place;
            add_areas(a, d->areas, out);
        }
    }
}

static const char *area_of_value(const struct mr_film *film, const struct mr_rule_limit *limit, size_t i) {
    size_t spot = limit->value == MR_RULE_READING ? film->readings[i].spot
                  : limit->value == MR_RULE_SPOT  ? i
                                                  : film->areas.v[i].first;
    return film->readings[film->spots.v[spot].first].area_id;
}

static bool is_named(const struct mr_repair *areas, const char *id) {
    for (size_t i = 0; i < areas->area_ids.n; i++)
        if (strcmp(areas->area_ids.v[i], id) == 0)
            return true;
    return false;
}

/* Whether a decision that names areas names every area in which a survey misses a limit. */
static bool names_all_missing(struct mr_assess *a, const struct mr_subject *s, const struct mr_survey *survey,
                              const char *areas) {
    struct mr_repair named = {0};
    if (!*areas)
        return true;
    add_areas(a, areas, &named);
    const struct mr_film *film = &survey->film;
    for (size_t r = 0; r < s->rules->n; r++)
        for (size_t i = 0; i < s->rules->v[r]->limits.n; i++) {
            const struct mr_rule_limit *limit = &s->rules->v[r]->limits.v[i];
            if (survey->verdicts[r][i].outcome != MR_DOES_NOT_CONFORM)
                continue;
            if (limit->value == MR_RULE_MEAN) /* of the whole zone */
                return false;
            for (size_t k = 0; k < mr_rule_values(film, limit); k++) {
                struct mr_ratio value;
                if (mr_rule_value(film, s->rules->v[r], limit, &s->limits, k, &value) != MR_VALUE_MISSES)
                    continue;
                if (!is_named(&named, area_of_value(film, limit, k)))
                    return false;
            }
        }
    return true;
}

/* A decision accepts what was known when it was made: the film that stands and every failing survey before it. */
const struct mr_disposition *mr_acceptance_of(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_disposition *latest = NULL;
    if (!s->open || s->open_until_utc_ms == MR_T_NONE)
        return NULL;
    for (size_t i = 0; i < a->job->dispositions.n; i++) {
        const struct mr_disposition *d = &a->job->dispositions.v[i];
        int64_t last = d->when_local_ms + (d->day_only ? MR_DAY_MS - 1 : 0);
        if (d->decision != MR_DECISION_ACCEPT || mr_zone_find(a->aligned, d->zone, NULL) != s->zone ||
            last < mr_local_ms(a->aligned, s->open_until_utc_ms) || !names_all_missing(a, s, s->open, d->areas) ||
            !names_all_missing(a, s, s->counting, d->areas))
            continue;
        if (!latest || d->when_local_ms > latest->when_local_ms)
            latest = d;
    }
    return latest;
}

const char *mr_acceptance_text(struct mr_assess *a, const struct mr_disposition *d) {
    return mr_printf(a->arena, "accepted as is on %s by the %s: %s%s%s%s", mr_day_label(a, d->when_local_ms), d->by,
                     d->why, *d->areas ? " (areas " : "", d->areas, *d->areas ? ")" : "");
}

struct mr_repair mr_repair_between(struct mr_assess *a, const struct mr_subject *s, int64_t before) {
    struct mr_repair r = {0};
    if (s->open_until_utc_ms == MR_T_NONE || before == MR_T_NONE)
        return r;
    logged(a, s, before, &r);
    in_material(a, s, s->open_until_utc_ms, before, &r);
    in_writing(a, s, s->open_until_utc_ms, before, &r);
    return r;
}
