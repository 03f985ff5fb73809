/*
 * climate_clocks.c - is the clock of a climate log wrong? Nothing in air and humidity marks a coat, so it is held
 * against what else the job knows:
 *   - a log whose date is off leaves days of coats without a record and has days without any coat;
 *   - the air that another logger saw moves at the same times: read with the right whole hours both records rise and
 *     fall together, read as given they do not. The other clock counts where heat or pressure bears it out, or the
 * job states it; where nothing does, both are in doubt;
 *   - air is coldest about sunrise and warmest in the afternoon, day after day.
 * What moves within an hour is compared, since all days are alike in the large. Thresholds are a project decision.
 */
#include "align/hypotheses.h"

#include "base/text.h"

#include <math.h>
#include <stdlib.h>

static const int64_t hour_ms = 3600000, bin_ms = 600000;

enum { HOURS = 12, CHANGE = 3, LEAST_BINS = 18, LEAST_COATS = 2, HOUR_BINS = 6, DAY_BINS = 144 };
static const double ALIKE = 0.6, CLEARLY = 0.3, SURE = 4.0, SURE_OF_THE_HOUR = 2.5;

/* ---- the date ---- */

static bool is_climate(const struct mr_track *t) {
    return t->meaning == MR_M_AIR || t->meaning == MR_M_RH || t->meaning == MR_M_DEW;
}

static bool has_samples(const struct mr_align_state *st, size_t clock, int64_t from_ms, int64_t to_ms) {
    for (size_t i = 0; i < st->out->tracks.n; i++) {
        const struct mr_track *t = &st->out->tracks.v[i];
        const size_t at = t->clock == clock && is_climate(t) ? mr_track_first(t, from_ms) : t->n;
        if (at < t->n && mr_track_ms(t, at) <= to_ms)
            return true;
    }
    return false;
}

/* Days on the clock's record, as it shows them, on which no coat was sprayed, so read. */
static size_t idle_days(const struct mr_align_state *st, const struct mr_coat_events *e, size_t clock,
                        const struct mr_time_reading *reading) {
    size_t idle = 0;
    for (size_t i = 0; i < st->out->tracks.n; i++) {
        const struct mr_track *t = &st->out->tracks.v[i];
        if (t->clock != clock || !is_climate(t))
            continue;
        size_t n = 0;
        for (size_t k = 0; k < t->n;) {
            const int64_t day = mr_day_of(st, mr_track_ms(t, k));
            bool busy = false;
            for (size_t c = 0; c < e->coats.n && !busy; c++) {
                const int64_t shown = mr_shown_at(st, reading, e->coats.v[c]->t0_utc_ms);
                busy = shown != MR_T_NONE && mr_day_of(st, shown) == day;
            }
            n += !busy;
            while (k < t->n && mr_day_of(st, mr_track_ms(t, k)) == day)
                k = mr_track_first(t, mr_track_ms(t, k) + hour_ms);
        }
        idle = n > idle ? n : idle;
    }
    return idle;
}

static struct mr_fit_count climate_fits(const struct mr_align_state *st, const struct mr_coat_events *e, size_t clock,
                                        const struct mr_time_reading *reading) {
    struct mr_fit_count n = {.seen = e->coats.n, .orphans = idle_days(st, e, clock, reading)};
    for (size_t c = 0; c < e->coats.n; c++) {
        const int64_t t0 = mr_shown_at(st, reading, e->coats.v[c]->t0_utc_ms),
                      t1 = mr_shown_at(st, reading, e->coats.v[c]->t1_utc_ms);
        n.fits += t0 != MR_T_NONE && t1 != MR_T_NONE && has_samples(st, clock, t0 - hour_ms / 2, t1 + hour_ms / 2);
    }
    return n;
}

/* Doubted where one date makes the record hold every coat and no other day, and the date as given does neither. A
 * logger that was forgotten on one day and left running on another looks the same, and asks for the same look. */
