/*
 * plan_time.c - which columns tell the time of a row, and how it is written in them. The header's words say what a
 * column is for; the cells say how it is written. Where several columns could serve, the fullest statement wins: a
 * date with its clock in one cell before two cells, these before a column for each part.
 */
#include "normalise/column/plan_zone.h"

#include "normalise/cell/when.h"

#include <string.h>

#define INTERVAL_NAMES                                                                                               \
    "interval|sample interval|sampling interval|logging interval|log interval|recording interval|sample period|"     \
    "sampling period|log rate|logging rate|intervall|messintervall|abtastintervall|intervalle|intervalo|intervallo|" \
    "interwal"

/* --- forms --------------------------------------------------------------------------------------------------------
 */

static const double serial_least = 36526.0, serial_most = 73051.0; /* 2000-01-01 and 2100-01-01, counted from 1900 */

static bool numeric(const struct mr_shape *s) {
    return s->cells && s->numbers * 10 >= s->cells * 9;
}

static bool whole_within(const struct mr_shape *s, double least, double most) {
    return numeric(s) && s->integers == s->numbers && s->least >= least && s->most <= most;
}

/* HHMM without marks needs a cell of three figures: 0 to 59 alone may be anything. */
static bool figures(const struct mr_shape *s) {
    return s->figure_clocks == s->cells && numeric(s) && s->most >= 100;
}

/* "14.03" in a clock's column is a clock; "14.50" may be half an hour, so quarters alone are none. */
static bool dotted_clocks(const struct mr_shape *s) {
    size_t other = 0;
    for (size_t i = 0; i < s->n_texts; i++) {
        const char *mark = strpbrk(s->texts[i], ".,");
        other += mark && strcmp(mark + 1, "00") != 0 && strcmp(mark + 1, "25") != 0 && strcmp(mark + 1, "50") != 0 &&
                 strcmp(mark + 1, "75") != 0;
    }
    return s->clocks == s->cells && other > 0;
}

/* A share of the day: 0.375 is 09:00. */
static bool day_shares(const struct mr_shape *s) {
    return numeric(s) && s->numbers == s->cells && s->least >= 0.0 && s->most < 1.0 && s->most > 0.0 &&
           s->integers < s->numbers;
}

static enum mr_time_form clock_form(const struct mr_shape *s, enum mr_meaning m, bool has_date) {
    if (s->clocks * 2 >= s->cells && !numeric(s))
        return MR_FORM_CLOCK;
    if (has_date && (figures(s) || (s->plain_clocks * 10 >= s->cells * 9 && s->plain_clocks)))
        return MR_FORM_CLOCK;
    if (has_date && (dotted_clocks(s) || (m == MR_M_CLOCK && day_shares(s))))
        return MR_FORM_CLOCK;
    return m == MR_M_HOUR && whole_within(s, 0, 24) ? MR_FORM_CLOCK : MR_FORM_NONE;
}

static enum mr_time_form empty_form(enum mr_meaning m) {
    return m == MR_M_DATETIME  ? MR_FORM_DATETIME
           : m == MR_M_DATE    ? MR_FORM_DATE
           : m == MR_M_ELAPSED ? MR_FORM_ELAPSED
                               : MR_FORM_CLOCK;
}

/* 46153.29: a spreadsheet's day with a share of it. Seconds that run so high pass over more than a year of such days.
 */
static bool serial_moments(const struct mr_shape *s) {
    enum { DAYS_MOST = 400 };
    return numeric(s) && s->integers < s->numbers && s->least >= serial_least && s->most < serial_most &&
           s->most - s->least < DAYS_MOST;
}

static enum mr_time_form form_of(const struct mr_shape *s, enum mr_meaning m, bool has_date) {
    if (!s->cells)
        return empty_form(m);
    if (has_date && m == MR_M_CLOCK && (s->null_dates == s->cells || s->dotted == s->cells))
        return MR_FORM_CLOCK;
    bool dated = m == MR_M_DATETIME || m == MR_M_DATE;
    if (s->datetimes * 2 >= s->cells ||
        (m != MR_M_ELAPSED && s->compact_hours == s->cells)) /* before epochs of ten digits */
        return MR_FORM_DATETIME;
    if (s->epochs * 10 >= s->cells * 9)
        return MR_FORM_EPOCH;
    if (m == MR_M_ELAPSED)
        return MR_FORM_ELAPSED;
    if (s->dates * 2 >= s->cells)
        return MR_FORM_DATE;
    if (dated && numeric(s) && s->least >= serial_least && s->most < serial_most)
        return MR_FORM_SERIAL;
    if (m == MR_M_CLOCK && !has_date && serial_moments(s))
        return MR_FORM_SERIAL;
    if (m == MR_M_CLOCK || m == MR_M_HOUR || !numeric(s)) {
        enum mr_time_form f = clock_form(s, m, has_date);
        if (f != MR_FORM_NONE)
            return f;
    }
    if (numeric(s) || s->durations * 2 >= s->cells)
        return has_date && m != MR_M_CLOCK ? MR_FORM_NONE : MR_FORM_ELAPSED;
    return s->datetimes + s->dates > s->clocks ? MR_FORM_DATETIME : MR_FORM_CLOCK;
}

