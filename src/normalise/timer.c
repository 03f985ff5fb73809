/*
 * timer.c - times of rows. A log writes the same date thousands of times, so the date's text of the row before is compared
 * first; on a match only "HH:MM:SS.fff" is left, read digit by digit.
 */
#include "normalise/timer.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

static bool digit(char c) {
    return c >= '0' && c <= '9';
}

static int two(const char *p) {
    return (p[0] - '0') * 10 + (p[1] - '0');
}

/* HH:MM[:SS[.fff]] at p; bytes used, 0 where it is written otherwise. */
static size_t plain_clock(const char *p, size_t n, int64_t *out_ms) {
    if (n < 5 || !digit(p[0]) || !digit(p[1]) || p[2] != ':' || !digit(p[3]) || !digit(p[4]))
        return 0;
    int hour = two(p), minute = two(p + 3), second = 0;
    size_t i = 5;
    int64_t ms = 0;
    if (n >= 8 && p[5] == ':' && digit(p[6]) && digit(p[7])) {
        second = two(p + 6);
        i = 8;
        if (n > 9 && (p[8] == '.' || p[8] == ',') && digit(p[9])) {
            int64_t scale = 100;
            for (i = 9; i < n && digit(p[i]); i++, scale /= 10)
                ms += (p[i] - '0') * scale;
        }
    }
    if (hour > 23 || minute > 59 || second > 59)
        return 0;
    *out_ms = ((int64_t)hour * 3600 + minute * 60 + second) * 1000 + ms;
    return i;
}

static bool zone_agrees(struct mr_timer *t, bool has_zone) {
    if (t->zoned < 0)
        t->zoned = has_zone;
    return t->zoned == (int)has_zone;
}

/* The row before had this date, and the rest is a plain clock with the same zone text. */
static bool fast(struct mr_timer *t, const char *p, size_t n, int64_t *out) {
    size_t k = t->prefix_n;
    int64_t ms;
    if (!k || n < k + 6 || memcmp(p, t->prefix, k) != 0 || (p[k] != ' ' && p[k] != 'T'))
        return false;
    size_t used = plain_clock(p + k + 1, n - k - 1, &ms);
    if (!used)
        return false;
    size_t rest = n - k - 1 - used;
    if (rest != t->suffix_n || memcmp(p + n - rest, t->suffix, rest) != 0)
        return false;
    t->last_clock = ms;
    *out = t->prefix_stamp + ms - t->suffix_min * INT64_C(60000);
    return true;
}

/* Keep date and zone texts of a cell that was read the long way, where the fast way could follow. */
static void remember(struct mr_timer *t, const char *p, size_t n, int64_t stamp, const struct mr_when *w) {
    t->prefix_n = 0;
    for (size_t k = n; k-- > 6;) {
        int64_t ms;
        size_t used;
        if ((p[k] != ' ' && p[k] != 'T') || (used = plain_clock(p + k + 1, n - k - 1, &ms)) == 0)
            continue;
        size_t rest = n - k - 1 - used;
        if (k > sizeof t->prefix || rest > sizeof t->suffix || (rest > 0) != w->has_zone)
            return;
        memcpy(t->prefix, p, k);
        t->prefix_n = k;
        t->prefix_stamp = stamp;
        memcpy(t->suffix, p + n - rest, rest);
        t->suffix_n = rest;
        t->suffix_min = w->offset_min;
        return;
    }
}

static enum mr_time_read read_datetime(struct mr_timer *t, const struct mr_cell *cell, uint32_t line, int64_t *out) {
    if (fast(t, cell->p, cell->n, out))
        return MR_READ_OK;
    const char *p = cell->p;
    size_t n = cell->n;
    mr_trim(&p, &n);
    if (mr_missing_word(p, n))
        return MR_READ_BLANK;
    struct mr_when w;
    if (!mr_when_scan(p, n, &w))
        return MR_READ_BAD;
    if (!w.has_date)
        return MR_READ_NO_DATE;
    if (w.has_clock && !zone_agrees(t, w.has_zone))
        return MR_READ_ZONE;
    int64_t stamp = mr_datebook_enter(&t->book, &w.date, line, p, n, t->last_clock, w.clock_ms);
    if (w.has_clock)
        remember(t, p, n, stamp, &w);
    t->last_clock = w.clock_ms;
    *out = stamp + w.clock_ms - w.offset_min * INT64_C(60000);
    return MR_READ_OK;
}

