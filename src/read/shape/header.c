/*
 * header.c - the header by shape.
 *
 * For each number of cells that rows of the sample have: which of the columns hold numbers or times (by the later
 * half of those rows, for preambles come first)? The first row that fits them begins the data. Above it stand, going
 * up, rows of units, rules and half-empty rows, then the header: words, all different, none missing. The number of
 * cells wins whose rows fill the file from there on, whose columns are each of one kind, and that has a header.
 *
 * Several tables in one file: the longest one is read, and the rows of one above it are told apart from a preamble.
 *
 * So a metadata line over the header (with or without the same number of cells), a preamble of any length,
 * `name,value` lines and statistics lines at the end do not mislead it.
 */
#include "read/shape/header.h"

#include "read/shape/rowlook.h"

enum {
    COUNTS_MAX = 12,
    BLOCK_MAX = 6,
    COLUMNS_MAX = 4096, /* beyond that no table is looked for */
    ABOVE_LEAST = 3,
    TAIL_ROWS = 20,
    RAGGED_MOST = 3
};

struct guess {
    struct mr_header found;
    double score;
};

/* Which columns hold values, and of which kind (else MR_CELL_WORD), by the rows of k cells from the skip-th on.
 * Returns how many do. */
static size_t find_typed(const struct mr_sample *sample, size_t k, size_t skip, enum mr_cell_kind *typed,
                         double *out_coherence) {
    size_t n_typed = 0, judged = 0;
    double sum = 0;
    for (size_t j = 0; j < k; j++) {
        size_t seen = 0, by_kind[4] = {0};
        for (size_t i = 0; i < sample->n; i++) {
            const struct mr_sample_row *row = &sample->row[i];
            if (mr_row_counts(row) && row->n == k && !mr_row_is_rule(row) && seen++ >= skip)
                by_kind[row->kind[j]]++;
        }
        size_t numbers = by_kind[MR_CELL_NUMBER], times = by_kind[MR_CELL_TIME], words = by_kind[MR_CELL_WORD];
        size_t most = numbers > times ? numbers : times;
        typed[j] = numbers + times <= words ? MR_CELL_WORD : numbers >= times ? MR_CELL_NUMBER : MR_CELL_TIME;
        n_typed += typed[j] != MR_CELL_WORD;
        if (numbers + times + words) {
            sum += (double)(most > words ? most : words) / (double)(numbers + times + words);
            judged++;
        }
    }
    *out_coherence = judged ? sum / (double)judged : 0;
    return n_typed;
}

static bool fits(const struct mr_sample_row *row, size_t k, const enum mr_cell_kind *typed, size_t n_typed) {
    size_t agree = 0, values = 0;
    if (!mr_row_counts(row) || row->n != k || mr_row_counts_columns(row))
        return false;
    for (size_t j = 0; j < k; j++)
        if (typed[j] != MR_CELL_WORD) {
            values += row->kind[j] == typed[j];
            agree += row->kind[j] == typed[j] || row->kind[j] == MR_CELL_MISSING;
        }
    return values && 5 * agree >= 3 * n_typed;
}

/* A row with more or fewer cells whose values stand where the table's do. */
static bool fits_ragged(const struct mr_sample_row *row, size_t k, const enum mr_cell_kind *typed) {
    size_t agree = 0, differ = 0;
    for (size_t j = 0; j < row->n && j < k; j++)
        if (typed[j] != MR_CELL_WORD) {
            agree += row->kind[j] == typed[j];
            differ += row->kind[j] == MR_CELL_WORD;
        }
    return agree > differ;
}

/* The first row of data fits, and so do half of the few rows after it: a line of text may look like one by chance. */
static bool begins_data(const struct mr_sample *sample, size_t i, size_t k, const enum mr_cell_kind *typed,
                        size_t n_typed) {
    size_t seen = 0, like = 0;
    if (!fits(&sample->row[i], k, typed, n_typed))
        return false;
    for (size_t next = i + 1; next < sample->n && seen < 4; next++) {
        const struct mr_sample_row *row = &sample->row[next];
        if (!mr_row_counts(row) || mr_row_is_rule(row))
            continue;
        seen++;
        like += fits(row, k, typed, n_typed) || (row->n != k && fits_ragged(row, k, typed));
    }
    return 2 * like >= seen;
}

