/*
 * tracks.c - channels of one instrument with the same name and meaning become one track, over all files.
 *
 * A track from one file borrows the columns that normalise made. Files that follow each other are laid end to end;
 * only files that overlap are merged. Channels of wide logs share their joined times, lines and files.
 */
#include "align/align_state.h"
#include "base/packer.h"
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
    size_t n_parts, n, most;
    size_t *seq;                    /* shape: n_parts */
    size_t *turn;                   /* shape: n_parts, the order in which they follow each other */
    struct mr_sample_at *order;     /* shape: n, part and index of each sample, where they overlap; else NULL */
    struct mr_wholes t, line, file; /* shape: n */
};

static bool same_parts(const struct mr_align_state *st, const struct joined *j, const struct entry *e, size_t n) {
    if (j->n_parts != n)
        return false;
    for (size_t i = 0; i < n; i++)
        if (j->seq[i] != st->channel_seq[e[i].index])
            return false;
    return true;
}

struct beginning {        /* of a part */
    int64_t first_utc_ms; /* first, so that mr_order_ms serves */
    size_t part;
};

/* Parts in order of time. Returns: whether each ends before the next begins. */
static bool put_in_turn(const struct mr_align_state *st, struct mr_arena *scratch, struct joined *j) {
    struct beginning *b = MR_ARRAY(scratch, struct beginning, j->n_parts);
    for (size_t i = 0; i < j->n_parts; i++)
        b[i] = (struct beginning){st->seqs.v[j->seq[i]].first_utc_ms, i};
    mr_sort_stable(scratch, b, j->n_parts, sizeof *b, mr_order_ms);
    bool apart = true;
    for (size_t i = 0; i < j->n_parts; i++) {
        j->turn[i] = b[i].part;
        apart &= i == 0 || st->seqs.v[j->seq[b[i - 1].part]].last_utc_ms < b[i].first_utc_ms;
    }
    return apart;
}

/* Samples of parts that overlap, in order of time; of equal moments that of the earlier part stays. */
static void merge(const struct mr_align_state *st, struct mr_arena *scratch, struct joined *j) {
    j->order = MR_ARRAY(scratch, struct mr_sample_at, j->most);
    size_t at = 0, kept = 0;
    for (size_t i = 0; i < j->n_parts; i++)
        for (size_t k = 0; k < st->seqs.v[j->seq[i]].kept; k++)
            j->order[at++] = (struct mr_sample_at){mr_whole(&st->seqs.v[j->seq[i]].utc, k), (uint32_t)i, (uint32_t)k};
    mr_sort_stable(scratch, j->order, j->most, sizeof *j->order, mr_order_ms); /* each begins with its moment */
    for (size_t i = 0; i < j->most; i++)
        if (!kept || j->order[kept - 1].t_utc_ms != j->order[i].t_utc_ms)
            j->order[kept++] = j->order[i];
    j->n = kept;
}

enum track_column { MOMENT, LINE, FILE_NUMBER };

static void add_number(struct mr_packer *p, const struct mr_seq *seq, enum track_column column, size_t i) {
    mr_packer_add(p, column == MOMENT ? mr_whole(&seq->utc, i)
                     : column == LINE ? mr_whole(&seq->line, i)
                                      : (int64_t)seq->file);
}

static struct mr_wholes join_column(struct mr_align_state *st, struct mr_arena *scratch, const struct joined *j,
                                    enum track_column column) {
    struct mr_packer p;
    mr_packer_begin(&p, scratch);
    for (size_t i = 0; j->order && i < j->n; i++)
        add_number(&p, &st->seqs.v[j->seq[j->order[i].part]], column, j->order[i].index);
    for (size_t i = 0; !j->order && i < j->n_parts; i++) {
        const struct mr_seq *seq = &st->seqs.v[j->seq[j->turn[i]]];
        for (size_t k = 0; k < seq->kept; k++)
            add_number(&p, seq, column, k);
    }
    return mr_packer_end(&p, st->series);
}

/* scratch: holds the order of the samples until the next columns are joined. */
static void join(struct mr_align_state *st, struct mr_arena *scratch, struct joined *j, const struct entry *e,
                 size_t n) {
    mr_arena_reset(scratch);
    *j = (struct joined){.n_parts = n, .seq = MR_ARRAY(scratch, size_t, n), .turn = MR_ARRAY(scratch, size_t, n)};
    for (size_t i = 0; i < n; i++) {
        j->seq[i] = st->channel_seq[e[i].index];
        j->most += st->seqs.v[j->seq[i]].kept;
    }
    j->n = j->most;
    if (!put_in_turn(st, scratch, j))
        merge(st, scratch, j);
    struct mr_arena *work = mr_arena_like(st->arena);
    j->t = join_column(st, work, j, MOMENT);
    mr_arena_reset(work);
    j->line = join_column(st, work, j, LINE);
    mr_arena_reset(work);
    j->file = join_column(st, work, j, FILE_NUMBER);
    mr_arena_free(work);
}

static size_t row_of(const struct mr_seq *seq, size_t i) {
    return seq->pick ? seq->pick[i] : i;
}

static void fill_single(struct mr_align_state *st, struct mr_track *track, const struct entry *e) {
    const struct mr_channel *c = &st->data->channels.v[e->index];
    const struct mr_seq *seq = &st->seqs.v[st->channel_seq[e->index]];
    track->n = seq->kept;
    track->t_utc_ms = seq->utc;
    track->line = seq->line;
    track->file0 = seq->file;
    track->value = c->value;
    if (!seq->pick)
        return;
    const struct mr_reals *parts[] = {&c->value};
    struct mr_arena *work = mr_arena_like(st->arena);
    struct mr_joiner join;
    mr_joiner_begin(&join, work, 1, parts, seq->kept);
    for (size_t i = 0; i < seq->kept; i++)
        mr_joiner_add(&join, 0, seq->pick[i]);
    track->value = mr_joiner_end(&join, st->series);
    mr_arena_free(work);
}

static void fill_joined(struct mr_align_state *st, struct mr_track *track, const struct joined *j,
                        const struct entry *e) {
    struct mr_arena *work = mr_arena_like(st->arena);
    const struct mr_reals **parts = MR_ARRAY(work, const struct mr_reals *, j->n_parts);
    for (size_t i = 0; i < j->n_parts; i++)
        parts[i] = &st->data->channels.v[e[i].index].value;
    struct mr_joiner join;
    mr_joiner_begin(&join, work, j->n_parts, parts, j->n);
    for (size_t i = 0; j->order && i < j->n; i++) {
        const struct mr_sample_at *s = &j->order[i];
        mr_joiner_add(&join, s->part, row_of(&st->seqs.v[j->seq[s->part]], s->index));
    }
    for (size_t i = 0; !j->order && i < j->n_parts; i++) {
        const size_t part = j->turn[i];
        const struct mr_seq *seq = &st->seqs.v[j->seq[part]];
        for (size_t k = 0; k < seq->kept; k++)
            mr_joiner_add(&join, part, row_of(seq, k));
    }
    track->n = j->n;
    track->t_utc_ms = j->t;
    track->value = mr_joiner_end(&join, st->series);
    track->line = j->line;
    track->file = j->file;
    track->file0 = st->seqs.v[j->seq[0]].file;
    mr_arena_free(work);
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
    struct mr_arena *scratch = mr_arena_like(st->arena);
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
                join(st, scratch, &joined, &list[i], end - i);
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
    mr_arena_free(scratch);
    mr_arena_drop(st->arena, list);
}
