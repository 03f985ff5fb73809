/*
 * repeated_spots.c - spots whose numbers begin again where no area is named. They are counted as the next area, as
 * inspectors number spots from 1 in each; they may as well be the same spots measured again, and then fewer areas
 * were measured than the rule requires. No pause tells the two apart. A job that states `spots per area` says how its
 * crew numbers them. And spots with two sets of readings, of which the one hides what the other misses.
 */
#include "assess/thickness/thickness.h"

#include "numeric/search.h"

#include <stdlib.h>
#include <string.h>

/* Areas of the film that have no name and hold a spot of that name in an area before them. */
static size_t begun_again(const struct mr_film *film, struct mr_line *lines, size_t *out_lines) {
    size_t n = 0;
    for (size_t i = 1; i < film->areas.n; i++) {
        const struct mr_film_area *area = &film->areas.v[i];
        bool again = false;
        for (size_t s = 0; s < area->n && !again && !area->number; s++) {
            const char *id = film->readings[film->spots.v[area->first + s].first].spot_id;
            for (size_t k = 0; k < area->first && *id && !again; k++) {
                const struct mr_film_reading *before = &film->readings[film->spots.v[k].first];
                again = !before->area_no && strcmp(before->spot_id, id) == 0;
            }
        }
        if (again) {
            const struct mr_film_reading *r = &film->readings[film->spots.v[area->first].first];
            lines[(*out_lines)++] = (struct mr_line){r->file, r->line};
        }
        n += again;
    }
    return n;
}

/* The job's own number, and each area but the last one holds it. */
static bool is_stated(const struct mr_film *film) {
    for (size_t i = 0; i + 1 < film->areas.n; i++)
        if (!film->areas.v[i].number && film->areas.v[i].n != film->stated_per_area)
            return false;
    return film->stated_per_area > 0;
}

void mr_repeated_spots_check(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_film *film = s->counting ? &s->counting->film : NULL;
    if (!film || !film->spots_by_id)
        return;
    struct mr_line *lines = MR_ARRAY(a->arena, struct mr_line, film->areas.n + 1);
    size_t n_lines = 0, n = begun_again(film, lines, &n_lines);
    if (n == 0)
        return;
    const bool stated = is_stated(film);
    struct mr_check c = mr_blank_check("thickness.areas", "Areas told apart", "thickness", s->zone, s->coat);
    c.outcome = stated ? MR_CONFORMS : MR_NOT_SHOWN;
    c.measured = (double)n;
    c.rule = "spots whose numbers begin again lie in the next area, not in the same one";
    c.source = MR_SRC_CP;
    c.detail = mr_printf(
        a->arena, "No area is named, and the spot numbers begin again %s, taken as the next area%s.%s",
        n == 1 ? "once" : mr_printf(a->arena, "%zu times", n), n == 1 ? "" : " each time",
        stated ? " The job states the spots per area." : " They may as well be the same spots measured again.");
    mr_add_lines(a, &c.evidence, lines, n_lines, 6, "the spot numbers begin again");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "areas-by-order", stated ? MR_NOTE : MR_WARNING);
    f.what = mr_printf(a->arena, "%s: %s", mr_subject_text(a, s), c.detail);
    f.next_step =
        stated ? "Add an area column to the gauge's export if that is wrong."
               : mr_printf(a->arena,
                           "Add an area column to the gauge's export; or, if each is an area of its own, write "
                           "`spots per area = %zu` under [thickness] of job.milrise.",
                           film->areas.v[0].n);
    mr_add_finding(a, &f);
}

static int by_quanta(const void *a, const void *b) {
    const int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;
    return MR_ORDER(x, y);
}

/* Whether the required number of its lowest readings, or of its highest, would alone miss a limit for spots:
 * whichever were taken first. */
static bool a_set_is_beyond(struct mr_assess *a, const struct mr_subject *s, const struct mr_film *film,
                            const struct mr_film_spot *spot) {
    const size_t n = film->per_spot;
    int64_t *v = MR_ARRAY(a->arena, int64_t, spot->n);
    for (size_t i = 0; i < spot->n; i++)
        v[i] = film->readings[spot->first + i].quanta;
    qsort(v, spot->n, sizeof *v, by_quanta);
    for (size_t first = 0; first < spot->n; first += spot->n - n) {
        mr_wide sum = 0;
        for (size_t i = first; i < first + n && i < spot->n; i++)
            sum += v[i];
        for (size_t r = 0; r < s->rules->n; r++)
            if (first + n <= spot->n && mr_rule_spot_beyond(s->rules->v[r], &s->limits, (int64_t)(sum / (mr_wide)n)))
                return true;
    }
    return false;
}

/* Whether most spots hold no more than one set: then one that holds two was measured twice. */
static bool one_set_is_usual(const struct mr_film *film) {
    size_t single = 0;
    for (size_t i = 0; i < film->spots.n; i++)
        single += film->spots.v[i].n < 2 * film->per_spot;
    return 2 * single > film->spots.n;
}

void mr_spot_twice_check(struct mr_assess *a, const struct mr_subject *s) {
    const struct mr_film *film = s->counting ? &s->counting->film : NULL;
    if (!film || film->per_spot < 2 || !one_set_is_usual(film))
        return;
    struct mr_check c = mr_blank_check("thickness.spot-twice", "Spots measured once", "thickness", s->zone, s->coat);
    struct mr_line *lines = MR_ARRAY(a->arena, struct mr_line, film->n + 1);
    size_t n = 0, n_lines = 0;
    for (size_t i = 0; i < film->spots.n; i++) {
        const struct mr_film_spot *spot = &film->spots.v[i];
        if (spot->n < 2 * film->per_spot || !a_set_is_beyond(a, s, film, spot))
            continue;
        n++;
        for (size_t k = 0; k < spot->n; k++)
            lines[n_lines++] =
                (struct mr_line){film->readings[spot->first + k].file, film->readings[spot->first + k].line};
    }
    if (!n)
        return;
    c.outcome = MR_NOT_SHOWN;
    c.measured = (double)n;
    c.rule = "a spot is measured once; measured again after a repair, it belongs to a new survey";
    c.source = MR_SRC_PD;
    c.detail = mr_printf(a->arena,
                         "%s hold%s twice the required readings or more, and one set of them alone misses a limit.",
                         mr_count_text(a, n, "spot"), n == 1 ? "s" : "");
    mr_add_lines(a, &c.evidence, lines, n_lines, 6, "the readings of the spot");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "spot-measured-twice", MR_WARNING);
    f.what = mr_printf(a->arena, "%s: %s", mr_subject_text(a, s), c.detail);
    f.next_step = mr_printf(a->arena, "Take %zu readings at the spot anew, and keep the first result in the record.",
                            film->per_spot);
    mr_add_finding(a, &f);
}
