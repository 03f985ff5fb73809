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
