/*
 * test_hostile.c - job folders that lie, loop, hide or overflow, made by a generator from one small job: each of over
 * a hundred traps alone, with what must come of it, then in seeded pairs. Whatever comes of one, it ends in time with
 * a status that is known, nothing outside the job's reports is touched, the inputs stay as they were, and what is
 * published is whole.
 */
#include "hostile_traps.h"
#include "milrise/base.h"

#include <criterion/criterion.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

enum { PAIRS = 60, SECONDS = 60 };

static char base[64], err[1 << 16];

static int __attribute__((format(printf, 1, 2))) shell(const char *format, ...) {
    char command[4096];
    va_list args;
    va_start(args, format);
    vsnprintf(command, sizeof command, format, args);
    va_end(args);
    const int status = system(command);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128;
}

static void begin(void) {
    strcpy(base, "/tmp/milrise-hostile-XXXXXX");
    cr_assert(mkdtemp(base));
}

static void end(void) {
    shell("chmod -R u+rwX '%s' 2>/dev/null; rm -rf '%s'", base, base);
}

TestSuite(hostile, .init = begin, .fini = end);

/* One zone with a survey and a climate log; invented. */
static void make_job(void) {
    shell(
        "cd '%s' && rm -rf job outside job.away && mkdir job outside && echo x > outside/kept && cd job && "
        "printf '[job]\\nname = Footbridge\\ntime zone = UTC\\n[thickness]\\nminimum = 200 um\\n' > job.milrise && "
        "printf 'zone,area [m2],steel thickness [mm]\\nDeck,10,8\\n' > zones.csv && "
        "{ echo 'time,zone,area,spot,thickness [um]'; for i in $(seq 15); do "
        "echo \"2026-05-11 14:$((i + 10)):00,Deck,1,$(((i + 2) / 3)),$((240 + i %% 7))\"; done; } > thickness.csv && "
        "{ echo 'time,air [degC],RH [%%],steel [degC]'; for i in $(seq 10 59); do "
        "echo \"2026-05-11 13:$i:00,21.5,50,22\"; done; } > climate.csv",
        base);
}

/* What a run may not change: names, kinds, link targets and bytes, without the reports and the answer. */
static void snapshot(const char *to) {
    shell("cd '%s' && { find outside job -path job/reports -prune -o -path 'job/answer.*' -prune -o -printf '%%p %%y "
          "%%l\\n' | sort; "
          "find outside job -path job/reports -prune -o -path 'job/answer.*' -prune -o -type f -print0 | sort -z | "
          "xargs -0 sha256sum; } > '%s' "
          "2>/dev/null",
          base, to);
}

static void set_trap(const struct trap *t) {
    shell("cd '%s/job' && M='%s' && { %s; } >/dev/null 2>&1", base, getenv("MILRISE_BIN"), t->script);
}

static int report(void) {
    const int status = shell("cd '%s' && timeout %d '%s' report --no-charts job > out 2> err < /dev/null", base,
                             SECONDS, getenv("MILRISE_BIN"));
    char path[128];
    snprintf(path, sizeof path, "%s/err", base);
    FILE *f = fopen(path, "r");
    err[f ? fread(err, 1, sizeof err - 1, f) : 0] = '\0';
    if (f)
        fclose(f);
    return status;
}

static void expect_sound(const char *name, int status) {
    cr_expect(status >= 0 && status <= 4, "%s: status %d\n%s", name, status, err);
    cr_expect_eq(shell("cmp -s '%s/before' '%s/after'", base, base), 0, "%s: inputs or surroundings changed", name);
    if (status <= 1)
        cr_expect_eq(
            shell("cd '%s/job/reports/latest' && sha256sum -c --quiet --strict SHA256SUMS >/dev/null 2>&1", base), 0,
            "%s: latest is not whole", name);
    else
        cr_expect(err[0], "%s: no message", name);
    cr_expect_neq(shell("ls -A '%s/job/reports/' 2>/dev/null | grep -q '^.making'", base), 0,
                  "%s: something is left over", name);
}

static int run_traps(const char *name, const struct trap *a, const struct trap *b) {
    char before[128], after[128];
    snprintf(before, sizeof before, "%s/before", base);
    snprintf(after, sizeof after, "%s/after", base);
    make_job();
    set_trap(a);
    if (b)
        set_trap(b);
    snapshot(before);
    const int status = report();
    snapshot(after);
    expect_sound(name, status);
    return status;
}

static void expect_alone(const struct trap *t) {
    const int status = run_traps(t->name, t, NULL);
    if (t->status >= 0)
        cr_expect_eq(status, t->status, "%s: status %d\n%s", t->name, status, err);
    else
        cr_expect_leq(status, 1, "%s: status %d\n%s", t->name, status, err);
    cr_expect(!t->said || strstr(err, t->said), "%s: not said: %s\n%s", t->name, t->said, err);
    if (t->holds)
        cr_expect_eq(shell("cd '%s/job' && %s", base, t->holds), 0, "%s: does not hold: %s", t->name, t->holds);
}

static void each_alone(const struct trap *traps, size_t n) {
    cr_assert(getenv("MILRISE_BIN"));
    for (size_t i = 0; i < n; i++)
        expect_alone(&traps[i]);
}

Test(hostile, traps_under_the_names_of_outputs, .timeout = 600) {
    each_alone(traps_of_outputs, n_traps_of_outputs);
}

