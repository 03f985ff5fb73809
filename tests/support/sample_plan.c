/*
 * sample_plan.c - what truly happened on the sample job.
 *
 * Crew and probes: each zone's probe sits at the corner where the sprayer begins, so material lands on it a few
 * seconds after the first trigger pull. A coat is about 5 mil; its heat warms 4 mm of steel by nearly 5 K (9 degF).
 *
 * Planted here: G3 thin, S1 over-thick, S2 without reaction in coat 2, X1 with a seventh of its heat missing in both
 * coats, T1 with cold water behind the shell on the first day, and on the second day a nine-minute stop between H1
 * and T5 in which nobody relieved the lines. Flaws of the instruments are planted by the writers.
 */
#include "support/sample.h"

#include <math.h>
#include <string.h>

enum { T1, T2, T3, T4, G1, G2, G3, G4, S1, S2, S3, X1, A1, ST, H2, H1, T5 };

static const struct sample_zone zones[SAMPLE_ZONES] = {
    [T1] = {"Tank shell north",
            "T1",
            "T-1; shell N",
            290,
            6,
            60,
            "carbon steel plate",
            5.00,
            {1, 1},
            1,
            SAMPLE_M4,
            1,
            -0.2,
            0.0,
            3,
            5},
    [T2] = {"Tank shell south",
            "T2",
            "T-2; shell S",
            1150,
            6,
            60,
            "carbon steel plate",
            4.95,
            {1, 1},
            1,
            SAMPLE_M4,
            2,
            0.4,
            1.5,
            4,
            5},
    [T3] = {"Tank shell east",
            "T3",
            "T-3; shell E",
            290,
            6,
            60,
            "carbon steel plate",
            5.05,
            {1, 1},
            1,
            SAMPLE_M4,
            3,
            0.3,
            1.0,
            3,
            5},
    [T4] = {"Tank roof",
            "T4",
            "T-4; roof",
            420,
            4,
            60,
            "carbon steel plate",
            5.05,
            {1, 1},
            1,
            SAMPLE_M4,
            4,
            0.5,
            2.0,
            2,
            2},
    [G1] = {"Girder 1 outer web",
            "G1",
            "G-1",
            280,
            8,
            65,
            "carbon steel web",
            4.95,
            {1, 1},
            1,
            SAMPLE_K8,
            1,
            0.5,
            2.0,
            3,
            5},
    [G2] = {"Girder 1 inner web",
            "G2",
            "G-2",
            280,
            8,
            65,
            "carbon steel web",
            4.85,
            {1, 1},
            1,
            SAMPLE_K8,
            2,
            0.0,
            0.0,
            3,
            5},
    [G3] = {"Girder 2 outer web",
            "G3",
            "G-3",
            280,
            8,
            65,
            "carbon steel web",
            3.45,
            {1, 1},
            1,
            SAMPLE_K8,
            3,
            0.3,
            1.0,
            3,
            5},
    [G4] = {"Girder 2 inner web",
            "G4",
            "G-4",
            280,
            8,
            65,
            "carbon steel web",
            4.90,
            {1, 1},
            1,
            SAMPLE_K8,
            4,
            0.0,
            0.0,
            3,
            5},
    [S1] = {"Deck soffit west",
            "S1",
            "S-1; soffit W",
            340,
            6,
            60,
            "carbon steel plate",
            7.25,
            {1, 1},
            2,
            SAMPLE_K8,
            5,
            -0.2,
            0.0,
            3,
            5},
    [S2] = {"Deck soffit middle",
            "S2",
            "S-2; soffit M",
            340,
            6,
            60,
            "carbon steel plate",
            5.05,
            {1, 0.04},
            1,
            SAMPLE_K8,
            6,
            -0.2,
            0.0,
            3,
            5},
    [S3] = {"Deck soffit east",
            "S3",
            "S-3; soffit E",
            340,
            6,
            60,
            "carbon steel plate",
            5.10,
            {1, 1},
            1,
            SAMPLE_K8,
            7,
            -0.2,
            0.0,
            3,
            5},
    [X1] = {"Cross beams",
            "X1",
            "X-1; x beams",
            460,
            5,
            60,
            "carbon steel section",
            5.75,
            {0.85, 0.85},
            1,
            SAMPLE_K8,
            8,
            0.0,
            0.0,
            3,
            5},
    [A1] = {"Abutment plates",
            "A1",
            "A-1; bearing plates",
            88,
            10,
            70,
            "carbon steel plate",
            4.90,
            {1, 1},
            1,
            SAMPLE_N3,
            1,
            -0.5,
            0.0,
            1,
            5},
    [ST] = {"Stair stringers",
            "ST",
            "stringers",
            210,
            6,
            60,
            "carbon steel section",
            5.00,
            {1, 1},
            1,
            SAMPLE_N3,
            2,
            0.3,
            0.5,
            3,
            5},
    [H2] = {"Handrail posts south",
            "H2",
            "H-2; posts S",
            120,
            3,
            50,
            "carbon steel tube",
            5.35,
            {1, 1},
            1,
            SAMPLE_M4,
            3,
            0.4,
            1.0,
            2,
            5},
    [H1] = {"Handrail posts north",
            "H1",
            "H-1; posts N",
            120,
            3,
            50,
            "carbon steel tube",
            5.30,
            {1, 1},
            1,
            SAMPLE_M4,
            2,
            0.2,
            0.5,
            2,
            5},
    [T5] = {"Tank legs",
            "T5",
            "T-5; legs",
            160,
            5,
            60,
            "carbon steel tube",
            5.05,
            {1, 1},
            1,
            SAMPLE_M4,
            1,
            0.0,
            0.0,
            2,
            5},
};

