/*
 * fuzz_numbers.c - any bytes as a number, a quantity, a moment.
 *
 * Law: what mr_scan_decimal accepts has the very value that the C library's strtod (correctly rounded in glibc) gives
 * for the same digits with a decimal point, bit for bit; what it refuses is no plain decimal number.
 */
#include "fuzz/fuzz.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

/* The grammar of mr_scan_decimal, written a second time. */
static bool is_decimal(const char *p, size_t n, char mark) {
    size_t i = 0, digits = 0;
    if (i < n && (p[i] == '+' || p[i] == '-'))
        i++;
    for (; i < n && p[i] >= '0' && p[i] <= '9'; i++)
        digits++;
    if (i < n && p[i] == mark)
        for (i++; i < n && p[i] >= '0' && p[i] <= '9'; i++)
            digits++;
    if (!digits)
        return false;
    if (i < n && (p[i] == 'e' || p[i] == 'E')) {
        i++;
        if (i < n && (p[i] == '+' || p[i] == '-'))
            i++;
        size_t from = i;
        while (i < n && p[i] >= '0' && p[i] <= '9')
            i++;
        if (i == from)
            return false;
    }
    return i == n;
}

static bool long_exponent(const char *text, size_t n) {
    size_t digits = 0;
    while (n && text[n - 1] >= '0' && text[n - 1] <= '9') {
        n--;
        digits++;
    }
    return digits > 5;
}

/* The value of the text by strtod. */
static double by_strtod(const char *text, size_t n, char mark) {
    char *copy = malloc(n + 1);
    memcpy(copy, text, n);
    copy[n] = '\0';
    for (size_t i = 0; i < n; i++)
        copy[i] = copy[i] == mark ? '.' : copy[i];
    double value = strtod(copy, NULL);
    free(copy);
    return value;
}

/* Refused may be what overflows, exponents of more than five digits, and texts longer than any number is written. */
static void check_decimal(const char *text, size_t n, char mark) {
    double got = 0;
    if (!mr_scan_decimal(text, n, mark, &got)) {
        FUZZ_CHECK(!is_decimal(text, n, mark) || n > 40 || isinf(by_strtod(text, n, mark)) || long_exponent(text, n));
        return;
    }
    FUZZ_CHECK(is_decimal(text, n, mark));
    double want = by_strtod(text, n, mark);
    FUZZ_CHECK(memcmp(&got, &want, sizeof got) == 0);
}

FUZZ_TARGET(numbers) {
    const char *text = (const char *)data;
    enum mr_unit unit;
    double written;
    int64_t ms;
    check_decimal(text, size, '.');
    check_decimal(text, size, ',');
    for (int dim = MR_DIM_NONE; dim <= MR_DIM_DURATION; dim++) {
        const char *wrong = mr_scan_quantity(text, size, &unit, dim, &written);
        FUZZ_CHECK(wrong || dim == MR_DIM_NONE || (int)mr_unit_dim(unit) == dim);
    }
    if (mr_scan_iso_local(text, size, &ms))
        FUZZ_CHECK(ms >= -62135596800000 && ms < 253402300800000); /* years 1 to 9999 */
    (void)mr_unit_find(text, size, &unit);
}
