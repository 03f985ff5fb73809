/*
 * when.c - dates and clock times as instruments, spreadsheets and people write them. Month names in English, German, French,
 * Spanish, Italian and Dutch, short or long. No locale, no strptime: both would depend on the machine.
 */
#include "normalise/when.h"

#include "base/text.h"
#include "normalise/number.h"

#include <stdio.h>
#include <string.h>

struct scan {
    const char *p, *end;
};

static bool is_digit(char c) {
    return c >= '0' && c <= '9';
}

static bool is_letter(char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80;
}

static void skip_blanks(struct scan *s) {
    while (s->p < s->end && (*s->p == ' ' || *s->p == '\t'))
        s->p++;
}

/* Up to max digits; their number, 0 where none. */
static size_t take_digits(struct scan *s, size_t max, int *out) {
    size_t n = 0;
    int value = 0;
    while (s->p < s->end && is_digit(*s->p) && n < max) {
        value = value * 10 + (*s->p++ - '0');
        n++;
    }
    *out = value;
    return n;
}

static bool take_char(struct scan *s, char c) {
    if (s->p >= s->end || *s->p != c)
        return false;
    s->p++;
    return true;
}

const char *mr_order_text(enum mr_order order) {
    static const char *const texts[MR_ORDER_COUNT] = {"year-first", "month-first", "day-first"};
    return texts[order];
}

/* Month names: the shortest prefix that instruments write; a longer word that begins so, without further test, would take
 * "market" for March, so the full names stand beside them. */
static const char *const month_names[12][12] = {
    {"jan", "january", "januar", "janv", "janvier", "ene", "enero", "gen", "gennaio", "januari", "j\xc3\xa4n", "j\xc3\xa4nner"},
    {"feb", "february", "februar", "f\xc3\xa9v", "fev", "f\xc3\xa9vr", "f\xc3\xa9vrier", "febrero", "febbraio", "februari", "fevrier", 0},
    {"mar", "march", "m\xc3\xa4r", "mrz", "m\xc3\xa4rz", "maerz", "mars", "marzo", "mrt", "maart", "m\xc3\xa4rz.", 0},
    {"apr", "april", "avr", "avril", "abr", "abril", "aprile", 0, 0, 0, 0, 0},
    {"may", "mai", "mayo", "mag", "maggio", "mei", 0, 0, 0, 0, 0, 0},
    {"jun", "june", "juni", "juin", "junio", "giu", "giugno", 0, 0, 0, 0, 0},
    {"jul", "july", "juli", "juil", "juillet", "julio", "lug", "luglio", 0, 0, 0, 0},
    {"aug", "august", "ao\xc3\xbbt", "aout", "ago", "agosto", "augustus", "ao\xc3\xbb", 0, 0, 0, 0},
    {"sep", "sept", "september", "septembre", "septiembre", "set", "settembre", 0, 0, 0, 0, 0},
    {"oct", "october", "okt", "oktober", "octobre", "octubre", "ott", "ottobre", 0, 0, 0, 0},
    {"nov", "november", "novembre", "noviembre", 0, 0, 0, 0, 0, 0, 0, 0},
    {"dec", "december", "dez", "dezember", "d\xc3\xa9" "c", "d\xc3\xa9" "cembre", "decembre", "dic", "diciembre", "dicembre", 0, 0},
};

static const char *const weekdays[] = {
    "mon", "tue", "tues", "wed", "thu", "thur", "thurs", "fri", "sat", "sun", "monday", "tuesday", "wednesday", "thursday", "friday",
    "saturday", "sunday", "mo", "di", "mi", "do", "fr", "sa", "so", "montag", "dienstag", "mittwoch", "donnerstag", "freitag",
    "samstag", "sonntag", "lun", "mer", "jeu", "ven", "sam", "dim", "lundi", "mardi", "mercredi", "jeudi", "vendredi", "samedi",
    "dimanche",
};

