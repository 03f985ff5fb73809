/*
 * normalise.c - the stage's entry: every file is planned and decoded, then what needs the whole job is done (units
 * that no file states, rows that stand in several files), then records and channels are published in the order of
 * files and lines.
 */
#include "normalise/unit/unit_evidence.h"

#include <math.h>
#include <string.h>

struct stage {
    struct mr_arena *arena, *scratch;
    const struct mr_sources *sources;
    const struct mr_job *job;
    struct mr_diags *diags;
    struct mr_data *data;
    const struct mr_maps *maps;
    struct mr_file_state *works;
};

/* --- one file -----------------------------------------------------------------------------------------------------
 */

static bool count_only(void *ctx, const struct mr_row *row) {
    struct mr_file_state *w = ctx;
    w->row_no++;
    bool head = row->part == MR_ROW_PREAMBLE || row->part == MR_ROW_HEADER;
    int why = w->copy_of != MR_NONE ? MR_ASIDE_COPY : MR_ASIDE_NOT_A_TABLE;
    mr_state_fate(w, head && w->copy_of != MR_NONE ? MR_FATE_HEADER : why, row);
    return true;
}

static size_t find_copy(const struct stage *s, size_t index) {
    const struct mr_source *self = &s->sources->list.v[index];
    for (size_t i = 0; i < index; i++) {
        const struct mr_source *other = &s->sources->list.v[i];
        if (other->size == self->size && other->readable && self->size && strcmp(other->sha256, self->sha256) == 0)
            return i;
    }
    return MR_NONE;
}

/* A spreadsheet puts more cells behind the serial ("TG-1,,Std,2.0"), or the figures as ="0412": the first cell, bare.
 */
static const char *first_cell(struct mr_arena *arena, const struct mr_source *source, const char *text) {
    char delimiter[2] = {source->delimiter, '\0'};
    size_t n = strcspn(text, delimiter);
    mr_trim(&text, &n);
    mr_unwrap(&text, &n);
    return n ? mr_strndup(arena, text, n) : NULL;
}

/* Serial numbers before names, and what the job knows before what it does not. */
static const char *preamble_instrument(const struct mr_job *job, struct mr_arena *arena,
                                       const struct mr_source *source) {
    static const char *const names[] = {
        ("serial|serial number|serial no|s n|sn|gauge serial|gage serial|gauge serial number|instrument serial|"
         "instrument serial number|device serial|logger serial|logger serial number|seriennummer|probe serial"),
        "logger|logger id|device id|instrument id|gauge id|hygrometer|thermometer|station",
        "device|instrument|gauge|gage|logger name|device name|instrument name"};
    const char *first = NULL;
    for (size_t i = 0; i < MR_COUNT(names); i++) {
        const char *text = mr_preamble_value(arena, source, names[i]);
        text = text ? first_cell(arena, source, text) : NULL;
        if (text && mr_job_instrument(job, text))
            return text;
        first = first ? first : text;
    }
    return first;
}

/* [file] rule, [instrument] files, serial in a column, serial in the preamble. */
static void find_instrument(struct mr_file_state *w) {
    const struct mr_file_rule *rule = w->source->rule;
    const struct mr_instrument *found = NULL;
    const char *name = "";
    if (rule && *rule->instrument) {
        found = mr_job_instrument(w->job, rule->instrument);
        name = rule->instrument;
    }
    for (size_t i = 0; i < w->job->instruments.n && !*name; i++)
        if (*w->job->instruments.v[i].files && mr_glob(w->job->instruments.v[i].files, w->source->path)) {
            found = &w->job->instruments.v[i];
            name = found->name;
        }
    if (!*name)
        name = w->serial;
    if (!*name) {
        const char *text = preamble_instrument(w->job, w->scratch, w->source);
        name = text ? mr_strdup(w->arena, text) : "";
    }
    if (*name && !found)
        found = mr_job_instrument(w->job, name);
    w->file->instrument = found;
    w->file->instrument_name = found ? found->name : name;
}

/* A unit in the preamble holds for the columns of its dimension that state none, or for the one it names. */
static void preamble_units(struct mr_file_state *w) {
    for (size_t i = 0; i < w->source->preamble.n; i++) {
        const struct mr_pair *p = &w->source->preamble.v[i];
        const char *words = mr_words_fold(w->scratch, p->name, strlen(p->name));
        for (size_t k = 0; k < w->plan->n; k++) {
            struct mr_plan_column *c = &w->plan->col[k];
            if (!c->unit_stated && mr_legend_scope(words, c->words, mr_meaning_dim(c->as.meaning)) &&
                mr_meaning_dim(c->as.meaning) != MR_DIM_NONE && c->as.unit == MR_UNIT_NONE &&
                mr_unit_parse(p->value, strlen(p->value), mr_meaning_dim(c->as.meaning), &c->as.unit)) {
                c->as.unit_why = "stated in the preamble";
                c->unit_stated = true;
            }
        }
    }
}

