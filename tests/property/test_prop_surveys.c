/*
 * Laws of the thickness verdict over random jobs: readings, verifications and a spray log go through alignment and
 * assessment, then one thing is changed and both verdicts are compared.
 *
 *   more bad      a reading far below every limit that is added never improves the outcome
 *   less repair   a logged repair that is removed never improves it
 *   other labels  areas and spots renamed, rows in another order or in two files, change nothing
 *   less input    verifications, the zone's area or readings that are removed never make it conform
 *
 * The laws are the project's own; that repeated measuring must not hide a failure is common practice, no source.
 */
#include "support/align_fixture.h"

#include "assess/finding/assessment.h"
#include "read/job/job_reader.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

enum { JOBS = 700, MOST = 400, MINUTE_MS = 60000 };

struct row {
    int64_t t_ms;
    int area, spot; /* 0 = no name */
    double um;
};

struct random_job {
    uint64_t state;
    size_t n, n_checks, n_repairs, n_coats;
    struct row row[MOST];
    struct {
        int64_t t_ms;
        double reading;
    } check[64];
    int64_t repair[8], coat[8];
    double area_m2;
    const char *rule;
    bool named_areas, named_spots;
    int label_key;      /* how names are spelt: 0 plain */
    uint64_t row_order; /* 0 = in order of time */
    bool split;         /* the rows stand in two files */
};

static uint64_t next_random(uint64_t *state) { /* splitmix64, S. Vigna, public domain algorithm */
    uint64_t z = (*state += 0x9E3779B97F4A7C15ULL);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}

static int64_t between(uint64_t *state, int64_t low, int64_t high) {
    return low + (int64_t)(next_random(state) % (uint64_t)(high - low + 1));
}

static bool one_in(uint64_t *state, int n) {
    return between(state, 1, n) == 1;
}

static void take(struct random_job *j, int64_t t, int area, int spot, double um) {
    if (j->n < MOST)
        j->row[j->n++] = (struct row){t, j->named_areas ? area : 0, j->named_spots ? spot : 0, um};
}

static void verify(struct random_job *j, int64_t t) {
    if (j->n_checks < MR_COUNT(j->check)) {
        j->check[j->n_checks].t_ms = t;
        j->check[j->n_checks++].reading = one_in(&j->state, 12) ? 280 : 250;
    }
}

/* One survey: areas of five spots of three readings, now and then with one short or one more, about one level of
 * film. Returns the time of its end. */
static int64_t survey(struct random_job *j, int64_t t, int areas) {
    static const double levels[] = {250, 250, 250, 250, 205, 195, 160, 150, 120, 310, 370};
    uint64_t *r = &j->state;
    double level = levels[between(r, 0, MR_COUNT(levels) - 1)];
    int first = one_in(r, 4) ? (int)between(r, 1, areas) : 1, last = one_in(r, 3) ? first : areas;
    verify(j, t);
    for (int area = first; area <= last; area++) {
        double here = one_in(r, 3) ? level : 250;
        int spots = one_in(r, 12) ? (int)between(r, 1, 4) : 5;
        for (int spot = 1; spot <= spots; spot++) {
            int n = one_in(r, 25) ? 2 : one_in(r, 25) ? 4 : 3;
            for (int k = 0; k < n; k++, t += 5000)
                take(j, t, area, spot, here + (double)between(r, -8, 8));
            t += between(r, 5, 40) * 1000;
        }
        t += between(r, 0, 3) * MINUTE_MS;
    }
    verify(j, t);
    return t;
}

