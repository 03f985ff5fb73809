/*
 * cmd_sweep.c - reports on every job of a share whose inputs changed, several at once, and rolls all of them up.
 *
 * Whether a job changed is asked in two steps: names, sizes and times, which cost one look; and only where those
 * differ, the bytes, since a copied share has new times and the same files.
 */
#include "base/buffer.h"
#include "cli/cli.h"
#include "cli/job_folders.h"
#include "cli/job_run.h"
#include "cli/roll_up.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

enum { RUN_S = 900, RUN_MIB = 4096, BUSY_S = 2, MOST_AT_ONCE = 64 };
#define HASH_MOST ((int64_t)64 << 20)    /* bytes of a job that the sweep itself reads to see whether they changed */
#define HASH_BUDGET ((int64_t)512 << 20) /* and of all jobs; the rest is read by the jobs' own processes */

struct due_job {
    size_t index; /* in the roll-up */
    int64_t size;
    int64_t not_before_ms, busy_since_ms; /* another reports on it now */
};

struct sweep_state {
    struct mr_arena *arena;
    const struct mr_cli_options *options;
    struct mr_run_limits limits;
    struct mr_roll_up roll;
    MR_VEC(struct due_job) due;
    size_t next, done, reported, first_due;
    int64_t started_ms, hash_left;
    struct {
        struct mr_job_run run;
        size_t index;
        bool used;
    } slot[MOST_AT_ONCE];
    size_t slots;
};

static int by_size(const void *a, const void *b) {
    const struct due_job *x = a, *y = b;
    if (x->size != y->size)
        return x->size > y->size ? -1 : 1;
    return (x->index > y->index) - (x->index < y->index);
}

/* New times and the same bytes: the state takes the new times over. Under the lock, since another may be at it. */
static bool same_bytes(struct sweep_state *s, struct mr_arena *scratch, const char *dir, struct mr_job_state *state) {
    char content[MR_HASH_TEXT], before[MR_HASH_TEXT];
    struct mr_job_inputs inputs;
    struct mr_job_lock lock;
    int64_t now_s;
    bool same = false;
    if (!mr_job_lock(scratch, dir, &lock))
        return false;
    mr_job_lock_renew(&lock, &now_s);
    memcpy(before, state->program, sizeof before);
    mr_job_state_load(s->arena, dir, state);
    if (mr_job_inputs(scratch, dir, now_s, NULL, NULL, &inputs) == 0 && inputs.size <= HASH_MOST &&
        inputs.size <= s->hash_left && strcmp(state->program, before) == 0 && *state->content &&
        mr_job_content(scratch, dir, content) == 0) {
        s->hash_left -= inputs.size;
        memcpy(state->inputs, inputs.hash, sizeof state->inputs);
        state->fresh = inputs.fresh;
        same = strcmp(state->content, content) == 0 && mr_job_state_save(scratch, dir, state) == MR_OK;
    }
    mr_job_unlock(&lock);
    return same;
}

/* Takes a job into the roll-up and, where it is to be reported, into the list of those due. */
static void take_job(struct sweep_state *s, const char *dir, const char *program) {
    struct mr_roll_job job = {.dir = dir};
    struct mr_arena *scratch = mr_arena_like(s->arena);
    struct mr_job_inputs inputs;
    mr_job_state_load(s->arena, dir, &job.state);
    const int error = mr_job_inputs(scratch, dir, 0, NULL, NULL, &inputs);
    const bool known = error == 0 && strcmp(job.state.program, program) == 0 && *job.state.inputs &&
                       mr_job_answered(scratch, dir, &job.state);
    bool same = known && !job.state.fresh && strcmp(job.state.inputs, inputs.hash) == 0;
    if (known && !same)
        same = same_bytes(s, scratch, dir, &job.state);
    mr_arena_free(scratch);
    job.due = !same;
    if (!same) {
        struct due_job due = {.index = s->roll.jobs.n, .size = inputs.size};
        MR_PUSH(s->arena, &s->due, due);
    }
    MR_PUSH(s->arena, &s->roll.jobs, job);
}

static void tell_progress(struct sweep_state *s) {
    if (s->options->quiet || !isatty(STDERR_FILENO))
        return;
    const size_t total = s->first_due;
    int64_t spent = mr_now_ms() - s->started_ms;
    int64_t left = s->done ? spent / (int64_t)s->done * (int64_t)(total - s->done) / 1000 : 0;
    fprintf(stderr, "\r%zu of %zu %s, about %lld s left ", s->done, total, total == 1 ? "job" : "jobs",
            (long long)left);
}

