/*
 * sample_gauges.c - what the thickness gauges of the sample job exported on the survey day, and before the first
 * coat.
 *
 * Both gauges were set on smooth steel, so what they show on the film holds the profile too; the base metal readings
 * that are to be taken off were made before the first coat. Planted here: TG-0417's memory was downloaded twice, the
 * second time with all that stood in the first; the second area of T5 is thin (sample_again.c has its repair); T4 has
 * two areas instead of three and seven spots; TG-0522, which measured T3, was 8 % high when it was verified at the
 * end.
 */
#include "support/sample.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { STREAM_FILM = 300, STREAM_GAUGE = 340, STREAM_BASE_METAL = 380 };

static const double noise_sd = 0.012, gauge_bias = 0.004;
static const double noon_download_s = 12.0 * 3600;

static bool is(const struct sample_zone *zone, const char *code) {
    return strcmp(zone->code, code) == 0;
}

/* What a gauge set on smooth steel shows on the blasted steel: about a quarter of the profile. */
double sample_base_metal_um(const struct sample_zone *zone) {
    return 0.25 * zone->profile_um;
}

/* Readings over one zone, spot by spot, in the order in which they were taken. */
struct survey {
    const struct sample_plan *plan;
    struct sim_rng film, gauge;
    double t_s;
};

typedef void (*show_fn)(struct sample_text *text, const struct sample_zone *zone, int area, int spot, double t_s,
                        double um);

static void measure(struct survey *s, int z, struct sample_text *text, show_fn show) {
    const struct sample_zone *zone = &s->plan->zones[z];
    struct sim_film film = {.mean_um = 2.0 * zone->coat_mil * 25.4, .area_sd = 0.010, .spot_sd = 0.022};
    s->film = sim_seed(SAMPLE_SEED, STREAM_FILM + (uint64_t)z);
    for (int area = 1; area <= zone->areas; area++) {
        double area_um = sim_area_film(&s->film, &film) * (is(zone, "T5") && area == 2 ? 0.72 : 1.0);
        int spots = area == zone->areas ? zone->spots : 5;
        for (int spot = 1; spot <= spots; spot++) {
            double spot_um = sim_spot_film(&s->film, &film, area_um);
            for (int i = 0; i < 3; i++) {
                show(text, zone, area, spot, s->t_s,
                     sim_gauge_um(&s->gauge, spot_um, sample_base_metal_um(zone), gauge_bias, noise_sd));
                s->t_s += 3.0 + floor(sim_between(&s->gauge, 0.0, 4.0));
            }
            s->t_s += 12.0 + floor(sim_between(&s->gauge, 0.0, 12.0));
        }
        s->t_s += 45.0;
    }
    s->t_s += 660.0; /* on to the next zone */
}

/* --- TG-0417: memory, month-first dates, twelve-hour clock, mil --- */

static void add_moment(struct sample_text *text, double t_s) {
    long t = lround(t_s), h = t / 3600;
    sample_add(text, "05/13/2026 %02ld:%02ld:%02ld %s", (h + 11) % 12 + 1, t / 60 % 60, t % 60, h < 12 ? "AM" : "PM");
}

/* The inspector's own ways of naming a zone in the gauge. */
static const char *batch_name(const struct sample_zone *zone) {
    if (is(zone, "G2"))
        return "G 2";
    if (is(zone, "S3"))
        return "soffit E";
    if (is(zone, "ST"))
        return "Stair Stringers";
    return zone->code;
}

static void show_0417(struct sample_text *text, const struct sample_zone *zone, int area, int spot, double t_s,
                      double um) {
    add_moment(text, t_s);
    sample_add(text, ",%s,%d,%d,%.2f,mil,\n", batch_name(zone), area, spot, um / 25.4);
}

/* Now and then the probe did not sit: the display showed OL or nothing, and the reading was taken again. */
static void show_misses(struct sample_text *text, const struct sample_zone *zone, double t_s) {
    if (!is(zone, "G1") && !is(zone, "T4"))
        return;
    add_moment(text, t_s);
    sample_add(text, is(zone, "G1") ? ",G1,2,3,OL,mil,probe tilted\n" : ",T4,2,2,---,mil,\n");
}

/* Statistics that the gauge prints below its memory, over every reading in it. */
static void show_footer(struct sample_text *text, size_t from) {
    double sum = 0.0, least = INFINITY, most = -INFINITY;
    int n = 0;
    for (const char *line = text->data + from; line && *line;
         line = strchr(line, '\n') ? strchr(line, '\n') + 1 : NULL) {
        const char *p = line;
        for (int column = 0; column < 4 && p; column++)
            p = strchr(p, ',') ? strchr(p, ',') + 1 : NULL;
        double value;
        if (!p || sscanf(p, "%lf", &value) != 1)
            continue;
        sum += value;
        least = fmin(least, value);
        most = fmax(most, value);
        n++;
    }
    sample_add(text, "\nReadings,%d,,,,,\nMean,,,,%.2f,mil,\nMinimum,,,,%.2f,mil,\nMaximum,,,,%.2f,mil,\n", n,
               sum / n, least, most);
}

static size_t start_0417(struct sample_text *text, const char *when) {
    sample_add(text, "Gauge: coating thickness\nSerial number: TG-0417\nProbe: F2\nDownloaded: 05/13/2026 %s\n\n",
               when);
    sample_add(text, "Date and time,Zone,Area,Spot,Thickness,Unit,Remark\n");
    return text->n;
}

