/*
 * prefix_code.c - see the header.
 */
#include "render/draw/prefix_code.h"

#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

enum { BITS_MOST = 15 };

/* A symbol with how often it occurs, or two joined. */
struct branch {
    uint64_t times;
    unsigned symbol, parent, depth;
};

static int by_times(const void *a, const void *b) {
    const struct branch *x = a, *y = b;
    if (x->times != y->times)
        return x->times < y->times ? -1 : 1;
    return x->symbol < y->symbol ? -1 : x->symbol > y->symbol;
}

/* The symbols that occur, the rarest first. Returns: how many. */
static unsigned take_symbols(const uint32_t *times, unsigned n, struct branch *out) {
    unsigned k = 0;
    for (unsigned i = 0; i < n; i++)
        if (times[i] > 0)
            out[k++] = (struct branch){.times = times[i], .symbol = i};
    for (unsigned i = 0; k < 2; i++)
        if (times[i] == 0)
            out[k++] = (struct branch){.times = 1, .symbol = i};
    qsort(out, k, sizeof *out, by_times);
    return k;
}

/* Joins the two rarest until one is left; leaves and joined ones each come in rising order, so two queues do. */
static void find_depths(struct branch *node, unsigned leaves) {
    unsigned leaf = 0, joined = leaves;
    for (unsigned made = leaves; made < 2 * leaves - 1; made++) {
        node[made] = (struct branch){0};
        for (int side = 0; side < 2; side++) {
            const bool a_leaf = leaf < leaves && (joined == made || node[leaf].times <= node[joined].times);
            struct branch *child = &node[a_leaf ? leaf++ : joined++];
            child->parent = made;
            node[made].times += child->times;
        }
    }
    node[2 * leaves - 2].depth = 0;
    for (unsigned i = 2 * leaves - 2; i-- > 0;)
        node[i].depth = node[node[i].parent].depth + 1;
}

/* Codes of each length, none longer than most_bits: those that are take a place there, and a shorter one is moved
 * down for each place that is then too many. */
static void count_lengths(const struct branch *node, unsigned leaves, unsigned most_bits, unsigned count[]) {
    uint32_t taken = 0; /* of the 2^most_bits places */
    for (unsigned i = 0; i < leaves; i++)
        count[node[i].depth < most_bits ? node[i].depth : most_bits]++;
    for (unsigned b = 1; b <= most_bits; b++)
        taken += (uint32_t)count[b] << (most_bits - b);
    for (; taken > 1U << most_bits; taken--) {
        unsigned b = most_bits - 1;
        while (count[b] == 0)
            b--;
        count[b]--;
        count[b + 1] += 2;
        count[most_bits]--;
    }
}

static uint16_t reversed(unsigned code, unsigned bits) {
    unsigned out = 0;
    for (unsigned i = 0; i < bits; i++)
        out |= (code >> i & 1U) << (bits - 1 - i);
    return (uint16_t)out;
}

void mr_prefix_make(const uint32_t *times, unsigned n, unsigned most_bits, struct mr_prefix *out) {
    struct branch node[2 * MR_PREFIX_SYMBOLS];
    unsigned count[BITS_MOST + 1] = {0}, next[BITS_MOST + 2] = {0}, symbol = 0;
    const unsigned leaves = take_symbols(times, n, node);
    find_depths(node, leaves);
    count_lengths(node, leaves, most_bits, count);
    memset(out, 0, sizeof *out);
    for (unsigned b = most_bits; b > 0; b--) /* the rarest come first */
        for (unsigned i = 0; i < count[b]; i++)
            out->bits[node[symbol++].symbol] = (unsigned char)b;
    for (unsigned b = 1; b <= most_bits; b++)
        next[b + 1] = (next[b] + count[b]) << 1;
    for (unsigned i = 0; i < n; i++)
        if (out->bits[i])
            out->code[i] = reversed(next[out->bits[i]]++, out->bits[i]);
}
