/*
 * when_clock.c - clock times, zones, epochs and durations as text.
 */
#include "normalise/cell/when_scan.h"

#include "base/text.h"

#include <stdio.h>

/* AM or PM in any spelling; 0 none, 1 AM, 2 PM. */
static int take_half_day(struct scan *s) {
    struct scan t = *s;
    skip_blanks(&t);
    if (t.p >= t.end)
        return 0;
    char c = (char)(*t.p | 0x20);
    if (c != 'a' && c != 'p')
        return 0;
    t.p++;
    take_char(&t, '.');
    skip_blanks(&t);
    if (t.p < t.end && (*t.p | 0x20) == 'm') {
        t.p++;
        take_char(&t, '.');
    }
    if (t.p < t.end && is_letter(*t.p))
        return 0;
    *s = t;
    return c == 'a' ? 1 : 2;
}

static int64_t take_fraction(struct scan *s) {
    int64_t ms = 0, scale = 100;
    for (; s->p < s->end && mr_is_digit(*s->p); s->p++, scale /= 10)
        ms += (*s->p - '0') * scale;
    return ms;
}

bool mr_take_clock(struct scan *s, int64_t *out_ms) {
    int hour, minute = 0, second = 0;
    int64_t ms = 0;
    size_t n = take_digits(s, 2, &hour);
    if (!n || (s->p < s->end && mr_is_digit(*s->p)))
        return false;
    char mark = s->p < s->end ? *s->p : '\0';
    bool minutes = false;
    if (mark == ':' || mark == '.' || mark == 'h' || mark == 'H') {
        struct scan t = {s->p + 1, s->end};
        minutes = take_digits(&t, 2, &minute) == 2 && !(t.p < t.end && mr_is_digit(*t.p));
        if (minutes || mark == 'h' || mark == 'H')
            *s = t;
        if (minutes && s->p < s->end && (*s->p == mark || (mark == 'h' && (*s->p == ':' || *s->p == 'm')))) {
            struct scan u = {s->p + 1, s->end};
            if (take_digits(&u, 2, &second) == 2) {
                *s = u;
                if (s->p + 1 < s->end && (*s->p == '.' || *s->p == ',' || *s->p == ':') && mr_is_digit(s->p[1])) {
                    s->p++;
                    ms = take_fraction(s);
                }
            }
        }
    }
    int half = take_half_day(s);
    if ((!minutes && !half && mark != 'h' && mark != 'H') || minute > 59 || second > 60 || (second == 60 && ms))
        return false; /* a leap second is the next day's first moment; within it no clock of ours tells */
    if (half && (hour < 1 || hour > 12))
        return false;
    if (half)
        hour = hour % 12 + (half == 2 ? 12 : 0);
    if (hour > 24 || (hour == 24 && (minute || second || ms)))
        return false;
    *out_ms = ((int64_t)hour * 3600 + minute * 60 + second) * 1000 + ms;
    return true;
}

bool mr_clock_scan(const char *text, size_t n, int64_t *out_ms, size_t *used) {
    struct scan s = {text, text + n};
    if (!mr_take_clock(&s, out_ms))
        return false;
    *used = (size_t)(s.p - text);
    return true;
}

bool mr_clock_plain(const char *text, size_t n, int64_t *out_ms) {
    struct scan s = {text, text + n};
    int hour, minute, second = 0;
    if (n == 3) {
        take_digits(&s, 1, &hour);
    } else if (n == 4 || n == 6) {
        take_digits(&s, 2, &hour);
    } else {
        return false;
    }
    if (take_digits(&s, 2, &minute) != 2 || (n == 6 && take_digits(&s, 2, &second) != 2) || s.p != s.end)
        return false;
    if (hour > 24 || minute > 59 || second > 59 || (hour == 24 && (minute || second)))
        return false;
    *out_ms = ((int64_t)hour * 3600 + minute * 60 + second) * 1000;
    return true;
}

bool mr_clock_figures(const char *text, size_t n, int64_t *out_ms) {
    char four[4];
    if (n == 0 || n > 4)
        return n == 6 && mr_clock_plain(text, n, out_ms);
    memset(four, '0', 4);
    memcpy(four + 4 - n, text, n);
    return mr_clock_plain(four, 4, out_ms);
}

