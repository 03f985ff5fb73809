/*
 * sample_logs.c - what the logging instruments of the sample job exported: hygrometers, thermometers, line pressures.
 *
 * Planted here: HY-2210 writes UTF-16; the clock of M4-031 is four minutes fast; N3-208 writes decimal commas and
 * shows the next day's date; PL-31 writes day-first dates of which none has a part above 12; line A drops out while
 * T5 gets its first coat; line B falls behind while H1 gets its second.
 */
#include "support/sample.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define DEG "\xC2\xB0" /* degree sign */

enum { STREAM_HY_2210 = 20, STREAM_HY_2231 = 22, STREAM_K8 = 30, STREAM_M4 = 40, STREAM_N3 = 50, STREAM_LINES = 60 };

static const double m4_fast_s = 240.0; /* shown minus true */
enum { n3_days_fast = 1 };

struct clock {
    int h, m, s;
};

static struct clock clock_of(double t_s) {
    long t = lround(t_s);
    return (struct clock){(int)(t / 3600), (int)(t / 60 % 60), (int)(t % 60)};
}

static double to_f(double c) {
    return 1.8 * c + 32.0;
}

/* Two decimals behind a decimal comma. */
static const char *comma(char *buffer, size_t size, double value) {
    snprintf(buffer, size, "%.2f", value);
    for (char *p = buffer; *p; p++)
        if (*p == '.')
            *p = ',';
    return buffer;
}

/* --- hygrometers --- */

/* On the bridge; every two minutes; UTF-16 with tabs, degrees Fahrenheit, a magnetic probe on a girder. */
static bool write_hy_2210(const struct sample_plan *plan, const char *dir) {
    struct sample_text text = {0};
    sample_add(&text, "Hygrometer\tHY-2210\nInterval\t120 s\nRecords\t%d\n\n", 2 * 241);
    sample_add(&text, "Date\tTime\tAir temperature (" DEG "F)\tRelative humidity (%%)\tDew point (" DEG
                      "F)\tSteel temperature (" DEG "F)\n");
    for (int day = 0; day < SAMPLE_DAYS; day++) {
        struct sim_rng rng = sim_seed(SAMPLE_SEED, STREAM_HY_2210 + (uint64_t)day);
        const struct sim_day *climate = &plan->climate[day];
        for (double t_s = 6.5 * 3600; t_s <= 14.5 * 3600; t_s += 120) {
            struct clock k = clock_of(t_s);
            double air_c = sim_air_c(climate, t_s) + sim_normal(&rng, 0.0, 0.05);
            double dew_c = sim_dew_c(climate, t_s) + sim_normal(&rng, 0.0, 0.08);
            double steel_c = sim_air_c(climate, t_s - 1200.0) + sim_normal(&rng, 0.1, 0.05);
            sample_add(&text, "2026-05-%02d\t%02d:%02d:%02d\t%.1f\t%.1f\t%.1f\t%.1f\n", 11 + day, k.h, k.m, k.s,
                       to_f(air_c), sim_rh_pct(air_c, dew_c), to_f(dew_c), to_f(steel_c));
        }
    }
    return sample_save(&text, dir, "climate/HY-2210 bridge.csv", SAMPLE_UTF16LE_BOM, "\r\n");
}

/* At the tank; every five minutes; one column of time with its distance from UTC. */
static bool write_hy_2231(const struct sample_plan *plan, const char *dir) {
    struct sample_text text = {0};
    sample_add(&text, "# logger: HY-2231\n# position: tank\ntimestamp,air_temp_C,RH_percent\n");
    for (int day = 0; day < SAMPLE_DAYS; day++) {
        struct sim_rng rng = sim_seed(SAMPLE_SEED, STREAM_HY_2231 + (uint64_t)day);
        const struct sim_day *climate = &plan->climate[day];
        for (double t_s = 6.5 * 3600; t_s <= 14.5 * 3600; t_s += 300) {
            struct clock k = clock_of(t_s + 17.0);
            double air_c = sim_air_c(climate, t_s) + sim_normal(&rng, 0.1, 0.05);
            double dew_c = sim_dew_c(climate, t_s) + sim_normal(&rng, 0.0, 0.08);
            sample_add(&text, "2026-05-%02dT%02d:%02d:%02d-05:00,%.2f,%.1f\n", 11 + day, k.h, k.m, k.s, air_c,
                       sim_rh_pct(air_c, dew_c));
        }
    }
    return sample_save(&text, dir, "climate/HY-2231.csv", SAMPLE_UTF8, "\n");
}

bool sample_write_climate(const struct sample_plan *plan, const char *dir) {
    return write_hy_2210(plan, dir) && write_hy_2231(plan, dir);
}

/* --- thermometers --- */

static const double log_from_s = 7.25 * 3600;

static double log_to_s(const struct sample_plan *plan, int day) {
    return floor(plan->shifts[day].end_s / 600.0) * 600.0 + 3600.0;
}

