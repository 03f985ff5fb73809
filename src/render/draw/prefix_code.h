/*
 * prefix_code.h - the shortest prefix code of symbols that occur so many times (D. A. Huffman, 1952), canonical and
 * of limited length as deflate wants it (RFC 1951, 3.2.2).
 */
#ifndef MILRISE_RENDER_DRAW_PREFIX_CODE_H
#define MILRISE_RENDER_DRAW_PREFIX_CODE_H

#include <stdint.h>

enum { MR_PREFIX_SYMBOLS = 288 };

struct mr_prefix {
    unsigned char bits[MR_PREFIX_SYMBOLS]; /* 0: the symbol does not occur */
    uint16_t code[MR_PREFIX_SYMBOLS];      /* its first bit is the lowest, as it is written */
};

/** mr_prefix_make - times[n], n at most MR_PREFIX_SYMBOLS and at least 2, into a code of at most most_bits <= 15
 * bits. At least two symbols get a code, so that it is complete. */
void mr_prefix_make(const uint32_t *times, unsigned n, unsigned most_bits, struct mr_prefix *out);

#endif
