/*
 * encoding.h - which encoding a file is in, by evidence over all of its bytes, and why.
 *
 * In this order: a byte-order mark; NULs at more than a quarter of the odd or of the even places of the head, as only
 * UTF-16 has them; well-formed UTF-8; else Windows-1252, which agrees with Latin-1 wherever both have characters. A
 * statistical guesser was rejected: on short tables it named code pages that no instrument writes.
 * A single broken character does not turn a UTF-8 file into Windows-1252: the well-formed ones are counted against
 * it.
 */
#ifndef MILRISE_READ_ENCODING_H
#define MILRISE_READ_ENCODING_H

#include "milrise/read.h"

#define MR_HEAD_BYTES (256U << 10) /* the head that is looked at for shape */

/* Counts over a file's bytes. Zeroed is the start. */
struct mr_byte_counts {
    uint64_t n;
    uint64_t utf8_good, utf8_bad; /* characters above ASCII; bytes that belong to none */
    uint64_t undefined_1252;      /* 81, 8D, 8F, 90, 9D */
    uint64_t nul_even, nul_odd;   /* within the head only; places count from 0 */
    uint64_t controls;            /* within the head only: below blank but NUL and the blanks 09..0D, and 1A, 1B */
    unsigned char hold[4];        /* the start of a character at the end of the bytes so far */
    size_t held;
};

void mr_count_bytes(struct mr_byte_counts *counts, const char *p, size_t n);

/** mr_encoding_tell - sets encoding, bom and encoding_why of out. stated: the job file's word for it, or "".
 *  head: the first bytes, head_n of them (all, or at least 64). */
void mr_encoding_tell(struct mr_arena *arena, const struct mr_byte_counts *counts, const char *head, size_t head_n,
                      const char *stated, struct mr_source *out);

#endif
