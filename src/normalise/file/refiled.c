/* refiled.c - see refiled.h. */
#include "normalise/file/refiled.h"

#include "normalise/cell/words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { MINUTE_MS = 60000, MOMENT_MOST = 64 };

/* Without a named gauge, and within one file, where a scanning gauge takes several readings a second, so few may be
 * chance. */
enum { FEWEST_UNNAMED = 5 };

struct filed {
    int64_t t;
    struct mr_reading *reading;
    struct mr_file_state *state;
    size_t row;
};

struct twice {
    struct filed *a, *b; /* of one file or of two, a's before b's */
    bool named;          /* both name the gauge */
};

struct refiled {
    struct mr_arena *scratch;
    const struct mr_file_state *files;
    size_t n_files;
    MR_VEC(struct twice) list;
    const char *zone[2]; /* compared last */
    bool one_zone;       /* what came of it */
};

static int by_moment(const void *x, const void *y) {
    const struct filed *a = x, *b = y;
    if (a->t != b->t)
        return a->t < b->t ? -1 : 1;
    if (a->state->index != b->state->index)
        return a->state->index < b->state->index ? -1 : 1;
    return (a->row > b->row) - (a->row < b->row);
}

static int by_pair(const void *x, const void *y) {
    const struct twice *p = x, *q = y;
    if (p->a->state->index != q->a->state->index)
        return p->a->state->index < q->a->state->index ? -1 : 1;
    if (p->b->state->index != q->b->state->index)
        return p->b->state->index < q->b->state->index ? -1 : 1;
    return by_moment(p->b, q->b);
}

static const char *gauge_of(const struct filed *f) {
    return *f->reading->serial ? f->reading->serial : f->state->file->instrument_name;
}

static bool names(struct mr_arena *arena, const struct mr_zone_row *row, const char *zone) {
    const char *own = mr_words_fold(arena, zone, strlen(zone));
    if (strcmp(mr_words_fold(arena, row->name, strlen(row->name)), own) == 0)
        return true;
    for (const char *p = row->aliases; *p; p += *p != '\0') {
        const size_t n = strcspn(p, ";|/");
        if (strcmp(mr_words_fold(arena, p, n), own) == 0)
            return true;
        p += n;
    }
    return false;
}

/* By name, or by the register's aliases. */
static bool in_one_zone(struct refiled *r, const char *a, const char *b) {
    if (strcmp(a, b) == 0)
        return true;
    if (r->zone[0] == a && r->zone[1] == b)
        return r->one_zone;
    r->zone[0] = a;
    r->zone[1] = b;
    r->one_zone = false;
    for (size_t i = 0; i < r->n_files && !r->one_zone; i++)
        for (size_t k = 0; k < r->files[i].records.zones.n && !r->one_zone; k++) {
            const struct mr_zone_row *row = &r->files[i].records.zones.v[k];
            r->one_zone = names(r->scratch, row, a) && names(r->scratch, row, b);
        }
    return r->one_zone;
}

static bool same_place(struct refiled *r, const struct mr_reading *a, const struct mr_reading *b) {
    return in_one_zone(r, a->zone, b->zone) && strcmp(a->coat, b->coat) == 0 && strcmp(a->area, b->area) == 0 &&
           strcmp(a->spot, b->spot) == 0;
}

/* In two units one reading differs by half a step of each export: 1 um and 0.1 mil together at most. */
static bool same_value(const struct mr_reading *a, const struct mr_reading *b) {
    const double most = a->unit == b->unit ? 0.05 : 0.5 + 0.05 * 25.4 + 1e-9;
    return fabs(a->film_um - b->film_um) <= most;
}

/* A file that names no zone has one all the same: it says nothing against the other's. */
static bool in_two_zones(struct refiled *r, const struct mr_reading *a, const struct mr_reading *b) {
    return *a->zone && *b->zone && !in_one_zone(r, a->zone, b->zone);
}

/* Readings of one moment, from..to. */
static void compare(struct refiled *out, struct filed *v, size_t from, size_t to) {
    for (size_t i = from; i < to; i++)
        for (size_t k = i + 1; k < to; k++) {
            const struct mr_reading *a = v[i].reading, *b = v[k].reading;
            const char *x = gauge_of(&v[i]), *y = gauge_of(&v[k]);
            const bool named = *x && *y, one_file = v[i].state == v[k].state;
            if (v[i].state->file->basis != v[k].state->file->basis || (named && strcmp(x, y) != 0) ||
                same_place(out, a, b) || (one_file && v[k].row - v[i].row < to - from))
                continue;
            if (same_value(a, b) || (named && !one_file && to - from == 2 && in_two_zones(out, a, b)))
                MR_PUSH(out->scratch, &out->list, ((struct twice){&v[i], &v[k], named && !one_file}));
        }
}

static void mark(const struct twice *v, size_t n) {
    const struct mr_file_state *b = v->b->state;
    size_t named = 0;
    for (size_t i = 0; i < n; i++)
        named += v[i].named;
    if (!named && n < FEWEST_UNNAMED)
        return;
    for (size_t i = 0; i < n; i++)
        v[i].a->reading->contradicted = v[i].b->reading->contradicted = true;
    mr_diag_add(b->diags, MR_ERROR, "refiled",
                (struct mr_place){.file = b->source->path, .line = v->b->reading->line}, NULL,
                "Take the export that is wrong out of the folder: a gauge is at one place at a time.",
                "%zu reading%s of a gauge stand%s under another place than in %s, at the same moment", n,
                n == 1 ? "" : "s", n == 1 ? "s" : "", v->a->state == b ? "other rows" : v->a->state->source->path);
}

void mr_find_refiled(struct mr_file_state *files, size_t n) {
    size_t readings = 0, used = 0;
    for (size_t i = 0; i < n; i++)
        readings += files[i].plan && files[i].plan->kind == MR_KIND_THICKNESS ? files[i].records.readings.n : 0;
    if (!readings)
        return;
    struct filed *v = MR_ARRAY(files[0].scratch, struct filed, readings);
    for (size_t i = 0; i < n; i++)
        for (size_t k = 0;
             files[i].plan && files[i].plan->kind == MR_KIND_THICKNESS && k < files[i].records.readings.n; k++) {
            struct mr_reading *r = &files[i].records.readings.v[k];
            if (r->t_ms != MR_T_NONE && r->t_ms % MINUTE_MS != 0 && !isnan(r->film_um))
                v[used++] = (struct filed){r->t_ms, r, &files[i], k};
        }
    qsort(v, used, sizeof *v, by_moment);
    struct refiled found = {.scratch = files[0].scratch, .files = files, .n_files = n};
    for (size_t i = 0, end; i < used; i = end) {
        for (end = i + 1; end < used && v[end].t == v[i].t; end++)
            ;
        if (end - i > 1 && end - i <= MOMENT_MOST)
            compare(&found, v, i, end);
    }
    if (!found.list.n)
        return;
    qsort(found.list.v, found.list.n, sizeof *found.list.v, by_pair);
    for (size_t i = 0, end; i < found.list.n; i = end) {
        const struct twice *p = found.list.v;
        for (end = i + 1; end < found.list.n && p[end].a->state == p[i].a->state && p[end].b->state == p[i].b->state;
             end++)
            ;
        mark(p + i, end - i);
    }
}