static struct random_job draw(uint64_t seed) {
    static const char *const rules[] = {
        "restriction-level-3", "restriction-level-3", "restriction-level-1", "80-20", "90-10", "plain-limits"};
    struct random_job j = {.state = seed * 7919 + 17};
    uint64_t *r = &j.state;
    int areas = (int)between(r, 1, 3), surveys = (int)between(r, 1, 4);
    int64_t t = fix_time("2026-05-11 08:00");
    j.rule = rules[between(r, 0, MR_COUNT(rules) - 1)];
    j.area_m2 = 10 * areas - 1;
    j.named_areas = !one_in(r, 3);
    j.named_spots = !one_in(r, 3);
    if (!one_in(r, 4))
        j.coat[j.n_coats++] = t - 120 * MINUTE_MS;
    for (int s = 0; s < surveys; s++) {
        t = survey(&j, t, areas);
        t += one_in(r, 3) ? between(r, 31, 60) * MINUTE_MS : between(r, 2, 30) * 60 * MINUTE_MS;
        if (one_in(r, 2) && j.n_repairs < MR_COUNT(j.repair))
            j.repair[j.n_repairs++] = t - 20 * MINUTE_MS;
        else if (one_in(r, 5) && j.n_coats < MR_COUNT(j.coat))
            j.coat[j.n_coats++] = t - 20 * MINUTE_MS;
    }
    return j;
}

static const char *label(struct mr_arena *arena, const struct random_job *j, char letter, int number) {
    if (number == 0)
        return "";
    switch (j->label_key) {
    case 0:
        return mr_printf(arena, "%c%d", letter, number);
    case 1: /* other names, in another order */
        return mr_printf(arena, "%c %d", letter == 'A' ? 'q' : 'z', 97 - 13 * number);
    default: /* the same names, spelt as people do */
        return mr_printf(arena, "%c%s0%d", letter + (number % 2 ? 32 : 0), number % 3 ? "-" : " ", number);
    }
}

static void fill(struct fixture *f, const struct random_job *j) {
    uint32_t zones = fix_file(f, "zones.csv", MR_KIND_ZONES, MR_TIME_LOCAL, "");
    uint32_t spray = fix_file(f, "spray.csv", MR_KIND_SPRAY_LOG, MR_TIME_LOCAL, "");
    uint32_t dft = fix_file(f, "dft.csv", MR_KIND_THICKNESS, MR_TIME_LOCAL, "G1");
    uint32_t other = j->split ? fix_file(f, "dft 2.csv", MR_KIND_THICKNESS, MR_TIME_LOCAL, "G1") : dft;
    uint32_t checks = fix_file(f, "checks.csv", MR_KIND_VERIFICATION, MR_TIME_LOCAL, "G1");
    fix_zone(f, zones, "Deck 1", "");
    f->data.zones.v[0].area_m2 = j->area_m2;
    for (size_t i = 0; i < j->n_coats; i++)
        fix_spray(f, spray, MR_ACTION_SPRAY, "Deck 1", "", j->coat[i], j->coat[i] + 10 * MINUTE_MS);
    for (size_t i = 0; i < j->n_repairs; i++)
        fix_spray(f, spray, MR_ACTION_REPAIR, "Deck 1", "", j->repair[i], j->repair[i] + 10 * MINUTE_MS);
    size_t order[MOST];
    uint64_t state = j->row_order;
    for (size_t i = 0; i < j->n; i++)
        order[i] = i;
    for (size_t i = j->n; j->row_order && i > 1; i--) {
        size_t k = (size_t)(next_random(&state) % i), swap = order[i - 1];
        order[i - 1] = order[k];
        order[k] = swap;
    }
    for (size_t i = 0; i < j->n; i++) {
        const struct row *row = &j->row[order[i]];
        struct mr_reading *r = fix_reading(f, next_random(&state) % 2 ? dft : other, "Deck 1", row->t_ms, row->um);
        r->area = label(f->arena, j, 'A', row->area);
        r->spot = label(f->arena, j, 'S', row->spot);
        r->serial = "G1";
    }
    for (size_t i = 0; i < j->n_checks; i++) {
        struct mr_verification v = {.file = checks,
                                    .line = (uint32_t)i + 2,
                                    .t_ms = j->check[i].t_ms,
                                    .serial = "G1",
                                    .certified_um = 250,
                                    .certified_written = 250,
                                    .certified_unit = MR_UNIT_UM,
                                    .unit = MR_UNIT_UM,
                                    .when = "",
                                    .note = "",
                                    .reading_um = j->check[i].reading,
                                    .reading_written = j->check[i].reading};
        MR_PUSH(f->arena, &f->data.verifications, v);
    }
}

