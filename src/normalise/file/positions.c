/*
 * positions.c - see positions.h. Positions are drawn and judge nothing: a place that cannot be read is a place that
 * is not drawn, and the columns stay companions of their readings (companions.h), so a word in them is heard as
 * before.
 */
#include "normalise/file/positions.h"

#include "normalise/cell/number.h"
#include "normalise/cell/words.h"

#include <string.h>

/* "X (m)" is "x" and "m"; also "X [m]", "X, m" and "X in m". Returns: length of the name; *unit, or MR_UNIT_NONE. */
static size_t split_heading(const char *text, enum mr_unit *unit) {
    const size_t end = strlen(text);
    *unit = MR_UNIT_NONE;
    for (size_t n = end; n-- > 1;)
        if (strchr(" ([,/", text[n]) && mr_unit_parse(text + n + 1, end - n - 1, MR_DIM_LENGTH, unit))
            return n;
    return end;
}

/* -1: neither; 0: along, 1: across. pair: of which words. */
static int axis_of(struct mr_file_state *state, const char *text, size_t *pair, enum mr_unit *unit) {
    static const char *const names[][2] = {{"x", "y"},
                                           {"x position", "y position"},
                                           {"position x", "position y"},
                                           {"x pos", "y pos"},
                                           {"pos x", "pos y"},
                                           {"x coordinate", "y coordinate"},
                                           {"x coord", "y coord"},
                                           {"along", "across"},
                                           {"easting", "northing"},
                                           {"x koordinate", "y koordinate"},
                                           {"coordenada x", "coordenada y"}};
    const size_t n = split_heading(text, unit);
    const char *words = mr_words_fold(state->scratch, text, n);
    for (size_t i = 0; i < MR_COUNT(names); i++)
        for (int k = 0; k < 2; k++)
            if (strcmp(words, names[i][k]) == 0) {
                *pair = i;
                return k;
            }
    return -1;
}

struct position_columns { /* along and across */
    struct mr_file_state *state;
    size_t cell[2]; /* MR_NONE: not known */
    enum mr_unit unit[2];
    struct mr_number_style style;
};

static bool find_columns(struct position_columns *p) {
    const struct mr_plan *plan = p->state->plan;
    size_t pair[2] = {0, 0};
    for (size_t i = 0; i < plan->n; i++) {
        enum mr_unit unit;
        size_t of;
        if (plan->col[i].as.meaning != MR_M_IGNORE || plan->col[i].by_job)
            continue;
        const int axis = axis_of(p->state, plan->source->columns[i].text, &of, &unit);
        if (axis < 0 || unit == MR_UNIT_NONE)
            continue;
        if (p->cell[axis] != MR_NONE) /* neither is known to be the place */
            return false;
        p->cell[axis] = plan->col[i].cell;
        p->unit[axis] = unit;
        pair[axis] = of;
    }
    return p->cell[0] != MR_NONE && p->cell[1] != MR_NONE && pair[0] == pair[1];
}

static bool take_position(void *ctx, const struct mr_row *row) {
    const struct position_columns *p = ctx;
    struct mr_position at = {.file = p->state->index, .line = row->line};
    double *const mm[2] = {&at.x_mm, &at.y_mm};
    if (row->part != MR_ROW_BODY || row->broken != MR_BROKEN_NO)
        return true;
    for (int k = 0; k < 2; k++) {
        struct mr_number x;
        if (p->cell[k] >= row->n || !row->cell[p->cell[k]].n ||
            mr_number_scan(row->cell[p->cell[k]].p, row->cell[p->cell[k]].n, p->style, &x) != MR_NUM_OK || x.unit)
            return true;
        *mm[k] = mr_to_canonical(p->unit[k], x.value);
    }
    MR_PUSH(p->state->scratch, &p->state->records.positions, at);
    return true;
}

enum mr_status mr_positions_read(struct mr_file_state *state) {
    struct position_columns p = {.state = state, .cell = {MR_NONE, MR_NONE}};
    const size_t film = mr_plan_column_of(state->plan, MR_M_FILM);
    if (state->plan->kind != MR_KIND_THICKNESS || film == MR_NONE || !find_columns(&p))
        return MR_OK;
    p.style = state->plan->col[film].style;
    return mr_read_rows(state->source, take_position, &p);
}
