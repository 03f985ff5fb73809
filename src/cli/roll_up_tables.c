/*
 * roll_up_tables.c - the roll-up as tables: each job, each crew, each certificate that ends.
 */
#include "cli/roll_up.h"

#include "base/text.h"
#include "cli/console.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

bool mr_roll_failed(const struct mr_roll_job *job) {
    return *job->state.failure != '\0' || job->state.exit_status < 0;
}

bool mr_roll_open(const struct mr_roll_job *job) {
    return !mr_roll_failed(job) && job->state.exit_status != MR_EXIT_CONFORMS;
}

/* Days since 1970 of "2026-05-11..."; INT64_MIN where the text is no date. */
static int64_t day_of(const char *text) {
    int64_t local_ms;
    if (strlen(text) < 10 || !mr_scan_iso_local(text, 10, &local_ms))
        return INT64_MIN;
    return local_ms / MR_DAY_MS;
}

int mr_days_open(const struct mr_job_state *s, const char *now) {
    const int64_t found = day_of(s->oldest_open), today = day_of(now);
    if (found == INT64_MIN || today == INT64_MIN || today < found)
        return -1;
    return (int)(today - found);
}

static int by_end(const void *a, const void *b) {
    const struct mr_due_instrument *x = a, *y = b;
    if (x->days_left != y->days_left)
        return x->days_left < y->days_left ? -1 : 1;
    return strcmp(x->certificate.instrument, y->certificate.instrument);
}

static bool same_certificate(const struct mr_certificate *a, const struct mr_certificate *b) {
    return strcmp(a->instrument, b->instrument) == 0 && strcmp(a->number, b->number) == 0 &&
           strcmp(a->until, b->until) == 0;
}

static void take_certificate(struct mr_arena *arena, const struct mr_certificate *c, int64_t today,
                             mr_due_list *list) {
    const int64_t until = day_of(c->until);
    if (until == INT64_MIN || today == INT64_MIN || until - today > MR_DUE_SOON_DAYS)
        return;
    for (size_t i = 0; i < list->n; i++)
        if (same_certificate(&list->v[i].certificate, c)) {
            list->v[i].jobs++;
            return;
        }
    const struct mr_due_instrument due = {*c, (int)(until - today), 1};
    MR_PUSH(arena, list, due);
}

mr_due_list mr_roll_up_due(struct mr_arena *arena, const struct mr_roll_up *roll, const char *now) {
    mr_due_list list = {0};
    const int64_t today = day_of(now);
    for (size_t i = 0; i < roll->jobs.n; i++)
        for (size_t k = 0; k < roll->jobs.v[i].state.certificates.n; k++)
            take_certificate(arena, &roll->jobs.v[i].state.certificates.v[k], today, &list);
    if (list.n)
        qsort(list.v, list.n, sizeof *list.v, by_end);
    return list;
}

/* Below the share; the share itself may be a job. */
static struct mr_value folder_cell(struct mr_arena *arena, const char *share, const char *dir) {
    const char *below = mr_roll_below(arena, share, dir);
    return mr_v_text(*below ? below : ".");
}

static const struct mr_field job_fields[] = {{"below", "Folder", MR_UNIT_NONE, 0},
                                             {"name", "Job", MR_UNIT_NONE, 0},
                                             {"crew", "Crew", MR_UNIT_NONE, 0},
                                             {"state", "State", MR_UNIT_NONE, 0},
                                             {"since", "Since", MR_UNIT_NONE, 0},
                                             {"before", "Before", MR_UNIT_NONE, 0},
                                             {"nonconforming", "Zones that do not conform", MR_UNIT_NONE, 0},
                                             {"not_shown", "Zones not shown", MR_UNIT_NONE, 0},
                                             {"conforming", "Zones that conform", MR_UNIT_NONE, 0},
                                             {"open_items", "Open non-conformances", MR_UNIT_NONE, 0},
                                             {"days_open", "Oldest open, days", MR_UNIT_NONE, 0},
                                             {"film_low_um", "Least mean film of a zone", MR_UNIT_UM, 0},
                                             {"film_high_um", "Greatest mean film of a zone", MR_UNIT_UM, 0},
                                             {"revision", "Revision", MR_UNIT_NONE, 0}};

