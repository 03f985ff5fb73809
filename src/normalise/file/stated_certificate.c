/* stated_certificate.c - see stated_certificate.h. */
#include "normalise/file/stated_certificate.h"

#include "base/text.h"
#include "normalise/cell/when.h"
#include "normalise/column/plan_zone.h"

#include <string.h>

static const char names[] =
    "calibration due|calibration due date|cal due|cal due date|date calibration due|next calibration|"
    "next calibration due|next cal|next cal due|calibration expires|calibration expiry|calibration expiry date|"
    "calibration valid until|calibrated until|certificate valid until|certificate expires|certificate expiry|"
    "certified until|calibration valid to|calibration until|cal valid until|cal expires|cal expiry|certificate until|"
    "kalibriert bis|kalibrierung gultig bis|nachste kalibrierung|etalonne jusqu au|etalonnage valable jusqu au|"
    "prochain etalonnage|calibrado hasta|proxima calibracion|calibrazione valida fino al|prossima taratura|"
    "gekalibreerd tot|volgende kalibratie|kalibrerad till|nasta kalibrering";

static int64_t earlier(int64_t a, int64_t b) {
    return a == MR_T_NONE || (b != MR_T_NONE && b < a) ? b : a;
}

/* The earliest day that a text may mean; MR_T_NONE where it is none. */
static int64_t day_in(const char *text, size_t n) {
    int64_t earliest = MR_T_NONE;
    struct mr_when when;
    mr_trim(&text, &n);
    if (!mr_when_scan(text, n, &when) || !when.has_date)
        return MR_T_NONE;
    for (int order = 0; order < MR_ORDER_COUNT; order++) {
        int64_t day;
        if (mr_date_day(&when.date, (enum mr_order)order, &day))
            earliest = earlier(earliest, day * MR_DAY_MS);
    }
    return earliest;
}

static const char last_names[] =
    "calibrated|calibrated on|calibration date|date of calibration|last calibration|last calibrated|cal date|"
    "calibration|kalibriert am|kalibrierdatum|letzte kalibrierung|etalonne le|date d etalonnage|calibrado el|"
    "fecha de calibracion|tarato il|gekalibreerd op|kalibrerad den";
static const char interval_names[] =
    "calibration interval|cal interval|recalibration interval|calibration period|calibration valid for|"
    "kalibrierintervall|intervalle d etalonnage|intervalo de calibracion|intervallo di taratura|kalibratie interval";

/* "12 months", "1 year", in days; 0 where it says none. */
static int64_t interval_days(struct mr_arena *arena, const char *text) {
    static const struct {
        const char *unit;
        int64_t days;
    } units[] = {{"month", 31}, {"months", 31}, {"monate", 31}, {"mois", 31},   {"meses", 31}, {"mesi", 31},
                 {"year", 366}, {"years", 366}, {"jahr", 366},  {"jahre", 366}, {"an", 366},   {"ans", 366},
                 {"ano", 366},  {"anni", 366},  {"jaar", 366},  {"days", 1},    {"tage", 1}};
    const char *words = mr_words_fold(arena, text, strlen(text));
    const size_t digits = strspn(words, "0123456789");
    int64_t n = 0;
    for (size_t i = 0; i < digits && i < 4; i++)
        n = 10 * n + (words[i] - '0');
    const char *unit = words + digits + strspn(words + digits, " ");
    for (size_t i = 0; i < MR_COUNT(units); i++)
        if (strncmp(unit, units[i].unit, strlen(units[i].unit)) == 0 &&
            (unit[strlen(units[i].unit)] == '\0' || unit[strlen(units[i].unit)] == ' '))
            return n * units[i].days;
    return 0;
}

/* "Calibrated: 2025-03-01" with "Calibration interval: 12 months". */
static int64_t due_by_interval(struct mr_file_state *state) {
    const char *last = mr_preamble_value(state->scratch, state->source, last_names);
    const char *interval = mr_preamble_value(state->scratch, state->source, interval_names);
    const int64_t days = interval ? interval_days(state->scratch, interval) : 0;
    const int64_t day = last && days > 0 ? day_in(last, strcspn(last, ",;\t")) : MR_T_NONE;
    return day == MR_T_NONE ? MR_T_NONE : day + days * MR_DAY_MS;
}

/* A column that states it in every row. */
struct column_of_days {
    size_t cell;
    int64_t earliest_ms;
};

static bool take_day(void *ctx, const struct mr_row *row) {
    struct column_of_days *c = ctx;
    if (row->part == MR_ROW_BODY && c->cell < row->n)
        c->earliest_ms = earlier(c->earliest_ms, day_in(row->cell[c->cell].p, row->cell[c->cell].n));
    return true;
}

int64_t mr_stated_certificate(struct mr_file_state *state) {
    const char *text = mr_preamble_value(state->scratch, state->source, names);
    int64_t earliest = text ? day_in(text, strcspn(text, ",;\t")) : MR_T_NONE;
    earliest = earlier(earliest, due_by_interval(state));
    for (size_t i = 0; i < state->plan->n; i++) {
        const char *head = state->source->columns[i].text;
        struct column_of_days column = {state->plan->col[i].cell, MR_T_NONE};
        if (!mr_name_among(mr_words_fold(state->scratch, head, strlen(head)), names))
            continue;
        if (mr_read_rows(state->source, take_day, &column) == MR_OK) /* a file that changes is told by others */
            earliest = earlier(earliest, column.earliest_ms);
    }
    return earliest;
}
