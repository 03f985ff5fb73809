/*
 * lags.c - where do the probes of a logger sit in their windows, compared with those of the others.
 *
 * Model: lag = offset of the clock + c * width of the window + scatter. c, one for all, is between 0 (material lands
 * on the probe as the window opens) and 1 (as it closes); it is the median of slopes between onsets of the same
 * logger, so that offsets do not enter. What remains is pooled for each probe on each zone, since a probe that sits
 * at the far end sits there for every coat: such a place counts once. The loggers' medians are then compared with the
 * median logger: one clock that is off cannot make itself the reference where there are three. Of two, nobody can
 * tell which one is off; their difference still helps, since both must fit the windows (estimate.c). The scatter is
 * one for all loggers, 1.4826 MAD around their medians; standard error of a median 1.2533 s/sqrt(n). With few places
 * both are rough: the factor 1 + 6/d, d degrees of freedom, was set so that simulated jobs keep the 95 %.
 */
#include "align/lags.h"
#include "numeric/select.h"

#include <math.h>
#include <stdlib.h>

enum { LEAST_PLACES = 4, LEAST_REFERENCE = 2, MOST_PAIRED = 400 };

typedef MR_VEC(double) doubles;

struct place { /* one probe on one zone */
    size_t clock;
    double rest_ms; /* median of lag - c * width */
    double width_ms;
};

struct logger {
    size_t clock, places, events;
    double median_ms, width_ms;
};

static int by_place(const void *a, const void *b) {
    const struct mr_lag *x = a, *y = b;
    if (x->clock != y->clock)
        return x->clock < y->clock ? -1 : 1;
    if (x->track != y->track)
        return x->track < y->track ? -1 : 1;
    if (x->zone != y->zone)
        return x->zone < y->zone ? -1 : 1;
    return (x->lag_ms > y->lag_ms) - (x->lag_ms < y->lag_ms);
}

static double slope_of(struct mr_arena *arena, const struct mr_lag *v, size_t n) {
    const double least_ms = 30000; /* widths that differ by less say nothing about the slope */
    doubles slopes = {0};
    size_t stride = n / MOST_PAIRED + 1;
    for (size_t i = 0; i < n; i += stride)
        for (size_t k = i + stride; k < n && v[k].clock == v[i].clock; k += stride)
            if (fabs(v[k].width_ms - v[i].width_ms) >= least_ms)
                MR_PUSH(arena, &slopes, (v[k].lag_ms - v[i].lag_ms) / (v[k].width_ms - v[i].width_ms));
    double c = slopes.n ? mr_median(slopes.v, slopes.n) : 0.5;
    return c < 0 ? 0 : c > 1 ? 1 : c;
}

/* Places of sorted lags, and how many onsets each clock has. */
static size_t places_of(struct mr_arena *arena, const struct mr_lag *v, size_t n, double slope, struct place *out,
                        struct mr_lag_result *results) {
    size_t places = 0;
    for (size_t i = 0, end; i < n; i = end) {
        doubles rest = {0}, width = {0};
        for (end = i; end < n && v[end].clock == v[i].clock && v[end].track == v[i].track && v[end].zone == v[i].zone;
             end++) {
            MR_PUSH(arena, &rest, v[end].lag_ms - slope * v[end].width_ms);
            MR_PUSH(arena, &width, v[end].width_ms);
        }
        results[v[i].clock].events += end - i;
        out[places++] = (struct place){v[i].clock, mr_median(rest.v, rest.n), mr_median(width.v, width.n)};
    }
    return places;
}

static size_t loggers_of(struct mr_arena *arena, const struct place *places, size_t n,
                         const struct mr_lag_result *results, struct logger *out) {
    size_t loggers = 0;
    for (size_t i = 0, end; i < n; i = end) {
        doubles rest = {0}, width = {0};
        for (end = i; end < n && places[end].clock == places[i].clock; end++) {
            MR_PUSH(arena, &rest, places[end].rest_ms);
            MR_PUSH(arena, &width, places[end].width_ms);
        }
        if (end - i >= LEAST_REFERENCE)
            out[loggers++] = (struct logger){places[i].clock, end - i, results[places[i].clock].events,
                                             mr_median(rest.v, rest.n), mr_median(width.v, width.n)};
    }
    return loggers;
}

