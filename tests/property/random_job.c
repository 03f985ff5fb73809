/*
 * random_job.c - see random_job.h. That the spread is 3 K at least: ISO 8502-4; the numbers of readings: SSPC-PA 2.
 */
#include "random_job.h"

#include "read/job/job_reader.h"

#include <stdarg.h>
#include <stdlib.h>

static uint64_t next_random(uint64_t *state) { /* splitmix64, S. Vigna, public domain algorithm */
    uint64_t z = (*state += 0x9E3779B97F4A7C15ULL);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
    return z ^ (z >> 31);
}

size_t pick(struct whole_job *j, size_t n) {
    return (size_t)(next_random(&j->state) % n);
}

/* Cells parted by '|'; a heading that begins with '*' is of a needed column. */
static void add_row(struct table *t, const char *text) {
    size_t column = 0;
    for (const char *p = text; column < MOST_COLUMNS; p++, column++) {
        const size_t n = strcspn(p, "|");
        const bool star = t->rows == 0 && *p == '*';
        snprintf(t->cell[t->rows][column], CELL, "%.*s", (int)(n - star), p + star);
        if (t->rows == 0)
            t->needed[column] = star;
        p += n;
        if (!*p) {
            column++;
            break;
        }
    }
    t->columns = t->rows ? t->columns : column;
    t->rows++;
}

static void add_line(struct table *t, const char *format, ...) __attribute__((format(printf, 2, 3)));
static void add_line(struct table *t, const char *format, ...) {
    char text[400];
    va_list list;
    va_start(list, format);
    vsnprintf(text, sizeof text, format, list);
    va_end(list);
    add_row(t, text);
}

static void draw_climate(struct whole_job *j) {
    static const size_t steps[] = {1, 2, 5};
    struct table *t = &j->file[CLIMATE];
    const bool damp = pick(j, 4) == 0, cold = pick(j, 6) == 0, dew = pick(j, 3) == 0;
    j->step_min = steps[pick(j, MR_COUNT(steps))];
    j->out_from = (30 + 5 * pick(j, 8)) / j->step_min + 1;
    t->path = "climate.csv";
    add_row(t, dew ? "*Time|Air temp [degC]|*RH [%]|*Steel temp [degC]|Dew point [degC]"
                   : "*Time|*Air temp [degC]|*RH [%]|*Steel temp [degC]");
    for (size_t i = 0; i < 150 / j->step_min; i++) {
        const bool out = i + 1 >= j->out_from && i + 1 < j->out_from + 3;
        const double rh = 55 + (double)pick(j, 100) / 10 + (damp && out ? 33 : 0);
        const double steel = 20 + (double)pick(j, 20) / 10 - (cold && out ? 12 : 0);
        const size_t minute = j->step_min * i;
        char time[40];
        snprintf(time, sizeof time, "2026-05-11 %02zu:%02zu:00", 7 + minute / 60, minute % 60);
        if (dew)
            add_line(t, "%s|20.0|%.1f|%.1f|%.1f", time, rh, steel, 20.0 - (100.0 - rh) / 4.9);
        else
            add_line(t, "%s|20.0|%.1f|%.1f", time, rh, steel);
    }
}

static void draw_lines(struct whole_job *j) {
    struct table *t = &j->file[LINES];
    const size_t low = pick(j, 6) == 0 ? 20 + pick(j, 90) : 0;
    t->path = "pressures.csv";
    add_row(t, "*Time|*Line A (kPa)|*Line B (kPa)|*Main (kPa)");
    for (size_t i = 0, second = 0; i < 130; i++, second += 5)
        add_line(t, "2026-05-11 %02zu:%02zu:%02zu|%zu|%zu|%zu", 7 + (3590 + second) / 3600, (3590 + second) / 60 % 60,
                 (3590 + second) % 60, 600 + pick(j, 9), (low && i >= low && i < low + 6 ? 420 : 600) + pick(j, 9),
                 620 + pick(j, 5));
}