/* The worst of all checks on gauge, thickness and history. */
static enum mr_outcome verdict(const struct random_job *j) {
    struct fixture f;
    struct mr_job *job = NULL;
    fix_init(&f, "UTC");
    const char *text = mr_printf(f.arena,
                                 "[job]\nname = x\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = "
                                 "300 um\nrules = %s\n",
                                 j->rule);
    cr_assert_eq(mr_job_parse(f.arena, ".", "job.milrise", text, strlen(text), &f.diags, &job), MR_OK);
    f.job = *job;
    fill(&f, j);
    fix_align(&f);
    struct mr_assessment out = {.aligned = f.aligned, .job = &f.job};
    struct mr_assess a = {.arena = f.arena, .aligned = f.aligned, .job = &f.job, .diags = &f.diags, .out = &out};
    mr_assess_thickness(&a);
    enum mr_outcome worst = MR_NOT_REQUIRED;
    for (size_t i = 0; i < out.checks.n; i++)
        worst = mr_outcome_worst(worst, out.checks.v[i].outcome);
    fix_free(&f);
    return worst;
}

struct law {
    size_t jobs, violations, outcome[4];
};

static void count(struct law *law, uint64_t seed, enum mr_outcome before, enum mr_outcome after, bool broken) {
    law->jobs++;
    law->outcome[before]++;
    if (broken && law->violations++ < 5)
        printf("job %llu: %s became %s\n", (unsigned long long)seed, mr_outcome_text(before), mr_outcome_text(after));
}

static void tell(const char *name, const struct law *law) {
    printf("%s: %zu jobs (%zu conform, %zu not shown, %zu do not conform), violations: %zu\n", name, law->jobs,
           law->outcome[MR_CONFORMS], law->outcome[MR_NOT_SHOWN], law->outcome[MR_DOES_NOT_CONFORM], law->violations);
    cr_expect_geq(law->jobs, 500, "%s: too few jobs", name);
    cr_expect_eq(law->violations, 0, "%s: %zu violations in %zu jobs", name, law->violations, law->jobs);
}

/* A reading far below every limit: beside an old one at its spot, or at the end. Where spots go by order, the place
 * in the sequence is all that says which spot a reading belongs to, so there it comes at the end. */
static void add_failing(struct random_job *j) {
    uint64_t *r = &j->state;
    size_t at = one_in(r, 3) || !j->named_spots ? j->n - 1 : (size_t)between(r, 0, (int64_t)j->n - 1);
    struct row bad = j->row[at];
    bad.t_ms += 2500;
    static const double far[] = {20, 20, 5, 60, 100, 130, 400, 480};
    bad.um = far[between(r, 0, MR_COUNT(far) - 1)];
    if (j->n == MOST)
        return;
    memmove(j->row + at + 2, j->row + at + 1, (j->n - at - 1) * sizeof *j->row);
    j->row[at + 1] = bad;
    j->n++;
}

Test(prop_surveys, a_failing_reading_never_improves_an_outcome, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct random_job j = draw(seed);
        enum mr_outcome before = verdict(&j);
        add_failing(&j);
        enum mr_outcome after = verdict(&j);
        count(&law, seed, before, after, after < before);
    }
    tell("a failing reading added", &law);
}

/* Readings of three areas at least: fewer may be no survey that counts. */
static bool is_measured_after(const struct random_job *j, int64_t t_ms) {
    enum { SURVEY = 45 };
    size_t n = 0;
    for (size_t i = 0; i < j->n; i++)
        n += j->row[i].t_ms > t_ms;
    return n >= SURVEY;
}

