/*
 * folds.c - rows whose wall-clock time does not exist or exists twice.
 *
 * A gap (clocks went forward) holds no moment: such a row is set aside. A fold (clocks went back) holds two, and the
 * file's own order can often tell them apart:
 *   - one step backwards among the doubtful rows: what stands before it is the first pass, what follows is the
 * second;
 *   - no such step, and the rows follow the row before the fold at the log's own pace, but not the row after it:
 * first pass; the other way round: second pass;
 *   - anything else is not guessed, and the rows are set aside.
 * A file that runs from new to old is read from its end.
 */
#include "align/align_state.h"
#include "numeric/search.h"

#include <stdlib.h>
#include <string.h>

/* A doubtful row with what stands around its run in the same column. */
struct doubt {
    struct mr_odd_time odd;
    int64_t before_ms, after_ms; /* local time of the nearest rows that are not doubtful; MR_T_NONE */
    int64_t pace_ms;             /* usual step between rows; 0 = not known */
    bool falling;                /* the column runs from new to old */
};
typedef MR_VEC(struct doubt) doubt_list;

/* A column of times in the order of the file. slot may be NULL (0). */
struct time_column {
    size_t n;
    struct mr_wholes t_ms, line;
    const unsigned *slot;
};

/* Median length of the steps around rows i0 to i1, and which way most of them go. */
static int64_t pace_around(const struct time_column *c, size_t i0, size_t i1, bool *falling) {
    enum { AROUND = 32 };
    int64_t step[4 * AROUND];
    size_t n = 0, down = 0;
    size_t lo = i0 > AROUND ? i0 - AROUND : 0, hi = i1 + AROUND < c->n ? i1 + AROUND : c->n;
    for (size_t i = lo + 1; i < hi && n < MR_COUNT(step); i++) {
        if (mr_whole(&c->t_ms, i) == MR_T_NONE || mr_whole(&c->t_ms, i - 1) == MR_T_NONE ||
            mr_whole(&c->t_ms, i) == mr_whole(&c->t_ms, i - 1))
            continue;
        int64_t d = mr_whole(&c->t_ms, i) - mr_whole(&c->t_ms, i - 1);
        down += d < 0;
        step[n++] = d < 0 ? -d : d;
    }
    *falling = down * 2 > n;
    if (n < 3)
        return 0;
    qsort(step, n, sizeof *step, mr_order_ms);
    return step[n / 2];
}

static void doubt_run(struct mr_align_state *st, const struct mr_tzone *zone, const struct time_column *c, size_t i0,
                      size_t i1, doubt_list *out) {
    struct mr_tz_cursor cursor = mr_tz_cursor(zone);
    struct doubt d = {.before_ms = i0 ? mr_whole(&c->t_ms, i0 - 1) : MR_T_NONE,
                      .after_ms = i1 < c->n ? mr_whole(&c->t_ms, i1) : MR_T_NONE};
    d.pace_ms = pace_around(c, i0, i1, &d.falling);
    for (size_t i = i0; i < i1; i++) {
        struct mr_tz_moment moment = mr_tz_to_utc(&cursor, mr_whole(&c->t_ms, i));
        d.odd = (struct mr_odd_time){.line = (uint32_t)mr_whole(&c->line, i),
                                     .slot = c->slot ? c->slot[i] : 0,
                                     .local_ms = mr_whole(&c->t_ms, i),
                                     .first_utc_ms = moment.first_utc_ms,
                                     .last_utc_ms = moment.last_utc_ms,
                                     .gap = moment.fit == MR_TZ_GAP,
                                     .aside = true};
        MR_PUSH(st->arena, out, d);
    }
}

static void doubts_of_column(struct mr_align_state *st, const struct mr_tzone *zone, const struct time_column *c,
                             doubt_list *out) {
    struct mr_tz_cursor cursor = mr_tz_cursor(zone);
    for (size_t i = 0; i < c->n; i++) {
        if (mr_whole(&c->t_ms, i) == MR_T_NONE || mr_tz_to_utc(&cursor, mr_whole(&c->t_ms, i)).fit == MR_TZ_ONE)
            continue;
        size_t end = i + 1;
        while (end < c->n && mr_whole(&c->t_ms, end) != MR_T_NONE &&
               mr_tz_to_utc(&cursor, mr_whole(&c->t_ms, end)).fit != MR_TZ_ONE)
            end++;
        doubt_run(st, zone, c, i, end, out);
        i = end - 1;
    }
}

