/*
 * blanks.c - runs of blanks as delimiter, by evidence.
 *
 * Texts are full of blanks, so nearly every row must agree: from the first row of data on, rows of the same number of
 * parts, three or more, of which half are numbers and times. One value may hold blanks itself ("14 May 2026 10:00",
 * "1 200.5 ft2"): lines that are a time as a whole, or few parts under a single name, are one column.
 *
 * No delimiter that divides half of the rows may have been found before that. The comma is the exception: under the
 * decimal comma it seems to divide each row, but not the header, and each comma stands inside a number.
 */
#include "read/shape/blanks.h"

#include "read/record/trim.h"
#include "read/shape/rowlook.h"

#include <string.h>

enum { COUNTS_MAX = 64, LEAST_COLUMNS = 3, LEAST_ROWS = 3, FEW_PARTS = 4, TIME_PARTS = 7 };

static bool is_data(const struct mr_sample_row *row, size_t k) {
    size_t values = 0, like = 0;
    if (row->blank || row->broken || row->comment || row->n != k)
        return false;
    for (size_t j = 0; j < k; j++) {
        values += mr_kind_is_value(row->kind[j]);
        like += mr_kind_is_value(row->kind[j]) || row->kind[j] == MR_CELL_MISSING;
    }
    return values >= 2 && 2 * like >= k;
}

/* The number of parts that most rows of data have. */
static size_t common_count(const struct mr_sample *blanks) {
    size_t rows[COUNTS_MAX] = {0}, best = 0;
    for (size_t i = 0; i < blanks->n; i++)
        if (blanks->row[i].n < COUNTS_MAX && is_data(&blanks->row[i], blanks->row[i].n))
            rows[blanks->row[i].n]++;
    for (size_t k = LEAST_COLUMNS; k < COUNTS_MAX; k++)
        best = rows[k] > rows[best] ? k : best;
    return best;
}

static bool is_decimal(const struct mr_cell *cell) {
    return memchr(cell->p, '.', cell->n) || memchr(cell->p, ',', cell->n);
}

/* Whether a line is more than one time: a value stands behind the clock or date that is no year; or, where no part is
 * a time by itself, there are more parts than a time has, or numbers with decimals. */
static bool is_more_than_time(const struct mr_sample_row *row) {
    size_t j = 0;
    while (j < row->n && row->kind[j] != MR_CELL_TIME)
        j++;
    bool timed = j < row->n;
    for (j = timed ? j + 1 : 0; j < row->n; j++) {
        const struct mr_cell *cell = &row->cell[j];
        bool year =
            cell->n == 4 && (memcmp(cell->p, "19", 2) == 0 || memcmp(cell->p, "20", 2) == 0) && !is_decimal(cell);
        if (row->kind[j] == MR_CELL_NUMBER && !year && (timed || is_decimal(cell) || row->n > TIME_PARTS))
            return true;
    }
    return false;
}

/* Lines that are one value: a time as a whole, or quoted as a whole. */
static size_t whole_values(const struct mr_sample *one, bool times) {
    size_t whole = 0;
    for (size_t i = 0; i < one->n; i++)
        whole += one->row[i].n == 1 && (one->row[i].cell[0].quoted || (times && one->row[i].kind[0] == MR_CELL_TIME));
    return whole;
}

static const struct mr_sample_row *row_above(const struct mr_sample *blanks, size_t i) {
    while (i-- > 0)
        if (!blanks->row[i].blank && blanks->row[i].n && !mr_cell_is_rule(&blanks->row[i].cell[0]))
            return &blanks->row[i];
    return NULL;
}

/* Each comma of the rows stands inside a number, and the names above hold none. */
static bool is_decimal_comma(const struct mr_sample *blanks, size_t first, size_t k) {
    const struct mr_sample_row *names = row_above(blanks, first);
    if (!names || names->n + 1 < k || names->n > 2 * k)
        return false;
    for (size_t j = 0; j < names->n; j++)
        if (memchr(names->cell[j].p, ',', names->cell[j].n))
            return false;
    for (size_t i = first; i < blanks->n; i++)
        for (size_t j = 0; is_data(&blanks->row[i], k) && j < k; j++) {
            const struct mr_cell *cell = &blanks->row[i].cell[j];
            const char *comma = memchr(cell->p, ',', cell->n);
            char mark;
            int decimals;
            bool single =
                comma && comma > cell->p && !memchr(comma + 1, ',', (size_t)(cell->p + cell->n - comma - 1));
            if (comma && !(single && mr_number_marks(cell, &mark, &decimals) && decimals > 0))
                return false;
        }
    return true;
}

size_t mr_blanks_columns(const struct mr_sample *blanks, const struct mr_sample *other) {
    size_t k = common_count(blanks), first = MR_NONE, data = 0, against = 0, behind = 0;
    bool times = false;
    for (size_t i = 0; k && i < blanks->n; i++) {
        const struct mr_sample_row *row = &blanks->row[i];
        bool own = is_data(row, k);
        if (own && first == MR_NONE)
            first = i;
        data += own;
        behind += own && is_more_than_time(row);
        against += first != MR_NONE && !own && !row->blank && !row->comment;
        for (size_t j = 0; own && j < k; j++)
            times = times || row->kind[j] == MR_CELL_TIME;
    }
    if (data < LEAST_ROWS || against > 2 + data / 10)
        return 0;
    bool divided = other->delimiter && mr_sample_is_divided(other);
    if (divided)
        return is_decimal_comma(blanks, first, k) ? k : 0;
    const struct mr_sample_row *above = row_above(blanks, first);
    bool single_name = above && above->n == 1 && above->kind[0] == MR_CELL_WORD;
    if (2 * whole_values(other, 2 * behind < data) >= data || (single_name && !times && k <= FEW_PARTS))
        return 0;
    return k;
}