/* --- columns ------------------------------------------------------------------------------------------------------
 */

/* Columns without a telling header whose cells are moments: any, where no header tells a time; a date, where a header
 * tells no more than the clock. Figures alone are a date only where every cell is one. */
static void find_by_shape(struct mr_plan *plan, const struct mr_column_shapes *shapes) {
    bool clock = false;
    for (size_t i = 0; i < plan->n; i++) {
        enum mr_meaning m = plan->col[i].as.meaning;
        bool of_clock = m == MR_M_CLOCK || m == MR_M_HOUR || m == MR_M_MINUTE || m == MR_M_SECOND;
        if (mr_is_row_time(m) && (!of_clock || shapes->col[i].datetimes))
            return;
        clock |= of_clock;
    }
    for (size_t i = 0; i < plan->n; i++) {
        const struct mr_shape *s = &shapes->col[i];
        bool serial = serial_moments(s) && (s->rising + 1) * 10 >= s->cells * 8;
        if (plan->col[i].as.meaning == MR_M_SERIAL && serial)
            plan->col[i].as.meaning = MR_M_IGNORE; /* no instrument has a number that grows */
        if (plan->col[i].as.meaning != MR_M_IGNORE || s->cells < 1)
            continue;
        if (serial && mr_is_log(plan->kind)) {
            plan->col[i].as.meaning = MR_M_DATETIME;
            return;
        }
        if (s->datetimes * 10 >= s->cells * 8)
            plan->col[i].as.meaning = MR_M_DATETIME;
        else if (s->dates * 10 >= s->cells * 8 && (!numeric(s) || (clock && s->dates == s->cells)))
            plan->col[i].as.meaning = MR_M_DATE;
        else if (s->clocks * 10 >= s->cells * 8 && !numeric(s) && !clock)
            plan->col[i].as.meaning = MR_M_CLOCK;
    }
}

/* "Day" over dates is the date and over 1 to 31 the day; "Hour" over "14:00" is the clock; "mm" behind the hour is
 * the minute. */
static void settle_words(struct mr_plan *plan, const struct mr_column_shapes *shapes) {
    bool year_seen = false, hour_seen = false, month = false;
    for (size_t i = 0; i < plan->n; i++)
        month |= plan->col[i].as.meaning == MR_M_MONTH;
    for (size_t i = 0; i < plan->n; i++) {
        enum mr_meaning *m = &plan->col[i].as.meaning;
        const struct mr_shape *s = &shapes->col[i];
        if (*m == MR_M_DAY && s->dates * 2 >= s->cells && s->dates)
            *m = MR_M_DATE;
        else if (*m == MR_M_DATE && year_seen && whole_within(s, 1, month ? 31 : 366))
            *m = month          ? MR_M_DAY
                 : s->most > 31 ? MR_M_YEARDAY
                                : MR_M_DATE; /* up to 31 without a month may be either */
        if (*m == MR_M_MONTH && hour_seen)
            *m = MR_M_MINUTE;
        if (*m == MR_M_RH && year_seen && !hour_seen && strcmp(plan->col[i].words, "hr") == 0 &&
            whole_within(s, 0, 24)) {
            *m = MR_M_HOUR; /* in French the relative humidity, but not behind the day */
            plan->col[i].as.unit = MR_UNIT_NONE;
            plan->col[i].as.unit_origin = MR_ORIGIN_UNKNOWN;
            plan->col[i].as.unit_why = "";
        }
        year_seen |= *m == MR_M_YEAR;
        hour_seen |= *m == MR_M_HOUR;
    }
}

/* A part's column; a second one for the same part makes it doubtful, and then none is taken. */
static size_t part(const struct mr_plan *plan, enum mr_meaning meaning) {
    size_t found = MR_NONE;
    for (size_t i = 0; i < plan->n; i++)
        if (plan->col[i].as.meaning == meaning) {
            if (found != MR_NONE)
                return MR_NONE;
            found = i;
        }
    return found;
}

