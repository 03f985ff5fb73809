/*
 * stage.c - see stage.h.
 */
#include "stage.h"

#include "tree.h"

#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { TEXT = 1 << 16, SAID_MOST = 4 << 20, SHOWN_MOST = 200 };

static const char *milrise, *base, *options;
static char old_content[128], new_content[128], job_path[512], err_path[512];
static int clean_status;
static size_t violations, reduced, all_faults, cleans;
static uint64_t inputs_before;

void stage_begin(const char *program, const char *folder) {
    milrise = program;
    base = folder;
    snprintf(job_path, sizeof job_path, "%s/trial/job", folder);
    snprintf(err_path, sizeof err_path, "%s/err", folder);
}

const char *stage_job(void) {
    return job_path;
}

const char *stage_err(void) {
    return err_path;
}

const char *stage_milrise(void) {
    return milrise;
}

const char *stage_options(void) {
    return options;
}

double stage_seconds(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

int stage_shell(const char *format, ...) {
    char command[4096];
    va_list args;
    va_start(args, format);
    vsnprintf(command, sizeof command, format, args);
    va_end(args);
    const int status = system(command);
    return status < 0 ? -1 : status >> 8;
}

void stage_slurp(const char *path, char *out, size_t size) {
    FILE *f = fopen(path, "r");
    const size_t n = f ? fread(out, 1, size - 1, f) : 0;
    out[n] = '\0';
    if (f)
        fclose(f);
}

/* The second line of the list: the fingerprint of what the report says; "" where the report is not whole. */
static void content_of(const char *folder, char out[128]) {
    char path[512], text[TEXT];
    snprintf(path, sizeof path, "%s/job/reports/latest/SHA256SUMS", folder);
    stage_slurp(path, text, sizeof text);
    const char *line = strchr(text, '\n');
    out[0] = '\0';
    if (line && stage_shell("cd '%s/job/reports/latest' && sha256sum -c --quiet --strict SHA256SUMS >/dev/null 2>&1",
                            folder) == 0)
        snprintf(out, 128, "%.*s", (int)strcspn(line + 1, "\n"), line + 1);
}

static void put(const char *folder, const char *name, const char *text) {
    char path[512];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *f = fopen(path, "w");
    if (!f)
        exit(2);
    fputs(text, f);
    fclose(f);
}

/* A small job: one zone, a gauge verified before and after, a climate log. Invented. */
static void make_job(const char *folder) {
    char text[TEXT], *at = text;
    put(folder, "job.milrise",
        "[job]\nname = Footbridge\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 300 um\n");
    put(folder, "zones.csv", "zone,area [m2],steel thickness [mm],coats\nDeck,10,8,1\n");
    put(folder, "spray-log.csv", "zone,coat,start,stop\nDeck,1,2026-05-11 09:00,2026-05-11 09:20\n");
    at += sprintf(at, "time,zone,area,spot,thickness [um]\n");
    for (int i = 0; i < 15; i++)
        at += sprintf(at, "2026-05-11 14:%02d:00,Deck,1,%d,%d\n", i, i / 3 + 1, 240 + i % 7);
    put(folder, "thickness.csv", text);
    at = text + sprintf(text, "time,air [degC],RH [%%],steel [degC]\n");
    for (int i = 0; i < 24; i++)
        at += sprintf(at, "2026-05-11 %02d:%02d:00,21.%d,50,22.%d\n", 8 + i / 12, 5 * (i % 12), i % 10, i % 9);
    put(folder, "climate.csv", text);
}

static int clean_run(const char *folder, const char *options) {
    return stage_shell("timeout %d '%s' report -q %s '%s/job' >/dev/null 2>&1", RUN_SECONDS_MOST, milrise, options,
                       folder);
}

static void violation(const struct fault *f, const struct traced *r, const char *what) {
    if (violations++ < SHOWN_MOST)
        printf("VIOLATION %s %zu %s way %d, status %d: %.300s\n", f->call, f->nth, f->error ? strerror(f->error) : "",
               (int)f->way, r->status, what);
}

/* What a run may not touch. */
static uint64_t inputs_of(const char *folder) {
    static const char *const ours[] = {"reports", "answer.txt", "answer.html", ".answer.*", NULL}, *const none[] = {
                                                                                                       NULL};
    return tree_digest(folder, ours, none);
}

/* What a run left behind, and what a clean run makes of it. Most faults leave one of few states, so each is looked at
 * once; the note and the pages carry the fault's own words, which no later run reads. */
struct left {
    uint64_t digest;
    char content[128];
    const char *wrong; /* after the next run; NULL: all is well */
};

static const char *after_next_run(const char *work) {
    char content[128];
    cleans++;
    const int again = clean_run(work, options);
    content_of(work, content);
    if (again != clean_status || strcmp(content, new_content) != 0)
        return "the next run does not give the clean report";
    if (stage_shell("ls -A '%s/job' | grep -q '^\\.'", work) == 0)
        return "a hidden file is left over after the next run";
    if (stage_shell("ls -A '%s/job/reports' | grep -Eqv '^(revision-[0-9]+|latest|\\.lock|\\.state)$'", work) == 0)
        return "something is left over after the next run";
    return NULL;
}

static const struct left *left_by(const char *work) {
    enum { STATES_MOST = 1 << 16 };
    static const char *const none[] = {NULL}, *const words[] = {"NOT-PUBLISHED.txt", "answer.txt", "answer.html",
                                                                NULL};
    static struct left state[STATES_MOST];
    static size_t n;
    const uint64_t digest = tree_digest(work, none, words);
    for (size_t i = 0; i < n; i++)
        if (state[i].digest == digest)
            return &state[i];
    struct left *s = &state[n < STATES_MOST - 1 ? n++ : n];
    s->digest = digest;
    content_of(work, s->content);
    s->wrong = after_next_run(work);
    return s;
}

static void judge_words(const struct fault *f, const struct traced *r, const char *err) {
    if (!r->signalled && r->status >= 2 && (r->status > 5 || !err[0]))
        violation(f, r, "no known status or no message");
    if (r->status == 4 && f->error && !strstr(err, strerror(f->error)) && !strstr(err, "memory") &&
        !strstr(err, "Check the disk that holds the reports") && /* the workbook's library forgets the cause */
        !(strcmp(f->call, "mmap") == 0 && strstr(err, "no thread can be started")) && /* EAGAIN of a stack unmapped */
        !(strcmp(f->call, "stat") == 0 && strstr(err, "creating tmpfile"))) /* as the C library does for tmpfile */
        violation(f, r, err);
}

void stage_judge(const struct fault *f, const struct traced *r) {
    static char err[SAID_MOST]; /* the library of fonts may print half of its files where reading fails */
    char work[512], path[512];
    all_faults++;
    snprintf(work, sizeof work, "%s/trial", base);
    snprintf(path, sizeof path, "%s/err", base);
    stage_slurp(path, err, sizeof err);
    if (inputs_of(work) != inputs_before)
        violation(f, r, "inputs or surroundings changed");
    const struct left *left = left_by(work);
    const bool is_old = strcmp(left->content, old_content) == 0, is_new = strcmp(left->content, new_content) == 0;
    const bool said = strstr(err, "cannot be read") || strstr(err, "font") || strstr(err, "unreadable") ||
                      strstr(err, "could not be read");
    const bool of_answer = strstr(err, "error[answer]") || /* it is published, and the page about it is not written */
                           strstr(err, " was published; the answer");
    if (r->status == 128 + SIGALRM || r->status == 124)
        violation(f, r, "it does not end");
    else if (r->signalled && f->way != FAULT_KILL)
        violation(f, r, "ended by a signal");
    if (!left->content[0])
        violation(f, r, "latest is not whole");
    else if (f->way == FAULT_KILL && !is_old && !is_new)
        violation(f, r, "latest is neither the old report nor the new one");
    else if (f->way != FAULT_KILL && !r->signalled && r->status >= 2 && !is_old && !(r->status == 4 && of_answer))
        violation(f, r, "the status says that nothing was published, but something was");
    else if (!r->signalled && r->status <= 1 && !is_new && !said)
        violation(f, r, "published with other content and not said");
    reduced += !r->signalled && r->status <= 1 && !is_new && said;
    judge_words(f, r, err);
    if (left->wrong)
        violation(f, r, left->wrong);
}

/* n of total in an order that covers the range evenly however early it ends. */
size_t stage_spread(size_t i, size_t total) {
    size_t step = (size_t)(0.6180339887 * (double)total) | 1;
    for (size_t a = step, b = total; b;) { /* until coprime */
        const size_t c = a % b;
        a = b;
        b = c;
        if (!b && a != 1) {
            a = step += 2;
            b = total;
        }
    }
    return i * step % total + 1;
}

/* The folder before: one published report, then an input changed. */
void stage_set(const char *with) {
    options = with;
    char state[512], job[600];
    snprintf(state, sizeof state, "%s/state", base);
    snprintf(job, sizeof job, "%s/job", state);
    if (stage_shell("rm -rf '%s' && mkdir -p '%s' '%s/outside' && echo x > '%s/outside/kept'", base, job, state,
                    state) != 0)
        exit(2);
    make_job(job);
    clean_status = clean_run(state, options);
    content_of(state, old_content);
    put(job, "later.csv", "time,zone,area,spot,thickness [um]\n2026-05-12 10:00:00,Deck,2,1,250\n");
    inputs_before = inputs_of(state);
    stage_shell("cp -a '%s' '%s/clean'", state, base);
    char clean[512];
    snprintf(clean, sizeof clean, "%s/clean", base);
    clean_status = clean_run(clean, options);
    content_of(clean, new_content);
    if (clean_status > 1 || !old_content[0] || !new_content[0] || strcmp(old_content, new_content) == 0) {
        printf("the job of this test gives no two reports (status %d)\n", clean_status);
        exit(2);
    }
}

void stage_fresh(void) {
    char state[512], trial[512];
    snprintf(state, sizeof state, "%s/state", base);
    snprintf(trial, sizeof trial, "%s/trial", base);
    tree_remove(trial);
    if (!tree_copy(state, trial))
        exit(2);
}

int stage_end(void) {
    printf("%zu faults, %zu violations; %zu published without an input that could not be read, and said so; %zu "
           "states left behind, each with its next run\n",
           all_faults, violations, reduced, cleans);
    stage_shell("rm -rf '%s'", base);
    return violations > 0;
}
