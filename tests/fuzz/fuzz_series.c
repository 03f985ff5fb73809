/*
 * fuzz_series.c - any bytes, from file to series. A first byte of '2' splits the rest into two files at its middle,
 * so that overlap and inference over several files are met too.
 *
 * Laws: the identity of every account, by parts and by runs; every record's line lies within its file; times that are
 * there are in range; values are in range or missing; the same bytes give the same dump, explanation and JSON.
 */
#include "fuzz/fuzz.h"

#include "normalise/column/column_map.h"

#include <math.h>
#include <string.h>

static const int64_t far_ms = INT64_C(400000000000000); /* beyond year 9999 and any clock time added to it */

static void check_account(const struct mr_file *f) {
    const struct mr_account *a = &f->account;
    uint64_t reasons = 0, runs = 0;
    uint32_t line = 0;
    FUZZ_CHECK(a->rows_read == f->source->rows);
    FUZZ_CHECK(a->rows_read == a->rows_header + a->rows_used + a->rows_set_aside);
    for (size_t i = 0; i < MR_ASIDE_COUNT; i++)
        reasons += a->by_reason[i];
    for (size_t i = 0; i < a->runs.n; i++) {
        runs += a->runs.v[i].rows;
        FUZZ_CHECK(a->runs.v[i].line >= line && a->runs.v[i].line_end >= a->runs.v[i].line);
        line = a->runs.v[i].line;
    }
    FUZZ_CHECK(reasons == a->rows_set_aside && runs == reasons);
}

static void check_records(const struct mr_data *data) {
    uint64_t readings[2] = {0};
    for (size_t i = 0; i < data->channels.n; i++) {
        const struct mr_channel *c = &data->channels.v[i];
        for (size_t k = 0; k < c->n; k++) {
            FUZZ_CHECK(mr_whole(&c->t_ms, k) > -far_ms && mr_whole(&c->t_ms, k) < far_ms);
            FUZZ_CHECK(isnan(mr_real(&c->value, k)) || fabs(mr_real(&c->value, k)) < 1e9);
            FUZZ_CHECK(k == 0 || mr_whole(&c->line, k) > mr_whole(&c->line, k - 1));
        }
    }
    for (size_t i = 0; i < data->readings.n; i++) {
        const struct mr_reading *r = &data->readings.v[i];
        readings[r->file]++;
        FUZZ_CHECK(isfinite(r->film_um) && r->unit != MR_UNIT_NONE && r->line > 0);
        FUZZ_CHECK(r->zone && r->coat && r->area && r->spot && r->serial && r->probe && r->note);
    }
    for (size_t i = 0; i < data->files.n; i++)
        FUZZ_CHECK(readings[i] >=
                   (data->files.v[i].kind == MR_KIND_THICKNESS ? data->files.v[i].account.rows_used : 0));
}

/* The job without a job file and the built-in column maps never change, and making them takes several times as long
 * as an input: once for the process. */
static struct setting {
    struct mr_arena *arena; /* kept for good, and known to the leak checker by this */
    const struct mr_job *job;
    struct mr_maps maps;
} setting;

static void make_setting(void) {
    struct mr_diags diags;
    if (setting.arena)
        return;
    setting.arena = mr_arena_new(NULL, NULL);
    mr_diags_init(&diags, setting.arena);
    setting.job = mr_job_default(setting.arena);
    mr_maps_load(setting.arena, setting.job, &diags, &setting.maps);
    FUZZ_CHECK(diags.list.n == 0);
}

static char *run(struct mr_arena *arena, const uint8_t *data, size_t size, size_t cut) {
    struct mr_diags diags;
    struct mr_sources sources = {.job = setting.job};
    const struct mr_data *out;
    mr_diags_init(&diags, arena);
    for (size_t i = 0; i < (cut ? 2 : 1); i++) {
        struct mr_source source;
        const char *from = (const char *)data + (i ? cut : 0);
        size_t n = i ? size - cut : cut ? cut : size;
        FUZZ_CHECK(mr_read_memory(arena, sources.job, i ? "thickness b.csv" : "climate a.csv", from, n, &diags,
                                  &source) == MR_OK);
        MR_PUSH(arena, &sources.list, source);
    }
    FUZZ_CHECK(mr_normalise_with(arena, &setting.maps, &sources, &diags, &out) == MR_OK);
    for (size_t i = 0; i < out->files.n; i++)
        check_account(&out->files.v[i]);
    check_records(out);
    return mr_printf(arena, "%s%s%s", mr_normalise_dump(arena, out), mr_explain_text(arena, out),
                     mr_explain_json(arena, out));
}

FUZZ_TARGET(series) {
    make_setting();
    size_t cut = size > 2 && data[0] == '2' ? size / 2 : 0;
    struct mr_arena *first = mr_arena_new(NULL, NULL), *second = mr_arena_new(NULL, NULL);
    FUZZ_CHECK(strcmp(run(first, data, size, cut), run(second, data, size, cut)) == 0);
    mr_arena_free(first);
    mr_arena_free(second);
}