static int by_line(const void *a, const void *b) {
    const struct doubt *x = a, *y = b;
    if (x->odd.line != y->odd.line)
        return x->odd.line < y->odd.line ? -1 : 1;
    return (x->odd.slot > y->odd.slot) - (x->odd.slot < y->odd.slot);
}

static bool close_by(int64_t from_ms, int64_t to_ms, int64_t pace_ms) {
    return from_ms != MR_T_NONE && to_ms != MR_T_NONE && to_ms >= from_ms && to_ms - from_ms <= 3 * pace_ms;
}

/* Rows v[0..n) of one fold in order of lines; v is turned round where the file runs backwards. */
static void resolve_fold(struct doubt *v, size_t n) {
    if (v[0].falling)
        for (size_t i = 0; i < n / 2; i++) {
            struct doubt kept = v[i];
            v[i] = v[n - 1 - i];
            v[n - 1 - i] = kept;
        }
    size_t backwards = 0, second_from = 0;
    for (size_t i = 1; i < n; i++)
        if (v[i].odd.local_ms < v[i - 1].odd.local_ms) {
            backwards++;
            second_from = i;
        }
    if (backwards > 1)
        return;
    if (backwards == 0) {
        int64_t before = v[0].falling ? v[0].after_ms : v[0].before_ms;
        int64_t after = v[n - 1].falling ? v[n - 1].before_ms : v[n - 1].after_ms;
        int64_t fold_ms = v[0].odd.last_utc_ms - v[0].odd.first_utc_ms;
        bool steady = v[0].pace_ms > 0 && 6 * v[0].pace_ms <= fold_ms;
        bool first = steady && close_by(before, v[0].odd.local_ms, v[0].pace_ms);
        bool second = steady && close_by(v[n - 1].odd.local_ms, after, v[0].pace_ms);
        if (first == second)
            return;
        second_from = first ? n : 0;
    }
    for (size_t i = 0; i < n; i++) {
        v[i].odd.aside = false;
        v[i].odd.t_utc_ms = i < second_from ? v[i].odd.first_utc_ms : v[i].odd.last_utc_ms;
    }
}

static bool same_fold(const struct doubt *a, const struct doubt *b) {
    if (a->odd.gap || b->odd.gap)
        return false;
    int64_t apart = a->odd.local_ms - b->odd.local_ms, fold = a->odd.last_utc_ms - a->odd.first_utc_ms;
    return apart < 2 * fold && apart > -2 * fold;
}

/* Sorts, drops rows that several columns share, resolves, and keeps the answer with the file. */
static void settle_file(struct mr_align_state *st, uint32_t file, doubt_list *list) {
    if (!list->n)
        return;
    qsort(list->v, list->n, sizeof *list->v, by_line);
    size_t n = 0;
    for (size_t i = 0; i < list->n; i++)
        if (n == 0 || by_line(&list->v[n - 1], &list->v[i]) != 0)
            list->v[n++] = list->v[i];
    for (size_t i = 0, end; i < n; i = end) {
        for (end = i + 1; end < n && same_fold(&list->v[i], &list->v[end]);)
            end++;
        if (!list->v[i].odd.gap)
            resolve_fold(list->v + i, end - i);
    }
    qsort(list->v, n, sizeof *list->v, by_line);
    for (size_t i = 0; i < n; i++)
        MR_PUSH(st->arena, &st->files[file].odd, list->v[i].odd);
}

/* Columns of records: start and stop of a row stand one after the other. */
struct gather {
    struct mr_align_state *st;
    doubt_list *doubts; /* shape: files */
    const struct mr_tzone *zone;
    uint32_t file;
    MR_VEC(int64_t) t_ms, line;
    MR_VEC(unsigned) slot;
};

static void gather_end(struct gather *g) {
    struct time_column c = {g->t_ms.n, {.raw = g->t_ms.v}, {.raw = g->line.v}, g->slot.v};
    if (c.n && g->zone)
        doubts_of_column(g->st, g->zone, &c, &g->doubts[g->file]);
    g->t_ms.n = g->line.n = g->slot.n = 0;
}

