/* companions.c - see companions.h. */
#include "normalise/row/companions.h"

#include "base/text.h"
#include "normalise/cell/words.h"
#include "normalise/column/stated_purpose.h"
#include "normalise/column/suggest.h"
#include "normalise/row/row_fates.h"
#include "normalise/row/second_times.h"

#include <string.h>

/* Free text of which each cell differs is looked at so often; its words seldom matter, and a log may have millions.
 */
enum { FREE_TEXTS_MOST = 100000 };

/* So many texts are told apart; further ones are counted with another of their column, since each is compared with
 * all before. */
enum { ODD_TYPES_MOST = 64 };

static bool is_companion(const struct mr_plan *plan, const struct mr_plan_column *c) {
    if (c->by_job || c->asked || !*c->words)
        return false;
    if (c->as.meaning == MR_M_COAT)
        return plan->kind == MR_KIND_SPRAY_LOG || plan->kind == MR_KIND_THICKNESS;
    if (c->as.meaning == MR_M_AREA_ID) /* "Batch: calibration" */
        return plan->kind == MR_KIND_THICKNESS;
    if (c->as.meaning == MR_M_SERIAL) /* "Station": where a log was kept */
        return mr_is_log(plan->kind);
    if (c->as.meaning == MR_M_STATE && plan->kind == MR_KIND_THICKNESS) { /* its types have words of their own */
        const enum mr_companion says = mr_companion_of(plan->kind, "", c->words);
        return says == MR_COMPANION_YES || says == MR_COMPANION_NO;
    }
    return c->as.meaning == MR_M_IGNORE || c->as.meaning == MR_M_NOTE || c->as.meaning == MR_M_STATE;
}

struct owners { /* of one column, while the file is read for them */
    struct mr_arena *scratch;
    size_t cell;
    const char *first; /* folded; NULL */
    bool several;
};

static bool take_owner(void *ctx, const struct mr_row *row) {
    struct owners *o = ctx;
    if (row->part != MR_ROW_BODY || row->broken != MR_BROKEN_NO || o->cell >= row->n || !row->cell[o->cell].n)
        return true;
    const char *words = mr_words_fold(o->scratch, row->cell[o->cell].p, row->cell[o->cell].n);
    o->several = o->first && strcmp(o->first, words) != 0;
    o->first = o->first ? o->first : words;
    return !o->several;
}

/* One product or project all through is taken as that of this job, which nothing here can prove: it is said. */
static void tell_owner(struct mr_file_state *state, const struct mr_plan_column *c, const char *words) {
    mr_diag_add(state->diags, MR_NOTE, "owner-stated", (struct mr_place){.file = state->source->path}, NULL,
                "If that is another work, take the file out of the folder.",
                "column \"%s\": every row says \"%s\"; taken as that of this job",
                mr_clean_text(state->scratch, c->as.name, strlen(c->as.name), 60),
                mr_clean_text(state->scratch, words, strlen(words), 60));
}

enum mr_status mr_companions_begin(struct mr_file_state *state) {
    const struct mr_plan *plan = state->plan;
    enum mr_status status = MR_OK;
    if (!plan->map || plan->kind == MR_KIND_ZONES || plan->kind == MR_KIND_SHIFT_RECORD)
        return MR_OK; /* a zone or a check that is set aside would not be missed */
    for (size_t i = 0; i < plan->n; i++) {
        const struct mr_plan_column *c = &plan->col[i];
        if (!is_companion(plan, c))
            continue;
        const char *text = plan->source->columns[i].text; /* with its unit: "Error (um)" is a figure */
        const char *heading = mr_words_fold(state->scratch, text, strlen(text));
        struct mr_companion_column column = {.col = i, .last_fate = MR_FATE_USED};
        column.companion = c->as.meaning == MR_M_NOTE   ? MR_COMPANION_NOTE
                           : c->as.meaning == MR_M_COAT ? MR_COMPANION_COAT
                           : c->as.meaning == MR_M_SERIAL || c->as.meaning == MR_M_AREA_ID
                               ? MR_COMPANION_ABOUT
                               : mr_companion_of(plan->kind, text, heading);
        if (column.companion == MR_COMPANION_OWNER) {
            struct owners o = {.scratch = state->scratch, .cell = c->cell};
            status = mr_read_rows(plan->source, take_owner, &o);
            if (status != MR_OK)
                break;
            column.companion = o.several ? MR_COMPANION_OWNER : MR_COMPANION_ABOUT;
            if (o.first && !o.several)
                tell_owner(state, c, o.first);
        }
        MR_PUSH(state->arena, &state->companions, column);
    }
    return status;
}

