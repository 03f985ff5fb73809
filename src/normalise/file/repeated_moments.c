/*
 * repeated_moments.c - see repeated_moments.h.
 */
#include "normalise/file/repeated_moments.h"

#include "normalise/row/log_columns.h"

#include <math.h>

enum { RANKS_MOST = 64, MOMENTS_LEAST = 2 }; /* one time twice may be an hour that came twice in an hourly log */

bool mr_has_repeated_moments(const struct mr_log *log) {
    for (size_t i = 1; i < log->n; i++)
        if (mr_log_ms(log, i) == mr_log_ms(log, i - 1) && mr_log_ms(log, i) != MR_T_NONE)
            return true;
    return false;
}

static bool same_value(double a, double b) {
    return (isnan(a) && isnan(b)) || (a >= b && a <= b);
}

/* Rows of one channel in a long log, of all channels in a wide one. */
static bool says_same(const struct mr_log *log, size_t a, size_t b) {
    if (log->is_long)
        return same_value(log->value[a], log->value[b]);
    for (size_t k = 0; k < log->channels.n; k++)
        if (!log->channels.v[k].dropped &&
            !same_value(mr_log_value(&log->channels.v[k], a), mr_log_value(&log->channels.v[k], b)))
            return false;
    return true;
}

/* Of row i among those from `from` on, which have its time: how many of its group and channel before it differ from
 * it and from each other; a repetition has the rank of what it repeats. */
static size_t rank_of(const struct mr_log *log, const size_t *group, const size_t *rank, size_t from, size_t i) {
    size_t next = 0;
    for (size_t j = from; j < i; j++) {
        if (group[j] != group[i] || (log->is_long && log->which[j] != log->which[i]))
            continue;
        if (rank[j] + 1 > next)
            next = rank[j] + 1;
        else
            continue;
        if (says_same(log, j, i))
            return rank[j];
    }
    return next < RANKS_MOST ? next : RANKS_MOST - 1;
}

/* Returns: times of which several rows say different things. */
static size_t rank_rows(const struct mr_log *log, const size_t *group, size_t *rank) {
    size_t moments = 0;
    for (size_t from = 0, end; from < log->n; from = end) {
        size_t most = 0;
        for (end = from + 1;
             end < log->n && mr_log_ms(log, end) == mr_log_ms(log, from) && mr_log_ms(log, from) != MR_T_NONE;
             end++) {
            rank[end] = rank_of(log, group, rank, from, end);
            most = rank[end] > most ? rank[end] : most;
        }
        moments += most > 0;
    }
    return moments;
}

size_t mr_repeated_moments(struct mr_arena *scratch, const struct mr_log *log, size_t *group, size_t n_groups,
                           const size_t **out_rank, const size_t **out_base) {
    size_t *rank = MR_ARRAY(scratch, size_t, log->n + 1);
    const bool split = rank_rows(log, group, rank) >= MOMENTS_LEAST;
    const size_t room = split ? n_groups * RANKS_MOST : n_groups;
    size_t *of_group = MR_ARRAY(scratch, size_t, room + 1), *base = MR_ARRAY(scratch, size_t, room + 1),
           *known = MR_ARRAY(scratch, size_t, room + 1), n = n_groups;
    for (size_t g = 0; g < n_groups; g++) {
        of_group[g] = 1;
        base[g] = g;
    }
    for (size_t i = 0; split && i < log->n; i++) {
        const size_t at = group[i] * RANKS_MOST + rank[i];
        if (rank[i] == 0)
            continue;
        if (!known[at]) {
            of_group[n] = rank[i] + 1;
            base[n] = group[i];
            known[at] = ++n;
        }
        group[i] = known[at] - 1;
    }
    *out_rank = of_group;
    *out_base = base;
    return n;
}
