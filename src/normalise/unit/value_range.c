/*
 * value_range.c - what the size of the numbers says about their unit: by what occurs on a site, and by the job's
 * other values of the kind whose unit is stated.
 */
#include "normalise/unit/value_range.h"

#include "normalise/row/log_columns.h"
#include "numeric/select.h"

#include <math.h>

enum { CANDIDATES = 4 };

void mr_sample_add(struct mr_value_sample *s, double value) {
    if (isnan(value) || s->n == MR_SAMPLE_MOST)
        return;
    s->v[s->n++] = value;
    s->whole += floor(value) >= value;
}

double mr_sample_rank(struct mr_value_sample *s, double share) {
    return s->n ? mr_select_kth(s->v, s->n, (size_t)(share * (double)(s->n - 1) + 0.5)) : (double)NAN;
}

static const enum mr_unit *candidates(enum mr_dim dim) {
    static const enum mr_unit temp[CANDIDATES] = {MR_UNIT_C, MR_UNIT_F, MR_UNIT_K, MR_UNIT_NONE};
    static const enum mr_unit share[CANDIDATES] = {MR_UNIT_PCT, MR_UNIT_FRACTION, MR_UNIT_NONE, MR_UNIT_NONE};
    static const enum mr_unit pressure[CANDIDATES] = {MR_UNIT_KPA, MR_UNIT_PSI, MR_UNIT_BAR, MR_UNIT_MPA};
    static const enum mr_unit film[CANDIDATES] = {MR_UNIT_UM, MR_UNIT_MIL, MR_UNIT_FILM_MM, MR_UNIT_FILM_IN};
    static const enum mr_unit none[CANDIDATES] = {MR_UNIT_NONE, MR_UNIT_NONE, MR_UNIT_NONE, MR_UNIT_NONE};
    return dim == MR_DIM_TEMP       ? temp
           : dim == MR_DIM_SHARE    ? share
           : dim == MR_DIM_PRESSURE ? pressure
           : dim == MR_DIM_FILM     ? film
                                    : none;
}

/* What stands on a site in practice, narrower than what an instrument can show. */
static bool usual(const struct mr_settings *settings, enum mr_meaning m, double least, double most, double middle) {
    switch (mr_meaning_dim(m)) {
    case MR_DIM_TEMP:
        return least >= mr_set_num(settings,
                                   m == MR_M_PROBE_TEMP || m == MR_M_STEEL ? MR_USUAL_PROBE_MIN : MR_USUAL_AIR_MIN) &&
               most <= mr_set_num(settings,
                                  m == MR_M_PROBE_TEMP || m == MR_M_STEEL ? MR_USUAL_PROBE_MAX : MR_USUAL_AIR_MAX);
    case MR_DIM_FILM:
        return middle >= mr_set_num(settings, MR_USUAL_FILM_MIN) && middle <= mr_set_num(settings, MR_USUAL_FILM_MAX);
    case MR_DIM_SHARE:
        return least >= 0.0 && most <= mr_set_num(settings, MR_PLAUSIBLE_RH_MAX);
    case MR_DIM_PRESSURE:
        return true; /* 85 may be kPa, psi or bar: a range never decides */
    case MR_DIM_NONE:
    case MR_DIM_RISE:
    case MR_DIM_AREA:
    case MR_DIM_LENGTH:
    case MR_DIM_VOLUME:
    case MR_DIM_MASS:
    case MR_DIM_DURATION:
        break;
    }
    return false;
}

struct mr_unit_evidence mr_unit_by_range(struct mr_file_state *state, enum mr_meaning m, struct mr_value_sample *s) {
    enum mr_dim dim = mr_meaning_dim(m);
    struct mr_unit_evidence found = {MR_UNIT_NONE, MR_ORIGIN_UNKNOWN, "", false};
    if (!s->n || (s->n < 3 && dim != MR_DIM_SHARE))
        return found;
    double least = mr_sample_rank(s, 0.01), most = mr_sample_rank(s, 0.99), middle = mr_sample_rank(s, 0.5);
    if (dim == MR_DIM_SHARE) { /* a share in percent that never passes 1 does not occur; 0 alone says nothing */
        if (most > 1.5)
            return (struct mr_unit_evidence){
                MR_UNIT_PCT, MR_ORIGIN_RANGE,
                mr_printf(state->arena, "inferred: values up to %.4g cannot be fractions", most), false};
        if (s->n >= 3 && most > 0.05 && most <= 1.0 && s->whole < s->n)
            return (struct mr_unit_evidence){
                MR_UNIT_FRACTION, MR_ORIGIN_RANGE,
                mr_printf(state->arena, "inferred: all values lie between %.3g and %.3g", least, most), false};
        return found;
    }
    size_t fits = 0;
    const enum mr_unit *c = candidates(dim);
    for (size_t i = 0; i < CANDIDATES && c[i] != MR_UNIT_NONE; i++)
        if (usual(&state->job->settings, m, mr_to_canonical(c[i], least), mr_to_canonical(c[i], most),
                  mr_to_canonical(c[i], middle))) {
            found.unit = c[i];
            fits++;
        }
    if (fits != 1 || dim == MR_DIM_PRESSURE)
        return (struct mr_unit_evidence){MR_UNIT_NONE, MR_ORIGIN_UNKNOWN, "", false};
    found.origin = MR_ORIGIN_RANGE;
    found.why =
        mr_printf(state->arena, "inferred: %.4g to %.4g can only be %s", least, most, mr_unit_symbol(found.unit));
    return found;
}

