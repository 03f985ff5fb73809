/*
 * repeated_runs.c - readings without times that stand in two files: a run of equal readings at the end of one and the
 * beginning of the other, or one file whole within the other.
 */
#include "normalise/file/repeated_runs.h"

#include "normalise/file/row_keys.h"

#include <string.h>

enum { RUN_LEAST = 5 };

/* Length of the longest suffix of a that is a prefix of b; *whole: where b ends in a, if it stands there whole, or 0.
 */
static size_t border(struct mr_arena *scratch, const uint64_t *a, size_t n, const uint64_t *b, size_t m,
                     size_t *whole) {
    size_t *fail = MR_ARRAY(scratch, size_t, m + 1), k = 0;
    for (size_t i = 1; i < m; i++) {
        while (k && b[i] != b[k])
            k = fail[k];
        k += b[i] == b[k];
        fail[i + 1] = k;
    }
    *whole = 0;
    k = 0;
    for (size_t i = 0; i < n; i++) {
        while (k && (k == m || a[i] != b[k]))
            k = fail[k];
        k += a[i] == b[k];
        if (k == m && !*whole)
            *whole = i + 1;
    }
    return k;
}

static uint64_t *hashes(const struct mr_compared_rows *s) {
    uint64_t *h = MR_ARRAY(s->file->scratch, uint64_t, s->n);
    for (size_t i = 0; i < s->n; i++)
        h[i] = mr_row_hash(s->file, i);
    return h;
}

static void set_run_aside(struct mr_compared_rows *b, size_t from, size_t n, const struct mr_compared_rows *a,
                          size_t a_index) {
    mr_need_fates(b);
    size_t count = 0;
    for (size_t i = from; i < from + n; i++) {
        count += b->fate[i] == MR_FATE_USED;
        b->fate[i] = MR_ASIDE_REPEATED;
    }
    b->repeated += count;
    b->partner = a_index;
    mr_diag_add(b->file->diags, MR_NOTE, "repeated", (struct mr_place){.file = b->file->source->path}, NULL, NULL,
                "%zu of %zu rows also in %s, in the same order; each is used once", count, b->n,
                a->file->source->path);
}

/* Too few readings to tell a copy from chance: they count, and the clerk is asked. */
static void doubt_few(const struct mr_compared_rows *few, const struct mr_compared_rows *other) {
    if (few->n < 2 || other->n < few->n)
        return;
    for (size_t i = 0; i < few->n; i++)
        if (mr_row_hash(few->file, i) != mr_row_hash(other->file, i))
            return;
    mr_diag_add(few->file->diags, MR_WARNING, "perhaps-repeated", (struct mr_place){.file = few->file->source->path},
                NULL,
                "If the file is a copy, take it out of the folder; to be sure, export times or reading numbers.",
                "its %zu readings match the first ones in %s; they carry no time, so both are used", few->n,
                other->file->source->path);
}

void mr_compare_untimed(struct mr_compared_rows *a, struct mr_compared_rows *b, size_t a_index) {
    if (a->timed || b->timed)
        return;
    if (a->n < RUN_LEAST || b->n < RUN_LEAST) {
        doubt_few(a->n < b->n ? a : b, a->n < b->n ? b : a);
        return;
    }
    struct mr_arena *scratch = a->file->scratch;
    uint64_t *ha = hashes(a), *hb = hashes(b);
    size_t b_in_a, a_in_b;
    size_t tail_head = border(scratch, ha, a->n, hb, b->n, &b_in_a),
           head_tail = border(scratch, hb, b->n, ha, a->n, &a_in_b);
    if (b_in_a) {
        set_run_aside(b, 0, b->n, a, a_index);
    } else if (a_in_b) {
        set_run_aside(b, a_in_b - a->n, a->n, a, a_index);
    } else if (tail_head >= RUN_LEAST) {
        set_run_aside(b, 0, tail_head, a, a_index);
    } else if (head_tail >= RUN_LEAST) {
        set_run_aside(b, b->n - head_tail, head_tail, a, a_index);
    }
}