static bool date_in_parts(struct mr_plan *plan) {
    static const enum mr_meaning meaning[] = {
        [MR_PART_YEAR] = MR_M_YEAR,       [MR_PART_MONTH] = MR_M_MONTH,   [MR_PART_DAY] = MR_M_DAY,
        [MR_PART_YEARDAY] = MR_M_YEARDAY, [MR_PART_MINUTE] = MR_M_MINUTE, [MR_PART_SECOND] = MR_M_SECOND,
        [MR_PART_MILLI] = MR_M_MILLI,     [MR_PART_HALF] = MR_M_HALF};
    for (size_t p = 0; p < MR_PART_COUNT; p++)
        plan->part_col[p] = part(plan, meaning[p]);
    bool month_day = plan->part_col[MR_PART_MONTH] != MR_NONE && plan->part_col[MR_PART_DAY] != MR_NONE;
    if (month_day)
        plan->part_col[MR_PART_YEARDAY] = MR_NONE; /* says the same once more */
    return plan->part_col[MR_PART_YEAR] != MR_NONE && (month_day || plan->part_col[MR_PART_YEARDAY] != MR_NONE);
}

static bool is_date_column(const struct mr_plan_column *c, const struct mr_shape *s) {
    bool serial = numeric(s) && s->integers == s->numbers && s->least >= serial_least && s->most < serial_most;
    bool midnight = s->cells && s->midnights == s->cells; /* a date that was given a clock on saving */
    return (c->as.meaning == MR_M_DATE || (c->as.meaning == MR_M_DATETIME && midnight)) &&
           (s->dates * 2 >= s->cells || serial || midnight);
}

static bool has_date_column(const struct mr_plan *plan, const struct mr_column_shapes *shapes) {
    for (size_t i = 0; i < plan->n; i++)
        if (is_date_column(&plan->col[i], &shapes->col[i]))
            return true;
    return false;
}

/* Times that are not the row's: of the download, of the instrument's calibration. */
static bool other_time(const struct mr_plan_column *c) {
    static const char *const words[] = {"download", "downloaded", "export", "exported",    "printed",    "upload",
                                        "uploaded", "modified",   "cal",    "calibration", "calibrated", "due",
                                        "expiry",   "received",   "synced", "sync"};
    for (size_t i = 0; i < MR_COUNT(words); i++)
        if (mr_words_hold(c->words, words[i]))
            return true;
    return false;
}

/* For each form the column that serves; a column that says UTC is preferred. */
static void collect_forms(struct mr_arena *arena, const struct mr_plan *plan, const struct mr_column_shapes *shapes,
                          bool has_date, size_t col[MR_FORM_COUNT]) {
    bool utc[MR_FORM_COUNT] = {false};
    for (size_t f = 0; f < MR_FORM_COUNT; f++)
        col[f] = MR_NONE;
    for (size_t i = 0; i < plan->n; i++) {
        enum mr_meaning m = plan->col[i].as.meaning;
        if (m != MR_M_DATETIME && m != MR_M_DATE && m != MR_M_CLOCK && m != MR_M_ELAPSED && m != MR_M_HOUR)
            continue;
        if (other_time(&plan->col[i]))
            continue;
        enum mr_time_form f = form_of(&shapes->col[i], m, has_date);
        if (f == MR_FORM_DATETIME && is_date_column(&plan->col[i], &shapes->col[i]))
            f = MR_FORM_DATE;
        int32_t min;
        bool is_utc = mr_header_zone(arena, &plan->source->columns[i], &min);
        if (f != MR_FORM_NONE && (col[f] == MR_NONE || (is_utc && !utc[f]))) {
            col[f] = i;
            utc[f] = is_utc;
        }
    }
}

static void choose_form(struct mr_plan *plan, const size_t col[MR_FORM_COUNT], const struct mr_column_shapes *shapes,
                        bool parts) {
    size_t datetime = col[MR_FORM_DATETIME], clock = col[MR_FORM_CLOCK];
    bool zoned = datetime != MR_NONE && shapes->col[datetime].zoned;
    static const enum mr_time_form in_turn[] = {MR_FORM_EPOCH,  MR_FORM_DATETIME, MR_FORM_DATE,   MR_FORM_PARTS,
                                                MR_FORM_SERIAL, MR_FORM_CLOCK,    MR_FORM_ELAPSED};
    plan->date_col = plan->clock_col = MR_NONE;
    for (size_t i = 0; i < MR_COUNT(in_turn) && plan->form == MR_FORM_NONE; i++) {
        enum mr_time_form f = in_turn[i];
        if (f == MR_FORM_PARTS ? !parts : col[f] == MR_NONE || (f == MR_FORM_EPOCH && zoned))
            continue;
        plan->form = f == MR_FORM_DATE && clock != MR_NONE ? MR_FORM_DATE_CLOCK : f;
        if (f == MR_FORM_DATE && clock == MR_NONE && shapes->col[col[f]].datetimes * 2 >= shapes->col[col[f]].cells)
            plan->form = MR_FORM_DATETIME; /* at midnight in earnest, for all the file can tell */
        if (f != MR_FORM_CLOCK)
            plan->date_col = col[f]; /* none where it has parts */
        if (f == MR_FORM_CLOCK || f == MR_FORM_DATE || f == MR_FORM_PARTS || f == MR_FORM_SERIAL)
            plan->clock_col = clock;
    }
}

