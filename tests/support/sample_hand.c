/*
 * sample_hand.c - what people wrote on the sample job: job file, zone register, spray log, shift record, material
 * log.
 *
 * The spray log is typed from a notebook: the date stands in the first row of a day only, times have no seconds, and
 * the zone is spelt as it came to hand.
 *
 * Planted here: the job file has the two probes of girder 2 exchanged.
 */
#include "support/sample.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

/* --- job.milrise --- */

static void add_assignments(const struct sample_plan *plan, struct sample_text *text) {
    static const char *const n3_channel[] = {"", "A", "B"};
    sample_add(text, "[assign \"K8-117\"]\n");
    for (int channel = 1; channel <= 8; channel++)
        for (int z = 0; z < SAMPLE_ZONES; z++)
            if (plan->zones[z].logger == SAMPLE_K8 && sample_said_channel(&plan->zones[z]) == channel)
                sample_add(text, "Ch%d = %s\n", channel, plan->zones[z].name);
    sample_add(text, "\n# The probes moved from the tank shell to the small parts while the soffit was "
                     "sprayed.\n[assign \"M4-031\"]\n");
    for (int day = 0; day < SAMPLE_DAYS; day++) {
        long off = lround(sample_probes_move_s(&plan->shifts[day])), on = off + 600;
        bool moved[5] = {false};
        for (int z = 0; z < SAMPLE_ZONES; z++) {
            int channel = plan->zones[z].channel;
            if (plan->zones[z].logger != SAMPLE_M4)
                continue;
            if (!moved[channel])
                sample_add(text, "P%d = %s, 2026-05-%02d 07:15 .. 2026-05-%02d %02ld:%02ld\n", channel,
                           plan->zones[z].name, 11 + day, 11 + day, off / 3600, off / 60 % 60);
            else
                sample_add(text, "P%d = %s, 2026-05-%02d %02ld:%02ld .. 2026-05-%02d 16:00\n", channel,
                           plan->zones[z].name, 11 + day, on / 3600, on / 60 % 60, 11 + day);
            moved[channel] = true;
        }
    }
    sample_add(text, "\n[assign \"N3-208\"]\n");
    for (int z = 0; z < SAMPLE_ZONES; z++)
        if (plan->zones[z].logger == SAMPLE_N3)
            sample_add(text, "%s = %s\n", n3_channel[plan->zones[z].channel], plan->zones[z].name);
    sample_add(text, "GUN = gun\n");
}

static const char job_head[] =
    "# An invented job: a footbridge and the tank beside it. Every figure comes from a simulation.\n"
    "\n"
    "[job]\n"
    "name = Alder Ford footbridge and header tank\n"
    "site = Alder Ford, river crossing at the pump house\n"
    "contract = sample 1\n"
    "crew = one sprayer, one pump operator, one inspector\n"
    "time zone = America/Chicago\n"
    "dates = 2026-05-10 .. 2026-05-13\n"
    "\n"
    "[report]\n"
    "units = US\n"
    "revision = 1\n"
    "\n"
    "[thickness]\n"
    "minimum = 8 mil\n"
    "maximum = 12 mil\n"
    "rules = restriction-level-3\n"
    "# Both gauges were set on smooth steel; the readings on the blasted steel come off.\n"
    "correction = base metal\n"
    "# From the supplier's data sheet; the sprayer's wet film then forecasts the dry film.\n"
    "wet to dry ratio = 1.02\n"
    "\n"
    "[climate]\n"
    "dew-point spread minimum = 5 degF\n"
    "humidity maximum = 85 %\n"
    "air minimum = 45 degF\n"
    "steel minimum = 45 degF\n"
    "lead time = 10 min\n"
    "cure time = 30 min\n"
    "\n"
    "[reaction]\n"
    "rise minimum = 8 degF\n"
    "rise maximum = 10 degF\n"
    "band for steel = 4 mm\n"
    "\n"
    "[lines]\n"
    "main minimum = 80 psi\n"
    "main maximum = 90 psi\n"
    "imbalance maximum = 10 %\n"
    "pause maximum = 5 min\n"
    "\n"
    "[material]\n"
    "required = yes\n"
    "ratio = 1\n"
    "ratio tolerance = 5 %\n"
    "\n"
    "[shift record]\n"
    "items = hoses inspected, water leak test, part sides marked, steel accepted, gun stripped\n"
    "\n"
    "[disposition \"Deck soffit west\"]\n"
    "decision = accept as is\n"
    "by = engineer\n"
    "when = 2026-05-13 17:10\n"
    "why = the supplier allows this film on a soffit that nobody walks on\n"
    "\n"
    "[instrument \"TG-0417\"]\n"
    "certificate = 2026-0112\n"
    "certified until = 2027-01-31\n"
    "\n"
    "[instrument \"TG-0522\"]\n"
    "certificate = 2026-0113\n"
    "certified until = 2027-01-31\n"
    "\n"
    "[instrument \"HY-2210\"]\n"
    "files = climate/HY-2210*.csv\n"
    "\n"
    "[instrument \"HY-2231\"]\n"
    "files = climate/HY-2231*.csv\n"
    "zones = T1, T2, T3, T4, T5\n"
    "\n"
    "[instrument \"PL-31\"]\n"
    "files = lines/*.csv\n"
    "\n"
    "[instrument \"K8-117\"]\n"
    "files = steel/K8-117*.csv\n"
    "\n"
    "[instrument \"M4-031\"]\n"
    "files = steel/M4_*.csv\n"
    "\n"
    "[instrument \"N3-208\"]\n"
    "files = steel/N3-208*.csv\n"
    "\n";