/* The date's cell of a file with date and clock in two columns. */
static enum mr_time_read read_date(struct mr_timer *t, const struct mr_cell *cell, uint32_t line, int64_t clock, int64_t *out) {
    if (t->prefix_n && cell->n == t->prefix_n && memcmp(cell->p, t->prefix, cell->n) == 0) {
        *out = t->prefix_stamp;
        return MR_READ_OK;
    }
    const char *p = cell->p;
    size_t n = cell->n;
    mr_trim(&p, &n);
    if (mr_missing_word(p, n))
        return MR_READ_BLANK;
    struct mr_when w;
    if (!mr_when_scan(p, n, &w) || !w.has_date)
        return MR_READ_BAD;
    *out = mr_datebook_enter(&t->book, &w.date, line, p, n, t->last_clock, clock); /* a midnight in the cell is filler */
    t->prefix_n = 0;
    if (cell->n <= sizeof t->prefix) {
        memcpy(t->prefix, cell->p, cell->n);
        t->prefix_n = cell->n;
        t->prefix_stamp = *out;
    }
    return MR_READ_OK;
}

static enum mr_time_read read_clock(struct mr_timer *t, const struct mr_cell *cell, int64_t *out_ms) {
    if (plain_clock(cell->p, cell->n, out_ms) == cell->n && cell->n)
        return zone_agrees(t, false) ? MR_READ_OK : MR_READ_ZONE;
    const char *p = cell->p;
    size_t n = cell->n;
    mr_trim(&p, &n);
    if (mr_missing_word(p, n))
        return MR_READ_BLANK;
    if (mr_clock_plain(p, n, out_ms))
        return zone_agrees(t, false) ? MR_READ_OK : MR_READ_ZONE;
    struct mr_when w;
    if (!mr_when_scan(p, n, &w) || !w.has_clock)
        return MR_READ_BAD;
    if (!zone_agrees(t, w.has_zone))
        return MR_READ_ZONE;
    *out_ms = w.clock_ms - w.offset_min * INT64_C(60000);
    return MR_READ_OK;
}

/* A clock column alone: midnight has passed where the clock falls back by more than half a day. */
static enum mr_time_read read_clock_alone(struct mr_timer *t, const struct mr_cell *cell, int64_t *out) {
    int64_t ms;
    enum mr_time_read got = read_clock(t, cell, &ms);
    if (got != MR_READ_OK)
        return got;
    if (t->base_stamp == MR_T_NONE)
        return MR_READ_NO_DATE;
    if (t->last_clock >= 0 && t->last_clock - ms > MR_DAY_MS / 2) {
        t->base_ms += MR_DAY_MS;
        t->rollovers++;
    }
    t->last_clock = ms;
    *out = t->base_ms + ms;
    return MR_READ_OK;
}

static enum mr_time_read read_elapsed(struct mr_timer *t, const struct mr_cell *cell, int64_t *out) {
    const char *p = cell->p;
    size_t n = cell->n;
    mr_trim(&p, &n);
    if (mr_missing_word(p, n))
        return MR_READ_BLANK;
    int64_t ms;
    if (memchr(p, ':', n)) {
        if (!mr_duration_scan(p, n, &ms))
            return MR_READ_BAD;
    } else {
        struct mr_number x;
        enum mr_unit unit = t->plan->elapsed_unit;
        if (mr_number_scan(p, n, t->plan->col[t->plan->date_col].style, &x) != MR_NUM_OK)
            return MR_READ_BAD;
        if (x.unit && !mr_unit_parse(x.unit, x.unit_n, MR_DIM_DURATION, &unit))
            return MR_READ_BAD;
        if (unit == MR_UNIT_NONE)
            return MR_READ_NO_DATE;
        double s = mr_to_canonical(unit, x.value);
        if (!(fabs(s) < 1e10))
            return MR_READ_BAD;
        ms = (int64_t)llround(s * 1000.0);
    }
    double s = (double)ms / 1000.0;
    t->least_s = isnan(t->least_s) || s < t->least_s ? s : t->least_s;
    t->most_s = isnan(t->most_s) || s > t->most_s ? s : t->most_s;
    *out = t->base_ms + ms;
    return t->base_stamp == MR_T_NONE ? MR_READ_NO_DATE : MR_READ_OK;
}

static enum mr_time_read read_two(struct mr_timer *t, const struct mr_row *row, size_t date, size_t clock, int64_t *out) {
    int64_t ms, stamp;
    enum mr_time_read got = read_clock(t, &row->cell[clock], &ms);
    if (got != MR_READ_OK)
        return got;
    got = read_date(t, &row->cell[date], row->line, ms, &stamp);
    t->last_clock = ms;
    *out = stamp + ms;
    return got;
}

