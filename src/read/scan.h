/*
 * scan.h - where the bytes stand that divide a text: 64 bytes at a time, one bit each.
 *
 * The bits may hold other control characters too (all bytes up to 0D are marked by one comparison); whoever walks the
 * bits looks at each byte anyway and passes over those.
 */
#ifndef MILRISE_READ_SCAN_H
#define MILRISE_READ_SCAN_H

#include <stddef.h>
#include <stdint.h>

#ifdef __SSE2__
#include <emmintrin.h>
#endif

#define MR_SCAN_PAD 64 /* readable bytes needed behind the end of a scanned text */

/** mr_scan64 - bit i is set where p[i] is the delimiter, a quote or at most 0D. Reads 64 bytes. */
static inline uint64_t mr_scan64(const char *p, char delimiter) {
    uint64_t marks = 0;
#ifdef __SSE2__
    const __m128i split = _mm_set1_epi8(delimiter), quote = _mm_set1_epi8('"'), low = _mm_set1_epi8(0x0d);
    for (unsigned k = 0; k < 64; k += 16) {
        __m128i v = _mm_loadu_si128((const __m128i *)(const void *)(p + k));
        __m128i hit = _mm_or_si128(_mm_or_si128(_mm_cmpeq_epi8(v, split), _mm_cmpeq_epi8(v, quote)),
                                   _mm_cmpeq_epi8(_mm_min_epu8(v, low), v));
        marks |= (uint64_t)(unsigned)_mm_movemask_epi8(hit) << k;
    }
#else
    for (unsigned k = 0; k < 64; k++) {
        unsigned char c = (unsigned char)p[k];
        marks |= (uint64_t)(c <= 0x0d || p[k] == '"' || p[k] == delimiter) << k;
    }
#endif
    return marks;
}

/** mr_scan_first - place of the lowest set bit; marks is not 0. */
static inline unsigned mr_scan_first(uint64_t marks) {
    return (unsigned)__builtin_ctzll(marks);
}

#endif
