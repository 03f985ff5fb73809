/*
 * align_fixture.c - see the header.
 */
#include "support/align_fixture.h"

#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

void fix_init(struct fixture *f, const char *time_zone) {
    memset(f, 0, sizeof *f);
    f->arena = mr_arena_new(NULL, NULL);
    f->job = *mr_job_default(f->arena);
    f->job.time_zone = time_zone;
    f->sources.job = &f->job;
    f->data.job = &f->job;
    f->data.sources = &f->sources;
    mr_diags_init(&f->diags, f->arena);
    f->data.diags = &f->diags;
}

void fix_free(struct fixture *f) {
    mr_arena_free(f->arena);
}

int64_t fix_time(const char *text) {
    int64_t ms;
    if (!mr_scan_iso_local(text, strlen(text), &ms)) {
        fprintf(stderr, "fixture: \"%s\" is no time\n", text);
        abort();
    }
    return ms;
}

void fix_set(struct fixture *f, enum mr_setting_id id, double value) {
    f->job.settings.v[id].value = value;
    f->job.settings.v[id].set = !isnan(value);
}

struct mr_instrument *fix_instrument(struct fixture *f, const char *name) {
    struct mr_instrument inst = {.name = name,
                                 .serial = name,
                                 .files = "",
                                 .time_zone = "",
                                 .uncertainty = "",
                                 .certificate = "",
                                 .certified_until_local_ms = MR_T_NONE,
                                 .zones = ""};
    inst.place.file = "job.milrise";
    if (!f->job.instruments.cap) { /* pointers to instruments must stay valid */
        f->job.instruments.v = MR_ARRAY(f->arena, struct mr_instrument, 64);
        f->job.instruments.cap = 64;
    }
    MR_PUSH(f->arena, &f->job.instruments, inst);
    return &f->job.instruments.v[f->job.instruments.n - 1];
}

void fix_assign(struct fixture *f, const char *instrument, const char *channel, const char *zone, const char *from,
                const char *to) {
    struct mr_assignment a = {.instrument = instrument,
                              .channel = channel,
                              .zone = zone,
                              .from_local_ms = from ? fix_time(from) : MR_T_NONE,
                              .to_local_ms = to ? fix_time(to) : MR_T_NONE};
    a.place.file = "job.milrise";
    a.place.line = (uint32_t)f->job.assignments.n + 1;
    MR_PUSH(f->arena, &f->job.assignments, a);
}

uint32_t fix_file(struct fixture *f, const char *path, enum mr_kind kind, enum mr_time_basis basis,
                  const char *instrument) {
    struct mr_source *source = MR_NEW(f->arena, struct mr_source);
    source->path = path;
    struct mr_file file = {.source = source,
                           .kind = kind,
                           .basis = basis,
                           .instrument_name = instrument,
                           .first_ms = MR_T_NONE,
                           .last_ms = MR_T_NONE,
                           .date_order = "",
                           .date_why = "",
                           .kind_why = ""};
    file.instrument = mr_job_instrument(&f->job, instrument);
    file.account.rows_read = file.account.rows_header = 1;
    MR_PUSH(f->arena, &f->data.files, file);
    return (uint32_t)f->data.files.n - 1;
}

static uint32_t next_line(struct fixture *f, uint32_t file) {
    struct mr_account *a = &f->data.files.v[file].account;
    a->rows_read++;
    a->rows_used++;
    return (uint32_t)a->rows_read;
}

static void span(struct fixture *f, uint32_t file, int64_t t_ms) {
    struct mr_file *x = &f->data.files.v[file];
    if (t_ms == MR_T_NONE)
        return;
    if (x->first_ms == MR_T_NONE || t_ms < x->first_ms)
        x->first_ms = t_ms;
    if (x->last_ms == MR_T_NONE || t_ms > x->last_ms)
        x->last_ms = t_ms;
}

void fix_zone(struct fixture *f, uint32_t file, const char *name, const char *aliases) {
    struct mr_zone_row z = {.file = file,
                            .line = next_line(f, file),
                            .name = name,
                            .aliases = aliases,
                            .area_m2 = NAN,
                            .steel_mm = NAN,
                            .profile_um = NAN,
                            .member_mm = NAN,
                            .substrate = "",
                            .grade = "",
                            .spec = ""};
    MR_PUSH(f->arena, &f->data.zones, z);
}

struct mr_spray *fix_spray(struct fixture *f, uint32_t file, enum mr_action action, const char *zone,
                           const char *coat, int64_t start_ms, int64_t stop_ms) {
    struct mr_spray s = {.file = file,
                         .line = next_line(f, file),
                         .action = action,
                         .action_text = "",
                         .start_ms = start_ms,
                         .stop_ms = stop_ms,
                         .zone = zone,
                         .coat = coat,
                         .direction = "",
                         .lot_a = "",
                         .lot_b = "",
                         .role = "",
                         .note = "",
                         .shelf_a_ms = MR_T_NONE,
                         .shelf_b_ms = MR_T_NONE,
                         .distance_mm = NAN};
    span(f, file, start_ms);
    span(f, file, stop_ms);
    MR_PUSH(f->arena, &f->data.sprays, s);
    return &f->data.sprays.v[f->data.sprays.n - 1];
}

struct mr_reading *fix_reading(struct fixture *f, uint32_t file, const char *zone, int64_t t_ms, double film_um) {
    struct mr_reading r = {.file = file,
                           .line = next_line(f, file),
                           .t_ms = t_ms,
                           .zone = zone,
                           .coat = "",
                           .area = "",
                           .spot = "",
                           .serial = "",
                           .probe = "",
                           .note = "",
                           .film_um = film_um,
                           .written = film_um,
                           .unit = MR_UNIT_UM,
                           .n_readings = 1,
                           .sd_um = NAN};
    span(f, file, t_ms);
    MR_PUSH(f->arena, &f->data.readings, r);
    return &f->data.readings.v[f->data.readings.n - 1];
}

struct mr_channel *fix_channel(struct fixture *f, uint32_t file, const char *name, enum mr_meaning meaning, size_t n,
                               const int64_t *t_ms, const double *value, const uint32_t *line) {
    if (!line) {
        uint32_t *lines = MR_ARRAY(f->arena, uint32_t, n);
        for (size_t i = 0; i < n; i++)
            lines[i] = (uint32_t)i + 2;
        line = lines;
    }
    struct mr_channel c = {.file = file,
                           .name = name,
                           .meaning = meaning,
                           .zone = "",
                           .n = n,
                           .t_ms.raw = t_ms,
                           .line = mr_lines_pack(f->arena, line, n),
                           .value.raw = value};
    struct mr_account *a = &f->data.files.v[file].account;
    if (a->rows_used < n) {
        a->rows_used = n;
        a->rows_read = n + 1;
    }
    for (size_t i = 0; i < n; i++)
        span(f, file, t_ms[i]);
    MR_PUSH(f->arena, &f->data.channels, c);
    return &f->data.channels.v[f->data.channels.n - 1];
}

void fix_align(struct fixture *f) {
    f->status = mr_align(f->arena, &f->data, &f->diags, &f->aligned);
}

bool fix_has(const struct fixture *f, const char *id) {
    for (size_t i = 0; i < f->diags.list.n; i++)
        if (strcmp(f->diags.list.v[i].id, id) == 0)
            return true;
    return false;
}

const struct mr_clock *fix_clock(const struct fixture *f, const char *instrument) {
    for (size_t i = 0; i < f->aligned->clocks.n; i++)
        if (strcmp(f->aligned->clocks.v[i].instrument, instrument) == 0)
            return &f->aligned->clocks.v[i];
    return NULL;
}