enum mr_time_read mr_timer_read(struct mr_timer *t, const struct mr_row *row, int64_t *out) {
    const struct mr_plan *plan = t->plan;
    *out = MR_T_NONE;
    size_t date = plan->date_col == MR_NONE ? 0 : plan->col[plan->date_col].cell;
    size_t clock = plan->clock_col == MR_NONE ? 0 : plan->col[plan->clock_col].cell;
    if (plan->form == MR_FORM_NONE || date >= row->n || clock >= row->n)
        return MR_READ_BLANK;
    const struct mr_cell *cell = &row->cell[date];
    const char *p = cell->p;
    size_t n = cell->n;
    switch (plan->form) {
    case MR_FORM_DATETIME:
        return read_datetime(t, cell, row->line, out);
    case MR_FORM_DATE_CLOCK:
        return read_two(t, row, date, clock, out);
    case MR_FORM_DATE:
        return read_date(t, cell, row->line, -1, out);
    case MR_FORM_CLOCK:
        return read_clock_alone(t, &row->cell[clock], out);
    case MR_FORM_ELAPSED:
        return read_elapsed(t, cell, out);
    case MR_FORM_EPOCH:
        mr_trim(&p, &n);
        return mr_missing_word(p, n) ? MR_READ_BLANK : mr_epoch_scan(p, n, out) ? MR_READ_OK : MR_READ_BAD;
    case MR_FORM_NONE:
        break;
    }
    return MR_READ_BLANK;
}

enum mr_time_read mr_timer_cell(struct mr_timer *t, const struct mr_cell *cell, uint32_t line, int64_t *out_date, int64_t *out_clock) {
    *out_date = MR_T_NONE;
    *out_clock = -1;
    const char *p = cell->p;
    size_t n = cell->n;
    mr_trim(&p, &n);
    if (mr_missing_word(p, n))
        return MR_READ_BLANK;
    struct mr_when w;
    if (!mr_when_scan(p, n, &w)) {
        if (!mr_clock_plain(p, n, out_clock))
            return MR_READ_BAD;
        return MR_READ_OK;
    }
    if (w.has_clock && w.has_date && !zone_agrees(t, w.has_zone))
        return MR_READ_ZONE;
    if (w.has_date)
        *out_date = mr_datebook_enter(&t->book, &w.date, line, p, n, -1, -1) - w.offset_min * INT64_C(60000);
    if (w.has_clock)
        *out_clock = w.clock_ms;
    return MR_READ_OK;
}

/* --- what stands outside the rows --------------------------------------------------------------------------------- */

int64_t mr_name_day(const char *path) {
    const char *slash = strrchr(path, '/'), *name = slash ? slash + 1 : path;
    for (const char *p = name; *p; p++) {
        if (!digit(p[0]) || (p > name && digit(p[-1])))
            continue;
        size_t run = strspn(p, "0123456789");
        struct mr_when w;
        size_t n = run == 8 ? 8 : run == 4 && p[4] && strchr("-_.", p[4]) ? 10 : 0;
        if (!n || strlen(p) < n || (n == 10 && (p[7] != p[4] || digit(p[10]))))
            continue;
        char text[11] = "";
        memcpy(text, p, n);
        if (n == 10)
            text[4] = text[7] = '-';
        int64_t day;
        if (mr_when_scan(text, n, &w) && w.has_date && !w.has_clock && w.date.fixed && mr_date_day(&w.date, MR_ORDER_YMD, &day))
            return day;
    }
    return INT64_MIN;
}

#define START_NAMES                                                                                                              \
    "start|started|start time|start date time|start datetime|logging started|recording started|begin|beginn|startzeit|started at|" \
    "first sample|first reading|test start|log start|start of log|datetime|date time|start of recording|start zeit|debut|début"
#define DATE_NAMES "date|start date|test date|datum|measurement date|logging date|recording date|day|shift date|startdatum|log date"
#define CLOCK_NAMES "start time|start|time|startzeit|started at|begin|beginn|log start"

static bool scan_pair(struct mr_timer *t, const char *names, struct mr_when *w, const char **text) {
    *text = mr_preamble_value(t->arena, t->plan->source, names);
    return *text && mr_when_scan(*text, strlen(*text), w);
}

