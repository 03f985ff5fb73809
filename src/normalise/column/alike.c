/*
 * alike.c - looks for air, humidity and dew point among columns of numbers that nobody named.
 */
#include "normalise/column/alike.h"

#include "normalise/cell/number.h"
#include "numeric/magnus.h"
#include "numeric/select.h"

#include <math.h>
#include <stdlib.h>

enum { COLUMNS_MOST = 24, ROWS_MOST = 200, ROWS_LEAST = 8 };

/* Small enough to be no accident; humid enough air tells nothing, for there the dew point is the air itself. */
static const double obeys_k = 0.3, telling_k = 1.0, against = -0.6;

struct table {
    const struct mr_column_shapes *shapes;
    size_t n, rows;
    size_t col[COLUMNS_MOST];
    double v[COLUMNS_MOST][ROWS_MOST];
};

static bool take_row(void *ctx, const struct mr_row *row) {
    struct table *t = ctx;
    if (row->part != MR_ROW_BODY || row->broken != MR_BROKEN_NO)
        return true;
    for (size_t k = 0; k < t->n; k++) {
        const struct mr_shape *s = &t->shapes->col[t->col[k]];
        size_t at = t->col[k] + t->shapes->shift;
        struct mr_number x;
        char mark = s->commas > s->points ? ',' : s->points ? '.' : t->shapes->decimal ? t->shapes->decimal : '.';
        bool good = at < row->n && mr_number_scan(row->cell[at].p, row->cell[at].n,
                                                  (struct mr_number_style){mark, false}, &x) == MR_NUM_OK;
        t->v[k][t->rows] = good ? x.value : (double)NAN;
    }
    return ++t->rows < ROWS_MOST;
}

static void choose_columns(struct table *t) {
    for (size_t i = 0; i < t->shapes->columns && t->n < COLUMNS_MOST; i++) {
        const struct mr_shape *s = &t->shapes->col[i];
        if (s->cells && s->numbers * 2 >= s->cells && !s->datetimes && s->dates * 2 < s->cells && s->most > s->least)
            t->col[t->n++] = i;
    }
}

/* Middle distance of the dew point from the computed one; infinite where the three columns cannot be such. */
static double law(const struct table *t, size_t air, size_t rh, size_t dew, enum mr_unit unit) {
    double off[ROWS_MOST], depression = 0.0;
    size_t n = 0, rows = 0;
    for (size_t i = 0; i < t->rows; i++) {
        double a = mr_to_canonical(unit, t->v[air][i]), d = mr_to_canonical(unit, t->v[dew][i]), h = t->v[rh][i];
        if (isnan(a) || isnan(d) || isnan(h))
            continue;
        rows++;
        if (!(h > 1.5 && h <= 100.0 && d <= a + 0.5 && a >= MR_MAGNUS_LOW_C && a <= MR_MAGNUS_HIGH_C))
            continue;
        off[n++] = fabs(mr_magnus_dew_c(a, h) - d);
        depression += a - d;
    }
    if (n < ROWS_LEAST || n * 10 < rows * 9 || depression < telling_k * (double)n)
        return (double)INFINITY;
    return mr_select_kth(off, n, n / 2);
}

static bool find_law(const struct table *t, struct mr_alike *out) {
    static const enum mr_unit units[] = {MR_UNIT_C, MR_UNIT_F};
    out->off_k = (double)INFINITY;
    for (size_t a = 0; a < t->n; a++)
        for (size_t d = 0; d < t->n; d++)
            for (size_t h = 0; h < t->n; h++)
                for (size_t u = 0; u < MR_COUNT(units) && a != d && a != h && d != h; u++) {
                    double off = law(t, a, h, d, units[u]);
                    if (off < out->off_k)
                        *out = (struct mr_alike){t->col[a], t->col[h], t->col[d], units[u], off};
                }
    return out->off_k <= obeys_k;
}

/* Correlation of two columns over the rows that have both. */
static double correlation(const struct table *t, size_t x, size_t y) {
    double n = 0.0, sx = 0.0, sy = 0.0, sxx = 0.0, syy = 0.0, sxy = 0.0;
    for (size_t i = 0; i < t->rows; i++) {
        double a = t->v[x][i], b = t->v[y][i];
        if (isnan(a) || isnan(b))
            continue;
        n += 1.0;
        sx += a;
        sy += b;
        sxx += a * a;
        syy += b * b;
        sxy += a * b;
    }
    double vx = n * sxx - sx * sx, vy = n * syy - sy * sy;
    return n >= (double)ROWS_LEAST && vx > 0.0 && vy > 0.0 ? (n * sxy - sx * sy) / sqrt(vx * vy) : 0.0;
}

/* A temperature in °C below a humidity in %, which is how the two stand outdoors where nothing is written. */
static bool find_pair(const struct table *t, struct mr_alike *out) {
    double best = against;
    bool found = false;
    for (size_t a = 0; a < t->n; a++)
        for (size_t h = 0; h < t->n; h++) {
            const struct mr_shape *air = &t->shapes->col[t->col[a]], *rh = &t->shapes->col[t->col[h]];
            if (a == h || !(air->least > -60.0 && air->most < 130.0) ||
                !(rh->least >= 0.0 && rh->most <= 105.0 && rh->most > 30.0) || rh->most <= air->most)
                continue;
            double r = correlation(t, a, h);
            if (r < best) {
                best = r;
                found = true;
                *out =
                    (struct mr_alike){t->col[a], t->col[h], MR_NONE, air->least > 40.0 ? MR_UNIT_F : MR_UNIT_C, 0.0};
            }
        }
    return found;
}

bool mr_find_alike(struct mr_arena *arena, const struct mr_source *source, const struct mr_column_shapes *shapes,
                   struct mr_alike *out) {
    struct table *t = MR_NEW(arena, struct table);
    t->shapes = shapes;
    choose_columns(t);
    if (t->n < 2 || mr_read_rows(source, take_row, t) != MR_OK)
        return false;
    return find_law(t, out) || find_pair(t, out);
}