static struct mr_clock_verdict weigh_climate(const struct mr_align_state *st, const struct mr_coat_events *e,
                                             size_t clock) {
    static const int64_t days[] = {1, -1, 2, -2, 365, -365, 366, -366, 0}; /* 0: day and month exchanged */
    const struct mr_time_reading as_given = {0};
    struct mr_clock_verdict v = {.given = climate_fits(st, e, clock, &as_given)};
    if (v.given.orphans == 0 || v.given.fits == v.given.seen)
        return v;
    for (size_t i = 0; i < MR_COUNT(days) && !v.doubted; i++) {
        v.reading = (struct mr_time_reading){
            .offset_ms = days[i] * MR_DAY_MS, .swapped = days[i] == 0, .zone = mr_clock_zone(st, clock)};
        v.better = climate_fits(st, e, clock, &v.reading);
        v.doubted = v.better.fits == v.better.seen && v.better.orphans == 0;
    }
    return v;
}

/* ---- the air of other loggers ---- */

/* Means of ten minutes; NaN where there are none. */
struct binned {
    int64_t first; /* number of the first bin since 1970 */
    size_t n;
    double *mean; /* shape: n */
};

static int64_t bin_of(int64_t t_ms) {
    return t_ms / bin_ms - (t_ms % bin_ms < 0);
}

static struct binned binned_of(struct mr_align_state *st, const struct mr_track *t, int64_t shift_ms) {
    struct binned b = {.n = 0};
    if (!t->n || mr_track_ms(t, t->n - 1) - mr_track_ms(t, 0) > 400 * MR_DAY_MS)
        return b;
    b.first = bin_of(mr_track_ms(t, 0) + shift_ms);
    b.n = (size_t)(bin_of(mr_track_ms(t, t->n - 1) + shift_ms) - b.first) + 1;
    b.mean = MR_ARRAY(st->arena, double, b.n);
    double *count = MR_ARRAY(st->arena, double, b.n);
    for (size_t i = 0; i < t->n; i++) {
        size_t at = (size_t)(bin_of(mr_track_ms(t, i) + shift_ms) - b.first);
        b.mean[at] += isnan(mr_track_value(t, i)) ? 0.0 : mr_track_value(t, i);
        count[at] += isnan(mr_track_value(t, i)) ? 0.0 : 1.0;
    }
    for (size_t i = 0; i < b.n; i++)
        b.mean[i] = count[i] > 0.0 ? b.mean[i] / count[i] : (double)NAN;
    mr_arena_drop(st->arena, count);
    return b;
}

/* By how much a bin stands above the middle between half an hour before and half an hour after. */
static double stands_out(const struct binned *b, int64_t bin) {
    int64_t i = bin - b->first;
    return i < CHANGE || i + CHANGE >= (int64_t)b->n ? (double)NAN
                                                     : b->mean[i] - 0.5 * (b->mean[i - CHANGE] + b->mean[i + CHANGE]);
}

/* Correlation of what stands out in x, shown by so many hours late, with that of y; NaN where too few are common. */
static double alike(const struct binned *x, const struct binned *y, int hours, double *out_n) {
    double n = 0, sx = 0, sy = 0, xx = 0, xy = 0, yy = 0;
    for (size_t i = 0; i < y->n; i++) {
        int64_t bin = y->first + (int64_t)i;
        double b = stands_out(y, bin), a = stands_out(x, bin + (int64_t)hours * HOUR_BINS);
        if (isnan(a) || isnan(b))
            continue;
        n += 1;
        sx += a;
        sy += b;
        xx += a * a;
        xy += a * b;
        yy += b * b;
    }
    *out_n = n;
    double vx = xx - sx * sx / n, vy = yy - sy * sy / n;
    return n >= LEAST_BINS && vx > 1e-9 && vy > 1e-9 ? (xy - sx * sy / n) / sqrt(vx * vy) : (double)NAN;
}

static double fisher(double r) {
    return atanh(fmin(fmax(r, -0.999), 0.999));
}

