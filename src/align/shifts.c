/*
 * shifts.c - windows in order of time, which of them overlap, the shifts they make, and what hangs on a shift by its
 * date.
 */
#include "align/align_state.h"

#include "base/text.h"

#include <stdlib.h>

static int by_window(const void *a, const void *b) {
    const struct mr_window *x = a, *y = b;
    if (x->t0_utc_ms != y->t0_utc_ms)
        return x->t0_utc_ms < y->t0_utc_ms ? -1 : 1;
    if (x->zone != y->zone)
        return x->zone < y->zone ? -1 : 1;
    return x->coat - y->coat;
}

/* In order of start, a window overlaps an earlier one if it starts before the latest end so far, and a later one if
 * it ends after the next start. */
static void mark_overlaps(struct mr_alignment *a) {
    int64_t latest = INT64_MIN;
    for (size_t i = 0; i < a->windows.n; i++) {
        struct mr_window *w = &a->windows.v[i];
        bool before = w->t0_utc_ms < latest;
        bool after = i + 1 < a->windows.n && a->windows.v[i + 1].t0_utc_ms < w->t1_utc_ms;
        w->overlaps = before || after;
        latest = w->t1_utc_ms > latest ? w->t1_utc_ms : latest;
    }
}

static int64_t local_midnight(const struct mr_alignment *a, int64_t t_utc_ms) {
    int64_t local = mr_local_ms(a, t_utc_ms);
    int64_t since = local % MR_DAY_MS;
    return local - (since < 0 ? since + MR_DAY_MS : since);
}

/* "2026-05-11", "2026-05-11 b" for a second shift that begins on that date. */
static void name_shifts(struct mr_align_state *st) {
    struct mr_alignment *a = st->out;
    int of_day = 0;
    for (size_t i = 0; i < a->shifts.n; i++) {
        struct mr_shift *s = &a->shifts.v[i];
        of_day = i && a->shifts.v[i - 1].day_local_ms == s->day_local_ms ? of_day + 1 : 0;
        char date[MR_DATE_TEXT];
        mr_date_text(s->day_local_ms, date);
        s->name = of_day == 0   ? mr_strdup(st->arena, date)
                  : of_day < 26 ? mr_printf(st->arena, "%s %c", date, 'a' + of_day)
                                : mr_printf(st->arena, "%s %d", date, of_day + 1);
    }
}

static void cut_shifts(struct mr_align_state *st, int64_t break_ms) {
    struct mr_alignment *a = st->out;
    for (size_t i = 0; i < a->windows.n; i++) {
        struct mr_window *w = &a->windows.v[i];
        struct mr_shift *last = a->shifts.n ? &a->shifts.v[a->shifts.n - 1] : NULL;
        if (last && w->t0_utc_ms - last->t1_utc_ms <= break_ms) {
            last->t1_utc_ms = w->t1_utc_ms > last->t1_utc_ms ? w->t1_utc_ms : last->t1_utc_ms;
        } else {
            struct mr_shift s = {w->t0_utc_ms, w->t1_utc_ms, local_midnight(a, w->t0_utc_ms), ""};
            MR_PUSH(st->arena, &a->shifts, s);
        }
        w->shift = a->shifts.n - 1;
    }
    name_shifts(st);
}

/* The shift that a moment lies in, else the nearest within reach. */
static size_t shift_near(const struct mr_alignment *a, int64_t t_utc_ms, int64_t reach_ms) {
    size_t best = MR_NONE;
    int64_t best_ms = reach_ms;
    for (size_t i = 0; i < a->shifts.n && t_utc_ms != MR_T_NONE; i++) {
        const struct mr_shift *s = &a->shifts.v[i];
        int64_t away = t_utc_ms < s->t0_utc_ms   ? s->t0_utc_ms - t_utc_ms
                       : t_utc_ms > s->t1_utc_ms ? t_utc_ms - s->t1_utc_ms
                                                 : 0;
        if (away < best_ms || (away == best_ms && best == MR_NONE)) {
            best = i;
            best_ms = away;
        }
    }
    return best;
}

/* A dated row of the shift record. Its time, where it has one, may lie after midnight in a shift of the day before; a
 * bare date means the first shift that begins on it. */
static int64_t shift_of_item(const struct mr_align_state *st, int64_t day_local_ms, int64_t break_ms) {
    const struct mr_alignment *a = st->out;
    if (day_local_ms == MR_T_NONE)
        return -1;
    int64_t since = day_local_ms % MR_DAY_MS, midnight = day_local_ms - (since < 0 ? since + MR_DAY_MS : since);
    if (midnight != day_local_ms) {
        struct mr_tz_cursor cursor = mr_tz_cursor(a->site);
        size_t near = shift_near(a, mr_tz_to_utc(&cursor, day_local_ms).first_utc_ms, break_ms);
        if (near != MR_NONE)
            return (int64_t)near;
    }
    for (size_t i = 0; i < a->shifts.n; i++)
        if (a->shifts.v[i].day_local_ms == midnight)
            return (int64_t)i;
    return -1;
}

void mr_align_shifts(struct mr_align_state *st) {
    struct mr_alignment *a = st->out;
    int64_t break_ms = mr_align_setting_ms(st, MR_SHIFT_BREAK);
    if (a->windows.n)
        qsort(a->windows.v, a->windows.n, sizeof *a->windows.v, by_window);
    mark_overlaps(a);
    cut_shifts(st, break_ms);
    for (size_t i = 0; i < a->actions.n; i++)
        a->actions.v[i].shift = shift_near(a, a->actions.v[i].t0_utc_ms, break_ms);
    for (size_t i = 0; i < st->data->shift_items.n; i++)
        MR_PUSH(st->arena, &a->shift_item_shift, shift_of_item(st, st->data->shift_items.v[i].day_ms, break_ms));
    for (size_t i = 0; i < st->data->materials.n; i++) {
        const struct mr_material *row = &st->data->materials.v[i];
        bool aside = false;
        MR_PUSH(st->arena, &a->material_utc,
                mr_align_utc(st, row->file, row->line, 0, row->t_ms, &st->files[row->file].timing, &aside));
    }
}