static void draw_film(struct whole_job *j) {
    struct table *t = &j->file[FILM];
    const size_t thin = pick(j, 4) == 0 ? 1 + pick(j, 3) : 0, few = pick(j, 8) == 0 ? 2 : 3;
    size_t second = 0;
    t->path = "film.csv";
    add_row(t, "*Date|*Time|*Zone|Area|Spot|*Thickness [um]|Gauge serial");
    for (size_t area = 1; area <= few; area++)
        for (size_t spot = 1; spot <= 5; spot++)
            for (size_t k = 0; k < 3; k++, second += 7)
                add_line(t, "2026-05-12|09:%02zu:%02zu|Deck|%zu|%zu|%zu|G1", second / 60, second % 60, area, spot,
                         (area == thin ? 140 : 240) + pick(j, 20));
}

struct whole_job *draw(uint64_t seed) {
    static struct whole_job job;
    memset(&job, 0, sizeof job);
    struct whole_job *j = &job;
    j->state = seed * 7919 + 29;
    draw_climate(j);
    draw_film(j);
    draw_lines(j);
    struct table *t = &j->file[SPRAY];
    t->path = "spray log.csv";
    add_row(t, "*Date|Action|*Zone|Coat|*Start|Stop|Role");
    add_row(t, "2026-05-11|spray|Deck|1|08:00|08:10|sprayer");
    t = &j->file[CHECKS];
    t->path = "verifications.csv";
    add_row(t, "*Date|*Time|Gauge serial|*Certified value (um)|*Reading (um)|Before/after");
    const int off = pick(j, 8) == 0 ? 40 : 1;
    for (int i = 0; i < 4; i++)
        add_line(t, "2026-05-12|%s:5%d|G1|%d|%d|%s", i < 2 ? "07" : "17", i % 2, i % 2 ? 300 : 200,
                 (i % 2 ? 300 : 200) + (i == 3 ? off : 1), i < 2 ? "before" : "after");
    t = &j->file[ZONES];
    t->path = "zones.csv";
    add_row(t, "*Zone|Aliases|*Area (m2)|Steel thickness (mm)|Coats");
    add_row(t, "Deck|D1|25|6|1");
    return j;
}

void add_material(struct whole_job *j) {
    struct table *t = &j->file[MATERIAL];
    t->path = "material log.csv";
    add_row(t, "Date|Time|Part|Drum|Lot|Before (l)|After (l)");
    add_row(t, "2026-05-11|08:20|A|1|L1|100|80");
    add_row(t, "2026-05-11|08:20|B|2|L2|100|80");
}

static void put_rows(struct mr_arena *arena, const struct table *t, size_t from, size_t to, const char **text) {
    for (size_t i = 0; i < t->rows; i++) {
        const size_t row = i && t->reversed ? t->rows - i : i;
        if (i && (row < from || row >= to))
            continue;
        bool first = true;
        if (i && i == t->between_row && t->between)
            *text = mr_printf(arena, "%s%s", *text, t->between);
        for (size_t c = 0; c < t->columns; c++) {
            if (t->gone[c])
                continue;
            *text = mr_printf(arena, "%s%s%s", *text, first ? "" : ",", t->cell[row][c]);
            first = false;
        }
        *text = mr_printf(arena, "%s\n", *text);
    }
}

static const char job_text[] =
    "[job]\nname = x\ntime zone = UTC\ndates = 2026-05-10 .. 2026-05-14\n[thickness]\nminimum = 200 um\nmaximum = "
    "300 um\n"
    "rules = restriction-level-3\n[climate]\ndew-point spread minimum = 3 K\nhumidity maximum = 85 %\nlead time = 10 "
    "min\n"
    "cure time = 30 min\n[reaction]\nrequired = no\n[lines]\nmain minimum = 500 kPa\nmain maximum = 700 "
    "kPa\nimbalance maximum = 10 %\n";

