/*
 * packer.c - columns in few bytes. A stretch of whole numbers is a line and what lies above it; values become numbers
 * of a list, found by a hash of their bits, so that whatever a unit made of a reading comes back as it was.
 */
#include "base/packer.h"

#include <math.h>
#include <stdlib.h>

/* --- whole numbers ------------------------------------------------------------------------------------------- */

void mr_packer_begin(struct mr_packer *p, struct mr_arena *scratch) {
    p->scratch = scratch;
    p->n = 0;
    p->done = (struct mr_stretches){0};
}

/* The line from the first number to the last; level where the way is too far for it. */
static int32_t step_of(const int64_t *v, size_t n) {
    const uint64_t way = (uint64_t)v[n - 1] - (uint64_t)v[0];
    const int64_t step = n > 1 ? (int64_t)way / (int64_t)(n - 1) : 0;
    const bool wraps = v[n - 1] < v[0] ? (int64_t)way >= 0 : (int64_t)way < 0;
    return wraps || step > INT32_MAX || step < INT32_MIN ? 0 : (int32_t)step;
}

static uint64_t above(const int64_t *v, size_t k, int32_t step) {
    return (uint64_t)v[k] - (uint64_t)((int64_t)step * (int64_t)k);
}

static uint32_t width_of(uint64_t most) {
    return most == 0 ? 0 : most <= UINT8_MAX ? 1 : most <= UINT16_MAX ? 2 : most <= UINT32_MAX ? 4 : 8;
}

static void put_rest(uint8_t *to, uint64_t rest, uint32_t width) {
    const uint32_t word = (uint32_t)rest;
    const uint16_t half = (uint16_t)rest;
    if (width == 1)
        *to = (uint8_t)rest;
    else if (width == 2)
        memcpy(to, &half, sizeof half);
    else if (width == 4)
        memcpy(to, &word, sizeof word);
    else
        memcpy(to, &rest, sizeof rest);
}

void mr_stretches_add(struct mr_stretches *s, struct mr_arena *arena, const int64_t *numbers, size_t n) {
    const int32_t step = step_of(numbers, n);
    int64_t least = (int64_t)above(numbers, 0, step), most = least;
    for (size_t k = 1; k < n; k++) {
        const int64_t x = (int64_t)above(numbers, k, step);
        least = x < least ? x : least;
        most = x > most ? x : most;
    }
    const uint32_t width = width_of((uint64_t)most - (uint64_t)least);
    const struct mr_stretch stretch = {.first = least, .at = s->rest.n, .step = step, .width = width};
    MR_PUSH(arena, &s->list, stretch);
    while (s->rest.cap < s->rest.n + n * width)
        s->rest.v = mr_vec_room(arena, s->rest.v, &s->rest.cap, 1);
    for (size_t k = 0; width && k < n; k++, s->rest.n += width)
        put_rest(s->rest.v + s->rest.n, above(numbers, k, step) - (uint64_t)least, width);
}

void mr_stretches_fit(struct mr_stretches *s, struct mr_arena *arena) {
    MR_FIT(arena, &s->list);
    MR_FIT(arena, &s->rest);
}

void mr_packer_add(struct mr_packer *p, int64_t number) {
    p->held[p->n++ % MR_STRETCH] = number;
    if (p->n % MR_STRETCH == 0)
        mr_stretches_add(&p->done, p->scratch, p->held, MR_STRETCH);
}

struct mr_wholes mr_packer_end(struct mr_packer *p, struct mr_arena *arena) {
    if (p->n % MR_STRETCH)
        mr_stretches_add(&p->done, p->scratch, p->held, p->n % MR_STRETCH);
    struct mr_wholes out = {0};
    const struct mr_stretches *done = &p->done;
    if (p->n) {
        struct mr_stretch *stretch = MR_ARRAY(arena, struct mr_stretch, done->list.n);
        memcpy(stretch, done->list.v, done->list.n * sizeof *stretch);
        uint8_t *rest = MR_ARRAY(arena, uint8_t, done->rest.n + 1);
        if (done->rest.n)
            memcpy(rest, done->rest.v, done->rest.n);
        out.stretch = stretch;
        out.rest = rest;
    }
    p->n = p->done.list.n = p->done.rest.n = 0;
    return out;
}

