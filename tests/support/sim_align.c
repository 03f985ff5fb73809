/*
 * sim_align.c - see the header. Heat: A (1 - exp(-k t)) exp(-t / tau), the shape of a first-order reaction on cooling
 * steel; pressure: 600 kPa charged, 575 kPa with the trigger pulled, or 0 and 600; all figures invented.
 */
#include "support/sim_align.h"

#include <math.h>
#include <string.h>

enum { MOST_WINDOWS = 256 };

struct truth {
    int n;
    struct {
        int zone, coat;
        double t0, t1, hit; /* s from the first midnight */
        double rise, k, tau;
    } w[MOST_WINDOWS];
    double end;
};

double alignsim_uniform(uint64_t *state, double low, double high) {
    uint64_t z = (*state += 0x9E3779B97F4A7C15U);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9U;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBU;
    z ^= z >> 31;
    return low + (high - low) * ((double)(z >> 11) / 9007199254740992.0);
}

static double normal(uint64_t *state, double sd) {
    double sum = -1.5; /* three uniform values: near enough, and four times as fast as twelve */
    for (int i = 0; i < 3; i++)
        sum += alignsim_uniform(state, 0, 1);
    return 2 * sum * sd;
}

struct alignsim_plan alignsim_plan(uint64_t seed) {
    return (struct alignsim_plan){.seed = seed,
                                  .zones = 8,
                                  .coats = 2,
                                  .loggers = 2,
                                  .width_min = {8, 20},
                                  .log = true,
                                  .lines = true,
                                  .log_unit_s = 60,
                                  .log_error_s = 20};
}

/* Coat after coat, each on a day of its own from eight in the morning; the second coat runs the other way. */
static void plan_windows(const struct alignsim_plan *p, uint64_t *rng, struct truth *t) {
    double where[64];
    for (int z = 0; z < p->zones; z++)
        where[z] = alignsim_uniform(rng, 0.02, 0.98);
    for (int coat = 0; coat < p->coats; coat++) {
        double at = 86400.0 * coat + 8 * 3600 + alignsim_uniform(rng, 0, 1800);
        for (int z = 0; z < p->zones; z++) {
            double width = 60 * alignsim_uniform(rng, p->width_min[0], p->width_min[1]);
            double share = coat % 2 ? 1 - where[z] : where[z];
            int i = t->n++;
            t->w[i].zone = z;
            t->w[i].coat = coat + 1;
            t->w[i].t0 = at;
            t->w[i].t1 = at + width;
            t->w[i].hit = at + share * width + alignsim_uniform(rng, 2, 15);
            t->w[i].rise = alignsim_uniform(rng, 3, 7);
            if (p->dead_share > 0 && alignsim_uniform(rng, 0, 1) < p->dead_share)
                t->w[i].rise = 0;
            t->w[i].k = 1 / alignsim_uniform(rng, 30, 90);
            t->w[i].tau = alignsim_uniform(rng, 900, 2000);
            at += width + 60 * alignsim_uniform(rng, 2, 12);
        }
        t->end = at + 1800;
    }
}

static int64_t base_ms(void) {
    return fix_time("2026-05-11 00:00");
}

static int64_t shown_ms(const struct alignsim_plan *p, int who, double t_s) {
    if (p->dates_swapped[who]) {
        static const char *const day[] = {"2026-11-05 00:00", "2026-12-05 00:00"}; /* of 11 and 12 May */
        int d = t_s >= 86400;
        return fix_time(day[d]) + llround((t_s - 86400 * d) * 1000);
    }
    return base_ms() + llround((t_s + p->off_s[who] + p->drift_s_per_day[who] * t_s / 86400) * 1000);
}

static double steel_c(const struct truth *t, int zone, double at) {
    double c = 18 + 5 * sin((at / 86400 - 0.35) * 2 * M_PI);
    for (int i = 0; i < t->n; i++) {
        double since = at - t->w[i].hit;
        if (t->w[i].zone == zone && since > 0 && since < 8 * t->w[i].tau)
            c += t->w[i].rise * (1 - exp(-t->w[i].k * since)) * exp(-since / t->w[i].tau);
    }
    return c;
}

/* The zone in which the job file says that a channel is. */
static int said_zone(const struct alignsim_plan *p, int who, int zone) {
    if (p->loggers_exchanged && who < 2)
        return zone + (who == 0 ? 1 : -1);
    if (p->channels_exchanged && who == 0 && zone < 2 * p->loggers)
        return zone == 0 ? p->loggers : 0;
    return zone;
}