static mr_row_fn reader_of(enum mr_kind kind) {
    return kind == MR_KIND_UNKNOWN ? mr_row_unknown : mr_is_log(kind) ? mr_row_log : mr_row_record;
}

static void say_changed(struct mr_file_state *w) {
    mr_diag_add(w->diags, MR_ERROR, "changed", (struct mr_place){.file = w->source->path}, NULL,
                "Run again once the file is complete.",
                "the file could not be read to its end, or changed while it was read");
}

static const char *file_zone(struct mr_file_state *w) {
    const char *zone = mr_preamble_value(w->scratch, w->source, MR_ZONE_NAMES);
    return zone ? mr_strdup(w->arena, zone) : "";
}

/* Decimal commas in a file of commas: whole numbers under every heading, and as many numbers more without one. */
static bool split_by_commas(const struct mr_plan *plan, const struct mr_column_shapes *survey) {
    size_t unnamed = 0, numbers = 0;
    if (plan->source->delimiter != ',' || !plan->source->header_line || plan->shift)
        return false;
    for (size_t i = 0; i < plan->n; i++) {
        const struct mr_shape *s = &survey->col[i];
        bool number = s->cells && s->numbers == s->cells;
        if (number && s->integers < s->numbers)
            return false;
        bool named = *plan->source->columns[i].text;
        if (unnamed && named)
            return false;
        unnamed += !named && number;
        numbers += named && number;
    }
    return unnamed && numbers >= unnamed;
}

static void set_split_aside(struct mr_file_state *w) {
    mr_diag_add(
        w->diags, MR_ERROR, "ragged", (struct mr_place){.file = w->source->path, .line = w->source->first_body_line},
        NULL, "Export with semicolons, or with decimal points, or put numbers into quotes. File set aside.",
        "the rows hold more numbers than the header has names, and none has a fraction: decimal commas seem to "
        "divide them");
    mr_state_relabel(w, MR_ASIDE_RAGGED);
    w->log.n = 0;
    w->readings.n = w->verifications.n = w->sprays.n = w->shift_items.n = w->materials.n = w->zones.n = 0;
}

static void decode(struct stage *s, struct mr_file_state *w) {
    struct mr_column_shapes survey;
    if (mr_column_shapes_take(s->scratch, w->source, w->source->rule ? w->source->rule->missing : "", &survey) !=
        MR_OK) {
        say_changed(w);
        return;
    }
    w->plan = mr_plan_make(s->arena, s->job, s->maps, w->source, &survey, s->diags);
    preamble_units(w);
    mr_refuse_absolute(w);
    mr_say_unread(w, &survey);
    w->file->kind = w->plan->kind;
    w->file->kind_why = w->plan->kind_why;
    w->file->mend = w->plan->mend;
    mr_timer_init(&w->timer, s->arena, w->plan);
    if (mr_is_log(w->plan->kind))
        mr_log_begin(w);
    else if (mr_plan_column_of(w->plan, MR_M_ZONE) == MR_NONE)
        w->block_zone = file_zone(w);
    if (mr_read_rows(w->source, reader_of(w->plan->kind), w) != MR_OK)
        say_changed(w);
    mr_fill_down_say(w);
    if (split_by_commas(w->plan, &survey))
        set_split_aside(w);
}

/* Rows that a failed reading left uncounted keep the identity: they are set aside as what they are, unread. */
static void count_missing(struct mr_file_state *w) {
    uint64_t seen = 0;
    for (size_t i = 0; i < w->fates.n; i++)
        seen += w->fates.v[i].rows;
    if (seen < w->source->rows) {
        struct mr_fate_run run = {MR_ASIDE_NOT_A_TABLE, 0, 0, w->source->rows - seen};
        MR_PUSH(w->arena, &w->fates, run);
    }
}

