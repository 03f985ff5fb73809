/*
 * normalise.c - the stage's entry: every file is planned and decoded, then what needs the whole job is done (units
 * that no file states, rows that stand in several files), then records and channels are published in the order of
 * files and lines.
 */
#include "base/pool.h"
#include "normalise/column/mixed_units.h"
#include "normalise/column/question.h"
#include "normalise/file/doubtful_channels.h"
#include "normalise/file/free_lines.h"
#include "normalise/file/lost_columns.h"
#include "normalise/file/overlap.h"
#include "normalise/file/plausible.h"
#include "normalise/file/positions.h"
#include "normalise/file/publish_records.h"
#include "normalise/file/refiled.h"
#include "normalise/file/refused.h"
#include "normalise/file/stated_facts.h"
#include "normalise/file/stated_serials.h"
#include "normalise/row/block_lines.h"
#include "normalise/row/companions.h"
#include "normalise/row/fill_down.h"
#include "normalise/row/free_cells.h"
#include "normalise/row/log_channels.h"
#include "normalise/row/log_columns.h"
#include "normalise/row/log_rows.h"
#include "normalise/row/no_data_rows.h"
#include "normalise/row/objections.h"
#include "normalise/row/record_rows.h"
#include "normalise/row/resolve_dates.h"
#include "normalise/row/row_fates.h"
#include "normalise/row/row_fields.h"
#include "normalise/unit/absolute_pressure.h"
#include "normalise/unit/infer_units.h"
#include "normalise/unit/preamble_units.h"
#include "normalise/unit/unit_evidence.h"
#include "normalise/unit/unread_columns.h"

#include <string.h>

struct stage {
    struct mr_arena *arena, *scratch;
    const struct mr_sources *sources;
    const struct mr_job *job;
    struct mr_diags *diags;
    struct mr_data *data;
    const struct mr_maps *maps;
    struct mr_file_state *files;
};

/* --- one file -----------------------------------------------------------------------------------------------------
 */

static bool count_only(void *ctx, const struct mr_row *row) {
    struct mr_file_state *state = ctx;
    state->count.seen++;
    bool head = row->part == MR_ROW_PREAMBLE || row->part == MR_ROW_HEADER, is_table = state->plan != NULL;
    int why = state->copy_of != MR_NONE ? MR_ASIDE_COPY : is_table ? (int)state->refused_as : MR_ASIDE_NOT_A_TABLE;
    state->count.widest = row->n > state->count.widest ? row->n : state->count.widest;
    mr_state_fate(state, head && (is_table || state->copy_of != MR_NONE) ? MR_FATE_HEADER : why, row);
    return true;
}

