/*
 * sample_again.c - what was measured besides the survey: the wet film while two coats were sprayed, and, when the
 * survey was over, what was measured again.
 *
 * Planted here: G3 was measured once more without any repair and looks better, which closes nothing; the second area
 * of T5, thin at first, was repaired and measured again; the gauge's Type column marks two readings on bare steel;
 * the sprayer's notched gauge gives wet film, which is no dry film.
 */
#include "support/sample.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { STREAM_AGAIN = 420, STREAM_WET = 440 };

static const struct sample_zone *zone_of(const struct sample_plan *plan, const char *code, int *z) {
    for (*z = 0; strcmp(plan->zones[*z].code, code) != 0;)
        ++*z;
    return &plan->zones[*z];
}

static void add_row(struct sample_text *text, double t_s, const char *zone, int area, int spot, double mil,
                    const char *type) {
    long t = lround(t_s), h = t / 3600;
    sample_add(text, "05/13/2026 %02ld:%02ld:%02ld %s,%s,%d,%d,%.2f,mil,%s\n", (h + 11) % 12 + 1, t / 60 % 60, t % 60,
               h < 12 ? "AM" : "PM", zone, area, spot, mil, type);
}

/* Five spots of three readings over one area whose film is mean_mil. */
static void add_area(struct sample_text *text, struct sim_rng *rng, const struct sample_zone *zone, int area,
                     double mean_mil, double *t_s) {
    for (int spot = 1; spot <= 5; spot++) {
        double spot_um = mean_mil * 25.4 * (1.0 + sim_normal(rng, 0.0, 0.022));
        for (int i = 0; i < 3; i++) {
            add_row(text, *t_s, zone->code, area, spot,
                    sim_gauge_um(rng, spot_um, sample_base_metal_um(zone), 0.004, 0.012) / 25.4, "coating");
            *t_s += 3.0 + floor(sim_between(rng, 0.0, 4.0));
        }
        *t_s += 12.0 + floor(sim_between(rng, 0.0, 12.0));
    }
}

static bool write_second_survey(const struct sample_plan *plan, const char *dir) {
    struct sample_text text = {0};
    struct sim_rng rng = sim_seed(SAMPLE_SEED, STREAM_AGAIN);
    int z;
    sample_add(&text,
               "Gauge: coating thickness\nSerial number: TG-0417\nProbe: F2\nDownloaded: 05/13/2026 04:52 PM\n\n"
               "Date and time,Zone,Area,Spot,Thickness,Unit,Type\n");
    double t_s = 16.0 * 3600 + 431;
    const struct sample_zone *g3 = zone_of(plan, "G3", &z);
    for (int i = 0; i < 2; i++, t_s += 20.0)
        add_row(&text, t_s, g3->code, 1, 1, 0.61 + 0.03 * i, "bare steel");
    t_s += 60.0;
    for (int area = 1; area <= 3; area++, t_s += 45.0)
        add_area(&text, &rng, g3, area, 8.4, &t_s);
    const struct sample_zone *t5 = zone_of(plan, "T5", &z);
    t_s += 420.0;
    add_area(&text, &rng, t5, 2, 2.0 * t5->coat_mil, &t_s);
    return sample_save(&text, dir, "thickness/TG-0417 second survey.csv", SAMPLE_UTF8_BOM, "\r\n");
}

/* A notched gauge shows steps of half a mil; the film hardly shrinks. */
static bool write_wet_film(const struct sample_plan *plan, const char *dir) {
    static const char *const codes[] = {"G1", "S3", "X1"};
    struct sample_text text = {0};
    struct sim_rng rng = sim_seed(SAMPLE_SEED, STREAM_WET);
    sample_add(&text, "Date,Time,Zone,Coat,WFT (mil),Role\n");
    for (size_t i = 0; i < sizeof codes / sizeof codes[0]; i++) {
        int z;
        const struct sample_zone *zone = zone_of(plan, codes[i], &z);
        const struct sample_window *w = &plan->shifts[0].windows[z];
        for (int k = 0; k < 4; k++) {
            long t = lround(w->t0_s + (w->t1_s - w->t0_s) * (k + 1) / 5.0);
            double mil = zone->coat_mil * 1.02 * (1.0 + sim_normal(&rng, 0.0, 0.04));
            sample_add(&text, "2026-05-11,%02ld:%02ld,%s,1,%.1f,sprayer\n", t / 3600, t / 60 % 60, zone->code,
                       floor(mil * 2.0 + 0.5) / 2.0);
        }
    }
    return sample_save(&text, dir, "wet film.csv", SAMPLE_UTF8, "\r\n");
}

bool sample_write_again(const struct sample_plan *plan, const char *dir) {
    return write_second_survey(plan, dir) && write_wet_film(plan, dir);
}
