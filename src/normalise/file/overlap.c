/*
 * overlap.c - each reading counts once, however often its export was dropped into the folder.
 *
 * Files that are equal byte for byte were found before. Here rows are compared: downloads that repeat earlier
 * readings, and blocks that one file holds twice. Two equal readings within one file are two readings, so sets will
 * not do: per moment and content the larger count of both files stands, and the later file's surplus goes. Chance
 * must not look like repetition: where no serial ties two files to one instrument, nearly all rows of their common
 * time must be equal.
 *
 * A row is compared by its moment and a 64-bit hash of all its fields. Only the common stretch of time is looked at.
 */
#include "normalise/file/overlap.h"

#include "normalise/file/contradictions.h"
#include "normalise/row/drop_rows.h"
#include "normalise/row/row_fates.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct key {
    int64_t t;
    uint64_t hash;
    size_t row;
    uint32_t part; /* of its file: parts begin where time goes backwards */
};

struct keys {
    struct key *v;
    size_t n;
};

static int by_key(const void *a, const void *b) {
    const struct key *x = a, *y = b;
    if (x->t != y->t)
        return x->t < y->t ? -1 : 1;
    if (x->hash != y->hash)
        return x->hash < y->hash ? -1 : 1;
    return x->row < y->row ? -1 : x->row > y->row;
}

/* Keys of the rows between two moments, sorted. */
static struct keys collect(const struct mr_compared_rows *s, int64_t from, int64_t to) {
    struct keys keys = {0};
    size_t n = 0;
    for (size_t i = 0; i < s->n; i++) {
        int64_t t = mr_row_moment(s, i);
        n += t != MR_T_NONE && t >= from && t <= to;
    }
    keys.v = MR_ARRAY(s->file->scratch, struct key, n);
    for (size_t i = 0; i < s->n; i++) {
        int64_t t = mr_row_moment(s, i);
        if (t != MR_T_NONE && t >= from && t <= to)
            keys.v[keys.n++] = (struct key){t, mr_row_hash(s->file, i), i, 0};
    }
    qsort(keys.v, keys.n, sizeof *keys.v, by_key);
    return keys;
}

static bool same_channels(const struct mr_file_state *a, const struct mr_file_state *b) {
    if (!mr_is_log(a->plan->kind) || (a->log.is_long && b->log.is_long))
        return true;
    if (a->log.is_long != b->log.is_long || a->log.channels.n != b->log.channels.n)
        return false;
    for (size_t k = 0; k < a->log.channels.n; k++)
        if (a->log.channels.v[k].meaning != b->log.channels.v[k].meaning ||
            a->log.channels.v[k].dropped != b->log.channels.v[k].dropped ||
            strcmp(a->log.channels.v[k].name, b->log.channels.v[k].name) != 0)
            return false;
    return true;
}

enum tie { TIE_NO, TIE_MAYBE, TIE_SURE };

static enum tie tied(const struct mr_file_state *a, const struct mr_file_state *b) {
    if (a->plan->kind != b->plan->kind || a->file->basis != b->file->basis || !same_channels(a, b))
        return TIE_NO;
    const char *x = a->file->instrument_name, *y = b->file->instrument_name;
    if (*x && *y)
        return strcmp(x, y) == 0 ? TIE_SURE : TIE_NO;
    return TIE_MAYBE;
}

/* Rows of b (the later file) that stand in a. pending: rows of b to set aside. */
static size_t match(const struct mr_compared_rows *a, const struct mr_compared_rows *b, const struct keys *ka,
                    const struct keys *kb, size_t *pending, size_t *out_pending) {
    size_t i = 0, k = 0, matched = 0;
    while (i < ka->n && k < kb->n) {
        const struct key *x = &ka->v[i], *y = &kb->v[k];
        if (x->t != y->t ? x->t < y->t : x->hash < y->hash) {
            i++;
        } else if (x->t != y->t || x->hash != y->hash) {
            k++;
        } else if (b->fate && b->fate[y->row] != MR_FATE_USED) {
            matched++;
            k++;
        } else if (a->fate && a->fate[x->row] != MR_FATE_USED) {
            i++;
        } else {
            matched++;
            pending[(*out_pending)++] = y->row;
            i++;
            k++;
        }
    }
    return matched;
}

