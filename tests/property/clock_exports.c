/*
 * clock_exports.c - see clock_exports.h. Heat: A (exp(-t / tau) - exp(-k t)) on a day's slow swing, with passing
 * clouds in a third of the jobs; lines: 600 kPa while the trigger is pulled, open in between. All figures are
 * invented.
 */
#include "clock_exports.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static const double DAY_S = 86400;

static void put(struct clock_text *t, const char *format, ...) __attribute__((format(printf, 2, 3)));
static void put(struct clock_text *t, const char *format, ...) {
    if (t->cap - t->n < 600) {
        t->cap = 2 * t->cap + 4096;
        t->v = realloc(t->v, t->cap);
        cr_assert_not_null(t->v);
    }
    va_list list;
    va_start(list, format);
    t->n += (size_t)vsnprintf(t->v + t->n, t->cap - t->n, format, list);
    va_end(list);
}

static struct tm civil(double s) {
    time_t t = (time_t)floor(s + 0.5);
    struct tm tm;
    gmtime_r(&t, &tm);
    return tm;
}

/* "2026-05-11 08:00:10,"; swapped: day and month exchanged. */
static void put_time(struct clock_text *t, double s, bool swapped) {
    struct tm tm = civil(s);
    int month = tm.tm_mon + 1, day = tm.tm_mday;
    put(t, "%04d-%02d-%02d %02d:%02d:%02d", tm.tm_year + 1900, swapped ? day : month, swapped ? month : day,
        tm.tm_hour, tm.tm_min, tm.tm_sec);
}

/* When the logs of a day begin and end. */
static void span_of(const struct clock_job *j, int day, double *from_s, double *to_s) {
    *from_s = 7 * 3600 + 1800;
    *to_s = 0;
    for (int i = 0; i < j->n_coats; i++)
        if (j->coat[i].day == day)
            *to_s = j->coat[i].t1_s + 2700;
    if (j->long_logs) {
        *from_s = 5 * 3600;
        *to_s = 19 * 3600;
    }
}

static double heat_k(const struct clock_job *j, int zone, int day, double at) {
    double k = 0;
    for (int i = 0; i < j->n_coats; i++) {
        const struct clock_coat *c = &j->coat[i];
        double since = at - c->hit_s;
        if (c->zone == zone && c->day == day && !c->dead && since > 0 && since < 9 * c->tau_s) {
            double ratio = c->rate_per_s * c->tau_s, peak = pow(ratio, -1 / (ratio - 1));
            k += c->rise_k / peak * ratio / (ratio - 1) * (exp(-since / c->tau_s) - exp(-c->rate_per_s * since));
        }
    }
    return k;
}

static void put_logger(const struct clock_job *j, int who, int day, struct clock_text *t) {
    uint64_t rng = j->seed * 31 + (uint64_t)(who * 8 + day);
    double from, to, wander[CLOCK_ZONES] = {0}, step = j->long_logs ? 20 : 10, cloud = 0;
    span_of(j, day, &from, &to);
    double off = who == 0 ? j->k1_off_s + (day == j->days - 1 ? j->session_off_s : 0) : 0;
    put(t, "Logger: K%d\n\nTime", who + 1);
    for (int z = who; z < j->zones; z += 2)
        put(t, ",P%d [degC]", z / 2 + 1);
    put(t, "\n");
    for (double at = from; at <= to; at += step) {
        put_time(t, (double)j->day_s[day] + at + off, who == 0 && j->swapped);
        cloud = exp(-step / 700) * cloud + clock_normal(&rng, 0.25 * sqrt(1 - exp(-2 * step / 700)));
        double sky = 20 + 4 * sin((at / DAY_S - 0.4) * 2 * M_PI) + (j->cloudy ? cloud : 0);
        for (int z = who; z < j->zones; z += 2) {
            wander[z] = exp(-step / 300) * wander[z] + clock_normal(&rng, 0.03 * sqrt(1 - exp(-2 * step / 300)));
            put(t, ",%.2f", sky + wander[z] + heat_k(j, z, day, at) + clock_normal(&rng, 0.03));
        }
        put(t, "\n");
    }
}

static void put_lines(const struct clock_job *j, int day, struct clock_text *t) {
    uint64_t rng = j->seed * 37 + (uint64_t)day;
    double from, to;
    span_of(j, day, &from, &to);
    put(t, "Logger: PL\n\nTime,Line A (kPa),Line B (kPa),Main (kPa)\n");
    for (double at = from; at <= to; at += 4) {
        const struct clock_coat *now = NULL;
        bool near = false;
        for (int i = 0; i < j->n_coats; i++) {
            const struct clock_coat *c = &j->coat[i];
            near |= c->day == day && at > c->t0_s - 900 && at < c->t1_s + 900;
            if (c->day == day && at >= c->t0_s + 3 && at < c->t1_s - 3)
                now = c;
        }
        if (!near && j->long_logs && fmod(at, 60) > 3.9)
            continue;
        bool low = now && now->imbalance && at > now->t0_s + 60 && at < now->t0_s + 100;
        double kpa = now ? 600 : 0;
        put_time(t, (double)j->day_s[day] + at + j->lines_off_s, false);
        put(t, ",%.1f,%.1f,%.1f\n", kpa + clock_uniform(&rng, 0, 6),
            (low ? 0.8 : 1.0) * kpa + clock_uniform(&rng, 0, 6), kpa + clock_uniform(&rng, 0, 6));
    }
}

