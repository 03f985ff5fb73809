/*
 * timer_base.c - what stands outside the rows and makes their stamps moments: the start of a log, the date of a file,
 * a zone in the header or the preamble, and the evidence by which day and month are settled.
 */
#include "normalise/clock/timer.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

int64_t mr_name_day(const char *path) {
    const char *slash = strrchr(path, '/'), *name = slash ? slash + 1 : path;
    for (const char *p = name; *p; p++) {
        if (!mr_is_digit(p[0]) || (p > name && mr_is_digit(p[-1])))
            continue;
        size_t run = strspn(p, "0123456789");
        struct mr_when w;
        size_t n = run == 8 ? 8 : run == 4 && p[4] && strchr("-_.", p[4]) ? 10 : 0;
        if (!n || strlen(p) < n || (n == 10 && (p[7] != p[4] || mr_is_digit(p[10]))))
            continue;
        char text[11] = "";
        memcpy(text, p, n);
        if (n == 10)
            text[4] = text[7] = '-';
        int64_t day;
        if (mr_when_scan(text, n, &w) && w.has_date && !w.has_clock && w.date.fixed &&
            mr_date_day(&w.date, MR_ORDER_YMD, &day))
            return day;
    }
    return INT64_MIN;
}

#define CLOCK_NAMES "start time|start|time|startzeit|started at|begin|beginn|log start"

static bool scan_pair(struct mr_timer *t, const char *names, struct mr_when *w, const char **text) {
    *text = mr_preamble_value(t->arena, t->plan->source, names);
    return *text && mr_when_scan(*text, strlen(*text), w);
}

void mr_timer_claim(struct mr_timer *t, const char *text, size_t n, uint32_t line) {
    for (size_t i = 0; i < t->claims.n; i++)
        if (strlen(t->claims.v[i].text) == n && memcmp(t->claims.v[i].text, text, n) == 0)
            return;
    enum { CLAIMS_MOST = 16 }; /* the first that does not fit is asked for */
    if (t->claims.n < CLAIMS_MOST)
        MR_PUSH(t->arena, &t->claims, ((struct mr_zone_claim){mr_strndup(t->arena, text, n), line}));
}

static void claim_letters(struct mr_timer *t, const struct mr_when *w) {
    if (w->letters)
        mr_timer_claim(t, w->letters, w->letters_n, 0);
}

static void find_base(struct mr_timer *t) {
    struct mr_when w, c;
    const char *text, *clock_text;
    const struct mr_file_rule *rule = t->plan->source->rule;
    bool by_job = rule && rule->start && *rule->start, found = false;
    if (by_job) {
        text = rule->start;
        found = mr_when_scan(text, strlen(text), &w) && w.has_date;
    }
    if (!found)
        found = scan_pair(t, MR_START_NAMES, &w, &text) && w.has_date;
    if (!found)
        found = scan_pair(t, MR_DATE_NAMES, &w, &text) && w.has_date;
    if (found) {
        claim_letters(t, &w);
        t->base_stamp =
            mr_datebook_enter(&t->book, &w.date, t->plan->source->first_body_line, text, strlen(text), -1, -1);
        if (w.has_clock)
            t->start_clock = w.clock_ms;
        if (t->plan->form == MR_FORM_ELAPSED) {
            t->base_ms = w.clock_ms - w.offset_min * INT64_C(60000);
            if (!w.has_clock && scan_pair(t, CLOCK_NAMES, &c, &clock_text) && c.has_clock)
                t->base_ms = c.clock_ms, claim_letters(t, &c);
        }
        if (w.has_zone)
            t->zoned = 1;
        t->base_why = mr_printf(t->arena, "%s in the %s", mr_clean_text(t->arena, text, strlen(text), 40),
                                by_job && text == rule->start ? "job file" : "preamble");
        return;
    }
    int64_t day = mr_name_day(t->plan->source->path);
    if (day != INT64_MIN && t->plan->form != MR_FORM_ELAPSED) {
        int year, month, d;
        mr_civil_from_days(day, &year, &month, &d);
        struct mr_date date = {.a = year, .b = month, .c = d, .fixed = true};
        t->base_stamp = mr_datebook_enter(&t->book, &date, 0, "", 0, -1, -1);
        t->base_why = "date in the file's name";
    }
}

static const char *keep(struct mr_timer *t, const char *text) {
    return mr_clean_text(t->arena, text, strlen(text), 60);
}

/* "-6" is hours, "-300" minutes: no zone is further from UTC than 14 hours. */
static bool bare_offset(const char *text, int32_t *out_min) {
    enum { HOURS_MOST = 14 };
    struct mr_number x;
    if (mr_number_scan(text, strlen(text), (struct mr_number_style){'.', false}, &x) != MR_NUM_OK ||
        fabs(x.value) > HOURS_MOST * 60.0)
        return false;
    *out_min = (int32_t)lround(fabs(x.value) > HOURS_MOST ? x.value : x.value * 60.0);
    return true;
}

