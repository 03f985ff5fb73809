/*
 * offset.c - two robust ways to compare clocks.
 *
 * Onsets lag: material reaches a probe at any time between the first and the last trigger pull, so the moment of an
 * onset says only that its window was open (or had just closed). An average of lags behind window starts would
 * mistake half a window for a slow clock. So each onset gives a range of offsets that it allows, and the offset is
 * where most ranges agree. With uniform arrivals that range is the likelihood's support; its half width is the
 * spread.
 *
 * Trigger pulls are sharp, so starts are compared with starts and stops with stops: the offset that matches most
 * edges, refined by the median. Where several offsets match nearly as many, the one nearest to zero is kept: a
 * regular day must not make a clock look wrong by one period.
 */
#include "align/offset.h"
#include "numeric/search.h"
#include "numeric/select.h"

#include <math.h>
#include <stdlib.h>

struct end { /* of a range of allowed offsets */
    int64_t at_ms;
    int step; /* +1 opens, -1 closes */
};
typedef MR_VEC(struct end) end_list;

static int by_end(const void *a, const void *b) {
    const struct end *x = a, *y = b;
    if (x->at_ms != y->at_ms)
        return x->at_ms < y->at_ms ? -1 : 1;
    return y->step - x->step;
}

static void push_range(struct mr_arena *arena, end_list *ends, int64_t lo, int64_t hi) {
    struct end open = {lo, 1}, close = {hi, -1};
    MR_PUSH(arena, ends, open);
    MR_PUSH(arena, ends, close);
}

static int by_start(const void *item, const void *key) {
    const struct mr_offset_range *range = item;
    return mr_order_ms(&range->t0_ms, key);
}

/* First interval that may still matter to an event; starts are sorted, the longest interval is known. */
static size_t first_interval(const struct mr_offset_range *v, size_t n, int64_t t_ms) {
    return mr_first_from(&t_ms, v, n, sizeof *v, by_start);
}

/* Ranges of offsets that one event allows, those that touch joined. Returns whether there is any. */
static bool ranges_of(struct mr_arena *arena, const struct mr_event *e, const struct mr_offset_range *v, size_t n,
                      int64_t longest, const struct mr_offset_limits *l, end_list *ends) {
    const int64_t none = INT64_MAX;
    int64_t lo = none, hi = 0, reach = l->search_ms;
    bool any = false;
    /* Later intervals allow smaller offsets, so the ranges come in falling order. */
    for (size_t i = first_interval(v, n, e->t_ms - reach - longest - l->lag_ms - l->tolerance_ms); i < n; i++) {
        if (v[i].t0_ms > e->t_ms + reach + l->tolerance_ms)
            break;
        if (e->group != MR_NONE && v[i].group != MR_NONE && v[i].group != e->group)
            continue;
        int64_t from = e->t_ms - v[i].t1_ms - l->lag_ms - l->tolerance_ms,
                to = e->t_ms - v[i].t0_ms + l->tolerance_ms;
        from = from < -reach ? -reach : from;
        to = to > reach ? reach : to;
        if (from > to)
            continue;
        any = true;
        if (lo != none && to >= lo) {
            lo = from < lo ? from : lo;
        } else {
            if (lo != none)
                push_range(arena, ends, lo, hi);
            lo = from;
            hi = to;
        }
    }
    if (lo != none)
        push_range(arena, ends, lo, hi);
    return any;
}

struct depth { /* so many events allow every offset from lo to hi */
    int64_t lo, hi;
    int events;
};

static struct depth *profile(struct mr_arena *arena, const end_list *ends, size_t *out_n, int *out_most) {
    struct depth *v = MR_ARRAY(arena, struct depth, ends->n);
    size_t n = 0;
    int events = 0;
    *out_most = 0;
    for (size_t i = 0; i + 1 < ends->n; i++) {
        events += ends->v[i].step;
        if (ends->v[i + 1].at_ms == ends->v[i].at_ms && ends->v[i + 1].step == ends->v[i].step)
            continue;
        v[n++] = (struct depth){ends->v[i].at_ms, ends->v[i + 1].at_ms, events};
        *out_most = events > *out_most ? events : *out_most;
    }
    *out_n = n;
    return v;
}

/* One event may stray without narrowing the range, so what nearly the most events allow counts too. Where that leaves
 * several ranges apart from each other, the answer is open, and the spread covers them all. */