/* Ends a packer that was begun with a scratch of its own. */
static struct mr_wholes end_with_scratch(struct mr_packer *p, struct mr_arena *arena) {
    const struct mr_wholes out = mr_packer_end(p, arena);
    mr_arena_free(p->scratch);
    return out;
}

struct mr_wholes mr_wholes_pack(struct mr_arena *arena, const int64_t *numbers, size_t n) {
    struct mr_packer p;
    mr_packer_begin(&p, mr_arena_like(arena));
    for (size_t i = 0; i < n; i++)
        mr_packer_add(&p, numbers[i]);
    return end_with_scratch(&p, arena);
}

struct mr_wholes mr_lines_pack(struct mr_arena *arena, const uint32_t *numbers, size_t n) {
    struct mr_packer p;
    mr_packer_begin(&p, mr_arena_like(arena));
    for (size_t i = 0; i < n; i++)
        mr_packer_add(&p, numbers[i]);
    return end_with_scratch(&p, arena);
}

size_t mr_wholes_first(const struct mr_wholes *c, size_t n, int64_t least) {
    size_t lo = 0, hi = n;
    while (lo < hi) {
        const size_t mid = lo + (hi - lo) / 2;
        if (mr_whole(c, mid) < least)
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo;
}

void mr_wholes_copy(const struct mr_wholes *c, size_t from, size_t n, int64_t *out) {
    for (size_t i = 0; i < n; i++)
        out[i] = mr_whole(c, from + i);
}

void mr_reals_copy(const struct mr_reals *c, size_t from, size_t n, double *out) {
    for (size_t i = 0; i < n; i++)
        out[i] = mr_real(c, from + i);
}

/* --- values -------------------------------------------------------------------------------------------------- */

enum { ROOM_LEAST = 1024 };

static size_t place_of(const struct mr_seen_values *s, uint64_t bits) {
    size_t i = (size_t)((bits * UINT64_C(0x9E3779B97F4A7C15)) >> 32) & (s->room - 1);
    while (s->at[i].number && s->at[i].bits != bits)
        i = (i + 1) & (s->room - 1);
    return i;
}

static void more_room(struct mr_seen_values *s, struct mr_arena *arena) {
    struct mr_seen_values more = {.n = s->n, .room = s->room ? s->room * 2 : ROOM_LEAST};
    more.at = MR_ARRAY(arena, struct mr_seen, more.room);
    for (size_t i = 0; i < s->room; i++)
        if (s->at[i].number)
            more.at[place_of(&more, s->at[i].bits)] = s->at[i];
    mr_arena_drop(arena, s->at);
    *s = more;
}

uint32_t mr_seen_number(struct mr_seen_values *s, struct mr_arena *arena, uint64_t bits) {
    if (2 * s->n >= s->room)
        more_room(s, arena);
    struct mr_seen *at = &s->at[place_of(s, bits)];
    if (!at->number)
        *at = (struct mr_seen){bits, (uint32_t)++s->n};
    return at->number - 1;
}

/* By value, NaN last; equal values, 0 and -0 and the kinds of NaN, by their bits. */
static int by_value(const void *a, const void *b) {
    const struct mr_seen *x = a, *y = b;
    double p, q;
    memcpy(&p, &x->bits, sizeof p);
    memcpy(&q, &y->bits, sizeof q);
    if (isnan(p) || isnan(q)) {
        if (!isnan(p) || !isnan(q))
            return isnan(p) ? 1 : -1;
    } else if (p < q || p > q) {
        return p < q ? -1 : 1;
    }
    return (x->bits > y->bits) - (x->bits < y->bits);
}

/* Those that occur, rising; where the number of each now stands, in scratch. */
static double *list_values(const struct mr_seen_values *s, struct mr_arena *arena, struct mr_arena *scratch,
                           uint32_t **out_place) {
    struct mr_seen *list = MR_ARRAY(scratch, struct mr_seen, s->n);
    for (size_t i = 0, n = 0; i < s->room; i++)
        if (s->at[i].number)
            list[n++] = s->at[i];
    qsort(list, s->n, sizeof *list, by_value);
    double *value = MR_ARRAY(arena, double, s->n);
    *out_place = MR_ARRAY(scratch, uint32_t, s->n);
    for (size_t i = 0; i < s->n; i++) {
        memcpy(&value[i], &list[i].bits, sizeof *value);
        (*out_place)[list[i].number - 1] = (uint32_t)i;
    }
    return value;
}

static struct mr_reals as_they_are(struct mr_arena *arena, const double *values, size_t n) {
    double *raw = MR_ARRAY(arena, double, n);
    memcpy(raw, values, n * sizeof *raw);
    return (struct mr_reals){.raw = raw};
}

struct mr_reals mr_reals_pack(struct mr_arena *arena, const double *values, size_t n) {
    enum { LOOK = 65536 }; /* by then it is seen whether values come again */
    if (!n)
        return (struct mr_reals){0};
    struct mr_arena *scratch = mr_arena_like(arena);
    struct mr_seen_values seen = {0};
    uint32_t *number = MR_ARRAY(scratch, uint32_t, n);
    bool gains = true;
    for (size_t i = 0; i < n && gains; i++) {
        uint64_t bits;
        memcpy(&bits, &values[i], sizeof bits);
        number[i] = mr_seen_number(&seen, scratch, bits);
        gains = i < LOOK || 2 * seen.n <= i;
    }
    struct mr_reals out = {0};
    if (!gains || 2 * seen.n > n) {
        out = as_they_are(arena, values, n);
    } else {
        uint32_t *place;
        struct mr_packer p;
        out.value = list_values(&seen, arena, scratch, &place);
        out.n_values = seen.n;
        mr_packer_begin(&p, scratch);
        for (size_t i = 0; i < n; i++)
            mr_packer_add(&p, place[number[i]]);
        out.which = mr_packer_end(&p, arena);
    }
    mr_arena_free(scratch);
    return out;
}

/* --- joined columns ------------------------------------------------------------------------------------------ */

void mr_joiner_begin(struct mr_joiner *j, struct mr_arena *scratch, size_t n, const struct mr_reals *const *part,
                     size_t most) {
    *j = (struct mr_joiner){.part = part};
    mr_packer_begin(&j->packer, scratch);
    for (size_t i = 0; i < n && !j->raw; i++)
        if (part[i]->raw)
            j->raw = MR_ARRAY(scratch, double, most);
    if (j->raw)
        return;
    struct mr_seen_values seen = {0};
    uint32_t **number = MR_ARRAY(scratch, uint32_t *, n), *place;
    for (size_t i = 0; i < n; i++) {
        number[i] = MR_ARRAY(scratch, uint32_t, part[i]->n_values);
        for (size_t k = 0; k < part[i]->n_values; k++) {
            uint64_t bits;
            memcpy(&bits, &part[i]->value[k], sizeof bits);
            number[i][k] = mr_seen_number(&seen, scratch, bits);
        }
    }
    j->value = list_values(&seen, scratch, scratch, &place);
    j->n_values = seen.n;
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0; k < part[i]->n_values; k++)
            number[i][k] = place[number[i][k]];
    j->whose = number;
}

void mr_joiner_add(struct mr_joiner *j, size_t part, size_t i) {
    const struct mr_reals *c = j->part[part];
    if (j->raw)
        j->raw[j->n] = mr_real(c, i);
    else
        mr_packer_add(&j->packer, j->whose[part][mr_whole(&c->which, i)]);
    j->n++;
}

struct mr_reals mr_joiner_end(struct mr_joiner *j, struct mr_arena *arena) {
    if (j->raw || !j->n)
        return mr_reals_pack(arena, j->raw, j->n);
    double *value = MR_ARRAY(arena, double, j->n_values);
    memcpy(value, j->value, j->n_values * sizeof *value);
    return (struct mr_reals){.value = value, .n_values = j->n_values, .which = mr_packer_end(&j->packer, arena)};
}
