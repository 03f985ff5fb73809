/*
 * publish_records.c - the records and channels of one file join those of the job, in the order of files and lines.
 */
#include "normalise/file/publish_records.h"

#include "normalise/file/repeated_moments.h"
#include "normalise/file/stated_certificate.h"
#include "normalise/file/stated_statistics.h"
#include "normalise/row/block_lines.h"
#include "normalise/row/log_columns.h"
#include "normalise/row/row_fields.h"
#include "normalise/row/unread_rows.h"

#include <math.h>
#include <string.h>

const char *mr_file_zone(struct mr_file_state *state) {
    const char *zone = mr_preamble_value(state->scratch, state->source, MR_ZONE_NAMES);
    return zone ? mr_strdup(state->arena, zone) : "";
}

/* Rows of a log that go together: of one channel of a long log, of one place where rows name theirs, and of those
 * that share a time with others the first, the second and so on (repeated_moments.h). */
struct row_group {
    size_t n;
    int64_t *t_ms;
    uint32_t *line;
    struct mr_wholes times, lines; /* the same, for all channels of the group */
    size_t *row;                   /* its index in the log */
    const char *place;
    size_t rank; /* 1, or which of several rows at each time */
};

struct row_groups {
    size_t n;                  /* groups, for each channel of a long log */
    size_t places;             /* of which the rows name so many places */
    size_t *of_row;            /* shape: rows; NULL: all in one */
    const char **place;        /* shape: places */
    const size_t *rank, *base; /* shape: n */
};

/* Groups of rows by the place that they name; one of all rows where none does. */
static size_t group_by_place(struct mr_arena *scratch, const struct mr_log *log, size_t *of_row,
                             const char ***out_place) {
    MR_VEC(const char *) seen = {0};
    for (size_t i = 0; i < log->n; i++) {
        const char *place = log->place.n ? log->place.v[i] : "";
        size_t k = 0;
        while (k < seen.n && seen.v[k] != place && strcmp(seen.v[k], place) != 0)
            k++;
        if (k == seen.n)
            MR_PUSH(scratch, &seen, place);
        of_row[i] = k;
    }
    *out_place = seen.v;
    return seen.n;
}

static struct mr_channel channel_of(const struct mr_file_state *state, const struct mr_log_channel *c,
                                    const char *zone, const char *place) {
    return (struct mr_channel){.file = state->index,
                               .name = c->name,
                               .meaning = c->meaning,
                               .unit = c->unit,
                               .zone = *place    ? place
                                       : c->zone ? c->zone
                                                 : zone};
}

static void publish_whole(struct mr_arena *arena, struct mr_data *data, struct mr_file_state *state,
                          const char *place) {
    const struct mr_log *log = &state->log;
    const char *zone = mr_file_zone(state);
    mr_log_pack(state);
    for (size_t k = 0; k < log->channels.n; k++) {
        const struct mr_log_channel *c = &log->channels.v[k];
        if (c->dropped || !log->n)
            continue;
        struct mr_channel out = channel_of(state, c, zone, place);
        out.n = log->n;
        out.t_ms = log->times;
        out.line = log->lines;
        out.value = c->values;
        MR_PUSH(arena, &data->channels, out);
    }
}

/* The rows of one group. values: of all rows of the log. */
static void publish_group(struct mr_arena *arena, struct mr_data *data, struct mr_channel out,
                          const struct row_group *g, const double *values, double *room) {
    for (size_t i = 0; i < g->n; i++)
        room[i] = values[g->row[i]];
    out.n = g->n;
    out.t_ms = g->times;
    out.line = g->lines;
    out.value = mr_reals_pack(data->files.v[out.file].series, room, g->n);
    MR_PUSH(arena, &data->channels, out);
}

/* Rows by place, and in a long log by channel too. */
static struct row_group *make_groups(struct mr_file_state *state, const struct row_groups *by, size_t channels) {
    const struct mr_log *log = &state->log;
    struct row_group *g = MR_ARRAY(state->scratch, struct row_group, by->n * channels + 1);
    for (int pass = 0; pass < 2; pass++) {
        for (size_t i = 0; i < log->n; i++) {
            struct row_group *own = &g[(log->is_long ? log->which[i] : 0) * by->n + by->of_row[i]];
            own->place = by->place[by->base[by->of_row[i]]];
            own->rank = by->rank[by->of_row[i]];
            if (pass) {
                own->t_ms[own->n] = log->t_ms[i];
                own->line[own->n] = log->line[i];
                own->row[own->n] = i;
            }
            own->n++;
        }
        for (size_t i = 0; !pass && i < by->n * channels; i++) {
            g[i].t_ms = MR_ARRAY(log->arena, int64_t, g[i].n);
            g[i].line = MR_ARRAY(log->arena, uint32_t, g[i].n);
            g[i].row = MR_ARRAY(log->arena, size_t, g[i].n);
            g[i].n = 0;
        }
    }
    for (size_t i = 0; i < by->n * channels; i++) {
        g[i].times = mr_wholes_pack(state->file->series, g[i].t_ms, g[i].n);
        g[i].lines = mr_lines_pack(state->file->series, g[i].line, g[i].n);
    }
    return g;
}