bool sample_write_job(const struct sample_plan *plan, const char *dir) {
    struct sample_text text = {0};
    sample_add(&text, "%s", job_head);
    add_assignments(plan, &text);
    return sample_save(&text, dir, "job.milrise", SAMPLE_UTF8, "\n");
}

/* --- registers --- */

static void add_zones(const struct sample_plan *plan, struct sample_text *text) {
    sample_add(text, "Zone,Aliases,Area (ft2),Substrate,Steel thickness (mm),Surface grade,Profile (um),Coats\n");
    for (int z = 0; z < SAMPLE_ZONES; z++) {
        const struct sample_zone *zone = &plan->zones[z];
        sample_add(text, "%s,%s; %s,%.0f,%s,%.0f,Sa 2 1/2,%.0f,2\n", zone->name, zone->code, zone->aliases,
                   zone->area_ft2, zone->substrate, zone->steel_mm, zone->profile_um);
    }
}

/* --- spray log --- */

/* The same zone in the hands of different people. */
static void add_spelling(struct sample_text *text, const struct sample_zone *zone, int way) {
    if (way == 0)
        sample_add(text, "%s", zone->name);
    else if (way == 1)
        sample_add(text, "%s", zone->code);
    else if (way == 2)
        sample_add(text, "%c %s", tolower((unsigned char)zone->code[0]), zone->code + 1);
    else
        for (const char *p = zone->name; *p; p++)
            sample_add(text, "%c", toupper((unsigned char)*p));
}

static void add_clock(struct sample_text *text, double t_s) {
    long t = lround(t_s);
    sample_add(text, "%ld:%02ld", t / 3600, t / 60 % 60);
}

struct log_row {
    struct sample_text *text;
    int day;
    bool dated; /* the day's date has been written */
};

/* Date and what was done; a blank date repeats the one above. */
static void begin_row(struct log_row *row, const char *action) {
    if (!row->dated)
        sample_add(row->text, "2026-05-%02d", 11 + row->day);
    row->dated = true;
    sample_add(row->text, ",%s,", action);
}

static void add_action(struct log_row *row, const char *action, double t0_s, double t1_s, const char *note) {
    begin_row(row, action);
    sample_add(row->text, ",,");
    add_clock(row->text, t0_s);
    sample_add(row->text, ",");
    add_clock(row->text, t1_s);
    sample_add(row->text, ",,,,,pump operator,%s\n", note);
}

