/*
 * number.c - numbers as instruments write them. A plain decimal in the column's own mark goes straight to the exact
 * scanner of base/text.h; everything below that first line is for the rest: signs beyond ASCII, thousands marks,
 * units in the cell, words for "no value". What is left of a number after its marks are sorted out is handed to the
 * same exact scanner, so there is one rounding only.
 */
#include "normalise/cell/number.h"

#include "base/utf8.h"

#include <string.h>

enum { NUMBER_MAX = 96 };

/* A number taken apart: digits and marks copied, the rest measured. */
struct number_parts {
    char text[NUMBER_MAX]; /* digits, '.', ',' and 'g' for a blank or apostrophe between groups */
    size_t n, points, commas, groups;
    char exponent[8];
    size_t exponent_n;
    bool minus;
    size_t used; /* bytes of the cell */
};

/* Bytes of a minus or plus at text; *minus is set for a minus. U+2212 minus, U+FE63 small, U+FF0D full width, en
 * dash.
 */
static size_t sign_at(const char *text, size_t n, bool *minus) {
    if (n && (*text == '-' || *text == '+')) {
        *minus = *text == '-';
        return 1;
    }
    static const char minuses[][4] = {"\xe2\x88\x92", "\xef\xb9\xa3", "\xef\xbc\x8d",
                                      "\xe2\x80\x93", "\xe2\x80\x90", "\xe2\x80\x91"};
    for (size_t i = 0; i < MR_COUNT(minuses) && n >= 3; i++)
        if (memcmp(text, minuses[i], 3) == 0) {
            *minus = true;
            return 3;
        }
    return 0;
}

/* A blank or apostrophe that stands between two digits groups thousands. */
static size_t group_at(const char *text, size_t n) {
    size_t k = n && *text == '\'' ? 1 : mr_blank_at(text, n);
    if (n >= 3 && memcmp(text, "\xe2\x80\x99", 3) == 0)
        k = 3;
    if (!k || n < k + 3)
        return 0;
    bool three = mr_is_digit(text[k]) && mr_is_digit(text[k + 1]) && mr_is_digit(text[k + 2]);
    return three && (n == k + 3 || !mr_is_digit(text[k + 3])) ? k : 0;
}

static void take_exponent(const char *text, size_t n, struct number_parts *p) {
    size_t i = p->used;
    if (i >= n || (text[i] != 'e' && text[i] != 'E'))
        return;
    p->exponent[p->exponent_n++] = 'e';
    i++;
    bool minus = false;
    size_t k = sign_at(text + i, n - i, &minus);
    i += k;
    if (minus)
        p->exponent[p->exponent_n++] = '-';
    size_t start = i;
    for (; i < n && mr_is_digit(text[i]) && i - start < 4; i++)
        p->exponent[p->exponent_n++] = text[i];
    if (i == start)
        p->exponent_n = 0; /* "5 e": the e begins a word */
    else
        p->used = i;
}

static bool take_apart(const char *text, size_t n, struct number_parts *p) {
    size_t i = sign_at(text, n, &p->minus);
    i += i && i < n ? mr_blank_at(text + i, n - i) : 0;
    size_t digits = 0;
    while (i < n && p->n + 1 < NUMBER_MAX) {
        size_t k = 1;
        if (mr_is_digit(text[i]))
            p->text[p->n++] = text[i], digits++;
        else if (text[i] == '.' && ++p->points)
            p->text[p->n++] = '.';
        else if (text[i] == ',' && ++p->commas)
            p->text[p->n++] = ',';
        else if (digits && mr_is_digit(text[i - 1]) && (k = group_at(text + i, n - i)) > 0 && ++p->groups)
            p->text[p->n++] = 'g';
        else
            break;
        i += k;
    }
    p->used = i;
    if (!digits || (i < n && mr_is_digit(text[i])))
        return false;
    take_exponent(text, n, p);
    return true;
}

/* Whether the digits before the fraction are grouped in threes by `group` and nothing else: 1,234,567. */
static bool well_grouped(const struct number_parts *p, char group, char mark) {
    size_t run = 0, groups = 0;
    for (size_t i = 0; i <= p->n; i++) {
        char c = i < p->n ? p->text[i] : mark;
        if (mr_is_digit(c)) {
            run++;
            continue;
        }
        if (run > 3 || run == 0 || (groups && run != 3))
            return false;
        if (c == mark)
            return groups > 0;
        if (c != group)
            return false;
        groups++;
        run = 0;
    }
    return false;
}

static bool convert(const struct number_parts *p, char mark, double *out) {
    char plain[NUMBER_MAX + 10];
    size_t n = 0;
    for (size_t i = 0; i < p->n; i++)
        if (mr_is_digit(p->text[i]) || p->text[i] == mark)
            plain[n++] = p->text[i] == mark ? '.' : p->text[i];
    memcpy(plain + n, p->exponent, p->exponent_n);
    n += p->exponent_n;
    if (!mr_scan_decimal(plain, n, '.', out))
        return false;
    if (p->minus)
        *out = -*out;
    return true;
}

