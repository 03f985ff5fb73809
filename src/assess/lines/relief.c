/*
 * relief.c - see relief.h. The samples of line A are the moments looked at; line B and the main are read at them.
 */
#include "assess/lines/relief.h"

/* A stretch under the level that goes on from sample to sample. */
struct stretch_down {
    int64_t from_ms; /* MR_T_NONE: not down */
    size_t samples;
};

/* Whether the stretch has lasted long enough once this sample is counted in. */
static bool lasts(struct stretch_down *s, bool down, int64_t t_ms, int64_t hold_ms) {
    if (!down) {
        s->from_ms = MR_T_NONE;
        return false;
    }
    if (s->from_ms == MR_T_NONE) {
        s->from_ms = t_ms;
        s->samples = 0;
    }
    return ++s->samples > 1 && t_ms - s->from_ms >= hold_ms;
}

struct mr_relief mr_relief_in(const struct mr_line_tracks *tracks, int64_t t0_ms, int64_t t1_ms, double level_kpa,
                              int64_t hold_ms, int64_t gap_ms) {
    struct mr_relief r = {.lines_ms = MR_T_NONE, .all_ms = MR_T_NONE};
    const struct mr_track *a = tracks->a;
    if (a == NULL || tracks->b == NULL)
        return r;
    struct stretch_down lines = {.from_ms = MR_T_NONE}, all = lines;
    for (size_t i = mr_track_first(a, t0_ms); i < a->n && mr_track_ms(a, i) <= t1_ms; i++) {
        int64_t t = mr_track_ms(a, i);
        double b = mr_track_at(tracks->b, t, gap_ms, NULL),
               main_kpa = tracks->main == NULL ? MR_NAN : mr_track_at(tracks->main, t, gap_ms, NULL);
        if (i > 0 && t - mr_track_ms(a, i - 1) > gap_ms)
            lines.from_ms = all.from_ms = MR_T_NONE;
        bool down = mr_track_value(a, i) < level_kpa && b < level_kpa;
        if (r.lines_ms == MR_T_NONE)
            r.charged += mr_track_value(a, i) >= level_kpa || b >= level_kpa;
        if (lasts(&lines, down, t, hold_ms) && r.lines_ms == MR_T_NONE)
            r.lines_ms = lines.from_ms;
        r.main_up += main_kpa >= level_kpa;
        if (lasts(&all, down && main_kpa < level_kpa, t, hold_ms)) {
            r.all_ms = all.from_ms;
            break;
        }
    }
    return r;
}
