#include "unit/assess_thickness/site.h"

#include "read/job/job_reader.h"

#include <criterion/criterion.h>
#include <string.h>

#define START 1778500000000LL /* 2026-05-11 */

void site_new(struct site *s, const char *job_text) {
    memset(s, 0, sizeof *s);
    s->arena = mr_arena_new(NULL, NULL);
    mr_diags_init(&s->diags, s->arena);
    struct mr_job *job = NULL;
    cr_assert_eq(mr_job_parse(s->arena, ".", "job.milrise", job_text, strlen(job_text), &s->diags, &job), MR_OK, "%s",
                 s->diags.list.n ? mr_diag_line(s->arena, &s->diags.list.v[0]) : "?");
    s->job = job;
    s->source = (struct mr_source){.path = "dft.csv", .readable = true};
    struct mr_file file = {.source = &s->source, .instrument_name = ""};
    MR_PUSH(s->arena, &s->data.files, file);
    s->data.job = job;
    s->al.data = &s->data;
    s->al.job = job;
    s->line = 1;
    s->t = START;
}

size_t site_zone(struct site *s, const char *name, double area_m2, int coats) {
    struct mr_zone z = {.name = name,
                        .aliases = "",
                        .registered = true,
                        .area_m2 = area_m2,
                        .steel_mm = MR_NAN,
                        .profile_um = MR_NAN,
                        .member_mm = MR_NAN,
                        .settings = &s->job->settings,
                        .coats = coats,
                        .place = {.file = "zones.csv", .line = 2}};
    MR_PUSH(s->arena, &s->al.zones, z);
    return s->al.zones.n - 1;
}

static struct mr_reading reading(struct site *s, const char *area, const char *spot, double written,
                                 enum mr_unit unit) {
    return (struct mr_reading){.line = ++s->line,
                               .t_ms = s->t,
                               .zone = "",
                               .coat = "",
                               .area = area,
                               .spot = spot,
                               .serial = "G1",
                               .probe = "",
                               .note = "",
                               .film_um = mr_to_canonical(unit, written),
                               .written = written,
                               .unit = unit,
                               .n_readings = 1,
                               .sd_um = MR_NAN};
}

size_t site_reading(struct site *s, size_t zone, const char *area, const char *spot, double written,
                    enum mr_unit unit) {
    struct mr_reading r = reading(s, area, spot, written, unit);
    struct mr_placed p = {.t_utc_ms = s->t, .zone = zone, .route = MR_ROUTE_OWN, .route_note = "", .window = MR_NONE};
    MR_PUSH(s->arena, &s->data.readings, r);
    MR_PUSH(s->arena, &s->al.readings, p);
    s->t += 5000;
    return s->al.readings.n - 1;
}

void site_spots(struct site *s, size_t zone, size_t n, double written, enum mr_unit unit) {
    for (size_t i = 0; i < 3 * n; i++)
        site_reading(s, zone, "", "", written, unit);
}

void site_check(struct site *s, const char *when, double certified, double value) {
    struct mr_verification v = {.line = ++s->line,
                                .t_ms = s->t,
                                .serial = "G1",
                                .certified_um = certified,
                                .reading_um = value,
                                .certified_written = certified,
                                .certified_unit = MR_UNIT_UM,
                                .reading_written = value,
                                .unit = MR_UNIT_UM,
                                .when = when,
                                .note = ""};
    struct mr_checked c = {.t_utc_ms = s->t};
    MR_PUSH(s->arena, &s->data.verifications, v);
    MR_PUSH(s->arena, &s->al.checks, c);
    s->t += 5000;
}

void site_base_metal(struct site *s, size_t zone, double written) {
    struct mr_reading r = reading(s, "", "", written, MR_UNIT_UM);
    struct mr_placed p = {.t_utc_ms = s->t, .zone = zone, .route_note = "", .window = MR_NONE};
    MR_PUSH(s->arena, &s->data.base_metal, r);
    MR_PUSH(s->arena, &s->al.base_metal, p);
}

void site_wet_film(struct site *s, size_t zone, int coat, double written) {
    struct mr_reading r = reading(s, "", "", written, MR_UNIT_UM);
    struct mr_placed p = {.t_utc_ms = s->t, .zone = zone, .coat = coat, .route_note = "", .window = MR_NONE};
    MR_PUSH(s->arena, &s->data.wet_film, r);
    MR_PUSH(s->arena, &s->al.wet_film, p);
}

static void forget_equal(struct site *s) {
    size_t checks = 0, findings = 0;
    for (size_t i = 0; i < s->out.checks.n; i++)
        if (strcmp(s->out.checks.v[i].id, "thickness.equal") != 0)
            s->out.checks.v[checks++] = s->out.checks.v[i];
    for (size_t i = 0; i < s->out.findings.n; i++)
        if (strcmp(s->out.findings.v[i].id, "equal-readings") != 0)
            s->out.findings.v[findings++] = s->out.findings.v[i];
    s->out.checks.n = checks;
    s->out.findings.n = findings;
}

void site_judge(struct site *s) {
    for (size_t i = 0; i < s->al.wet_film.n; i++)
        s->al.wet_film.v[i].reading = &s->data.wet_film.v[i];
    for (size_t i = 0; i < s->al.readings.n; i++)
        s->al.readings.v[i].reading = &s->data.readings.v[i];
    for (size_t i = 0; i < s->al.base_metal.n; i++)
        s->al.base_metal.v[i].reading = &s->data.base_metal.v[i];
    for (size_t i = 0; i < s->al.checks.n; i++)
        s->al.checks.v[i].check = &s->data.verifications.v[i];
    s->out = (struct mr_assessment){.aligned = &s->al, .job = s->job};
    s->a =
        (struct mr_assess){.arena = s->arena, .aligned = &s->al, .job = s->job, .diags = &s->diags, .out = &s->out};
    mr_assess_thickness(&s->a);
    if (!s->real)
        forget_equal(s);
}

const struct mr_check *site_find_check(const struct site *s, const char *id, int coat) {
    for (size_t i = 0; i < s->out.checks.n; i++)
        if (strcmp(s->out.checks.v[i].id, id) == 0 && s->out.checks.v[i].coat == coat)
            return &s->out.checks.v[i];
    return NULL;
}

const struct mr_finding *site_find_finding(const struct site *s, const char *id) {
    for (size_t i = 0; i < s->out.findings.n; i++)
        if (strcmp(s->out.findings.v[i].id, id) == 0)
            return &s->out.findings.v[i];
    return NULL;
}

const struct mr_table *site_table(const struct site *s, const char *id) {
    for (size_t i = 0; i < s->out.tables.n; i++)
        if (strcmp(s->out.tables.v[i]->id, id) == 0)
            return s->out.tables.v[i];
    return NULL;
}
