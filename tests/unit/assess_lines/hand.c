#include "hand.h"

#include "read/job/job_reader.h"

static const char *const paths[N_HAND_FILES] = {"climate.csv", "lines.csv",    "spray.csv",
                                                "shift.csv",   "material.csv", "zones.csv"};
static const enum mr_kind kinds[N_HAND_FILES] = {MR_KIND_CLIMATE,      MR_KIND_PRESSURE, MR_KIND_SPRAY_LOG,
                                                 MR_KIND_SHIFT_RECORD, MR_KIND_MATERIAL, MR_KIND_ZONES};

struct hand *hand_new(const char *job_text) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct hand *f = MR_NEW(arena, struct hand);
    f->arena = arena;
    mr_diags_init(&f->diags, arena);
    enum mr_status status = mr_job_parse(arena, ".", "job.milrise", job_text, strlen(job_text), &f->diags, &f->job);
    for (size_t i = 0; i < f->diags.list.n; i++)
        cr_log_warn("%s", mr_diag_line(arena, &f->diags.list.v[i]));
    cr_assert_eq(status, MR_OK, "the test's job file is wrong");
    for (size_t i = 0; i < N_HAND_FILES; i++) {
        struct mr_source *source = MR_NEW(arena, struct mr_source);
        source->path = paths[i];
        source->readable = true;
        struct mr_file file = {.source = source, .kind = kinds[i], .first_ms = MR_T_NONE, .last_ms = MR_T_NONE};
        MR_PUSH(arena, &f->data.files, file);
    }
    f->data.job = f->al.job = f->job;
    f->data.sources = &f->sources;
    f->data.diags = f->al.diags = &f->diags;
    f->al.data = &f->data;
    f->al.last_utc_ms = MR_T_NONE;
    f->out.aligned = &f->al;
    f->out.job = f->job;
    f->a = (struct mr_assess){.arena = arena, .aligned = &f->al, .job = f->job, .diags = &f->diags, .out = &f->out};
    return f;
}

void hand_free(struct hand *f) {
    mr_arena_free(f->arena);
}

int64_t hand_ms(double seconds) {
    return HAND_T0 + (int64_t)llround(seconds * 1000.0);
}

size_t hand_zone(struct hand *f, const char *name, double area_m2, int coats) {
    struct mr_zone zone = {.name = name,
                           .aliases = "",
                           .registered = true,
                           .area_m2 = area_m2,
                           .steel_mm = 6,
                           .profile_um = NAN,
                           .member_mm = NAN,
                           .substrate = "",
                           .grade = "",
                           .settings = &f->job->settings,
                           .coats = coats,
                           .place = {paths[FILE_ZONES], (uint32_t)f->al.zones.n + 2, 0, 0}};
    MR_PUSH(f->arena, &f->al.zones, zone);
    return f->al.zones.n - 1;
}

size_t hand_shift(struct hand *f, const char *name, double t0_s, double t1_s) {
    struct mr_shift shift = {hand_ms(t0_s), hand_ms(t1_s), hand_ms(t0_s) / 86400000 * 86400000, name};
    MR_PUSH(f->arena, &f->al.shifts, shift);
    return f->al.shifts.n - 1;
}

/* A row of the spray log at the next line. The list of rows may move, so each row is kept apart as well. */
static struct mr_spray *spray_row(struct hand *f, enum mr_action action, size_t zone, double t0_s, double t1_s) {
    struct mr_spray *row = MR_NEW(f->arena, struct mr_spray);
    *row = (struct mr_spray){.file = FILE_SPRAY,
                             .line = (uint32_t)f->data.sprays.n + 2,
                             .action = action,
                             .action_text = "action",
                             .start_ms = hand_ms(t0_s),
                             .stop_ms = hand_ms(t1_s),
                             .zone = zone == MR_NONE ? "" : f->al.zones.v[zone].name,
                             .coat = "",
                             .direction = "",
                             .lot_a = "",
                             .lot_b = "",
                             .role = "",
                             .note = "",
                             .shelf_a_ms = MR_T_NONE,
                             .shelf_b_ms = MR_T_NONE,
                             .from_a_ms = MR_T_NONE,
                             .from_b_ms = MR_T_NONE,
                             .distance_mm = NAN};
    MR_PUSH(f->arena, &f->data.sprays, *row);
    return row;
}