/* A file dropped while it grew may end in a cut number: its last row differs from the other's row of that moment. */
static void check_half_line(struct mr_compared_rows *s, const struct mr_compared_rows *other) {
    struct mr_file_state *state = s->file;
    if (!state->source->ends_in_mid_line || !s->n || other->n == 0)
        return;
    size_t last = s->n - 1;
    int64_t t = mr_row_time(state, last);
    if (t == MR_T_NONE || t > other->last || (s->fate && s->fate[last] != MR_FATE_USED))
        return;
    uint64_t h = mr_row_hash(state, last);
    bool moment = false;
    for (size_t i = 0; i < other->n; i++)
        if (mr_row_time(other->file, i) == t) {
            moment = true;
            if (mr_row_hash(other->file, i) == h)
                return;
        }
    if (!moment)
        return;
    mr_need_fates(s);
    s->fate[last] = MR_ASIDE_HALF_LINE;
    mr_diag_add(state->diags, MR_WARNING, "half-line", (struct mr_place){.file = state->source->path}, NULL,
                "Remove this file; the folder holds a longer copy. Row set aside.",
                "the file ends in mid-line, and %s has the complete row", other->file->source->path);
}

static void compare(struct mr_compared_rows *a, struct mr_compared_rows *b, size_t a_index, enum tie tie) {
    if (!a->timed || !b->timed || a->first > b->last || b->first > a->last)
        return;
    int64_t from = a->first > b->first ? a->first : b->first, to = a->last < b->last ? a->last : b->last;
    struct keys ka = collect(a, from, to), kb = collect(b, from, to);
    size_t *pending = MR_ARRAY(a->file->scratch, size_t, kb.n), n_pending = 0;
    size_t matched = match(a, b, &ka, &kb, pending, &n_pending), fewer = ka.n < kb.n ? ka.n : kb.n;
    if (a->file->source->ends_in_mid_line || b->file->source->ends_in_mid_line)
        fewer -= fewer > 0; /* its last row may be cut */
    if (tie != TIE_NO)
        mr_find_contradictions(a, b, from, to, tie == TIE_SURE);
    if (!matched || (tie != TIE_SURE && (matched < 2 || matched * 10 < fewer * 9)))
        return;
    if (n_pending) {
        mr_need_fates(b);
        for (size_t i = 0; i < n_pending; i++)
            b->fate[pending[i]] = MR_ASIDE_REPEATED;
        b->repeated += n_pending;
        b->partner = a_index;
        mr_diag_add(b->file->diags, MR_NOTE, "repeated", (struct mr_place){.file = b->file->source->path}, NULL, NULL,
                    "%zu of %zu rows also in %s; each is used once", n_pending, b->n, a->file->source->path);
    }
    check_half_line(a, b);
    check_half_line(b, a);
}

/* --- a stretch of time twice in one file ---------------------------------------------------------------------------
 */

struct forward_part { /* rows between two steps back in time */
    size_t from, to;
    int64_t first, last;
    int64_t before, after; /* latest moment of the parts before, earliest of the parts after */
};

struct forward_parts {
    MR_VEC(struct forward_part) list;
};

static struct forward_parts find_parts(const struct mr_compared_rows *s) {
    struct forward_parts parts = {0};
    struct mr_arena *scratch = s->file->scratch;
    int64_t before = MR_T_NONE;
    for (size_t i = 0; i < s->n; i++) {
        int64_t t = mr_row_moment(s, i);
        if (t == MR_T_NONE)
            continue;
        if (!parts.list.n || t < before)
            MR_PUSH(scratch, &parts.list,
                    ((struct forward_part){.from = i, .first = t, .before = INT64_MIN, .after = INT64_MAX}));
        struct forward_part *p = &parts.list.v[parts.list.n - 1];
        p->to = i + 1;
        p->last = before = t;
    }
    for (size_t k = 1; k < parts.list.n; k++) {
        const struct forward_part *p = &parts.list.v[k - 1];
        parts.list.v[k].before = p->before > p->last ? p->before : p->last;
    }
    for (size_t k = parts.list.n; k-- > 1;) {
        const struct forward_part *p = &parts.list.v[k];
        parts.list.v[k - 1].after = p->after < p->first ? p->after : p->first;
    }
    return parts;
}

/* Only rows whose moment another part reaches too. */
static struct keys collect_doubtful(const struct mr_compared_rows *s, const struct forward_parts *parts) {
    struct keys keys = {0};
    size_t n = 0;
    for (int pass = 0; pass < 2; pass++) {
        if (pass)
            keys.v = MR_ARRAY(s->file->scratch, struct key, n);
        for (size_t k = 0; k < parts->list.n; k++) {
            const struct forward_part *p = &parts->list.v[k];
            for (size_t i = p->from; i < p->to; i++) {
                int64_t t = mr_row_moment(s, i);
                if (t == MR_T_NONE || (t > p->before && t < p->after))
                    continue;
                if (pass)
                    keys.v[keys.n++] = (struct key){t, mr_row_hash(s->file, i), i, (uint32_t)k};
                n++;
            }
        }
    }
    qsort(keys.v, keys.n, sizeof *keys.v, by_key);
    return keys;
}