/* --- rows above the data
 * ------------------------------------------------------------------------------------------------ */

struct header { /* a row of words, and where its words stand in their line */
    struct mr_cell line;
    MR_VEC(struct mr_cell) word;
};

static struct mr_cell find_line(const char *text, size_t n, uint32_t line) {
    const char *end = text + n;
    struct mr_cell found = {.p = text};
    for (uint32_t at = 1; at < line && found.p < end; found.p++)
        at += *found.p == '\n' || (*found.p == '\r' && !(found.p + 1 < end && found.p[1] == '\n'));
    for (const char *p = found.p; p < end && *p != '\n' && *p != '\r'; p++)
        found.n++;
    return found;
}

/* Cells that stand apart by `gap` blanks or a tab. */
static struct header split(struct mr_arena *arena, struct mr_cell line, size_t gap) {
    struct header header = {.line = line};
    size_t blanks = gap, i = 0;
    for (; i < line.n; i++) {
        if (mr_is_blank(line.p[i])) {
            blanks = line.p[i] == '\t' ? gap : blanks + 1;
            continue;
        }
        if (blanks >= gap) {
            struct mr_cell word = {.p = line.p + i};
            MR_PUSH(arena, &header.word, word);
        }
        struct mr_cell *word = &header.word.v[header.word.n - 1];
        word->n = (uint32_t)(line.p + i + 1 - word->p);
        blanks = 0;
    }
    return header;
}

static bool is_mark(const struct mr_cell *cell) {
    return (cell->n == 1 && strchr("#%!;*", *cell->p)) || (cell->n == 2 && memcmp(cell->p, "//", 2) == 0);
}

static void drop_first(struct header *header) {
    header->word.v++;
    header->word.n--;
    header->word.cap--;
}

/* Time 1 2 over 2026-05-14 10:00 20.1 20.2: the name is given twice. first: a row of data. */
static bool spread_time(struct mr_arena *arena, struct header *header, const struct mr_sample_row *first) {
    for (size_t j = 0; j + 1 < first->n && header->word.n + 1 == first->n; j++) {
        bool date = first->kind[j] == MR_CELL_TIME && !memchr(first->cell[j].p, ':', first->cell[j].n);
        bool clock = first->kind[j + 1] == MR_CELL_TIME && memchr(first->cell[j + 1].p, ':', first->cell[j + 1].n);
        struct mr_cell name = header->word.v[j], head = {.p = name.p, .n = name.n < 4 ? name.n : 4};
        if (!date || !clock || !(mr_cell_is(&head, "time") || mr_cell_is(&head, "date")))
            continue;
        MR_PUSH(arena, &header->word, name);
        memmove(header->word.v + j + 1, header->word.v + j, (header->word.n - 1 - j) * sizeof name);
        return true;
    }
    return false;
}

/* Units under their names: each overlaps one name of its own. */
static bool place_units(struct mr_arena *arena, struct header *units, const struct header *names) {
    struct mr_cell *placed = MR_ARRAY(arena, struct mr_cell, names->word.n);
    for (size_t j = 0; j < names->word.n; j++)
        placed[j].p = "";
    for (size_t u = 0; u < units->word.n; u++) {
        const struct mr_cell *unit = &units->word.v[u];
        size_t from = (size_t)(unit->p - units->line.p), hits = 0, at = 0;
        for (size_t j = 0; j < names->word.n; j++) {
            size_t name = (size_t)(names->word.v[j].p - names->line.p);
            bool over = from < name + names->word.v[j].n && name < from + unit->n;
            hits += over;
            at = over ? j : at;
        }
        if (hits != 1 || placed[at].n)
            return false;
        placed[at] = *unit;
    }
    units->word.v = placed;
    units->word.n = units->word.cap = names->word.n;
    return true;
}

static void put_cells(struct mr_arena *arena, struct mr_sample_row *row, const struct header *header) {
    enum mr_cell_kind *kind = MR_ARRAY(arena, enum mr_cell_kind, header->word.n);
    for (size_t j = 0; j < header->word.n; j++)
        kind[j] = mr_cell_kind(&header->word.v[j], false);
    row->n = header->word.n;
    row->cell = header->word.v;
    row->kind = kind;
}

void mr_blanks_headers(struct mr_arena *arena, struct mr_sample *blanks, size_t k, const char *text, size_t n) {
    struct mr_sample_row *rows = MR_ARRAY(arena, struct mr_sample_row, blanks->n);
    size_t first = 0;
    while (first < blanks->n && !is_data(&blanks->row[first], k))
        first++;
    memcpy(rows, blanks->row, blanks->n * sizeof *rows);
    struct header above = {0};
    for (size_t i = first > 8 ? first - 8 : 0; first < blanks->n && i < first; i++) {
        struct mr_sample_row *row = &rows[i];
        if (row->blank || row->broken || mr_cell_is_rule(&row->cell[0]))
            continue;
        struct mr_cell line = find_line(text, n, row->line);
        struct header words = split(arena, line, 1), wide = split(arena, line, 2);
        if (words.word.n > 1 && is_mark(&words.word.v[0])) {
            drop_first(&words);
            row->comment = true;
        }
        bool certain = wide.word.n == k || spread_time(arena, &wide, &rows[first]);
        if (certain)
            words = wide;
        else
            certain = words.word.n == k || spread_time(arena, &words, &rows[first]);
        if (!certain && above.word.n == k && words.word.n < k)
            certain = place_units(arena, &words, &above);
        if (certain)
            put_cells(arena, row, &words);
        above = words;
    }
    blanks->row = rows;
}
