/*
 * test_hostile.c - a hundred job folders that lie, loop, hide or overflow, made by a generator from one small job:
 * each trap alone, then in seeded pairs. Whatever comes of one, it ends in time with a status that is known, nothing
 * outside the job's reports is touched, the inputs stay as they were, and what is published is whole.
 */
#include "milrise/base.h"

#include <criterion/criterion.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

enum { FOLDERS = 100, SECONDS = 60 };

/* Run in the job folder; the folder ../outside beside it must stay as it is. */
struct trap {
    const char *name, *script;
    int status;       /* what must come of it alone; -1: a report, whatever it says */
    const char *said; /* must stand in the messages; NULL: nothing need */
};

static const struct trap traps[] = {
    {"reports is a link away", "ln -s ../outside reports", 4, "is a link"},
    {"reports is a link to nowhere", "ln -s nowhere reports", 4, "is a link"},
    {"reports is a file", "echo x > reports", 4, "Not a directory"},
    {"reports is a pipe", "mkfifo reports", 4, "reports"},
    {"latest is a folder", "mkdir -p reports/latest; echo x > reports/latest/mine", 4, "latest"},
    {"latest is a link away", "mkdir reports; ln -s ../../outside reports/latest", -1, NULL},
    {"a revision is a link away", "mkdir reports; ln -s ../../outside reports/revision-0", -1, NULL},
    {"a dead run's folder with links",
     "mkdir -p reports/.making-99999999-0/report; ln -s ../../../../outside reports/.making-99999999-0/report/charts",
     -1, NULL},
    {"a dead run's folder is a link", "mkdir reports; ln -s ../../outside reports/.making-1-0", -1, NULL},
    {"the note is a link away", "mkdir reports; ln -s ../../outside/kept reports/NOT-PUBLISHED.txt", -1, NULL},
    {"a list that names files outside",
     "mkdir -p reports/revision-3; printf '# milrise revision 3\\n# content %064d\\n%064d  ../../../outside/kept\\n' "
     "0 0 "
     "> reports/revision-3/SHA256SUMS",
     -1, NULL},
    {"revisions far up", "mkdir -p reports/revision-99999999 reports/revision-999999999999", -1, NULL},
    {"the job file is a pipe", "rm job.milrise; mkfifo job.milrise", 2, "job.milrise"},
    {"the job file is a folder", "rm job.milrise; mkdir job.milrise", 2, "job.milrise"},
    {"the job file is a link away", "mv job.milrise ../job.away; ln -s ../job.away job.milrise", -1,
     "link to a file outside the job folder"},
    {"the job file is huge", "head -c 5000000 /dev/zero | tr '\\0' '#' > job.milrise", 2, "4 MiB"},
    {"the job file has NUL bytes", "printf '[job]\\nname = a\\0b\\n' > job.milrise", 2, "job.milrise"},
    {"a lead time without end", "printf '[climate]\\nlead time = 1e29 min\\n' >> job.milrise", 2, "366 d"},
    {"a cure time that overflows", "printf '[climate]\\ncure time = 1e300 h\\n' >> job.milrise", 2, "366 d"},
    {"an input is a link away", "ln -s ../outside/kept stray.csv", -1, "outside the job folder"},
    {"an input is the password file", "ln -s /etc/passwd users.csv", -1, "outside the job folder"},
    {"an input is an endless device", "ln -s /dev/zero zero.csv", -1, "zero.csv"},
    {"an input is a pipe", "mkfifo pipe.csv", -1, "pipe.csv"},
    {"an input is a loop", "ln -s loop.csv loop.csv", -1, "loop.csv"},
    {"a folder is a link away", "ln -s ../outside logs", -1, "links to folders are not followed"},
    {"a folder is a link to itself", "ln -s . again", -1, "links to folders are not followed"},
    {"an input is a hard link", "ln ../outside/kept hard.csv", -1, NULL},
    {"column maps are a link away", "ln -s ../outside columns", -1, "link to a file outside the job folder"},
    {"a rule file is a pipe", "mkdir rules; mkfifo rules/x.rules", 2, "rules/x.rules"},
    {"folders in folders", "d=.; for i in $(seq 60); do d=$d/d; done; mkdir -p $d; cp thickness.csv $d/x.csv", -1,
     "too deep"},
    {"a name with a line end and quotes", "cp climate.csv \"$(printf 'a\\nb\\033[31m\\\"x.csv')\"", -1, NULL},
    {"a name that is not text", "cp climate.csv \"$(printf '\\377\\376.csv')\"", -1, NULL},
    {"a name of 255 bytes", "cp climate.csv $(head -c 251 /dev/zero | tr '\\0' n).csv", -1, NULL},
    {"an empty file", ": > empty.csv", -1, NULL},
    {"a file of NUL bytes", "head -c 1000000 /dev/zero > nul.csv", -1, "nul.csv"},
    {"a file of noise", "head -c 300000 /dev/urandom > noise.csv", -1, NULL},
    {"a line of eight million bytes",
     "{ printf 'time,zone,thickness [um]\\n'; head -c 8000000 /dev/zero | tr '\\0' x; echo; } > long.csv", -1, NULL},
    {"ten thousand columns", "{ seq -s , 10000; for i in 1 2 3; do seq -s , 10000; done; } > wide.csv", -1, NULL},
    {"five thousand zones", "{ echo zone,area; seq -f 'Z%g,10' 5000; } > zones.csv", 1, NULL},
    {"zones that look like paths", "printf 'zone,area\\n../../outside/x,10\\n/etc/y,10\\nlatest,10\\n' > zones.csv",
     -1, NULL},
    {"figures beyond measure",
     "printf 'time,zone,area,spot,thickness [um]\\n2026-05-11 14:20:00,Deck,1,9,1e308\\n2026-05-11 "
     "14:21:00,Deck,1,9,-1e308\\n' > far.csv",
     -1, NULL},
    {"dates beyond the calendar",
     "printf 'time,air [degC],RH [%%]\\n0001-01-01 00:00:00,20,50\\n9999-12-31 23:59:59,20,50\\n' > ages.csv", -1,
     NULL},
    {"a job file that cannot be read as text", "head -c 2000 /dev/urandom > job.milrise", 2, "job.milrise"},
};

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
    shell("cd '%s/job' && { %s; } >/dev/null 2>&1", base, a->script);
    if (b)
        shell("cd '%s/job' && { %s; } >/dev/null 2>&1", base, b->script);
    snapshot(before);
    const int status = report();
    snapshot(after);
    expect_sound(name, status);
    return status;
}

