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
#include "normalise/row/file_state.h"

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

/* A file's rows under comparison. */
struct side {
    struct mr_file_state *work;
    size_t n;
    const int64_t *t;    /* of a log; NULL for records */
    int64_t first, last; /* MR_T_NONE where no row has a time */
    bool timed;
    int8_t *fate; /* shape: n; made when first needed */
    size_t repeated;
    size_t partner; /* the file that most of its repeated rows stand in */
};

static uint64_t mix(uint64_t h, const void *data, size_t n) {
    const unsigned char *p = data;
    for (size_t i = 0; i < n; i++)
        h = (h ^ p[i]) * UINT64_C(1099511628211);
    return h ^ (h >> 29);
}

static uint64_t mix_text(uint64_t h, const char *text) {
    return mix(h, text, strlen(text) + 1);
}

static uint64_t mix_number(uint64_t h, double value) {
    if (isnan(value))
        return mix(h, "nan", 3);
    value += 0.0; /* -0 and 0 are one value */
    return mix(h, &value, sizeof value);
}

static const uint64_t seed = UINT64_C(1469598103934665603);

static uint64_t log_hash(const struct mr_log *log, size_t i) {
    uint64_t h = seed;
    if (log->is_long) {
        h = mix_text(h, log->channels.v[log->which[i]].name);
        return mix_number(h, log->value[i]);
    }
    for (size_t k = 0; k < log->channels.n; k++)
        if (!log->channels.v[k].dropped)
            h = mix_number(h, log->channels.v[k].value[i]);
    return h;
}

static uint64_t reading_hash(const struct mr_reading *r) {
    uint64_t h = mix_number(seed, r->film_um);
    const char *texts[] = {r->zone, r->coat, r->area, r->spot, r->serial, r->probe};
    for (size_t i = 0; i < MR_COUNT(texts); i++)
        h = mix_text(h, texts[i]);
    return h;
}

static uint64_t spray_hash(const struct mr_spray *r) {
    uint64_t h = mix(mix_text(mix_text(seed, r->zone), r->coat), &r->stop_ms, sizeof r->stop_ms);
    return mix_text(mix_text(mix_text(h, r->action_text), r->lot_a), r->lot_b);
}

static size_t row_count(const struct mr_file_state *w) {
    switch (w->plan->kind) {
    case MR_KIND_CLIMATE:
    case MR_KIND_TEMPERATURE:
    case MR_KIND_PRESSURE:
        return w->log.n;
    case MR_KIND_THICKNESS:
    case MR_KIND_BASE_METAL:
        return w->readings.n;
    case MR_KIND_VERIFICATION:
        return w->verifications.n;
    case MR_KIND_SPRAY_LOG:
        return w->sprays.n;
    case MR_KIND_SHIFT_RECORD:
        return w->shift_items.n;
    case MR_KIND_MATERIAL:
        return w->materials.n;
    case MR_KIND_UNKNOWN:
    case MR_KIND_ZONES:
    case MR_KIND_NOT_A_TABLE:
    case MR_KIND_COUNT:
        break;
    }
    return 0;
}

static int64_t row_time(const struct mr_file_state *w, size_t i) {
    switch (w->plan->kind) {
    case MR_KIND_CLIMATE:
    case MR_KIND_TEMPERATURE:
    case MR_KIND_PRESSURE:
        return w->log.t_ms[i];
    case MR_KIND_THICKNESS:
    case MR_KIND_BASE_METAL:
        return w->readings.v[i].t_ms;
    case MR_KIND_VERIFICATION:
        return w->verifications.v[i].t_ms;
    case MR_KIND_SPRAY_LOG:
        return w->sprays.v[i].start_ms;
    case MR_KIND_SHIFT_RECORD:
        return w->shift_items.v[i].day_ms;
    case MR_KIND_MATERIAL:
        return w->materials.v[i].t_ms;
    case MR_KIND_UNKNOWN:
    case MR_KIND_ZONES:
    case MR_KIND_NOT_A_TABLE:
    case MR_KIND_COUNT:
        break;
    }
    return MR_T_NONE;
}

