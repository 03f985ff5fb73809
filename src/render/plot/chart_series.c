/*
 * chart_series.c - long logs as lines and dots. A column is a fraction of a point wide, so what is left out would
 * have fallen on ink that is there already.
 */
#include "numeric/search.h"
#include "render/plot/chart_axes.h"

#include <math.h>

const struct mr_track *mr_series_track(const struct mr_alignment *aligned, int64_t t0, int64_t t1,
                                       enum mr_meaning meaning, size_t k) {
    for (size_t i = 0; i < aligned->tracks.n; i++) {
        const struct mr_track *t = &aligned->tracks.v[i];
        const size_t at = mr_track_first(t, t0);
        if (t->meaning == meaning && at < t->n && mr_track_ms(t, at) <= t1 && k-- == 0)
            return t;
    }
    return NULL;
}

struct mr_series mr_series_of_track(struct mr_arena *arena, const struct mr_track *track, enum mr_unit unit,
                                    int64_t max_gap_ms, int64_t t0_ms, int64_t t1_ms) {
    const size_t from = mr_track_first(track, t0_ms);
    const size_t to = t1_ms == INT64_MAX ? track->n : mr_track_first(track, t1_ms + 1);
    const size_t n = to > from ? to - from : 0;
    int64_t *t = MR_ARRAY(arena, int64_t, n);
    double *value = MR_ARRAY(arena, double, n);
    mr_wholes_copy(&track->t_utc_ms, from, n, t);
    mr_reals_copy(&track->value, from, n, value);
    return (struct mr_series){n, t, value, unit, max_gap_ms, t0_ms, t1_ms};
}

#define COLUMN_PT 0.4

typedef MR_VEC(struct mr_point) points;

struct ink_column { /* first, least, greatest and last sample of one column, with their order */
    bool open;
    int64_t number;
    struct mr_point first, low, high, last;
};

static size_t first_inside(const struct mr_series *s) {
    return mr_first_ms_from(s->t_utc_ms, s->n, s->t0_ms);
}

static void push_new(struct mr_arena *arena, points *out, struct mr_point p) {
    if (out->n > 0) {
        const struct mr_point q = out->v[out->n - 1];
        if (fabs(q.x - p.x) < 1e-9 && fabs(q.y - p.y) < 1e-9)
            return;
    }
    MR_PUSH(arena, out, p);
}

static void column_close(struct mr_arena *arena, struct ink_column *c, points *out) {
    if (!c->open)
        return;
    const bool low_first = c->low.x <= c->high.x;
    push_new(arena, out, c->first);
    push_new(arena, out, low_first ? c->low : c->high);
    push_new(arena, out, low_first ? c->high : c->low);
    push_new(arena, out, c->last);
    c->open = false;
}

static int64_t column_of(struct mr_point p) {
    return (int64_t)floor(p.x / COLUMN_PT);
}

static void column_add(struct mr_arena *arena, struct ink_column *c, points *out, struct mr_point p) {
    const int64_t number = column_of(p);
    if (c->open && c->number != number)
        column_close(arena, c, out);
    if (!c->open) {
        *c = (struct ink_column){true, number, p, p, p, p};
        return;
    }
    if (p.y < c->low.y)
        c->low = p;
    if (p.y > c->high.y)
        c->high = p;
    c->last = p;
}

static struct mr_point place(const struct mr_panel *panel, const struct mr_series *s, size_t i) {
    return (struct mr_point){mr_panel_x(panel, (double)s->t_utc_ms[i]),
                             mr_panel_y(panel, mr_from_canonical(s->unit, s->value[i]))};
}

static void stroke(struct mr_drawlist *list, points *run, struct mr_ink ink, double pen, enum mr_dash dash) {
    if (run->n == 1)
        mr_draw_mark(list, ink, MR_DOT, pen * 2.2, run->v[0].x, run->v[0].y);
    else
        mr_draw_line(list, ink, pen, dash, run->n, run->v);
    run->n = 0;
}

void mr_series_line(struct mr_drawlist *list, const struct mr_panel *panel, const struct mr_series *s,
                    struct mr_ink ink, double pen, enum mr_dash dash) {
    points run = {0};
    struct ink_column column = {0};
    int64_t before = MR_T_NONE;
    bool missing = false; /* since the last value */
    for (size_t i = first_inside(s); i < s->n && s->t_utc_ms[i] <= s->t1_ms; i++) {
        if (!isfinite(s->value[i])) {
            missing = true;
            continue;
        }
        const struct mr_point p = place(panel, s, i);
        const bool gap = missing || (before != MR_T_NONE && s->t_utc_ms[i] - before > s->max_gap_ms);
        if (gap && column.number != column_of(p)) { /* inside a column nobody sees one */
            column_close(list->arena, &column, &run);
            if (run.n > 0)
                stroke(list, &run, ink, pen, dash);
        }
        missing = false;
        before = s->t_utc_ms[i];
        column_add(list->arena, &column, &run, p);
    }
    column_close(list->arena, &column, &run);
    if (run.n > 0)
        stroke(list, &run, ink, pen, dash);
}

void mr_series_dots(struct mr_drawlist *list, const struct mr_panel *panel, const struct mr_series *s,
                    struct mr_ink ink, double size) {
    points run = {0};
    struct ink_column column = {0};
    for (size_t i = first_inside(s); i < s->n && s->t_utc_ms[i] <= s->t1_ms; i++)
        if (isfinite(s->value[i]))
            column_add(list->arena, &column, &run, place(panel, s, i));
    column_close(list->arena, &column, &run);
    mr_draw_marks(list, ink, MR_DOT, size, run.n, run.v);
}

size_t mr_series_range(const struct mr_series *s, double *lo, double *hi) {
    size_t seen = 0;
    for (size_t i = first_inside(s); i < s->n && s->t_utc_ms[i] <= s->t1_ms; i++) {
        if (!isfinite(s->value[i]))
            continue;
        const double v = mr_from_canonical(s->unit, s->value[i]);
        *lo = v < *lo ? v : *lo;
        *hi = v > *hi ? v : *hi;
        seen++;
    }
    return seen;
}