/* What only some rows say at a time may be nothing in this channel. */
static bool says_nothing(const struct row_group *g, const double *values) {
    for (size_t i = 0; i < g->n; i++)
        if (!isnan(values[g->row[i]]))
            return false;
    return true;
}

static struct row_groups groups_of(struct mr_file_state *state) {
    const struct mr_log *log = &state->log;
    struct row_groups by = {.n = 1, .places = 1};
    if (!log->place.n && !log->is_long && !mr_has_repeated_moments(log))
        return by;
    by.of_row = MR_ARRAY(state->scratch, size_t, log->n + 1);
    by.places = group_by_place(state->scratch, log, by.of_row, &by.place);
    by.n = mr_repeated_moments(state->scratch, log, by.of_row, by.places, &by.rank, &by.base);
    return by;
}

/* One curve for each place, though one sensor took them all; and for each of the rows that share their times. */
static const char *curve_name(struct mr_arena *arena, const char *name, const struct row_group *g, bool of_places) {
    if (of_places)
        name = mr_printf(arena, "%s, %s", name, *g->place ? g->place : "no place");
    return g->rank > 1 ? mr_printf(arena, "%s, row %zu of its time", name, g->rank) : name;
}

static void publish_log(struct mr_arena *arena, struct mr_data *data, struct mr_file_state *state) {
    const struct mr_log *log = &state->log;
    const struct row_groups by = groups_of(state);
    if (!log->is_long && by.n < 2) {
        publish_whole(arena, data, state, by.of_row && by.places ? by.place[0] : "");
        return;
    }
    mr_log_open(state);
    const struct row_group *g = make_groups(state, &by, log->is_long ? log->channels.n : 1);
    const char *zone = mr_file_zone(state);
    double *room = MR_ARRAY(log->arena, double, log->n);
    for (size_t k = 0; k < log->channels.n; k++)
        for (size_t i = 0; i < by.n; i++) {
            const struct mr_log_channel *c = &log->channels.v[k];
            const struct row_group *own = &g[(log->is_long ? k * by.n : 0) + i];
            const double *values = log->is_long ? log->value : c->value;
            if (!own->n || c->dropped || (own->rank > 1 && says_nothing(own, values)))
                continue;
            struct mr_channel out = channel_of(state, c, zone, own->place);
            out.name = curve_name(arena, c->name, own, by.places > 1);
            publish_group(arena, data, out, own, values, room);
        }
}

#define APPEND(to, from)                                                                                             \
    for (size_t i_ = 0; i_ < (from).n; i_++)                                                                         \
    MR_PUSH(arena, &data->to, (from).v[i_])

static void append_records(struct mr_arena *arena, struct mr_data *data, struct mr_file_state *state) {
    if (state->plan->kind == MR_KIND_BASE_METAL) {
        APPEND(base_metal, state->records.readings);
    } else if (state->plan->kind == MR_KIND_WET_FILM) {
        APPEND(wet_film, state->records.readings);
    } else {
        APPEND(readings, state->records.readings);
    }
    APPEND(positions, state->records.positions);
    APPEND(taken_back, state->records.taken_back);
    APPEND(verifications, state->records.verifications);
    APPEND(sprays, state->records.sprays);
    APPEND(shift_items, state->records.shift_items);
    APPEND(materials, state->records.materials);
    APPEND(zones, state->records.zones);
}

void mr_publish_records(struct mr_arena *arena, struct mr_data *data, struct mr_file_state *state) {
    struct mr_column *columns = MR_ARRAY(arena, struct mr_column, state->plan->n);
    for (size_t i = 0; i < state->plan->n; i++)
        columns[i] = state->plan->col[i].as;
    state->file->columns = columns;
    state->file->n_columns = state->plan->n;
    mr_state_span(state, &state->file->first_ms, &state->file->last_ms);
    state->file->certified_until_local_ms = mr_stated_certificate(state);
    if (!state->file->disagrees)
        state->file->disagrees = mr_stated_statistics(state);
    if (state->plan->kind == MR_KIND_UNKNOWN)
        return;
    mr_doubt_blank_actions(state->records.sprays.v, state->records.sprays.n);
    publish_log(arena, data, state);
    mr_arena_reset(state->log.arena);
    state->log = (struct mr_log){.arena = state->log.arena};
    append_records(arena, data, state);
    mr_publish_unread(arena, data, state);
}
