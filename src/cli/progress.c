#include "cli/progress.h"

#include "base/pool.h"
#include "cli/cli.h"

#include <math.h>
#include <pthread.h>
#include <stdio.h>
#include <time.h>
#include <unistd.h>

enum { LINE_BYTES = 160 };
static const double QUIET_S = 1.0, TICK_S = 0.5;
static const double EARLY = 0.04; /* of the work: before it, nothing can be said of the rest */

/* What each step takes of a report without figures, and with them (make bench, stages of the medium job). */
static const double share[2][MR_STEP_COUNT] = {{0.06, 0.15, 0.06, 0.13, 0.60}, {0.01, 0.02, 0.01, 0.02, 0.94}};

struct mr_progress {
    pthread_t thread;
    pthread_mutex_t lock;
    pthread_cond_t ended;
    bool end, figures, shown;
    enum mr_step step;
    size_t done, of;
    uint64_t rows;
    struct timespec begun;
    double expected_s; /* as last worked out: between pieces it stands, and the clock goes on */
};

static double seconds_since(const struct timespec *t) {
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)(now.tv_sec - t->tv_sec) + (double)(now.tv_nsec - t->tv_nsec) * 1e-9;
}

double mr_progress_expected(enum mr_step step, bool figures, size_t done, size_t of, double spent_s) {
    double part = of ? share[figures][step] * (double)done / (double)of : 0;
    for (size_t s = 0; s < step; s++)
        part += share[figures][s];
    return part < EARLY ? MR_NAN : spent_s / part;
}

/* 2,168,044 */
static void grouped(uint64_t count, char out[32]) {
    char digits[24];
    const int n = snprintf(digits, sizeof digits, "%llu", (unsigned long long)count);
    size_t to = 0;
    for (int i = 0; i < n; i++) {
        if (i && (n - i) % 3 == 0)
            out[to++] = ',';
        out[to++] = digits[i];
    }
    out[to] = '\0';
}

/* To two figures at most: it is a guess. */
static int left_text(double left_s, char *out, size_t n) {
    if (!(left_s >= 1))
        return snprintf(out, n, "%s", "");
    if (left_s >= 90)
        return snprintf(out, n, ", about %.0f min left", left_s / 60);
    return snprintf(out, n, ", about %.0f s left", left_s > 20 ? 5 * round(left_s / 5) : left_s);
}

void mr_progress_text(enum mr_step step, bool figures, size_t done, size_t of, uint64_t rows, double spent_s,
                      double expected_s, char *out, size_t n) {
    char what[LINE_BYTES], left[48], count[32];
    grouped(rows, count);
    switch (step) {
    case MR_STEP_READ:
        snprintf(what, sizeof what, "looking at files");
        if (of)
            snprintf(what, sizeof what, "looking at files, %zu of %zu", done, of);
        break;
    case MR_STEP_NORMALISE:
        snprintf(what, sizeof what, "reading %s rows, %zu of %zu files", count, done, of);
        break;
    case MR_STEP_ALIGN:
        snprintf(what, sizeof what, "placing %s rows in time and zone", count);
        break;
    case MR_STEP_ASSESS:
        snprintf(what, sizeof what, "judging film, climate, heat and lines");
        break;
    case MR_STEP_RENDER:
    case MR_STEP_COUNT:
        snprintf(what, sizeof what, "writing the report");
        if (figures && of)
            snprintf(what, sizeof what, "writing the report, %zu of %zu parts", done, of);
        break;
    }
    left_text(expected_s - spent_s, left, sizeof left);
    snprintf(out, n, "%s, %.0f s%s", what, spent_s, left);
}

/* Cursor back to the start, so that whatever is printed next writes over the line. */
static void show(struct mr_progress *p) {
    char line[LINE_BYTES + 64];
    const double spent = seconds_since(&p->begun);
    mr_progress_text(p->step, p->figures, p->done, p->of, p->rows, spent, p->expected_s, line, sizeof line);
    fprintf(stderr, "\033[2K%s\r", line);
    fflush(stderr);
    p->shown = true;
}

static void *keep_showing(void *ctx) {
    struct mr_progress *p = ctx;
    pthread_mutex_lock(&p->lock);
    for (double wait = QUIET_S; !p->end; wait = TICK_S) {
        struct timespec until;
        clock_gettime(CLOCK_REALTIME, &until);
        until.tv_nsec += (long)(wait * 1e9);
        until.tv_sec += until.tv_nsec / 1000000000;
        until.tv_nsec %= 1000000000;
        pthread_cond_timedwait(&p->ended, &p->lock, &until);
        if (!p->end && seconds_since(&p->begun) >= QUIET_S)
            show(p);
    }
    pthread_mutex_unlock(&p->lock);
    return NULL;
}

static void guess(struct mr_progress *p) {
    const double expected = mr_progress_expected(p->step, p->figures, p->done, p->of, seconds_since(&p->begun));
    if (!isnan(expected))
        p->expected_s = expected;
}

static void on_piece(void *ctx, size_t done, size_t of) {
    struct mr_progress *p = ctx;
    pthread_mutex_lock(&p->lock);
    const bool part_of_step = p->step != MR_STEP_ASSESS; /* only the heat of it comes in pieces */
    if (part_of_step && (done > p->done || of != p->of)) {
        p->done = done;
        p->of = of;
        guess(p);
    }
    pthread_mutex_unlock(&p->lock);
}

struct mr_progress *mr_progress_begin(struct mr_arena *arena, bool quiet, bool figures) {
    if (quiet || !isatty(STDERR_FILENO))
        return NULL;
    struct mr_progress *p = MR_NEW(arena, struct mr_progress);
    *p = (struct mr_progress){.figures = figures, .expected_s = MR_NAN};
    clock_gettime(CLOCK_MONOTONIC, &p->begun);
    pthread_mutex_init(&p->lock, NULL);
    pthread_cond_init(&p->ended, NULL);
    if (pthread_create(&p->thread, NULL, keep_showing, p) != 0)
        return NULL;
    mr_pool_watch(on_piece, p);
    return p;
}

void mr_progress_step(struct mr_progress *p, enum mr_step step) {
    if (!p)
        return;
    pthread_mutex_lock(&p->lock);
    p->step = step;
    p->done = p->of = 0;
    guess(p);
    pthread_mutex_unlock(&p->lock);
}

void mr_progress_rows(struct mr_progress *p, uint64_t rows) {
    if (!p)
        return;
    pthread_mutex_lock(&p->lock);
    p->rows = rows;
    pthread_mutex_unlock(&p->lock);
}

void mr_progress_end(struct mr_progress *p) {
    if (!p)
        return;
    mr_pool_watch(NULL, NULL);
    pthread_mutex_lock(&p->lock);
    p->end = true;
    pthread_cond_signal(&p->ended);
    pthread_mutex_unlock(&p->lock);
    pthread_join(p->thread, NULL);
    if (p->shown)
        fprintf(stderr, "\033[2K");
    pthread_cond_destroy(&p->ended);
    pthread_mutex_destroy(&p->lock);
}
