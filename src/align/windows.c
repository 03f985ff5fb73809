/*
 * windows.c - the spray log's rows become windows, one for each coat on each zone, and actions.
 *
 * Rows of one coat merge as long as no other coat of the zone and no new shift comes between: a coat that is sprayed
 * in three strokes is one window from the first to the last trigger pull. A row without a coat number continues the
 * zone's last coat where it follows within the window gap, and is the next coat otherwise.
 */
#include "align/align_state.h"
#include "base/text.h"

#include <stdlib.h>

struct row {
    const struct mr_spray *log;
    size_t zone;
    int coat; /* 0 = not stated */
    int64_t t0, t1;
    bool no_start, no_stop;
};
typedef MR_VEC(struct row) row_list;

/* The first figures of "2", "coat 2", "2nd"; 0 where there are none. */
static int coat_number(const char *text) {
    int n = 0;
    for (; text && *text; text++) {
        if (mr_is_digit(*text))
            n = n * 10 + (*text - '0');
        else if (n)
            break;
        if (n > 1000)
            return 0;
    }
    return n;
}

int mr_align_coat(const char *text) {
    return coat_number(text);
}

/* Start and stop on the time scale; false where the row was set aside. *wrong: the stop is none. */
static bool row_span(struct mr_align_state *st, const struct mr_spray *s, int64_t *t0, int64_t *t1, bool *wrong) {
    struct mr_timing timing = st->files[s->file].timing;
    bool aside = false;
    *t0 = mr_align_utc(st, s->file, s->line, 0, s->start_ms, &timing, &aside);
    *t1 = mr_align_utc(st, s->file, s->line, 1, s->stop_ms, &timing, &aside);
    if (aside)
        return false;
    if (*t0 == MR_T_NONE)
        *t0 = *t1;
    if (*t1 == MR_T_NONE)
        *t1 = *t0;
    if (*t1 < *t0) {
        mr_diag_add(st->diags, MR_WARNING, "stop-before-start", mr_align_place(st, s->file, s->line), NULL,
                    "Correct start or stop in the spray log.",
                    "the row stops before it starts; only its start is used");
        *t1 = *t0;
        *wrong = true;
    }
    return true;
}

static void add_action(struct mr_align_state *st, const struct mr_spray *s, size_t zone, int64_t t0, int64_t t1) {
    struct mr_action_at a = {.log = s,
                             .t0_utc_ms = t0,
                             .t1_utc_ms = t1,
                             .zone = zone,
                             .shift = MR_NONE,
                             .place = mr_align_place(st, s->file, s->line)};
    MR_PUSH(st->arena, &st->out->actions, a);
}

static void take_rows(struct mr_align_state *st, row_list *rows) {
    for (size_t i = 0; i < st->data->sprays.n; i++) {
        const struct mr_spray *s = &st->data->sprays.v[i];
        int64_t t0, t1;
        bool wrong = false;
        if (!row_span(st, s, &t0, &t1, &wrong))
            continue;
        size_t zone = mr_align_zone(st, s->zone);
        if (zone >= st->out->zones.n)
            zone = MR_NONE;
        if (s->action != MR_ACTION_SPRAY || zone == MR_NONE || t0 == MR_T_NONE) {
            add_action(st, s, zone, t0, t1);
            if (s->action == MR_ACTION_SPRAY)
                mr_diag_add(st->diags, MR_WARNING, "spray-without-zone", mr_align_place(st, s->file, s->line),
                            s->zone, "Name the zone and the times in the spray log.",
                            "a spray row without a zone or a time gives no window");
            continue;
        }
        struct row row = {
            s, zone, coat_number(s->coat), t0, t1, s->start_ms == MR_T_NONE, s->stop_ms == MR_T_NONE || wrong};
        MR_PUSH(st->arena, rows, row);
    }
}

static int by_zone_time(const void *a, const void *b) {
    const struct row *x = a, *y = b;
    if (x->zone != y->zone)
        return x->zone < y->zone ? -1 : 1;
    if (x->t0 != y->t0)
        return x->t0 < y->t0 ? -1 : 1;
    if (x->t1 != y->t1)
        return x->t1 < y->t1 ? -1 : 1;
    if (x->coat != y->coat)
        return x->coat - y->coat;
    return x->log->line < y->log->line ? -1 : x->log->line > y->log->line;
}

/* A setting that is "none" is no limit. */
int64_t mr_align_setting_ms(const struct mr_align_state *st, enum mr_setting_id id) {
    double s = mr_set_num(&st->job->settings, id);
    return s >= 0 && s < 1e12 ? (int64_t)(s * 1000) : INT64_MAX / 4;
}

static void add_row(struct mr_align_state *st, const struct row *row, size_t zone_first) {
    int64_t shift_ms = mr_align_setting_ms(st, MR_SHIFT_BREAK), gap_ms = mr_align_setting_ms(st, MR_WINDOW_GAP);
    struct mr_window *last = st->out->windows.n > zone_first ? &st->out->windows.v[st->out->windows.n - 1] : NULL;
    int coat = row->coat;
    bool merge = last && last->coat == coat && row->t0 - last->t1_utc_ms < shift_ms;
    if (coat == 0) {
        merge = last && row->t0 - last->t1_utc_ms <= gap_ms;
        coat = !last ? 1 : merge ? last->coat : last->coat + 1;
        mr_diag_add(st->diags, MR_NOTE, "coat-inferred", mr_align_place(st, row->log->file, row->log->line),
                    row->log->coat, "Number the coats in the spray log.",
                    "no coat number; taken as coat %d by the order of the rows", coat);
    }
    if (merge) {
        if (row->t1 >= last->t1_utc_ms) {
            last->t1_utc_ms = row->t1;
            last->no_stop = row->no_stop;
        }
        last->n_rows++;
        return;
    }
    struct mr_window w = {.zone = row->zone,
                          .coat = coat,
                          .t0_utc_ms = row->t0,
                          .t1_utc_ms = row->t1,
                          .no_start = row->no_start,
                          .no_stop = row->no_stop,
                          .log = row->log,
                          .n_rows = 1,
                          .place = mr_align_place(st, row->log->file, row->log->line)};
    MR_PUSH(st->arena, &st->out->windows, w);
}

static int by_action_time(const void *a, const void *b) {
    const struct mr_action_at *x = a, *y = b;
    if (x->t0_utc_ms != y->t0_utc_ms)
        return x->t0_utc_ms < y->t0_utc_ms ? -1 : 1;
    if (x->log->file != y->log->file)
        return x->log->file < y->log->file ? -1 : 1;
    return x->log->line < y->log->line ? -1 : x->log->line > y->log->line;
}

void mr_align_windows(struct mr_align_state *st) {
    row_list rows = {0};
    take_rows(st, &rows);
    if (rows.n)
        qsort(rows.v, rows.n, sizeof *rows.v, by_zone_time);
    size_t zone_first = st->out->windows.n;
    for (size_t i = 0; i < rows.n; i++) {
        if (i && rows.v[i].zone != rows.v[i - 1].zone)
            zone_first = st->out->windows.n;
        add_row(st, &rows.v[i], zone_first);
    }
    if (st->out->actions.n)
        qsort(st->out->actions.v, st->out->actions.n, sizeof *st->out->actions.v, by_action_time);
}
