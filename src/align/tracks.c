/*
 * tracks.c - channels of one instrument with the same name and meaning become one track, over all files.
 *
 * A track from one file borrows the columns that normalise made. Files that follow each other are laid end to end;
 * only files that overlap are merged. Channels of wide logs share their joined times, lines and files.
 */
#include "align/align_state.h"
#include "numeric/stable_sort.h"

#include <stdlib.h>
#include <string.h>

struct entry { /* a channel on its way into a track */
    const char *instrument, *channel;
    enum mr_meaning meaning;
    size_t clock, index;
};

static int by_track(const void *a, const void *b) {
    const struct entry *x = a, *y = b;
    int order = strcmp(x->instrument, y->instrument);
    if (!order && x->clock != y->clock)
        order = x->clock < y->clock ? -1 : 1;
    if (!order && x->meaning != y->meaning)
        order = x->meaning < y->meaning ? -1 : 1;
    return order ? order : strcmp(x->channel, y->channel);
}

static int by_entry(const void *a, const void *b) {
    int order = by_track(a, b);
    const struct entry *x = a, *y = b;
    return order ? order : (x->index > y->index) - (x->index < y->index);
}

/* Times, lines and files of several columns joined; reused while the next track has the same columns. */
struct joined {
    size_t n_parts, n;
    size_t *seq; /* shape: n_parts */
    int64_t *t;
    uint32_t *line, *file;
    struct mr_sample_at *order; /* shape: n: part and index of each sample */
};

static bool same_parts(const struct mr_align_state *st, const struct joined *j, const struct entry *e, size_t n) {
    if (j->n_parts != n)
        return false;
    for (size_t i = 0; i < n; i++)
        if (j->seq[i] != st->channel_seq[e[i].index])
            return false;
    return true;
}

static void join(struct mr_align_state *st, struct joined *j, const struct entry *e, size_t n) {
    size_t total = 0, kept = 0;
    mr_arena_drop(st->series, j->order);
    *j = (struct joined){.n_parts = n, .seq = MR_ARRAY(st->series, size_t, n)};
    for (size_t i = 0; i < n; i++) {
        j->seq[i] = st->channel_seq[e[i].index];
        total += st->seqs.v[j->seq[i]].kept;
    }
    j->order = MR_ARRAY(st->series, struct mr_sample_at, total);
    for (size_t i = 0, at = 0; i < n; i++)
        for (size_t k = 0; k < st->seqs.v[j->seq[i]].kept; k++)
            j->order[at++] = (struct mr_sample_at){st->seqs.v[j->seq[i]].utc[k], (uint32_t)i, (uint32_t)k};
    mr_sort_stable(st->series, j->order, total, sizeof *j->order, mr_order_ms); /* each begins with its moment */
    j->t = MR_ARRAY(st->series, int64_t, total);
    j->line = MR_ARRAY(st->series, uint32_t, total);
    j->file = MR_ARRAY(st->series, uint32_t, total);
    for (size_t i = 0; i < total; i++) {
        struct mr_sample_at s = j->order[i];
        if (kept && j->t[kept - 1] == s.t_utc_ms)
            continue;
        const struct mr_seq *seq = &st->seqs.v[j->seq[s.part]];
        j->t[kept] = s.t_utc_ms;
        j->line[kept] = seq->line[s.index];
        j->file[kept] = seq->file;
        j->order[kept++] = s;
    }
    j->n = kept;
}

static double value_at(const struct mr_align_state *st, const struct entry *e, size_t seq, size_t index) {
    const struct mr_channel *c = &st->data->channels.v[e->index];
    return c->value[st->seqs.v[seq].pick ? st->seqs.v[seq].pick[index] : index];
}

static void fill_single(struct mr_align_state *st, struct mr_track *track, const struct entry *e) {
    const struct mr_channel *c = &st->data->channels.v[e->index];
    struct mr_seq *seq = &st->seqs.v[st->channel_seq[e->index]];
    seq->lent = true;
    track->n = seq->kept;
    track->t_utc_ms = seq->utc;
    track->line = seq->line;
    track->file0 = seq->file;
    track->value = c->value;
    if (!seq->pick)
        return;
    double *value = MR_ARRAY(st->series, double, seq->kept);
    for (size_t i = 0; i < seq->kept; i++)
        value[i] = c->value[seq->pick[i]];
    track->value = value;
}