/* How far two medians are apart, in a measure that suits the dimension. */
static double distance(enum mr_dim dim, double a, double b) {
    if (dim == MR_DIM_TEMP)
        return fabs(a - b);
    return a > 0 && b > 0 ? fabs(log(a / b)) : (double)INFINITY;
}

struct mr_unit_evidence mr_unit_by_company(struct mr_file_state *state, enum mr_meaning m, struct mr_value_sample *s,
                                           struct mr_value_sample *others) {
    struct mr_unit_evidence found = {MR_UNIT_NONE, MR_ORIGIN_UNKNOWN, "", false};
    enum mr_dim dim = mr_meaning_dim(m);
    if (s->n < 3 || others->n < 3)
        return found;
    double middle = mr_sample_rank(s, 0.5), reference = mr_sample_rank(others, 0.5), best = (double)INFINITY,
           next = (double)INFINITY;
    const enum mr_unit *c = candidates(dim);
    for (size_t i = 0; i < CANDIDATES && c[i] != MR_UNIT_NONE; i++) {
        double d = distance(dim, mr_to_canonical(c[i], middle), reference);
        if (d < best) {
            next = best;
            best = d;
            found.unit = c[i];
        } else if (d < next) {
            next = d;
        }
    }
    /* near the others: within 15 K, or within a factor of 2.5; and the next unit at least twice as far */
    double near = dim == MR_DIM_TEMP ? 15.0 : log(2.5);
    if (!(best <= near) || !(next >= 2 * best + (dim == MR_DIM_TEMP ? 5.0 : 0.3)))
        return (struct mr_unit_evidence){MR_UNIT_NONE, MR_ORIGIN_UNKNOWN, "", false};
    found.origin = MR_ORIGIN_NEIGHBOURS;
    found.why = mr_printf(
        state->arena, "inferred: the middle value is %.4g %s in the job's other files of this kind, %.4g in this one",
        reference, mr_unit_symbol(mr_dim_canonical(dim)), middle);
    return found;
}

void mr_sample_channel(const struct mr_log *log, size_t k, struct mr_value_sample *out) {
    out->n = out->whole = 0;
    size_t step = log->n / MR_SAMPLE_MOST + 1;
    for (size_t i = 0; i < log->n; i += step)
        if (!log->is_long)
            mr_sample_add(out, mr_log_value(&log->channels.v[k], i));
        else if (log->which[i] == k)
            mr_sample_add(out, log->value[i]);
}

void mr_sample_readings(const struct mr_file_state *state, struct mr_value_sample *out) {
    out->n = out->whole = 0;
    size_t step = state->records.readings.n / MR_SAMPLE_MOST + 1;
    for (size_t i = 0; i < state->records.readings.n; i += step)
        if (state->records.readings.v[i].unit == MR_UNIT_NONE)
            mr_sample_add(out, state->records.readings.v[i].written);
}

void mr_sample_stated(const struct mr_file_state *o, enum mr_kind kind, enum mr_meaning m,
                      struct mr_value_sample *out) {
    if (!o->plan || o->plan->kind != kind)
        return;
    for (size_t k = 0; k < o->log.channels.n; k++) {
        const struct mr_log_channel *c = &o->log.channels.v[k];
        if (c->meaning != m || c->unit == MR_UNIT_NONE || isinf(c->most) || o->log.is_long)
            continue;
        size_t step = o->log.n / 256 + 1;
        for (size_t i = 0; i < o->log.n; i += step)
            mr_sample_add(out, mr_to_canonical(c->unit, mr_log_value(c, i)));
    }
    size_t step = o->records.readings.n / 256 + 1;
    for (size_t i = 0; i < o->records.readings.n; i += step)
        if (o->records.readings.v[i].unit != MR_UNIT_NONE && m == MR_M_FILM && !o->film_inferred)
            mr_sample_add(out, o->records.readings.v[i].film_um);
}

/* The two lines of the pump serve each other. */
void mr_sample_job(const struct mr_file_state *files, size_t n, const struct mr_file_state *self, enum mr_meaning m,
                   struct mr_value_sample *out) {
    out->n = out->whole = 0;
    for (size_t i = 0; i < n; i++) {
        mr_sample_stated(&files[i], self->plan->kind, m, out);
        if (m == MR_M_LINE_A || m == MR_M_LINE_B)
            mr_sample_stated(&files[i], self->plan->kind, m == MR_M_LINE_A ? MR_M_LINE_B : MR_M_LINE_A, out);
    }
}

/* Temperatures of one file stand in one neighbourhood: the stated ones tell the bare ones' unit. Dew points are no
 * neighbours. */
static void gather_neighbours(const struct mr_file_state *state, enum mr_meaning m, struct mr_value_sample *out) {
    static const enum mr_meaning near[] = {MR_M_AIR, MR_M_STEEL, MR_M_PROBE_TEMP};
    bool is_near = false;
    out->n = out->whole = 0;
    for (size_t i = 0; i < MR_COUNT(near); i++)
        is_near |= near[i] == m;
    for (size_t i = 0; i < MR_COUNT(near) && is_near; i++)
        mr_sample_stated(state, state->plan->kind, near[i], out);
}

struct mr_unit_evidence mr_unit_by_neighbours(struct mr_file_state *state, enum mr_meaning m,
                                              struct mr_value_sample *s, struct mr_value_sample *others) {
    gather_neighbours(state, m, others);
    struct mr_unit_evidence found = mr_unit_by_company(state, m, s, others);
    if (found.unit != MR_UNIT_NONE)
        found.why = mr_printf(
            state->arena,
            "inferred: the middle value is %.4g °C for the file's temperatures with a unit, %.4g for this one",
            mr_sample_rank(others, 0.5), mr_sample_rank(s, 0.5));
    return found;
}