static void agree(const struct depth *v, size_t n, int most, struct mr_offset *out) {
    int top = most - 1 - most / 20;
    size_t first = 0, last = n - 1;
    while (v[first].events < top)
        first++;
    while (v[last].events < top)
        last--;
    bool apart = false;
    for (size_t i = first; i <= last; i++)
        apart |= v[i].events < top;
    int level = apart ? top : most >= 10 ? most - 1 : most;
    while (v[first].events < level)
        first++;
    while (v[last].events < level)
        last--;
    out->offset_ms = ((double)v[first].lo + (double)v[last].hi) / 2;
    out->spread_ms = ((double)v[last].hi - (double)v[first].lo) / 2;
    out->found = true;
}

struct mr_offset mr_offset_by_intervals(struct mr_arena *arena, const struct mr_event *events, size_t n_events,
                                        const struct mr_offset_range *intervals, size_t n_intervals,
                                        const struct mr_offset_limits *limits) {
    struct mr_offset out = {0};
    end_list ends = {0};
    int64_t longest = 0;
    size_t able = 0, n;
    for (size_t i = 0; i < n_intervals; i++)
        if (intervals[i].t1_ms - intervals[i].t0_ms > longest)
            longest = intervals[i].t1_ms - intervals[i].t0_ms;
    for (size_t i = 0; i < n_events; i++)
        able += ranges_of(arena, &events[i], intervals, n_intervals, longest, limits, &ends);
    if (able < limits->least || ends.n == 0)
        return out;
    qsort(ends.v, ends.n, sizeof *ends.v, by_end);
    int most;
    struct depth *v = profile(arena, &ends, &n, &most);
    out.events = (size_t)most;
    if (out.events >= limits->least && out.events * 10 >= able * 6)
        agree(v, n, most, &out);
    out.unmatched = able - out.events;
    return out;
}

/* ---- edges ---- */

struct edges { /* of one kind: starts or ends; sorted */
    size_t n;
    const int64_t *v;
};

static struct edges edges_of(struct mr_arena *arena, const struct mr_offset_range *v, size_t n, bool ends) {
    int64_t *list = MR_ARRAY(arena, int64_t, n);
    for (size_t i = 0; i < n; i++)
        list[i] = ends ? v[i].t1_ms : v[i].t0_ms;
    if (n)
        qsort(list, n, sizeof *list, mr_order_ms);
    return (struct edges){n, list};
}

typedef MR_VEC(int64_t) ms_list;
typedef MR_VEC(double) doubles;

/* Every offset that would match some edge of the reference. */
static void pair_offsets(struct mr_arena *arena, struct edges shown, struct edges reference, int64_t search_ms,
                         ms_list *out) {
    for (size_t i = 0; i < reference.n; i++)
        for (size_t k = mr_first_ms_from(shown.v, shown.n, reference.v[i] - search_ms);
             k < shown.n && shown.v[k] <= reference.v[i] + search_ms; k++)
            MR_PUSH(arena, out, shown.v[k] - reference.v[i]);
}

/* What is left of each edge of the reference against the nearest shown one at this offset. Reuses out. */
static void match(struct mr_arena *arena, struct edges shown, struct edges reference, int64_t offset_ms,
                  int64_t tolerance_ms, doubles *out) {
    for (size_t i = 0; i < reference.n; i++) {
        int64_t want = reference.v[i] + offset_ms;
        size_t k = mr_first_ms_from(shown.v, shown.n, want);
        if (k > 0 && (k == shown.n || want - shown.v[k - 1] < shown.v[k] - want))
            k--;
        if (k < shown.n && llabs(shown.v[k] - want) <= tolerance_ms)
            MR_PUSH(arena, out, (double)(shown.v[k] - reference.v[i]));
    }
}

struct edge_comparison {
    struct mr_arena *arena;
    struct edges shown[2], reference[2]; /* starts, ends */
    const struct mr_offset_limits *limits;
    doubles matched[2];
};

static size_t match_both(struct edge_comparison *c, int64_t offset_ms) {
    for (size_t kind = 0; kind < 2; kind++) {
        c->matched[kind].n = 0;
        match(c->arena, c->shown[kind], c->reference[kind], offset_ms, c->limits->tolerance_ms, &c->matched[kind]);
    }
    return c->matched[0].n + c->matched[1].n;
}

