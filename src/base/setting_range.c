#include "base/setting_range.h"

#include <math.h>

#define DAY_S 86400.0

struct range {
    double low, high; /* canonical unit */
    bool whole;
    const char *text;
};

/* What no coating job leaves; wide enough for any instrument. Project decisions. */
static const struct range by_dimension[] = {
    [MR_DIM_NONE] = {0, 1e6, false, "0 to 1000000"},
    [MR_DIM_FILM] = {1, 1e5, false, "1 um to 100 mm"},
    [MR_DIM_TEMP] = {-100, 1000, false, "-100 degC to 1000 degC"},
    [MR_DIM_RISE] = {0, 500, false, "0 K to 500 K"},
    [MR_DIM_PRESSURE] = {-110, 1e6, false, "-110 kPa to 1000 MPa"},
    [MR_DIM_SHARE] = {0, 1000, false, "0 % to 1000 %"},
    [MR_DIM_AREA] = {0, 1e7, false, "0 m2 to 10000000 m2"},
    [MR_DIM_LENGTH] = {0, 1e7, false, "0 mm to 10 km"},
    [MR_DIM_VOLUME] = {0, 1e7, false, "0 L to 10000000 L"},
    [MR_DIM_MASS] = {0, 1e7, false, "0 kg to 10000000 kg"},
    [MR_DIM_DURATION] = {0, 366 * DAY_S, false, "0 s to 366 d"},
};

static const struct {
    enum mr_setting_id id;
    struct range range;
} by_setting[] = {
    {MR_DFT_GAGE_PER_SPOT, {1, 1000, true, "1 to 1000"}},
    {MR_DFT_SPOT_PER_AREA, {1, 1000, true, "1 to 1000"}},
    {MR_DFT_AREAS_REQUIRED, {0, 1e6, true, "0 to 1000000"}},
    {MR_DFT_READINGS_REQUIRED, {0, 1e6, true, "0 to 1000000"}},
    {MR_DFT_PER_SHIFT, {0, 1e6, true, "0 to 1000000"}},
    {MR_DFT_ON_EDGES, {0, 1e6, true, "0 to 1000000"}},
    {MR_DFT_ON_WELDS, {0, 1e6, true, "0 to 1000000"}},
    {MR_DFT_ON_STIFFENERS, {0, 1e6, true, "0 to 1000000"}},
    {MR_DFT_ON_BEAMS, {0, 1e6, true, "0 to 1000000"}},
    {MR_DFT_ON_PIPES, {0, 1e6, true, "0 to 1000000"}},
    {MR_DFT_PRIMARY_MEMBERS, {0, 1e6, true, "0 to 1000000"}},
    {MR_DFT_OPENINGS, {0, 1e6, true, "0 to 1000000"}},
    {MR_DFT_UNUSUAL, {1, 1000, false, "1 to 1000"}},
    {MR_DFT_BASE_MIN, {1, 100000, true, "1 to 100000"}},
    {MR_DFT_WET_RATIO, {1, 100, false, "1 to 100"}},
    {MR_DFT_PROBABILITY, {50, 99.9999, false, "50 % to 99.9999 %"}},
    {MR_DFT_OUTLIER, {0.0001, 50, false, "0.0001 % to 50 %"}},
    {MR_DFT_CONFIDENCE, {50, 99.9999, false, "50 % to 99.9999 %"}},
    {MR_DFT_COVERAGE, {50, 99.9999, false, "50 % to 99.9999 %"}},
    {MR_RISE_PREDICTION, {50, 99.9999, false, "50 % to 99.9999 %"}},
    {MR_RH_MAX, {0, 100, false, "0 % to 100 %"}},
    {MR_CLIMATE_COVER, {0, 100, false, "0 % to 100 %"}},
    {MR_RISE_STEEL, {0.1, 1e4, false, "0.1 mm to 10 m"}},
    {MR_RISE_LOSS, {0, 1e4, false, "0 to 10000 (W/m2K)"}},
    {MR_RISE_TIME, {0.01, DAY_S, false, "0.01 s to 1 d"}},
    {MR_RISE_COVER, {0, 100, false, "0 % to 100 %"}},
    {MR_FILM_DENSITY, {10, 30000, false, "10 to 30000 (kg/m3)"}},
    {MR_FILM_HEAT, {10, 20000, false, "10 to 20000 (J/kgK)"}},
    {MR_LINE_COVER, {0, 100, false, "0 % to 100 %"}},
    {MR_SOLIDS, {0.1, 100, false, "0.1 % to 100 %"}},
    {MR_LOSS_MAX, {0, 100, false, "0 % to 100 %"}},
    {MR_DENSITY_A, {0.01, 30, false, "0.01 to 30 (kg/L)"}},
    {MR_DENSITY_B, {0.01, 30, false, "0.01 to 30 (kg/L)"}},
    {MR_ACTIVE_SHARE, {0, 100, false, "0 % to 100 %"}},
    {MR_DROPOUT_BELOW, {0, 100, false, "0 % to 100 %"}},
    {MR_RISE_ZONES, {3, 1e6, true, "3 to 1000000"}},
    {MR_CLOCK_EVENTS, {2, 1e5, true, "2 to 100000"}},
    {MR_RATIO, {0.001, 1000, false, "0.001 to 1000"}},
    {MR_PLAUSIBLE_FILM_MIN, {-1e3, 1e5, false, "-1 mm to 100 mm"}},
    {MR_GAP_FACTOR, {1, 1e6, false, "1 to 1000000"}},
    {MR_REVISION, {0, 99999999, true, "0 to 99999999"}},
    {MR_KEEP, {1, 1e6, true, "1 to 1000000"}},
    {MR_TRACE_ROWS, {0, 1e7, true, "0 to 10000000"}},
};

/* Limits with a default that a specification may do without; any other default needs a number in its place. */
static const enum mr_setting_id may_be_none[] = {MR_SPREAD_MIN,     MR_RH_MAX,    MR_DEW_DIFFER, MR_RISE_MIN,
                                                 MR_RISE_MAX,       MR_MAIN_MIN,  MR_MAIN_MAX,   MR_PAUSE_MAX,
                                                 MR_CLEANOUT_AFTER, MR_WATER_TEST};

static const struct range *range_of(enum mr_setting_id id) {
    for (size_t i = 0; i < MR_COUNT(by_setting); i++)
        if (by_setting[i].id == id)
            return &by_setting[i].range;
    return &by_dimension[mr_setting_defs[id].dim];
}

bool mr_setting_in_range(enum mr_setting_id id, double value) {
    const struct range *r = range_of(id);
    return value >= r->low && value <= r->high && (!r->whole || floor(value) >= value); /* NaN lies outside */
}

const char *mr_setting_range(enum mr_setting_id id) {
    return range_of(id)->text;
}

bool mr_setting_is_whole(enum mr_setting_id id) {
    return range_of(id)->whole;
}

bool mr_setting_may_be_none(enum mr_setting_id id) {
    for (size_t i = 0; i < MR_COUNT(may_be_none); i++)
        if (may_be_none[i] == id)
            return true;
    return !*mr_setting_defs[id].initial;
}

bool mr_clock_offset_in_range(double offset_s) {
    return offset_s >= -3660 * DAY_S && offset_s <= 3660 * DAY_S;
}

bool mr_moment_in_range(int64_t local_ms) {
    const int64_t days_to_2101 = 47847;
    return local_ms >= 0 && local_ms < days_to_2101 * MR_DAY_MS;
}