struct urgent_job {
    const struct mr_roll_job *job;
    int days;
};

/* What does not conform before what is not shown, and the longest open first. */
static int by_urgency(const void *a, const void *b) {
    const struct urgent_job *x = a, *y = b;
    const bool fails_x = x->job->state.zones[MR_DOES_NOT_CONFORM] > 0,
               fails_y = y->job->state.zones[MR_DOES_NOT_CONFORM] > 0;
    if (fails_x != fails_y)
        return fails_x ? -1 : 1;
    if (x->days != y->days)
        return x->days > y->days ? -1 : 1;
    return strcmp(x->job->dir, y->job->dir);
}

/* Jobs in the order of the table: what failed, what is open, the rest. */
static const struct mr_roll_job **ordered_jobs(struct mr_arena *arena, const struct mr_roll_up *roll,
                                               const char *now) {
    const struct mr_roll_job **jobs = MR_ARRAY(arena, const struct mr_roll_job *, roll->jobs.n + 1);
    struct urgent_job *open = MR_ARRAY(arena, struct urgent_job, roll->jobs.n + 1);
    size_t n = 0, n_open = 0;
    for (size_t i = 0; i < roll->jobs.n; i++) {
        const struct mr_roll_job *job = &roll->jobs.v[i];
        if (mr_roll_failed(job))
            jobs[n++] = job;
        else if (mr_roll_open(job))
            open[n_open++] = (struct urgent_job){job, mr_days_open(&job->state, now)};
    }
    if (n_open)
        qsort(open, n_open, sizeof *open, by_urgency);
    for (size_t i = 0; i < n_open; i++)
        jobs[n++] = open[i].job;
    for (size_t i = 0; i < roll->jobs.n; i++)
        if (!mr_roll_failed(&roll->jobs.v[i]) && !mr_roll_open(&roll->jobs.v[i]))
            jobs[n++] = &roll->jobs.v[i];
    return jobs;
}

static struct mr_table *jobs_table(struct mr_arena *arena, const char *share, const struct mr_roll_up *roll,
                                   const char *now) {
    struct mr_table *t = mr_table_new(arena, "jobs", "Jobs",
                                      "What failed comes first, then what is open, the longest open first. A job is "
                                      "open while one of its zones does not "
                                      "conform or is not shown; the answer in its folder says what to do.",
                                      MR_COUNT(job_fields), job_fields);
    const struct mr_roll_job **jobs = ordered_jobs(arena, roll, now);
    for (size_t i = 0; i < roll->jobs.n; i++) {
        const struct mr_roll_job *job = jobs[i];
        const struct mr_job_state *s = &job->state;
        const bool failed = mr_roll_failed(job);
        const int days = mr_days_open(s, now);
        const char *why = "no report";
        const struct mr_value row[] = {folder_cell(arena, share, job->dir),
                                       mr_v_text(s->name),
                                       mr_v_text(s->crew),
                                       mr_v_text(mr_job_state_text(s)),
                                       mr_v_text(s->since),
                                       mr_v_text(s->before),
                                       failed ? mr_v_blank(why) : mr_v_count(s->zones[MR_DOES_NOT_CONFORM]),
                                       failed ? mr_v_blank(why) : mr_v_count(s->zones[MR_NOT_SHOWN]),
                                       failed ? mr_v_blank(why) : mr_v_count(s->zones[MR_CONFORMS]),
                                       failed ? mr_v_blank(why) : mr_v_count(s->open_items),
                                       failed || days < 0 ? mr_v_blank("") : mr_v_count(days),
                                       failed ? mr_v_blank(why) : mr_v_num(s->film_low_um),
                                       failed ? mr_v_blank(why) : mr_v_num(s->film_high_um),
                                       failed ? mr_v_blank(why) : mr_v_count(s->revision)};
        mr_table_add(arena, t, row);
    }
    return t;
}

struct crew_sum {
    const char *crew;
    size_t jobs, failed;
    int64_t zones[4], open_items;
    double low_um, high_um;
};

static int by_crew(const void *a, const void *b) {
    const struct mr_roll_job *const *x = a, *const *y = b;
    return strcmp((*x)->state.crew, (*y)->state.crew);
}

