/*
 * datebook.c - which figure is the day? Evidence, strongest first: the job file; a format in the header; a part above
 * 12; the job's dates; a date in the file's name or preamble that can be read in one way only; a log that runs on
 * past midnight; dates that go forward under one order only. Where none of these speaks, nothing is guessed.
 */
#include "normalise/clock/datebook.h"

#include <string.h>

int64_t mr_datebook_enter(struct mr_datebook *book, const struct mr_date *date, uint32_t line, const char *text,
                          size_t n, int64_t clock_before, int64_t clock_after) {
    struct mr_datebook_entry e = {
        .date = *date, .line = line, .clock_before = clock_before, .clock_after = clock_after};
    e.text = mr_strndup(book->arena, text, n < 40 ? n : 40);
    MR_PUSH(book->arena, &book->list, e);
    return (int64_t)(book->list.n - 1) * MR_STAMP_STEP + MR_STAMP_BIAS;
}

int mr_date_format_order(const char *header) {
    static const struct {
        const char *text;
        int order;
    } formats[] = {{"mm/dd", MR_ORDER_MDY},    {"m/d/y", MR_ORDER_MDY},   {"dd/mm", MR_ORDER_DMY},
                   {"d/m/y", MR_ORDER_DMY},    {"mm-dd-y", MR_ORDER_MDY}, {"dd-mm", MR_ORDER_DMY},
                   {"mm.dd", MR_ORDER_MDY},    {"dd.mm", MR_ORDER_DMY},   {"tt.mm", MR_ORDER_DMY},
                   {"jj/mm", MR_ORDER_DMY},    {"yyyy-mm", MR_ORDER_YMD}, {"yyyy/mm", MR_ORDER_YMD},
                   {"yy-mm-dd", MR_ORDER_YMD}, {"yy/mm/dd", MR_ORDER_YMD}};
    char folded[80];
    size_t n = 0;
    for (; header[n] && n + 1 < sizeof folded; n++)
        folded[n] = header[n] >= 'A' && header[n] <= 'Z' ? (char)(header[n] + 32) : header[n];
    folded[n] = '\0';
    for (size_t i = MR_COUNT(formats); i-- > 0;) /* year-first formats hold the others */
        if (strstr(folded, formats[i].text))
            return formats[i].order;
    return -1;
}

/* One order, tried on every date of the file. */
struct trial {
    bool possible;     /* every date exists */
    uint32_t bad_line; /* first line whose date does not */
    const char *bad_text;
    size_t inside; /* dates within the job's days */
    size_t steps, backward;
    size_t weekdays, agreeing;  /* dates with a weekday; those that fall on it */
    size_t midnights, straight; /* clock passes midnight; the date follows by one day */
    int64_t least, most;
};

static struct trial try_order(const struct mr_datebook *book, enum mr_order order,
                              const struct mr_date_hints *hints) {
    struct trial t = {.possible = true, .least = INT64_MAX, .most = INT64_MIN};
    int64_t last = INT64_MIN;
    for (size_t i = 0; i < book->list.n; i++) {
        const struct mr_datebook_entry *e = &book->list.v[i];
        int64_t day;
        if (!mr_date_day(&e->date, order, &day)) {
            if (t.possible) {
                t.bad_line = e->line;
                t.bad_text = e->text;
            }
            t.possible = false;
            continue;
        }
        t.weekdays += e->date.weekday > 0;
        t.agreeing +=
            e->date.weekday > 0 && (day % 7 + 10) % 7 + 1 == e->date.weekday; /* 1970-01-01 was a Thursday */
        if (hints->first_day != INT64_MIN)
            t.inside += day >= hints->first_day - 1 && day <= hints->last_day + 1;
        if (last != INT64_MIN && day != last) {
            t.steps++;
            t.backward += day < last;
            if (e->clock_before >= 0 && e->clock_after >= 0 && e->clock_before - e->clock_after > MR_DAY_MS / 2) {
                t.midnights++;
                t.straight += day == last + 1;
            }
        }
        last = day;
        t.least = day < t.least ? day : t.least;
        t.most = day > t.most ? day : t.most;
    }
    return t;
}