Test(hostile, traps_among_the_inputs, .timeout = 600) {
    each_alone(traps_of_inputs, n_traps_of_inputs);
}

Test(hostile, traps_in_names, .timeout = 600) {
    each_alone(traps_of_names, n_traps_of_names);
}

Test(hostile, traps_in_the_job_file_and_its_texts, .timeout = 600) {
    each_alone(traps_of_texts, n_traps_of_texts);
}

/* The job file turns from a file into a link away and back while runs go on: what a report says to have read is what
 * it says to lie outside. */
Test(hostile, a_job_file_that_is_swapped_says_which_was_read, .timeout = 600) {
    enum { RUNS = 40 };
    make_job();
    shell("cd '%s' && cp job/job.milrise inside && sed 's/Footbridge/Elsewhere/' inside > away && "
          "{ while [ ! -e stop ]; do ln -s ../away job/.l; mv -T job/.l job/job.milrise; cp inside job/.f; "
          "mv -T job/.f job/job.milrise; done >/dev/null 2>&1 & }",
          base);
    size_t away = 0;
    for (size_t i = 0; i < RUNS; i++) {
        const int status = report();
        cr_assert_leq(status, 1, "status %d\n%s", status, err);
        const int elsewhere =
            shell("grep -q '\"name\": \"Elsewhere\"' '%s/job/reports/latest/report.json'", base) == 0;
        cr_expect_eq(elsewhere, strstr(err, "job.milrise: warning[linked-file]: is a link") != NULL, "run %zu\n%s", i,
                     err);
        away += (size_t)elsewhere;
    }
    shell("touch '%s/stop'; sleep 0.2", base);
    cr_log_info("%zu of %d read the one outside", away, RUNS);
    cr_expect(away > 0 && away < RUNS, "%zu of %d", away, RUNS);
}

/* What milrise writes turns into links away and back while runs go on; whatever comes of each, it ends with a known
 * status, and what lies outside stays as it was. */
Test(hostile, outputs_that_are_swapped_lead_to_nothing_outside, .timeout = 600) {
    enum { RUNS = 80 };
    size_t published = 0;
    make_job();
    report();
    shell(
        "cd '%s' && cp job/answer.txt outside/answer.txt && ls -lA --time-style=full-iso outside > before && n=0 && "
        "rest() { [ -e fast ] || sleep 0.0$1; } && { while [ ! -e stop ]; do n=$((n + 1)); mv -T job/reports real; "
        "ln -sT ../outside job/reports; [ ! -e fast ] || sleep 0.002; rm -rf job/reports; "
        "mv -T real job/reports || { rm -rf job/reports; mv -T real job/reports; }; "
        "ln -sfn ../../outside job/reports/latest; rest $((n %% 5)); ln -s ../outside/answer.txt job/.l; "
        "mv -T job/.l job/answer.txt; rest $((n / 5 %% 5)); [ $((n %% 8)) = 0 ] || continue; "
        "for m in job/reports/.making-*/report; do mv -T $m gone && ln -s ../../../outside $m; rm -rf gone; done; "
        "done >/dev/null 2>&1 & }",
        base);
    for (size_t i = 0; i < RUNS; i++) {
        if (i == RUNS / 2)
            shell("touch '%s/fast'", base);
        shell("echo '2026-05-11 14:%zu:00,Deck,1,1,250' >> '%s/job/thickness.csv'", i + 10, base);
        const int status = i % 2 ? report()
                                 : shell("cd '%s' && timeout %d '%s' sweep -q --no-roll-up job >out 2>err </dev/null",
                                         base, SECONDS, getenv("MILRISE_BIN"));
        cr_expect(status >= 0 && status <= 4, "status %d\n%s", status, err);
        published += status <= 1;
    }
    shell("touch '%s/stop'; sleep 0.5", base);
    cr_log_info("%zu of %d published", published, RUNS);
    cr_expect(published > 0 && published < RUNS, "%zu of %d", published, RUNS);
    cr_expect_eq(
        shell("cd '%s' && ls -lA --time-style=full-iso outside | diff before - && [ $(cat outside/kept) = x ]", base),
        0);
}

static const struct trap *trap_at(size_t i) {
    const struct {
        const struct trap *v;
        size_t n;
    } all[] = {{traps_of_outputs, n_traps_of_outputs},
               {traps_of_inputs, n_traps_of_inputs},
               {traps_of_names, n_traps_of_names},
               {traps_of_texts, n_traps_of_texts}};
    size_t k = 0;
    while (i >= all[k].n)
        i -= all[k++].n;
    return &all[k].v[i];
}

Test(hostile, traps_in_pairs_harm_nothing, .timeout = 900) {
    const size_t n = n_traps_of_outputs + n_traps_of_inputs + n_traps_of_names + n_traps_of_texts;
    uint32_t seed = 20260511;
    cr_assert_gt(n, 100);
    for (size_t i = 0; i < PAIRS; i++) {
        seed = seed * 1664525u + 1013904223u;
        const struct trap *a = trap_at((seed >> 8) % n);
        seed = seed * 1664525u + 1013904223u;
        const struct trap *b = trap_at((seed >> 8) % n);
        char name[256];
        snprintf(name, sizeof name, "%s; %s", a->name, b->name);
        run_traps(name, a, b);
    }
}