/* "Z", "UTC", "+02:00", "-0500", "+02", "UTC+2", "GMT". */
bool mr_take_zone(struct scan *s, struct mr_when *out) {
    skip_blanks(s);
    if (s->p >= s->end)
        return true;
    size_t n = letters(s);
    if (n) {
        if (!word_is(s->p, n, "z") && !word_is(s->p, n, "utc") && !word_is(s->p, n, "gmt"))
            return false;
        out->has_zone = true;
        s->p += n;
        skip_blanks(s);
    }
    if (s->p >= s->end)
        return true;
    int sign = 0, hours, minutes = 0;
    if (take_char(s, '+'))
        sign = 1;
    else if ((out->has_date || n) && take_char(s, '-')) /* "09:10-09:32" is from and to */
        sign = -1;
    else if (s->end - s->p > 3 && memcmp(s->p, "\xe2\x88\x92", 3) == 0)
        sign = -1, s->p += 3;
    if (!sign || !take_digits(s, 2, &hours))
        return false;
    take_char(s, ':');
    if (s->p < s->end && take_digits(s, 2, &minutes) != 2)
        return false;
    if (hours > 14 || minutes % 15 != 0 || minutes > 59)
        return false;
    out->offset_min = sign * (hours * 60 + minutes);
    out->has_zone = true;
    return s->p == s->end;
}

bool mr_take_compact_clock(struct scan *s, int64_t *out_ms) {
    size_t run = digit_run(s);
    if ((run != 4 && run != 6) || !mr_clock_plain(s->p, run, out_ms))
        return false;
    s->p += run;
    if (run == 6 && s->p + 1 < s->end && (*s->p == '.' || *s->p == ',') && mr_is_digit(s->p[1])) {
        s->p++;
        *out_ms += take_fraction(s);
    }
    return true;
}

bool mr_epoch_scan(const char *text, size_t n, int64_t *out_utc_ms) {
    int64_t whole = 0;
    size_t i = 0;
    for (; i < n && mr_is_digit(text[i]) && i < 15; i++)
        whole = whole * 10 + (text[i] - '0');
    size_t digits = i;
    int64_t ms = 0;
    if (digits < 9 || digits > 14)
        return false;
    if (i < n && (text[i] == '.' || text[i] == ',') && i + 1 < n) {
        struct scan s = {text + i + 1, text + n};
        ms = take_fraction(&s);
        i = (size_t)(s.p - text);
    }
    if (i != n)
        return false;
    const int64_t from = INT64_C(631152000000), to = INT64_C(4102444800000); /* 1990, 2100 */
    *out_utc_ms = digits <= 11 ? whole * 1000 + ms : whole;
    return *out_utc_ms >= from && *out_utc_ms < to;
}

bool mr_duration_scan(const char *text, size_t n, int64_t *out_ms) {
    struct scan s = {text, text + n};
    int part[4] = {0};
    size_t parts = 0;
    bool days = false;
    while (parts < 4) {
        size_t k = take_digits(&s, 7, &part[parts]);
        if (!k || (parts && k != 2))
            return false;
        parts++;
        if (parts == 1 && s.p < s.end && (*s.p == '.' || *s.p == 'd' || *s.p == ' ') &&
            memchr(s.p, ':', (size_t)(s.end - s.p))) {
            days = true;
            s.p++;
            skip_blanks(&s);
        } else if (!take_char(&s, ':')) {
            break;
        }
    }
    int64_t ms = 0;
    if (s.p < s.end && (*s.p == '.' || *s.p == ',')) {
        s.p++;
        ms = take_fraction(&s);
    }
    if (s.p != s.end || parts < 2)
        return false;
    int64_t total = 0;
    size_t first = days ? 1 : 0;
    for (size_t i = first; i < parts; i++)
        total = total * 60 + part[i];
    *out_ms = total * 1000 + ms + (days ? part[0] * MR_DAY_MS : 0);
    return true;
}

void mr_when_text(int64_t t_ms, char out[32]) {
    if (t_ms == MR_T_NONE) {
        snprintf(out, 32, "no time");
        return;
    }
    int64_t day = t_ms >= 0 ? t_ms / MR_DAY_MS : -((-t_ms + MR_DAY_MS - 1) / MR_DAY_MS), ms = t_ms - day * MR_DAY_MS;
    int year, month, d;
    mr_civil_from_days(day, &year, &month, &d);
    int n = snprintf(out, 32, "%04d-%02d-%02d %02d:%02d:%02d", year, month, d, (int)(ms / 3600000),
                     (int)(ms / 60000 % 60), (int)(ms / 1000 % 60));
    if (ms % 1000 && n > 0 && n < 27)
        snprintf(out + n, 32 - (size_t)n, ".%03d", (int)(ms % 1000));
}