static void put_log(const struct clock_job *j, struct clock_text *t) {
    put(t, "Date,Action,Zone,Coat,Start,Stop,Role\n");
    for (int i = 0; i < j->n_coats; i++) {
        const struct clock_coat *c = &j->coat[i];
        double off = j->log_off_s + (i == j->bad_row ? j->row_off_s : 0), day = (double)j->day_s[c->day] + off;
        struct tm date = civil(day + c->t0_s), t0 = civil(day + c->t0_s), t1 = civil(day + c->t1_s);
        put(t, "%04d-%02d-%02d,spray,Z%d,%d,%02d:%02d,%02d:%02d,sprayer\n", date.tm_year + 1900, date.tm_mon + 1,
            date.tm_mday, c->zone + 1, c->day + 1, t0.tm_hour, t0.tm_min, t1.tm_hour, t1.tm_min);
    }
}

static void put_zones(const struct clock_job *j, struct clock_text *t) {
    put(t, "Zone,Aliases,Area (m2),Steel thickness (mm),Coats\n");
    for (int z = 0; z < j->zones; z++)
        put(t, "Z%d,,25,6,%d\n", z + 1, j->days);
}

/* Whether lines to add place a channel of a logger, so that its own line is to be left out. */
static bool is_placed_by(const char *extra, int who, int channel) {
    char section[24], line[16];
    snprintf(section, sizeof section, "[assign \"K%d\"]", who + 1);
    snprintf(line, sizeof line, "\nP%d =", channel);
    const char *from = strstr(extra, section), *at = from ? strstr(from, line) : NULL,
               *next = from ? strstr(from + 1, "[assign") : NULL;
    return at && (!next || at < next);
}

/* Logger and channel under which the job file has a zone. */
static void assign(const struct clock_job *j, int who, const char *extra, struct clock_text *t) {
    put(t, "[assign \"K%d\"]\n", who + 1);
    for (int z = who; z < j->zones; z += 2) {
        int said = z;
        if (j->loggers_exchanged)
            said = who == 0 ? z + 1 : z - 1;
        if (z == j->exchanged[0])
            said = j->exchanged[1];
        else if (z == j->exchanged[1])
            said = j->exchanged[0];
        if (said < j->zones && !is_placed_by(extra, who, z / 2 + 1))
            put(t, "P%d = Z%d\n", z / 2 + 1, said + 1);
    }
}

void clock_job_text(const struct clock_job *j, struct clock_text *t, const char *extra) {
    struct tm a = civil((double)j->day_s[0] - DAY_S), b = civil((double)j->day_s[j->days - 1] + 3 * DAY_S);
    /* A wrong month may lie beyond the change of the clocks. */
    static const char *const time_zones[] = {"UTC", "America/Chicago", "Europe/Berlin"};
    put(t, "[job]\nname = x\ntime zone = %s\ndates = %04d-%02d-%02d .. %04d-%02d-%02d\n",
        time_zones[j->seed % MR_COUNT(time_zones)], a.tm_year + 1900, a.tm_mon + 1, a.tm_mday, b.tm_year + 1900,
        b.tm_mon + 1, b.tm_mday);
    put(t, "[reaction]\nrise minimum = 3 K\nrise maximum = 7 K\n[lines]\nimbalance maximum = 10 %%\n"
           "[material]\nrequired = no\n");
    put(t, "[instrument \"K1\"]\n[instrument \"K2\"]\n[instrument \"PL\"]\n");
    assign(j, 0, extra, t);
    assign(j, 1, extra, t);
    put(t, "%s\n", extra);
}

int clock_exports(const struct clock_job *j, struct clock_export *file) {
    int n = 0;
    for (int d = 0; d < j->days; d++) {
        snprintf(file[n].path, sizeof file[n].path, "PL %d.csv", d + 1);
        put_lines(j, d, &file[n++].text);
    }
    snprintf(file[n].path, sizeof file[n].path, "spray log.csv");
    put_log(j, &file[n++].text);
    for (int who = 0; who < 2; who++)
        for (int d = 0; d < j->days; d++) {
            snprintf(file[n].path, sizeof file[n].path, "steel K%d %d.csv", who + 1, d + 1);
            put_logger(j, who, d, &file[n++].text);
        }
    snprintf(file[n].path, sizeof file[n].path, "zones.csv");
    put_zones(j, &file[n++].text);
    return n;
}