static uint64_t row_hash(const struct mr_file_state *w, size_t i) {
    if (mr_is_log(w->plan->kind))
        return log_hash(&w->log, i);
    switch (w->plan->kind) {
    case MR_KIND_THICKNESS:
    case MR_KIND_BASE_METAL:
        return reading_hash(&w->readings.v[i]);
    case MR_KIND_VERIFICATION: {
        const struct mr_verification *v = &w->verifications.v[i];
        return mix_text(mix_text(mix_number(mix_number(seed, v->certified_um), v->reading_um), v->serial), v->when);
    }
    case MR_KIND_SPRAY_LOG:
        return spray_hash(&w->sprays.v[i]);
    case MR_KIND_SHIFT_RECORD: {
        const struct mr_shift_item *s = &w->shift_items.v[i];
        return mix_text(mix_text(mix(seed, &s->done, sizeof s->done), s->item), s->role);
    }
    case MR_KIND_MATERIAL: {
        const struct mr_material *m = &w->materials.v[i];
        return mix_text(mix_text(mix_number(mix_number(mix(seed, &m->part, 1), m->before), m->after), m->drum),
                        m->lot);
    }
    case MR_KIND_UNKNOWN:
    case MR_KIND_CLIMATE:
    case MR_KIND_TEMPERATURE:
    case MR_KIND_PRESSURE:
    case MR_KIND_ZONES:
    case MR_KIND_NOT_A_TABLE:
    case MR_KIND_COUNT:
        break;
    }
    return 0;
}

static inline int64_t time_of(const struct side *s, size_t i) {
    return s->t ? s->t[i] : row_time(s->work, i);
}

static void need_fates(struct side *s) {
    if (s->fate)
        return;
    s->fate = MR_ARRAY(s->work->scratch, int8_t, s->n);
    memset(s->fate, MR_FATE_USED, s->n);
}

static int by_key(const void *a, const void *b) {
    const struct key *x = a, *y = b;
    if (x->t != y->t)
        return x->t < y->t ? -1 : 1;
    if (x->hash != y->hash)
        return x->hash < y->hash ? -1 : 1;
    return x->row < y->row ? -1 : x->row > y->row;
}

