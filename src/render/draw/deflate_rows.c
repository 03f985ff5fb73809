/*
 * deflate_rows.c - deflate (RFC 1951) for pictures of flat colour.
 *
 * A general compressor looks for repeats at every byte of a run and at every byte of a row that repeats the one
 * above. Here a run and the row above are tried first and taken whole; only what neither explains, the edges of
 * letters and dots, is looked up among what was seen before. A third of the time, for files as large within a few
 * percent.
 */
#include "render/draw/deflate_rows.h"

#include "render/draw/prefix_code.h"

#include <stdbool.h>
#include <stdint.h>
#include <string.h>

enum {
    LENGTH_SYMBOLS = 286,
    DISTANCE_SYMBOLS = 30,
    END_OF_BLOCK = 256,
    LITERALS = 256, /* a token below this is a byte, others are (length << 16 | distance) */
    BLOCK_TOKENS = 16384,
    MATCH_LEAST = 3,
    MATCH_MOST = 258,
    FAR_MOST = 32768,
    SEEN_BITS = 13,
    SEEN_LEAST = 5, /* a match elsewhere costs up to 13 bits for its distance */
    EXPLAINED = 16, /* a run or a repeat of the row above so long is taken without looking elsewhere */
    CODE_BITS_MOST = 15,
    TOKEN_BYTES = 6,   /* a code and 5 bits, a code and 13 */
    BLOCK_BYTES = 1024 /* at most of a block's head and end */
};

/* Bits as they go out, the lowest first. */
struct bits {
    struct mr_arena *arena;
    unsigned char *out;
    size_t used, room;
    uint64_t held;
    unsigned n;
};

/* At most 32 bits at a time. Whoever puts has seen to it that there is room. */
static inline void put(struct bits *b, uint64_t value, unsigned n) {
    b->held |= value << b->n;
    b->n += n;
    if (b->n >= 32) {
        for (int i = 0; i < 4; i++)
            b->out[b->used++] = (unsigned char)(b->held >> 8 * i & 0xff);
        b->held >>= 32;
        b->n -= 32;
    }
}

static void make_room(struct bits *b, size_t bytes) {
    if (b->room - b->used >= bytes)
        return;
    const size_t room = 2 * b->room + bytes;
    b->out = mr_arena_grow(b->arena, b->out, b->room, room);
    b->room = room;
}

/* Lengths and distances are written as a class and the bits that tell which of the class (RFC 1951, 3.2.5). */
struct parts {
    unsigned symbol, extra, n_extra;
};

static unsigned top_bit(unsigned v) {
    return 31U - (unsigned)__builtin_clz(v);
}

static struct parts length_parts(unsigned length) {
    if (length == MATCH_MOST)
        return (struct parts){285, 0, 0};
    const unsigned v = length - MATCH_LEAST;
    if (v < 8)
        return (struct parts){257 + v, 0, 0};
    const unsigned n = top_bit(v) - 2;
    return (struct parts){257 + 4 * n + (v >> n), v & ((1U << n) - 1), n};
}

static struct parts distance_parts(unsigned distance) {
    const unsigned v = distance - 1;
    if (v < 4)
        return (struct parts){v, 0, 0};
    const unsigned n = top_bit(v) - 1;
    return (struct parts){2 * n + (v >> n), v & ((1U << n) - 1), n};
}

/* The lengths of both codes as the numbers that stand before a block: themselves, or 16, 17 and 18 for repeats. */
struct code_lengths {
    unsigned char symbol[LENGTH_SYMBOLS + DISTANCE_SYMBOLS], extra[LENGTH_SYMBOLS + DISTANCE_SYMBOLS];
    unsigned n;
};

static void add_number(struct code_lengths *h, unsigned symbol, unsigned extra) {
    h->symbol[h->n] = (unsigned char)symbol;
    h->extra[h->n++] = (unsigned char)extra;
}

static void add_repeats(struct code_lengths *h, unsigned bits, unsigned times) {
    if (bits > 0) {
        add_number(h, bits, 0);
        times--;
    }
    while (times >= 3) {
        const unsigned most = bits > 0 ? 6 : 138, part = times < most ? times : most;
        if (bits > 0)
            add_number(h, 16, part - 3);
        else
            add_number(h, part < 11 ? 17 : 18, part < 11 ? part - 3 : part - 11);
        times -= part;
    }
    for (; times > 0; times--)
        add_number(h, bits, 0);
}

