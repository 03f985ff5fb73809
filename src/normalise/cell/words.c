/*
 * words.c - words of headings: letter case, accents and marks do not count, and how well words match those of a map.
 */
#include "normalise/cell/words.h"

#include "base/keyfile.h"
#include "base/text.h"
#include "base/utf8.h"

#include <string.h>

/* --- words -------------------------------------------------------------------------------------------------------
 */

enum letter_class { CLASS_BLANK, CLASS_LOWER, CLASS_UPPER, CLASS_DIGIT, CLASS_HASH };

static enum letter_class class_of(const char *p, size_t length) {
    if (length > 1) /* letters beyond ASCII; degree, no-break space, superscripts and general punctuation are marks */
        return (length == 2 && (unsigned char)p[0] == 0xc2 && (unsigned char)p[1] != 0xb5) ||
                       (length == 3 && (unsigned char)p[0] == 0xe2 && (unsigned char)p[1] < 0x9c)
                   ? CLASS_BLANK
                   : CLASS_LOWER;
    if (*p >= 'a' && *p <= 'z')
        return CLASS_LOWER;
    if (*p >= 'A' && *p <= 'Z')
        return CLASS_UPPER;
    if (mr_is_digit(*p))
        return CLASS_DIGIT;
    return *p == '#' ? CLASS_HASH : CLASS_BLANK;
}

char *mr_words_fold(struct mr_arena *arena, const char *text, size_t n) {
    for (size_t i = 0; i < n; i++)
        if ((unsigned char)text[i] &
            0x80) { /* accents go first, so that a capital with one is a capital among others */
            text = mr_unaccent(arena, text, n);
            n = strlen(text);
            break;
        }
    char *spaced = mr_alloc(arena, 2 * n + 2, 1);
    size_t used = 0;
    enum letter_class last = CLASS_BLANK;
    for (size_t i = 0; i < n;) {
        size_t length = mr_utf8_length(text + i, n - i);
        if (!length)
            length = 1;
        enum letter_class now = class_of(text + i, length);
        enum letter_class next = i + length < n ? class_of(text + i + length, 1) : CLASS_BLANK;
        if (i + length < n && ((unsigned char)text[i + length] & 0x80))
            next = CLASS_UPPER;
        bool begins = now != last && last != CLASS_BLANK && !(last == CLASS_UPPER && now == CLASS_LOWER);
        bool inner = last == CLASS_UPPER && now == CLASS_UPPER && next == CLASS_LOWER; /* the P of "APressure" */
        if (now == CLASS_BLANK || begins || inner)
            spaced[used++] = ' ';
        if (now != CLASS_BLANK) {
            memcpy(spaced + used, text + i, length);
            used += length;
        }
        last = now;
        i += length;
    }
    char *folded = mr_fold(arena, spaced, used);
    return *folded == ' ' ? folded + 1 : folded;
}

/* Words are short: a call of strcspn for each would take most of the time that recognition takes. */
static size_t word_length(const char *words) {
    size_t n = 0;
    while (words[n] && words[n] != ' ')
        n++;
    return n;
}

/* Bytes of words that the pattern covers from their start; 0 = it does not match there. */
static size_t match_here(const char *words, const char *pattern) {
    const char *w = words, *p = pattern;
    if (*w != *p && *p != '#')
        return 0;
    for (;;) {
        size_t wn = word_length(w), pn = word_length(p);
        bool any_number = pn == 1 && *p == '#', hash = pn == 2 && memcmp(p, "##", 2) == 0;
        bool number = wn && strspn(w, "0123456789") == wn;
        if (!wn || !(any_number ? number : hash ? wn == 1 && *w == '#' : wn == pn && memcmp(w, p, wn) == 0))
            return 0;
        w += wn;
        p += pn;
        if (!*p)
            return (size_t)(w - words);
        if (!*w)
            return 0;
        w++;
        p++;
    }
}

bool mr_words_hold(const char *words, const char *pattern) {
    for (const char *w = words; *w;) {
        if (match_here(w, pattern))
            return true;
        w += word_length(w);
        w += *w == ' ';
    }
    return false;
}

bool mr_words_hold_any(const char *words, const char *const *list, size_t count) {
    for (size_t i = 0; i < count; i++)
        if (mr_words_hold(words, list[i]))
            return true;
    return false;
}

bool mr_words_negated(const char *words) {
    static const char *const no[] = {"not",  "un",   "non",  "no",  "nicht", "pas",
                                     "niet", "inte", "ikke", "nie", "never", "without"};
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ') {
        const size_t n = strcspn(w, " ");
        const bool numbers = n == 2 && memcmp(w, "no", 2) == 0 && w[n] && mr_is_digit(w[n + 1]); /* "area no 2" */
        if (!numbers && mr_word_among(w, n, no, MR_COUNT(no)))
            return true;
    }
    return false;
}

/* Short common words count only as a whole header: "to" in "time to peak" says nothing. */
static bool too_short(const char *pattern, bool at_edge) {
    static const char *const common[] = {"no", "to", "by", "on", "of", "is", "at",
                                         "in", "nr", "id", "up", "ok", "a b"};
    size_t n = strlen(pattern);
    for (size_t i = 0; i < MR_COUNT(common); i++)
        if (strcmp(pattern, common[i]) == 0)
            return true;
    return n < (at_edge ? 2U : 4U);
}

int mr_words_match(const char *words, const char *pattern) {
    size_t covered = match_here(words, pattern), total = strlen(words);
    int length = (int)strlen(pattern);
    length = length < 80 ? length : 80;
    if (covered == total && total)
        return MR_MATCH_WHOLE + length;
    if (covered && !too_short(pattern, true))
        return 400 + 4 * length;
    for (const char *w = words; *w;) {
        size_t k = match_here(w, pattern);
        bool last = k && !w[k];
        if (k && !too_short(pattern, last))
            return (last ? 400 : 300) + 4 * length;
        w += word_length(w);
        w += *w == ' ';
    }
    return 0;
}

/* "0.1 degrees", "tenths of a degree": the numbers are not in the unit itself. */
bool mr_text_scaled(struct mr_arena *arena, const char *text) {
    static const char *const marks[] = {"0.1",    "0,1",       "0.01",    "0,01",        "1/10", "1/100",
                                        "tenth",  "hundredth", "zehntel", "hundertstel", "dixi", "decim",
                                        "tiende", "tiond",     "x10",     "x 10",        "*10",  "* 10"};
    char *low = mr_unaccent(arena, text, strlen(text));
    for (char *c = low; *c; c++)
        *c = *c >= 'A' && *c <= 'Z' ? (char)(*c + 32) : *c;
    for (size_t i = 0; i < MR_COUNT(marks); i++)
        if (strstr(low, marks[i]))
            return true;
    return false;
}
