/* limits_missed.c - see limits_missed.h. */
#include "normalise/column/limits_missed.h"

#include "normalise/cell/number.h"
#include "normalise/cell/words.h"
#include "normalise/phrase/free_words.h"
#include "normalise/phrase/ticks.h"

#include <math.h>
#include <string.h>

static const double slack = 1e-9; /* of the rounding of units */

double mr_strictest(const struct mr_job *job, enum mr_setting_id id, bool least) {
    double limit = mr_set_num(&job->settings, id);
    for (size_t i = 0; i < job->specs.n; i++) {
        const double own = mr_set_num(&job->specs.v[i], id);
        limit = least ? fmin(limit, own) : fmax(limit, own);
    }
    return limit;
}

/* Volumes are held against the job's ratio, pressures against each other; which of them it is the heading does not
 * say, so that either may be kept. A machine at rest shows none. */
static bool ratio_missed(const struct mr_job *job, double x) {
    const double wanted = mr_set_num(&job->settings, MR_RATIO);
    const double most = mr_set_num(&job->settings, MR_RATIO_TOL) / 100.0;
    const double apart = mr_strictest(job, MR_IMBALANCE_MAX, true) / 100.0;
    return x > 0.0 && fabs(x / wanted - 1.0) > most + slack && fabs(x - 1.0) > fmin(most, apart) + slack;
}

/* A unit that the heading does not state may be the other one, by which no steel is too warm. */
static bool too_cold_or_warm(const struct mr_job *job, bool steel, double x, bool sure) {
    const double least = mr_strictest(job, steel ? MR_STEEL_MIN : MR_AIR_MIN, false),
                 most = mr_strictest(job, steel ? MR_STEEL_MAX : MR_AIR_MAX, true);
    return x < least - slack || (sure && x > most + slack);
}

bool mr_limit_missed(const struct mr_job *job, enum mr_objecting how, double x, bool sure) {
    switch ((int)how) {
    case MR_OBJECTING_RH:
        return x > mr_strictest(job, MR_RH_MAX, true) + slack;
    case MR_OBJECTING_SPREAD:
        return x < mr_strictest(job, MR_SPREAD_MIN, false) - slack;
    case MR_OBJECTING_STEEL:
    case MR_OBJECTING_AIR:
        return too_cold_or_warm(job, how == MR_OBJECTING_STEEL, x, sure);
    case MR_OBJECTING_RATIO:
        return ratio_missed(job, x);
    default:
        return false;
    }
}

bool mr_line_misses(struct mr_arena *arena, const struct mr_job *job, enum mr_kind kind, const char *name,
                    const char *value) {
    const bool coats = kind == MR_KIND_SPRAY_LOG;
    if (!coats && kind != MR_KIND_CLIMATE && kind != MR_KIND_PRESSURE)
        return false;
    const char *own = mr_words_fold(arena, name, strlen(name)), *words = mr_words_fold(arena, value, strlen(value));
    const enum mr_objecting how = mr_objecting_of(kind, own);
    if (coats && how == MR_OBJECTING_WEATHER)
        return *own && !mr_is_neutral_heading(own) &&
               (mr_cell_objects(how, words) || mr_tick_of(own, words) == MR_TICK_OBJECTS);
    const bool steel = how == MR_OBJECTING_STEEL || how == MR_OBJECTING_AIR;
    const enum mr_dim dim = steel ? MR_DIM_TEMP : how == MR_OBJECTING_SPREAD ? MR_DIM_RISE : MR_DIM_SHARE;
    enum mr_unit unit = MR_UNIT_NONE;
    struct mr_number x;
    if ((steel && !coats) ||
        mr_number_scan(value, strlen(value), (struct mr_number_style){.mark = '?'}, &x) != MR_NUM_OK)
        return false;
    const bool stated = x.unit_n && mr_unit_parse(x.unit, x.unit_n, dim, &unit);
    if (x.unit_n && !stated)
        return false;
    const double figure = !stated ? x.value : mr_to_canonical(unit, x.value);
    return mr_limit_missed(job, how, how == MR_OBJECTING_RATIO && stated ? figure / 100.0 : figure, stated);
}