/* Median over both kinds of edges; MR_T_NONE where nothing matched. */
static double centre(struct edge_comparison *c, doubles *all) {
    all->n = 0;
    for (size_t kind = 0; kind < 2; kind++)
        for (size_t i = 0; i < c->matched[kind].n; i++)
            MR_PUSH(c->arena, all, c->matched[kind].v[i]);
    return all->n ? mr_median(all->v, all->n) : 0;
}

/* The offset to look closer at: where most pairs stand within the tolerance, nearest to zero of nearly as many. */
static int64_t best_offset(struct edge_comparison *c, ms_list *pairs) {
    int64_t tolerance = c->limits->tolerance_ms;
    size_t most = 0, lo = 0;
    int64_t best = 0;
    qsort(pairs->v, pairs->n, sizeof *pairs->v, mr_order_ms);
    struct mr_span_count {
        int64_t at;
        size_t n;
    } *count = MR_ARRAY(c->arena, struct mr_span_count, pairs->n);
    for (size_t hi = 0; hi < pairs->n; hi++) {
        while (pairs->v[hi] - pairs->v[lo] > 2 * tolerance)
            lo++;
        count[hi].at = pairs->v[lo] + (pairs->v[hi] - pairs->v[lo]) / 2;
        count[hi].n = hi - lo + 1;
        most = count[hi].n > most ? count[hi].n : most;
    }
    /* Pairs count an edge twice where pauses at the gun stand close together: of the rich places, count matched
     * edges.
     */
    size_t best_matched = 0;
    for (size_t pass = 0; pass < 2; pass++) {
        int64_t nearest = INT64_MAX;
        for (size_t i = 0; i < pairs->n; i++) {
            bool rich = count[i].n * 10 >= most * 7 && (i + 1 == pairs->n || count[i + 1].n <= count[i].n) &&
                        (i == 0 || count[i - 1].n <= count[i].n);
            if (!rich)
                continue;
            size_t matched = match_both(c, count[i].at);
            if (pass == 0) {
                best_matched = matched > best_matched ? matched : best_matched;
            } else if (matched + 1 + best_matched / 20 >= best_matched && llabs(count[i].at) < nearest) {
                nearest = llabs(count[i].at);
                best = count[i].at;
            }
        }
    }
    return best;
}

struct mr_offset mr_offset_by_edges(struct mr_arena *arena, const struct mr_offset_range *shown, size_t n_shown,
                                    const struct mr_offset_range *reference, size_t n_reference,
                                    const struct mr_offset_limits *limits) {
    struct mr_offset out = {0};
    struct edge_comparison c = {.arena = arena, .limits = limits};
    ms_list pairs = {0};
    doubles all = {0};
    for (size_t kind = 0; kind < 2; kind++) {
        c.shown[kind] = edges_of(arena, shown, n_shown, kind == 1);
        c.reference[kind] = edges_of(arena, reference, n_reference, kind == 1);
        pair_offsets(arena, c.shown[kind], c.reference[kind], limits->search_ms, &pairs);
    }
    if (pairs.n < limits->least)
        return out;
    match_both(&c, best_offset(&c, &pairs));
    for (int again = 0; again < 3; again++)
        match_both(&c, (int64_t)centre(&c, &all));
    double offset = centre(&c, &all);
    out.events = all.n;
    out.unmatched = 2 * n_reference - all.n;
    if (all.n < limits->least || all.n < n_reference)
        return out;
    double start = c.matched[0].n ? mr_median(c.matched[0].v, c.matched[0].n) : offset;
    double stop = c.matched[1].n ? mr_median(c.matched[1].v, c.matched[1].n) : offset;
    for (size_t i = 0; i < all.n; i++)
        all.v[i] = fabs(all.v[i] - trunc(offset));
    double n = (double)all.n, mad = mr_median(all.v, all.n);
    /* Standard error of a median of normal values is 1.2533 s/sqrt(n); 1.4826 MAD stands for s; 1 + 3/n widens small
     * samples. Starts that disagree with stops, and the rounding of hand-kept times, are errors that more events do
     * not mend. */
    out.spread_ms =
        1.96 * 1.2533 * 1.4826 * mad / sqrt(n) * (1 + 3 / n) + fabs(start - stop) / 2 + (double)limits->unit_ms / 2;
    out.offset_ms = offset;
    out.found = true;
    return out;
}