static int fate_of(struct mr_file_state *state, const struct mr_companion_column *column, const struct mr_row *row,
                   const struct mr_cell *cell) {
    const char *heading = state->plan->col[column->col].words;
    const char *words = mr_words_fold(state->scratch, cell->p, cell->n);
    if (column->companion == MR_COMPANION_ABOUT && mr_names_other_job(state->scratch, state->job, heading, words))
        return MR_ASIDE_UNKNOWN_TYPE;
    if (column->companion == MR_COMPANION_SHIFT && memchr(cell->p, ':', cell->n)) /* "-05:00" is a time zone's */
        return MR_FATE_USED;
    const enum mr_companion_says says =
        mr_companion_reads(state->plan->map, column->companion, heading, words, cell->p);
    if (says != MR_SAYS_COUNTS && state->plan->kind == MR_KIND_VERIFICATION)
        return MR_ASIDE_UNKNOWN_TYPE; /* "OK: no" is how a gauge fails: nothing to be left out */
    switch (says) {
    case MR_SAYS_COUNTS:
        return MR_FATE_USED;
    case MR_SAYS_NOT:
        /* a row that says that nothing was sprayed is gone; one that is in doubt stays a doubt */
        mr_state_say(state, MR_ASIDE_MARKED, row, (uint32_t)state->plan->col[column->col].cell + 1, cell,
                     mr_printf(state->scratch,
                               "If such rows count, add to job.milrise: %s / %s = ignore. Row set aside.",
                               mr_file_key(state->scratch, state->source),
                               mr_column_key(state->scratch, state->source, column->col)),
                     "says that the row is not a measured value of the work");
        return MR_ASIDE_MARKED;
    case MR_SAYS_UNKNOWN:
        break;
    }
    return MR_ASIDE_UNKNOWN_TYPE;
}

/* The cell before it is most often the same one: its answer stands. */
static int look(struct mr_file_state *state, struct mr_companion_column *column, const struct mr_row *row) {
    const size_t at = state->plan->col[column->col].cell;
    const struct mr_cell *cell = at < row->n ? &row->cell[at] : NULL;
    const bool free_text = column->companion == MR_COMPANION_NOTE || column->companion == MR_COMPANION_ABOUT;
    if (!cell || !cell->n ||
        (free_text && mr_is_log(state->plan->kind) && (mr_is_digit(*cell->p) || *cell->p == '-')))
        return MR_FATE_USED;
    if (cell->n != column->last_n || (cell->n && memcmp(cell->p, column->last, cell->n) != 0)) {
        if (free_text && column->looked++ > FREE_TEXTS_MOST)
            return MR_FATE_USED;
        column->last_fate = fate_of(state, column, row, cell);
        if (cell->n > column->room) {
            column->room = cell->n * 2;
            column->last = MR_ARRAY(state->arena, char, column->room);
        }
        memcpy(column->last, cell->p, cell->n);
        column->last_n = cell->n;
    }
    if (column->last_fate == MR_ASIDE_UNKNOWN_TYPE)
        mr_odd_type_add(state, row, column->col);
    return column->last_fate;
}

int mr_companions_fate(struct mr_file_state *state, const struct mr_row *row) {
    const size_t day = mr_second_day_differs(state, row);
    if (day != MR_NONE) {
        mr_odd_type_add(state, row, day);
        return MR_ASIDE_UNKNOWN_TYPE;
    }
    for (size_t i = 0; i < state->companions.n; i++) {
        const int fate = look(state, &state->companions.v[i], row);
        if (fate != MR_FATE_USED)
            return fate;
    }
    return MR_FATE_USED;
}

void mr_odd_type_add(struct mr_file_state *state, const struct mr_row *row, size_t col) {
    const struct mr_cell *cell = &row->cell[state->plan->col[col].cell];
    const char *kept = mr_text_keep(state, cell->p, cell->n);
    for (size_t i = 0; i < state->odd_types.n; i++) {
        struct mr_odd_type *t = &state->odd_types.v[i];
        if (strcmp(t->text, kept) == 0 || (i >= ODD_TYPES_MOST && t->col == col)) {
            t->rows++;
            return;
        }
    }
    MR_PUSH(state->scratch, &state->odd_types, ((struct mr_odd_type){kept, col, row->line, 1}));
}

/* Whether the columns in doubt are of figures by which the values are off. */
static bool are_shifts(const struct mr_file_state *state) {
    bool all = true;
    for (size_t i = 0; i < state->odd_types.n; i++) {
        bool shift = false;
        for (size_t k = 0; k < state->companions.n; k++)
            shift |= state->companions.v[k].col == state->odd_types.v[i].col &&
                     state->companions.v[k].companion == MR_COMPANION_SHIFT;
        all &= shift;
    }
    return all;
}

static const char *what_counts(enum mr_kind kind, bool shift, bool day) {
    return day                            ? "the row's own day is the right one"
           : shift                        ? "the values have it in them already"
           : kind == MR_KIND_THICKNESS    ? "every such row is a film reading"
           : kind == MR_KIND_VERIFICATION ? "the gauge passed in every such row"
           : kind == MR_KIND_MATERIAL     ? "the material of every such row was fit for use"
           : kind == MR_KIND_SPRAY_LOG    ? "every such row was sprayed"
                                          : "every such row was measured at the work";
}