static void take_file(struct stage *s, size_t index) {
    struct mr_file_state *w = &s->works[index];
    const struct mr_source *source = &s->sources->list.v[index];
    *w = (struct mr_file_state){.arena = s->arena,
                                .scratch = s->scratch,
                                .job = s->job,
                                .source = source,
                                .diags = s->diags,
                                .file = &s->data->files.v[index],
                                .index = (uint32_t)index,
                                .copy_of = find_copy(s, index),
                                .serial = "",
                                .block_zone = "",
                                .block_serial = ""};
    *w->file = (struct mr_file){.source = source,
                                .kind = MR_KIND_NOT_A_TABLE,
                                .kind_why = "",
                                .date_order = "",
                                .date_why = "",
                                .instrument_name = "",
                                .mend = "",
                                .first_ms = MR_T_NONE,
                                .last_ms = MR_T_NONE};
    if (!source->readable || source->encoding == MR_ENC_BINARY || !source->n_columns || w->copy_of != MR_NONE) {
        w->file->kind_why = !source->readable                   ? "the file cannot be read"
                            : source->encoding == MR_ENC_BINARY ? "the file is not text"
                            : w->copy_of != MR_NONE             ? "a copy of another file"
                            : source->rows == 0                 ? "the file is empty"
                                                                : "no table was found in the file";
        if (mr_read_rows(source, count_only, w) != MR_OK && source->readable)
            say_changed(w);
        return;
    }
    decode(s, w);
    find_instrument(w);
}

/* --- publishing ---------------------------------------------------------------------------------------------------
 */

static void span(struct mr_file *f, int64_t t) {
    if (t == MR_T_NONE)
        return;
    f->first_ms = f->first_ms == MR_T_NONE || t < f->first_ms ? t : f->first_ms;
    f->last_ms = f->last_ms == MR_T_NONE || t > f->last_ms ? t : f->last_ms;
}

static void publish_wide(struct stage *s, struct mr_file_state *w) {
    const struct mr_log *log = &w->log;
    const char *zone = file_zone(w);
    for (size_t k = 0; k < log->channels.n; k++) {
        const struct mr_log_channel *c = &log->channels.v[k];
        if (c->dropped || !log->n)
            continue;
        struct mr_channel out = {.file = w->index,
                                 .name = c->name,
                                 .meaning = c->meaning,
                                 .zone = zone,
                                 .n = log->n,
                                 .t_ms = log->t_ms,
                                 .line = log->line,
                                 .value = c->value};
        MR_PUSH(s->arena, &s->data->channels, out);
    }
}

static void publish_long(struct stage *s, struct mr_file_state *w) {
    const struct mr_log *log = &w->log;
    size_t *count = MR_ARRAY(s->scratch, size_t, log->channels.n + 1);
    for (size_t i = 0; i < log->n; i++)
        count[log->which[i]]++;
    const char *zone = file_zone(w);
    struct mr_channel *out = MR_ARRAY(s->scratch, struct mr_channel, log->channels.n + 1);
    int64_t **t = MR_ARRAY(s->scratch, int64_t *, log->channels.n + 1);
    uint32_t **line = MR_ARRAY(s->scratch, uint32_t *, log->channels.n + 1);
    double **value = MR_ARRAY(s->scratch, double *, log->channels.n + 1);
    for (size_t k = 0; k < log->channels.n; k++) {
        t[k] = MR_ARRAY(s->arena, int64_t, count[k]);
        line[k] = MR_ARRAY(s->arena, uint32_t, count[k]);
        value[k] = MR_ARRAY(s->arena, double, count[k]);
        out[k] = (struct mr_channel){.file = w->index,
                                     .name = log->channels.v[k].name,
                                     .meaning = log->channels.v[k].meaning,
                                     .zone = zone,
                                     .t_ms = t[k],
                                     .line = line[k],
                                     .value = value[k]};
    }
    for (size_t i = 0; i < log->n; i++) {
        size_t k = log->which[i], at = out[k].n++;
        t[k][at] = log->t_ms[i];
        line[k][at] = log->line[i];
        value[k][at] = log->value[i];
    }
    for (size_t k = 0; k < log->channels.n; k++)
        if (out[k].n && !log->channels.v[k].dropped)
            MR_PUSH(s->arena, &s->data->channels, out[k]);
}

#define APPEND(stage, to, from)                                                                                      \
    for (size_t i_ = 0; i_ < (from).n; i_++)                                                                         \
    MR_PUSH((stage)->arena, &(stage)->data->to, (from).v[i_])

static void publish_records(struct stage *s, struct mr_file_state *w) {
    if (w->plan->kind == MR_KIND_BASE_METAL) {
        APPEND(s, base_metal, w->readings);
    } else {
        APPEND(s, readings, w->readings);
    }
    APPEND(s, verifications, w->verifications);
    APPEND(s, sprays, w->sprays);
    APPEND(s, shift_items, w->shift_items);
    APPEND(s, materials, w->materials);
    APPEND(s, zones, w->zones);
}

