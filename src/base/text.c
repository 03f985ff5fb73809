/*
 * text.c - exact scanners. A decimal of at most 15 digits and a power of ten up to 10^22 are both exact doubles, so
 * one division or product gives the correctly rounded value (the classic fast path); all else goes to g_ascii_strtod,
 * which ignores the locale. That is several times faster than strtod on what instruments write.
 */
#include "base/text.h"

#include "base/utf8.h"

#include <glib.h>
#include <math.h>
#include <string.h>

static const double tens[] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                              1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

static bool scan_slow(const char *text, size_t n, char decimal_mark, double *out) {
    char copy[512];
    if (n >= sizeof copy)
        return false;
    memcpy(copy, text, n);
    copy[n] = '\0';
    for (size_t i = 0; i < n; i++)
        if (copy[i] == decimal_mark)
            copy[i] = '.';
    char *end;
    double value = g_ascii_strtod(copy, &end);
    if (end != copy + n || !isfinite(value))
        return false;
    *out = value;
    return true;
}

bool mr_scan_decimal(const char *text, size_t n, char decimal_mark, double *out) {
    size_t i = 0, digits = 0, significant = 0;
    bool minus = false;
    uint64_t mantissa = 0;
    int scale = 0;
    if (i < n && (text[i] == '-' || text[i] == '+'))
        minus = text[i++] == '-';
    for (; i < n && mr_is_digit(text[i]); i++, digits++) {
        significant += significant || text[i] != '0';
        if (significant <= 18)
            mantissa = mantissa * 10 + (uint64_t)(text[i] - '0');
    }
    if (i < n && text[i] == decimal_mark) {
        for (i++; i < n && mr_is_digit(text[i]); i++, digits++) {
            significant += significant || text[i] != '0';
            if (significant <= 18)
                mantissa = mantissa * 10 + (uint64_t)(text[i] - '0');
            scale--;
        }
    }
    if (digits == 0)
        return false;
    if (i < n && (text[i] == 'e' || text[i] == 'E')) {
        int sign = 1, exponent = 0;
        i++;
        if (i < n && (text[i] == '-' || text[i] == '+'))
            sign = text[i++] == '-' ? -1 : 1;
        size_t start = i;
        for (; i < n && mr_is_digit(text[i]) && i - start < 5; i++)
            exponent = exponent * 10 + (text[i] - '0');
        if (i == start)
            return false;
        scale += sign * exponent;
    }
    if (i != n)
        return false;
    if (significant > 15 || scale < -22 || scale > 22)
        return scan_slow(text, n, decimal_mark, out);
    double value = scale < 0 ? (double)mantissa / tens[-scale] : (double)mantissa * tens[scale];
    *out = minus ? -value : value;
    return true;
}

/* count as digits, the last decimals of them behind a point. */
static void put_digits(uint64_t count, int decimals, bool minus, char out[32]) {
    char digits[24];
    int n = 0, at = 0;
    for (; count || n <= decimals; count /= 10)
        digits[n++] = (char)('0' + count % 10);
    if (minus)
        out[at++] = '-';
    while (n > 0) {
        out[at++] = digits[--n];
        if (n == decimals && n > 0)
            out[at++] = '.';
    }
    out[at] = '\0';
}

/* Most numbers have a few decimals. A decimal of at most 15 digits that reads back as the number is the only one, and
 * the division below rounds as reading does. */
static bool put_few_decimals(double value, char out[32]) {
    enum { FEW = 4 };
    const double size = fabs(value);
    if (!(size < 1e10) || (size < 1e-3 && (size > 0 || signbit(value))))
        return false;
    for (int d = 0; d <= FEW; d++) {
        const double count = nearbyint(size * tens[d]);
        if (memcmp(&(double){count / tens[d]}, &size, sizeof size) != 0)
            continue;
        put_digits((uint64_t)count, d, value < 0, out);
        return true;
    }
    return false;
}

void mr_number_shortest(double value, char out[32]) {
    if (put_few_decimals(value, out))
        return;
    static const char *const formats[] = {"%.15g", "%.16g", "%.17g"};
    for (size_t i = 0; i < sizeof formats / sizeof formats[0]; i++) {
        g_ascii_formatd(out, 32, formats[i], value);
        const double back = g_ascii_strtod(out, NULL);
        if (memcmp(&back, &value, sizeof back) == 0)
            return;
    }
}

/* Days between civil dates by counting years from March, so that the leap day ends the year. */
int64_t mr_days_from_civil(int year, int month, int day) {
    int64_t y = month <= 2 ? year - 1 : year;
    int64_t era = (y >= 0 ? y : y - 399) / 400;
    int64_t year_of_era = y - era * 400;
    int64_t day_of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    int64_t day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    return era * 146097 + day_of_era - 719468;
}

void mr_civil_from_days(int64_t days, int *out_year, int *out_month, int *out_day) {
    int64_t z = days + 719468;
    int64_t era = (z >= 0 ? z : z - 146096) / 146097;
    int64_t day_of_era = z - era * 146097;
    int64_t year_of_era = (day_of_era - day_of_era / 1460 + day_of_era / 36524 - day_of_era / 146096) / 365;
    int64_t day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    int64_t shifted = (5 * day_of_year + 2) / 153;
    *out_day = (int)(day_of_year - (153 * shifted + 2) / 5 + 1);
    *out_month = (int)(shifted < 10 ? shifted + 3 : shifted - 9);
    *out_year = (int)(year_of_era + era * 400 + (*out_month <= 2));
}