/* Survey order: the tank in the morning with both gauges, then the bridge. */
static bool write_0417(const struct sample_plan *plan, const char *dir) {
    struct sample_text noon = {0}, evening = {0}, one = {0};
    size_t noon_from = start_0417(&noon, "12:04 PM"), evening_from = start_0417(&evening, "03:41 PM");
    struct survey s = {.plan = plan, .gauge = sim_seed(SAMPLE_SEED, STREAM_GAUGE), .t_s = 8.0 * 3600 + 372};
    for (int z = 0; z < SAMPLE_ZONES; z++) {
        if (is(&plan->zones[z], "T3"))
            continue;
        one.n = 0;
        measure(&s, z, &one, show_0417);
        show_misses(&one, &plan->zones[z], s.t_s - 640.0);
        if (s.t_s < noon_download_s)
            sample_add(&noon, "%s", one.data);
        sample_add(&evening, "%s", one.data);
    }
    show_footer(&noon, noon_from);
    show_footer(&evening, evening_from);
    free(one.data);
    return sample_save(&noon, dir, "thickness/TG-0417 memory noon.csv", SAMPLE_UTF8_BOM, "\r\n") &&
           sample_save(&evening, dir, "thickness/TG-0417 memory evening.csv", SAMPLE_UTF8_BOM, "\r\n");
}

/* --- TG-0522: micrometres, no area or spot but where it measured, pipes --- */

static void show_0522(struct sample_text *text, const struct sample_zone *zone, int area, int spot, double t_s,
                      double um) {
    /* metres from the shell's lower edge and its first seam, five spots over an area of 2 m by 2 m */
    static const double along_m[] = {0.21, 1.04, 1.62, 0.55, 1.33}, across_m[] = {0.42, 1.13, 0.51, 1.58, 1.74};
    const double x_m = 0.35 + 2.4 * (area - 1) + along_m[spot - 1],
                 y_m = 0.30 + 0.18 * (area % 2) + across_m[spot - 1];
    long t = lround(t_s);
    sample_add(text, "2026-05-13 %02ld:%02ld:%02ld|%s|%.0f|%.2f|%.2f\n", t / 3600, t / 60 % 60, t % 60, zone->code,
               um, x_m, y_m);
}

static bool write_0522(const struct sample_plan *plan, const char *dir) {
    struct sample_text text = {0};
    sample_add(&text, "Serial: TG-0522\nTime|Zone|Thickness [\xC2\xB5m]|X [m]|Y [m]\n");
    struct survey s = {.plan = plan, .gauge = sim_seed(SAMPLE_SEED, STREAM_GAUGE + 1), .t_s = 8.0 * 3600 + 1140};
    for (int z = 0; z < SAMPLE_ZONES; z++)
        if (is(&plan->zones[z], "T3"))
            measure(&s, z, &text, show_0522);
    return sample_save(&text, dir, "thickness/TG-0522.csv", SAMPLE_UTF8, "\n");
}

/* --- verifications and base metal, kept by the inspector in a spreadsheet --- */

static bool write_verifications(const char *dir) {
    static const struct {
        const char *time, *serial;
        double certified, reading;
        const char *when;
    } rows[] = {
        {"07:48", "TG-0417", 4.98, 5.01, "before"}, {"07:49", "TG-0417", 10.05, 10.09, "before"},
        {"07:56", "TG-0522", 4.98, 5.04, "before"}, {"07:57", "TG-0522", 10.05, 10.12, "before"},
        {"09:25", "TG-0522", 4.98, 5.41, "after"},  {"09:26", "TG-0522", 10.05, 10.86, "after"},
        {"15:36", "TG-0417", 4.98, 5.00, "after"},  {"15:37", "TG-0417", 10.05, 10.11, "after"},
        {"16:02", "TG-0417", 4.98, 5.01, "before"}, {"16:03", "TG-0417", 10.05, 10.10, "before"},
        {"16:48", "TG-0417", 4.98, 5.01, "after"},  {"16:49", "TG-0417", 10.05, 10.11, "after"},
    };
    struct sample_text text = {0};
    sample_add(&text, "Date,Time,Gauge serial,Certified value (mil),Reading (mil),Before/after,Note\n");
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++)
        sample_add(&text, "2026-05-13,%s,%s,%.2f,%.2f,%s,certified shim on smooth steel\n", rows[i].time,
                   rows[i].serial, rows[i].certified, rows[i].reading, rows[i].when);
    return sample_save(&text, dir, "thickness/verifications.csv", SAMPLE_UTF8, "\r\n");
}

static bool write_base_metal(const struct sample_plan *plan, const char *dir) {
    struct sample_text text = {0};
    struct sim_rng rng = sim_seed(SAMPLE_SEED, STREAM_BASE_METAL);
    sample_add(&text, "Date,Time,Zone,Base metal reading (mil),Gauge serial\n");
    double t_s = 13.5 * 3600;
    for (int z = 0; z < SAMPLE_ZONES; z++)
        for (int i = 0; i < 10; i++) {
            long t = lround(t_s);
            double um = sample_base_metal_um(&plan->zones[z]) * (1.0 + sim_normal(&rng, 0.0, 0.10));
            sample_add(&text, "2026-05-10,%02ld:%02ld,%s,%.2f,TG-0417\n", t / 3600, t / 60 % 60, plan->zones[z].code,
                       um / 25.4);
            t_s += 35.0;
        }
    return sample_save(&text, dir, "thickness/base metal.csv", SAMPLE_UTF8, "\r\n");
}

bool sample_write_gauges(const struct sample_plan *plan, const char *dir) {
    return write_0417(plan, dir) && write_0522(plan, dir) && write_verifications(dir) && write_base_metal(plan, dir);
}
