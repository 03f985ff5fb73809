/*
 * refused.c - see refused.h.
 */
#include "normalise/file/refused.h"

#include "base/text.h"

/* Each reading of a survey is shown with its place, its spot and what became of it: a thousand bytes. No work has as
 * many as this, and a file that has would take the memory of the machine. */
enum { RECORDS_MOST = 3000000 };

static void refuse(struct mr_file_state *state, enum mr_aside why, const char *what, const char *mend) {
    state->refused_as = why;
    state->file->refused = what;
    state->file->refused_mend = mend;
    mr_diag_add(state->diags, MR_ERROR, mr_aside_word(why), (struct mr_place){.file = state->source->path}, NULL,
                mr_printf(state->arena, "%s File set aside.", mend), "%s", what);
}

static const char wide_mend[] = "Export fewer columns, or split the table into files.";

/* Columns beyond are not looked at, and may hold what fails. */
static bool is_too_wide(const struct mr_file_state *state) {
    return state->plan->kind != MR_KIND_UNKNOWN && state->source->n_columns > MR_COLUMNS_MOST;
}

static bool is_too_long(const struct mr_file_state *state) {
    const enum mr_kind kind = state->plan->kind;
    return kind != MR_KIND_UNKNOWN && !mr_is_log(kind) && state->source->rows > RECORDS_MOST;
}

bool mr_file_refuse(struct mr_file_state *state) {
    if (is_too_wide(state))
        refuse(state, MR_ASIDE_TOO_WIDE,
               mr_printf(state->arena, "has %zu columns; a table may have %d", state->source->n_columns,
                         (int)MR_COLUMNS_MOST),
               wide_mend);
    else if (is_too_long(state))
        refuse(state, MR_ASIDE_TOO_MANY,
               mr_printf(state->arena, "has %llu rows; a file of readings or entries may have %d",
                         (unsigned long long)state->source->rows, RECORDS_MOST),
               "Take out of it what is not of this job, or make a job of each part of the work.");
    else
        return false;
    return true;
}

void mr_file_refuse_wide(struct mr_file_state *state) {
    const struct mr_source *source = state->source;
    if (!source->readable || source->encoding == MR_ENC_BINARY || state->copy_of != MR_NONE ||
        state->count.widest <= MR_COLUMNS_MOST)
        return;
    refuse(state, MR_ASIDE_TOO_WIDE,
           mr_printf(state->arena, "has a row of %zu cells; a table may have %d columns", state->count.widest,
                     (int)MR_COLUMNS_MOST),
           wide_mend);
    for (size_t i = 0; i < state->count.fates.n; i++)
        if (state->count.fates.v[i].fate == MR_ASIDE_NOT_A_TABLE)
            state->count.fates.v[i].fate = MR_ASIDE_TOO_WIDE;
}
