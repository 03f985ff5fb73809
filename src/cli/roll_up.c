/*
 * roll_up.c - what failed comes first, then what is open, then what changed; what conforms is counted.
 */
#include "cli/roll_up.h"

#include "base/json.h"
#include "base/outfile.h"
#include "cli/console.h"

#include <errno.h>
#include <math.h>
#include <string.h>
#include <sys/stat.h>

struct roll_text {
    struct mr_arena *arena;
    MR_VEC(char) v;
};

static void put(struct roll_text *out, const char *text) {
    for (; *text; text++)
        MR_PUSH(out->arena, &out->v, *text);
}

static bool failed(const struct mr_roll_job *job) {
    return *job->state.failure != '\0' || job->state.exit_status < 0;
}

static bool is_open(const struct mr_roll_job *job) {
    return !failed(job) && job->state.exit_status != MR_EXIT_CONFORMS;
}

static bool changed(const struct mr_roll_job *job) {
    return job->reported && *job->state.before && strcmp(job->state.before, mr_job_state_text(&job->state)) != 0;
}

static const char *zones_text(struct mr_arena *arena, const struct mr_job_state *s) {
    long long all = 0;
    for (size_t i = 0; i < 4; i++)
        all += (long long)s->zones[i];
    return mr_printf(arena, "%lld of %lld %s open", (long long)(s->zones[2] + s->zones[3]), all,
                     all == 1 ? "zone" : "zones");
}

static const char *film_text(struct mr_arena *arena, const struct mr_job_state *s) {
    if (isnan(s->film_low_um))
        return "";
    return mr_printf(arena, ", film %.0f to %.0f um by zone", s->film_low_um, s->film_high_um);
}

static const char *job_line(struct mr_arena *arena, const struct mr_roll_job *job) {
    const struct mr_job_state *s = &job->state;
    const char *name = *s->name ? mr_printf(arena, " (%s)", s->name) : "";
    const char *facts = failed(job) ? "" : mr_printf(arena, ", %s%s", zones_text(arena, s), film_text(arena, s));
    return mr_printf(arena, "  %s%s: %s%s, since %s%s%s\n", job->dir, name, mr_job_state_text(s), facts,
                     *s->since ? s->since : "not known", *s->before ? ", before: " : "", s->before);
}

static void put_section(struct roll_text *out, const struct mr_roll_up *roll, const char *title,
                        bool (*belongs)(const struct mr_roll_job *job)) {
    size_t n = 0;
    for (size_t i = 0; i < roll->jobs.n; i++)
        n += belongs(&roll->jobs.v[i]);
    if (!n)
        return;
    put(out, mr_printf(out->arena, "\n%s: %zu\n", title, n));
    for (size_t i = 0; i < roll->jobs.n; i++)
        if (belongs(&roll->jobs.v[i]))
            put(out, job_line(out->arena, &roll->jobs.v[i]));
}

static char *text_of(struct mr_arena *arena, const char *share, const struct mr_roll_up *roll, const char *when) {
    struct roll_text out = {.arena = arena};
    size_t conforms = 0, reported = 0;
    for (size_t i = 0; i < roll->jobs.n; i++) {
        conforms += !failed(&roll->jobs.v[i]) && !is_open(&roll->jobs.v[i]);
        reported += roll->jobs.v[i].reported;
    }
    put(&out,
        mr_printf(arena, "%s, %s: %zu %s, %zu reported now\n%zu %s\n", share, when, roll->jobs.n,
                  roll->jobs.n == 1 ? "job" : "jobs", reported, conforms, conforms == 1 ? "conforms" : "conform"));
    put_section(&out, roll, "No report", failed);
    put_section(&out, roll, "Open", is_open);
    put_section(&out, roll, "Changed since the sweep before", changed);
    put(&out,
        "\nThe answer.txt in each job says what to do. The reports assist and do not replace a qualified coating "
        "inspector.\n");
    MR_PUSH(arena, &out.v, '\0');
    return out.v.v;
}

static void put_job(struct mr_json *j, const struct mr_roll_job *job) {
    const struct mr_job_state *s = &job->state;
    static const char *const outcomes[4] = {"not required", "conforms", "not shown", "does not conform"};
    mr_json_object(j, NULL, false);
    mr_json_text(j, "folder", job->dir);
    mr_json_text(j, "name", s->name);
    mr_json_text(j, "crew", s->crew);
    mr_json_text(j, "outcome", failed(job) ? NULL : s->outcome);
    mr_json_text(j, "failure", *s->failure ? s->failure : NULL);
    mr_json_count(j, "exit_status", s->exit_status);
    mr_json_flag(j, "reported_now", job->reported);
    mr_json_text(j, "since", s->since);
    mr_json_text(j, "before", *s->before ? s->before : NULL);
    mr_json_object(j, "zones_by_outcome", true);
    for (size_t i = 0; i < 4; i++)
        mr_json_count(j, outcomes[i], s->zones[i]);
    mr_json_end(j);
    mr_json_count(j, "findings", s->findings);
    mr_json_count(j, "revision", s->revision);
    mr_json_number(j, "film_low_um", s->film_low_um);
    mr_json_number(j, "film_high_um", s->film_high_um);
    mr_json_end(j);
}

enum mr_status mr_roll_up_write(struct mr_arena *arena, const char *share, const struct mr_roll_up *roll,
                                const char *when) {
    const char *folder = mr_printf(arena, "%s/" MR_ROLL_UP, share);
    if (mkdir(folder, 0777) != 0 && errno != EEXIST)
        return MR_E_OUTPUT;
    struct mr_json *j = mr_json_memory(arena);
    mr_json_object(j, NULL, false);
    mr_json_text(j, "schema_version", "1.0");
    mr_json_text(j, "milrise_version", MR_VERSION);
    mr_json_text(j, "when", when);
    mr_json_array(j, "jobs", false);
    for (size_t i = 0; i < roll->jobs.n; i++)
        put_job(j, &roll->jobs.v[i]);
    mr_json_end(j);
    mr_json_end(j);
    const char *json = mr_json_take(j), *text = text_of(arena, share, roll, when);
    if (mr_file_write(arena, mr_printf(arena, "%s/roll-up.json", folder), json, strlen(json)) != MR_OK)
        return MR_E_OUTPUT;
    return mr_file_write(arena, mr_printf(arena, "%s/roll-up.txt", folder), text, strlen(text));
}