/* Rows of later parts, as far as the first part that holds their like holds it often enough. */
static size_t list_repeats(const struct keys *keys, size_t *pending) {
    size_t n = 0;
    for (size_t i = 0; i < keys->n;) {
        size_t end = i, in_first = 0, in_part = 0;
        while (end < keys->n && keys->v[end].t == keys->v[i].t && keys->v[end].hash == keys->v[i].hash)
            in_first += keys->v[end++].part == keys->v[i].part;
        uint32_t part = keys->v[i].part;
        for (size_t k = i + in_first; k < end; k++) {
            in_part = keys->v[k].part == part ? in_part + 1 : 1;
            part = keys->v[k].part;
            if (in_part <= in_first)
                pending[n++] = keys->v[k].row;
        }
        i = end;
    }
    return n;
}

/* A memory exported twice into one file: time goes backwards and the same rows come again. */
static void compare_within(struct mr_compared_rows *s) {
    struct forward_parts parts = find_parts(s);
    if (parts.list.n < 2 || s->n < 4)
        return;
    struct keys keys = collect_doubtful(s, &parts);
    size_t *pending = MR_ARRAY(s->file->scratch, size_t, keys.n), n = list_repeats(&keys, pending);
    if (n < 3) /* chance, or a correction by hand */
        return;
    mr_need_fates(s);
    for (size_t i = 0; i < n; i++)
        s->fate[pending[i]] = MR_ASIDE_REPEATED;
    s->repeated += n;
    mr_diag_add(s->file->diags, MR_NOTE, "repeated", (struct mr_place){.file = s->file->source->path}, NULL, NULL,
                "%zu row%s that the file holds twice, where the time goes back; each is used once", n,
                n == 1 ? "" : "s");
}

/* --- readings without times: aligned runs --------------------------------------------------------------------------
 */

/* --- applying -----------------------------------------------------------------------------------------------------
 */

#define KEEP(vec, fate)                                                                                              \
    do {                                                                                                             \
        size_t kept_ = 0;                                                                                            \
        for (size_t i_ = 0; i_ < (vec).n; i_++) {                                                                    \
            line[i_] = (vec).v[i_].line;                                                                             \
            if ((fate)[i_] == MR_FATE_USED)                                                                          \
                (vec).v[kept_++] = (vec).v[i_];                                                                      \
        }                                                                                                            \
        (vec).n = kept_;                                                                                             \
    } while (0)

static void apply(struct mr_compared_rows *s, const struct mr_file_state *files) {
    struct mr_file_state *state = s->file;
    if (!s->fate)
        return;
    if (s->repeated == s->n && s->partner != MR_NONE)
        state->file->copy_of = files[s->partner].source->path;
    if (mr_is_log(state->plan->kind)) {
        mr_log_drop(state, s->fate);
        return;
    }
    if (mr_is_film_kind(state->plan->kind)) {
        mr_readings_drop(state, s->fate);
        return;
    }
    uint32_t *line = MR_ARRAY(state->scratch, uint32_t, s->n);
    KEEP(state->records.verifications, s->fate);
    KEEP(state->records.sprays, s->fate);
    KEEP(state->records.shift_items, s->fate);
    KEEP(state->records.materials, s->fate);
    mr_rows_split(state, s->fate, line, s->n);
}

static struct mr_compared_rows side_of(struct mr_file_state *state) {
    struct mr_compared_rows s = {.file = state, .first = INT64_MAX, .last = INT64_MIN, .partner = MR_NONE};
    if (!state->plan)
        return s;
    s.n = mr_row_count(state);
    s.is_log = mr_is_log(state->plan->kind);
    for (size_t i = 0; i < s.n; i++) {
        int64_t t = mr_row_moment(&s, i);
        if (t == MR_T_NONE)
            continue;
        s.timed = true;
        s.first = t < s.first ? t : s.first;
        s.last = t > s.last ? t : s.last;
    }
    return s;
}

void mr_find_overlap(struct mr_file_state *files, size_t n) {
    if (!n)
        return;
    struct mr_compared_rows *side = MR_ARRAY(files[0].scratch, struct mr_compared_rows, n);
    for (size_t i = 0; i < n; i++) {
        side[i] = side_of(&files[i]);
        if (side[i].n)
            compare_within(&side[i]);
    }
    for (size_t b = 1; b < n; b++)
        for (size_t a = 0; a < b; a++) {
            if (!side[a].n || !side[b].n)
                continue;
            enum tie tie = tied(&files[a], &files[b]);
            if (tie == TIE_NO)
                continue;
            compare(&side[a], &side[b], a, tie);
            if (mr_is_film_kind(files[a].plan->kind))
                mr_compare_untimed(&side[a], &side[b], a);
        }
    for (size_t i = 0; i < n; i++)
        apply(&side[i], files);
}
