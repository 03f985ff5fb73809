/*
 * time_columns.c - columns of log times to UTC, once for all channels of a wide file. This is the loop that sees
 * every row of every log, so the common row costs a comparison and an addition; a column that needs nothing is not
 * even copied.
 */
#include "align/align_state.h"
#include "numeric/stable_sort.h"

/* Times of a column on the true scale; MR_T_NONE where there is none. Returns whether all are there and strictly
 * rise.
 */
static bool convert(struct mr_align_state *st, const struct mr_channel *c, int64_t *utc) {
    const struct mr_filing *filing = &st->files[c->file];
    const struct mr_timing *timing = &filing->timing;
    struct mr_tz_cursor cursor = mr_tz_cursor(timing->zone);
    if (!timing->zone)
        cursor = (struct mr_tz_cursor){.lo_local_ms = MR_T_NONE + 1, .hi_local_ms = INT64_MAX};
    bool clean = true;
    for (size_t i = 0; i < c->n; i++) {
        int64_t t = mr_whole(&c->t_ms, i);
        if (t >= cursor.lo_local_ms && t < cursor.hi_local_ms && t != MR_T_NONE) {
            utc[i] = t - cursor.offset_ms;
        } else if (t == MR_T_NONE || !timing->zone) {
            utc[i] = MR_T_NONE;
        } else {
            struct mr_tz_moment moment = mr_tz_to_utc(&cursor, t);
            const struct mr_odd_time *odd =
                moment.fit == MR_TZ_ONE ? NULL : mr_align_odd(filing, (uint32_t)mr_whole(&c->line, i), 0);
            utc[i] = moment.fit == MR_TZ_ONE ? moment.first_utc_ms : odd && !odd->aside ? odd->t_utc_ms : MR_T_NONE;
        }
        clean &= utc[i] != MR_T_NONE && (i == 0 || utc[i] > utc[i - 1]);
    }
    const struct mr_clock_correction *k = timing->clock == MR_NONE ? NULL : &st->corrections[timing->clock];
    if (!k || !(k->offset_ms > 0 || k->offset_ms < 0 || k->drift > 0 || k->drift < 0))
        return clean;
    for (size_t i = 0; i < c->n; i++)
        if (utc[i] != MR_T_NONE)
            utc[i] = mr_align_correct(st, timing->clock, utc[i]);
    for (size_t i = 1; i < c->n && clean; i++)
        clean = utc[i] > utc[i - 1];
    return clean;
}

/* Rows that stay, in order of time; of equal times the first row of the file. */
static void put_in_order(struct mr_align_state *st, struct mr_arena *scratch, struct mr_seq *seq, const int64_t *utc,
                         const struct mr_wholes *line) {
    struct mr_sample_at *order = MR_ARRAY(scratch, struct mr_sample_at, seq->n);
    size_t n = 0, kept = 0;
    for (size_t i = 0; i < seq->n; i++)
        if (utc[i] != MR_T_NONE)
            order[n++] = (struct mr_sample_at){utc[i], 0, (uint32_t)i};
    mr_sort_stable(scratch, order, n, sizeof *order, mr_order_ms); /* each begins with its moment */
    int64_t *t = MR_ARRAY(scratch, int64_t, n), *lines = MR_ARRAY(scratch, int64_t, n);
    seq->pick = MR_ARRAY(st->series, uint32_t, n);
    for (size_t i = 0; i < n; i++) {
        if (kept && t[kept - 1] == order[i].t_utc_ms)
            continue;
        t[kept] = order[i].t_utc_ms;
        seq->pick[kept] = order[i].index;
        lines[kept++] = mr_whole(line, order[i].index);
    }
    seq->kept = kept;
    seq->utc = mr_wholes_pack(st->series, t, kept);
    seq->line = mr_wholes_pack(st->series, lines, kept);
    seq->repeated = n - kept;
}

static bool same_times(const struct mr_seq *seq, const struct mr_channel *c) {
    return seq->file == c->file && mr_same_column(&seq->t_ms, &c->t_ms) && seq->n == c->n;
}

void mr_align_seqs(struct mr_align_state *st) {
    st->channel_seq = MR_ARRAY(st->arena, size_t, st->data->channels.n);
    struct mr_arena *scratch = mr_arena_like(st->arena);
    for (size_t i = 0; i < st->data->channels.n; i++) {
        const struct mr_channel *c = &st->data->channels.v[i];
        size_t k = st->seqs.n;
        while (k > 0 && st->seqs.v[k - 1].file == c->file && !same_times(&st->seqs.v[k - 1], c))
            k--;
        if (k > 0 && same_times(&st->seqs.v[k - 1], c)) {
            st->channel_seq[i] = k - 1;
            continue;
        }
        struct mr_seq seq = {.t_ms = c->t_ms, .file = c->file, .n = c->n, .kept = c->n, .line = c->line};
        int64_t *utc = MR_ARRAY(scratch, int64_t, c->n);
        if (convert(st, c, utc))
            seq.utc = mr_wholes_pack(st->series, utc, c->n);
        else
            put_in_order(st, scratch, &seq, utc, &c->line);
        mr_arena_reset(scratch);
        if (seq.kept) {
            seq.first_utc_ms = mr_whole(&seq.utc, 0);
            seq.last_utc_ms = mr_whole(&seq.utc, seq.kept - 1);
        }
        st->channel_seq[i] = st->seqs.n;
        MR_PUSH(st->arena, &st->seqs, seq);
    }
    mr_arena_free(scratch);
}
