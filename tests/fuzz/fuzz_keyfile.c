/*
 * fuzz_keyfile.c - any bytes as a job file.
 *
 * Laws: no crash; a syntax error is always explained; places lie inside the text; keys are folded and not empty; the
 * same bytes give the same diagnostics; a job is handed over unless there is an error.
 */
#include "fuzz/fuzz.h"

#include "base/keyfile.h"
#include "read/job/job_reader.h"

#include <string.h>

static void check_places(const struct mr_keyfile *keys, uint32_t lines) {
    for (size_t s = 0; s < keys->sections.n; s++) {
        const struct mr_key_section *section = &keys->sections.v[s];
        FUZZ_CHECK(section->name && section->argument);
        for (size_t k = 0; k < section->keys.n; k++) {
            const struct mr_key *key = &section->keys.v[k];
            FUZZ_CHECK(key->key && *key->key && key->value && key->raw_key);
            FUZZ_CHECK(key->place.line >= 1 && key->place.line <= lines);
            FUZZ_CHECK(mr_key_find(section, key->key) != NULL);
        }
    }
}

static char *all_diags(struct mr_arena *arena, const struct mr_diags *diags) {
    char *text = mr_strdup(arena, "");
    for (size_t i = 0; i < diags->list.n && i < 50; i++)
        text = mr_printf(arena, "%s%s\n", text, mr_diag_line(arena, &diags->list.v[i]));
    return text;
}

static char *parse_job(struct mr_arena *arena, const uint8_t *data, size_t size) {
    struct mr_diags diags;
    struct mr_job *job = NULL;
    mr_diags_init(&diags, arena);
    enum mr_status status = mr_job_parse(arena, "folder", "job.milrise", (const char *)data, size, &diags, &job);
    FUZZ_CHECK(status == MR_OK || (status == MR_E_JOB && diags.count[MR_ERROR] > 0));
    FUZZ_CHECK(status != MR_OK || (job && job->name && job->time_zone));
    return all_diags(arena, &diags);
}

FUZZ_TARGET(keyfile) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_diags diags;
    struct mr_keyfile keys = {0};
    uint32_t lines = 1;
    for (size_t i = 0; i < size; i++)
        lines += data[i] == '\n';
    mr_diags_init(&diags, arena);
    enum mr_status status = mr_keyfile_parse(arena, "fuzz.map", (const char *)data, size, &diags, &keys);
    FUZZ_CHECK((status == MR_OK) == (diags.count[MR_ERROR] == 0));
    check_places(&keys, lines);
    FUZZ_CHECK(strcmp(parse_job(arena, data, size), parse_job(arena, data, size)) == 0);
    mr_arena_free(arena);
}
