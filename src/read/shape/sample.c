/*
 * sample.c - the delimiter by evidence.
 *
 * A delimiter earns points for each row that has as many cells as a row beside it, and at least two. The points of a
 * row are the share of its clean cells times (1 - 1/cells): a cell is clean that is quoted, or a number (so that
 * decimal commas count for the semicolon), or holds none of the other delimiters. From the first such row on, half of
 * the rows must be divided at all: prose with a comma here and there is one column.
 */
#include "read/shape/sample.h"

#include "base/text.h"
#include "read/record/record_reader.h"

#include <string.h>

const char mr_delimiters[MR_DELIMITERS + 1] = {',', ';', '\t', '|', 0};

struct taker {
    struct mr_arena *arena;
    char delimiter;
    size_t most;
    MR_VEC(struct mr_sample_row) rows;
};

static bool take_row(void *ctx, const struct mr_row *row) {
    struct taker *taker = ctx;
    struct mr_cell *cell = MR_ARRAY(taker->arena, struct mr_cell, row->n);
    enum mr_cell_kind *kind = MR_ARRAY(taker->arena, enum mr_cell_kind, row->n);
    for (size_t i = 0; i < row->n; i++) {
        cell[i] = row->cell[i];
        cell[i].p = mr_strndup(taker->arena, row->cell[i].p, row->cell[i].n);
        kind[i] = mr_cell_kind(&cell[i], taker->delimiter == 0);
    }
    struct mr_sample_row kept = {.line = row->line,
                                 .line_end = row->line_end,
                                 .broken = row->broken != MR_BROKEN_NO,
                                 .blank = row->part == MR_ROW_BLANK,
                                 .n = row->n,
                                 .cell = cell,
                                 .kind = kind};
    kept.comment = row->n && cell[0].n && cell[0].p[0] == '#' && !cell[0].quoted;
    MR_PUSH(taker->arena, &taker->rows, kept);
    return taker->rows.n < taker->most;
}

struct mr_sample mr_sample_take(struct mr_arena *arena, const char *text, size_t n, char delimiter, size_t most) {
    struct taker taker = {.arena = arena, .delimiter = delimiter, .most = most};
    struct mr_layout layout = {.delimiter = delimiter, .last_decimals = -1, .check_bytes = true};
    struct mr_bytes bytes;
    struct mr_tally tally;
    mr_bytes_memory(&bytes, text, n, MR_CHUNK_BYTES);
    enum mr_status status = mr_records_run(arena, &bytes, MR_ENC_UTF8, &layout, take_row, &taker, &tally);
    (void)status; /* memory does not fail; without library memory the rows so far are the sample */
    return (struct mr_sample){.delimiter = delimiter, .n = taker.rows.n, .row = taker.rows.v};
}

static bool counts(const struct mr_sample_row *row) {
    return !row->blank && !row->broken && !row->comment;
}

static double clean_share(const struct mr_sample_row *row, char delimiter) {
    size_t clean = 0;
    for (size_t i = 0; i < row->n; i++) {
        const struct mr_cell *cell = &row->cell[i];
        bool other = false;
        for (size_t k = 0; k < MR_DELIMITERS; k++)
            other = other || (mr_delimiters[k] != delimiter && memchr(cell->p, mr_delimiters[k], cell->n));
        clean += cell->quoted || !other || row->kind[i] == MR_CELL_NUMBER;
    }
    return (double)clean / (double)row->n;
}

/* Points of one delimiter; 0 where it does not divide most rows. */
static double points(const struct mr_sample *sample) {
    double sum = 0;
    size_t before = 0, rows = 0, divided = 0;
    bool begun = false, before_counted = true;
    double before_points = 0;
    for (size_t i = 0; i < sample->n; i++) {
        const struct mr_sample_row *row = &sample->row[i];
        if (!counts(row))
            continue;
        double own = row->n > 1 ? clean_share(row, sample->delimiter) * (1.0 - 1.0 / (double)row->n) : 0;
        bool twin = row->n > 1 && row->n == before;
        if (twin && !begun) {
            begun = true;
            rows = divided = 1;
        }
        if (twin)
            sum += own + (before_counted ? 0 : before_points);
        rows += begun;
        divided += begun && row->n > 1;
        before = row->n;
        before_points = own;
        before_counted = twin;
    }
    return begun && 2 * divided >= rows ? sum : 0;
}

/* Too few rows to have twins: the delimiter with the most clean cells. */
static double points_of_few(const struct mr_sample *sample) {
    size_t rows = 0;
    double best = 0;
    for (size_t i = 0; i < sample->n; i++) {
        const struct mr_sample_row *row = &sample->row[i];
        if (!counts(row))
            continue;
        double own = row->n > 1 ? clean_share(row, sample->delimiter) * (double)(row->n - 1) : 0;
        best = own > best ? own : best;
        rows++;
    }
    return rows <= 2 ? best : 0;
}

static bool all_digits(const struct mr_cell *cell, bool sign) {
    uint32_t i = sign && cell->n > 1 && (cell->p[0] == '-' || cell->p[0] == '+');
    if (i == cell->n)
        return false;
    for (; i < cell->n; i++)
        if (!mr_is_digit(cell->p[i]))
            return false;
    return true;
}

/* "Film" over "5,2" and "5,3": under the comma each row is two whole numbers below a header of one word. */
static bool is_decimal_comma_column(const struct mr_sample *sample) {
    const struct mr_sample_row *header = NULL;
    size_t pairs = 0;
    for (size_t i = 0; i < sample->n; i++) {
        const struct mr_sample_row *row = &sample->row[i];
        if (!counts(row))
            continue;
        bool pair = row->n == 2 && all_digits(&row->cell[0], true) && all_digits(&row->cell[1], false);
        pairs += pair;
        if (!pairs)
            header = row;
        else if (!pair && !(row->n == 1 && row->kind[0] == MR_CELL_NUMBER))
            return false;
    }
    return pairs && header && header->n == 1 && header->kind[0] == MR_CELL_WORD &&
           !memchr(header->cell[0].p, ':', header->cell[0].n);
}

bool mr_sample_is_divided(const struct mr_sample *sample) {
    size_t rows = 0, divided = 0;
    for (size_t i = 0; i < sample->n; i++) {
        rows += counts(&sample->row[i]);
        divided += counts(&sample->row[i]) && sample->row[i].n > 1;
    }
    return 2 * divided >= rows;
}

size_t mr_sample_choose(const struct mr_sample *taken) {
    for (int few = 0; few < 2; few++) {
        size_t best = MR_DELIMITERS;
        double best_points = 0;
        for (size_t k = 0; k < MR_DELIMITERS; k++) {
            double own = few ? points_of_few(&taken[k]) : points(&taken[k]);
            if (own > best_points) {
                best_points = own;
                best = k;
            }
        }
        if (best == 0 && is_decimal_comma_column(&taken[0]))
            return MR_DELIMITERS;
        if (best < MR_DELIMITERS)
            return best;
    }
    return MR_DELIMITERS;
}