/* The whole hours by which x is late against y, where they say so clearly; 0 else. */
static int hours_late(const struct binned *x, const struct binned *y, double *out_best, double *out_given) {
    double r[2 * HOURS + 1], n[2 * HOURS + 1];
    int best = 0;
    for (int h = -HOURS; h <= HOURS; h++) {
        r[h + HOURS] = alike(x, y, h, &n[h + HOURS]);
        if (!isnan(r[h + HOURS]) && !(r[h + HOURS] <= r[best + HOURS]))
            best = h;
    }
    double top = r[best + HOURS], given = r[HOURS];
    *out_best = top;
    *out_given = given;
    if (best == 0 || isnan(given) || top < ALIKE || top - given < CLEARLY)
        return 0;
    for (int h = -HOURS; h <= HOURS; h++) {
        double seen = n[h + HOURS] / CHANGE, most = n[best + HOURS] / CHANGE, apart = fmin(seen, most) - 3.0;
        if (h == best || isnan(r[h + HOURS]))
            continue;
        double sure = apart > 0 ? (fisher(top) - fisher(r[h + HOURS])) * sqrt(0.5 * apart) : 0.0;
        bool hardly_seen = h != 0 && 2.0 * seen < most && top - r[h + HOURS] > CLEARLY;
        if (!hardly_seen && sure < (h == 0 ? SURE : SURE_OF_THE_HOUR))
            return 0;
    }
    return best;
}

/* Whether heat, pressure or the job bears a clock out. */
static bool is_borne_out(const struct mr_align_state *st, const struct mr_coat_events *e, size_t clock) {
    const struct mr_time_reading as_given = {0};
    return st->out->clocks.v[clock].stated ||
           (!mr_clock_is_doubted(st, clock) && mr_clock_fits(st, e, clock, &as_given).fits >= LEAST_COATS);
}

static const struct mr_track *air_of(const struct mr_align_state *st, size_t clock) {
    for (size_t i = 0; i < st->out->tracks.n; i++)
        if (st->out->tracks.v[i].clock == clock && st->out->tracks.v[i].meaning == MR_M_AIR)
            return &st->out->tracks.v[i];
    return NULL;
}

static void doubt_hours(struct mr_align_state *st, size_t clock, int hours, const char *why) {
    const struct mr_clock_verdict v = {
        .doubted = true, .reading = {.offset_ms = (int64_t)hours * hour_ms}, .why = why};
    mr_doubt_clock(st, clock, &v);
}

static void compare(struct mr_align_state *st, const struct mr_coat_events *e, size_t clock, size_t other) {
    const struct mr_track *x = air_of(st, clock), *y = air_of(st, other);
    struct binned a = binned_of(st, x, 0), b = binned_of(st, y, 0);
    double best = 0, given = 0;
    int hours = a.n && b.n ? hours_late(&a, &b, &best, &given) : 0;
    bool sound = hours != 0 && is_borne_out(st, e, clock), other_sound = hours != 0 && is_borne_out(st, e, other);
    if (hours == 0 || (sound && other_sound))
        return;
    const char *mine = st->out->clocks.v[clock].instrument, *its = st->out->clocks.v[other].instrument;
    const char *figures = mr_printf(st->arena, "correlation within the hour %.2f, as given %.2f", best, given);
    const char *either = sound || other_sound ? "" : "one of the two clocks is wrong; ";
    if (!sound)
        doubt_hours(st, clock, hours,
                    mr_printf(st->arena, "its air then follows that of %s; %s%s", its, either, figures));
    if (!other_sound)
        doubt_hours(st, other, -hours,
                    mr_printf(st->arena, "its air then follows that of %s; %s%s", mine, either, figures));
}

/* ---- the sun ---- */

/* Local hours of day at which the hourly mean of a day's bins is least and greatest; false: the day is not whole, or
 * hardly warmed. */
