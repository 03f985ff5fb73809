/*
 * missing_words.c - cells without a value: blank, dashes, OL, Err, sentinels of the -9999 family.
 */
#include "normalise/cell/number.h"

#include <string.h>

/* Words for "no value", folded to lower case; instruments' over-range marks and spreadsheets' error values. */
static const char *const missing_words[] = {
    "ol",       "o.l",     "o.l.",     "0l",       "overload", "over",  "overrange", "over range", "err",
    "error",    "err.",    "n/a",      "na",       "n.a.",     "n.a",   "#n/a",      "nan",        "null",
    "nil",      "none",    "blank",    "missing",  "inf",      "open",  "fail",      "invalid",    "no data",
    "no value", "nodata",  "#div/0!",  "#value!",  "#ref!",    "#num!", "#name?",    "#null!",     "1.#qnan",
    "1.#inf",   "-1.#ind", "nan(ind)", "infinity", "ur",       "under", "k.a.",      "keine",      "void",
};

bool mr_missing_word(const char *text, size_t n) {
    mr_trim(&text, &n);
    size_t marks = 0;
    for (size_t i = 0; i < n; i++)
        marks += strchr("-._*?~", text[i]) != NULL && text[i] != '\0';
    if (marks == n)
        return true;
    if (n >= 3 && n % 3 == 0) { /* en and em dashes */
        size_t dashes = 0;
        for (size_t i = 0; i + 3 <= n; i += 3)
            dashes += memcmp(text + i, "\xe2\x80\x93", 3) == 0 || memcmp(text + i, "\xe2\x80\x94", 3) == 0;
        if (dashes * 3 == n)
            return true;
    }
    if (n > 12)
        return false;
    if (n > 1 && (*text == '+' || *text == '-') && !(text[1] == '1')) {
        text++;
        n--;
    }
    if (n == 1 && *text == 'M') /* as weather stations write it; a small m is a metre */
        return true;
    for (size_t i = 0; i < MR_COUNT(missing_words); i++)
        if (mr_text_equal_fold(text, n, missing_words[i], strlen(missing_words[i])))
            return true;
    return false;
}

bool mr_over_range_word(const char *text, size_t n) {
    static const char *const words[] = {"ol",        "o.l",        "o.l.", "0l",   "overload", "over",
                                        "overrange", "over range", "inf",  "+inf", "infinity", "1.#inf"};
    mr_trim(&text, &n);
    for (size_t i = 0; i < MR_COUNT(words); i++)
        if (mr_text_equal_fold(text, n, words[i], strlen(words[i])))
            return true;
    return false;
}

bool mr_sentinel(const char *text, size_t n) {
    size_t i = 0, nines = 0;
    if (n < 5 || text[i++] != '-')
        return false;
    for (; i < n && text[i] == '9'; i++)
        nines++;
    if (nines < 4)
        return false;
    if (i < n && (text[i] == '.' || text[i] == ',')) {
        char first = i + 1 < n ? text[i + 1] : '0';
        if (first != '0' && first != '9')
            return false;
        for (i++; i < n && text[i] == first; i++)
            continue;
    }
    return i == n;
}

/* Bytes of a blank at text: ASCII blank, no-break space, thin and figure spaces, narrow no-break space; 0 = none. */
size_t mr_blank_at(const char *text, size_t n) {
    if (n && (*text == ' ' || *text == '\t' || *text == '\n' || *text == '\r'))
        return 1;
    if (n >= 2 && memcmp(text, "\xc2\xa0", 2) == 0)
        return 2;
    if (n >= 3 && memcmp(text, "\xe2\x80", 2) == 0) {
        unsigned char last = (unsigned char)text[2];
        if ((last >= 0x80 && last <= 0x8a) || last == 0xaf)
            return 3;
    }
    return 0;
}

void mr_trim(const char **text, size_t *n) {
    for (size_t k; (k = mr_blank_at(*text, *n)) > 0;) {
        *text += k;
        *n -= k;
    }
    for (bool more = true; more && *n;) {
        more = false;
        for (size_t k = 1; k <= 3 && k <= *n; k++)
            if (mr_blank_at(*text + *n - k, k) == k) {
                *n -= k;
                more = true;
                break;
            }
    }
}