/* "Time zone: UTC+2" or "utc_offset_seconds: 7200" in the preamble. A name without an offset is kept, so that the
 * clerk hears of it. */
static void preamble_zone(struct mr_timer *t) {
    const char *text = mr_preamble_value(t->arena, t->plan->source, "utc offset seconds");
    struct mr_number x;
    if (text && mr_number_scan(text, strlen(text), (struct mr_number_style){'.', false}, &x) == MR_NUM_OK &&
        fabs(x.value) <= 14 * 3600.0) {
        t->whole_zone = true;
        t->whole_min = (int32_t)lround(x.value / 60.0);
        t->zone_said = mr_printf(t->arena, "utc offset seconds: %s", keep(t, text));
        return;
    }
    text = mr_preamble_value(t->arena, t->plan->source, MR_ZONE_OF_TIME_NAMES);
    if (!text)
        return;
    struct mr_when w;
    /* "-05:00" stands without a blank at a moment of a day */
    const char *probe = mr_printf(t->arena, strchr("+-", *text) ? "2026-01-01 00:00:00%s" : "00:00 %s", text);
    if (bare_offset(text, &t->whole_min)) {
        t->whole_zone = true;
        t->zone_said = keep(t, text);
    } else if (mr_when_scan(probe, strlen(probe), &w) && w.has_zone) {
        t->whole_zone = true;
        t->whole_min = w.offset_min;
        t->zone_said = keep(t, text);
    } else if (!*t->zone_name) {
        t->zone_name = keep(t, text);
    }
}

/* A zone outside the rows holds for all rows that carry none of their own; the header stands nearer than the
 * preamble.
 */
static void find_zone(struct mr_timer *t) {
    t->zone_name = t->plan->zone_word;
    if (t->plan->zone_stated) {
        t->whole_zone = true;
        t->whole_min = t->plan->zone_min;
        t->zone_said = keep(t, t->plan->zone_header);
    } else {
        preamble_zone(t);
    }
}

void mr_timer_init(struct mr_timer *t, struct mr_arena *arena, const struct mr_plan *plan) {
    *t = (struct mr_timer){.arena = arena,
                           .plan = plan,
                           .zoned = -1,
                           .base_stamp = MR_T_NONE,
                           .base_why = "",
                           .last_clock = -1,
                           .least_s = (double)NAN,
                           .most_s = (double)NAN,
                           .zone_said = "",
                           .zone_name = "",
                           .start_clock = -1,
                           .carried_stamp = MR_T_NONE,
                           .serial_least = MR_T_NONE,
                           .serial_most = MR_T_NONE};
    t->book.arena = arena;
    if (plan->form == MR_FORM_CLOCK || plan->form == MR_FORM_ELAPSED || plan->kind == MR_KIND_SPRAY_LOG)
        find_base(t);
    if (t->base_stamp != MR_T_NONE)
        MR_PUSH(arena, &t->bases, t->base_stamp);
    if (plan->form != MR_FORM_NONE && plan->form != MR_FORM_EPOCH)
        find_zone(t);
}

enum mr_time_basis mr_timer_basis(const struct mr_timer *t) {
    if (t->plan->form == MR_FORM_EPOCH)
        return MR_TIME_UTC;
    if (t->plan->form == MR_FORM_NONE && !t->book.list.n)
        return MR_TIME_NONE;
    return t->zoned == 1 || t->whole_zone ? MR_TIME_UTC : MR_TIME_LOCAL;
}

static int64_t job_day(int64_t ms) {
    return ms == MR_T_NONE ? INT64_MIN : ms >= 0 ? ms / MR_DAY_MS : -((-ms + MR_DAY_MS - 1) / MR_DAY_MS);
}

/* A date of the preamble that can be read one way only: it need not be the base, any line may hold it. */
static void preamble_day(struct mr_timer *t, struct mr_date_hints *hints) {
    const struct mr_source *source = t->plan->source;
    for (size_t i = 0; i < source->preamble.n; i++) {
        struct mr_when w;
        const char *text = source->preamble.v[i].value;
        if (mr_when_scan(text, strlen(text), &w) && w.has_date && w.date.fixed &&
            mr_date_day(&w.date, MR_ORDER_YMD, &hints->other_day)) {
            hints->other_what =
                mr_printf(t->arena, "the preamble's %s", mr_clean_text(t->arena, text, strlen(text), 40));
            return;
        }
    }
}

static bool within(int64_t ms_least, int64_t ms_most, int64_t first_day, int64_t last_day) {
    return ms_least >= (first_day - 1) * MR_DAY_MS && ms_most < (last_day + 2) * MR_DAY_MS;
}

/* Day numbers count from 1900 in most spreadsheets and from 1904 in some: four years apart, so the job's days tell.
 */
