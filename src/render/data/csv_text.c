/*
 * csv_text.c - see csv_text.h.
 */
#include "render/data/csv_text.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

void mr_csv_cell(struct mr_buffer *out, const char *cell) {
    const bool quoted = strpbrk(cell, ",;\"\r\n\t") != NULL, formula = *cell && strchr("=+-@\t\r", *cell);
    mr_buffer_text(out, quoted ? "\"" : "");
    mr_buffer_text(out, formula ? "'" : "");
    for (size_t n; *cell; cell += n) {
        n = strcspn(cell, "\"");
        mr_buffer_add(out, cell, n);
        if (cell[n])
            mr_buffer_text(out, "\"\"");
        n += cell[n] != '\0';
    }
    mr_buffer_text(out, quoted ? "\"" : "");
}

char *mr_csv_digits(char *p, uint64_t value, int digits) {
    for (int i = digits; i-- > 0; value /= 10)
        p[i] = (char)('0' + value % 10);
    return p + digits;
}

void mr_csv_number(struct mr_buffer *out, double value) {
    char text[40], *p = text;
    const double size = fabs(value);
    if (!(size < 1e9)) {
        if (isfinite(value)) {
            mr_number_shortest(value, text);
            mr_buffer_text(out, text);
        }
        return;
    }
    const int decimals = size < 1e5 ? 9 : 6;
    const uint64_t one = size < 1e5 ? 1000000000 : 1000000, parts = (uint64_t)(size * (double)one + 0.5);
    uint64_t whole = parts / one;
    int digits = 1;
    for (uint64_t rest = whole; rest >= 10; rest /= 10)
        digits++;
    if (value < 0 && parts > 0)
        *p++ = '-';
    p = mr_csv_digits(p, whole, digits);
    if (parts % one) {
        *p++ = '.';
        p = mr_csv_digits(p, parts % one, decimals);
        while (p[-1] == '0')
            p--;
    }
    mr_buffer_add(out, text, (size_t)(p - text));
}