/* same: there was nothing to report. */
static void finish(struct sweep_state *s, size_t index, const struct mr_job_state *state, bool same) {
    struct mr_roll_job *job = &s->roll.jobs.v[index];
    job->state = *state;
    job->reported = !same;
    job->due = false;
    s->done++;
    s->reported += !same;
    if (!s->options->quiet && !same)
        mr_cli_out(mr_printf(s->arena, "%s  %s: %s\n", mr_now_text(s->arena),
                             mr_clean_text(s->arena, job->dir, strlen(job->dir), 1000), mr_job_state_text(state)));
    tell_progress(s);
}

/* Whether somebody else has reported a job meanwhile; its state is taken over. */
static bool was_reported(struct sweep_state *s, size_t index) {
    struct mr_roll_job *job = &s->roll.jobs.v[index];
    struct mr_job_state now;
    char program[MR_HASH_TEXT];
    struct mr_job_inputs inputs;
    mr_job_state_load(s->arena, job->dir, &now);
    mr_program_print(s->arena, program);
    if (mr_job_inputs(s->arena, job->dir, 0, NULL, NULL, &inputs) != 0 || strcmp(now.inputs, inputs.hash) != 0 ||
        strcmp(now.program, program) != 0)
        return false;
    finish(s, index, &now, false);
    return true;
}

/* By then the other has reported it, and it is looked at anew; but not for ever. */
static void put_off(struct sweep_state *s, struct due_job due, struct mr_job_state *state) {
    const int64_t now_ms = mr_now_ms();
    due.busy_since_ms = due.busy_since_ms ? due.busy_since_ms : now_ms;
    if (now_ms - due.busy_since_ms > (int64_t)s->limits.seconds * 2000) {
        state->failure = "another run has held the job for too long; find and end it";
        state->exit_status = MR_EXIT_OUTPUT;
        finish(s, due.index, state, false);
        return;
    }
    due.not_before_ms = now_ms + BUSY_S * 1000;
    MR_PUSH(s->arena, &s->due, due);
}

/* Starts the next job that is due. Returns false where none can be started now. */
static bool start_next(struct sweep_state *s, size_t slot) {
    for (size_t i = s->next; i < s->due.n; i++) {
        struct due_job due = s->due.v[i];
        if (due.not_before_ms > mr_now_ms())
            continue;
        s->due.v[i] = s->due.v[s->next];
        s->due.v[s->next++] = due;
        if (due.not_before_ms && was_reported(s, due.index))
            return true;
        const char *dir = s->roll.jobs.v[due.index].dir;
        enum mr_run_step step = mr_run_start(s->arena, dir, s->limits, &s->slot[slot].run);
        s->slot[slot].used = step == MR_RUN_STARTED;
        s->slot[slot].index = due.index;
        if (step == MR_RUN_FAILED)
            finish(s, due.index, &s->slot[slot].run.state, false);
        if (step == MR_RUN_BUSY)
            put_off(s, due, &s->slot[slot].run.state);
        return true;
    }
    return false;
}

static bool step(struct sweep_state *s) {
    bool busy = s->next < s->due.n;
    for (size_t i = 0; i < s->slots; i++) {
        if (s->slot[i].used && mr_run_poll(s->arena, &s->slot[i].run)) {
            s->slot[i].used = false;
            finish(s, s->slot[i].index, &s->slot[i].run.state, s->slot[i].run.same);
        }
        if (!s->slot[i].used)
            start_next(s, i);
        busy |= s->slot[i].used;
    }
    return busy;
}

static int worst_of(const struct mr_roll_up *roll) {
    int worst = MR_EXIT_CONFORMS;
    for (size_t i = 0; i < roll->jobs.n; i++)
        worst = roll->jobs.v[i].state.exit_status > worst ? roll->jobs.v[i].state.exit_status : worst;
    if (roll->unread.n && worst < MR_EXIT_NO_INPUT)
        worst = MR_EXIT_NO_INPUT; /* a job may lie there */
    return worst;
}

/* One line a job; such a list goes to other programs, so a folder whose name would break a line is left to a sweep.
 */
