/*
 * fuzz_folder.c - any bytes as a whole job folder, from its files to its verdict. Parts begin after a line "%%NAME";
 * what stands before the first is the job file, and where that is refused the job without one is taken.
 *
 * Laws: a zone's outcome is its worst check, the job's none better than a zone's; nothing conforms without a check
 * that does; what was measured is no infinity; the same bytes give the same judgement.
 */
#include "fuzz/fuzz.h"

#include "base/text.h"
#include "milrise/assess.h"
#include "read/job/job_reader.h"

#include <math.h>
#include <string.h>

enum { FILES_MOST = 6 };

static void check_outcomes(const struct mr_assessment *a) {
    for (size_t z = 0; z < a->aligned->zones.n; z++) {
        enum mr_outcome worst = MR_NOT_REQUIRED;
        bool any = false;
        for (size_t i = 0; i < a->checks.n; i++) {
            const struct mr_check *c = &a->checks.v[i];
            FUZZ_CHECK(!isinf(c->measured));
            if (c->zone != z)
                continue;
            worst = mr_outcome_worst(worst, c->outcome);
            any = any || c->outcome == MR_CONFORMS;
        }
        FUZZ_CHECK(a->zones[z].outcome == worst);
        FUZZ_CHECK(a->zones[z].outcome != MR_CONFORMS || any);
        FUZZ_CHECK(a->outcome >= a->zones[z].outcome);
    }
}

static const struct mr_job *job_of(struct mr_arena *arena, const char *text, size_t n, struct mr_diags *diags) {
    struct mr_job *job;
    return mr_job_parse(arena, "", "job.milrise", text, n, diags, &job) == MR_OK ? job : mr_job_default(arena);
}

/* The end of the part at text: the next line that begins with two percent signs, or the end of all. */
static const char *part_end(const char *text, const char *end) {
    for (const char *p = text; p < end; p++)
        if (end - p >= 3 && p[0] == '\n' && p[1] == '%' && p[2] == '%')
            return p + 1;
    return end;
}

static char *run(struct mr_arena *arena, const char *text, size_t n) {
    const char *end = text + n, *at = part_end(text, end);
    struct mr_diags diags;
    mr_diags_init(&diags, arena);
    struct mr_sources sources = {.job = job_of(arena, text, (size_t)(at - text), &diags)};
    while (at < end && sources.list.n < FILES_MOST) {
        const char *line_end = memchr(at, '\n', (size_t)(end - at));
        const char *from = line_end ? line_end + 1 : end, *next = part_end(from > at ? from - 1 : at, end);
        const char *name = mr_clean_text(arena, at + 2, (size_t)((line_end ? line_end : end) - at - 2), 64);
        struct mr_source source;
        FUZZ_CHECK(mr_read_memory(arena, sources.job, *name ? name : "x.csv", from,
                                  next > from ? (size_t)(next - from) : 0, &diags, &source) == MR_OK);
        MR_PUSH(arena, &sources.list, source);
        at = next > from ? next : from;
    }
    const struct mr_data *read;
    const struct mr_alignment *aligned;
    const struct mr_assessment *judged;
    FUZZ_CHECK(mr_normalise(arena, &sources, &diags, &read) == MR_OK);
    enum mr_status status = mr_align(arena, read, &diags, &aligned);
    if (status == MR_E_JOB) { /* a time zone that is none: nothing is judged, and it is told */
        FUZZ_CHECK(diags.list.n > 0);
        return mr_strdup(arena, "");
    }
    FUZZ_CHECK(status == MR_OK || status == MR_E_NODATA);
    status = mr_assess(arena, aligned, &diags, &judged);
    FUZZ_CHECK(status == MR_OK || status == MR_E_NODATA);
    check_outcomes(judged);
    return mr_assess_dump(arena, judged);
}

FUZZ_TARGET(folder) {
    struct mr_arena *first = mr_arena_new(NULL, NULL), *second = mr_arena_new(NULL, NULL);
    FUZZ_CHECK(strcmp(run(first, (const char *)data, size), run(second, (const char *)data, size)) == 0);
    mr_arena_free(first);
    mr_arena_free(second);
}