static struct mr_date_verdict settle_serial(struct mr_timer *t, const struct mr_date_hints *hints) {
    const int64_t apart = 1462 * MR_DAY_MS;
    struct mr_date_verdict v = {.settled = true, .order_text = "", .why = ""};
    if (t->serial_least == MR_T_NONE)
        return v;
    bool by_job = hints->first_day != INT64_MIN;
    int64_t first = by_job ? hints->first_day : hints->other_day, last = by_job ? hints->last_day : hints->other_day;
    char from[32], to[32];
    mr_when_text(t->serial_least, from);
    mr_when_text(t->serial_most, to);
    bool in_1900 = first != INT64_MIN && within(t->serial_least, t->serial_most, first, last);
    t->serial_1904 = first != INT64_MIN && within(t->serial_least + apart, t->serial_most + apart, first, last);
    v.settled = in_1900 != t->serial_1904;
    if (v.settled)
        v.why = mr_printf(t->arena, "a spreadsheet's day numbers, counted from %s: only this count agrees with %s",
                          in_1900 ? "1900" : "1904", by_job ? "the job's dates" : hints->other_what);
    else
        v.why = mr_printf(t->arena, "a spreadsheet's day numbers, %s to %s if they are counted from 1900%s", from, to,
                          first == INT64_MIN ? "" : ", which does not agree with the job");
    return v;
}

struct mr_date_verdict mr_timer_settle(struct mr_timer *t, const struct mr_job *job, bool log) {
    const struct mr_plan *plan = t->plan;
    const struct mr_file_rule *rule = plan->source->rule;
    struct mr_date_hints hints = {.stated = -1,
                                  .stated_why = "",
                                  .header = -1,
                                  .other_day = mr_name_day(plan->source->path),
                                  .other_what = "the date in the file's name",
                                  .log = log};
    hints.first_day = job_day(job->first_day_local_ms);
    hints.last_day = job_day(job->last_day_local_ms);
    if (hints.last_day == INT64_MIN)
        hints.last_day = hints.first_day;
    if (rule && *rule->dates) {
        hints.stated = strcmp(rule->dates, "month-first") == 0      ? MR_ORDER_MDY
                       : strcmp(rule->dates, "day-first") == 0      ? MR_ORDER_DMY
                       : strcmp(rule->dates, "year-day-month") == 0 ? MR_ORDER_YDM
                                                                    : MR_ORDER_YMD;
        hints.stated_why = mr_printf(t->arena, "job file line %u", (unsigned)rule->place.line);
    }
    for (size_t i = 0; i < plan->n && hints.header < 0; i++)
        hints.header = i == plan->date_col ? mr_date_format_order(plan->source->columns[i].text) : -1;
    if (hints.other_day == INT64_MIN)
        preamble_day(t, &hints);
    if (plan->form == MR_FORM_SERIAL)
        return settle_serial(t, &hints);
    return mr_datebook_settle(&t->book, &hints);
}

int64_t mr_timer_moment(const struct mr_timer *t, int64_t stamp) {
    if (stamp == MR_T_NONE)
        return MR_T_NONE;
    int64_t shift = t->whole_zone && t->zoned != 1 ? t->whole_min * INT64_C(60000) : 0;
    switch (t->plan->form) {
    case MR_FORM_EPOCH:
        return stamp;
    case MR_FORM_CLOCK:
    case MR_FORM_ELAPSED: {
        int64_t base = mr_datebook_moment(&t->book, t->bases.v[stamp / MR_BASE_STEP]);
        return base == MR_T_NONE ? MR_T_NONE : base + stamp % MR_BASE_STEP - MR_BASE_BIAS - shift;
    }
    case MR_FORM_SERIAL:
        return stamp + (t->serial_1904 ? 1462 * MR_DAY_MS : 0) - shift;
    case MR_FORM_NONE:
    case MR_FORM_DATETIME:
    case MR_FORM_DATE_CLOCK:
    case MR_FORM_PARTS:
    case MR_FORM_DATE:
    case MR_FORM_COUNT:
        break;
    }
    int64_t t_ms = mr_datebook_moment(&t->book, stamp);
    return t_ms == MR_T_NONE ? MR_T_NONE : t_ms - shift;
}

/* Rows of one date stand together, so the entry's day is looked up once for all of them. */
void mr_timer_moments(const struct mr_timer *t, int64_t *stamps, size_t n) {
    int64_t from = 0, to = 0, delta = 0; /* stamps of the entry in hand, and what turns them into moments */
    for (size_t i = 0; i < n; i++) {
        if (stamps[i] >= from && stamps[i] < to) {
            stamps[i] += delta;
            continue;
        }
        int64_t stamp = stamps[i];
        stamps[i] = mr_timer_moment(t, stamp);
        bool dated = t->plan->form == MR_FORM_DATETIME || t->plan->form == MR_FORM_DATE_CLOCK ||
                     t->plan->form == MR_FORM_PARTS || t->plan->form == MR_FORM_DATE;
        if (dated && stamps[i] != MR_T_NONE) {
            from = stamp / MR_STAMP_STEP * MR_STAMP_STEP;
            to = from + MR_STAMP_STEP;
            delta = stamps[i] - stamp;
        }
    }
}