static void reach(struct hand *f, int64_t t_ms) {
    if (f->al.last_utc_ms == MR_T_NONE || t_ms > f->al.last_utc_ms)
        f->al.last_utc_ms = t_ms;
}

size_t hand_window(struct hand *f, size_t zone, int coat, double t0_s, double t1_s) {
    struct mr_spray *row = spray_row(f, MR_ACTION_SPRAY, zone, t0_s, t1_s);
    struct mr_window w = {.zone = zone,
                          .coat = coat,
                          .t0_utc_ms = hand_ms(t0_s),
                          .t1_utc_ms = hand_ms(t1_s),
                          .log = row,
                          .n_rows = 1,
                          .shift = f->al.shifts.n > 0 ? f->al.shifts.n - 1 : 0,
                          .place = {paths[FILE_SPRAY], row->line, 0, 0}};
    MR_PUSH(f->arena, &f->al.windows, w);
    reach(f, w.t1_utc_ms);
    return f->al.windows.n - 1;
}

void hand_lots(struct hand *f, size_t window, const char *lot_a, const char *lot_b, int64_t shelf_a_ms) {
    struct mr_spray *row = MR_NEW(f->arena, struct mr_spray);
    *row = *f->al.windows.v[window].log;
    row->lot_a = lot_a;
    row->lot_b = lot_b;
    row->shelf_a_ms = shelf_a_ms;
    f->al.windows.v[window].log = row;
    f->data.sprays.v[row->line - 2] = *row;
}

struct hand *hand_two_zones(const char *job) {
    struct hand *f = hand_new(job);
    hand_zone(f, "Deck 1", 10, 1);
    hand_zone(f, "Deck 2", 20, 1);
    hand_shift(f, "2026-05-11", 0, 2000);
    hand_lots(f, hand_window(f, 0, 1, 0, 600), "A-1", "B-1", MR_T_NONE);
    hand_lots(f, hand_window(f, 1, 1, 700, 1900), "A-1", "B-1", MR_T_NONE);
    return f;
}

void hand_action(struct hand *f, enum mr_action action, double t0_s, double t1_s) {
    struct mr_spray *row = spray_row(f, action, MR_NONE, t0_s, t1_s);
    struct mr_action_at at = {row,     hand_ms(t0_s), hand_ms(t1_s),
                              MR_NONE, MR_NONE,       {paths[FILE_SPRAY], row->line, 0, 0}};
    MR_PUSH(f->arena, &f->al.actions, at);
    reach(f, at.t1_utc_ms);
}

double hand_flat(double t_s, const double *ctx) {
    (void)t_s;
    return ctx[0];
}

double hand_steps(double t_s, const double *ctx) {
    double value = ctx[0];
    for (const double *p = ctx + 1; !isnan(p[0]); p += 3)
        if (t_s >= p[0] && t_s < p[1])
            value = p[2];
    return value;
}

size_t hand_track(struct hand *f, const char *instrument, enum mr_meaning meaning, double t0_s, double step_s,
                  size_t n, hand_curve curve, const double *ctx) {
    int64_t *t = MR_ARRAY(f->arena, int64_t, n);
    double *v = MR_ARRAY(f->arena, double, n);
    int64_t *line = MR_ARRAY(f->arena, int64_t, n);
    for (size_t i = 0; i < n; i++) {
        t[i] = hand_ms(t0_s + step_s * (double)i);
        v[i] = curve(t0_s + step_s * (double)i, ctx);
        line[i] = (int64_t)i + 2;
    }
    bool pressure = meaning == MR_M_LINE_A || meaning == MR_M_LINE_B || meaning == MR_M_MAIN;
    struct mr_track track = {.instrument = instrument,
                             .channel = "channel",
                             .meaning = meaning,
                             .n = n,
                             .t_utc_ms.raw = t,
                             .value.raw = v,
                             .line.raw = line,
                             .file0 = pressure ? FILE_LINES : FILE_CLIMATE};
    MR_PUSH(f->arena, &f->al.tracks, track);
    if (n > 0)
        reach(f, t[n - 1]);
    return f->al.tracks.n - 1;
}