/* Goes up from the first row of data: the header, and the units row between. */
static void find_header(const struct mr_sample *sample, size_t k, struct mr_header *out) {
    size_t clean[BLOCK_MAX], n_clean = 0, units = MR_NONE, last_wordy = MR_NONE, looked = 0, blanks = 0;
    for (size_t i = out->body; i-- > 0 && looked < BLOCK_MAX;) {
        const struct mr_sample_row *row = &sample->row[i];
        blanks += row->blank;
        if (row->blank || row->broken || mr_row_is_rule(row))
            continue;
        if (!mr_row_is_wordy(sample, row, k) ||
            (k == 1 && (looked || blanks > 1))) /* of one column any text would do, so only the next */
            break;
        looked++;
        bool units_row = mr_row_is_units(row) && !n_clean && units == MR_NONE;
        if (units_row)
            units = i;
        else if (mr_row_names_columns(row, k) && !(n_clean && row->comment))
            clean[n_clean++] = i;
        if (!units_row)
            last_wordy = last_wordy == MR_NONE ? i : last_wordy;
    }
    size_t best = MR_NONE, best_words = 0;
    for (size_t c = 0; c < n_clean; c++) {
        size_t words = mr_row_header_words(&sample->row[clean[c]]);
        if (best == MR_NONE || words > best_words) {
            best = clean[c];
            best_words = words;
        }
    }
    if (best == MR_NONE)
        best = last_wordy;
    if (best == MR_NONE && units != MR_NONE) { /* it only looks like units: "%,m" may be all the names there are */
        best = units;
        units = MR_NONE;
    }
    out->header = best;
    out->units = units;
}

/* Whether a header below one that was found begins a table of its own: under a blank row, or with a name of the first
 * one. */
static bool is_parted(const struct mr_sample *sample, size_t i, const struct mr_sample_row *first) {
    bool named = false;
    for (size_t j = 0; j < first->n; j++)
        named = named || mr_cell_same(&first->cell[j], &sample->row[i].cell[0]);
    return named || (i && sample->row[i - 1].blank);
}

/* Whether the table of the header at i is longer than the one above it, which may go on below under its own header.
 */
static bool is_longer(const struct mr_sample *sample, size_t i, const struct mr_header *above) {
    size_t rows = 0, below = 0, at = above->body;
    for (; at < i; at++)
        rows += mr_row_counts(&sample->row[at]);
    for (at = i + 1; at < sample->n && !mr_row_same(&sample->row[at], &sample->row[above->header]); at++)
        below += mr_row_counts(&sample->row[at]);
    return below + (at == sample->n ? sample->rest : 0) > rows;
}

/* Metadata that happen to fit the columns ("Job,1234" over "Zone,Area"; a row of names over a row of values): the
 * real header stands a little lower. Where a header was found above already, at most two rows may lie between, or a
 * table that is shorter than the one below; and a repetition of it is none. */
static void find_late_header(const struct mr_sample *sample, size_t k, const enum mr_cell_kind *typed, size_t n_typed,
                             struct mr_header *out) {
    size_t most = out->header == MR_NONE ? out->body + 30 : sample->n, near = out->body + 3,
           rows = sample->n + sample->rest;
    for (size_t i = out->body + 1; i < sample->n && i < most; i++) {
        const struct mr_sample_row *row = &sample->row[i];
        size_t values = 0;
        if (out->header != MR_NONE && mr_row_same(row, &sample->row[out->header]))
            return;
        for (size_t j = 0; j < row->n; j++)
            values += mr_kind_is_value(row->kind[j]);
        if (!mr_row_counts(row) || row->n != k || values || !mr_row_is_wordy(sample, row, k) ||
            !mr_row_names_columns(row, k) || !mr_row_header_words(row))
            continue;
        bool far = i >= near && out->header != MR_NONE;
        if (far ? !is_parted(sample, i, &sample->row[out->header]) || !is_longer(sample, i, out) : 2 * i >= rows)
            continue;
        for (size_t b = i + 1; b < sample->n; b++)
            if (begins_data(sample, b, k, typed, n_typed)) {
                out->body = b;
                find_header(sample, k, out);
                return;
            }
    }
}

