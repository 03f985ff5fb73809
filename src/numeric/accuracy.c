/*
 * accuracy.c - see accuracy.h.
 */
#include "numeric/accuracy.h"

#include "base/text.h"
#include "numeric/exact_decimal.h"

#include <math.h>
#include <string.h>

const char *mr_accuracy_scan(const char *text, struct mr_accuracy *out) {
    struct mr_accuracy sum = {0};
    for (const char *at = text; *at;) {
        size_t n = strcspn(at, "+"), skip = n + (at[n] ? 1 : 0);
        while (n > 0 && (*at == ' ' || at[n - 1] == ' ')) {
            bool front = *at == ' ';
            at += front;
            skip -= front;
            n--;
        }
        bool percent = n > 0 && at[n - 1] == '%';
        double written;
        enum mr_unit unit;
        int64_t part;
        const char *why = mr_scan_quantity(at, n, &unit, percent ? MR_DIM_SHARE : MR_DIM_FILM, &written);
        if (why)
            return why;
        if (!(written >= 0 && mr_to_canonical(unit, written) <= (percent ? 100.0 : 1e4)))
            return "is outside the allowed range";
        if (!(percent ? mr_decimal_scaled(written, 3, &part) : mr_film_quanta(written, unit, &part)))
            return "has more digits than can be kept";
        *(percent ? &sum.percent : &sum.quanta) += part;
        sum.known = true;
        at += skip;
    }
    *out = sum;
    return NULL;
}

double mr_accuracy_um(const struct mr_accuracy *accuracy, double value_um) {
    if (!accuracy->known)
        return MR_NAN;
    return (double)accuracy->quanta / MR_QUANTA_PER_UM + fabs(value_um) * (double)accuracy->percent / 100000;
}