enum mr_outcome verdict(const struct whole_job *j) {
    size_t unused;
    return verdict_telling(j, "", &unused);
}

enum mr_outcome verdict_telling(const struct whole_job *j, const char *id, size_t *told) {
    struct norm_rig rig;
    norm_begin(&rig);
    struct mr_job *job = NULL;
    const char *settings =
        mr_printf(rig.arena, "%s[material]\n%s\n", job_text,
                  j->file[MATERIAL].rows ? "required = yes\nratio = 1\nratio tolerance = 5 %" : "required = no");
    cr_assert_eq(mr_job_parse(rig.arena, ".", "job.milrise", settings, strlen(settings), &rig.diags, &job), MR_OK);
    *rig.job = *job;
    for (size_t i = 0; i < FILES + 1; i++) {
        const struct table *t = &j->file[i];
        if (t->absent || !t->rows)
            continue;
        const char *text = t->above ? t->above : "", *rest = text;
        put_rows(rig.arena, t, 1, t->split ? t->split : t->rows, &text);
        norm_add(&rig, t->path, text, 0);
        if (!t->split)
            continue;
        put_rows(rig.arena, t, t->split, t->rows, &rest);
        norm_add(&rig, mr_printf(rig.arena, "%.*s 2.csv", (int)strlen(t->path) - 4, t->path), rest, 0);
    }
    norm_run(&rig);
    cr_expect(norm_identity(&rig));
    const struct mr_alignment *aligned = NULL;
    const struct mr_assessment *out = NULL;
    enum mr_status status = mr_align(rig.arena, rig.data, &rig.diags, &aligned);
    cr_assert(status == MR_OK || status == MR_E_NODATA);
    status = mr_assess(rig.arena, aligned, &rig.diags, &out);
    cr_assert(status == MR_OK || status == MR_E_NODATA);
    enum mr_outcome worst = MR_NOT_REQUIRED;
    size_t zone = mr_zone_find(aligned, "Deck", NULL);
    for (size_t i = 0; i < out->checks.n; i++)
        if (out->checks.v[i].zone == zone)
            worst = mr_outcome_worst(worst, out->checks.v[i].outcome);
    *told = 0;
    size_t steps = 0;
    for (size_t i = 0; i < out->findings.n; i++) {
        const struct mr_finding *f = &out->findings.v[i];
        *told += strcmp(f->id, id) == 0;
        steps += f->severity >= MR_WARNING && f->next_step && *f->next_step;
    }
    cr_expect(worst <= MR_CONFORMS || steps, "a zone that is open says why and what to do");
    norm_end(&rig);
    return worst == MR_NOT_REQUIRED ? MR_NOT_SHOWN : worst;
}

size_t law_jobs(void) {
    const char *n = getenv("LAW_JOBS");
    return n && atoi(n) > 0 ? (size_t)atoi(n) : 500;
}

void count(struct law *law, uint64_t seed, const char *what, enum mr_outcome before, enum mr_outcome after,
           bool broken) {
    law->jobs++;
    law->outcome[before]++;
    if (broken && law->violations++ < 5)
        printf("job %llu, %s: %s became %s\n", (unsigned long long)seed, what, mr_outcome_text(before),
               mr_outcome_text(after));
}

void tell(const char *name, const struct law *law) {
    printf("%s: %zu jobs (%zu conform, %zu not shown, %zu do not conform), violations: %zu\n", name, law->jobs,
           law->outcome[MR_CONFORMS], law->outcome[MR_NOT_SHOWN], law->outcome[MR_DOES_NOT_CONFORM], law->violations);
    cr_expect_geq(law->jobs, law_jobs(), "%s: too few jobs", name);
    cr_expect_gt(law->outcome[MR_CONFORMS], law_jobs() / 5, "%s: too few conform to begin with", name);
    cr_expect_eq(law->violations, 0, "%s: %zu violations in %zu jobs", name, law->violations, law->jobs);
}