/* Equal but for case; also of the two-byte letters that month names use (Ä ä, É é, Û û). */
static bool word_is(const char *text, size_t n, const char *word) {
    if (strlen(word) != n)
        return false;
    for (size_t i = 0; i < n; i++) {
        unsigned char a = (unsigned char)text[i], b = (unsigned char)word[i];
        if (a >= 'A' && a <= 'Z')
            a = (unsigned char)(a + 32);
        if (i && (unsigned char)text[i - 1] == 0xc3 && a >= 0x80 && a <= 0x9e)
            a = (unsigned char)(a + 0x20);
        if (a != b)
            return false;
    }
    return true;
}

static size_t letters(const struct scan *s) {
    size_t n = 0;
    while (s->p + n < s->end && is_letter(s->p[n]))
        n++;
    return n;
}

static int take_month(struct scan *s) {
    size_t n = letters(s);
    for (int m = 0; n && m < 12; m++)
        for (size_t i = 0; i < 12 && month_names[m][i]; i++)
            if (word_is(s->p, n, month_names[m][i])) {
                s->p += n;
                take_char(s, '.');
                return m + 1;
            }
    return 0;
}

static void skip_weekday(struct scan *s) {
    size_t n = letters(s);
    for (size_t i = 0; n && i < MR_COUNT(weekdays); i++)
        if (word_is(s->p, n, weekdays[i])) {
            s->p += n;
            take_char(s, '.');
            take_char(s, ',');
            skip_blanks(s);
            return;
        }
}

static int full_year(int year, size_t digits) {
    return digits == 2 ? year + (year < 70 ? 2000 : 1900) : year;
}

static bool valid_day(int year, int month, int day) {
    return year >= 1 && year <= 9999 && day >= 1 && day <= mr_days_in_month(year, month);
}

bool mr_date_day(const struct mr_date *d, enum mr_order order, int64_t *out_day) {
    int year = d->a, month = d->b, day = d->c;
    if (!d->fixed) {
        size_t digits = d->short_year ? 2 : 4;
        if (order == MR_ORDER_YMD && !d->short_year)
            return false;
        year = order == MR_ORDER_YMD ? full_year(d->a, 2) : full_year(d->c, digits);
        month = order == MR_ORDER_MDY ? d->a : d->b;
        day = order == MR_ORDER_YMD ? d->c : order == MR_ORDER_MDY ? d->b : d->a;
    }
    if (!valid_day(year, month, day))
        return false;
    *out_day = mr_days_from_civil(year, month, day);
    return true;
}

/* "May 11, 2026", "May 11 2026", and "May 11 14:03:20 2026", whose year the caller finds at the end. */
static bool month_then_day(struct scan *s, struct mr_date *d) {
    int month = take_month(s);
    if (!month)
        return false;
    while (s->p < s->end && strchr(" -/.", *s->p))
        s->p++;
    size_t n = take_digits(s, 2, &d->c);
    if (!n || (s->p < s->end && is_digit(*s->p)))
        return false;
    d->b = month;
    d->fixed = d->named = true;
    struct scan year = *s;
    while (year.p < year.end && strchr(" ,-/.", *year.p))
        year.p++;
    size_t digits = take_digits(&year, 4, &d->a);
    bool clock_follows = year.p < year.end && *year.p == ':';
    if ((digits == 4 || digits == 2) && !clock_follows) {
        d->a = full_year(d->a, digits);
        s->p = year.p;
    } else {
        d->a = 0; /* to be found after the clock */
    }
    return true;
}

/* The rest of a date whose first figures are taken: "11 May 2026", "2020 Okt 13", "11-May-26". */
static bool named_month(struct scan *s, int first, size_t first_digits, struct mr_date *d) {
    while (s->p < s->end && strchr(" -/.,", *s->p))
        s->p++;
    int month = take_month(s), last;
    if (!month)
        return false;
    while (s->p < s->end && strchr(" -/.,", *s->p))
        s->p++;
    size_t digits = take_digits(s, 4, &last);
    d->fixed = d->named = true;
    d->b = month;
    if (first_digits == 4) {
        d->a = first;
        d->c = last;
        return digits == 1 || digits == 2;
    }
    d->a = full_year(last, digits);
    d->c = first;
    return digits == 2 || digits == 4;
}

