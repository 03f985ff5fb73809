/*
 * pulls.c - when the trigger was pulled, as the windows and the rows of the spray log say.
 */
#include "assess/lines/lines.h"

#include "numeric/stable_sort.h"

static int order_pulls(const void *a, const void *b) {
    const struct mr_pull *x = a, *y = b;
    return x->t0_ms != y->t0_ms ? MR_ORDER(x->t0_ms, y->t0_ms) : MR_ORDER(x->window, y->window);
}

/* A window that several rows of the log make up has pauses between them; the rows' own times are shifted as the first
 * was. */
static void add_rows(struct mr_assess *a, size_t i, mr_pulls *pulls) {
    const struct mr_window *w = &a->aligned->windows.v[i];
    const struct mr_data *d = a->aligned->data;
    int64_t shift_ms = w->t0_utc_ms - w->log->start_ms;
    size_t before = pulls->n;
    for (size_t k = 0; k < d->sprays.n; k++) {
        const struct mr_spray *s = &d->sprays.v[k];
        if (s->action != MR_ACTION_SPRAY || s->file != w->log->file || s->start_ms == MR_T_NONE ||
            s->stop_ms == MR_T_NONE)
            continue;
        int64_t t0 = s->start_ms + shift_ms, t1 = s->stop_ms + shift_ms;
        if (t0 < w->t0_utc_ms || t1 > w->t1_utc_ms || mr_zone_find(a->aligned, s->zone, NULL) != w->zone)
            continue;
        struct mr_pull pull = {t0, t1, i};
        MR_PUSH(a->arena, pulls, pull);
    }
    if (pulls->n == before) {
        struct mr_pull whole = {w->t0_utc_ms, w->t1_utc_ms, i};
        MR_PUSH(a->arena, pulls, whole);
    }
}

void mr_collect_pulls(struct mr_assess *a, mr_pulls *pulls) {
    for (size_t i = 0; i < a->aligned->windows.n; i++) {
        const struct mr_window *w = &a->aligned->windows.v[i];
        if (!mr_set_flag(a->aligned->zones.v[w->zone].settings, MR_LINES_REQUIRED))
            continue;
        if (w->n_rows > 1 && w->log != NULL && w->log->start_ms != MR_T_NONE) {
            add_rows(a, i, pulls);
            continue;
        }
        /* A date that looks wrong makes no pause of its own; what stands around it is held back with it. */
        struct mr_pull pull = {w->t0_utc_ms - w->date_error_ms, w->t1_utc_ms - w->date_error_ms, i};
        MR_PUSH(a->arena, pulls, pull);
    }
    mr_sort_stable(a->arena, pulls->v, pulls->n, sizeof *pulls->v, order_pulls);
}