/* Eight probes on girders and soffit, five seconds, degrees Fahrenheit, names and units in two rows. */
static bool write_k8(const struct sample_plan *plan, const char *dir, int day) {
    struct sample_text text = {0};
    struct sim_rng rng = sim_seed(SAMPLE_SEED, STREAM_K8 + (uint64_t)day);
    sample_add(&text, "Logger,K8-117\nSession,%d\nSample interval,5 s\n", 41 + day);
    sample_add(&text, "Date/Time,Ch1,Ch2,Ch3,Ch4,Ch5,Ch6,Ch7,Ch8\n,degF,degF,degF,degF,degF,degF,degF,degF\n");
    for (double t_s = log_from_s; t_s <= log_to_s(plan, day); t_s += 5) {
        struct clock k = clock_of(t_s);
        sample_add(&text, "2026-05-%02d %02d:%02d:%02d", 11 + day, k.h, k.m, k.s);
        for (int channel = 1; channel <= 8; channel++)
            for (int z = 0; z < SAMPLE_ZONES; z++)
                if (plan->zones[z].logger == SAMPLE_K8 && plan->zones[z].channel == channel)
                    sample_add(&text, ",%.1f", to_f(sample_steel_c(plan, z, day, t_s) + sim_normal(&rng, 0.0, 0.03)));
        sample_add(&text, "\n");
    }
    char path[64];
    snprintf(path, sizeof path, "steel/K8-117 session %d.csv", 41 + day);
    return sample_save(&text, dir, path, SAMPLE_UTF8, "\r\n");
}

/* The zone under a channel of M4-031: the second zone of a channel follows when the probes are moved. -1 while
 * moving.
 */
static int m4_zone(const struct sample_plan *plan, int day, int channel, double t_s) {
    const struct sample_shift *shift = &plan->shifts[day];
    double off_s = sample_probes_move_s(shift), on_s = off_s + 600.0;
    int first = -1, second = -1;
    for (int z = 0; z < SAMPLE_ZONES; z++)
        if (plan->zones[z].logger == SAMPLE_M4 && plan->zones[z].channel == channel) {
            if (first < 0)
                first = z;
            else
                second = z;
        }
    return t_s < off_s ? first : t_s < on_s ? -1 : second;
}

/* Four probes that move from the tank shell to the small parts in the second break; ten seconds; Windows-1252. */
static bool write_m4(const struct sample_plan *plan, const char *dir, int day) {
    struct sample_text text = {0};
    struct sim_rng rng = sim_seed(SAMPLE_SEED, STREAM_M4 + (uint64_t)day);
    sample_add(&text, "Serial: M4-031\nChannels: 4\n\n");
    sample_add(&text, "Date;Time;P1 [" DEG "C];P2 [" DEG "C];P3 [" DEG "C];P4 [" DEG "C]\n");
    for (double t_s = log_from_s; t_s <= log_to_s(plan, day); t_s += 10) {
        struct clock k = clock_of(t_s + m4_fast_s);
        sample_add(&text, "2026/05/%02d;%02d:%02d:%02d", 11 + day, k.h, k.m, k.s);
        for (int channel = 1; channel <= 4; channel++) {
            int z = m4_zone(plan, day, channel, t_s);
            double noise_c = sim_normal(&rng, 0.0, 0.03);
            if (z < 0)
                sample_add(&text, ";---");
            else
                sample_add(&text, ";%.2f", sim_round(sample_steel_c(plan, z, day, t_s) + noise_c, 0.05));
        }
        sample_add(&text, "\n");
    }
    char path[64];
    snprintf(path, sizeof path, "steel/M4_%04d.csv", 218 + day);
    return sample_save(&text, dir, path, SAMPLE_CP1252, "\r\n");
}

/* The mix check: a coupon of 4 mm steel gets 5 mil from the gun. */
static double gun_c(const struct sample_plan *plan, int day, double t_s) {
    struct sim_steel coupon = {.thickness_mm = 4.0, .h_w_m2k = 10.0};
    struct sim_pass pass = {plan->shifts[day].mix_check_s + 40.0, 127.0, 1.0};
    return sim_air_c(&plan->climate[day], t_s - 600.0) + sim_rise_of(&plan->material, &coupon, &pass, 1, t_s);
}