static int print_plan(const struct sweep_state *s) {
    struct mr_buffer text = {.arena = s->arena};
    for (size_t i = 0; i < s->due.n; i++) {
        const char *dir = s->roll.jobs.v[s->due.v[i].index].dir;
        if (strchr(dir, '\n')) {
            fprintf(stderr, "milrise sweep: a folder with a line break in its name is not listed: \"%s\"\n", dir);
            continue;
        }
        mr_buffer_text(&text, dir);
        mr_buffer_text(&text, "\n");
    }
    return mr_cli_out(mr_buffer_end(&text));
}

static void report_due(struct sweep_state *s) {
    const struct timespec pause = {0, 10000000};
    /* As many reports at once as processors take one each; a few share what there is. */
    const long processors = sysconf(_SC_NPROCESSORS_ONLN);
    const size_t at_once = s->due.n < s->slots ? s->due.n : s->slots;
    if (processors > 0 && at_once > 0)
        s->limits.threads = (size_t)processors > at_once ? (unsigned)((size_t)processors / at_once) : 1;
    s->first_due = s->due.n;
    while (step(s))
        nanosleep(&pause, NULL);
    if (!s->options->quiet && isatty(STDERR_FILENO))
        fputc('\n', stderr);
}

static size_t count_due(const struct sweep_state *s) {
    size_t n = 0;
    for (size_t i = 0; i < s->roll.jobs.n; i++)
        n += s->roll.jobs.v[i].due;
    return n;
}

static int finish_sweep(struct sweep_state *s) {
    const struct mr_cli_options *o = s->options;
    const char *roll_up = "";
    if (!o->no_roll_up) {
        if (mr_roll_up_write(s->arena, o->paths[0], &s->roll, mr_now_text(s->arena)) != MR_OK) {
            fprintf(stderr, "milrise sweep: the roll-up could not be written: %s\n", strerror(errno));
            return MR_EXIT_OUTPUT;
        }
        roll_up = mr_printf(s->arena, "; roll-up: %s/" MR_ROLL_UP "/roll-up.txt", o->paths[0]);
    }
    if (!o->quiet && mr_cli_out(mr_printf(s->arena, "%zu %s, %zu reported, %zu unchanged%s\n", s->roll.jobs.n,
                                          s->roll.jobs.n == 1 ? "job" : "jobs", s->reported,
                                          s->roll.jobs.n - s->reported - count_due(s), roll_up)))
        return MR_EXIT_OUTPUT;
    return s->roll.jobs.n ? worst_of(&s->roll) : MR_EXIT_NO_INPUT;
}

int mr_cmd_sweep(struct mr_arena *arena, const struct mr_cli_options *o) {
    struct sweep_state *s = MR_NEW(arena, struct sweep_state);
    struct mr_job_folders found;
    char program[MR_HASH_TEXT];
    const long processors = sysconf(_SC_NPROCESSORS_ONLN);
    *s = (struct sweep_state){.arena = arena, .options = o, .started_ms = mr_now_ms(), .hash_left = HASH_BUDGET};
    s->limits = (struct mr_run_limits){o->limit_s ? o->limit_s : RUN_S, o->limit_mib ? o->limit_mib : RUN_MIB, 0};
    s->slots = o->threads ? o->threads : processors > 0 ? (size_t)processors : 1;
    s->slots = s->slots > MOST_AT_ONCE ? MOST_AT_ONCE : s->slots;
    const int error = mr_job_folders(arena, o->paths[0], &found, NULL, NULL);
    if (error) {
        fprintf(stderr, "milrise sweep: %s: %s\n", o->paths[0], strerror(error));
        return MR_EXIT_USAGE;
    }
    mr_program_print(arena, program);
    for (size_t i = 0; i < found.unread.n; i++) {
        const struct mr_unread_folder *u = &found.unread.v[i];
        MR_PUSH(arena, &s->roll.unread, *u);
        fprintf(stderr, "milrise sweep: %s: %s; jobs in it were not looked at\n", u->path, strerror(u->error));
    }
    for (size_t i = 0; i < found.fresh.n; i++)
        MR_PUSH(arena, &s->roll.without_job_file, found.fresh.v[i]);
    for (size_t i = 0; i < found.jobs.n; i++)
        take_job(s, found.jobs.v[i], program);
    if (s->due.n)
        qsort(s->due.v, s->due.n, sizeof *s->due.v, by_size);
    if (o->plan)
        return print_plan(s);
    if (!o->collect)
        report_due(s);
    return finish_sweep(s);
}