/* Of a log or of verifications it may be just the rows that fail which say what nobody knows: without them the rest
 * would conform. A survey that lacks readings is open by itself. */
static bool sets_file_aside(const struct mr_file_state *state) {
    return mr_is_log(state->plan->kind) || state->plan->kind == MR_KIND_VERIFICATION;
}

void mr_own_limits_note(struct mr_file_state *state, const struct mr_row *row) {
    struct mr_own_limits *own = &state->own_limits;
    for (size_t i = 0; i < state->plan->n; i++) {
        const struct mr_plan_column *c = &state->plan->col[i];
        const bool beside = c->as.meaning == MR_M_STATE || c->as.meaning == MR_M_IGNORE || c->as.meaning == MR_M_NOTE;
        if (!beside || c->by_job || c->cell >= row->n || !row->cell[c->cell].n || own->last == row->line)
            continue;
        const struct mr_cell *cell = &row->cell[c->cell];
        enum { WORDS_MOST = 16 };
        if (cell->n > WORDS_MOST || !mr_says_out_of_limits(mr_words_fold(state->scratch, cell->p, cell->n)))
            continue;
        own->last = row->line;
        if (own->rows++)
            continue;
        own->text = mr_text_keep(state, cell->p, cell->n);
        own->first = row->line;
        own->col = i;
    }
}

/* Whoever set the limits of the gauge holds these readings for bad; the job's limits may be others. */
static void report_own_limits(struct mr_file_state *state) {
    const struct mr_own_limits *own = &state->own_limits;
    if (!own->rows)
        return;
    const char *heading = state->plan->col[own->col].as.name;
    mr_diag_add(
        state->diags, MR_WARNING, "gauge-limits", (struct mr_place){.file = state->source->path, .line = own->first},
        NULL, "Compare the limits set in the gauge with those of the job.",
        "column \"%s\": the gauge marks %zu reading%s as out of its own limits, the first with \"%s\"; "
        "they count, and the job's limits decide",
        mr_clean_text(state->scratch, heading, strlen(heading), 60), own->rows, own->rows == 1 ? "" : "s", own->text);
}

void mr_companions_report(struct mr_file_state *state) {
    report_own_limits(state);
    const char *names = "", *lines = "";
    size_t rows = 0;
    if (!state->odd_types.n)
        return;
    const char *key = mr_file_key(state->arena, state->source);
    for (size_t i = 0; i < state->odd_types.n; i++) {
        const struct mr_odd_type *t = &state->odd_types.v[i];
        rows += t->rows;
        if (i < 8)
            names = mr_printf(state->scratch, "%s%s\"%s\" in %zu row%s", names, *names ? ", " : "",
                              mr_clean_text(state->scratch, t->text, strlen(t->text), 40), t->rows,
                              t->rows == 1 ? "" : "s");
        const bool area = state->plan->col[t->col].as.meaning == MR_M_AREA_ID; /* which the reading still needs */
        const char *line = mr_printf(state->arena, "%s = %s", mr_column_key(state->arena, state->source, t->col),
                                     mr_meaning_word(area ? MR_M_AREA_ID : MR_M_IGNORE));
        if (!strstr(lines, line))
            lines = mr_printf(state->arena, "%s%s%s", lines, *lines ? "\n" : "", line);
    }
    const struct mr_odd_type *first = &state->odd_types.v[0];
    const bool whole = sets_file_aside(state), shift = are_shifts(state);
    const bool day = state->plan->col[state->odd_types.v[0].col].second_day;
    const char *heading = state->plan->col[first->col].as.name, *counts = what_counts(state->plan->kind, shift, day);
    mr_file_ask(state->arena, state->file, MR_ASK_TYPE, mr_printf(state->arena, "%s\n# only if %s", lines, counts));
    mr_diag_add(state->diags, MR_ERROR, "unknown-type",
                (struct mr_place){.file = state->source->path, .line = first->line}, NULL,
                mr_printf(state->scratch, "If %s, add to job.milrise: %s / %s. %s%s set aside.", counts, key,
                          mr_one_line(state->scratch, lines),
                          day     ? "If not, correct the export. "
                          : shift ? "If not, export again with the correction applied. "
                          : state->plan->kind == MR_KIND_THICKNESS
                              ? "If not, list the words in a column map of the job, under [words], as film or as no "
                                "film. "
                              : "",
                          whole ? "File" : mr_printf(state->scratch, "%zu row%s", rows, rows == 1 ? "" : "s")),
                "column \"%s\": not known whether %s: %s",
                mr_clean_text(state->scratch, heading, strlen(heading), 60),
                day     ? "it or the row's own day is right"
                : shift ? "the values have it in them"
                        : "the row counts",
                names);
    if (whole) {
        mr_state_relabel(state, MR_ASIDE_UNKNOWN_TYPE);
        state->log.n = state->records.verifications.n = 0;
    }
}