void hand_item(struct hand *f, int64_t shift, const char *item, int done, const char *role) {
    struct mr_shift_item row = {.file = FILE_SHIFT,
                                .line = (uint32_t)f->data.shift_items.n + 2,
                                .day_ms = HAND_T0 / 86400000 * 86400000,
                                .item = item,
                                .role = role,
                                .note = "",
                                .done = done};
    MR_PUSH(f->arena, &f->data.shift_items, row);
    MR_PUSH(f->arena, &f->al.shift_item_shift, shift);
}

void hand_material(struct hand *f, double t_s, char part, const char *lot, double before, double after,
                   enum mr_unit unit) {
    struct mr_material row = {.file = FILE_MATERIAL,
                              .line = (uint32_t)f->data.materials.n + 2,
                              .t_ms = hand_ms(t_s),
                              .part = part,
                              .drum = "drum",
                              .lot = lot,
                              .note = "",
                              .before = before,
                              .after = after,
                              .unit = unit,
                              .shelf_ms = MR_T_NONE,
                              .from_ms = MR_T_NONE};
    MR_PUSH(f->arena, &f->data.materials, row);
    MR_PUSH(f->arena, &f->al.material_utc, row.t_ms);
}

void hand_film(struct hand *f, size_t zone, double mean_um) {
    struct mr_zone_film film = {.zone = zone, .mean_um = mean_um, .n_readings = 15};
    MR_PUSH(f->arena, &f->out.films, film);
}

const struct mr_check *hand_check(const struct hand *f, const char *id, size_t zone, int coat) {
    for (size_t i = 0; i < f->out.checks.n; i++) {
        const struct mr_check *c = &f->out.checks.v[i];
        if (strcmp(c->id, id) == 0 && c->zone == zone && c->coat == coat)
            return c;
    }
    return NULL;
}

const struct mr_finding *hand_finding(const struct hand *f, const char *id, size_t nth) {
    for (size_t i = 0; i < f->out.findings.n; i++)
        if (strcmp(f->out.findings.v[i].id, id) == 0 && nth-- == 0)
            return &f->out.findings.v[i];
    return NULL;
}

size_t hand_count(const struct hand *f, const char *id) {
    size_t n = 0;
    while (hand_finding(f, id, n) != NULL)
        n++;
    return n;
}

const struct mr_table *hand_table(const struct hand *f, const char *id) {
    for (size_t i = 0; i < f->out.tables.n; i++)
        if (strcmp(f->out.tables.v[i]->id, id) == 0)
            return f->out.tables.v[i];
    return NULL;
}

const struct mr_value *hand_cell(const struct mr_table *table, size_t row, const char *key) {
    for (size_t i = 0; i < table->n_fields; i++)
        if (strcmp(table->fields[i].key, key) == 0 && row < table->n_rows)
            return &table->values.v[row * table->n_fields + i];
    cr_assert_fail("no such cell: %s row %zu", key, row);
    return NULL;
}

double hand_psi_steps(double t_s, const double *ctx) {
    return hand_steps(t_s, ctx) * 6.894757293168361;
}

struct hand *hand_play(const char *job, struct scene s) {
    struct hand *f = hand_new(job);
    hand_zone(f, "Deck 1", 30, 1);
    hand_shift(f, "2026-05-11", 0, 600);
    hand_window(f, 0, 1, 0, 600);
    const double step_s = s.step_s > 0 ? s.step_s : 1.0;
    const size_t n = (size_t)(720 / step_s) + 1;
    const struct {
        enum mr_meaning meaning;
        const double *steps;
        hand_curve curve;
    } tracks[] = {{MR_M_LINE_A, s.a, s.of_a}, {MR_M_LINE_B, s.b, s.of_b}, {MR_M_MAIN, s.main, s.of_main}};
    for (size_t i = 0; i < MR_COUNT(tracks); i++)
        if (tracks[i].steps || tracks[i].curve)
            hand_track(f, "P1", tracks[i].meaning, -60, step_s, n, tracks[i].curve ? tracks[i].curve : hand_psi_steps,
                       tracks[i].steps);
    mr_assess_lines(&f->a);
    return f;
}
