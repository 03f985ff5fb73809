/*
 * heat_tables.c - the tables of events and of coats.
 */
#include "assess/heat/heat_tables.h"

#include "assess/finding/finding_text.h"

#include <math.h>

static struct mr_value rise_value(enum mr_unit unit, double k, const char *why) {
    return isnan(k) ? mr_v_blank(why) : mr_v_num(mr_from_canonical(unit, k));
}

/* Nothing is shown of a figure whose standard error is as large as it is. */
static struct mr_value determined(enum mr_unit unit, double shown, double k, double se_k, const char *why) {
    if (!isnan(k) && !(se_k > 0.0 && se_k < fabs(k)))
        return mr_v_blank("not determined");
    return rise_value(unit, shown, why);
}

static const char *zone_name(const struct mr_assess *a, size_t zone) {
    return zone == MR_NONE ? "" : a->aligned->zones.v[zone].name;
}

void mr_heat_table_coats(struct mr_assess *a, const mr_coat_heats *coats, const struct mr_heat_row *rows) {
    enum mr_unit rise = a->job->display.rise;
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Coat", MR_UNIT_NONE, 0},
        {"start", "Window opens", MR_UNIT_NONE, 0},
        {"outcome", "Rise", MR_UNIT_NONE, 0},
        {"probes", "Probes", MR_UNIT_NONE, 0},
        {"channel", "Judged by", MR_UNIT_NONE, 0},
        {"onset", "Onset after", MR_UNIT_MIN, 1},
        {"rise", "Rise, raw", rise, 2},
        {"rise_95", "Rise, raw, ± (95 %)", rise, 2},
        {"rise_scaled", "Rise, as for the band", rise, 2},
        {"band_low", "Band here, least", rise, 2},
        {"band_high", "Band here, greatest", rise, 2},
        {"adiabatic", "Rise, heat loss put back", rise, 2},
        {"heat_kj_m2", "Heat per m2 (kJ)", MR_UNIT_NONE, 1},
        {"why", "Why", MR_UNIT_NONE, 0},
    };
    struct mr_table *table = mr_table_new(
        a->arena, "heat-by-coat", "Heat by coat",
        "Each coat by the probe that decides. The band is common practice without a source unless the job states its "
        "own; if the job says which steel it is for, it is scaled to each zone's steel by the lumped heat balance.",
        MR_COUNT(fields), fields);
    for (size_t i = 0; i < coats->n; i++) {
        const struct mr_coat_heat *c = &coats->v[i];
        const struct mr_probe_heat *p = rows[i].probe;
        const char *none = p ? "not seen" : "no probe";
        const struct mr_value v[] = {
            mr_v_text(zone_name(a, c->zone)),
            mr_v_count(c->coat),
            mr_v_time(a->aligned->windows.v[c->window].t0_utc_ms),
            mr_v_outcome((int)rows[i].outcome),
            mr_v_count((int64_t)c->n_probes),
            p ? mr_v_text(p->track->channel) : mr_v_blank(none),
            p && !isnan(p->onset_s) ? mr_v_num(p->onset_s / 60.0) : mr_v_blank(none),
            determined(rise, p ? p->rise_k : MR_NAN, p ? p->rise_k : MR_NAN, p ? p->rise_se_k : MR_NAN, none),
            determined(rise, p ? 1.96 * p->rise_se_k : MR_NAN, p ? p->rise_k : MR_NAN, p ? p->rise_se_k : MR_NAN,
                       none),
            !rows[i].scaled ? mr_v_blank("band not scaled")
            : p             ? determined(rise, p->rise_k / rows[i].factor, p->rise_k, p->rise_se_k, none)
                            : mr_v_blank(none),
            rise_value(rise, rows[i].low_k, "no limit"),
            rise_value(rise, rows[i].high_k, "no limit"),
            determined(rise, p ? p->adiabatic_k : MR_NAN, p ? p->adiabatic_k : MR_NAN, p ? p->adiabatic_se_k : MR_NAN,
                       "no fit"),
            isnan(c->heat) ? mr_v_blank(isnan(c->capacity) ? "steel thickness not known" : "no fit")
                           : mr_v_num(c->heat / 1e3),
            mr_v_text(rows[i].why),
        };
        mr_table_add(a->arena, table, v);
    }
    if (table->n_rows > 0)
        mr_add_table(a, table);
}

static const char *fit_text(enum mr_fit fit) {
    switch (fit) {
    case MR_FIT_OK:
        return "good";
    case MR_FIT_POOR:
        return "poor";
    case MR_FIT_NO_CONVERGENCE:
        return "no convergence";
    case MR_FIT_NONE:
        break;
    }
    return "none";
}

