/*
 * test_prop_lines.c - planted faults of the lines, over seeded windows of a simulated pump: found, missed, false.
 *
 * A window is typed to the minute, so spraying begins and ends up to 55 s inside it; every second window begins with
 * relieved lines. The pump strokes, the trigger is let go at each turn, the balance wanders, gauges are noisy
 * (simulate.h, which shares no code with milrise). The faults are common practice's: no published figures exist for
 * them.
 */
#include "assess/lines/line_scan.h"
#include "support/simulate.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>

enum { RUNS = 300, WINDOW_S = 600, LEAD_S = 120, N = WINDOW_S + 2 * LEAD_S };

static const struct mr_line_limits defaults = {.main_min_kpa = 551.58,
                                               .main_max_kpa = 620.53,
                                               .imbalance_pct = 10,
                                               .dropout_pct = 50,
                                               .surge_pct = 130,
                                               .relieved_kpa = 68.95,
                                               .event_ms = 3000,
                                               .gap_ms = 30000,
                                               .settle_ms = 10000,
                                               .pause_ms = 60000};

struct row {
    const char *name;
    double length_s, factor;
    bool both;
    int kind; /* an event of this kind must be found; -1: none of any kind */
    char line;
    int least_found, most_false; /* of RUNS windows */
};

/* One window in seconds from its start at 0; the fault begins at *out_at. */
static struct mr_line_result play(struct mr_arena *arena, const struct row *row, uint64_t seed, double *out_at) {
    struct sim_rng rng = sim_seed(31, seed);
    double begins = sim_between(&rng, 0, 55), ends = WINDOW_S - sim_between(&rng, 0, 55),
           at = sim_between(&rng, 120, 420);
    bool relieved = seed % 2 == 0;
    const struct sim_phase phases[] = {{-LEAD_S, relieved ? SIM_RELIEVED : SIM_CHARGED},
                                       {begins, SIM_SPRAY},
                                       {ends, relieved ? SIM_RELIEVED : SIM_CHARGED}};
    const struct sim_fault faults[] = {{at, at + row->length_s, 'A', row->factor},
                                       {at, at + row->length_s, 'B', row->factor}};
    const struct sim_lines plan = {phases, 3, faults, row->both ? 2 : row->length_s > 0 ? 1 : 0};
    struct sim_pressure *log = MR_ARRAY(arena, struct sim_pressure, N);
    sim_pressure_log(&rng, &plan, -LEAD_S, N, log);
    int64_t *t = MR_ARRAY(arena, int64_t, N);
    double *v[3];
    for (size_t k = 0; k < 3; k++)
        v[k] = MR_ARRAY(arena, double, N);
    for (size_t i = 0; i < N; i++) {
        t[i] = ((int64_t)i - LEAD_S) * 1000;
        v[0][i] = log[i].a_kpa;
        v[1][i] = log[i].b_kpa;
        v[2][i] = log[i].main_kpa;
    }
    const struct mr_track a = {.n = N, .t_utc_ms.raw = t, .value.raw = v[0]},
                          b = {.n = N, .t_utc_ms.raw = t, .value.raw = v[1]},
                          main_line = {.n = N, .t_utc_ms.raw = t, .value.raw = v[2]};
    struct mr_line_work work = {.arena = arena};
    struct mr_line_result r;
    mr_line_scan(&work, &a, &b, &main_line, 0, WINDOW_S * 1000, &defaults, &r);
    *out_at = at;
    return r;
}

static void run(const struct row *row) {
    int found = 0, wrong = 0;
    for (uint64_t seed = 1; seed <= RUNS; seed++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        double at;
        struct mr_line_result r = play(arena, row, seed, &at);
        bool seen = false, other = r.ripple_a_pct > 5 || r.ripple_b_pct > 5;
        for (size_t i = 0; i < r.events.n; i++) {
            const struct mr_line_event *e = &r.events.v[i];
            bool there = (double)e->t0_ms / 1000 >= at - 3 && (double)e->t1_ms / 1000 <= at + row->length_s + 5;
            bool mine = (int)e->kind == row->kind && there && (e->line == row->line || row->line == 0);
            seen |= mine;
            other |= !mine;
        }
        found += seen;
        wrong += other;
        mr_arena_free(arena);
    }
    printf("%-34s found %3d of %d, windows with anything else %d\n", row->name, found, RUNS, wrong);
    cr_expect_geq(found, row->least_found, "%s: found %d", row->name, found);
    cr_expect_leq(wrong, row->most_false, "%s: %d windows with anything else", row->name, wrong);
}

Test(prop_lines, planted_faults_are_found_and_sound_windows_raise_nothing, .timeout = 60) {
    static const struct row rows[] = {
        {"sound", 0, 1, false, -1, 0, 0, 0},
        {"dropout of A, 10 s", 10, 0.2, false, MR_LINE_DROPOUT, 'A', RUNS, 0},
        {"dropout of A, 6 s", 6, 0.2, false, MR_LINE_DROPOUT, 'A', RUNS, 0},
        {"A dips to 80 %, 1 s", 1, 0.8, false, -1, 0, 0, 0},
        {"both lines down, 20 s", 20, 0.1, true, MR_LINE_BOTH_DOWN, '+', RUNS, 0},
        {"both lines down, 120 s", 120, 0.05, true, MR_LINE_PAUSE, '+', RUNS, 0},
        {"surge of A by half, 10 s", 10, 1.5, false, MR_LINE_SURGE, 'A', RUNS, 0},
        {"A starved to 80 %, 20 s", 20, 0.8, false, MR_LINE_IMBALANCE, 'A', RUNS, 0},
        {"A starved to 95 %, 20 s", 20, 0.95, false, -1, 0, 0, 0},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++)
        run(&rows[i]);
}
