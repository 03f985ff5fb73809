#include "base/setting_range.h"

#include <math.h>

#define DAY_S 86400.0

/* What no coating job leaves; wide enough for any instrument. Project decisions. */
static const struct {
    enum mr_dim dim;
    double low, high; /* canonical unit */
    const char *text;
} by_dimension[] = {
    {MR_DIM_NONE, 0.0, 1e6, "0 to 1000000"},
    {MR_DIM_FILM, -1e3, 1e5, "-1 mm to 100 mm"},
    {MR_DIM_TEMP, -100.0, 1000.0, "-100 degC to 1000 degC"},
    {MR_DIM_RISE, 0.0, 500.0, "0 K to 500 K"},
    {MR_DIM_PRESSURE, -110.0, 1e6, "-110 kPa to 1000 MPa"},
    {MR_DIM_SHARE, 0.0, 1000.0, "0 % to 1000 %"},
    {MR_DIM_AREA, 0.0, 1e7, "0 m2 to 10000000 m2"},
    {MR_DIM_LENGTH, 0.0, 1e7, "0 mm to 10 km"},
    {MR_DIM_VOLUME, 0.0, 1e7, "0 L to 10000000 L"},
    {MR_DIM_MASS, 0.0, 1e7, "0 kg to 10000000 kg"},
    {MR_DIM_DURATION, 0.0, 366.0 * DAY_S, "0 to 366 d"},
};

static const struct {
    enum mr_setting_id id;
    double low, high;
    const char *text;
} by_setting[] = {
    {MR_DFT_GAGE_PER_SPOT, 1, 1000, "1 to 1000"},
    {MR_DFT_SPOT_PER_AREA, 1, 1000, "1 to 1000"},
    {MR_DFT_UNUSUAL, 1, 1000, "1 to 1000"},
    {MR_DFT_BASE_MIN, 1, 100000, "1 to 100000"},
    {MR_DFT_WET_RATIO, 1, 100, "1 to 100"},
    {MR_DFT_PROBABILITY, 50, 99.9999, "50 % to 99.9999 %"},
    {MR_DFT_OUTLIER, 0.0001, 50, "0.0001 % to 50 %"},
    {MR_DFT_CONFIDENCE, 50, 99.9999, "50 % to 99.9999 %"},
    {MR_DFT_COVERAGE, 50, 99.9999, "50 % to 99.9999 %"},
    {MR_RISE_PREDICTION, 50, 99.9999, "50 % to 99.9999 %"},
    {MR_RH_MAX, 0, 100, "0 % to 100 %"},
    {MR_CLIMATE_COVER, 0, 100, "0 % to 100 %"},
    {MR_RISE_COVER, 0, 100, "0 % to 100 %"},
    {MR_LINE_COVER, 0, 100, "0 % to 100 %"},
    {MR_SOLIDS, 0, 100, "0 % to 100 %"},
    {MR_LOSS_MAX, 0, 100, "0 % to 100 %"},
    {MR_ACTIVE_SHARE, 0, 100, "0 % to 100 %"},
    {MR_DROPOUT_BELOW, 0, 100, "0 % to 100 %"},
    {MR_RISE_ZONES, 3, 1e6, "3 to 1000000"},
    {MR_CLOCK_EVENTS, 2, 1e5, "2 to 100000"},
    {MR_RATIO, 0.001, 1000, "0.001 to 1000"},
    {MR_GAP_FACTOR, 1, 1e6, "1 to 1000000"},
    {MR_REVISION, 0, 99999999, "0 to 99999999"},
    {MR_KEEP, 1, 1e6, "1 to 1000000"},
    {MR_TRACE_ROWS, 0, 1e7, "0 to 10000000"},
};

static const char *outside(double value, double low, double high, const char *text) {
    return value >= low && value <= high ? NULL : text; /* NaN lies outside */
}

const char *mr_setting_range(enum mr_setting_id id, double value) {
    if (mr_setting_defs[id].type != MR_SETTING_NUMBER)
        return NULL;
    for (size_t i = 0; i < MR_COUNT(by_setting); i++)
        if (by_setting[i].id == id)
            return outside(value, by_setting[i].low, by_setting[i].high, by_setting[i].text);
    for (size_t i = 0; i < MR_COUNT(by_dimension); i++)
        if (by_dimension[i].dim == mr_setting_defs[id].dim)
            return outside(value, by_dimension[i].low, by_dimension[i].high, by_dimension[i].text);
    return NULL;
}

const char *mr_clock_offset_range(double offset_s) {
    return outside(offset_s, -3660.0 * DAY_S, 3660.0 * DAY_S, "-3660 d to 3660 d");
}