struct settling {
    struct mr_datebook *book;
    const struct mr_date_hints *hints;
    size_t open; /* dates with more than one reading */
    bool short_years, dashes;
    struct trial trial[MR_ORDER_COUNT];
    struct mr_date_verdict verdict;
};

static bool decide(struct settling *s, enum mr_order order, const char *why) {
    s->verdict.settled = true;
    s->verdict.order = order;
    s->verdict.order_text = mr_order_text(order);
    s->verdict.why = why;
    return true;
}

static bool by_statement(struct settling *s) {
    const struct mr_date_hints *h = s->hints;
    if (h->stated >= 0)
        return decide(s, (enum mr_order)h->stated, h->stated_why);
    if (h->header >= 0 && s->trial[h->header].possible)
        return decide(s, (enum mr_order)h->header, "the header states the format");
    return false;
}

static bool by_parts(struct settling *s) {
    struct mr_arena *arena = s->book->arena;
    const struct trial *m = &s->trial[MR_ORDER_MDY], *d = &s->trial[MR_ORDER_DMY], *y = &s->trial[MR_ORDER_YMD];
    if (m->possible != d->possible && !(s->short_years && y->possible)) {
        const struct trial *no = m->possible ? d : m;
        s->verdict.line = no->bad_line;
        return decide(s, m->possible ? MR_ORDER_MDY : MR_ORDER_DMY,
                      mr_printf(arena, "%s in line %u cannot be read %s", no->bad_text, (unsigned)no->bad_line,
                                m->possible ? "day-first" : "month-first"));
    }
    if (!m->possible && !d->possible && y->possible && s->short_years) {
        s->verdict.line = d->bad_line;
        return decide(s, MR_ORDER_YMD,
                      mr_printf(arena, "%s in line %u cannot end in the year", d->bad_text, (unsigned)d->bad_line));
    }
    for (size_t i = 0; m->possible && d->possible && !s->short_years; i++) {
        if (i == s->book->list.n)
            return decide(s, MR_ORDER_DMY, "day and month are the same figure in every date");
        const struct mr_date *date = &s->book->list.v[i].date;
        if (!date->fixed && date->a != date->b)
            break;
    }
    return false;
}

/* The one possible order that passes a test, or -1 where none or several do. */
static int only(const struct settling *s, bool (*test)(const struct settling *s, enum mr_order order)) {
    int found = -1;
    for (enum mr_order o = MR_ORDER_YMD; o < MR_ORDER_COUNT; o++)
        if (s->trial[o].possible && (o != MR_ORDER_YMD || s->short_years) && test(s, o)) {
            if (found >= 0)
                return -1;
            found = (int)o;
        }
    return found;
}

static bool in_job(const struct settling *s, enum mr_order order) {
    return s->hints->first_day != INT64_MIN && s->trial[order].inside == s->book->list.n;
}

static bool on_weekdays(const struct settling *s, enum mr_order order) {
    return s->trial[order].weekdays && s->trial[order].agreeing == s->trial[order].weekdays;
}

static bool near_other(const struct settling *s, enum mr_order order) {
    int64_t other = s->hints->other_day;
    return other != INT64_MIN && s->trial[order].least <= other + 1 && s->trial[order].most >= other - 1 &&
           s->trial[order].most - s->trial[order].least < 62;
}

static bool past_midnight(const struct settling *s, enum mr_order order) {
    return s->hints->log && s->trial[order].midnights > 0 && s->trial[order].straight == s->trial[order].midnights;
}

static bool forward(const struct settling *s, enum mr_order order) {
    return order != MR_ORDER_YMD && s->trial[order].steps >= (s->hints->log ? 1U : 2U) &&
           s->trial[order].backward == 0;
}

/* Two digits of the year in front are rare and need evidence of their own; but "26-05-13" is as often the one as the
 * other. */