static void choose_clock_style(struct mr_plan *plan, const struct mr_column_shapes *shapes) {
    if (plan->date_col != MR_NONE) {
        const struct mr_shape *s = &shapes->col[plan->date_col];
        plan->compact_hours = plan->form == MR_FORM_DATETIME && s->compact_hours == s->cells && s->cells;
    }
    if (plan->clock_col == MR_NONE)
        return;
    const struct mr_shape *s = &shapes->col[plan->clock_col];
    if (s->cells && s->dotted == s->cells)
        plan->clock_style = MR_CLOCK_DOTTED;
    else if (numeric(s) && figures(s))
        plan->clock_style = MR_CLOCK_FIGURES;
    else if (day_shares(s) && plan->col[plan->clock_col].as.meaning == MR_M_CLOCK)
        plan->clock_style = MR_CLOCK_FRACTION;
    else if (plan->col[plan->clock_col].as.meaning == MR_M_HOUR && whole_within(s, 0, 24))
        plan->clock_style = MR_CLOCK_HOUR;
}

/* Every column keeps the meaning it serves by; the others that might have told the time mean nothing. */
static void keep_serving(struct mr_arena *arena, struct mr_plan *plan) {
    static const enum mr_meaning date_meaning[MR_FORM_COUNT] = {
        [MR_FORM_DATETIME] = MR_M_DATETIME, [MR_FORM_DATE_CLOCK] = MR_M_DATE, [MR_FORM_DATE] = MR_M_DATE,
        [MR_FORM_EPOCH] = MR_M_DATETIME,    [MR_FORM_ELAPSED] = MR_M_ELAPSED, [MR_FORM_SERIAL] = MR_M_DATETIME,
        [MR_FORM_CLOCK] = MR_M_IGNORE,      [MR_FORM_NONE] = MR_M_IGNORE,     [MR_FORM_PARTS] = MR_M_IGNORE};
    bool hours = plan->clock_style == MR_CLOCK_HOUR;
    bool clock = plan->clock_col != MR_NONE || plan->form == MR_FORM_DATETIME;
    for (size_t p = 0; p < MR_PART_COUNT; p++) {
        bool of_hours = p == MR_PART_MINUTE || p == MR_PART_SECOND,
             of_clock = p == MR_PART_MILLI || p == MR_PART_HALF;
        if (of_hours ? !hours : of_clock ? !clock : plan->form != MR_FORM_PARTS)
            plan->part_col[p] = MR_NONE;
    }
    for (size_t i = 0; i < plan->n; i++) {
        struct mr_plan_column *c = &plan->col[i];
        bool serves = i == plan->date_col || i == plan->clock_col;
        for (size_t p = 0; p < MR_PART_COUNT; p++)
            serves |= plan->part_col[p] == i;
        if (i == plan->date_col)
            c->as.meaning = date_meaning[plan->form];
        else if (i == plan->clock_col)
            c->as.meaning = hours ? MR_M_HOUR : MR_M_CLOCK;
        else if (mr_is_row_time(c->as.meaning) && !serves) {
            c->second_day = mr_is_day_of_row(c->words);
            plan->second_days |= c->second_day;
            c->as.meaning = MR_M_IGNORE;
        }
        if (i == plan->date_col || i == plan->clock_col)
            mr_plan_header_zone(arena, plan, i);
    }
}

static enum mr_unit elapsed_unit(struct mr_arena *arena, const struct mr_plan_column *c, const struct mr_head *head) {
    enum mr_unit unit = MR_UNIT_NONE;
    if (c->as.unit != MR_UNIT_NONE)
        return c->as.unit;
    if (mr_unit_parse(head->unit, strlen(head->unit), MR_DIM_DURATION, &unit))
        return unit;
    const char *words = mr_words_fold(arena, head->text, strlen(head->text));
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ')
        if (strcspn(w, " ") > 0 && mr_unit_parse(w, strcspn(w, " "), MR_DIM_DURATION, &unit))
            return unit;
    return MR_UNIT_NONE;
}