/* The number under one mark, thousands marks allowed; false where it does not follow it. */
static bool under_mark(const struct number_parts *p, char mark, struct mr_number *out) {
    size_t marks = mark == '.' ? p->points : p->commas, others = mark == '.' ? p->commas : p->points;
    char other = mark == '.' ? ',' : '.';
    if (marks > 1 || (others && p->groups))
        return false;
    if (others && !well_grouped(p, other, mark))
        return false;
    if (p->groups && !well_grouped(p, 'g', mark))
        return false;
    out->mark = marks ? mark : 0;
    out->grouped = others || p->groups;
    return convert(p, mark, &out->value);
}

/* One mark with one to three digits before it and three after: "1,234" but not "0,234". */
static bool doubtful(const struct number_parts *p) {
    if (p->points + p->commas != 1 || p->groups || p->exponent_n)
        return false;
    size_t before = strcspn(p->text, ".,");
    return before >= 1 && before <= 3 && p->n == before + 4 && p->text[0] != '0';
}

static enum mr_num find_mark(const struct number_parts *p, struct mr_number *out) {
    char last = 0;
    for (size_t i = 0; i < p->n; i++)
        last = p->text[i] == '.' || p->text[i] == ',' ? p->text[i] : last;
    if (doubtful(p)) {
        out->doubtful = true;
        out->one_mark = last;
    }
    char first = last == ',' ? ',' : '.';
    if (under_mark(p, first, out))
        return MR_NUM_OK;
    return under_mark(p, first == '.' ? ',' : '.', out) ? MR_NUM_OK : MR_NUM_BAD;
}

static enum mr_num in_style(const struct number_parts *p, struct mr_number_style style, struct mr_number *out) {
    char other = style.mark == '.' ? ',' : '.';
    size_t others = style.mark == '.' ? p->commas : p->points;
    if (under_mark(p, style.mark, out)) {
        if (!others || style.grouped || out->mark || others > 1)
            return MR_NUM_OK;
        return MR_NUM_AMBIGUOUS;
    }
    return under_mark(p, other, out) ? MR_NUM_MIXED : MR_NUM_BAD;
}

/* Bytes of a sign that a tolerance follows. */
static size_t plus_minus_at(const char *text, size_t n) {
    static const char *const signs[] = {"\xc2\xb1", "+/-", "+-", "-/+"};
    for (size_t i = 0; i < MR_COUNT(signs); i++)
        if (n >= strlen(signs[i]) && memcmp(text, signs[i], strlen(signs[i])) == 0)
            return strlen(signs[i]);
    return 0;
}

/* "± 2 µm", "µm ± 2 µm", "± 3 %" behind a number: what is left of it is the unit, or nothing. */
static bool cut_tolerance(const char **rest, size_t *rest_n) {
    for (size_t i = 0; i < *rest_n; i++) {
        size_t k = plus_minus_at(*rest + i, *rest_n - i);
        if (!k)
            continue;
        const char *text = *rest + i + k;
        size_t n = *rest_n - i - k;
        struct number_parts p = {0};
        mr_trim(&text, &n);
        if (!take_apart(text, n, &p) || p.minus)
            return false;
        text += p.used;
        n -= p.used;
        mr_trim(&text, &n);
        if (!i) {
            *rest = text;
            *rest_n = n == 1 && *text == '%' ? 0 : n;
            return true;
        }
        *rest_n = i;
        mr_trim(rest, rest_n);
        return true;
    }
    return false;
}

enum mr_num mr_number_scan(const char *text, size_t n, struct mr_number_style style, struct mr_number *out) {
    *out = (struct mr_number){0};
    if (mr_scan_decimal(text, n, style.mark == '?' ? '.' : style.mark, &out->value) && style.mark != '?') {
        out->mark = memchr(text, style.mark, n) ? style.mark : 0;
        return out->value <= -9999.0 && mr_sentinel(text, n) ? MR_NUM_MISSING : MR_NUM_OK;
    }
    mr_trim(&text, &n);
    if (n >= 2 && *text == '\'' && text[1] != '\'') { /* a spreadsheet's mark for text */
        text++;
        n--;
    }
    if (mr_missing_word(text, n) || mr_sentinel(text, n))
        return MR_NUM_MISSING;
    struct number_parts p = {0};
    if (!take_apart(text, n, &p))
        return MR_NUM_BAD;
    const char *rest = text + p.used;
    size_t rest_n = n - p.used;
    mr_trim(&rest, &rest_n);
    out->tolerance = rest_n && cut_tolerance(&rest, &rest_n);
    if (rest_n) {
        if (rest_n > 24 || mr_is_digit(*rest) || strchr(".,:;/+-<>=", *rest))
            return MR_NUM_BAD;
        for (size_t i = 0; i + 1 < rest_n; i++) /* "m2" is a unit, the "l2.5" of a mistyped 112.5 is none */
            if (mr_is_digit(rest[i]))
                return MR_NUM_BAD;
        out->unit = rest;
        out->unit_n = rest_n;
    }
    return style.mark == '?' ? find_mark(&p, out) : in_style(&p, style, out);
}

/* --- numbers with marks
 * ---------------------------------------------------------------------------------------------
 */