static void gather_row(struct gather *g, uint32_t file, uint32_t line, unsigned slot, int64_t t_ms,
                       const char *serial) {
    const struct mr_tzone *zone = mr_align_timing(g->st, file, serial).zone;
    if (file != g->file || zone != g->zone)
        gather_end(g);
    g->file = file;
    g->zone = zone;
    if (t_ms == MR_T_NONE)
        return;
    MR_PUSH(g->st->arena, &g->t_ms, t_ms);
    MR_PUSH(g->st->arena, &g->line, line);
    MR_PUSH(g->st->arena, &g->slot, slot);
}

static void gather_records(struct mr_align_state *st, doubt_list *doubts) {
    const struct mr_data *d = st->data;
    struct gather g = {.st = st, .doubts = doubts};
    for (size_t i = 0; i < d->readings.n; i++)
        gather_row(&g, d->readings.v[i].file, d->readings.v[i].line, 0, d->readings.v[i].t_ms,
                   d->readings.v[i].serial);
    gather_end(&g);
    for (size_t i = 0; i < d->base_metal.n; i++)
        gather_row(&g, d->base_metal.v[i].file, d->base_metal.v[i].line, 0, d->base_metal.v[i].t_ms,
                   d->base_metal.v[i].serial);
    gather_end(&g);
    for (size_t i = 0; i < d->wet_film.n; i++)
        gather_row(&g, d->wet_film.v[i].file, d->wet_film.v[i].line, 0, d->wet_film.v[i].t_ms,
                   d->wet_film.v[i].serial);
    gather_end(&g);
    for (size_t i = 0; i < d->verifications.n; i++)
        gather_row(&g, d->verifications.v[i].file, d->verifications.v[i].line, 0, d->verifications.v[i].t_ms,
                   d->verifications.v[i].serial);
    gather_end(&g);
    for (size_t i = 0; i < d->sprays.n; i++) {
        gather_row(&g, d->sprays.v[i].file, d->sprays.v[i].line, 0, d->sprays.v[i].start_ms, "");
        gather_row(&g, d->sprays.v[i].file, d->sprays.v[i].line, 1, d->sprays.v[i].stop_ms, "");
    }
    gather_end(&g);
    for (size_t i = 0; i < d->materials.n; i++)
        gather_row(&g, d->materials.v[i].file, d->materials.v[i].line, 0, d->materials.v[i].t_ms, "");
    gather_end(&g);
}

static void gather_channels(struct mr_align_state *st, doubt_list *doubts) {
    const struct mr_channel *last = NULL;
    for (size_t i = 0; i < st->data->channels.n; i++) {
        const struct mr_channel *c = &st->data->channels.v[i];
        if (last && last->file == c->file && mr_same_column(&last->t_ms, &c->t_ms))
            continue;
        last = c;
        struct time_column column = {c->n, c->t_ms, c->line, NULL};
        if (st->files[c->file].timing.zone)
            doubts_of_column(st, st->files[c->file].timing.zone, &column, &doubts[c->file]);
    }
}

static void add_run(struct mr_align_state *st, struct mr_account *a, enum mr_aside why, uint32_t line) {
    struct mr_aside_run *last = a->runs.n ? &a->runs.v[a->runs.n - 1] : NULL;
    if (last && last->why == why && last->line_end + 1 == line) {
        last->line_end = line;
        last->rows++;
        return;
    }
    struct mr_aside_run run = {why, line, line, 1};
    MR_PUSH(st->arena, &a->runs, run);
}

/* The file's account with the rows that align sets aside, in order of lines. A row is set aside where any of its
 * times is. */
