/*
 * when.c - dates and clock times as instruments, spreadsheets and people write them. Month names in English, German,
 * French, Spanish, Italian and Dutch, short or long. No locale, no strptime: both would depend on the machine.
 */
#include "base/text.h"
#include "normalise/cell/number.h"
#include "normalise/cell/when_scan.h"

const char *mr_order_text(enum mr_order order) {
    static const char *const texts[] = {"year-first", "month-first", "day-first", "year-day-month"};
    return texts[order];
}

/* Month names: the shortest prefix that instruments write; a longer word that begins so, without further test, would
 * take "market" for March, so the full names stand beside them. */
enum { SPELLINGS = 17 }; /* the last one is NULL */
static const char *const month_names[12][SPELLINGS] = {
    {"jan", "january", "januar", "janv", "janvier", "ene", "enero", "gen", "gennaio", "januari", "j\xc3\xa4n",
     "j\xc3\xa4nner", "janeiro", "sty", "stycze\xc5\x84", "stycznia"},
    {"feb", "february", "februar", "f\xc3\xa9v", "fev", "f\xc3\xa9vr", "f\xc3\xa9vrier", "febrero", "febbraio",
     "februari", "fevrier", "fevereiro", "lut", "luty", "lutego"},
    {"mar", "march", "m\xc3\xa4r", "mrz", "m\xc3\xa4rz", "maerz", "mars", "marzo", "mrt", "maart", "m\xc3\xa4rz.",
     "mar\xc3\xa7o", "marco", "marzec", "marca"},
    {"apr", "april", "avr", "avril", "abr", "abril", "aprile", "kwi", "kwiecie\xc5\x84", "kwietnia"},
    {"may", "mai", "mayo", "mag", "maggio", "mei", "maj", "maio", "maja"},
    {"jun", "june", "juni", "juin", "junio", "giu", "giugno", "junho", "cze", "czerwiec", "czerwca"},
    {"jul", "july", "juli", "juil", "juillet", "julio", "lug", "luglio", "julho", "lip", "lipiec", "lipca"},
    {"aug", "august", "ao\xc3\xbbt", "aout", "ago", "agosto", "augustus", "ao\xc3\xbb", "augusti", "sie",
     "sierpie\xc5\x84", "sierpnia"},
    {"sep", "sept", "september", "septembre", "septiembre", "set", "settembre", "setembro", "wrz", "wrzesie\xc5\x84",
     "wrze\xc5\x9bnia"},
    {"oct", "october", "okt", "oktober", "octobre", "octubre", "ott", "ottobre", "outubro", "pa\xc5\xba",
     "pa\xc5\xba"
     "dziernik",
     "pa\xc5\xba"
     "dziernika"},
    {"nov", "november", "novembre", "noviembre", "novembro", "lis", "listopad", "listopada"},
    {"dec", "december", "dez", "dezember",
     "d\xc3\xa9"
     "c",
     "d\xc3\xa9"
     "cembre",
     "decembre", "dic", "diciembre", "dicembre", "dezembro", "gru", "grudzie\xc5\x84", "grudnia"}};

static const char *const weekdays[7][7] = {
    {"mon", "monday", "mo", "montag", "lun", "lundi", "lunes"},
    {"tue", "tues", "tuesday", "di", "dienstag", "mardi", "martes"},
    {"wed", "wednesday", "mi", "mittwoch", "mer", "mercredi", "mi\xc3\xa9rcoles"},
    {"thu", "thur", "thurs", "thursday", "donnerstag", "jeu", "jeudi"},
    {"fri", "friday", "fr", "freitag", "ven", "vendredi", "viernes"},
    {"sat", "saturday", "sa", "samstag", "sam", "samedi",
     "s\xc3\xa1"
     "bado"},
    {"sun", "sunday", "so", "sonntag", "dim", "dimanche", "domingo"},
};

static int take_month(struct scan *s) {
    size_t n = letters(s);
    for (int m = 0; n && m < 12; m++)
        for (size_t i = 0; i < SPELLINGS && month_names[m][i]; i++)
            if (word_is(s->p, n, month_names[m][i])) {
                s->p += n;
                take_char(s, '.');
                return m + 1;
            }
    return 0;
}

/* "do" is Thursday in German and is left out of the evidence: in other tongues it begins Sunday. */
static int take_weekday(struct scan *s) {
    size_t n = letters(s);
    int day = 0;
    for (int d = 0; n && d < 7 && !day; d++)
        for (size_t i = 0; i < 7 && !day; i++)
            day = word_is(s->p, n, weekdays[d][i]) ? d + 1 : 0;
    if (!day && !(n == 2 && word_is(s->p, n, "do")))
        return 0;
    s->p += n;
    take_char(s, '.');
    take_char(s, ',');
    skip_blanks(s);
    return day;
}

static int full_year(int year, size_t digits) {
    return digits == 2 ? year + (year < 70 ? 2000 : 1900) : year;
}

static bool valid_day(int year, int month, int day) {
    return year >= 1 && year <= 9999 && day >= 1 && day <= mr_days_in_month(year, month);
}