static size_t find_copy(const struct stage *s, size_t index) {
    const struct mr_source *self = &s->sources->list.v[index];
    for (size_t i = 0; i < index; i++) {
        const struct mr_source *other = &s->sources->list.v[i];
        if (other->size == self->size && other->piece_no == self->piece_no && other->readable && self->size &&
            strcmp(other->sha256, self->sha256) == 0)
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

/* "Probe: N2" above the table; "Probe: OK" names none. */
static const char *preamble_probe(struct mr_file_state *state) {
    const char *text = mr_preamble_value(state->scratch, state->source,
                                         "probe|probe serial|probe serial number|probe no|probe id|probe type|sonde");
    text = text ? first_cell(state->arena, state->source, text) : NULL;
    return text && strcspn(text, "0123456789") < strlen(text) ? text : "";
}

/* [file] rule, [instrument] files, serial in a column, serial in the preamble. */
static void find_instrument(struct mr_file_state *state) {
    const struct mr_file_rule *rule = state->source->rule;
    const struct mr_instrument *found = NULL;
    const char *name = "";
    if (rule && *rule->instrument) {
        found = mr_job_instrument(state->job, rule->instrument);
        name = rule->instrument;
    }
    for (size_t i = 0; i < state->job->instruments.n && !*name; i++)
        if (*state->job->instruments.v[i].files && mr_glob(state->job->instruments.v[i].files, state->source->path)) {
            found = &state->job->instruments.v[i];
            name = found->name;
        }
    if (!*name)
        name = state->serial;
    if (!*name) {
        const char *text = preamble_instrument(state->job, state->scratch, state->source);
        name = text ? mr_strdup(state->arena, text) : "";
    }
    if (*name && !found)
        found = mr_job_instrument(state->job, name);
    state->file->instrument = found;
    state->file->instrument_name = found ? found->name : name;
}

static mr_row_fn reader_of(enum mr_kind kind) {
    return kind == MR_KIND_UNKNOWN ? mr_row_unknown : mr_is_log(kind) ? mr_row_log : mr_row_record;
}

static void say_changed(struct mr_file_state *state) {
    mr_diag_add(state->diags, MR_ERROR, "changed", (struct mr_place){.file = state->source->path}, NULL,
                "Run milrise again once the file is complete.",
                "the file could not be read to the end, or changed while it was being read");
}

static void count_rows(struct mr_file_state *state) {
    if (mr_read_rows(state->source, count_only, state) != MR_OK)
        say_changed(state);
}

/* Decimal commas in a file of commas: whole numbers under every heading, and as many numbers more without one. */
static bool split_by_commas(const struct mr_plan *plan, const struct mr_column_shapes *shapes) {
    size_t unnamed = 0, numbers = 0;
    if (plan->source->delimiter != ',' || !plan->source->header_line || plan->shift)
        return false;
    for (size_t i = 0; i < plan->n; i++) {
        const struct mr_shape *s = &shapes->col[i];
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

static void set_split_aside(struct mr_file_state *state) {
    mr_diag_add(state->diags, MR_ERROR, "ragged",
                (struct mr_place){.file = state->source->path, .line = state->source->first_body_line}, NULL,
                "Export with semicolons or decimal points, or put the numbers in quotes. File set aside.",
                "the rows hold more numbers than the header has names, and none has a fraction: decimal commas seem "
                "to split them");
    mr_state_relabel(state, MR_ASIDE_RAGGED);
    state->log.n = 0;
    state->records.readings.n = state->records.verifications.n = state->records.sprays.n =
        state->records.shift_items.n = state->records.materials.n = state->records.zones.n = 0;
}

static void decode(struct stage *s, struct mr_file_state *state) {
    struct mr_column_shapes shapes;
    if (mr_column_shapes_take(state->scratch, state->source, state->source->rule ? state->source->rule->missing : "",
                              &shapes) != MR_OK) {
        say_changed(state);
        return;
    }
    state->plan = mr_plan_make(state->arena, s->job, s->maps, state->source, &shapes, state->diags);
    if (mr_mixed_units(state->plan) != MR_OK) {
        say_changed(state);
        return;
    }
    mr_preamble_units(state);
    mr_refuse_absolute(state);
    mr_report_unread(state, &shapes);
    state->file->kind = state->plan->kind;
    state->file->kind_why = state->plan->kind_why;
    mr_file_take_plan(state->file, state->plan);
    mr_timer_init(&state->timer, state->arena, state->plan);
    if (mr_file_refuse(state)) {
        count_rows(state);
        return;
    }
    if (mr_companions_begin(state) != MR_OK)
        say_changed(state);
    state->above.block_probe = preamble_probe(state);
    if (mr_is_log(state->plan->kind))
        mr_log_begin(state);
    else if (mr_plan_column_of(state->plan, MR_M_ZONE) == MR_NONE)
        state->above.block_zone = mr_file_zone(state);
    mr_objections_begin(state);
    mr_free_cells_begin(state);
    if (state->plan->kind == MR_KIND_THICKNESS && mr_plan_column_of(state->plan, MR_M_AREA_ID) == MR_NONE) {
        const char *area = mr_preamble_value(state->scratch, state->source, MR_AREA_NAMES);
        state->above.block_area = area ? mr_strdup(state->arena, area) : "";
    }
    if (mr_read_rows(state->source, reader_of(state->plan->kind), state) != MR_OK ||
        mr_positions_read(state) != MR_OK)
        say_changed(state);
    mr_fill_down_say(state);
    mr_companions_report(state);
    mr_objections_report(state);
    if (split_by_commas(state->plan, &shapes))
        set_split_aside(state);
}

/* Rows that a failed reading left uncounted keep the identity: they are set aside as what they are, unread. */
static void count_missing(struct mr_file_state *state) {
    uint64_t seen = 0;
    for (size_t i = 0; i < state->count.fates.n; i++)
        seen += state->count.fates.v[i].rows;
    if (seen < state->source->rows) {
        struct mr_fate_run run = {MR_ASIDE_NOT_A_TABLE, 0, 0, state->source->rows - seen};
        MR_PUSH(state->arena, &state->count.fates, run);
    }
}

/* Files are decoded side by side, each into arenas and diagnostics of its own. */
static void begin_file(struct stage *s, size_t index) {
    struct mr_file_state *state = &s->files[index];
    const struct mr_source *source = &s->sources->list.v[index];
    struct mr_arena *arena = mr_arena_child(s->arena);
    *state =
        (struct mr_file_state){.arena = arena,
                               .scratch = mr_arena_child(s->scratch),
                               .job = s->job,
                               .source = source,
                               .diags = MR_NEW(arena, struct mr_diags),
                               .file = &s->data->files.v[index],
                               .index = (uint32_t)index,
                               .copy_of = find_copy(s, index),
                               .serial = "",
                               .above = {.block_zone = "", .block_area = "", .block_serial = "", .block_probe = ""}};
    *state->file = (struct mr_file){.source = source,
                                    .kind = MR_KIND_NOT_A_TABLE,
                                    .kind_why = "",
                                    .date_order = "",
                                    .date_why = "",
                                    .instrument_name = "",
                                    .mend = "",
                                    .series = mr_arena_child(arena),
                                    .certified_until_local_ms = MR_T_NONE,
                                    .first_ms = MR_T_NONE,
                                    .last_ms = MR_T_NONE};
    mr_diags_init(state->diags, arena);
    state->log.arena = mr_arena_child(state->scratch);
}

static void take_file(void *ctx, size_t index, size_t worker) {
    struct stage *s = ctx;
    struct mr_file_state *state = &s->files[index];
    const struct mr_source *source = state->source;
    (void)worker;
    if (!source->readable || source->encoding == MR_ENC_BINARY || !source->n_columns || state->copy_of != MR_NONE) {
        state->file->kind_why = !source->readable                   ? "the file cannot be read"
                                : source->encoding == MR_ENC_BINARY ? "the file is not text"
                                : state->copy_of != MR_NONE         ? "a copy of another file"
                                : source->rows == 0                 ? "the file is empty"
                                                                    : "no table was found in the file";
        if (source->readable)
            count_rows(state);
        mr_file_refuse_wide(state);
        return;
    }
    decode(s, state);
    find_instrument(state);
    mr_log_close(state);
}

/* "All times are CET" above the first table of a file speaks of the tables below it too. */
static void inherit_claims(struct mr_file_state *files, size_t index) {
    unsigned number = files[index].source->piece_no;
    const struct mr_file_state *first = number > 1 && index >= number - 1 ? &files[index - (number - 1)] : NULL;
    for (size_t i = 0; first && first->plan && i < first->timer.claims.n; i++) {
        const struct mr_zone_claim *claim = &first->timer.claims.v[i];
        if (claim->line && claim->line < first->source->first_body_line)
            mr_timer_claim(&files[index].timer, claim->text, strlen(claim->text), claim->line);
    }
}

/* --- the job ------------------------------------------------------------------------------------------------------
 */

static void note_hidden(struct mr_file_state *state) {
    for (size_t i = 0; i < MR_ASIDE_COUNT; i++)
        if (state->count.said[i] > MR_SAY_MOST)
            mr_diag_add(state->diags, MR_ERROR, mr_aside_word((enum mr_aside)i),
                        (struct mr_place){.file = state->source->path}, NULL, NULL,
                        "not listed: %llu more of the same",
                        (unsigned long long)(state->count.said[i] - MR_SAY_MOST));
}

static void note_copy(struct stage *s, struct mr_file_state *state) {
    state->file->copy_of = s->sources->list.v[state->copy_of].path;
    state->file->kind = s->files[state->copy_of].file->kind;
    mr_diag_add(s->diags, MR_NOTE, "copy", (struct mr_place){.file = state->source->path}, NULL, NULL,
                "the file is a byte-for-byte copy of %s; its rows are used once", state->file->copy_of);
}

static bool finish(struct stage *s, size_t n) {
    bool whole = true;
    for (size_t i = 0; i < n; i++) {
        struct mr_file_state *state = &s->files[i];
        if (state->plan && state->plan->kind != MR_KIND_UNKNOWN) {
            mr_flag_implausible(state);
            mr_note_lost_columns(state);
        }
        if (state->plan) {
            mr_hold_against_rows(state);
            mr_free_lines_publish(state);
            mr_free_cells_publish(state);
            mr_publish_records(s->arena, s->data, state);
        } else if (state->copy_of != MR_NONE)
            note_copy(s, state);
        note_hidden(state);
        count_missing(state);
        whole &= mr_state_close(state);
        mr_arena_reset(state->scratch);
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
    s.data->own = s.data;
    struct mr_file *files = MR_ARRAY(arena, struct mr_file, n);
    s.data->files.v = files;
    s.data->files.n = s.data->files.cap = n;
    s.files = MR_ARRAY(arena, struct mr_file_state, n);
    for (size_t i = 0; i < n; i++)
        begin_file(&s, i);
    mr_pool_each(n, take_file, &s);
    for (size_t i = 0; i < n; i++) {
        mr_diags_append(diags, s.files[i].diags);
        s.files[i].diags = diags;
    }
    for (size_t i = 0; i < n; i++)
        if (s.files[i].plan) {
            inherit_claims(s.files, i);
            mr_resolve_dates(&s.files[i]);
            mr_log_close(&s.files[i]);
        }
    mr_hold_serials(s.files, n);
    mr_ask_doubtful_channels(s.files, n);
    mr_infer_units(s.files, n);
    mr_find_overlap(s.files, n);
    mr_find_refiled(s.files, n);
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
