/*
 * climate_table.c - the climate at each coat as a table.
 */
#include "assess/climate/climate.h"

#include <math.h>

const char *mr_climate_instrument(const struct mr_track *track) {
    if (track == NULL)
        return "";
    return track->instrument[0] != '\0' ? track->instrument : track->channel;
}

struct mr_table *mr_climate_table(struct mr_assess *a) {
    enum mr_unit rise = a->job->display.rise, temp = a->job->display.temp;
    struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Coat", MR_UNIT_NONE, 0},
        {"start", "Start", MR_UNIT_NONE, 0},
        {"stop", "Stop", MR_UNIT_NONE, 0},
        {"judged_from", "Judged from", MR_UNIT_NONE, 0},
        {"judged_to", "Judged to", MR_UNIT_NONE, 0},
        {"outcome", "Outcome", MR_UNIT_NONE, 0},
        {"spread_least", "Spread, least", rise, 1},
        {"spread_limit", "Spread, limit", rise, 1},
        {"spread_out", "Spread out of limit", MR_UNIT_MIN, 1},
        {"spread_coverage", "Spread covered", MR_UNIT_PCT, 0},
        {"humidity_greatest", "Humidity, greatest", MR_UNIT_PCT, 1},
        {"humidity_out", "Humidity out of limit", MR_UNIT_MIN, 1},
        {"air_least", "Air, least", temp, 1},
        {"air_greatest", "Air, greatest", temp, 1},
        {"steel_least", "Steel, least", temp, 1},
        {"steel_greatest", "Steel, greatest", temp, 1},
        {"dew_greatest", "Dew point, greatest", temp, 1},
        {"dew_source", "Dew point", MR_UNIT_NONE, 0},
        {"air_instrument", "Air and humidity by", MR_UNIT_NONE, 0},
        {"steel_instrument", "Steel by", MR_UNIT_NONE, 0},
    };
    return mr_table_new(
        a->arena, "climate", "Climate at each coat",
        "Worst values over the window with its lead and cure times; minutes out of limits from straight lines "
        "between "
        "samples, never across a gap longer than allowed. Computed dew points: Magnus form, Sonntag's constants of "
        "1990, over water. Steel under a probe on the zone warms once the material reacts.",
        MR_COUNT(fields), fields);
}

static const struct mr_watch *watch_of(const struct mr_period *p, enum mr_setting_id id) {
    for (size_t i = 0; i < p->n; i++)
        if (p->row[i]->setting == id)
            return &p->watch[i];
    return NULL;
}

static struct mr_value out_minutes(const struct mr_watch *w) {
    if (w == NULL)
        return mr_v_blank("no limit");
    return isnan(w->worst) ? mr_v_blank("no data") : mr_v_num(w->out_ms / 60e3);
}

void mr_climate_row(struct mr_assess *a, struct mr_table *table, const struct mr_period *p) {
    enum mr_unit rise = a->job->display.rise, temp = a->job->display.temp;
    const struct mr_extremes *x = p->extremes;
    const struct mr_watch *spread = watch_of(p, MR_SPREAD_MIN);
    double span = (double)(p->to_ms - p->from_ms),
           spread_cover = span > 0.0 ? 100.0 * x[MR_Q_SPREAD].covered_ms / span : MR_NAN;
    struct mr_value v[] = {
        mr_v_text(a->aligned->zones.v[p->window->zone].name),
        mr_v_count(p->window->coat),
        mr_v_time(p->window->t0_utc_ms),
        mr_v_time(p->window->t1_utc_ms),
        mr_v_time(p->from_ms),
        mr_v_time(p->to_ms),
        mr_v_outcome((int)p->worst),
        mr_v_num(mr_from_canonical(rise, x[MR_Q_SPREAD].low)),
        spread == NULL ? mr_v_blank("no limit")
                       : mr_v_num(mr_from_canonical(rise, mr_to_canonical(spread->unit, spread->limit))),
        out_minutes(spread),
        mr_v_num(spread_cover),
        mr_v_num(x[MR_Q_RH].high),
        out_minutes(watch_of(p, MR_RH_MAX)),
        mr_v_num(mr_from_canonical(temp, x[MR_Q_AIR].low)),
        mr_v_num(mr_from_canonical(temp, x[MR_Q_AIR].high)),
        mr_v_num(mr_from_canonical(temp, x[MR_Q_STEEL].low)),
        mr_v_num(mr_from_canonical(temp, x[MR_Q_STEEL].high)),
        mr_v_num(mr_from_canonical(temp, x[MR_Q_DEW].high)),
        isnan(x[MR_Q_DEW].high) ? mr_v_blank("not known") : mr_v_text(p->tracks.dew != NULL ? "logged" : "computed"),
        mr_v_text(mr_climate_instrument(p->tracks.rh != NULL ? p->tracks.rh : p->tracks.air)),
        mr_v_text(mr_climate_instrument(p->tracks.steel)),
    };
    mr_table_add(a->arena, table, v);
}

struct mr_table *mr_least_spread_table(struct mr_assess *a) {
    const enum mr_unit rise = a->job->display.rise, temp = a->job->display.temp;
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Coat", MR_UNIT_NONE, 0},
        {"time", "Time", MR_UNIT_NONE, 0},
        {"air", "Air", temp, 2},
        {"humidity", "Humidity", MR_UNIT_PCT, 2},
        {"dew_point", "Dew point", temp, 2},
        {"dew_source", "Dew point by", MR_UNIT_NONE, 0},
        {"steel", "Steel", temp, 2},
        {"spread", "Spread", rise, 2},
        {"air_instrument", "Air and humidity by", MR_UNIT_NONE, 0},
        {"steel_instrument", "Steel by", MR_UNIT_NONE, 0},
    };
    return mr_table_new(
        a->arena, "least-spread", "Least dew-point spread",
        "The moment of the least spread in each coat's judged time, with what it was worked out from; "
        "between samples on straight lines. Computed dew point: Magnus form over water, Sonntag's "
        "constants of 1990 (17.62 and 243.12 degrees C). Spread: steel less dew point.",
        MR_COUNT(fields), fields);
}

void mr_least_spread_row(struct mr_assess *a, struct mr_table *table, const struct mr_period *p) {
    const enum mr_unit rise = a->job->display.rise, temp = a->job->display.temp;
    const struct mr_extremes *x = &p->extremes[MR_Q_SPREAD];
    enum { AIR, HUMIDITY, STEEL, DEW };
    if (x->low_ms == MR_T_NONE)
        return;
    const struct mr_value v[] = {
        mr_v_text(a->aligned->zones.v[p->window->zone].name),
        mr_v_count(p->window->coat),
        mr_v_time(x->low_ms),
        mr_v_num(mr_from_canonical(temp, x->low_from[AIR])),
        mr_v_num(x->low_from[HUMIDITY]),
        mr_v_num(mr_from_canonical(temp, x->low_from[DEW])),
        mr_v_text(p->tracks.dew != NULL ? "logged" : "computed"),
        mr_v_num(mr_from_canonical(temp, x->low_from[STEEL])),
        mr_v_num(mr_from_canonical(rise, x->low)),
        mr_v_text(mr_climate_instrument(p->tracks.rh != NULL ? p->tracks.rh : p->tracks.air)),
        mr_v_text(mr_climate_instrument(p->tracks.steel)),
    };
    mr_table_add(a->arena, table, v);
}
