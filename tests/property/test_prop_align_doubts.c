/*
 * Wrong clocks, dates and places planted in seeded jobs: each is named, and nothing is where nothing was planted. The
 * figures are the share of jobs; the thresholds behind them are a project decision, so the bars are ours too (common
 * practice, no source).
 */
#include "support/sim_align.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct plant {
    const char *name;
    enum mr_doubt_kind kind;
    const char *who; /* part of the doubt's subject; NULL: nothing is planted */
    double off_s;    /* expected, within ten minutes; NaN: not asked */
    double dead_share;
    double k0_s, lines_s, log_s, row_s;
    bool swapped_dates, channels, loggers;
    int least_pct;       /* of the jobs in which the planted fault must be named */
    int most_others_pct; /* of the jobs with another doubt, beyond one in a hundred */
};

struct tally {
    int named, alone, others; /* the planted doubt; and nothing else; other doubts */
};

/* MILRISE_SEED moves all seeds, for fresh ones. */
static uint64_t first_seed(void) {
    const char *text = getenv("MILRISE_SEED");
    return text ? strtoull(text, NULL, 10) : 1;
}

static int runs(int usual) {
    const char *text = getenv("MILRISE_RUNS");
    return text ? atoi(text) : usual;
}

static struct alignsim_plan plan_of(const struct plant *p, uint64_t seed) {
    struct alignsim_plan plan = alignsim_plan(seed);
    plan.off_s[0] = p->k0_s;
    plan.off_s[plan.loggers] = p->lines_s;
    plan.log_off_s = p->log_s;
    plan.dates_swapped[0] = p->swapped_dates;
    plan.channels_exchanged = p->channels;
    plan.loggers_exchanged = p->loggers;
    plan.dead_share = p->dead_share;
    plan.charged = seed % 2 == 0;
    plan.bad_row = fabs(p->row_s) > 0 ? 1 + (int)(seed % 16) : 0;
    plan.bad_row_s = p->row_s;
    return plan;
}

static bool is_planted(const struct plant *p, const struct mr_clock_doubt *d) {
    return p->who && d->kind == p->kind && strstr(d->who, p->who) &&
           (isnan(p->off_s) || fabs(d->offset_s - p->off_s) <= 600);
}

static struct tally play(const struct plant *p, int n) {
    struct tally t = {0};
    for (int i = 0; i < n; i++) {
        struct fixture f;
        struct alignsim_plan plan = plan_of(p, first_seed() + (uint64_t)i);
        alignsim_make(&f, &plan);
        fix_align(&f);
        int planted = 0, others = 0;
        for (size_t k = 0; k < f.aligned->doubts.n; k++) {
            if (is_planted(p, &f.aligned->doubts.v[k]))
                planted = 1;
            else
                others++;
        }
        if (others && getenv("MILRISE_TELL"))
            for (size_t k = 0; k < f.aligned->doubts.n; k++)
                printf("  seed %d: %s %s, %zu of %zu, as given %zu\n", i + 1, f.aligned->doubts.v[k].who,
                       f.aligned->doubts.v[k].looks, f.aligned->doubts.v[k].fits, f.aligned->doubts.v[k].seen,
                       f.aligned->doubts.v[k].fits_given);
        t.named += planted;
        t.alone += planted && !others;
        t.others += others > 0;
        fix_free(&f);
    }
    return t;
}

static void judge(const struct plant *rows, size_t n_rows, int n) {
    for (size_t i = 0; i < n_rows; i++) {
        struct tally t = play(&rows[i], n);
        printf("%-46s named in %3d of %d, alone in %3d, jobs with other doubts %d\n", rows[i].name, t.named, n,
               t.alone, t.others);
        cr_expect_geq(t.named * 100, rows[i].least_pct * n, "%s: named in %d of %d", rows[i].name, t.named, n);
        cr_expect_leq(t.others * 100, (1 + rows[i].most_others_pct) * n, "%s: other doubts in %d of %d", rows[i].name,
                      t.others, n);
    }
}