/* Where no column holds values: the first row of that many cells is the header, if it could be one. */
static void find_among_words(const struct mr_sample *sample, size_t k, struct mr_header *out) {
    for (size_t i = 0; i < sample->n; i++) {
        const struct mr_sample_row *row = &sample->row[i];
        if (!mr_row_counts(row) || row->n != k || mr_row_is_rule(row))
            continue;
        bool header =
            k > 1 && out->header == MR_NONE && mr_row_is_wordy(sample, row, k) && mr_row_names_columns(row, k);
        if (header) {
            out->header = i;
            continue;
        }
        if (out->header != MR_NONE && out->units == MR_NONE && i == out->header + 1 && mr_row_is_units(row)) {
            out->units = i;
            continue;
        }
        out->body = i;
        return;
    }
}

/* Rows above that begin with a value, as preambles do not. Many of them, or one with a time and a number, are another
 * table; a row or two of numbers alone are metadata. Returns how many there are. */
static size_t find_above(const struct mr_sample *sample, size_t from, struct mr_header *out) {
    size_t lost = 0, like = 0, first = MR_NONE, last = MR_NONE;
    bool readings = false;
    for (size_t i = 0; i < from; i++) {
        const struct mr_sample_row *row = &sample->row[i];
        if (!mr_row_counts(row) || row->n < 2 || !mr_kind_is_value(row->kind[0]))
            continue;
        lost++;
        size_t values = 0, numbers = 0;
        for (size_t j = 0; j < row->n; j++) {
            values += mr_kind_is_value(row->kind[j]) || row->kind[j] == MR_CELL_MISSING;
            numbers += row->kind[j] == MR_CELL_NUMBER;
        }
        if (2 * values < row->n) /* an item of a list: "1. Response, ..." */
            continue;
        like++;
        readings = readings || (row->kind[0] == MR_CELL_TIME && numbers);
        first = first == MR_NONE ? i : first;
        last = i;
    }
    if (like >= ABOVE_LEAST || readings) {
        size_t names = first;
        while (names > 0 && (sample->row[names - 1].blank || mr_row_is_rule(&sample->row[names - 1])))
            names--;
        if (names > 0 && sample->row[names - 1].n == sample->row[first].n &&
            mr_row_is_wordy(sample, &sample->row[names - 1], sample->row[first].n))
            first = names - 1;
        out->above_first = first;
        out->above_last = last;
    }
    return lost;
}

/* The number of cells that the last rows of the sample have, where they agree: so will the rows below it. Else 0. */
static size_t find_tail(const struct mr_sample *sample) {
    size_t seen = 0, like = 0, k = 0;
    for (size_t i = sample->n; i-- > 0 && seen < TAIL_ROWS;) {
        if (!mr_row_counts(&sample->row[i]))
            continue;
        k = seen ? k : sample->row[i].n;
        like += sample->row[i].n == k;
        seen++;
    }
    return 5 * like >= 4 * seen ? k : 0;
}

/* A row of the table that has more or fewer cells: no word stands where the table has values. */
static bool is_ragged(const struct mr_sample_row *row, size_t k, const enum mr_cell_kind *typed) {
    if (!mr_row_counts(row) || row->n < 2 || row->n == k || 2 * row->n < k || row->n > 2 * k ||
        row->kind[0] != typed[0])
        return false;
    for (size_t j = 0; j < row->n && j < k; j++)
        if (typed[j] != MR_CELL_WORD && row->kind[j] == MR_CELL_WORD)
            return false;
    return mr_kind_is_value(row->kind[0]);
}

/* The table may begin with a row or a few that lack cells. Not with more: those are another table. */
static size_t ragged_before(const struct mr_sample *sample, size_t body, size_t k, const enum mr_cell_kind *typed) {
    size_t first = body;
    for (size_t i = body; i-- > 0 && body - i <= RAGGED_MOST + 1;) {
        if (!is_ragged(&sample->row[i], k, typed))
            return first;
        first = i;
    }
    return body;
}

