/*
 * sample.h - the sample job: an invented footbridge and its header tank, two spraying shifts, one survey day.
 *
 * The plan (sample_plan.c) says what truly happened: zones, films, when each coat was sprayed, and the planted flaws.
 * The writers turn it into the exports that instruments and people would have left behind. The files in sample-data/
 * are exactly what sample_write gives; sample-data/flaws.csv names each flaw and how the report must show it.
 */
#ifndef TESTS_SUPPORT_SAMPLE_H
#define TESTS_SUPPORT_SAMPLE_H

#include "support/simulate.h"

#include <stdbool.h>

#define SAMPLE_FOLDER "alder-ford-footbridge" /* below sample-data/ */
#define SAMPLE_SEED 20260511U
#define SAMPLE_DAYS 2
#define SAMPLE_ZONES 17

/* Times are seconds after midnight on the site's wall clock; day 0 is 2026-05-11, day 1 the 12th, day 2 the 13th. */

enum sample_logger { SAMPLE_K8, SAMPLE_M4, SAMPLE_N3 };

struct sample_zone {
    const char *name, *code, *aliases;
    double area_ft2, steel_mm, profile_um;
    const char *substrate;
    double coat_mil; /* true mean film of each coat */
    double share[2]; /* of the heat that comes free, by coat */
    int passes;      /* a coat is built in so many passes */
    enum sample_logger logger;
    int channel;           /* from 1 */
    double steel_offset_k; /* of the steel from lagged air */
    double sun_k;          /* greatest warming by the sun */
    int areas, spots;      /* as measured: areas, spots in the last of them */
};

struct sample_window {
    int zone;
    double t0_s, t1_s;     /* true first and last trigger pull */
    double log0_s, log1_s; /* as written in the spray log */
    double hit_s;          /* material lands on the probe */
};

struct sample_shift {
    struct sample_window windows[SAMPLE_ZONES];
    double water_test_s, mix_check_s, start_s;
    double relieved_s[2], charged_s[2]; /* the two breaks */
    double end_s;
};

struct sample_plan {
    const struct sample_zone *zones;
    struct sample_shift shifts[SAMPLE_DAYS];
    struct sim_material material;
    struct sim_day climate[SAMPLE_DAYS];
};

/** sample_make_plan - the truth. */
void sample_make_plan(struct sample_plan *out);

/** sample_steel_c - true steel temperature of a zone, K of cold and heat of both coats included. */
double sample_steel_c(const struct sample_plan *plan, int zone, int day, double t_s);

/** sample_said_channel - the channel under which the job file has the zone: two probes were exchanged. */
int sample_said_channel(const struct sample_zone *zone);

/** sample_probes_move_s - when the probes of M4-031 are taken off the tank; ten minutes later they are on again. */
double sample_probes_move_s(const struct sample_shift *shift);

/* A text under construction, and how it is put on disk. */
struct sample_text {
    char *data;
    size_t n, cap;
};
enum sample_encoding { SAMPLE_UTF8, SAMPLE_UTF8_BOM, SAMPLE_UTF16LE_BOM, SAMPLE_CP1252 };

/** sample_add - append by printf format. sample_save - encode, write dir/path (folders are made), free the text;
 *  '\n' becomes line_end. Returns: true where all of it was written. */
void sample_add(struct sample_text *text, const char *format, ...) __attribute__((format(printf, 2, 3)));
bool sample_save(struct sample_text *text, const char *dir, const char *path, enum sample_encoding encoding,
                 const char *line_end);

/* The writers; each gives the files of one trade. */
bool sample_write_job(const struct sample_plan *plan, const char *dir);
bool sample_write_hand(const struct sample_plan *plan, const char *dir);
bool sample_write_gauges(const struct sample_plan *plan, const char *dir);
bool sample_write_climate(const struct sample_plan *plan, const char *dir);
bool sample_write_steel(const struct sample_plan *plan, const char *dir);
bool sample_write_lines(const struct sample_plan *plan, const char *dir);
bool sample_write_again(const struct sample_plan *plan, const char *dir);

/** sample_base_metal_um - what a gauge set on smooth steel shows on the zone's blasted steel. */
double sample_base_metal_um(const struct sample_zone *zone);

/** sample_write - the whole job below dir. Returns: true where every file was written. */
bool sample_write(const char *dir);

#endif