static void add_to_crew(struct crew_sum *sum, const struct mr_roll_job *job) {
    sum->jobs++;
    sum->failed += mr_roll_failed(job);
    if (mr_roll_failed(job))
        return;
    for (size_t i = 0; i < 4; i++)
        sum->zones[i] += job->state.zones[i];
    sum->open_items += job->state.open_items;
    sum->low_um = fmin(sum->low_um, job->state.film_low_um);
    sum->high_um = fmax(sum->high_um, job->state.film_high_um);
}

static struct mr_table *crews_table(struct mr_arena *arena, const struct mr_roll_up *roll) {
    static const struct mr_field fields[] = {{"crew", "Crew", MR_UNIT_NONE, 0},
                                             {"jobs", "Jobs", MR_UNIT_NONE, 0},
                                             {"failed", "Without a report", MR_UNIT_NONE, 0},
                                             {"nonconforming", "Zones that do not conform", MR_UNIT_NONE, 0},
                                             {"not_shown", "Zones not shown", MR_UNIT_NONE, 0},
                                             {"conforming", "Zones that conform", MR_UNIT_NONE, 0},
                                             {"open_items", "Open non-conformances", MR_UNIT_NONE, 0},
                                             {"film_low_um", "Least mean film of a zone", MR_UNIT_UM, 0},
                                             {"film_high_um", "Greatest mean film of a zone", MR_UNIT_UM, 0}};
    struct mr_table *t = mr_table_new(arena, "crews", "Crews",
                                      "Jobs by crew, as the job files name it. Jobs of a crew may differ in their "
                                      "specified thickness.",
                                      MR_COUNT(fields), fields);
    const struct mr_roll_job **crews = MR_ARRAY(arena, const struct mr_roll_job *, roll->jobs.n);
    for (size_t i = 0; i < roll->jobs.n; i++)
        crews[i] = &roll->jobs.v[i];
    if (roll->jobs.n)
        qsort(crews, roll->jobs.n, sizeof(const struct mr_roll_job *), by_crew);
    for (size_t i = 0; i < roll->jobs.n;) {
        struct crew_sum all = {.crew = crews[i]->state.crew, .low_um = MR_NAN, .high_um = MR_NAN};
        for (; i < roll->jobs.n && strcmp(crews[i]->state.crew, all.crew) == 0; i++)
            add_to_crew(&all, crews[i]);
        const struct mr_value row[] = {mr_v_text(*all.crew ? all.crew : "not stated"),
                                       mr_v_count((int64_t)all.jobs),
                                       mr_v_count((int64_t)all.failed),
                                       mr_v_count(all.zones[MR_DOES_NOT_CONFORM]),
                                       mr_v_count(all.zones[MR_NOT_SHOWN]),
                                       mr_v_count(all.zones[MR_CONFORMS]),
                                       mr_v_count(all.open_items),
                                       mr_v_num(all.low_um),
                                       mr_v_num(all.high_um)};
        mr_table_add(arena, t, row);
    }
    return t;
}

static struct mr_table *certificates_table(struct mr_arena *arena, const struct mr_roll_up *roll, const char *now) {
    static const struct mr_field fields[] = {{"instrument", "Instrument", MR_UNIT_NONE, 0},
                                             {"certificate", "Certificate", MR_UNIT_NONE, 0},
                                             {"until", "Last day", MR_UNIT_NONE, 0},
                                             {"days_left", "Days left", MR_UNIT_NONE, 0},
                                             {"jobs", "Jobs that state it", MR_UNIT_NONE, 0}};
    struct mr_table *t =
        mr_table_new(arena, "certificates", "Calibration due",
                     mr_printf(arena,
                               "Certificates that end within %d days or have ended, as the job files state "
                               "them (certified until).",
                               (int)MR_DUE_SOON_DAYS),
                     MR_COUNT(fields), fields);
    const mr_due_list due = mr_roll_up_due(arena, roll, now);
    for (size_t i = 0; i < due.n; i++) {
        const struct mr_due_instrument *d = &due.v[i];
        const struct mr_value row[] = {mr_v_text(d->certificate.instrument), mr_v_text(d->certificate.number),
                                       mr_v_text(d->certificate.until), mr_v_count(d->days_left),
                                       mr_v_count((int64_t)d->jobs)};
        mr_table_add(arena, t, row);
    }
    return t;
}