static void fill_joined(struct mr_align_state *st, struct mr_track *track, const struct joined *j,
                        const struct entry *e) {
    double *value = MR_ARRAY(st->series, double, j->n);
    for (size_t i = 0; i < j->n; i++)
        value[i] = value_at(st, &e[j->order[i].part], j->seq[j->order[i].part], j->order[i].index);
    track->n = j->n;
    track->t_utc_ms = j->t;
    track->value = value;
    track->line = j->line;
    track->file = j->file;
    track->file0 = st->seqs.v[j->seq[0]].file;
}

/* "P1 [degC]" and "P1" are one channel: a bracket at the end that holds a unit is not part of the name. */
static const char *bare_name(struct mr_align_state *st, const char *name) {
    size_t n = strlen(name), open = n;
    if (n < 3 || (name[n - 1] != ']' && name[n - 1] != ')'))
        return name;
    while (open > 0 && name[open - 1] != '[' && name[open - 1] != '(')
        open--;
    enum mr_unit unit;
    if (open < 2 || !mr_unit_find(name + open, n - 1 - open, &unit))
        return name;
    for (open--; open > 0 && name[open - 1] == ' ';)
        open--;
    return open ? mr_strndup(st->arena, name, open) : name;
}

/* Columns that only joined tracks used. Newest first: the arena finds its newest items at once. */
static void drop_copied(struct mr_align_state *st) {
    for (size_t i = st->seqs.n; i-- > 0;) {
        struct mr_seq *seq = &st->seqs.v[i];
        if (seq->lent)
            continue;
        mr_arena_drop(st->series, seq->pick);
        mr_arena_drop(st->series, seq->utc);
        seq->pick = NULL;
        seq->utc = NULL;
    }
}

void mr_align_tracks(struct mr_align_state *st) {
    const struct mr_data *d = st->data;
    struct entry *list = MR_ARRAY(st->arena, struct entry, d->channels.n);
    size_t n = 0;
    for (size_t i = 0; i < d->channels.n; i++) {
        const struct mr_channel *c = &d->channels.v[i];
        size_t clock = st->files[c->file].timing.clock;
        if (st->seqs.v[st->channel_seq[i]].kept == 0 || clock == MR_NONE)
            continue;
        const char *name = st->out->clocks.v[clock].instrument;
        bool named = mr_names_get(&st->instrument_clock, name) == clock;
        list[n++] = (struct entry){named ? name : "", bare_name(st, c->name ? c->name : ""), c->meaning, clock, i};
    }
    qsort(list, n, sizeof *list, by_entry);
    struct joined joined = {0};
    for (size_t i = 0, end; i < n; i = end) {
        for (end = i + 1; end < n && by_track(&list[i], &list[end]) == 0;)
            end++;
        struct mr_track track = {.instrument = list[i].instrument,
                                 .channel = list[i].channel,
                                 .meaning = list[i].meaning,
                                 .clock = list[i].clock};
        if (end - i == 1) {
            fill_single(st, &track, &list[i]);
        } else {
            if (!same_parts(st, &joined, &list[i], end - i))
                join(st, &joined, &list[i], end - i);
            fill_joined(st, &track, &joined, &list[i]);
        }
        for (size_t k = i; k < end; k++) {
            struct mr_part part = {list[k].index, st->out->tracks.n};
            MR_PUSH(st->arena, &st->parts, part);
            const struct mr_channel *c = &d->channels.v[list[k].index];
            MR_PUSH(st->arena, &track.files, ((struct mr_track_file){c->file, c->unit}));
        }
        MR_PUSH(st->arena, &st->out->tracks, track);
    }
    mr_arena_drop(st->series, joined.order);
    mr_arena_drop(st->arena, list);
    drop_copied(st);
}