static bool plain(const struct settling *s, enum mr_order order) {
    bool open = s->short_years && s->dashes && s->trial[MR_ORDER_YMD].possible;
    return order != MR_ORDER_YMD && !open;
}

static bool by_company(struct settling *s) {
    static const struct {
        bool (*test)(const struct settling *s, enum mr_order order);
        const char *why;
    } tests[] = {{on_weekdays, "only so the dates fall on the weekdays written beside them"},
                 {in_job, "only this order puts all dates within the job's dates"},
                 {near_other, NULL},
                 {past_midnight, "the log runs past midnight, and only this order makes the next day follow"},
                 {plain, "the other order gives dates that do not exist"},
                 {forward, "only so the dates go forward through the file"}};
    for (size_t i = 0; i < MR_COUNT(tests); i++) {
        int order = only(s, tests[i].test);
        if (order >= 0)
            return decide(s, (enum mr_order)order,
                          tests[i].why
                              ? tests[i].why
                              : mr_printf(s->book->arena, "only this order agrees with %s", s->hints->other_what));
    }
    return false;
}

static void without_evidence(struct settling *s) {
    const struct trial *m = &s->trial[MR_ORDER_MDY], *d = &s->trial[MR_ORDER_DMY];
    struct mr_arena *arena = s->book->arena;
    for (size_t i = 0; i < s->book->list.n && !s->verdict.line; i++)
        if (!s->book->list.v[i].date.fixed)
            s->verdict.line = s->book->list.v[i].line;
    if (!m->possible && !d->possible) {
        s->verdict.line = m->bad_line;
        s->verdict.other_line = d->bad_line;
        s->verdict.why =
            mr_printf(arena, "%s in line %u cannot be month-first, and %s in line %u cannot be day-first",
                      m->bad_text, (unsigned)m->bad_line, d->bad_text, (unsigned)d->bad_line);
    } else {
        s->verdict.why =
            s->short_years && s->dashes && s->trial[MR_ORDER_YMD].possible
                ? "the year may be the first or the last two digits, and nothing else in the file or the job shows "
                  "which"
                : "no date has a part above 12, and nothing else in the file or the job tells the day from the month";
    }
}

static void fill_days(struct mr_datebook *book, enum mr_order order) {
    for (size_t i = 0; i < book->list.n; i++) {
        int64_t day;
        if (!mr_date_day(&book->list.v[i].date, order, &day))
            day = INT64_MIN;
        MR_PUSH(book->arena, &book->days, day);
    }
}

struct mr_date_verdict mr_datebook_settle(struct mr_datebook *book, const struct mr_date_hints *hints) {
    struct settling s = {.book = book, .hints = hints, .verdict = {.order_text = "", .why = ""}};
    bool named = false;
    for (size_t i = 0; i < book->list.n; i++) {
        s.open += !book->list.v[i].date.fixed;
        s.short_years |= !book->list.v[i].date.fixed && book->list.v[i].date.short_year;
        s.dashes |= !book->list.v[i].date.fixed && book->list.v[i].date.dashes;
        named |= book->list.v[i].date.named;
    }
    if (!s.open && hints->stated == MR_ORDER_YDM && book->list.n && !named) {
        by_statement(&s);
        fill_days(book, MR_ORDER_YDM);
        return s.verdict;
    }
    if (!s.open) {
        s.verdict.settled = true;
        if (book->list.n) {
            s.verdict.order_text = named ? "day-first" : "year-first";
            s.verdict.why = named ? "the month is written as a word" : "the year stands first";
        }
        fill_days(book, MR_ORDER_YMD);
        return s.verdict;
    }
    for (enum mr_order o = MR_ORDER_YMD; o < MR_ORDER_COUNT; o++)
        s.trial[o] = try_order(book, o, hints);
    if (by_statement(&s) || by_parts(&s) || by_company(&s))
        fill_days(book, s.verdict.order);
    else
        without_evidence(&s);
    return s.verdict;
}
