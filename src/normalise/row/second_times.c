/* second_times.c - see second_times.h. */
#include "normalise/row/second_times.h"

#include "normalise/cell/when.h"
#include "normalise/row/row_fates.h"

#include <stdlib.h>

/* A crew rounds to minutes. */
static const int64_t round_ms = 150000;

/* The least number of days between two dates, over the orders of day and month that both may have. */
static bool days_apart(const struct mr_cell *a, const struct mr_cell *b, int64_t *out) {
    struct mr_when one, other;
    bool any = false;
    if (!mr_when_scan(a->p, a->n, &one) || !mr_when_scan(b->p, b->n, &other) || !one.has_date || !other.has_date)
        return false;
    for (int i = 0; i < MR_ORDER_COUNT; i++)
        for (int k = 0; k < MR_ORDER_COUNT; k++) {
            int64_t x, y;
            if (!mr_date_day(&one.date, (enum mr_order)i, &x) || !mr_date_day(&other.date, (enum mr_order)k, &y))
                continue;
            *out = !any || llabs(x - y) < *out ? llabs(x - y) : *out;
            any = true;
        }
    return any;
}

size_t mr_second_day_differs(struct mr_file_state *state, const struct mr_row *row) {
    const struct mr_plan *plan = state->plan;
    if (!plan->second_days || plan->date_col == MR_NONE || plan->col[plan->date_col].cell >= row->n)
        return MR_NONE;
    for (size_t i = 0; i < plan->n; i++) {
        const struct mr_plan_column *c = &plan->col[i];
        int64_t apart = 0;
        if (c->second_day && !c->by_job && c->cell < row->n && row->cell[c->cell].n &&
            days_apart(&row->cell[plan->col[plan->date_col].cell], &row->cell[c->cell], &apart) && apart > 1)
            return i;
    }
    return MR_NONE;
}

/* Whether another column of that meaning gives another time of day. */
static bool has_other_clock(const struct mr_spread *s, enum mr_meaning meaning, int64_t clock_ms) {
    const struct mr_plan *plan = s->state->plan;
    for (size_t i = 0; i < plan->n && clock_ms >= 0; i++) {
        const struct mr_plan_column *c = &plan->col[i];
        if (c->as.meaning != meaning || c->cell >= s->row->n || &s->row->cell[c->cell] == s->cell[meaning] ||
            !s->row->cell[c->cell].n)
            continue;
        int64_t date, clock;
        mr_timer_cell(&s->state->timer, &s->row->cell[c->cell], s->row->line, &date, &clock);
        if (clock >= 0 && llabs(clock - clock_ms) > round_ms)
            return true;
    }
    return false;
}

void mr_take_second_times(const struct mr_spread *s, struct mr_spray_times *t) {
    const bool whole = t->start_clock >= 0 && t->stop_clock >= 0 && t->duration_ms > 0;
    const int64_t took = whole ? (t->stop_clock - t->start_clock + MR_DAY_MS) % MR_DAY_MS : 0;
    const bool lasts = whole && llabs(took - t->duration_ms) > round_ms + t->duration_ms / 10;
    const bool stops = has_other_clock(s, MR_M_STOP, t->stop_clock);
    const bool starts = has_other_clock(s, MR_M_START, t->start_clock);
    if (!lasts && !stops && !starts)
        return;
    mr_spread_say(
        s, MR_ASIDE_BAD_TIME, starts ? MR_M_START : MR_M_STOP,
        "Correct the row, or set the column that is wrong to ignore in the file's [file] section. Stop left "
        "out.",
        lasts ? "does not fit how long the row says it took" : "differs from another column of the row");
    t->stop_clock = t->duration_ms = -1;
    t->stop_date = MR_T_NONE;
}