static unsigned last_used(const struct mr_prefix *code, unsigned n) {
    while (code->bits[n - 1] == 0)
        n--;
    return n;
}

static void put_heading(struct bits *b, const struct mr_prefix *lengths, const struct mr_prefix *distances) {
    static const unsigned char order[19] = {16, 17, 18, 0, 8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14, 1, 15};
    const unsigned n_lengths = last_used(lengths, LENGTH_SYMBOLS),
                   n_distances = last_used(distances, DISTANCE_SYMBOLS), n = n_lengths + n_distances;
    unsigned char all[LENGTH_SYMBOLS + DISTANCE_SYMBOLS];
    memcpy(all, lengths->bits, n_lengths);
    memcpy(all + n_lengths, distances->bits, n_distances);
    struct code_lengths h = {.n = 0};
    for (unsigned i = 0, end; i < n; i = end) {
        for (end = i + 1; end < n && all[end] == all[i];)
            end++;
        add_repeats(&h, all[i], end - i);
    }
    uint32_t times[19] = {0};
    for (unsigned i = 0; i < h.n; i++)
        times[h.symbol[i]]++;
    struct mr_prefix code;
    mr_prefix_make(times, 19, 7, &code);
    unsigned n_code = 19;
    while (n_code > 4 && code.bits[order[n_code - 1]] == 0)
        n_code--;
    put(b, n_lengths - 257, 5);
    put(b, n_distances - 1, 5);
    put(b, n_code - 4, 4);
    for (unsigned i = 0; i < n_code; i++)
        put(b, code.bits[order[i]], 3);
    for (unsigned i = 0; i < h.n; i++) {
        put(b, code.code[h.symbol[i]], code.bits[h.symbol[i]]);
        if (h.symbol[i] >= 16)
            put(b, h.extra[i], h.symbol[i] == 16 ? 2 : h.symbol[i] == 17 ? 3 : 7);
    }
}

/* How each length is written: its code and the bits that tell which of the class. */
struct written {
    uint32_t bits;
    unsigned char n;
};

static void write_lengths(const struct mr_prefix *code, struct written out[MATCH_MOST + 1]) {
    for (unsigned length = MATCH_LEAST; length <= MATCH_MOST; length++) {
        const struct parts p = length_parts(length);
        const unsigned n = code->bits[p.symbol];
        out[length] = (struct written){code->code[p.symbol] | (uint32_t)p.extra << n, (unsigned char)(n + p.n_extra)};
    }
}

static void put_block(struct bits *b, const uint32_t *token, unsigned n, bool last) {
    uint32_t times[MATCH_MOST + 1] = {0}, lengths[LENGTH_SYMBOLS] = {[END_OF_BLOCK] = 1},
                                distances[DISTANCE_SYMBOLS] = {0};
    for (unsigned i = 0; i < n; i++) {
        if (token[i] < LITERALS) {
            lengths[token[i]]++;
        } else {
            times[token[i] >> 16]++;
            distances[distance_parts(token[i] & 0xffff).symbol]++;
        }
    }
    for (unsigned length = MATCH_LEAST; length <= MATCH_MOST; length++)
        lengths[length_parts(length).symbol] += times[length];
    struct mr_prefix length_code, distance_code;
    struct written match[MATCH_MOST + 1];
    mr_prefix_make(lengths, LENGTH_SYMBOLS, CODE_BITS_MOST, &length_code);
    mr_prefix_make(distances, DISTANCE_SYMBOLS, CODE_BITS_MOST, &distance_code);
    write_lengths(&length_code, match);
    make_room(b, BLOCK_BYTES + TOKEN_BYTES * (size_t)n);
    put(b, last ? 1 : 0, 1);
    put(b, 2, 2); /* codes of its own */
    put_heading(b, &length_code, &distance_code);
    for (unsigned i = 0; i < n; i++) {
        if (token[i] < LITERALS) {
            put(b, length_code.code[token[i]], length_code.bits[token[i]]);
            continue;
        }
        const struct written *l = &match[token[i] >> 16];
        const struct parts d = distance_parts(token[i] & 0xffff);
        const unsigned n_code = distance_code.bits[d.symbol];
        put(b, l->bits, l->n);
        put(b, distance_code.code[d.symbol] | (uint64_t)d.extra << n_code, n_code + d.n_extra);
    }
    put(b, length_code.code[END_OF_BLOCK], length_code.bits[END_OF_BLOCK]);
}

