/* log_channels.c - see log_channels.h. */
#include "normalise/row/log_channels.h"

#include "normalise/row/row_fates.h"
#include "normalise/row/row_unit.h"

#include <math.h>
#include <string.h>

/* A long file's channel, made when its name first appears. */
static void add_channel(struct mr_file_state *state, const char *name, enum mr_meaning meaning, size_t col) {
    const struct mr_plan_column *c = &state->plan->col[col];
    struct mr_log_channel channel = {.name = name,
                                     .meaning = meaning,
                                     .col = col,
                                     .unit = c->as.unit,
                                     .least = (double)-INFINITY,
                                     .most = (double)INFINITY};
    if (channel.unit != MR_UNIT_NONE)
        mr_channel_bounds(state, &channel);
    channel.scale = c->scale;
    channel.cell = c->cell;
    channel.mark = c->style.mark;
    channel.plain = !*state->plan->missing && !c->style_open && c->style.mark != '?' && !mr_is_scaled(c->scale);
    MR_PUSH(state->arena, &state->log.channels, channel);
}

/* "P1 [°C]" and "P1 °C" are the channel P1: the job file names it without its unit. */
static const char *bare_name(struct mr_file_state *state, size_t col) {
    const struct mr_head *head = &state->source->columns[col];
    const char *name = *head->name ? head->name : state->plan->col[col].as.name;
    size_t n = strlen(name), cut = n;
    while (cut && name[cut - 1] != ' ' && name[cut - 1] != '_')
        cut--;
    enum mr_unit unit;
    if (cut < 2 || !mr_unit_parse(name + cut, n - cut, mr_meaning_dim(state->plan->col[col].as.meaning), &unit))
        return name;
    while (cut && (name[cut - 1] == ' ' || name[cut - 1] == '_'))
        cut--;
    return cut ? mr_strndup(state->arena, name, cut) : name;
}

void mr_log_begin(struct mr_file_state *state) {
    const struct mr_plan *plan = state->plan;
    size_t channel = mr_plan_column_of(plan, MR_M_CHANNEL), value = mr_plan_column_of(plan, MR_M_VALUE);
    state->serial_col = mr_plan_column_of(plan, MR_M_SERIAL);
    state->log.place_col = mr_plan_column_of(plan, MR_M_ZONE);
    state->unit_columns = mr_plan_column_of(plan, MR_M_UNIT) != MR_NONE;
    state->log.is_long = channel != MR_NONE && value != MR_NONE;
    if (channel != MR_NONE && value == MR_NONE) { /* the value column may be called by its meaning: "temperature" */
        for (size_t i = 0; i < plan->n; i++)
            if (mr_is_channel(plan->col[i].as.meaning)) {
                state->log.is_long = true;
                break;
            }
    }
    for (size_t i = 0; i < plan->n && !state->log.is_long; i++)
        if (mr_is_channel(plan->col[i].as.meaning))
            add_channel(state, bare_name(state, i), plan->col[i].as.meaning, i);
}

/* What a channel's name means: the kind's channel words, else the kind's own meaning. */
static enum mr_meaning channel_meaning(struct mr_file_state *state, const char *name) {
    const struct mr_map *map = state->plan->map;
    const char *words = mr_words_fold(state->scratch, name, strlen(name));
    for (size_t i = 0; i < map->lists.n; i++)
        for (enum mr_meaning m = MR_M_IGNORE; m < MR_MEANING_COUNT; m++)
            if (mr_is_channel(m) && strncmp(map->lists.v[i].name, "channels.", 9) == 0) {
                const char *word = mr_words_fold(state->scratch, mr_meaning_word(m), strlen(mr_meaning_word(m)));
                if (strcmp(map->lists.v[i].name + 9, word) == 0 && mr_list_holds(&map->lists.v[i], words, true))
                    return m;
            }
    return map->kind == MR_KIND_TEMPERATURE ? MR_M_PROBE_TEMP : MR_M_IGNORE;
}

size_t mr_log_channel_of(struct mr_file_state *state, const struct mr_row *row, size_t value_col, int *why) {
    const struct mr_cell *cell = &row->cell[state->plan->col[mr_plan_column_of(state->plan, MR_M_CHANNEL)].cell];
    struct mr_log *log = &state->log;
    *why = MR_ASIDE_INCOMPLETE;
    if (!cell->n)
        return MR_NONE;
    for (size_t k = 0; k < log->channels.n; k++) {
        const char *name = log->channels.v[k].name;
        if (strncmp(name, cell->p, cell->n) == 0 && !name[cell->n])
            return k;
    }
    const char *name = mr_text_keep(state, cell->p, cell->n);
    enum mr_meaning meaning = state->plan->col[value_col].as.meaning;
    if (!mr_is_channel(meaning) ||
        state->plan->kind == MR_KIND_PRESSURE) /* "Pressure" over Part A, Part B tells no line */
        meaning = channel_meaning(state, name);
    if (!mr_is_channel(meaning)) {
        mr_state_say(state, MR_ASIDE_INCOMPLETE, row, 0, cell,
                     "Add the name to the [channels] of a column map. Row set aside.",
                     "is no channel that this kind of log knows");
        return MR_NONE;
    }
    add_channel(state, name, meaning, value_col);
    return log->channels.n - 1;
}

size_t mr_log_value_column(const struct mr_plan *plan) {
    size_t value = mr_plan_column_of(plan, MR_M_VALUE);
    for (size_t i = 0; i < plan->n && value == MR_NONE; i++)
        if (mr_is_channel(plan->col[i].as.meaning))
            value = i;
    return value;
}