static bool compact_date(const char *p, struct mr_date *d) {
    struct scan s = {p, p + 8};
    take_digits(&s, 4, &d->a);
    take_digits(&s, 2, &d->b);
    take_digits(&s, 2, &d->c);
    d->fixed = true;
    return d->a >= 1900 && d->a < 2200 && valid_day(d->a, d->b, d->c);
}

static size_t digit_run(const struct scan *s) {
    size_t n = 0;
    while (s->p + n < s->end && is_digit(s->p[n]))
        n++;
    return n;
}

static bool three_figures(struct scan *s, char mark, int first, size_t first_digits, struct mr_date *d) {
    size_t second = take_digits(s, 2, &d->b);
    skip_blanks(s);
    if (!second || !take_char(s, mark))
        return false;
    skip_blanks(s);
    size_t third = take_digits(s, 4, &d->c);
    if (!third || (s->p < s->end && is_digit(*s->p)))
        return false;
    d->a = first;
    d->dashes = mark == '-';
    if (first_digits == 4) {
        d->fixed = true;
        return third <= 2 && valid_day(d->a, d->b, d->c);
    }
    d->short_year = third == 2;
    int64_t day;
    bool any = false;
    for (enum mr_order o = MR_ORDER_YMD; o < MR_ORDER_COUNT; o++)
        any |= mr_date_day(d, o, &day);
    return any && (third == 4 || third == 2);
}

static bool take_date(struct scan *s, struct mr_date *d) {
    *d = (struct mr_date){0};
    skip_weekday(s);
    if (s->p < s->end && is_letter(*s->p))
        return month_then_day(s, d);
    size_t run = digit_run(s);
    if (run == 8 || run == 12 || run == 14) {
        if (!compact_date(s->p, d))
            return false;
        s->p += 8;
        return true;
    }
    if (run == 0 || run > 4 || run == 3)
        return false;
    int first;
    take_digits(s, 4, &first);
    struct scan after = *s;
    skip_blanks(&after);
    char mark = after.p < after.end ? *after.p : '\0';
    struct scan named = *s;
    if (named_month(&named, first, run, d)) {
        *s = named;
        return valid_day(d->a, d->b, d->c);
    }
    *d = (struct mr_date){0};
    if (mark != '-' && mark != '/' && mark != '.')
        return false;
    s->p = after.p + 1;
    skip_blanks(s);
    return three_figures(s, mark, first, run, d);
}

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
    for (; s->p < s->end && is_digit(*s->p); s->p++, scale /= 10)
        ms += (*s->p - '0') * scale;
    return ms;
}