/* What was read and what of it was seen where. */
struct reading {
    const unsigned char *raw;
    size_t n, row_bytes, at;
    uint32_t seen[1 << SEEN_BITS]; /* place of four such bytes, plus 1 */
};

/* How far the bytes at r->at are those that stand distance before them. */
static inline size_t alike(const struct reading *r, size_t distance) {
    const unsigned char *a = r->raw + r->at, *b = a - distance;
    const size_t most = r->n - r->at;
    size_t k = 0;
    if (*a != *b)
        return 0;
    for (uint64_t x, y; k + sizeof x <= most; k += sizeof x) {
        memcpy(&x, a + k, sizeof x);
        memcpy(&y, b + k, sizeof y);
        if (x != y)
            break;
    }
    while (k < most && a[k] == b[k])
        k++;
    return k;
}

/* The place of the same four bytes, and this one from now on. */
static size_t look_up(struct reading *r) {
    uint32_t four;
    if (r->n - r->at < sizeof four)
        return 0;
    memcpy(&four, r->raw + r->at, sizeof four);
    uint32_t *slot = &r->seen[(four * 2654435761U) >> (32 - SEEN_BITS)];
    const size_t before = *slot;
    *slot = (uint32_t)(r->at + 1);
    return before && r->at + 1 - before <= FAR_MOST ? r->at + 1 - before : 0;
}

/* The longest of three: the run in hand, the row above, what was seen elsewhere; 0 where a byte stands for itself. */
static size_t find_match(struct reading *r, size_t *distance) {
    size_t best = r->at >= 1 ? alike(r, 1) : 0;
    *distance = 1;
    const size_t above = r->at >= r->row_bytes && r->row_bytes <= FAR_MOST ? alike(r, r->row_bytes) : 0;
    if (above > MATCH_LEAST && above > best + (best >= MATCH_LEAST ? MATCH_LEAST : 0)) {
        best = above;
        *distance = r->row_bytes;
    }
    const size_t elsewhere = best < EXPLAINED ? look_up(r) : 0, far = elsewhere ? alike(r, elsewhere) : 0;
    if (far >= SEEN_LEAST && far > best + 2) {
        best = far;
        *distance = elsewhere;
    }
    return best >= MATCH_LEAST ? best : 0;
}

/* One token. No rest of one or two bytes is left of a longer match. */
static uint32_t next_token(struct reading *r, size_t *match, size_t distance) {
    if (*match < MATCH_LEAST)
        return r->raw[r->at++];
    size_t part = *match < MATCH_MOST ? *match : MATCH_MOST;
    if (*match - part > 0 && *match - part < MATCH_LEAST)
        part -= MATCH_LEAST;
    *match -= part;
    r->at += part;
    return (uint32_t)(part << 16 | distance);
}

size_t mr_deflate_rows(struct mr_arena *arena, const unsigned char *raw, size_t n, size_t row_bytes,
                       unsigned char **out) {
    struct mr_arena *scratch = mr_arena_like(arena);
    struct reading *r = MR_NEW(scratch, struct reading);
    uint32_t *token = MR_ARRAY(scratch, uint32_t, BLOCK_TOKENS);
    *r = (struct reading){.raw = raw, .n = n, .row_bytes = row_bytes};
    unsigned used = 0;
    size_t match = 0, distance = 0;
    struct bits b = {.arena = arena};
    while (r->at < n) {
        if (match == 0)
            match = find_match(r, &distance);
        token[used++] = next_token(r, &match, distance);
        if (used == BLOCK_TOKENS || r->at == n) {
            put_block(&b, token, used, r->at == n);
            used = 0;
        }
    }
    const size_t bytes = b.used + (b.n + 7) / 8;
    put(&b, 0, 31); /* what is held goes out; blank bits behind it are not counted */
    mr_arena_free(scratch);
    *out = b.out;
    return bytes;
}
