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
    "kalibriert bis|kalibrierung gultig bis|nachste kalibrierung|etalonne jusqu au|etalonnage valable jusqu au|"
    "prochain etalonnage|calibrado hasta|proxima calibracion|calibrazione valida fino al|prossima taratura|"
    "gekalibreerd tot|volgende kalibratie|kalibrerad till|nasta kalibrering";

int64_t mr_stated_certificate(struct mr_file_state *state) {
    const char *text = mr_preamble_value(state->scratch, state->source, names);
    size_t n = text ? strcspn(text, ",;\t") : 0;
    int64_t earliest = MR_T_NONE;
    struct mr_when when;
    if (!text)
        return MR_T_NONE;
    mr_trim(&text, &n);
    if (!mr_when_scan(text, n, &when) || !when.has_date)
        return MR_T_NONE;
    for (int order = 0; order < MR_ORDER_COUNT; order++) {
        int64_t day;
        if (mr_date_day(&when.date, (enum mr_order)order, &day) &&
            (earliest == MR_T_NONE || day * MR_DAY_MS < earliest))
            earliest = day * MR_DAY_MS;
    }
    return earliest;
}