static struct mr_table *changes_table(struct mr_arena *arena, const char *share, const struct mr_roll_up *roll) {
    static const struct mr_field fields[] = {{"below", "Folder", MR_UNIT_NONE, 0},
                                             {"name", "Job", MR_UNIT_NONE, 0},
                                             {"state", "State", MR_UNIT_NONE, 0},
                                             {"change", "Change", MR_UNIT_NONE, 0}};
    const char *note = *roll->former_when ? mr_printf(arena, "What changed since the sweep of %s.", roll->former_when)
                                          : "There is no earlier roll-up to compare with.";
    struct mr_table *t = mr_table_new(arena, "changes", "Changes", note, MR_COUNT(fields), fields);
    for (size_t i = 0; i < roll->jobs.n; i++) {
        const struct mr_roll_job *job = &roll->jobs.v[i];
        const struct mr_value row[] = {folder_cell(arena, share, job->dir), mr_v_text(job->state.name),
                                       mr_v_text(mr_job_state_text(&job->state)), mr_v_text(job->change)};
        if (job->change)
            mr_table_add(arena, t, row);
    }
    for (size_t i = 0; i < roll->gone.n; i++) {
        const struct mr_value row[] = {mr_v_text(roll->gone.v[i].dir), mr_v_text(""), mr_v_text("no longer there"),
                                       mr_v_text(mr_printf(arena, "was: %s", roll->gone.v[i].state))};
        mr_table_add(arena, t, row);
    }
    return t;
}

static int by_film(const void *a, const void *b) {
    const struct mr_roll_job *const *x = a, *const *y = b;
    const double p = (*x)->state.film_mean_um, q = (*y)->state.film_mean_um;
    if (p < q || p > q)
        return p < q ? -1 : 1;
    return strcmp((*x)->dir, (*y)->dir);
}

static struct mr_table *film_table(struct mr_arena *arena, const char *share, const struct mr_roll_up *roll) {
    static const struct mr_field fields[] = {{"below", "Folder", MR_UNIT_NONE, 0},
                                             {"name", "Job", MR_UNIT_NONE, 0},
                                             {"film_low_um", "Least mean of a zone", MR_UNIT_UM, 0},
                                             {"film_mean_um", "Mean of its zones", MR_UNIT_UM, 0},
                                             {"film_high_um", "Greatest mean of a zone", MR_UNIT_UM, 0}};
    struct mr_table *t = mr_table_new(arena, "film", "Film",
                                      "Means of zones, the thinnest job first. Jobs may differ in their specified "
                                      "thickness; whether a film conforms is for each job's own report.",
                                      MR_COUNT(fields), fields);
    const struct mr_roll_job **jobs = MR_ARRAY(arena, const struct mr_roll_job *, roll->jobs.n + 1);
    size_t n = 0;
    for (size_t i = 0; i < roll->jobs.n; i++)
        if (!mr_roll_failed(&roll->jobs.v[i]) && isfinite(roll->jobs.v[i].state.film_mean_um))
            jobs[n++] = &roll->jobs.v[i];
    if (n)
        qsort(jobs, n, sizeof(const struct mr_roll_job *), by_film);
    for (size_t i = 0; i < n; i++) {
        const struct mr_job_state *s = &jobs[i]->state;
        const struct mr_value row[] = {folder_cell(arena, share, jobs[i]->dir), mr_v_text(s->name),
                                       mr_v_num(s->film_low_um), mr_v_num(s->film_mean_um),
                                       mr_v_num(s->film_high_um)};
        mr_table_add(arena, t, row);
    }
    return t;
}

void mr_roll_up_tables(struct mr_arena *arena, const char *share, const struct mr_roll_up *roll, const char *now,
                       const struct mr_table *out[MR_ROLL_TABLES]) {
    out[MR_ROLL_JOBS] = jobs_table(arena, share, roll, now);
    out[MR_ROLL_CHANGES] = changes_table(arena, share, roll);
    out[MR_ROLL_FILM] = film_table(arena, share, roll);
    out[MR_ROLL_CREWS] = crews_table(arena, roll);
    out[MR_ROLL_DUE] = certificates_table(arena, roll, now);
}
