/*
 * taken_off.c - film that was taken off, or came off, after it had been measured: what the survey showed is no longer
 * there. A repair after the survey is another thing: film lies there then, and a log that names the repair must not
 * come out worse than one that leaves it out. Here the log says that there is none.
 */
#include "assess/thickness/thickness.h"

#include "base/keyfile.h"
#include "base/text.h"

#include <string.h>

/* A row that says so. */
struct removal {
    int64_t end_utc_ms; /* MR_T_NONE: it does not say when */
    const char *text;
    struct mr_place place;
    struct mr_repair areas; /* area_ids; none: the whole zone */
};

/* Readings of the survey that were taken before the row, in the areas that it names. */
static size_t readings_before(const struct mr_film *film, const struct removal *r, struct mr_line *lines) {
    size_t n = 0;
    for (size_t i = 0; i < film->n; i++) {
        const struct mr_film_reading *f = &film->readings[i];
        bool there = r->areas.area_ids.n == 0 || !*f->area_id;
        for (size_t k = 0; k < r->areas.area_ids.n && !there; k++)
            there = strcmp(r->areas.area_ids.v[k], f->area_id) == 0;
        const bool earlier = r->end_utc_ms == MR_T_NONE || f->t_utc_ms == MR_T_NONE || f->t_utc_ms < r->end_utc_ms;
        if (there && earlier)
            lines[n++] = (struct mr_line){f->file, f->line};
    }
    return n;
}

/* A log is written downwards: a row without a clock that stands above the zone's last coat was done before it. */
static bool stands_above_a_coat(const struct mr_alignment *al, size_t zone, const struct mr_action_at *at) {
    if (at->t0_utc_ms != MR_T_NONE && at->t1_utc_ms - at->t0_utc_ms < MR_DAY_MS / 2 &&
        at->log->start_ms % MR_DAY_MS != 0)
        return false;
    for (size_t i = 0; i < al->data->sprays.n; i++) {
        const struct mr_spray *s = &al->data->sprays.v[i];
        if (s->file == at->log->file && s->line > at->log->line && s->action == MR_ACTION_SPRAY &&
            mr_zone_find(al, s->zone, NULL) == zone)
            return true;
    }
    return false;
}

static void name_areas(struct mr_assess *a, const struct mr_film *film, struct removal *r, const char *const *texts,
                       size_t n) {
    mr_area_ids known = {0};
    for (size_t k = 0; k < film->areas.n; k++)
        MR_PUSH(a->arena, &known, film->readings[film->spots.v[film->areas.v[k].first].first].area_id);
    for (size_t i = 0; i < n; i++)
        if (mr_named_areas(a->arena, texts[i], &known, &r->areas))
            return;
}

static void judge(struct mr_assess *a, const struct mr_subject *s, const struct removal *r) {
    const struct mr_film *film = &s->counting->film;
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, film->n);
    const size_t n = readings_before(film, r, lines);
    if (!n)
        return;
    struct mr_check c = mr_blank_check("thickness.taken-off", "Film still there", "thickness", s->zone, s->coat);
    c.outcome = MR_NOT_SHOWN;
    c.measured = (double)n;
    c.rule = "what was measured is not taken off afterwards";
    c.source = MR_SRC_PD;
    c.detail = mr_printf(a->arena, "The records say \"%s\"%s, and %s %s taken before that.",
                         mr_clean_text(a->arena, r->text, strlen(r->text), 60),
                         r->end_utc_ms == MR_T_NONE ? " without a time"
                                                    : mr_printf(a->arena, " at %s", mr_moment_text(a, r->end_utc_ms)),
                         mr_count_text(a, n, "reading"), n == 1 ? "was" : "were");
    mr_add_evidence(a, &c.evidence, r->place, "taken off");
    mr_add_lines(a, &c.evidence, lines, n, 6, "measured before");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "film-taken-off", MR_WARNING);
    f.what = mr_printf(a->arena, "%s: %s", mr_subject_text(a, s), c.detail);
    f.next_step =
        "Measure the zone again where film was taken off; where that was only a part of it, write the areas "
        "into the row's area column.";
    mr_add_finding(a, &f);
}

static void in_spray_log(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_alignment *al = a->aligned;
    for (size_t i = 0; i < al->actions.n; i++) {
        const struct mr_action_at *at = &al->actions.v[i];
        if (!at->log->removes || (at->zone != s->zone && *at->log->zone) || stands_above_a_coat(al, s->zone, at))
            continue;
        struct removal r = {.end_utc_ms = at->t1_utc_ms,
                            .text = at->log->note_removes ? at->log->note : at->log->action_text,
                            .place = at->place};
        const char *areas = at->log->areas && *at->log->areas ? mr_printf(a->arena, "area %s", at->log->areas) : NULL;
        const char *const texts[] = {areas, at->log->action_text, at->log->note};
        name_areas(a, &s->counting->film, &r, texts, MR_COUNT(texts));
        judge(a, s, &r);
    }
}

/* Which zone a line of another record speaks of: the one that it names, else any. */
static bool may_speak_of(struct mr_assess *a, const struct mr_subject *s, const char *text) {
    const struct mr_alignment *al = a->aligned;
    const char *words = mr_fold(a->arena, text, strlen(text));
    bool any = false;
    for (size_t i = 0; i < al->zones.n; i++) {
        const char *name = mr_fold(a->arena, al->zones.v[i].name, strlen(al->zones.v[i].name));
        if (!*name || !strstr(words, name))
            continue;
        if (i == s->zone)
            return true;
        any = true;
    }
    return !any;
}

static void elsewhere(struct mr_assess *a, const struct mr_subject *s, const char *text, int64_t end_utc_ms,
                      struct mr_place place) {
    if (!may_speak_of(a, s, text))
        return;
    struct removal r = {.end_utc_ms = end_utc_ms, .text = text, .place = place};
    name_areas(a, &s->counting->film, &r, &text, 1);
    judge(a, s, &r);
}

void mr_taken_off_check(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_data *data = a->aligned->data;
    if (!s->counting)
        return;
    in_spray_log(a, s);
    for (size_t i = 0; i < data->materials.n; i++)
        if (data->materials.v[i].removes)
            elsewhere(a, s, data->materials.v[i].note, a->aligned->material_utc.v[i],
                      mr_line_place(a, data->materials.v[i].file, data->materials.v[i].line));
    for (size_t i = 0; i < data->shift_items.n; i++) {
        const struct mr_shift_item *item = &data->shift_items.v[i];
        const int64_t end_ms = item->day_ms % MR_DAY_MS ? item->day_ms : item->day_ms + MR_DAY_MS - 1;
        if (item->removes && item->done != 0)
            elsewhere(a, s, mr_printf(a->arena, "%s %s", item->item, item->note), mr_utc_about(a->aligned, end_ms),
                      mr_line_place(a, item->file, item->line));
    }
}