static void account_file(struct mr_align_state *st, uint32_t file) {
    const struct mr_account *old = &st->data->files.v[file].account;
    struct mr_account *a = &st->out->accounts[file];
    struct mr_filing *filing = &st->files[file];
    struct mr_clock *clock = filing->timing.clock == MR_NONE ? NULL : &st->out->clocks.v[filing->timing.clock];
    size_t next = 0, gaps = 0, folds = 0;
    uint32_t last_line = 0;
    a->runs.v = NULL;
    a->runs.n = a->runs.cap = 0;
    for (size_t i = 0; i < filing->odd.n; i++) {
        const struct mr_odd_time *o = &filing->odd.v[i];
        if (clock && !o->aside)
            clock->fold_rows_resolved++;
        if (!o->aside || o->line == last_line)
            continue;
        last_line = o->line;
        for (; next < old->runs.n && old->runs.v[next].line < o->line; next++)
            MR_PUSH(st->arena, &a->runs, old->runs.v[next]);
        enum mr_aside why = o->gap ? MR_ASIDE_CLOCK_GAP : MR_ASIDE_CLOCK_FOLD;
        add_run(st, a, why, o->line);
        a->by_reason[why]++;
        a->rows_set_aside++;
        a->rows_used -= a->rows_used > 0;
        gaps += o->gap;
        folds += !o->gap;
    }
    for (; next < old->runs.n; next++)
        MR_PUSH(st->arena, &a->runs, old->runs.v[next]);
    if (clock) {
        clock->gap_rows += gaps;
        clock->fold_rows_set_aside += folds;
    }
}

/* A step back at the start of the second pass is the change of the clocks, not a clock that went wrong. */
static void calm_steps_back(struct mr_align_state *st, uint32_t file) {
    const char *path = mr_align_place(st, file, 0).file;
    for (size_t i = 0; st->diags && path && i < st->diags->list.n; i++) {
        struct mr_diag *d = &st->diags->list.v[i];
        if (d->severity != MR_WARNING || strcmp(d->id, "time-backwards") != 0 || !d->place.file ||
            strcmp(d->place.file, path) != 0)
            continue;
        const struct mr_odd_time *odd = mr_align_odd(&st->files[file], d->place.line, 0);
        if (!odd || odd->aside || odd->t_utc_ms != odd->last_utc_ms)
            continue;
        d->severity = MR_NOTE;
        d->what = mr_printf(st->arena, "%s, as the clocks did when summer time ended", d->what);
        d->mend = NULL;
        st->diags->count[MR_WARNING]--;
        st->diags->count[MR_NOTE]++;
    }
}

static void tell_file(struct mr_align_state *st, uint32_t file) {
    const struct mr_filing *filing = &st->files[file];
    uint32_t first[3] = {0}, n[3] = {0}; /* gap, unresolved fold, resolved fold */
    for (size_t i = 0; i < filing->odd.n; i++) {
        const struct mr_odd_time *o = &filing->odd.v[i];
        size_t k = o->gap ? 0 : o->aside ? 1 : 2;
        if (n[k]++ == 0)
            first[k] = o->line;
    }
    const char *zone = filing->timing.zone ? filing->timing.zone->name : "UTC";
    if (n[0])
        mr_diag_add(
            st->diags, MR_WARNING, "clock-gap", mr_align_place(st, file, first[0]), zone,
            "State the time zone of the instrument in the job file; a clock without summer time has an offset "
            "such as +01:00.",
            "clocks went forward in this time zone and skipped %u time%s; the rows are set aside", n[0],
            n[0] == 1 ? "" : "s");
    if (n[1])
        mr_diag_add(st->diags, MR_WARNING, "clock-fold", mr_align_place(st, file, first[1]), zone,
                    "Export with UTC or with the offset in each row.",
                    "clocks went back in this time zone, so %u time%s occurred twice, and the order of the rows does "
                    "not show "
                    "which is meant; the rows are set aside",
                    n[1], n[1] == 1 ? "" : "s");
    if (n[2])
        mr_diag_add(st->diags, MR_NOTE, "clock-fold-resolved", mr_align_place(st, file, first[2]), zone, NULL,
                    "clocks went back in this time zone, so %u time%s occurred twice; the order of the rows shows "
                    "which is meant",
                    n[2], n[2] == 1 ? "" : "s");
}

void mr_align_folds(struct mr_align_state *st) {
    size_t n = st->data->files.n;
    doubt_list *doubts = MR_ARRAY(st->arena, doubt_list, n);
    gather_records(st, doubts);
    gather_channels(st, doubts);
    st->out->accounts = MR_ARRAY(st->arena, struct mr_account, n);
    for (size_t i = 0; i < n; i++) {
        st->out->accounts[i] = st->data->files.v[i].account;
        settle_file(st, (uint32_t)i, &doubts[i]);
        if (!st->files[i].odd.n)
            continue;
        account_file(st, (uint32_t)i);
        tell_file(st, (uint32_t)i);
        calm_steps_back(st, (uint32_t)i);
    }
}
