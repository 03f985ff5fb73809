/*
 * fuzz_timestamp.c - any bytes as a cell that should hold a date, a clock time, an epoch, an elapsed time or a
 * number.
 *
 * Laws: nothing outside the cell is read (the sanitizers watch a copy of its exact size); what is accepted is a
 * moment that exists; an accepted moment, written again in ISO form, reads back as itself.
 */
#include "fuzz/fuzz.h"

#include "base/text.h"
#include "normalise/cell/number.h"
#include "normalise/cell/when.h"

#include <math.h>
#include <string.h>

static void reads_back(int64_t t_ms) {
    char text[32];
    struct mr_when again;
    int64_t day;
    mr_when_text(t_ms, text);
    FUZZ_CHECK(mr_when_scan(text, strlen(text), &again) && again.has_date && again.has_clock);
    FUZZ_CHECK(mr_date_day(&again.date, MR_ORDER_YMD, &day) && day * MR_DAY_MS + again.clock_ms == t_ms);
}

static void as_moment(const char *text, size_t n) {
    struct mr_when w;
    if (!mr_when_scan(text, n, &w))
        return;
    FUZZ_CHECK(w.has_date || w.has_clock);
    FUZZ_CHECK(w.clock_ms >= 0 && w.clock_ms <= MR_DAY_MS);
    FUZZ_CHECK(w.offset_min >= -15 * 60 && w.offset_min <= 15 * 60);
    size_t readings = 0;
    for (enum mr_order o = MR_ORDER_YMD; w.has_date && o < MR_ORDER_COUNT; o++) {
        int64_t day;
        if (!mr_date_day(&w.date, o, &day))
            continue;
        readings++;
        int y, m, d;
        mr_civil_from_days(day, &y, &m, &d);
        if (y >= 1000 && y < 9999) /* ISO needs four digits */
            reads_back(day * MR_DAY_MS + w.clock_ms);
    }
    FUZZ_CHECK(!w.has_date || readings > 0);
}

static void as_number(const char *text, size_t n) {
    static const struct mr_number_style styles[] = {
        {'.', false}, {',', false}, {'.', true}, {',', true}, {'?', true}};
    for (size_t i = 0; i < MR_COUNT(styles); i++) {
        struct mr_number x;
        enum mr_num what = mr_number_scan(text, n, styles[i], &x);
        if (what == MR_NUM_OK || what == MR_NUM_MIXED)
            FUZZ_CHECK(isfinite(x.value) &&
                       (x.unit == NULL || (x.unit_n > 0 && x.unit >= text && x.unit + x.unit_n <= text + n)));
    }
    mr_missing_listed("-9999, 0, none", text, n);
}

FUZZ_TARGET(timestamp) {
    if (size > 4096)
        return;
    char *text = malloc(size ? size : 1); /* exact, so that a sanitizer sees one byte too many */
    FUZZ_CHECK(text != NULL);
    memcpy(text, data, size);
    as_moment(text, size);
    as_number(text, size);
    int64_t ms;
    size_t used = 0;
    if (mr_epoch_scan(text, size, &ms))
        reads_back(ms);
    if (mr_duration_scan(text, size, &ms))
        FUZZ_CHECK(ms >= 0);
    if (mr_clock_scan(text, size, &ms, &used))
        FUZZ_CHECK(used <= size && ms >= 0 && ms <= MR_DAY_MS);
    free(text);
}