#define DAY 86400.0

Test(prop_align_doubts, nothing_is_doubted_where_nothing_was_planted, .timeout = 240) {
    static const struct plant rows[] = {
        {.name = "sound", .off_s = NAN},
        {.name = "sound, a third of the coats without heat", .off_s = NAN, .dead_share = 0.33},
        {.name = "sound, nine coats of ten without heat", .off_s = NAN, .dead_share = 0.9},
    };
    judge(rows, MR_COUNT(rows), runs(200));
}

Test(prop_align_doubts, a_wrong_clock_is_named, .timeout = 240) {
    static const struct plant rows[] = {
        {.name = "K0 a day slow", .kind = MR_DOUBT_CLOCK, .who = "K0", .off_s = -DAY, .k0_s = -DAY, .least_pct = 95},
        {.name = "K0 a day fast", .kind = MR_DOUBT_CLOCK, .who = "K0", .off_s = DAY, .k0_s = DAY, .least_pct = 95},
        {.name = "K0 1 h fast", .kind = MR_DOUBT_CLOCK, .who = "K0", .off_s = 3600, .k0_s = 3600, .least_pct = 95},
        {.name = "K0 6 h slow",
         .kind = MR_DOUBT_CLOCK,
         .who = "K0",
         .off_s = -21600,
         .k0_s = -21600,
         .least_pct = 95},
        {.name = "K0 a year slow",
         .kind = MR_DOUBT_CLOCK,
         .who = "K0",
         .off_s = -365 * DAY,
         .k0_s = -365 * DAY,
         .least_pct = 95},
        {.name = "K0 day and month",
         .kind = MR_DOUBT_DATES,
         .who = "K0",
         .off_s = NAN,
         .swapped_dates = true,
         .least_pct = 95},
        {.name = "K0 a day slow, a third without heat",
         .kind = MR_DOUBT_CLOCK,
         .who = "K0",
         .off_s = -DAY,
         .k0_s = -DAY,
         .dead_share = 0.33,
         .least_pct = 75},
        {.name = "PL a day fast", .kind = MR_DOUBT_CLOCK, .who = "PL", .off_s = DAY, .lines_s = DAY, .least_pct = 95},
        {.name = "PL 6 h slow",
         .kind = MR_DOUBT_CLOCK,
         .who = "PL",
         .off_s = -21600,
         .lines_s = -21600,
         .least_pct = 95},
    };
    judge(rows, MR_COUNT(rows), runs(60));
}

Test(prop_align_doubts, the_log_a_row_and_exchanged_places_are_named, .timeout = 240) {
    static const struct plant rows[] = {
        {.name = "the spray log a day fast",
         .kind = MR_DOUBT_LOG,
         .who = "spray log",
         .off_s = DAY,
         .log_s = DAY,
         .least_pct = 95},
        {.name = "one row a day late",
         .kind = MR_DOUBT_ROW,
         .who = "line",
         .off_s = DAY,
         .row_s = DAY,
         .least_pct = 90},
        {.name = "one row a year early",
         .kind = MR_DOUBT_ROW,
         .who = "line",
         .off_s = -365 * DAY,
         .row_s = -365 * DAY,
         .least_pct = 90},
        {.name = "two channels exchanged",
         .kind = MR_DOUBT_CHANNELS,
         .who = "T0 and T1",
         .off_s = NAN,
         .channels = true,
         .least_pct = 90},
        {.name = "two loggers exchanged",
         .kind = MR_DOUBT_LOGGERS,
         .who = "K0 and K1",
         .off_s = NAN,
         .loggers = true,
         .least_pct = 95},
        {.name = "two loggers exchanged, a third without heat",
         .kind = MR_DOUBT_LOGGERS,
         .who = "K0 and K1",
         .off_s = NAN,
         .loggers = true,
         .dead_share = 0.33,
         .least_pct = 75,
         .most_others_pct = 6 /* single channels of them, where too little heat is left */},
    };
    judge(rows, MR_COUNT(rows), runs(60));
}