/* Three probes, one reading a row, decimal commas, day.month.year. */
static bool write_n3(const struct sample_plan *plan, const char *dir) {
    struct sample_text text = {0};
    sample_add(&text, "Instrument;N3-208\nOutput;semicolon, decimal comma\n");
    sample_add(&text, "Date;Time;Channel;Temperature (" DEG "C)\n");
    for (int day = 0; day < SAMPLE_DAYS; day++) {
        struct sim_rng rng = sim_seed(SAMPLE_SEED, STREAM_N3 + (uint64_t)day);
        for (double t_s = log_from_s; t_s <= log_to_s(plan, day); t_s += 10) {
            struct clock k = clock_of(t_s);
            for (int channel = 1; channel <= 3; channel++) {
                char number[32];
                double value_c = gun_c(plan, day, t_s);
                for (int z = 0; z < SAMPLE_ZONES; z++)
                    if (plan->zones[z].logger == SAMPLE_N3 && plan->zones[z].channel == channel)
                        value_c = sample_steel_c(plan, z, day, t_s);
                sample_add(&text, "%02d.05.2026;%02d:%02d:%02d;%s;%s\n", 11 + day + n3_days_fast, k.h, k.m, k.s,
                           channel == 3   ? "GUN"
                           : channel == 2 ? "B"
                                          : "A",
                           comma(number, sizeof number, value_c + sim_normal(&rng, 0.0, 0.03)));
            }
        }
    }
    return sample_save(&text, dir, "steel/N3-208 export.csv", SAMPLE_UTF8, "\n");
}

bool sample_write_steel(const struct sample_plan *plan, const char *dir) {
    for (int day = 0; day < SAMPLE_DAYS; day++)
        if (!write_k8(plan, dir, day) || !write_m4(plan, dir, day))
            return false;
    return write_n3(plan, dir);
}

/* --- line pressures --- */

static size_t line_phases(const struct sample_shift *shift, struct sim_phase *phase) {
    size_t n = 0;
    phase[n++] = (struct sim_phase){0, SIM_RELIEVED};
    phase[n++] = (struct sim_phase){shift->water_test_s, SIM_WATER_TEST};
    phase[n++] = (struct sim_phase){shift->water_test_s + 360, SIM_RELIEVED};
    phase[n++] = (struct sim_phase){shift->mix_check_s, SIM_CHARGED};
    phase[n++] = (struct sim_phase){shift->mix_check_s + 30, SIM_SPRAY};
    phase[n++] = (struct sim_phase){shift->mix_check_s + 50, SIM_CHARGED};
    phase[n++] = (struct sim_phase){shift->mix_check_s + 100, SIM_RELIEVED};
    phase[n++] = (struct sim_phase){shift->start_s - 30, SIM_CHARGED};
    for (int i = 0, rest = 0; i < SAMPLE_ZONES; i++) {
        const struct sample_window *w = &shift->windows[i];
        if (rest < 2 && w->t0_s > shift->charged_s[rest]) {
            phase[n++] = (struct sim_phase){shift->relieved_s[rest], SIM_RELIEVED};
            phase[n++] = (struct sim_phase){shift->charged_s[rest], SIM_CHARGED};
            rest++;
        }
        phase[n++] = (struct sim_phase){w->t0_s, SIM_SPRAY};
        phase[n++] = (struct sim_phase){w->t1_s, SIM_CHARGED};
    }
    phase[n++] = (struct sim_phase){shift->end_s, SIM_RELIEVED};
    return n;
}

static bool write_lines_of(const struct sample_plan *plan, const char *dir, int day) {
    const struct sample_shift *shift = &plan->shifts[day];
    struct sim_phase phase[16 + 2 * SAMPLE_ZONES];
    struct sim_fault fault = {0};
    const struct sample_window *t5 = &shift->windows[SAMPLE_ZONES - 1], *h1 = &shift->windows[SAMPLE_ZONES - 2];
    if (day == 0)
        fault = (struct sim_fault){t5->t0_s + 95, t5->t0_s + 106, 'A', 0.22};
    else
        fault = (struct sim_fault){h1->t0_s + 70, h1->t0_s + 118, 'B', 0.80};
    struct sim_lines lines = {phase, line_phases(shift, phase), &fault, 1};
    double from_s = shift->water_test_s - 180;
    size_t n = (size_t)(shift->end_s + 420 - from_s);
    struct sim_pressure *p = calloc(n, sizeof *p);
    if (!p)
        return false;
    struct sim_rng rng = sim_seed(SAMPLE_SEED, STREAM_LINES + (uint64_t)day);
    sim_pressure_log(&rng, &lines, from_s, n, p);
    struct sample_text text = {0};
    sample_add(&text, "Pressure logger PL-31\nSerial number: PL-31\nSample rate: 1 Hz\n");
    sample_add(&text, "Date,Time,Line A (bar),Line B (bar),Main (bar)\n");
    for (size_t i = 0; i < n; i++) {
        struct clock k = clock_of(from_s + (double)i);
        sample_add(&text, "%02d/05/2026,%02d:%02d:%02d,%.3f,%.3f,%.2f\n", 11 + day, k.h, k.m, k.s, p[i].a_kpa / 100,
                   p[i].b_kpa / 100, p[i].main_kpa / 100);
    }
    free(p);
    char path[64];
    snprintf(path, sizeof path, "lines/PL-31 log %d.csv", 1 + day);
    return sample_save(&text, dir, path, SAMPLE_UTF8, "\r\n");
}

bool sample_write_lines(const struct sample_plan *plan, const char *dir) {
    return write_lines_of(plan, dir, 0) && write_lines_of(plan, dir, 1);
}
