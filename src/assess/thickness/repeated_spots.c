/*
 * repeated_spots.c - spots whose numbers begin again where no area is named. They are counted as the next area, as
 * inspectors number spots from 1 in each; they may as well be the same spots measured again, and then fewer areas
 * were measured than the rule requires. No pause tells the two apart. A job that states `spots per area` says how its
 * crew numbers them.
 */
#include "assess/thickness/thickness.h"

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