bool mr_date_day(const struct mr_date *d, enum mr_order order, int64_t *out_day) {
    int year = d->a, month = d->b, day = d->c;
    if (order == MR_ORDER_YDM) {
        if (!d->fixed)
            return false;
        month = d->named ? d->b : d->c;
        day = d->named ? d->c : d->b;
    } else if (!d->fixed) {
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
    if (!n || (s->p < s->end && mr_is_digit(*s->p)))
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

static bool three_figures(struct scan *s, char mark, int first, size_t first_digits, struct mr_date *d) {
    size_t second = take_digits(s, 2, &d->b);
    skip_blanks(s);
    if (!second || !take_char(s, mark))
        return false;
    skip_blanks(s);
    size_t third = take_digits(s, 4, &d->c);
    if (!third || (s->p < s->end && mr_is_digit(*s->p)))
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
    *d = (struct mr_date){.weekday = take_weekday(s)};
    int weekday = d->weekday;
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
    *d = (struct mr_date){.weekday = weekday};
    if (mark != '-' && mark != '/' && mark != '.')
        return false;
    s->p = after.p + 1;
    skip_blanks(s);
    return three_figures(s, mark, first, run, d);
}

static bool finish_date(struct scan *s, struct mr_when *out) {
    struct mr_date *d = &out->date;
    if (!d->named || d->a)
        return !d->named || valid_day(d->a, d->b, d->c);
    skip_blanks(s); /* the year stands after the clock */
    return take_digits(s, 4, &d->a) == 4 && valid_day(d->a, d->b, d->c);
}

/* Between date and clock: blanks, 'T', a comma, "13 - 9:37"; behind a date without marks also a colon:
 * "20260514:0930".
 */
static void skip_between(struct scan *s, bool compact) {
    static const char marks[] = "Tt,;_:";
    if (s->p < s->end && memchr(marks, *s->p, compact ? 6 : 5))
        s->p++;
    skip_blanks(s);
    if (s->end - s->p > 2 && *s->p == '-' && s->p[1] == ' ') {
        s->p++;
        skip_blanks(s);
    }
}

/* "1430 UTC", "0930Z": four figures are a clock where letters behind them name a zone. */
static bool figures_and_zone(struct scan s, struct mr_when *out) {
    if (digit_run(&s) != 4 || !mr_clock_plain(s.p, 4, &out->clock_ms))
        return false;
    s.p += 4;
    skip_blanks(&s);
    return s.p < s.end && is_letter(*s.p) && mr_take_zone(&s, out) && s.p == s.end;
}

/* A spreadsheet's clock time may be saved with its day nought, which is no date. */
static void skip_day_nought(const char **text, size_t *n) {
    static const char *const days[] = {"1900-01-00 ", "00.01.1900 ", "00/01/1900 ", "01/00/1900 ",
                                       "1/0/1900 ",   "0/1/1900 ",   "0-Jan-00 "};
    for (size_t i = 0; i < MR_COUNT(days); i++) {
        size_t k = strlen(days[i]);
        if (*n > k && memcmp(*text, days[i], k) == 0) {
            *text += k;
            *n -= k;
            return;
        }
    }
}

/* "CDT", "(CEST)", "America/Chicago" at the end of a cell. AM and PM were taken with the clock. */
static bool take_letters(struct scan s, struct mr_when *out) {
    const char *begin = s.p;
    skip_blanks(&s);
    bool bracket = take_char(&s, '(') || take_char(&s, '[');
    size_t n = letters(&s);
    while (n && s.p + n + 1 < s.end && strchr("/_", s.p[n]) && is_letter(s.p[n + 1])) {
        struct scan rest = {s.p + n + 1, s.end};
        n += 1 + letters(&rest);
    }
    bool word = n >= 3 && (s.p > begin || bracket) && s.p + n + bracket == s.end;
    bool upper = true;
    for (size_t i = 0; i < n && i < 6; i++)
        upper &= s.p[i] >= 'A' && s.p[i] <= 'Z';
    if (!word || word_is(s.p, n, "utc") || word_is(s.p, n, "gmt") || !(memchr(s.p, '/', n) || (upper && n <= 5)))
        return false;
    out->letters = s.p;
    out->letters_n = n;
    return true;
}

bool mr_when_scan(const char *text, size_t n, struct mr_when *out) {
    *out = (struct mr_when){0};
    mr_trim(&text, &n);
    if (n > 9 && (*text == '0' || *text == '1'))
        skip_day_nought(&text, &n);
    struct scan s = {text, text + n}, start = s;
    bool compact = false;
    if (take_date(&s, &out->date)) {
        out->has_date = true;
        compact = s.p - text == 8 && digit_run(&start) >= 8;
        skip_between(&s, compact);
        if (s.p == s.end)
            return finish_date(&s, out);
    } else {
        s = start;
    }
    struct scan clock = s;
    out->has_clock = compact && mr_take_compact_clock(&clock, &out->clock_ms);
    if (!out->has_clock) {
        clock = s;
        out->has_clock = mr_take_clock(&clock, &out->clock_ms);
    }
    if (!out->has_clock)
        return !out->has_date && (out->has_clock = figures_and_zone(s, out));
    s = clock;
    if (out->has_date && !finish_date(&s, out))
        return false;
    return take_letters(s, out) || (mr_take_zone(&s, out) && s.p == s.end);
}

bool mr_compact_hour_scan(const char *text, size_t n, struct mr_when *out) {
    *out = (struct mr_when){.has_date = true, .has_clock = true};
    struct scan s = {text, text + n};
    int hour;
    if (n != 10 || digit_run(&s) != 10 || !compact_date(text, &out->date) || out->date.a < 1990 ||
        out->date.a >= 2100)
        return false;
    s.p += 8;
    take_digits(&s, 2, &hour);
    out->clock_ms = hour * INT64_C(3600000);
    return hour <= 24;
}
