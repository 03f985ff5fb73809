/*
 * heat_sites.c - what the judgement of heat says on simulated sites in each weather. Printed by `make heat-sites`:
 * arguments: sites per class (default 60), first seed (default 1), "v" to print what is not right, one weather.
 * SITE_ALL: over the whole range of steel, film and sampling; SITE_AGAIN="3 20": a second coat 3 to 20 min after the
 * first.
 */
#include "support/heat_site_judge.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static void print_faults(const struct site_score *s) {
    for (size_t f = 0; f < SITE_FAULTS; f++)
        printf("    %-16s right %4zu, not shown %4zu, wrong %4zu\n", site_fault_text[f], s->by_fault[f][0],
               s->by_fault[f][1], s->by_fault[f][2]);
}

static void print_row(const char *name, const struct site_score *s, double sites) {
    double n = (double)s->coats, healthy = (double)s->healthy, sick = n - healthy;
    printf("%-26s %6.0f %6zu %7.1f %7.1f %6.2f %8.1f %8.1f %7zu %9.1f %8.3f\n", name, sites, s->coats,
           100.0 * (double)s->healthy_right / healthy,
           100.0 * (double)(s->healthy - s->healthy_right - s->healthy_wrong) / healthy, 100.0 * (double)s->wrong / n,
           100.0 * (double)(s->right - s->healthy_right) / sick, 100.0 * (double)(s->wrong - s->healthy_wrong) / sick,
           s->passed, site_coverage_pct(s), s->sum_centre / (double)s->placed);
    fflush(stdout);
}

int main(int argc, char **argv) {
    size_t sites = argc > 1 ? strtoul(argv[1], NULL, 10) : 60;
    uint64_t seed = argc > 2 ? strtoull(argv[2], NULL, 10) : 1;
    const char *again = getenv("SITE_AGAIN");
    bool verbose = argc > 3 && argv[3][0] == 'v';
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    printf("%-26s %6s %6s %7s %7s %6s %8s %8s %7s %9s %8s\n", "weather", "sites", "coats", "healthy", "not", "wrong",
           "faults", "faults", "faults", "95 %", "rise /");
    printf("%-26s %6s %6s %7s %7s %6s %8s %8s %7s %9s %8s\n", "", "", "", "right %", "shown %", "%", "right %",
           "wrong %", "pass", "holds %", "centre");
    for (int w = 0; w < SITE_WEATHERS; w++)
        for (int reference = 1; reference >= 0; reference--) {
            if (argc > 4 && atoi(argv[4]) != w)
                continue;
            struct site_score score = {0};
            for (size_t i = 0; i < sites; i++) {
                struct site_plan plan = {.seed = seed + i,
                                         .weather = (enum site_weather)w,
                                         .reference = reference,
                                         .ordinary = getenv("SITE_ALL") == NULL,
                                         .faulty_share = 0.4};
                if (again && sscanf(again, "%lf %lf", &plan.again_s[0], &plan.again_s[1]) == 2) {
                    plan.again_s[0] *= 60.0;
                    plan.again_s[1] *= 60.0;
                }
                site_add(arena, site_make(arena, &plan), verbose, &score);
                mr_arena_reset(arena);
            }
            char name[64];
            snprintf(name, sizeof name, "%s%s", site_weather_text[w], reference ? ", reference" : "");
            print_row(name, &score, (double)sites);
            if (verbose)
                print_faults(&score);
        }
    mr_arena_free(arena);
    return 0;
}
