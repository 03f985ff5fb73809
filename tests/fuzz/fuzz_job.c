/*
 * fuzz_job.c - any bytes as a job file.
 *
 * Laws: it is refused if and only if an error is told; every error has its line; what was taken lies in its range;
 * the same bytes give the same messages.
 */
#include "fuzz/fuzz.h"

#include "base/setting_range.h"
#include "read/job/job_reader.h"

#include <string.h>

static void check_settings(const struct mr_settings *settings) {
    for (size_t i = 0; i < MR_SETTING_COUNT; i++) {
        const struct mr_setting *s = &settings->v[i];
        if (s->set && mr_setting_defs[i].type == MR_SETTING_NUMBER)
            FUZZ_CHECK(mr_setting_in_range((enum mr_setting_id)i, s->value));
        FUZZ_CHECK(s->text != NULL);
    }
}

static const char *run(struct mr_arena *arena, const char *text, size_t n) {
    struct mr_diags diags;
    struct mr_job *job;
    mr_diags_init(&diags, arena);
    const enum mr_status status = mr_job_parse(arena, "fuzz", "job.milrise", text, n, &diags, &job);
    uint32_t lines = 1;
    for (size_t i = 0; i < n; i++)
        lines += text[i] == '\n' || text[i] == '\r';
    size_t errors = 0;
    const char *told = "";
    for (size_t i = 0; i < diags.list.n; i++) {
        const struct mr_diag *d = &diags.list.v[i];
        errors += d->severity == MR_ERROR;
        FUZZ_CHECK(d->place.line <= lines);
        if (i < 50)
            told = mr_printf(arena, "%s%s\n", told, mr_diag_line(arena, d));
    }
    FUZZ_CHECK((status == MR_OK) == (errors == 0));
    check_settings(&job->settings);
    for (size_t i = 0; i < job->specs.n; i++)
        check_settings(&job->specs.v[i]);
    return told;
}

FUZZ_TARGET(job) {
    struct mr_arena *first = mr_arena_new(NULL, NULL), *second = mr_arena_new(NULL, NULL);
    FUZZ_CHECK(strcmp(run(first, (const char *)data, size), run(second, (const char *)data, size)) == 0);
    mr_arena_free(first);
    mr_arena_free(second);
}