/* Zones in the order in which they are sprayed; a break with relieved lines stands after T4 and after X1. */
static void make_shift(struct sim_rng *rng, int day, struct sample_shift *shift) {
    double t_s = 8 * 3600.0;
    shift->water_test_s = t_s - 35 * 60.0;
    shift->mix_check_s = t_s - 14 * 60.0;
    shift->start_s = t_s;
    for (int z = 0; z < SAMPLE_ZONES; z++) {
        struct sample_window *w = &shift->windows[z];
        double minutes = 3.0 + ceil(zones[z].area_ft2 / 120.0);
        w->zone = z;
        w->log0_s = t_s;
        w->log1_s = t_s + 60.0 * minutes;
        w->t0_s = w->log0_s + floor(sim_between(rng, 2.0, 12.0));
        w->t1_s = w->log1_s - floor(sim_between(rng, 3.0, 25.0));
        w->hit_s = w->t0_s + sim_between(rng, 6.0, 18.0);
        t_s = w->log1_s + 60.0 * (z % 3 == 1 ? 4.0 : 3.0);
        if (z == T4 || z == X1) {
            int i = z == X1;
            shift->relieved_s[i] = w->t1_s + 75.0;
            t_s = w->log1_s + (z == T4 ? 40.0 : 25.0) * 60.0;
            shift->charged_s[i] = t_s - 30.0;
        }
        if (z == H1 && day == 1)
            t_s = w->log1_s + 9 * 60.0; /* the stop with charged lines */
    }
    shift->end_s = shift->windows[SAMPLE_ZONES - 1].t1_s + 90.0;
}

void sample_make_plan(struct sample_plan *out) {
    *out = (struct sample_plan){
        .zones = zones,
        .material = {.density_kg_m3 = 1900, .heat_capacity_j_kgk = 1000, .heat_j_kg = 320e3, .k_per_s = 0.02},
        .climate = {{.low_c = 10.5, .high_c = 22.0, .dew_c = 7.8, .dew_slope_k_h = 0.15},
                    {.low_c = 11.5, .high_c = 24.0, .dew_c = 8.6, .dew_slope_k_h = 0.10}},
    };
    for (int day = 0; day < SAMPLE_DAYS; day++) {
        struct sim_rng rng = sim_seed(SAMPLE_SEED, 1 + (uint64_t)day);
        make_shift(&rng, day, &out->shifts[day]);
    }
}

double sample_probes_move_s(const struct sample_shift *shift) {
    return floor((shift->windows[S1].t0_s + 60.0) / 60.0) * 60.0;
}

/* Heat of the coats sprayed on that day; the film of the day before only adds to the heat capacity. */
static double coat_rise_k(const struct sample_plan *plan, int z, int day, double t_s) {
    const struct sample_zone *zone = &plan->zones[z];
    const double um = zone->coat_mil * 25.4;
    struct sim_rng rng = sim_seed(SAMPLE_SEED, 100 + (uint64_t)(z * SAMPLE_DAYS + day));
    struct sim_pass pass[3] = {{-1e5, day * um, 0.0}};
    double here = sim_normal(&rng, 1.0, 0.012); /* film where the probe sits, of the zone's mean */
    for (int p = 0; p < zone->passes; p++)
        pass[1 + p] = (struct sim_pass){plan->shifts[day].windows[z].hit_s + 70.0 * p, um * here / zone->passes,
                                        zone->share[day]};
    struct sim_steel steel = {.thickness_mm = zone->steel_mm, .h_w_m2k = 10.0};
    return sim_rise_of(&plan->material, &steel, pass, 1 + (size_t)zone->passes, t_s);
}

int sample_said_channel(const struct sample_zone *zone) {
    bool exchanged = zone->logger == SAMPLE_K8 && (zone->channel == 3 || zone->channel == 4);
    return exchanged ? 7 - zone->channel : zone->channel;
}

/* Broken cloud on the second morning: what the shade takes from sunlit steel, a first-order store. Each cloud takes
 * two thirds of the sun; its edge needs half a minute. The roof lies in the sun; walls see little of it so early. */
static double cloud_k(const struct sample_zone *zone, double t_s) {
    static const double cloud_min[][2] = {{496, 501}, {507, 511}, {514, 517.6}, {522, 527}, {532, 537}, {543, 549}};
    const double full_k = (zone == &zones[T4] ? 6.0 : 0.5) * zone->sun_k, tau_s = 240.0 * zone->steel_mm,
                 edge_s = 30.0;
    enum { PARTS = 10 };
    double sum = 0.0;
    for (size_t i = 0; i < sizeof cloud_min / sizeof cloud_min[0]; i++)
        for (int side = 0; side < 2; side++)
            for (int part = 0; part < PARTS; part++) {
                double since_s = t_s - 60.0 * cloud_min[i][side] - edge_s * part / PARTS;
                if (since_s > 0.0)
                    sum += (side ? 1.0 : -1.0) / PARTS * (1.0 - exp(-since_s / tau_s));
            }
    return 0.67 * full_k * sum;
}

double sample_steel_c(const struct sample_plan *plan, int z, int day, double t_s) {
    const struct sample_zone *zone = &plan->zones[z];
    const struct sim_day *climate = &plan->climate[day];
    double base_c = sim_air_c(climate, t_s - 1200.0) + zone->steel_offset_k;
    double hour = t_s / 3600.0;
    if (hour > 8.0 && hour < 14.0) {
        double wave = sin(3.14159265358979 * (hour - 8.0) / 6.0);
        base_c += zone->sun_k * wave * wave;
    }
    if (day == 1)
        base_c += cloud_k(zone, t_s);
    if (z == T1 && day == 0) /* cold water stands behind the shell */
        base_c = sim_dew_c(climate, t_s) + 2.1;
    return base_c + coat_rise_k(plan, z, day, t_s);
}