/* But for one after which nothing was measured: that one leaves the film open, as a coat does. */
Test(prop_surveys, a_repair_removed_never_improves_an_outcome, .timeout = 600) {
    struct law law = {0}, unmeasured = {0};
    for (uint64_t seed = 0; law.jobs < JOBS; seed++) {
        /* first the job of six thousand in which a survey without a verified gauge counted only where the repair
         * before it was logged */
        struct random_job j = draw((seed ? seed : 5167) + 100000);
        if (j.n_repairs == 0)
            continue;
        enum mr_outcome before = verdict(&j);
        size_t gone = (size_t)between(&j.state, 0, (int64_t)j.n_repairs - 1);
        const bool any = j.row[j.n - 1].t_ms > j.repair[gone];
        const bool measured = is_measured_after(&j, j.repair[gone]);
        j.repair[gone] = j.repair[--j.n_repairs];
        enum mr_outcome after = verdict(&j);
        count(&law, seed, before, after, measured && after < before);
        count(&unmeasured, seed, before, after, !any && before <= MR_CONFORMS);
    }
    tell("a logged repair removed", &law);
    tell("a repair that nothing was measured after", &unmeasured);
}

Test(prop_surveys, names_spellings_and_the_order_of_rows_change_nothing, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct random_job j = draw(seed + 200000);
        enum mr_outcome before = verdict(&j);
        j.label_key = 1 + (int)(seed % 2);
        j.row_order = seed;
        j.split = one_in(&j.state, 2);
        enum mr_outcome after = verdict(&j);
        count(&law, seed, before, after, after != before);
    }
    tell("other labels, order of rows, rows split over two files", &law);
}

Test(prop_surveys, input_removed_never_makes_a_zone_conform, .timeout = 600) {
    struct law law = {0};
    for (uint64_t seed = 1; seed <= JOBS; seed++) {
        struct random_job j = draw(seed + 300000);
        enum mr_outcome before = verdict(&j);
        switch (seed % 3) {
        case 0:
            j.n_checks = (size_t)between(&j.state, 0, (int64_t)j.n_checks - 1);
            break;
        case 1:
            j.area_m2 = NAN;
            break;
        default:
            j.n = 0;
        }
        enum mr_outcome after = verdict(&j);
        count(&law, seed, before, after, after <= MR_CONFORMS && before > MR_CONFORMS);
    }
    tell("needed input removed", &law);
}

/* The laws can be broken: a film that fails and is measured again after a repair conforms, so a judge that forgot
 * the survey before would be noticed. */
Test(prop_surveys, a_repair_between_is_what_makes_the_difference) {
    struct random_job j = {.rule = "restriction-level-3", .area_m2 = 9, .named_areas = true, .named_spots = true};
    int64_t t = fix_time("2026-05-11 08:00");
    for (int s = 0; s < 2; s++, t += 120 * MINUTE_MS) {
        verify(&j, t);
        j.check[j.n_checks - 1].reading = 250;
        for (int i = 0; i < 15; i++)
            take(&j, t + i * 5000 + 1000, 1, i / 3 + 1, s ? 250 : 150);
        verify(&j, t + 100000);
        j.check[j.n_checks - 1].reading = 250;
    }
    cr_expect_eq(verdict(&j), MR_DOES_NOT_CONFORM, "measured again, nothing repaired");
    j.repair[j.n_repairs++] = fix_time("2026-05-11 09:00");
    cr_expect_eq(verdict(&j), MR_CONFORMS, "repaired between");
    j.repair[0] = fix_time("2026-05-11 12:00");
    cr_expect_eq(verdict(&j), MR_DOES_NOT_CONFORM, "repaired after both");
    j.n_repairs = 0;
    j.coat[j.n_coats++] = fix_time("2026-05-11 07:00");
    cr_expect_eq(verdict(&j), MR_DOES_NOT_CONFORM, "coated before both");
}