static bool take_clock(struct scan *s, int64_t *out_ms) {
    int hour, minute = 0, second = 0;
    int64_t ms = 0;
    size_t n = take_digits(s, 2, &hour);
    if (!n || (s->p < s->end && is_digit(*s->p)))
        return false;
    char mark = s->p < s->end ? *s->p : '\0';
    bool minutes = false;
    if (mark == ':' || mark == '.' || mark == 'h' || mark == 'H') {
        struct scan t = {s->p + 1, s->end};
        minutes = take_digits(&t, 2, &minute) == 2 && !(t.p < t.end && is_digit(*t.p));
        if (minutes || mark == 'h' || mark == 'H')
            *s = t;
        if (minutes && s->p < s->end && (*s->p == mark || (mark == 'h' && (*s->p == ':' || *s->p == 'm')))) {
            struct scan u = {s->p + 1, s->end};
            if (take_digits(&u, 2, &second) == 2) {
                *s = u;
                if (s->p + 1 < s->end && (*s->p == '.' || *s->p == ',' || *s->p == ':') && is_digit(s->p[1])) {
                    s->p++;
                    ms = take_fraction(s);
                }
            }
        }
    }
    int half = take_half_day(s);
    if ((!minutes && !half && mark != 'h' && mark != 'H') || minute > 59 || second > 60)
        return false;
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
    if (!take_clock(&s, out_ms))
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

/* "Z", "UTC", "+02:00", "-0500", "+02", "UTC+2", "GMT". */
static bool take_zone(struct scan *s, struct mr_when *out) {
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
    else if (take_char(s, '-'))
        sign = -1;
    else if (s->end - s->p > 3 && memcmp(s->p, "\xe2\x88\x92", 3) == 0)
        sign = -1, s->p += 3;
    if (!sign || !take_digits(s, 2, &hours))
        return false;
    take_char(s, ':');
    if (s->p < s->end && take_digits(s, 2, &minutes) != 2)
        return false;
    if (hours > 14 || minutes > 59)
        return false;
    out->offset_min = sign * (hours * 60 + minutes);
    out->has_zone = true;
    return s->p == s->end;
}

static bool finish_date(struct scan *s, struct mr_when *out) {
    struct mr_date *d = &out->date;
    if (!d->named || d->a)
        return !d->named || valid_day(d->a, d->b, d->c);
    skip_blanks(s); /* the year stands after the clock */
    return take_digits(s, 4, &d->a) == 4 && valid_day(d->a, d->b, d->c);
}

static bool compact_clock(struct scan *s, struct mr_when *out) {
    size_t run = digit_run(s);
    if ((run != 4 && run != 6) || !mr_clock_plain(s->p, run, &out->clock_ms))
        return false;
    s->p += run;
    if (run == 6 && s->p + 1 < s->end && (*s->p == '.' || *s->p == ',') && is_digit(s->p[1])) {
        s->p++;
        out->clock_ms += take_fraction(s);
    }
    return out->has_clock = true;
}

bool mr_when_scan(const char *text, size_t n, struct mr_when *out) {
    *out = (struct mr_when){0};
    mr_trim(&text, &n);
    struct scan s = {text, text + n}, start = s;
    bool compact = false;
    if (take_date(&s, &out->date)) {
        out->has_date = true;
        compact = s.p - text == 8 && digit_run(&start) >= 8;
        if (s.p < s.end && (*s.p == 'T' || *s.p == 't' || *s.p == ',' || *s.p == ';' || *s.p == '_'))
            s.p++;
        skip_blanks(&s);
        if (s.end - s.p > 2 && *s.p == '-' && s.p[1] == ' ') { /* "13 - 9:37" */
            s.p++;
            skip_blanks(&s);
        }
        if (s.p == s.end)
            return finish_date(&s, out);
    } else {
        s = start;
    }
    struct scan clock = s;
    if (compact && compact_clock(&clock, out)) {
        s = clock;
    } else {
        clock = s;
        out->has_clock = take_clock(&clock, &out->clock_ms);
        if (out->has_clock)
            s = clock;
    }
    if (!out->has_clock)
        return false;
    if (out->has_date && !finish_date(&s, out))
        return false;
    return take_zone(&s, out) && s.p == s.end;
}

bool mr_epoch_scan(const char *text, size_t n, int64_t *out_utc_ms) {
    int64_t whole = 0;
    size_t i = 0;
    for (; i < n && is_digit(text[i]) && i < 15; i++)
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
        if (parts == 1 && s.p < s.end && (*s.p == '.' || *s.p == 'd' || *s.p == ' ') && memchr(s.p, ':', (size_t)(s.end - s.p))) {
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
    int n = snprintf(out, 32, "%04d-%02d-%02d %02d:%02d:%02d", year, month, d, (int)(ms / 3600000), (int)(ms / 60000 % 60),
                     (int)(ms / 1000 % 60));
    if (ms % 1000 && n > 0 && n < 27)
        snprintf(out + n, 32 - (size_t)n, ".%03d", (int)(ms % 1000));
}
