#include "read/shape/cellkind.h"

#include "base/text.h"

#include <string.h>

static bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

bool mr_cell_is(const struct mr_cell *cell, const char *word) {
    return mr_text_equal_fold(cell->p, cell->n, word, strlen(word));
}

bool mr_cell_is_rule(const struct mr_cell *cell) {
    if (cell->n < 3)
        return false;
    for (uint32_t i = 0; i < cell->n; i++)
        if (!strchr("-=_*+~ ", cell->p[i]) || !cell->p[i])
            return false;
    return true;
}

static bool is_missing(const struct mr_cell *cell) {
    static const char *const words[] = {"",    "-",    "--",    "---", "ol",   "n/a", "na",   "nan", "null",
                                        "err", "err.", "error", "*",   "none", "?",   "--.-", "-.-"};
    for (size_t i = 0; i < MR_COUNT(words); i++)
        if (mr_cell_is(cell, words[i]))
            return true;
    bool missing_m = cell->n == 1 && *cell->p == 'M'; /* of weather stations; a small m is a metre */
    return missing_m || (cell->n < 8 && mr_cell_is_rule(cell));
}

/* Bytes of one number at p, 0 where none stands there. */
static size_t number_at(const char *p, size_t n) {
    size_t i = 0, digits = 0;
    if (i < n && (p[i] == '-' || p[i] == '+'))
        i++;
    else if (n >= 3 && memcmp(p, "\xE2\x88\x92", 3) == 0) /* U+2212, minus sign */
        i = 3;
    for (; i < n && (mr_is_digit(p[i]) || p[i] == '.' || p[i] == ',' || p[i] == '\''); i++)
        digits += mr_is_digit(p[i]);
    if (!digits)
        return 0;
    if (i + 1 < n && (p[i] == 'e' || p[i] == 'E')) {
        size_t k = i + 1 + (p[i + 1] == '-' || p[i + 1] == '+');
        if (k < n && mr_is_digit(p[k]))
            for (i = k; i < n && mr_is_digit(p[i]);)
                i++;
    }
    return i;
}

/* Numbers parted by blanks, the last one maybe with a short unit; before the first a mark: <50, ~214, (216). */
static bool is_number(const struct mr_cell *cell) {
    const char *p = cell->p;
    size_t n = cell->n;
    if (n > 1 && (*p == '<' || *p == '>' || *p == '~' || (*p == '(' && p[n - 1] == ')'))) {
        n -= *p == '(' ? 2 : 1;
        p++;
    }
    for (bool point = false;;) {
        size_t len = number_at(p, n);
        if (!len)
            return false;
        point = p[len - 1] == '.';
        p += len;
        n -= len;
        bool gap = false;
        for (; n && (*p == ' ' || *p == '\t'); p++, n--)
            gap = true;
        if (!n)
            return true;
        if (!gap || !number_at(p, n))                        /* a unit; but "2. MONTH" is an item of a list */
            return n <= 8 && !strchr("-/:;|", *p) && !point; /* "291667;20" is two cells of another delimiter */
    }
}

/* A whole line of a table whose columns stand at fixed places: three parts or more, half of them numbers. */
static bool is_number_line(const struct mr_cell *cell) {
    size_t parts = 0, numbers = 0;
    for (uint32_t i = 0; i < cell->n;) {
        uint32_t from = i;
        while (i < cell->n && cell->p[i] != ' ' && cell->p[i] != '\t')
            i++;
        numbers += i > from && number_at(cell->p + from, i - from) == i - from;
        parts += i > from;
        i++;
    }
    return parts >= 3 && 2 * numbers >= parts;
}

/* Letters that a time may hold: month and day names begin with three known ones, and there are AM, PM, T, Z, UTC,
 * GMT.
 */
static bool time_word(const char *p, size_t n) {
    static const char *const words[] = {"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov",
                                        "dec", "mon", "tue", "wed", "thu", "fri", "sat", "sun", "am",  "pm",  "t",
                                        "z",   "utc", "gmt", "a",   "p",   "th",  "st",  "nd",  "rd",  "h"};
    for (size_t i = 0; i < MR_COUNT(words); i++) {
        size_t len = strlen(words[i]);
        if (n >= len && mr_text_equal_fold(p, len, words[i], len) && (n == len || (len == 3 && n <= 9)))
            return true;
    }
    return false;
}

static bool is_time(const struct mr_cell *cell) {
    size_t colons = 0, parts = 0, digits = 0, words = 0;
    char last = 0;
    for (uint32_t i = 0; i < cell->n;) {
        char c = cell->p[i];
        if (is_letter(c)) {
            uint32_t from = i;
            while (i < cell->n && is_letter(cell->p[i]))
                i++;
            if (!time_word(cell->p + from, i - from))
                return false;
            words += i - from >= 3;
            continue;
        }
        if (mr_is_digit(c))
            digits++;
        else if (!strchr("-/.:+, ", c) || !c)
            return false;
        colons += c == ':';
        parts += strchr("-/.", c) && mr_is_digit(last);
        last = c;
        i++;
    }
    return digits >= 3 && cell->n <= 40 && (colons || parts >= 2 || (words && digits >= 3));
}

enum mr_cell_kind mr_cell_kind(const struct mr_cell *cell, bool whole_line) {
    if (is_missing(cell))
        return MR_CELL_MISSING;
    if (is_time(cell))
        return MR_CELL_TIME;
    return is_number(cell) || (whole_line && is_number_line(cell)) ? MR_CELL_NUMBER : MR_CELL_WORD;
}

bool mr_number_marks(const struct mr_cell *cell, char *out_mark, int *out_decimals) {
    const char *p = cell->p;
    size_t n = cell->n, points = 0, commas = 0, before = 0;
    char last = 0;
    int behind = 0;
    if (number_at(p, n) != n)
        return false;
    bool exponent = memchr(p, 'e', n) || memchr(p, 'E', n);
    for (size_t i = 0; i < n; i++) {
        if (p[i] == '.' || p[i] == ',') {
            *(p[i] == '.' ? &points : &commas) += 1;
            last = p[i];
            behind = 0;
        } else if (mr_is_digit(p[i])) {
            behind += last != 0;
            before += !last;
        }
    }
    *out_decimals = last ? behind : 0;
    *out_mark = 0;
    size_t of_last = last == '.' ? points : commas;
    bool leading_zero = before == 1 && n && p[n - 1 - (size_t)behind - (last != 0)] == '0';
    if (last && of_last == 1 && !exponent &&
        (behind != 3 || before == 0 || before > 3 || leading_zero || points + commas > 1))
        *out_mark = last;
    return true;
}