static bool extremes(const struct binned *b, size_t from, double *out_cold_h, double *out_warm_h) {
    double least = HUGE_VAL, most = -HUGE_VAL;
    size_t known = 0;
    for (size_t i = from; i < from + DAY_BINS && i + HOUR_BINS <= b->n; i++) {
        double mean = 0;
        for (size_t k = 0; k < HOUR_BINS; k++)
            mean += b->mean[i + k] / HOUR_BINS;
        double hour = ((double)(i - from) + 0.5 * HOUR_BINS) / HOUR_BINS;
        known += isnan(mean) ? 0 : 1;
        if (mean < least) {
            least = mean;
            *out_cold_h = hour;
        }
        if (mean > most) {
            most = mean;
            *out_warm_h = hour;
        }
    }
    return known >= DAY_BINS * 9 / 10 && most - least >= 5.0;
}

static double off_clock(double hour, double usual) {
    double off = fmod(hour - usual + 36.0, 24.0) - 12.0;
    return off;
}

/* Hours by which the course of the air lies off the sun's on every whole day, two at least; 0 where it does not, or
 * some day says otherwise. */
static int off_the_sun(struct mr_align_state *st, const struct mr_track *t) {
    int64_t apart = t->n ? mr_local_ms(st->out, mr_track_ms(t, 0)) - mr_track_ms(t, 0) : 0;
    struct binned b = binned_of(st, t, apart);
    double sum = 0, days = 0, first = 0;
    int64_t skip = b.n ? (DAY_BINS - b.first % DAY_BINS) % DAY_BINS : 0;
    for (size_t i = (size_t)skip; i + DAY_BINS <= b.n; i += DAY_BINS) {
        double cold = 0, warm = 0;
        if (!extremes(&b, i, &cold, &warm))
            continue;
        double a = off_clock(cold, 5.5), c = off_clock(warm, 15.0), off = 0.5 * (a + c);
        first = days > 0 ? first : off;
        if (fabs(a - c) > 3.0 || fabs(off) < 4.0 || fabs(off - first) > 2.0)
            return 0;
        sum += off;
        days += 1;
    }
    return days >= 2 ? (int)lround(sum / days) : 0;
}

/* ---- all of it ---- */

static void doubt_dates(struct mr_align_state *st, const struct mr_coat_events *e) {
    for (size_t i = 0; i < st->out->clocks.n && e->coats.n; i++) {
        bool climate = false;
        for (size_t k = 0; k < st->out->tracks.n; k++)
            climate |= st->out->tracks.v[k].clock == i && is_climate(&st->out->tracks.v[k]);
        if (!climate || st->out->clocks.v[i].stated || mr_clock_is_doubted(st, i))
            continue;
        const struct mr_clock_verdict v = weigh_climate(st, e, i);
        if (v.doubted)
            mr_doubt_clock(st, i, &v);
    }
}

static void doubt_by_the_sun(struct mr_align_state *st, const struct mr_coat_events *e) {
    for (size_t i = 0; i < st->out->clocks.n; i++) {
        const struct mr_track *t = air_of(st, i);
        int hours = t && !mr_clock_is_doubted(st, i) && !is_borne_out(st, e, i) ? off_the_sun(st, t) : 0;
        if (hours != 0)
            doubt_hours(st, i, hours,
                        "about so much: by its clock the air is coldest and warmest that far from sunrise and "
                        "afternoon, day after day");
    }
}

void mr_align_doubt_climate(struct mr_align_state *st) {
    for (size_t i = 0; i < st->out->doubts.n; i++)
        if (st->out->doubts.v[i].kind == MR_DOUBT_LOG)
            return; /* the spray log comes first */
    const struct mr_coat_events e = mr_coat_events(st);
    doubt_dates(st, &e);
    for (size_t i = 0; i < st->out->clocks.n; i++)
        for (size_t k = i + 1; k < st->out->clocks.n && air_of(st, i); k++)
            if (air_of(st, k) && !mr_clock_is_doubted(st, i) && !mr_clock_is_doubted(st, k))
                compare(st, &e, i, k);
    doubt_by_the_sun(st, &e);
}