static int by_median(const void *a, const void *b) {
    const struct logger *x = a, *y = b;
    if (x->median_ms < y->median_ms || x->median_ms > y->median_ms)
        return x->median_ms < y->median_ms ? -1 : 1;
    return (x->clock > y->clock) - (x->clock < y->clock);
}

static struct logger reference_of(struct logger *v, size_t n) {
    if (n == 2)
        return v[1].places > v[0].places ? v[1] : v[0];
    qsort(v, n, sizeof *v, by_median);
    return v[(n - 1) / 2];
}

/* Scatter of the places around their logger's median, and of the slope's error over a difference in widths. */
static double scatter_of(struct mr_arena *arena, const struct place *places, size_t n, const struct logger *loggers,
                         size_t n_loggers, double *out_width_sd) {
    doubles rest = {0};
    double squares = 0;
    size_t degrees = 0;
    for (size_t l = 0; l < n_loggers; l++) {
        for (size_t i = 0; i < n; i++) {
            if (places[i].clock != loggers[l].clock)
                continue;
            MR_PUSH(arena, &rest, fabs(places[i].rest_ms - loggers[l].median_ms));
            squares += (places[i].width_ms - loggers[l].width_ms) * (places[i].width_ms - loggers[l].width_ms);
        }
        degrees += loggers[l].places - 1;
    }
    *out_width_sd = degrees ? sqrt(squares / (double)degrees) : 0;
    double mad = mr_median(rest.v, rest.n);
    /* Each median takes one degree of freedom; the MAD of few values is too small by about that share. */
    return degrees ? 1.4826 * mad * sqrt((double)rest.n / (double)degrees) : (double)NAN;
}

size_t mr_lags_compare(struct mr_arena *arena, const mr_lags *lags, size_t n_clocks, struct mr_lag_result *results,
                       size_t *out_loggers) {
    struct mr_lag *v = MR_ARRAY(arena, struct mr_lag, lags->n);
    for (size_t i = 0; i < lags->n; i++)
        v[i] = lags->v[i];
    qsort(v, lags->n, sizeof *v, by_place);
    double slope = slope_of(arena, v, lags->n), width_sd;
    struct place *places = MR_ARRAY(arena, struct place, lags->n);
    size_t n = places_of(arena, v, lags->n, slope, places, results);
    struct logger *loggers = MR_ARRAY(arena, struct logger, n_clocks);
    size_t n_loggers = loggers_of(arena, places, n, results, loggers);
    *out_loggers = n_loggers;
    if (n_loggers < 2)
        return MR_NONE;
    double scatter = scatter_of(arena, places, n, loggers, n_loggers, &width_sd);
    struct logger reference = reference_of(loggers, n_loggers);
    if (isnan(scatter))
        return MR_NONE;
    for (size_t i = 0; i < n_loggers; i++) {
        const struct logger *l = &loggers[i];
        results[l->clock].places = l->places;
        if (l->clock == reference.clock || l->places < LEAST_PLACES)
            continue;
        double share = 1 / (double)l->places + 1 / (double)reference.places;
        double lever = width_sd > 0 ? fabs(l->width_ms - reference.width_ms) / width_sd : 0;
        double error = 1.2533 * scatter * sqrt(share + lever * lever / (double)n);
        const double detection_ms = 10000; /* onsets are found in bins of ten seconds */
        results[l->clock].found = true;
        results[l->clock].offset_ms = l->median_ms - reference.median_ms;
        results[l->clock].spread_ms = 1.96 * error * (1 + 6 / (double)(n - n_loggers)) + detection_ms;
    }
    return reference.clock;
}