/* Keys of the rows between two moments, sorted. */
static struct keys collect(const struct side *s, int64_t from, int64_t to) {
    struct keys keys = {0};
    size_t n = 0;
    for (size_t i = 0; i < s->n; i++) {
        int64_t t = time_of(s, i);
        n += t != MR_T_NONE && t >= from && t <= to;
    }
    keys.v = MR_ARRAY(s->work->scratch, struct key, n);
    for (size_t i = 0; i < s->n; i++) {
        int64_t t = time_of(s, i);
        if (t != MR_T_NONE && t >= from && t <= to)
            keys.v[keys.n++] = (struct key){t, row_hash(s->work, i), i, 0};
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
static size_t match(const struct side *a, const struct side *b, const struct keys *ka, const struct keys *kb,
                    size_t *pending, size_t *out_pending) {
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
static void check_half_line(struct side *s, const struct side *other) {
    struct mr_file_state *w = s->work;
    if (!w->source->ends_in_mid_line || !s->n || other->n == 0)
        return;
    size_t last = s->n - 1;
    int64_t t = row_time(w, last);
    if (t == MR_T_NONE || t > other->last || (s->fate && s->fate[last] != MR_FATE_USED))
        return;
    uint64_t h = row_hash(w, last);
    bool moment = false;
    for (size_t i = 0; i < other->n; i++)
        if (row_time(other->work, i) == t) {
            moment = true;
            if (row_hash(other->work, i) == h)
                return;
        }
    if (!moment)
        return;
    need_fates(s);
    s->fate[last] = MR_ASIDE_HALF_LINE;
    mr_diag_add(w->diags, MR_WARNING, "half-line", (struct mr_place){.file = w->source->path}, NULL,
                "Remove this file: a longer copy is in the folder. Row set aside.",
                "the file ends in mid-line, and %s holds the whole row", other->work->source->path);
}

static void compare(struct side *a, struct side *b, size_t a_index, enum tie tie) {
    if (!a->timed || !b->timed || a->first > b->last || b->first > a->last)
        return;
    int64_t from = a->first > b->first ? a->first : b->first, to = a->last < b->last ? a->last : b->last;
    struct keys ka = collect(a, from, to), kb = collect(b, from, to);
    size_t *pending = MR_ARRAY(a->work->scratch, size_t, kb.n), n_pending = 0;
    size_t matched = match(a, b, &ka, &kb, pending, &n_pending), fewer = ka.n < kb.n ? ka.n : kb.n;
    if (a->work->source->ends_in_mid_line || b->work->source->ends_in_mid_line)
        fewer -= fewer > 0; /* its last row may be cut */
    if (!matched || (tie != TIE_SURE && (matched < 2 || matched * 10 < fewer * 9)))
        return;
    if (n_pending) {
        need_fates(b);
        for (size_t i = 0; i < n_pending; i++)
            b->fate[pending[i]] = MR_ASIDE_REPEATED;
        b->repeated += n_pending;
        b->partner = a_index;
        mr_diag_add(b->work->diags, MR_NOTE, "repeated", (struct mr_place){.file = b->work->source->path}, NULL, NULL,
                    "%zu of %zu rows stand in %s too; they count once", n_pending, b->n, a->work->source->path);
    }
    check_half_line(a, b);
    check_half_line(b, a);
}

/* --- a stretch of time twice in one file ---------------------------------------------------------------------------
 */

struct part { /* rows between two steps back in time */
    size_t from, to;
    int64_t first, last;
    int64_t before, after; /* latest moment of the parts before, earliest of the parts after */
};

struct parts {
    MR_VEC(struct part) list;
};

static struct parts find_parts(const struct side *s) {
    struct parts parts = {0};
    struct mr_arena *scratch = s->work->scratch;
    int64_t before = MR_T_NONE;
    for (size_t i = 0; i < s->n; i++) {
        int64_t t = time_of(s, i);
        if (t == MR_T_NONE)
            continue;
        if (!parts.list.n || t < before)
            MR_PUSH(scratch, &parts.list,
                    ((struct part){.from = i, .first = t, .before = INT64_MIN, .after = INT64_MAX}));
        struct part *p = &parts.list.v[parts.list.n - 1];
        p->to = i + 1;
        p->last = before = t;
    }
    for (size_t k = 1; k < parts.list.n; k++) {
        const struct part *p = &parts.list.v[k - 1];
        parts.list.v[k].before = p->before > p->last ? p->before : p->last;
    }
    for (size_t k = parts.list.n; k-- > 1;) {
        const struct part *p = &parts.list.v[k];
        parts.list.v[k - 1].after = p->after < p->first ? p->after : p->first;
    }
    return parts;
}

/* Only rows whose moment another part reaches too. */
static struct keys collect_doubtful(const struct side *s, const struct parts *parts) {
    struct keys keys = {0};
    size_t n = 0;
    for (int pass = 0; pass < 2; pass++) {
        if (pass)
            keys.v = MR_ARRAY(s->work->scratch, struct key, n);
        for (size_t k = 0; k < parts->list.n; k++) {
            const struct part *p = &parts->list.v[k];
            for (size_t i = p->from; i < p->to; i++) {
                int64_t t = time_of(s, i);
                if (t == MR_T_NONE || (t > p->before && t < p->after))
                    continue;
                if (pass)
                    keys.v[keys.n++] = (struct key){t, row_hash(s->work, i), i, (uint32_t)k};
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
static void compare_within(struct side *s) {
    struct parts parts = find_parts(s);
    if (parts.list.n < 2 || s->n < 4)
        return;
    struct keys keys = collect_doubtful(s, &parts);
    size_t *pending = MR_ARRAY(s->work->scratch, size_t, keys.n), n = list_repeats(&keys, pending);
    if (n < 3) /* chance, or a correction by hand */
        return;
    need_fates(s);
    for (size_t i = 0; i < n; i++)
        s->fate[pending[i]] = MR_ASIDE_REPEATED;
    s->repeated += n;
    mr_diag_add(s->work->diags, MR_NOTE, "repeated", (struct mr_place){.file = s->work->source->path}, NULL, NULL,
                "%zu rows stand in the file twice, where time goes backwards; they count once", n);
}

/* --- readings without times: aligned runs --------------------------------------------------------------------------
 */

enum { RUN_LEAST = 5 };

/* Length of the longest suffix of a that is a prefix of b; *whole: where b ends in a, if it stands there whole, or 0.
 */
static size_t border(struct mr_arena *scratch, const uint64_t *a, size_t n, const uint64_t *b, size_t m,
                     size_t *whole) {
    size_t *fail = MR_ARRAY(scratch, size_t, m + 1), k = 0;
    for (size_t i = 1; i < m; i++) {
        while (k && b[i] != b[k])
            k = fail[k];
        k += b[i] == b[k];
        fail[i + 1] = k;
    }
    *whole = 0;
    k = 0;
    for (size_t i = 0; i < n; i++) {
        while (k && (k == m || a[i] != b[k]))
            k = fail[k];
        k += a[i] == b[k];
        if (k == m && !*whole)
            *whole = i + 1;
    }
    return k;
}

static uint64_t *hashes(const struct side *s) {
    uint64_t *h = MR_ARRAY(s->work->scratch, uint64_t, s->n);
    for (size_t i = 0; i < s->n; i++)
        h[i] = row_hash(s->work, i);
    return h;
}

static void set_run_aside(struct side *b, size_t from, size_t n, const struct side *a, size_t a_index) {
    need_fates(b);
    size_t count = 0;
    for (size_t i = from; i < from + n; i++) {
        count += b->fate[i] == MR_FATE_USED;
        b->fate[i] = MR_ASIDE_REPEATED;
    }
    b->repeated += count;
    b->partner = a_index;
    mr_diag_add(b->work->diags, MR_NOTE, "repeated", (struct mr_place){.file = b->work->source->path}, NULL, NULL,
                "%zu of %zu rows follow each other in %s too; they count once", count, b->n, a->work->source->path);
}

/* Too few readings to tell a copy from chance: they count, and the clerk is asked. */
static void doubt_few(const struct side *few, const struct side *other) {
    if (few->n < 2 || other->n < few->n)
        return;
    for (size_t i = 0; i < few->n; i++)
        if (row_hash(few->work, i) != row_hash(other->work, i))
            return;
    mr_diag_add(few->work->diags, MR_WARNING, "perhaps-repeated", (struct mr_place){.file = few->work->source->path},
                NULL, "Take the file out where it is a copy; export times or reading numbers to be sure.",
                "its %zu readings are also the first of %s; they carry no time, so they count in both", few->n,
                other->work->source->path);
}

static void compare_untimed(struct side *a, struct side *b, size_t a_index) {
    if (a->timed || b->timed)
        return;
    if (a->n < RUN_LEAST || b->n < RUN_LEAST) {
        doubt_few(a->n < b->n ? a : b, a->n < b->n ? b : a);
        return;
    }
    struct mr_arena *scratch = a->work->scratch;
    uint64_t *ha = hashes(a), *hb = hashes(b);
    size_t b_in_a, a_in_b;
    size_t tail_head = border(scratch, ha, a->n, hb, b->n, &b_in_a),
           head_tail = border(scratch, hb, b->n, ha, a->n, &a_in_b);
    if (b_in_a) {
        set_run_aside(b, 0, b->n, a, a_index);
    } else if (a_in_b) {
        set_run_aside(b, a_in_b - a->n, a->n, a, a_index);
    } else if (tail_head >= RUN_LEAST) {
        set_run_aside(b, 0, tail_head, a, a_index);
    } else if (head_tail >= RUN_LEAST) {
        set_run_aside(b, b->n - head_tail, head_tail, a, a_index);
    }
}

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

static void apply(struct side *s, const struct mr_file_state *works) {
    struct mr_file_state *w = s->work;
    if (!s->fate)
        return;
    if (s->repeated == s->n && s->partner != MR_NONE)
        w->file->copy_of = works[s->partner].source->path;
    if (mr_is_log(w->plan->kind)) {
        mr_log_drop(w, s->fate);
        return;
    }
    if (w->plan->kind == MR_KIND_THICKNESS || w->plan->kind == MR_KIND_BASE_METAL) {
        mr_readings_drop(w, s->fate);
        return;
    }
    uint32_t *line = MR_ARRAY(w->scratch, uint32_t, s->n);
    KEEP(w->verifications, s->fate);
    KEEP(w->sprays, s->fate);
    KEEP(w->shift_items, s->fate);
    KEEP(w->materials, s->fate);
    mr_rows_split(w, s->fate, line, s->n);
}

static struct side side_of(struct mr_file_state *w) {
    struct side s = {.work = w, .first = INT64_MAX, .last = INT64_MIN, .partner = MR_NONE};
    if (!w->plan)
        return s;
    s.n = row_count(w);
    s.t = mr_is_log(w->plan->kind) ? w->log.t_ms : NULL;
    for (size_t i = 0; i < s.n; i++) {
        int64_t t = time_of(&s, i);
        if (t == MR_T_NONE)
            continue;
        s.timed = true;
        s.first = t < s.first ? t : s.first;
        s.last = t > s.last ? t : s.last;
    }
    return s;
}

void mr_find_overlap(struct mr_file_state *works, size_t n) {
    if (!n)
        return;
    struct side *side = MR_ARRAY(works[0].scratch, struct side, n);
    for (size_t i = 0; i < n; i++) {
        side[i] = side_of(&works[i]);
        if (side[i].n)
            compare_within(&side[i]);
    }
    for (size_t b = 1; b < n; b++)
        for (size_t a = 0; a < b; a++) {
            if (!side[a].n || !side[b].n)
                continue;
            enum tie tie = tied(&works[a], &works[b]);
            if (tie == TIE_NO)
                continue;
            compare(&side[a], &side[b], a, tie);
            if (works[a].plan->kind == MR_KIND_THICKNESS || works[a].plan->kind == MR_KIND_BASE_METAL)
                compare_untimed(&side[a], &side[b], a);
        }
    for (size_t i = 0; i < n; i++)
        apply(&side[i], works);
}
