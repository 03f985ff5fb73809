/*
 * vapour_units.c - air, humidity and dew point of the same rows are bound by the vapour pressure. A law between
 * columns holds in the right units and fails in the others, so it settles units that nobody states, and never those
 * of another column (steel).
 */
#include "normalise/unit/unit_evidence.h"

#include "normalise/row/log_columns.h"
#include "numeric/magnus.h"
#include "numeric/select.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS_MOST = 2048, ROWS_LEAST = 8, UNITS = 3 };

static const enum mr_unit units[UNITS] = {MR_UNIT_C, MR_UNIT_F, MR_UNIT_K};

/* How far off a relation may be where it holds (rounded columns, other constants), and how far it must be off
 * elsewhere. */
static const double holds_k = 0.5, fails_k = 0.8, fails_times = 4.0;
/* Air drier than this in the middle of a file is not believed without its humidity; a dew point may touch the air. */
static const double driest_pct = 20.0, touch_k = 0.3;

static double vapour(double t_c) {
    return t_c >= -80.0 && t_c <= MR_MAGNUS_HIGH_C ? mr_magnus_pa(t_c) : (double)NAN;
}

static double dew_point(double air_c, double rh_pct) {
    return isnan(vapour(air_c)) ? (double)NAN : mr_magnus_dew_c(air_c, rh_pct);
}

struct rows {
    const struct mr_log *log;
    const struct mr_log_channel *air, *rh, *dew;
    size_t n;
    uint32_t row[ROWS_MOST];
    double off[ROWS_MOST];
};

static double middle(struct rows *r) {
    return mr_select_kth(r->off, r->n, r->n / 2);
}

/* The only channel of a meaning; NULL where there is none or where it is open which of several belongs to the others.
 */
static const struct mr_log_channel *only(const struct mr_log *log, enum mr_meaning m) {
    const struct mr_log_channel *found = NULL;
    for (size_t k = 0; k < log->channels.n; k++)
        if (log->channels.v[k].meaning == m) {
            if (found)
                return NULL;
            found = &log->channels.v[k];
        }
    return found;
}

static void take_rows(struct rows *r) {
    size_t step = r->log->n / ROWS_MOST + 1;
    for (size_t i = 0; i < r->log->n && r->n < ROWS_MOST; i += step) {
        if (isnan(mr_log_value(r->air, i)) || isnan(mr_log_value(r->dew, i)))
            continue;
        double rh = r->rh ? mr_to_canonical(r->rh->unit, mr_log_value(r->rh, i)) : 50.0;
        if (rh >= 5.0 && rh <= 100.0)
            r->row[r->n++] = (uint32_t)i;
    }
}

/* Middle distance between the dew point in its column and the computed one; infinite where too few rows can be
 * computed. */
static double misfit(struct rows *r, enum mr_unit air, enum mr_unit dew) {
    size_t bad = 0;
    for (size_t i = 0; i < r->n; i++) {
        uint32_t at = r->row[i];
        double computed = dew_point(mr_to_canonical(air, mr_log_value(r->air, at)),
                                    mr_to_canonical(r->rh->unit, mr_log_value(r->rh, at)));
        double off = fabs(computed - mr_to_canonical(dew, mr_log_value(r->dew, at)));
        bad += isnan(off) ? 1U : 0U;
        r->off[i] = isnan(off) ? (double)INFINITY : off;
    }
    return bad * 10 > r->n ? (double)INFINITY : middle(r);
}

static struct mr_unit_evidence by_relation(struct mr_file_state *state, struct rows *r, bool for_air) {
    struct mr_unit_evidence out = {MR_UNIT_NONE, MR_ORIGIN_UNKNOWN, "", false};
    double best = (double)INFINITY, next = (double)INFINITY;
    for (size_t a = 0; a < UNITS; a++)
        for (size_t d = 0; d < UNITS; d++) {
            if ((r->air->unit != MR_UNIT_NONE && r->air->unit != units[a]) ||
                (r->dew->unit != MR_UNIT_NONE && r->dew->unit != units[d]))
                continue;
            double off = misfit(r, units[a], units[d]);
            if (off < best) {
                next = best;
                best = off;
                out.unit = for_air ? units[a] : units[d];
            } else if (off < next) {
                next = off;
            }
        }
    if (!(best <= holds_k) || !(next >= fails_k) || !(next >= fails_times * best)) {
        out.unit = MR_UNIT_NONE;
        return out;
    }
    out.origin = MR_ORIGIN_LAW;
    out.why = mr_printf(
        state->arena,
        "inferred: air, humidity and dew point of %zu rows fit the Magnus relation in this unit only (%.2g K off)",
        r->n, best);
    return out;
}

/* Relative humidity in the middle that a pair of units implies; NaN where a row has its dew point above the air. */
static double implied(struct rows *r, enum mr_unit air, enum mr_unit dew) {
    for (size_t i = 0; i < r->n; i++) {
        double t = mr_to_canonical(air, mr_log_value(r->air, r->row[i])),
               d = mr_to_canonical(dew, mr_log_value(r->dew, r->row[i]));
        r->off[i] = 100.0 * vapour(d) / vapour(t);
        if (isnan(r->off[i]) || d > t + touch_k)
            return (double)NAN;
    }
    return middle(r);
}

static struct mr_unit_evidence by_depression(struct mr_file_state *state, struct rows *r, bool for_air) {
    struct mr_unit_evidence out = {MR_UNIT_NONE, MR_ORIGIN_UNKNOWN, "", false};
    const struct mr_log_channel *stated = for_air ? r->dew : r->air;
    size_t fits = 0;
    double rh = 0.0;
    for (size_t i = 0; i < UNITS; i++) {
        double pct = implied(r, for_air ? units[i] : stated->unit, for_air ? stated->unit : units[i]);
        if (pct >= driest_pct) {
            fits++;
            rh = pct;
            out.unit = units[i];
        }
    }
    if (fits != 1)
        return (struct mr_unit_evidence){MR_UNIT_NONE, MR_ORIGIN_UNKNOWN, "", false};
    out.origin = MR_ORIGIN_LAW;
    out.why = mr_printf(
        state->arena,
        "inferred: beside \"%s\" in %s the dew point stays below the air, at about %.0f %%, in this unit only",
        mr_clean_text(state->scratch, stated->name, strlen(stated->name), 60), mr_unit_symbol(stated->unit), rh);
    return out;
}

struct mr_unit_evidence mr_vapour_unit(struct mr_file_state *state, size_t channel) {
    const struct mr_log *log = &state->log;
    enum mr_meaning m = log->channels.v[channel].meaning;
    struct mr_unit_evidence none = {MR_UNIT_NONE, MR_ORIGIN_UNKNOWN, "", false};
    if (log->is_long || (m != MR_M_AIR && m != MR_M_DEW))
        return none;
    struct rows *r = MR_NEW(state->scratch, struct rows);
    *r = (struct rows){.log = log, .air = only(log, MR_M_AIR), .rh = only(log, MR_M_RH), .dew = only(log, MR_M_DEW)};
    if (!r->air || !r->dew)
        return none;
    if (r->rh && r->rh->unit == MR_UNIT_NONE)
        r->rh = NULL;
    take_rows(r);
    if (r->n < ROWS_LEAST)
        return none;
    if (r->rh)
        return by_relation(state, r, m == MR_M_AIR);
    const struct mr_log_channel *stated = m == MR_M_AIR ? r->dew : r->air;
    return stated->unit != MR_UNIT_NONE && !isinf(stated->most) ? by_depression(state, r, m == MR_M_AIR) : none;
}
