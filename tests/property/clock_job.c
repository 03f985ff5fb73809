/*
 * clock_job.c - see clock_job.h. All figures are invented.
 */
#include "clock_exports.h"

#include <math.h>
#include <time.h>

const char *const clock_fault_text[CLOCK_FAULTS] = {"sound",
                                                    "K1 minutes off",
                                                    "K1 hours off",
                                                    "K1 6 h off",
                                                    "K1 days off",
                                                    "K1 a year off",
                                                    "K1 day and month",
                                                    "K1's last file a day off",
                                                    "PL off",
                                                    "K1 and K2 exchanged",
                                                    "two channels exchanged",
                                                    "a row's date wrong",
                                                    "spray log 1 h off"};

/* --- chance ---------------------------------------------------------------------------------------------- */

double clock_uniform(uint64_t *state, double low, double high) { /* splitmix64, S. Vigna, public domain */
    uint64_t z = (*state += 0x9E3779B97F4A7C15ULL);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    z ^= z >> 31;
    return low + (high - low) * ((double)(z >> 11) / 9007199254740992.0);
}

double clock_normal(uint64_t *state, double sd) {
    double sum = -2.0;
    for (int i = 0; i < 4; i++)
        sum += clock_uniform(state, 0, 1);
    return sum * sd * sqrt(3.0);
}

static int pick(uint64_t *state, int n) {
    return (int)clock_uniform(state, 0, n - 1e-9);
}

/* --- the truth ------------------------------------------------------------------------------------------- */

static const double DAY_S = 86400;

static int64_t midnight(int year, int month, int day) {
    struct tm tm = {.tm_year = year - 1900, .tm_mon = month - 1, .tm_mday = day};
    return (int64_t)timegm(&tm);
}

static void plan_days(struct clock_job *j, uint64_t *rng) {
    int first = 6 + pick(rng, 7), gap = 1 + (pick(rng, 4) == 0) * pick(rng, 4);
    for (int d = 0; d < j->days; d++)
        j->day_s[d] = midnight(2026, 5, first) + (int64_t)DAY_S * gap * d;
    if (pick(rng, 8) == 0 && j->days == 2) { /* the second date is the first with day and month exchanged */
        j->mirrored = true;
        j->day_s[0] = midnight(2026, 5, 6);
        j->day_s[1] = midnight(2026, 6, 5);
    }
}

static void plan_coats(struct clock_job *j, uint64_t *rng) {
    /* On mirrored days at the same hours the heat of one coat would stand in for that of the other: nothing could
     * tell. */
    bool same_times = pick(rng, 2) == 0 && !j->mirrored;
    double width[CLOCK_ZONES], gap[CLOCK_ZONES];
    for (int z = 0; z < j->zones; z++) {
        width[z] = 60 * floor(clock_uniform(rng, 4, 14));
        gap[z] = 60 * floor(clock_uniform(rng, 2, 5));
    }
    for (int d = 0; d < j->days; d++) {
        double at = 8 * 3600 + (same_times ? 0 : 60 * floor(clock_uniform(rng, 0, 90)));
        int turn = same_times ? 0 : pick(rng, j->zones);
        for (int i = 0; i < j->zones; i++) {
            struct clock_coat *c = &j->coat[j->n_coats++];
            int z = (i + turn) % j->zones;
            *c = (struct clock_coat){.zone = z, .day = d, .t0_s = at, .t1_s = at + width[z]};
            c->hit_s = at + clock_uniform(rng, 5, 0.8 * width[z]);
            c->rise_k = 5 * (1 + clock_normal(rng, 0.04));
            c->rate_per_s = 1 / clock_uniform(rng, 50, 90);
            c->tau_s = clock_uniform(rng, 1200, 2300);
            c->dead = pick(rng, 10) == 0;
            c->imbalance = pick(rng, 14) == 0;
            at += width[z] + gap[z];
        }
    }
}

static double either(uint64_t *rng, double s) {
    return pick(rng, 2) ? s : -s;
}

static void plan_fault(struct clock_job *j, uint64_t *rng) {
    static const double hours[] = {1, 2, 5};
    double minutes = either(rng, 60 * floor(clock_uniform(rng, 3, 40))),
           hour = either(rng, 3600 * hours[pick(rng, 3)]), six = either(rng, 6 * 3600),
           day = either(rng, DAY_S * (1 + (pick(rng, 4) == 0))), year = either(rng, 365 * DAY_S);
    const double lines[] = {minutes, hour, six, day};
    int which = pick(rng, 4), other = 2 * (1 + pick(rng, (j->zones - 1) / 2)), row = pick(rng, j->n_coats);
    j->exchanged[0] = j->exchanged[1] = j->bad_row = -1;
    switch (j->fault) {
    case CLOCK_MINUTES:
        j->k1_off_s = minutes;
        break;
    case CLOCK_HOUR:
        j->k1_off_s = hour;
        break;
    case CLOCK_SIX_HOURS:
        j->k1_off_s = six;
        break;
    case CLOCK_DAY:
        j->k1_off_s = day;
        break;
    case CLOCK_YEAR:
        j->k1_off_s = year;
        break;
    case CLOCK_SWAPPED:
        j->swapped = true;
        break;
    case CLOCK_SESSION:
        j->session_off_s = either(rng, DAY_S);
        break;
    case CLOCK_LINES:
        j->lines_off_s = lines[which];
        break;
    case CLOCK_LOGGERS:
        j->loggers_exchanged = true;
        break;
    case CLOCK_CHANNELS:
        j->exchanged[0] = 0;
        j->exchanged[1] = other;
        break;
    case CLOCK_LOG_ROW:
        j->bad_row = row;
        j->row_off_s = pick(rng, 2) ? day : year;
        break;
    case CLOCK_LOG_HOUR:
        j->log_off_s = either(rng, 3600);
        break;
    case CLOCK_SOUND:
    case CLOCK_FAULTS:
        break;
    }
}

struct clock_job clock_draw(uint64_t seed, enum clock_fault fault) {
    uint64_t rng = seed * 7919 + 101;
    struct clock_job j = {.seed = seed, .fault = fault};
    j.zones = 3 + pick(&rng, CLOCK_ZONES - 2);
    j.days = 1 + pick(&rng, CLOCK_DAYS);
    j.cloudy = pick(&rng, 3) == 0;
    j.long_logs = pick(&rng, 3) == 0;
    plan_days(&j, &rng);
    plan_coats(&j, &rng);
    plan_fault(&j, &rng);
    return j;
}

bool clock_hangs(const struct clock_job *j, int coat, bool lines) {
    const struct clock_coat *c = &j->coat[coat];
    bool k1 = c->zone % 2 == 0, log = fabs(j->log_off_s) > 600 || j->bad_row == coat;
    if (lines)
        return log || fabs(j->lines_off_s) > 600;
    bool last = j->session_off_s != 0 && c->day == j->days - 1;
    int partner =
        c->zone % 2 ? c->zone - 1 : c->zone + 1; /* the last zone of an odd number has none: no line says
                                                    where its probe is, and its heat is found by its window */
    return log || (j->loggers_exchanged && partner < j->zones) || c->zone == j->exchanged[0] ||
           c->zone == j->exchanged[1] || (k1 && (fabs(j->k1_off_s) > 900 || j->swapped || last));
}