/* Logs run in daytime only: every ten seconds from half past seven until half an hour after the last window. */
static void make_logger(struct fixture *f, const struct alignsim_plan *p, uint64_t *rng, const struct truth *t,
                        int who) {
    const char *name = mr_printf(f->arena, "K%d", who);
    fix_instrument(f, name);
    double first = 7.5 * 3600, day_end = t->end - 86400 * (p->coats - 1);
    size_t per_day = (size_t)((day_end - first) / 10), n = per_day * (size_t)p->coats;
    int64_t *time = MR_ARRAY(f->arena, int64_t, n);
    for (size_t i = 0; i < n; i++)
        time[i] = shown_ms(p, who, (double)(i / per_day) * 86400 + first + 10 * (double)(i % per_day));
    uint32_t file = fix_file(f, mr_printf(f->arena, "steel/%s.csv", name), MR_KIND_TEMPERATURE, MR_TIME_LOCAL, name);
    for (int z = who; z < p->zones; z += p->loggers) {
        double *v = MR_ARRAY(f->arena, double, n), noise = alignsim_uniform(rng, 0.02, 0.1);
        for (size_t i = 0; i < n; i++) {
            double at = (double)(i / per_day) * 86400 + first + 10 * (double)(i % per_day);
            v[i] = steel_c(t, z, at) + normal(rng, noise);
            if (alignsim_uniform(rng, 0, 1) < 0.0005)
                v[i] += alignsim_uniform(rng, -30, 30);
        }
        const char *channel = mr_printf(f->arena, "T%d", z / p->loggers);
        fix_channel(f, file, channel, MR_M_PROBE_TEMP, n, time, v, NULL);
        fix_assign(f, name, channel, mr_printf(f->arena, "Z%d", said_zone(p, who, z)), NULL, NULL);
    }
}

static double line_kpa(const struct alignsim_plan *p, const struct truth *t, double at) {
    bool pulled = false, day = false;
    for (int i = 0; i < t->n; i++) {
        double since = at - t->w[i].t0, width = t->w[i].t1 - t->w[i].t0;
        if (since < -600 || since >= width + 600)
            continue;
        day = true;
        pulled |= since >= 0 && since < width && fmod(since, 31) < 28;
    }
    if (p->charged)
        return pulled ? 575 : day ? 600 : 1;
    return pulled ? 590 : 2;
}

static void make_lines(struct fixture *f, const struct alignsim_plan *p, uint64_t *rng, const struct truth *t) {
    fix_instrument(f, "PL");
    double first = 7.5 * 3600, day_end = t->end - 86400 * (p->coats - 1);
    size_t per_day = (size_t)((day_end - first) / 2), n = per_day * (size_t)p->coats;
    int64_t *time = MR_ARRAY(f->arena, int64_t, n);
    double *a = MR_ARRAY(f->arena, double, n), *b = MR_ARRAY(f->arena, double, n);
    for (size_t i = 0; i < n; i++) {
        double at = (double)(i / per_day) * 86400 + first + 2 * (double)(i % per_day), kpa = line_kpa(p, t, at);
        time[i] = shown_ms(p, p->loggers, at);
        a[i] = kpa + normal(rng, 2);
        b[i] = 1.02 * kpa + 4 + normal(rng, 2); /* no two gauges show the same */
    }
    uint32_t file = fix_file(f, "lines/PL.csv", MR_KIND_PRESSURE, MR_TIME_LOCAL, "PL");
    fix_channel(f, file, "A", MR_M_LINE_A, n, time, a, NULL);
    fix_channel(f, file, "B", MR_M_LINE_B, n, time, b, NULL);
}

static int64_t written_ms(const struct alignsim_plan *p, uint64_t *rng, double t_s) {
    double unit = p->log_unit_s > 0 ? p->log_unit_s : 1;
    return base_ms() + llround(round((t_s + normal(rng, p->log_error_s)) / unit) * unit * 1000);
}

void alignsim_make(struct fixture *f, const struct alignsim_plan *p) {
    uint64_t rng = p->seed * 7919 + 13;
    struct truth t = {0};
    fix_init(f, "UTC");
    plan_windows(p, &rng, &t);
    for (int who = 0; who < p->loggers; who++)
        make_logger(f, p, &rng, &t, who);
    if (p->lines)
        make_lines(f, p, &rng, &t);
    if (!p->log)
        return;
    uint32_t log = fix_file(f, "spray.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    for (int i = 0; i < t.n; i++) {
        int64_t off_ms = llround((p->log_off_s + (i + 1 == p->bad_row ? p->bad_row_s : 0)) * 1000);
        int64_t start = written_ms(p, &rng, t.w[i].t0) + off_ms, stop = written_ms(p, &rng, t.w[i].t1) + off_ms;
        fix_spray(f, log, MR_ACTION_SPRAY, mr_printf(f->arena, "Z%d", t.w[i].zone),
                  mr_printf(f->arena, "%d", t.w[i].coat), start, stop);
    }
}
