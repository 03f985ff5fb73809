#include "support/norm_rig.h"

#include "normalise/explain/shown_rows.h"

#include <string.h>

void norm_begin(struct norm_rig *rig) {
    *rig = (struct norm_rig){.arena = mr_arena_new(NULL, NULL)};
    mr_diags_init(&rig->diags, rig->arena);
    rig->job = MR_NEW(rig->arena, struct mr_job);
    *rig->job = *mr_job_default(rig->arena);
    rig->sources.job = rig->job;
}

void norm_add(struct norm_rig *rig, const char *path, const char *text, size_t size) {
    struct mr_source source;
    enum mr_status status =
        mr_read_memory(rig->arena, rig->job, path, text, size ? size : strlen(text), &rig->diags, &source);
    if (status != MR_OK)
        rig->status = status;
    mr_read_split(rig->arena, rig->job, &source, &rig->sources);
}

void norm_run(struct norm_rig *rig) {
    enum mr_status status = mr_normalise(rig->arena, &rig->sources, &rig->diags, &rig->data);
    if (rig->status == MR_OK)
        rig->status = status;
}

void norm_end(struct norm_rig *rig) {
    mr_arena_free(rig->arena);
}

struct mr_file_rule *norm_rule(struct norm_rig *rig, const char *glob) {
    struct mr_file_rule rule = {.glob = glob,
                                .kind = "",
                                .encoding = "",
                                .delimiter = "",
                                .decimal = "",
                                .dates = "",
                                .time_zone = "",
                                .start = "",
                                .instrument = "",
                                .missing = "",
                                .columns = "",
                                .place = {.file = "job.milrise", .line = 12}};
    MR_PUSH(rig->arena, &rig->job->file_rules, rule);
    return &rig->job->file_rules.v[rig->job->file_rules.n - 1];
}

void norm_rule_column(struct norm_rig *rig, struct mr_file_rule *rule, const char *name, const char *meaning,
                      const char *unit) {
    struct mr_file_column column = {name, meaning, unit};
    MR_PUSH(rig->arena, &rule->column, column);
}

const char *norm_line(struct norm_rig *rig, size_t file) {
    const struct mr_file *f = &rig->data->files.v[file];
    struct mr_buffer p = {.arena = rig->arena};
    mr_buffer_put(&p, "%s; %u header, %u used", mr_kind_word(f->kind), (unsigned)f->account.rows_header,
                  (unsigned)f->account.rows_used);
    for (size_t i = 0; i < MR_ASIDE_COUNT; i++)
        if (f->account.by_reason[i])
            mr_buffer_put(&p, ", %s %u", mr_aside_word((enum mr_aside)i), (unsigned)f->account.by_reason[i]);
    if (*f->date_order)
        mr_buffer_put(&p, "; %s", f->date_order);
    if (f->basis == MR_TIME_UTC)
        mr_buffer_put(&p, "; UTC");
    struct mr_shown rows[2];
    size_t n = mr_shown_rows(rig->arena, rig->data, file, rows);
    for (size_t i = 0; i < n; i++)
        mr_buffer_put(&p, "; %u: %s", (unsigned)rows[i].line, rows[i].text);
    return mr_buffer_end(&p);
}

size_t norm_count(const struct norm_rig *rig, const char *id) {
    size_t n = 0;
    for (size_t i = 0; i < rig->diags.list.n; i++)
        n += strcmp(rig->diags.list.v[i].id, id) == 0;
    return n;
}

const char *norm_first(struct norm_rig *rig, const char *id) {
    for (size_t i = 0; i < rig->diags.list.n; i++)
        if (strcmp(rig->diags.list.v[i].id, id) == 0)
            return mr_diag_line(rig->arena, &rig->diags.list.v[i]);
    return "";
}

const struct mr_channel *norm_channel(const struct norm_rig *rig, size_t file, enum mr_meaning meaning, size_t nth) {
    for (size_t i = 0; i < rig->data->channels.n; i++) {
        const struct mr_channel *c = &rig->data->channels.v[i];
        if (c->file == file && c->meaning == meaning && nth-- == 0)
            return c;
    }
    return NULL;
}

bool norm_identity(const struct norm_rig *rig) {
    for (size_t i = 0; i < rig->data->files.n; i++) {
        const struct mr_account *a = &rig->data->files.v[i].account;
        uint64_t reasons = 0, runs = 0;
        for (size_t k = 0; k < MR_ASIDE_COUNT; k++)
            reasons += a->by_reason[k];
        for (size_t k = 0; k < a->runs.n; k++)
            runs += a->runs.v[k].rows;
        if (a->rows_read != a->rows_header + a->rows_used + a->rows_set_aside || reasons != a->rows_set_aside ||
            runs != reasons || a->rows_read != rig->sources.list.v[i].rows)
            return false;
    }
    return true;
}