static void add_day(const struct sample_plan *plan, struct sample_text *text, int day) {
    const struct sample_shift *shift = &plan->shifts[day];
    struct log_row row = {text, day, false};
    add_action(&row, "water test", shift->water_test_s, shift->water_test_s + 360, "no leaks at 30 psi");
    add_action(&row, "mix check", shift->mix_check_s, shift->mix_check_s + 60, "coupon warm");
    for (int i = 0, rest = 0; i < SAMPLE_ZONES; i++) {
        const struct sample_window *w = &shift->windows[i];
        if (rest < 2 && w->t0_s > shift->charged_s[rest]) {
            add_action(&row, "relieve", shift->relieved_s[rest], shift->relieved_s[rest] + 60,
                       "lines relieved for the break");
            rest++;
        }
        begin_row(&row, "spray");
        add_spelling(text, &plan->zones[w->zone], (w->zone + 2 * day) % 4);
        sample_add(text, ",%d,", 1 + day);
        add_clock(text, w->log0_s);
        sample_add(text, ",");
        add_clock(text, w->log1_s);
        sample_add(text, ",%s,A26-118,B26-094,36,sprayer,%s\n", day == 0 ? "left to right" : "bottom to top",
                   day == 1 && i == SAMPLE_ZONES - 2 ? "stopped to look for the next scaffold bay" : "");
    }
    add_action(&row, "relieve", shift->end_s, shift->end_s + 60, "");
    add_action(&row, "clean-out", shift->end_s + 600, shift->end_s + 2400, "gun and hoses flushed");
}

/* --- shift record --- */

static void add_shift_record(struct sample_text *text) {
    static const char *const item[][3] = {
        {"hoses inspected", "pump operator", ""},
        {"water leak test", "pump operator", "30 psi for 6 minutes"},
        {"part sides marked", "pump operator", "A and B kept to their own sides"},
        {"steel accepted", "inspector", "grade and flash rust looked at"},
        {"gun stripped", "sprayer", "wear parts looked at"},
    };
    sample_add(text, "Date,Item,Done,By role,Note\n");
    for (int day = 0; day < SAMPLE_DAYS; day++)
        for (size_t i = 0; i < sizeof item / sizeof item[0]; i++)
            sample_add(text, "2026-05-%02d,%s,yes,%s,%s\n", 11 + day, item[i][0], item[i][1], item[i][2]);
}

/* --- material log --- */

/* Gallons of mixed material that a coat over every zone takes, a fifth of it lost. */
static double gallons(const struct sample_plan *plan) {
    double mil_ft2 = 0.0;
    for (int z = 0; z < SAMPLE_ZONES; z++)
        mil_ft2 += plan->zones[z].area_ft2 * plan->zones[z].coat_mil;
    return mil_ft2 / 1604.1667 / 0.8;
}

static void add_material(const struct sample_plan *plan, struct sample_text *text) {
    double used[2] = {0.505 * gallons(plan), 0.495 * gallons(plan)}; /* of A and B, by day */
    static const char *const lot[] = {"A26-118", "B26-094"};
    sample_add(text, "Date,Time,Part,Drum,Lot,Level before (gal),Level after (gal),Note\n");
    for (int day = 0; day < SAMPLE_DAYS; day++)
        for (int part = 0; part < 2; part++) {
            double before = 50.0 - day * used[part];
            sample_add(text, "2026-05-%02d,13:30,%c,%c-drum 1,%s,%.2f,%.2f,dipped\n", 11 + day, 'A' + part,
                       'A' + part, lot[part], before, before - used[part]);
        }
}

bool sample_write_hand(const struct sample_plan *plan, const char *dir) {
    struct sample_text zones = {0}, spray = {0}, shift = {0}, material = {0};
    add_zones(plan, &zones);
    sample_add(&spray, "Date,Action,Zone,Coat,Start,Stop,Direction,Lot A,Lot B,Gun distance (in),Role,Remarks\n");
    for (int day = 0; day < SAMPLE_DAYS; day++)
        add_day(plan, &spray, day);
    sample_add(&spray, "2026-05-13,repair,Tank legs,,15:42,15:54,,A26-118,B26-094,,sprayer,area 2 built up\n");
    add_shift_record(&shift);
    add_material(plan, &material);
    return sample_save(&zones, dir, "zones.csv", SAMPLE_UTF8, "\r\n") &&
           sample_save(&spray, dir, "spray log.csv", SAMPLE_UTF8, "\r\n") &&
           sample_save(&shift, dir, "shift record.csv", SAMPLE_UTF8, "\r\n") &&
           sample_save(&material, dir, "material log.csv", SAMPLE_UTF8, "\r\n");
}