void mr_date_text(int64_t local_ms, char out[MR_DATE_TEXT]) {
    int year, month, day;
    mr_civil_from_days(local_ms / MR_DAY_MS - (local_ms % MR_DAY_MS < 0), &year, &month, &day);
    snprintf(out, MR_DATE_TEXT, "%04d-%02d-%02d", year, month, day);
}

void mr_duration_text(double ms, char out[MR_DURATION_TEXT]) {
    if (isnan(ms))
        snprintf(out, MR_DURATION_TEXT, "?");
    else if (ms < 120e3)
        snprintf(out, MR_DURATION_TEXT, "%.3g s", ms / 1e3);
    else if (ms < 120 * 60e3)
        snprintf(out, MR_DURATION_TEXT, "%.1f min", ms / 60e3);
    else
        snprintf(out, MR_DURATION_TEXT, "%.1f h", ms / 3600e3);
}

int mr_days_in_month(int year, int month) {
    static const int days[] = {0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    if (month < 1 || month > 12)
        return 0;
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return days[month] + (month == 2 && leap);
}

static bool fixed_int(const char *p, size_t n, int *out) {
    *out = 0;
    for (size_t i = 0; i < n; i++) {
        if (!mr_is_digit(p[i]))
            return false;
        *out = *out * 10 + (p[i] - '0');
    }
    return true;
}

bool mr_scan_iso_local(const char *text, size_t n, int64_t *out_local_ms) {
    int year, month, day, hour = 0, minute = 0, second = 0, ms = 0;
    if (n < 10 || text[4] != '-' || text[7] != '-' || !fixed_int(text, 4, &year) || !fixed_int(text + 5, 2, &month) ||
        !fixed_int(text + 8, 2, &day) || year < 1 || day < 1 || day > mr_days_in_month(year, month))
        return false;
    if (n > 10) {
        if (n < 16 || (text[10] != ' ' && text[10] != 'T') || text[13] != ':' || !fixed_int(text + 11, 2, &hour) ||
            !fixed_int(text + 14, 2, &minute) || hour > 24 || minute > 59)
            return false;
        if (n > 16 && (n < 19 || text[16] != ':' || !fixed_int(text + 17, 2, &second) || second > 59))
            return false;
        if (n > 19) {
            size_t digits = n - 20;
            if (text[19] != '.' || digits < 1 || digits > 3 || !fixed_int(text + 20, digits, &ms))
                return false;
            for (; digits < 3; digits++)
                ms *= 10;
        }
        if (hour == 24 && (minute || second || ms))
            return false;
    }
    *out_local_ms = (((mr_days_from_civil(year, month, day) * 24 + hour) * 60 + minute) * 60 + second) * 1000 + ms;
    return true;
}

const char *mr_scan_quantity(const char *text, size_t n, enum mr_unit *unit_out, int dim, double *written_out) {
    size_t i = 0;
    while (i < n && (mr_is_digit(text[i]) || strchr("+-.,", text[i]) ||
                     ((text[i] == 'e' || text[i] == 'E') && i > 0 && mr_is_digit(text[i - 1]) && i + 1 < n &&
                      (mr_is_digit(text[i + 1]) || text[i + 1] == '-' || text[i + 1] == '+'))))
        i++;
    if (memchr(text, ',', i))
        return "the number contains a comma; write a point for decimals and nothing between thousands";
    if (!mr_scan_decimal(text, i, '.', written_out))
        return "there is no number here";
    while (i < n && text[i] == ' ')
        i++;
    *unit_out = MR_UNIT_NONE;
    if (dim == MR_DIM_NONE)
        return i == n ? NULL : "expected a plain number without a unit";
    if (i == n)
        return "the unit is missing";
    if (!mr_unit_parse(text + i, n - i, (enum mr_dim)dim, unit_out))
        return "the unit does not fit this value";
    return NULL;
}

static char lower(char c) {
    return c >= 'A' && c <= 'Z' ? (char)(c + 32) : c;
}

bool mr_word_among(const char *word, size_t n, const char *const *list, size_t count) {
    for (size_t i = 0; i < count; i++)
        if (strlen(list[i]) == n && memcmp(list[i], word, n) == 0)
            return true;
    return false;
}

bool mr_day_is_over(int64_t day_local_ms, int64_t t_local_ms) {
    return day_local_ms != MR_T_NONE && t_local_ms != MR_T_NONE && t_local_ms >= day_local_ms + MR_DAY_MS;
}

bool mr_text_equal_fold(const char *a, size_t a_n, const char *b, size_t b_n) {
    if (a_n != b_n)
        return false;
    for (size_t i = 0; i < a_n; i++)
        if (lower(a[i]) != lower(b[i]))
            return false;
    return true;
}

/* Backtracks only to the last star of each kind, so the cost is bounded by the product of the lengths. */
bool mr_glob(const char *pattern, const char *path) {
    const char *star = NULL, *star_at = NULL, *deep = NULL, *deep_at = NULL;
    while (*path) {
        if (pattern[0] == '*' && pattern[1] == '*') {
            pattern += 2;
            if (*pattern == '/')
                pattern++;
            deep = pattern;
            deep_at = path;
            star = NULL;
        } else if (*pattern == '*') {
            star = ++pattern;
            star_at = path;
        } else if ((*pattern == '?' && *path != '/') || (*pattern && lower(*pattern) == lower(*path))) {
            pattern++;
            path++;
        } else if (star && *star_at != '/') {
            pattern = star;
            path = ++star_at;
        } else if (deep) {
            pattern = deep;
            path = ++deep_at;
            star = NULL;
        } else {
            return false;
        }
    }
    while (*pattern == '*')
        pattern++;
    return *pattern == '\0';
}