Test(hostile, each_trap_alone_comes_to_what_it_must, .timeout = 600) {
    cr_assert(getenv("MILRISE_BIN"));
    for (size_t i = 0; i < MR_COUNT(traps); i++) {
        const struct trap *t = &traps[i];
        const int status = run_traps(t->name, t, NULL);
        if (t->status >= 0)
            cr_expect_eq(status, t->status, "%s: status %d\n%s", t->name, status, err);
        else
            cr_expect_leq(status, 1, "%s: status %d\n%s", t->name, status, err);
        cr_expect(!t->said || strstr(err, t->said), "%s: not said: %s\n%s", t->name, t->said, err);
    }
}

Test(hostile, traps_in_pairs_harm_nothing, .timeout = 900) {
    uint32_t seed = 20260511;
    for (size_t i = MR_COUNT(traps); i < FOLDERS; i++) {
        seed = seed * 1664525u + 1013904223u;
        const struct trap *a = &traps[(seed >> 8) % MR_COUNT(traps)];
        seed = seed * 1664525u + 1013904223u;
        const struct trap *b = &traps[(seed >> 8) % MR_COUNT(traps)];
        char name[256];
        snprintf(name, sizeof name, "%s; %s", a->name, b->name);
        run_traps(name, a, b);
    }
}
