/*
 * test_prop_clocks.c - whole jobs with one wrong clock, date or place: whatever stands on it is never condemned, and
 * never conforms by the record of another time or place.
 *
 * Each job is judged twice, as it is and with the fault. That a wrong clock is looked for before zones are judged is
 * a project decision, so the laws have no outside source.
 */
#include "clock_job.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>

struct law_count {
    size_t jobs, coats;
    size_t condemned, passed; /* does not conform where the sound job does; conforms where it does not */
    size_t by_wrong;          /* conforms by a record that hangs on the fault */
    size_t failed;            /* does not conform, as the sound job, though it hangs on the fault */
    size_t named;             /* jobs with a doubt */
    size_t pasted, settled;   /* of those with one: its lines taken over; and all is as in the sound job */
    size_t sound[4];          /* outcomes of the sound jobs' coats */
};

static uint64_t first_seed(void) {
    const char *text = getenv("MILRISE_SEED");
    return text ? strtoull(text, NULL, 10) : 1;
}

static size_t runs(size_t usual) {
    const char *text = getenv("MILRISE_RUNS");
    return text ? strtoull(text, NULL, 10) : usual;
}

static void look(struct law_count *law, const struct clock_job *j, const struct clock_verdict *sound,
                 const struct clock_verdict *v, bool tell) {
    for (int i = 0; i < j->n_coats; i++)
        for (int lines = 0; lines < 2; lines++) {
            enum mr_outcome was = lines ? sound->lines[i] : sound->heat[i], is = lines ? v->lines[i] : v->heat[i];
            bool condemned = is == MR_DOES_NOT_CONFORM && was != MR_DOES_NOT_CONFORM,
                 passed = is == MR_CONFORMS && was != MR_CONFORMS,
                 wrong = clock_hangs(j, i, lines != 0) && is == MR_CONFORMS;
            law->failed += clock_hangs(j, i, lines != 0) && is == MR_DOES_NOT_CONFORM && !condemned;
            law->coats++;
            law->sound[was]++;
            law->condemned += condemned;
            law->passed += passed;
            law->by_wrong += wrong;
            if (tell && (condemned || passed || wrong))
                printf("  job %llu, Z%d coat %d, %s: %s became %s%s\n", (unsigned long long)j->seed,
                       j->coat[i].zone + 1, j->coat[i].day + 1, lines ? "lines" : "heat", mr_outcome_text(was),
                       mr_outcome_text(is), wrong ? ", hangs on it" : "");
        }
    bool pause = v->pauses == MR_DOES_NOT_CONFORM && sound->pauses != MR_DOES_NOT_CONFORM;
    law->condemned += pause;
    if (tell && pause)
        printf("  job %llu: a pause does not conform\n", (unsigned long long)j->seed);
}

/* The lines that a report gives, pasted: the doubt is gone, and what hung on it shows what the sound job shows. */
static void paste(struct law_count *law, struct mr_arena *arena, const struct clock_job *j,
                  const struct clock_verdict *sound, const struct clock_verdict *v) {
    struct clock_verdict after = clock_judge(arena, j, v->paste);
    size_t differs = after.doubts;
    for (int i = 0; i < j->n_coats; i++)
        differs += after.heat[i] != sound->heat[i] || after.lines[i] != sound->lines[i];
    law->pasted++;
    law->settled += differs == 0;
    if (differs && getenv("MILRISE_TELL"))
        printf("  job %llu: pasted, %zu differ:\n%s\n%s", (unsigned long long)j->seed, differs, v->paste, after.told);
}

static struct law_count play(enum clock_fault fault, size_t jobs) {
    struct law_count law = {0};
    bool tell = getenv("MILRISE_TELL") != NULL;
    for (size_t i = 0; i < jobs; i++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        uint64_t seed = first_seed() + 1000 * (uint64_t)fault + i;
        struct clock_job sound = clock_draw(seed, CLOCK_SOUND), job = clock_draw(seed, fault);
        struct clock_verdict as_is = clock_judge(arena, &sound, ""), v = clock_judge(arena, &job, "");
        struct law_count was = law;
        law.jobs++;
        law.named += v.doubts > 0;
        look(&law, &job, &as_is, &v, tell);
        if (v.doubts == 1 && fault != CLOCK_LOG_ROW && *v.paste && i % 4 == 0)
            paste(&law, arena, &job, &as_is, &v);
        if (tell && (law.condemned > was.condemned || law.passed > was.passed || law.by_wrong > was.by_wrong))
            printf("  ^ job %llu: %d zones, %d days%s%s\n%s", (unsigned long long)seed, job.zones, job.days,
                   job.cloudy ? ", cloudy" : "", job.long_logs ? ", long logs" : "", v.told);
        mr_arena_free(arena);
    }
    printf("%-26s %4zu jobs, %5zu verdicts: condemned %zu, passed %zu, conform by the wrong record %zu, "
           "rightly fail %zu; named in %zu, lines pasted in %zu, settled %zu\n",
           clock_fault_text[fault], law.jobs, law.coats, law.condemned, law.passed, law.by_wrong, law.failed,
           law.named, law.pasted, law.settled);
    fflush(stdout);
    return law;
}

static void judge(enum clock_fault from, enum clock_fault to) {
    size_t sound[4] = {0}, jobs = 0;
    for (enum clock_fault f = from; f <= to; f++) {
        struct law_count law = play(f, runs(42));
        cr_expect_eq(law.condemned + law.passed + law.by_wrong, 0, "%s", clock_fault_text[f]);
        cr_expect_geq(4 * law.settled, 3 * law.pasted, "%s: settled %zu of %zu", clock_fault_text[f], law.settled,
                      law.pasted);
        if (f >= CLOCK_DAY && f <= CLOCK_SWAPPED)
            cr_expect_geq(20 * law.named, 19 * law.jobs, "%s: named in %zu of %zu", clock_fault_text[f], law.named,
                          law.jobs);
        for (int i = 0; i < 4; i++)
            sound[i] += law.sound[i];
        jobs += law.jobs;
    }
    printf("%zu jobs; the sound ones: %zu coats conform, %zu do not, %zu are not shown\n", jobs, sound[MR_CONFORMS],
           sound[MR_DOES_NOT_CONFORM], sound[MR_NOT_SHOWN]);
    cr_expect_gt(sound[MR_CONFORMS], 3 * sound[MR_NOT_SHOWN], "too little is shown to begin with");
}

Test(prop_clocks, minutes_and_hours_condemn_nothing_and_pass_nothing, .timeout = 600) {
    judge(CLOCK_MINUTES, CLOCK_SIX_HOURS);
}

Test(prop_clocks, days_and_dates_condemn_nothing_and_pass_nothing, .timeout = 600) {
    judge(CLOCK_DAY, CLOCK_SESSION);
}

Test(prop_clocks, lines_and_log_condemn_nothing_and_pass_nothing, .timeout = 600) {
    judge(CLOCK_LOG_ROW, CLOCK_LOG_HOUR);
    judge(CLOCK_LINES, CLOCK_LINES);
}

Test(prop_clocks, exchanged_places_condemn_nothing_and_pass_nothing, .timeout = 600) {
    judge(CLOCK_LOGGERS, CLOCK_CHANNELS);
}