static void add_event(struct mr_assess *a, struct mr_table *table, const struct mr_heat_event *e) {
    enum mr_unit rise = a->job->display.rise, temp = a->job->display.temp;
    const struct mr_track *track = &a->aligned->tracks.v[e->track];
    const struct mr_value v[] = {
        mr_v_text(e->gun ? "gun" : zone_name(a, e->zone)),
        e->coat > 0 ? mr_v_count(e->coat) : mr_v_blank("outside any window"),
        mr_v_text(track->instrument),
        mr_v_text(track->channel),
        mr_v_time(e->t_onset),
        mr_v_time(e->t_peak),
        mr_v_num(mr_from_canonical(temp, e->baseline_c)),
        mr_v_num(mr_from_canonical(temp, e->peak_c)),
        rise_value(rise, e->rise_k, ""),
        rise_value(rise, e->rise_fit_k, "no fit"),
        rise_value(rise, e->rise_fit_se_k, "no fit"),
        determined(rise, e->rise_adiabatic_k, e->rise_adiabatic_k, e->rise_adiabatic_se_k, "no fit"),
        determined(rise, e->rise_adiabatic_se_k, e->rise_adiabatic_k, e->rise_adiabatic_se_k, "no fit"),
        mr_v_num(e->time_to_peak_s / 60.0),
        rise_value(rise, e->rate_k_per_s * 60.0, ""),
        mr_v_num(e->time_above_half_s / 60.0),
        rise_value(rise, e->area_k_s / 60.0, ""),
        isnan(e->tau_s) ? mr_v_blank("no fit") : mr_v_num(e->tau_s / 60.0),
        isnan(e->tau_se) ? mr_v_blank("no fit") : mr_v_num(e->tau_se / 60.0),
        isnan(e->k_per_s) ? mr_v_blank("no fit") : mr_v_num(e->k_per_s * 60.0),
        rise_value(rise, e->drift_k_per_s * 3600.0, "no fit"),
        rise_value(rise, e->rmse_k, "no fit"),
        mr_v_text(fit_text(e->fit)),
        mr_v_text(e->no_baseline ? "the record begins within the rise"
                  : e->no_peak   ? "the record ends within the rise"
                                 : e->fit_note),
        mr_v_text(e->place.file ? mr_printf(a->arena, "%s:%u", e->place.file, e->place.line) : ""),
    };
    mr_table_add(a->arena, table, v);
}

void mr_heat_table_events(struct mr_assess *a) {
    enum mr_unit rise = a->job->display.rise, temp = a->job->display.temp;
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Coat", MR_UNIT_NONE, 0},
        {"instrument", "Instrument", MR_UNIT_NONE, 0},
        {"channel", "Channel", MR_UNIT_NONE, 0},
        {"onset", "Onset", MR_UNIT_NONE, 0},
        {"peak", "Peak at", MR_UNIT_NONE, 0},
        {"baseline", "Baseline", temp, 1},
        {"peak_temperature", "Peak", temp, 1},
        {"rise_plain", "Rise, plain", rise, 2},
        {"rise_fit", "Rise, fitted", rise, 2},
        {"rise_fit_se", "Standard error, fitted", rise, 3},
        {"adiabatic", "Rise, heat loss put back", rise, 2},
        {"adiabatic_se", "Standard error, loss put back", rise, 3},
        {"time_to_peak", "Time to peak", MR_UNIT_MIN, 1},
        {"rate", "Greatest rate, per minute", rise, 2},
        {"above_half", "Time above half rise", MR_UNIT_MIN, 1},
        {"area", "Area above baseline, times min", rise, 1},
        {"cooling", "Cooling time constant", MR_UNIT_MIN, 1},
        {"cooling_se", "Standard error, cooling", MR_UNIT_MIN, 2},
        {"reaction_rate", "Reaction rate, per minute", MR_UNIT_NONE, 3},
        {"drift", "Drift of the line, per hour", rise, 2},
        {"rmse", "Residual", rise, 3},
        {"fit", "Fit", MR_UNIT_NONE, 0},
        {"note", "Note", MR_UNIT_NONE, 0},
        {"place", "First line", MR_UNIT_NONE, 0},
    };
    struct mr_table *table =
        mr_table_new(a->arena, "heat-events", "Heat events",
                     "Every rise that the temperature channels show. Fitted: released heat of "
                     "first order against heat loss (lumped balance), "
                     "with a slightly bent line for drift and the tails of earlier coats; plain: "
                     "peak minus baseline, read off the record.",
                     MR_COUNT(fields), fields);
    for (size_t i = 0; i < a->out->heats.n; i++)
        add_event(a, table, &a->out->heats.v[i]);
    if (table->n_rows > 0)
        mr_add_table(a, table);
}
