/*
 * unread_rows.c - a row is not read where its text is damaged, or says a number, a time or a word that nobody can
 * make out. A blank or a dash is no such row: the gauge says that it shows nothing. Nor is one that says itself
 * that it is no reading of the work.
 */
#include "normalise/row/unread_rows.h"

#include "normalise/row/row_fields.h"

#include <string.h>

static bool is_unread(enum mr_kind kind, enum mr_aside why) {
    switch (why) {
    case MR_ASIDE_RAGGED:
    case MR_ASIDE_QUOTE:
    case MR_ASIDE_LONG:
    case MR_ASIDE_BYTES:
    case MR_ASIDE_HALF_LINE:
    case MR_ASIDE_BAD_TIME:
    case MR_ASIDE_DATE_ORDER:
    case MR_ASIDE_BAD_NUMBER:
    case MR_ASIDE_BOUND:
    case MR_ASIDE_OUT_OF_RANGE:
    case MR_ASIDE_UNKNOWN_TYPE:
    case MR_ASIDE_OBJECTED: /* the row counts; likewise the next two */
    case MR_ASIDE_IMPLAUSIBLE:
    case MR_ASIDE_AT_REST:
    case MR_ASIDE_CLOCK_ZONE:
    case MR_ASIDE_RIVALS:
    case MR_ASIDE_DOUBTFUL:
    case MR_ASIDE_CLOCK_RESET:
    case MR_ASIDE_NO_UNIT:
    case MR_ASIDE_NOT_A_TABLE: /* the file broke off */
        return true;
    case MR_ASIDE_NO_TIME: /* a coat whose time or zone is blank was sprayed all the same */
    case MR_ASIDE_NO_ZONE:
        return kind == MR_KIND_SPRAY_LOG;
    case MR_ASIDE_BLANK:
    case MR_ASIDE_REPEATED_HEADER:
    case MR_ASIDE_SUMMARY:
    case MR_ASIDE_OTHER_TABLE:
    case MR_ASIDE_COPY:
    case MR_ASIDE_REPEATED:
    case MR_ASIDE_NO_VALUE:
    case MR_ASIDE_DELETED:
    case MR_ASIDE_NO_FILM:
    case MR_ASIDE_MARKED:
    case MR_ASIDE_CONTRADICTED:
    case MR_ASIDE_UNKNOWN_KIND:
    case MR_ASIDE_CLOCK_GAP:
    case MR_ASIDE_CLOCK_FOLD:
    case MR_ASIDE_INCOMPLETE:
    case MR_ASIDE_TOO_MANY: /* the job as a whole is not shown */
    case MR_ASIDE_TOO_WIDE:
    case MR_ASIDE_COUNT:
        break;
    }
    return false;
}

static const char *cell_text(struct mr_file_state *state, const struct mr_row *row, enum mr_meaning m) {
    const size_t col = mr_plan_column_of(state->plan, m);
    const size_t cell = col == MR_NONE ? MR_NONE : state->plan->col[col].cell;
    return cell < row->n ? mr_text_keep(state, row->cell[cell].p, row->cell[cell].n) : "";
}

/* Whether a row of a spray log may be one of a coat or a repair, as far as its action can be read. */
static bool may_be_coat(struct mr_file_state *state, const struct mr_row *row) {
    const enum mr_action action = mr_spray_action(state, cell_text(state, row, MR_M_ACTION),
                                                  cell_text(state, row, MR_M_ZONE), cell_text(state, row, MR_M_COAT));
    return action == MR_ACTION_SPRAY || action == MR_ACTION_REPAIR || action == MR_ACTION_UNCLEAR ||
           (action == MR_ACTION_OTHER && *cell_text(state, row, MR_M_COAT));
}

void mr_unread_place(struct mr_file_state *state, const struct mr_row *row) {
    if (mr_is_log(state->plan->kind))
        return;
    struct mr_row_place place = {row->line, cell_text(state, row, MR_M_ZONE), cell_text(state, row, MR_M_SERIAL)};
    if (!*place.zone && mr_plan_column_of(state->plan, MR_M_ZONE) == MR_NONE)
        place.zone = state->above.block_zone;
    if (!*place.serial)
        place.serial = state->above.block_serial;
    if (state->plan->kind == MR_KIND_SPRAY_LOG && !may_be_coat(state, row))
        place.zone = NULL;
    MR_PUSH(state->scratch, &state->records.places, place);
}

void mr_unread_cell(struct mr_file_state *state, const struct mr_row *row, int why) {
    struct mr_records *r = &state->records;
    if (why == MR_FATE_USED || !is_unread(state->plan->kind, (enum mr_aside)why))
        return;
    struct mr_lost_cell *last = r->lost_cells.n ? &r->lost_cells.v[r->lost_cells.n - 1] : NULL;
    if (last && mr_is_log(state->plan->kind) && row->line <= last->line_end + 1 && last->why == (enum mr_aside)why) {
        last->line_end = row->line;
        return;
    }
    MR_PUSH(state->scratch, &r->lost_cells, ((struct mr_lost_cell){row->line, row->line, (enum mr_aside)why}));
}

/* A temperature beyond its scale is a broken probe; a humidity beyond it is damp, whatever it is exactly. */
static bool is_humid_or_pressed(enum mr_meaning meaning) {
    return meaning == MR_M_RH || meaning == MR_M_LINE_A || meaning == MR_M_LINE_B || meaning == MR_M_MAIN;
}