static struct guess try_count(struct mr_arena *scratch, const struct mr_sample *sample, size_t k, size_t rows,
                              size_t tail) {
    struct guess guess = {.found = {MR_NONE, MR_NONE, MR_NONE, k, MR_NONE, MR_NONE}};
    enum mr_cell_kind *typed = MR_ARRAY(scratch, enum mr_cell_kind, k);
    double coherence;
    size_t n_typed = find_typed(sample, k, rows / 2, typed, &coherence);
    if (!n_typed && rows > 8) /* a few rows of data below a long text */
        n_typed = find_typed(sample, k, rows - (rows > 30 ? rows / 10 : 3), typed, &coherence);
    for (size_t i = 0; n_typed && i < sample->n && guess.found.body == MR_NONE; i++)
        if (begins_data(sample, i, k, typed, n_typed))
            guess.found.body = i;
    if (guess.found.body == MR_NONE) {
        find_among_words(sample, k, &guess.found);
    } else {
        guess.found.body = ragged_before(sample, guess.found.body, k, typed);
        find_header(sample, k, &guess.found);
        if (k > 1)
            find_late_header(sample, k, typed, n_typed, &guess.found);
    }
    size_t from = guess.found.body != MR_NONE ? guess.found.body : guess.found.header, all = 0, like = 0;
    for (size_t i = from; from != MR_NONE && i < sample->n; i++) {
        all += mr_row_counts(&sample->row[i]);
        like += mr_row_counts(&sample->row[i]) && sample->row[i].n == k;
    }
    if (from != MR_NONE && tail) {
        all += sample->rest;
        like += tail == k ? sample->rest : 0;
    }
    size_t lost = from != MR_NONE ? find_above(sample, from, &guess.found) : 0;
    double body = guess.found.body != MR_NONE ? (double)like : 0.5;
    guess.score = all ? (double)like / (double)all * coherence * (body / (body + 1.0)) : 0;
    bool own_header = guess.found.header != MR_NONE && sample->row[guess.found.header].n == k;
    guess.score /= 1.0 + (double)lost / (own_header && like ? (double)like : 1.0);
    guess.score *= (1.0 - 0.5 / (double)k) * (guess.found.header != MR_NONE ? 1.5 : 1.0) * (n_typed ? 1.0 : 0.7);
    return guess;
}

static bool holds_values(const struct mr_sample_row *row, size_t n_columns) {
    size_t values = 0;
    for (size_t j = 0; j < row->n; j++)
        values += mr_kind_is_value(row->kind[j]);
    return values && row->n == n_columns && mr_row_counts(row);
}

/* An export of several batches repeats its header: a first batch of a row or two must not pass for metadata above the
 * second. */
static void prefer_first(const struct mr_sample *sample, struct mr_header *found) {
    for (size_t i = 0; found->header != MR_NONE && i < found->header; i++) {
        if (!mr_row_same(&sample->row[i], &sample->row[found->header]))
            continue;
        size_t body = i + 1;
        bool units = found->units != MR_NONE && body < sample->n &&
                     mr_row_same(&sample->row[body], &sample->row[found->units]);
        body += units;
        if (body >= sample->n || !holds_values(&sample->row[body], found->n_columns))
            continue;
        found->header = i;
        found->units = units ? i + 1 : MR_NONE;
        found->body = body;
        if (found->above_last != MR_NONE && found->above_last >= i)
            found->above_first = found->above_last = MR_NONE;
    }
}

struct mr_header mr_header_find(struct mr_arena *scratch, const struct mr_sample *sample) {
    struct guess best = {.found = {MR_NONE, MR_NONE, MR_NONE, 0, MR_NONE, MR_NONE}};
    size_t count[COUNTS_MAX] = {0}, rows[COUNTS_MAX] = {0}, n = 0;
    for (size_t i = sample->n; i-- > 0;) { /* from below: the body's counts are met first */
        const struct mr_sample_row *row = &sample->row[i];
        if (!mr_row_counts(row) || row->n > COLUMNS_MAX)
            continue;
        size_t c = 0;
        while (c < n && count[c] != row->n)
            c++;
        if (c == COUNTS_MAX)
            continue;
        n += c == n;
        count[c] = row->n;
        rows[c]++;
    }
    size_t tail = sample->rest ? find_tail(sample) : 0;
    for (size_t c = 0; c < n; c++) {
        struct guess guess = try_count(scratch, sample, count[c], rows[c], tail);
        if (guess.score > best.score)
            best = guess;
    }
    if (best.found.header != MR_NONE) {
        const struct mr_sample_row *row = &sample->row[best.found.header];
        size_t named = row->n;
        while (named && !row->cell[named - 1].n)
            named--;
        if (named > best.found.n_columns)
            best.found.n_columns = named;
    }
    prefer_first(sample, &best.found);
    return best.found;
}
