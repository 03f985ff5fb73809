/*
 * contradictions.c - see contradictions.h. Which of the two exports was edited, or holds another instrument's values
 * under this one's name, no row can tell.
 */
#include "normalise/file/contradictions.h"

#include "normalise/row/log_columns.h"

#include <math.h>
#include <stdlib.h>

enum { MINUTE_MS = 60000 };

struct moment_row {
    int64_t t;
    uint64_t hash;
    size_t row;
};

struct moment_rows {
    struct moment_row *v;
    size_t n;
};

static int by_moment(const void *a, const void *b) {
    const struct moment_row *x = a, *y = b;
    if (x->t != y->t)
        return x->t < y->t ? -1 : 1;
    return (x->row > y->row) - (x->row < y->row);
}

static struct moment_rows collect(const struct mr_compared_rows *s, int64_t from, int64_t to) {
    struct moment_rows rows = {.v = MR_ARRAY(s->file->scratch, struct moment_row, s->n)};
    for (size_t i = 0; i < s->n; i++) {
        const int64_t t = mr_row_moment(s, i);
        if (t != MR_T_NONE && t >= from && t <= to)
            rows.v[rows.n++] = (struct moment_row){t, mr_row_hash(s->file, i), i};
    }
    qsort(rows.v, rows.n, sizeof *rows.v, by_moment);
    return rows;
}

static size_t moment_end(const struct moment_rows *r, size_t i) {
    size_t end = i;
    while (end < r->n && r->v[end].t == r->v[i].t)
        end++;
    return end;
}

static bool holds(const struct moment_rows *r, size_t i, size_t end, uint64_t hash) {
    for (; i < end; i++)
        if (r->v[i].hash == hash)
            return true;
    return false;
}

/* One value in two units differs by what the export rounded. */
static bool differ(enum mr_dim dim, double x, double y) {
    const double most = dim == MR_DIM_TEMP ? 0.2 : dim == MR_DIM_SHARE ? 1.0 : 2.0;
    return !isnan(x) && !isnan(y) && fabs(x - y) > most;
}

static bool logs_differ(const struct mr_log *a, size_t i, const struct mr_log *b, size_t k) {
    if (a->is_long)
        return strcmp(a->channels.v[a->which[i]].name, b->channels.v[b->which[k]].name) == 0 &&
               differ(mr_meaning_dim(a->channels.v[a->which[i]].meaning), a->value[i], b->value[k]);
    for (size_t c = 0; c < a->channels.n; c++)
        if (!a->channels.v[c].dropped &&
            differ(mr_meaning_dim(a->channels.v[c].meaning), mr_log_value(&a->channels.v[c], i),
                   mr_log_value(&b->channels.v[c], k)))
            return true;
    return false;
}

static bool same_place(const struct mr_reading *a, const struct mr_reading *b) {
    return strcmp(a->zone, b->zone) == 0 && strcmp(a->coat, b->coat) == 0 && strcmp(a->area, b->area) == 0 &&
           strcmp(a->spot, b->spot) == 0 && strcmp(a->serial, b->serial) == 0;
}

static bool readings_differ(const struct mr_reading *a, const struct mr_reading *b) {
    return same_place(a, b) && fabs(a->film_um - b->film_um) > 0.05;
}

/* Whether the rows contradict each other; both are then marked. */
static bool contradict(struct mr_compared_rows *a, size_t i, struct mr_compared_rows *b, size_t k) {
    if (a->is_log) {
        if (!logs_differ(&a->file->log, i, &b->file->log, k))
            return false;
        mr_need_fates(a);
        mr_need_fates(b);
        a->fate[i] = b->fate[k] = MR_ASIDE_CONTRADICTED;
        return true;
    }
    struct mr_reading *x = &a->file->records.readings.v[i], *y = &b->file->records.readings.v[k];
    if (!readings_differ(x, y))
        return false;
    x->contradicted = y->contradicted = true;
    return true;
}

/* Of times cut to the minute a moment may hold several readings, some in each export. Two exports that go through the
 * same moments and places row by row are no parts of one memory. */