bool mr_is_beyond_scale(enum mr_meaning meaning, const struct mr_cell *cell) {
    return is_humid_or_pressed(meaning) && mr_over_range_word(cell->p, cell->n);
}

void mr_unread_value(struct mr_file_state *state, const struct mr_row *row, enum mr_meaning meaning, int why) {
    const bool beyond = why == MR_ASIDE_OUT_OF_RANGE && is_humid_or_pressed(meaning);
    const bool half = state->source->ends_in_mid_line && state->count.seen == state->source->rows;
    if ((why == MR_ASIDE_BAD_NUMBER || why == MR_ASIDE_BOUND || beyond) && !half)
        mr_unread_cell(state, row, why);
}

/* Rows join those before them of the same place and reason, so that a long file makes a short list. */
static void add_rows(struct mr_arena *arena, struct mr_data *data, size_t from, struct mr_unread_rows rows) {
    for (size_t i = from; i < data->unread.n; i++) {
        struct mr_unread_rows *u = &data->unread.v[i];
        if (u->why == rows.why && strcmp(u->zone, rows.zone) == 0 && strcmp(u->serial, rows.serial) == 0) {
            u->rows += rows.rows;
            u->line_end = rows.line_end;
            return;
        }
    }
    MR_PUSH(arena, &data->unread, rows);
}

static struct mr_unread_rows rows_at(const struct mr_file_state *state, enum mr_aside why, uint32_t line,
                                     uint32_t line_end, uint64_t rows) {
    return (struct mr_unread_rows){.file = state->index,
                                   .line = line,
                                   .line_end = line_end,
                                   .why = why,
                                   .rows = rows,
                                   .zone = "",
                                   .serial = state->file->instrument_name};
}

/* Of a log only what lies within a window matters, so each run stays by itself. */
static void publish_log_runs(struct mr_arena *arena, struct mr_data *data, struct mr_file_state *state) {
    for (size_t i = 0; i < state->count.fates.n; i++) {
        const struct mr_fate_run *run = &state->count.fates.v[i];
        const bool damaged = run->fate == MR_ASIDE_RAGGED || run->fate == MR_ASIDE_QUOTE ||
                             run->fate == MR_ASIDE_LONG || run->fate == MR_ASIDE_BYTES ||
                             run->fate == MR_ASIDE_BAD_TIME;
        const bool taken_back = run->fate == MR_ASIDE_MARKED && run->rows > 1; /* one alone may be a fault */
        if (damaged || taken_back)
            MR_PUSH(arena, &data->unread,
                    rows_at(state, (enum mr_aside)run->fate, run->line, run->line_end, run->rows));
    }
    if (state->back_line) /* its rows count, and nobody knows from where on the times are wrong */
        MR_PUSH(arena, &data->unread, rows_at(state, MR_ASIDE_CONTRADICTED, state->back_line, state->back_line, 0));
    for (size_t i = 0; i < state->records.lost_cells.n; i++) {
        const struct mr_lost_cell *c = &state->records.lost_cells.v[i];
        MR_PUSH(arena, &data->unread, rows_at(state, c->why, c->line, c->line_end, c->line_end - c->line + 1));
    }
}

static void publish_set_aside(struct mr_arena *arena, struct mr_data *data, struct mr_file_state *state,
                              size_t from) {
    const struct mr_records *r = &state->records;
    size_t at = 0;
    for (size_t i = 0; i < state->count.fates.n; i++) {
        const struct mr_fate_run *run = &state->count.fates.v[i];
        uint64_t placed = 0;
        if (run->fate < 0 || !is_unread(state->plan->kind, (enum mr_aside)run->fate))
            continue;
        while (at < r->places.n && r->places.v[at].line < run->line)
            at++;
        for (; at < r->places.n && r->places.v[at].line <= run->line_end && placed < run->rows; at++, placed++) {
            const struct mr_row_place *p = &r->places.v[at];
            if (!p->zone)
                continue;
            struct mr_unread_rows rows = rows_at(state, (enum mr_aside)run->fate, p->line, p->line, 1);
            rows.zone = p->zone;
            rows.serial = *p->serial ? p->serial : rows.serial;
            add_rows(arena, data, from, rows);
        }
        if (placed < run->rows)
            add_rows(arena, data, from,
                     rows_at(state, (enum mr_aside)run->fate, run->line, run->line_end, run->rows - placed));
    }
}

static void publish_lost_cells(struct mr_arena *arena, struct mr_data *data, struct mr_file_state *state,
                               size_t from) {
    const struct mr_records *r = &state->records;
    size_t at = 0;
    for (size_t cell = 0; cell < r->lost_cells.n; cell++) {
        const struct mr_lost_cell *lost = &r->lost_cells.v[cell];
        while (at < r->places.n && r->places.v[at].line < lost->line)
            at++;
        struct mr_unread_rows rows = rows_at(state, lost->why, lost->line, lost->line, 1);
        if (at < r->places.n && r->places.v[at].line == lost->line) {
            if (!r->places.v[at].zone) /* of a spray log, and about no coat */
                continue;
            rows.zone = r->places.v[at].zone;
            rows.serial = *r->places.v[at].serial ? r->places.v[at].serial : rows.serial;
        }
        add_rows(arena, data, from, rows);
    }
}

void mr_publish_unread(struct mr_arena *arena, struct mr_data *data, struct mr_file_state *state) {
    const size_t from = data->unread.n;
    if (mr_is_log(state->plan->kind)) {
        publish_log_runs(arena, data, state);
        return;
    }
    publish_set_aside(arena, data, state, from);
    publish_lost_cells(arena, data, state, from);
}
