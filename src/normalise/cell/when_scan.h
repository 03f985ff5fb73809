/*
 * when_scan.h - the small steps of when.c and when_clock.c: a text is eaten from its front, digits, letters and marks
 * at a time. Inlined, since every time cell that the fast way does not know passes through them.
 */
#ifndef MILRISE_NORMALISE_CELL_WHEN_SCAN_H
#define MILRISE_NORMALISE_CELL_WHEN_SCAN_H

#include "base/text.h"
#include "normalise/cell/when.h"

#include <string.h>

struct scan {
    const char *p, *end;
};

static inline bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80;
}

/* Blanks, the no-break one of spreadsheets (U+00A0) and the narrow one (U+202F) too. */
static inline void skip_blanks(struct scan *s) {
    for (;;) {
        if (s->p < s->end && (*s->p == ' ' || *s->p == '\t'))
            s->p++;
        else if (s->end - s->p > 1 && memcmp(s->p, "\xc2\xa0", 2) == 0)
            s->p += 2;
        else if (s->end - s->p > 2 && memcmp(s->p, "\xe2\x80\xaf", 3) == 0)
            s->p += 3;
        else
            return;
    }
}

/* Up to max digits; their number, 0 where none. */
static inline size_t take_digits(struct scan *s, size_t max, int *out) {
    size_t n = 0;
    int value = 0;
    while (s->p < s->end && mr_is_digit(*s->p) && n < max) {
        value = value * 10 + (*s->p++ - '0');
        n++;
    }
    *out = value;
    return n;
}

static inline bool take_char(struct scan *s, char c) {
    if (s->p >= s->end || *s->p != c)
        return false;
    s->p++;
    return true;
}

/* Equal but for case; also of the two-byte letters that month names use (Ä ä, É é, Û û). */
static inline bool word_is(const char *text, size_t n, const char *word) {
    if (strlen(word) != n)
        return false;
    for (size_t i = 0; i < n; i++) {
        unsigned char a = (unsigned char)text[i], b = (unsigned char)word[i];
        if (a >= 'A' && a <= 'Z')
            a = (unsigned char)(a + 32);
        if (i && (unsigned char)text[i - 1] == 0xc3 && a >= 0x80 && a <= 0x9e)
            a = (unsigned char)(a + 0x20);
        if (a != b)
            return false;
    }
    return true;
}

static inline size_t letters(const struct scan *s) {
    size_t n = 0;
    while (s->p + n < s->end && is_letter(s->p[n]))
        n++;
    return n;
}

static inline size_t digit_run(const struct scan *s) {
    size_t n = 0;
    while (s->p + n < s->end && mr_is_digit(s->p[n]))
        n++;
    return n;
}

/** mr_take_clock - HH:MM[:SS[.fff]] and its kin at the front; false where none begins. */
bool mr_take_clock(struct scan *s, int64_t *out_ms);

/** mr_take_compact_clock - HHMM or HHMMSS[.fff] right behind a date without marks. */
bool mr_take_compact_clock(struct scan *s, int64_t *out_ms);

/** mr_take_zone - "Z", "UTC", "+02:00" up to the end; true where nothing is left. *named: letters say the zone. */
bool mr_take_zone(struct scan *s, struct mr_when *out);

#endif