static void find_span(struct mr_file_state *w) {
    struct mr_file *f = w->file;
    for (size_t i = 0; i < w->log.n; i++)
        span(f, w->log.t_ms[i]);
    for (size_t i = 0; i < w->readings.n; i++)
        span(f, w->readings.v[i].t_ms);
    for (size_t i = 0; i < w->verifications.n; i++)
        span(f, w->verifications.v[i].t_ms);
    for (size_t i = 0; i < w->sprays.n; i++) {
        span(f, w->sprays.v[i].start_ms);
        span(f, w->sprays.v[i].stop_ms);
    }
    for (size_t i = 0; i < w->shift_items.n; i++)
        span(f, w->shift_items.v[i].day_ms);
    for (size_t i = 0; i < w->materials.n; i++)
        span(f, w->materials.v[i].t_ms);
}

static void publish(struct stage *s, struct mr_file_state *w) {
    struct mr_column *columns = MR_ARRAY(s->arena, struct mr_column, w->plan->n);
    for (size_t i = 0; i < w->plan->n; i++)
        columns[i] = w->plan->col[i].as;
    w->file->columns = columns;
    w->file->n_columns = w->plan->n;
    find_span(w);
    if (w->plan->kind == MR_KIND_UNKNOWN)
        return;
    if (w->log.is_long)
        publish_long(s, w);
    else
        publish_wide(s, w);
    publish_records(s, w);
}

static void note_hidden(struct mr_file_state *w) {
    for (size_t i = 0; i < MR_ASIDE_COUNT; i++)
        if (w->said[i] > MR_SAY_MOST)
            mr_diag_add(w->diags, MR_ERROR, mr_aside_word((enum mr_aside)i),
                        (struct mr_place){.file = w->source->path}, NULL, NULL,
                        "%llu more of the same are not listed", (unsigned long long)(w->said[i] - MR_SAY_MOST));
}

static void note_copy(struct stage *s, struct mr_file_state *w) {
    w->file->copy_of = s->sources->list.v[w->copy_of].path;
    w->file->kind = s->works[w->copy_of].file->kind;
    mr_diag_add(s->diags, MR_NOTE, "copy", (struct mr_place){.file = w->source->path}, NULL, NULL,
                "the file is a copy of %s, byte for byte; it counts once", w->file->copy_of);
}

static bool finish(struct stage *s, size_t n) {
    bool whole = true;
    for (size_t i = 0; i < n; i++) {
        struct mr_file_state *w = &s->works[i];
        if (w->plan && w->plan->kind != MR_KIND_UNKNOWN)
            mr_flag_implausible(w);
        if (w->plan)
            publish(s, w);
        else if (w->copy_of != MR_NONE)
            note_copy(s, w);
        note_hidden(w);
        count_missing(w);
        whole &= mr_state_close(w);
    }
    return whole;
}

enum mr_status mr_normalise_with(struct mr_arena *arena, const struct mr_maps *maps, const struct mr_sources *sources,
                                 struct mr_diags *diags, const struct mr_data **out) {
    size_t n = sources->list.n;
    struct stage s = {.arena = arena,
                      .scratch = mr_arena_like(arena),
                      .sources = sources,
                      .job = sources->job,
                      .diags = diags,
                      .data = MR_NEW(arena, struct mr_data),
                      .maps = maps};
    s.data->sources = sources;
    s.data->job = sources->job;
    s.data->diags = diags;
    struct mr_file *files = MR_ARRAY(arena, struct mr_file, n);
    s.data->files.v = files;
    s.data->files.n = s.data->files.cap = n;
    s.works = MR_ARRAY(arena, struct mr_file_state, n);
    for (size_t i = 0; i < n; i++)
        take_file(&s, i);
    for (size_t i = 0; i < n; i++)
        if (s.works[i].plan)
            mr_resolve_dates(&s.works[i]);
    mr_infer_units(s.works, n);
    mr_find_overlap(s.works, n);
    bool whole = finish(&s, n);
    mr_arena_free(s.scratch);
    *out = s.data;
    return whole ? MR_OK : MR_E_BUG;
}

enum mr_status mr_normalise(struct mr_arena *arena, const struct mr_sources *sources, struct mr_diags *diags,
                            const struct mr_data **out) {
    struct mr_maps *maps = MR_NEW(arena, struct mr_maps);
    mr_maps_load(arena, sources->job, diags, maps);
    return mr_normalise_with(arena, maps, sources, diags, out);
}