static void find_base(struct mr_timer *t) {
    struct mr_when w, c;
    const char *text, *clock_text;
    bool found = scan_pair(t, START_NAMES, &w, &text) && w.has_date;
    if (!found)
        found = scan_pair(t, DATE_NAMES, &w, &text) && w.has_date;
    if (found) {
        t->base_stamp = mr_datebook_enter(&t->book, &w.date, t->plan->source->first_body_line, text, strlen(text), -1, -1);
        if (t->plan->form == MR_FORM_ELAPSED) {
            t->base_ms = w.clock_ms - w.offset_min * INT64_C(60000);
            if (!w.has_clock && scan_pair(t, CLOCK_NAMES, &c, &clock_text) && c.has_clock)
                t->base_ms = c.clock_ms;
        }
        if (w.has_zone)
            t->zoned = 1;
        t->base_why = mr_printf(t->arena, "%s in the preamble", mr_clean_text(t->arena, text, strlen(text), 40));
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

/* "Time zone: UTC+2" in the preamble holds for all rows that carry no zone of their own. */
static void find_zone(struct mr_timer *t) {
    const char *text = mr_preamble_value(t->arena, t->plan->source, "time zone|timezone|utc offset|zone offset|zeitzone|tz");
    if (!text)
        return;
    struct mr_when w;
    const char *probe = mr_printf(t->arena, "00:00 %s", text);
    if (mr_when_scan(probe, strlen(probe), &w) && w.has_zone) {
        t->whole_zone = true;
        t->whole_min = w.offset_min;
    }
}

void mr_timer_init(struct mr_timer *t, struct mr_arena *arena, const struct mr_plan *plan) {
    *t = (struct mr_timer){.arena = arena, .plan = plan, .zoned = -1, .base_stamp = MR_T_NONE, .base_why = "", .last_clock = -1,
                           .least_s = (double)NAN, .most_s = (double)NAN};
    t->book.arena = arena;
    if (plan->form == MR_FORM_CLOCK || plan->form == MR_FORM_ELAPSED || plan->kind == MR_KIND_SPRAY_LOG)
        find_base(t);
    if (plan->form != MR_FORM_NONE && plan->form != MR_FORM_EPOCH)
        find_zone(t);
}

enum mr_time_basis mr_timer_basis(const struct mr_timer *t) {
    if (t->plan->form == MR_FORM_EPOCH)
        return MR_TIME_UTC;
    if (t->plan->form == MR_FORM_NONE && !t->book.list.n)
        return MR_TIME_NONE;
    return t->zoned == 1 || t->plan->utc_words || t->whole_zone ? MR_TIME_UTC : MR_TIME_LOCAL;
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
        if (mr_when_scan(text, strlen(text), &w) && w.has_date && w.date.fixed && mr_date_day(&w.date, MR_ORDER_YMD, &hints->other_day)) {
            hints->other_what = mr_printf(t->arena, "the preamble's %s", mr_clean_text(t->arena, text, strlen(text), 40));
            return;
        }
    }
}

struct mr_date_verdict mr_timer_settle(struct mr_timer *t, const struct mr_job *job, bool log) {
    const struct mr_plan *plan = t->plan;
    const struct mr_file_rule *rule = plan->source->rule;
    struct mr_date_hints hints = {.stated = -1, .stated_why = "", .header = -1, .other_day = mr_name_day(plan->source->path),
                                  .other_what = "the date in the file's name", .log = log};
    hints.first_day = job_day(job->first_day_local_ms);
    hints.last_day = job_day(job->last_day_local_ms);
    if (hints.last_day == INT64_MIN)
        hints.last_day = hints.first_day;
    if (rule && *rule->dates) {
        hints.stated = strcmp(rule->dates, "month-first") == 0 ? MR_ORDER_MDY
                       : strcmp(rule->dates, "day-first") == 0 ? MR_ORDER_DMY
                                                               : MR_ORDER_YMD;
        hints.stated_why = mr_printf(t->arena, "job file line %u", (unsigned)rule->place.line);
    }
    for (size_t i = 0; i < plan->n && hints.header < 0; i++)
        hints.header = i == plan->date_col ? mr_date_format_order(plan->source->columns[i].text) : -1;
    if (hints.other_day == INT64_MIN)
        preamble_day(t, &hints);
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
        int64_t base = mr_datebook_moment(&t->book, t->base_stamp);
        return base == MR_T_NONE ? MR_T_NONE : base + stamp - shift;
    }
    case MR_FORM_NONE:
    case MR_FORM_DATETIME:
    case MR_FORM_DATE_CLOCK:
    case MR_FORM_DATE:
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
        bool dated = t->plan->form == MR_FORM_DATETIME || t->plan->form == MR_FORM_DATE_CLOCK || t->plan->form == MR_FORM_DATE;
        if (dated && stamps[i] != MR_T_NONE) {
            from = stamp / MR_STAMP_STEP * MR_STAMP_STEP;
            to = from + MR_STAMP_STEP;
            delta = stamps[i] - stamp;
        }
    }
}