static bool run_in_step(const struct mr_compared_rows *a, const struct moment_rows *ra,
                        const struct mr_compared_rows *b, const struct moment_rows *rb) {
    enum { FEWEST = 5 };
    if (a->is_log || ra->n != rb->n || ra->n < FEWEST)
        return false;
    for (size_t i = 0; i < ra->n; i++)
        if (ra->v[i].t != rb->v[i].t ||
            !same_place(&a->file->records.readings.v[ra->v[i].row], &b->file->records.readings.v[rb->v[i].row]))
            return false;
    return true;
}

/* One reading in um and in mil differs by half a step of each export: 1 um and 0.1 mil together at most. */
static bool same_in_two_units(const struct mr_reading *a, const struct mr_reading *b) {
    return a->unit != b->unit && fabs(a->film_um - b->film_um) <= 0.5 + 0.05 * 25.4 + 1e-9;
}

/* Exports in step, row by row: one memory in two units is one memory; other values contradict. */
static size_t compare_in_step(struct mr_compared_rows *a, const struct moment_rows *ra, struct mr_compared_rows *b,
                              const struct moment_rows *rb, size_t *first) {
    size_t rows = 0;
    for (size_t i = 0; i < ra->n; i++) {
        const size_t x = ra->v[i].row, y = rb->v[i].row;
        if (ra->v[i].hash == rb->v[i].hash)
            continue;
        if (same_in_two_units(&a->file->records.readings.v[x], &b->file->records.readings.v[y])) {
            mr_need_fates(b);
            b->fate[y] = MR_ASIDE_REPEATED;
        } else if (contradict(a, x, b, y)) {
            *first = rows++ ? *first : y;
        }
    }
    return rows;
}

static void tell(const struct mr_compared_rows *a, const struct mr_compared_rows *b, size_t first, size_t rows) {
    const struct mr_file_state *state = b->file;
    const uint32_t line = b->is_log ? mr_log_line(&state->log, first) : state->records.readings.v[first].line;
    mr_diag_add(state->diags, MR_ERROR, "contradicted", (struct mr_place){.file = state->source->path, .line = line},
                NULL,
                "Take the export that is wrong out of the folder, or give the two instruments names of their own.",
                "%zu row%s give%s another value than %s does for the same moment of the same instrument", rows,
                rows == 1 ? "" : "s", rows == 1 ? "s" : "", a->file->source->path);
}

static size_t moments(const struct moment_rows *r) {
    size_t n = 0;
    for (size_t i = 0; i < r->n; i = moment_end(r, i))
        n++;
    return n;
}

void mr_find_contradictions(struct mr_compared_rows *a, struct mr_compared_rows *b, int64_t from, int64_t to,
                            bool one_instrument) {
    enum { FEWEST_MOMENTS = 5 };
    if ((!a->is_log && a->file->plan->kind != MR_KIND_THICKNESS) || (a->is_log && !one_instrument))
        return;
    const struct moment_rows ra = collect(a, from, to), rb = collect(b, from, to);
    size_t rows = 0, first = 0;
    if (run_in_step(a, &ra, b, &rb) && (one_instrument || moments(&ra) >= FEWEST_MOMENTS)) {
        rows = compare_in_step(a, &ra, b, &rb, &first);
        if (rows)
            tell(a, b, first, rows);
        return;
    }
    if (!one_instrument)
        return;
    for (size_t i = 0, k = 0, i_end, k_end; i < ra.n && k < rb.n;) {
        if (ra.v[i].t != rb.v[k].t) {
            if (ra.v[i].t < rb.v[k].t)
                i++;
            else
                k++;
            continue;
        }
        i_end = moment_end(&ra, i);
        k_end = moment_end(&rb, k);
        const bool single =
            a->is_log && i_end == i + 1 && k_end == k + 1; /* of a log's cut times nothing is known either */
        for (size_t y = k; y < k_end && (single || ra.v[i].t % MINUTE_MS != 0); y++) {
            bool told = holds(&ra, i, i_end, rb.v[y].hash);
            for (size_t x = i; x < i_end && !told; x++) {
                told = !holds(&rb, k, k_end, ra.v[x].hash) && contradict(a, ra.v[x].row, b, rb.v[y].row);
                first = told && !rows ? rb.v[y].row : first;
                rows += told;
            }
        }
        i = i_end;
        k = k_end;
    }
    if (rows)
        tell(a, b, first, rows);
}