/* "Interval: 10 s" or "00:00:10" above the table. */
static bool stated_interval(struct mr_arena *arena, const struct mr_plan *plan, int64_t *out_ms) {
    const char *text = mr_preamble_value(arena, plan->source, INTERVAL_NAMES);
    struct mr_number x;
    enum mr_unit unit;
    if (!text)
        return false;
    if (strchr(text, ':'))
        return mr_duration_scan(text, strlen(text), out_ms) && *out_ms > 0;
    if (mr_number_scan(text, strlen(text), (struct mr_number_style){'?', false}, &x) != MR_NUM_OK || !x.unit ||
        !mr_unit_parse(x.unit, x.unit_n, MR_DIM_DURATION, &unit))
        return false;
    *out_ms = (int64_t)(mr_to_canonical(unit, x.value) * 1000.0 + 0.5);
    return *out_ms > 0;
}

/* "Sample" over whole numbers that rise: a logger that was stopped leaves some out. */
static bool numbers_samples(const struct mr_plan_column *c, const struct mr_shape *s) {
    static const char *const words[] = {"sample",  "sample no",   "sample nr", "sample number", "scan",
                                        "scan no", "record",      "record no", "reading no",    "index",
                                        "messung", "messwert nr", "mesure",    "muestra",       "campione",
                                        "amostra", "monster",     "prov"};
    return mr_word_among(c->words, strlen(c->words), words, MR_COUNT(words)) && s->cells > 1 &&
           s->integers == s->cells && s->rising + 1 >= s->cells && s->least >= 0.0 && s->least <= 1.0;
}

/* Start, interval and the number of the sample: no column tells a time, one counts the rows. */
static void plan_samples(struct mr_arena *arena, struct mr_plan *plan, const struct mr_column_shapes *shapes) {
    if (plan->form != MR_FORM_NONE || !mr_is_log(plan->kind) || !stated_interval(arena, plan, &plan->sample_ms))
        return;
    for (size_t i = 0; i < plan->n; i++) {
        struct mr_plan_column *c = &plan->col[i];
        if ((c->as.meaning != MR_M_IGNORE && c->as.meaning != MR_M_READING_NO) ||
            (!mr_shape_counts(&shapes->col[i]) && !numbers_samples(c, &shapes->col[i])))
            continue;
        plan->form = MR_FORM_ELAPSED;
        plan->date_col = i;
        plan->first_sample = shapes->col[i].least;
        plan->col[i].as.meaning = MR_M_ELAPSED;
        return;
    }
    plan->sample_ms = 0;
}

void mr_plan_times(struct mr_arena *arena, struct mr_plan *plan, const struct mr_column_shapes *shapes) {
    size_t col[MR_FORM_COUNT];
    plan->form = MR_FORM_NONE;
    plan->date_col = plan->clock_col = MR_NONE;
    plan->zone_header = plan->zone_word = "";
    for (size_t p = 0; p < MR_PART_COUNT; p++)
        plan->part_col[p] = MR_NONE;
    if (plan->kind == MR_KIND_ZONES)
        return;
    find_by_shape(plan, shapes);
    settle_words(plan, shapes);
    bool parts = date_in_parts(plan);
    collect_forms(arena, plan, shapes, parts || has_date_column(plan, shapes), col);
    choose_form(plan, col, shapes, parts);
    choose_clock_style(plan, shapes);
    size_t yearday = plan->form == MR_FORM_PARTS ? plan->part_col[MR_PART_YEARDAY] : MR_NONE;
    plan->day_shares = yearday != MR_NONE && plan->clock_col == MR_NONE &&
                       shapes->col[yearday].integers < shapes->col[yearday].numbers;
    plan_samples(arena, plan, shapes);
    keep_serving(arena, plan);
    mr_plan_zone_column(arena, plan, shapes);
    if (plan->form == MR_FORM_ELAPSED && !plan->sample_ms) {
        struct mr_plan_column *c = &plan->col[plan->date_col];
        plan->elapsed_unit = elapsed_unit(arena, c, &plan->source->columns[plan->date_col]);
        c->as.unit = plan->elapsed_unit;
        c->as.unit_origin = plan->elapsed_unit == MR_UNIT_NONE ? MR_ORIGIN_UNKNOWN : MR_ORIGIN_HEADING;
        c->as.unit_why = plan->elapsed_unit == MR_UNIT_NONE ? "" : "stated in the header";
    }
}
