/*
 * header.c - the header by shape.
 *
 * For each number of cells that rows of the sample have: which of the columns hold numbers or times (by the later half of
 * those rows, for preambles come first)? The first row that fits them begins the data. Above it stand, going up, rows of
 * units, rules and half-empty rows, then the header: words, all different, none missing. The number of cells wins whose rows
 * fill the file from there on, whose columns are each of one kind, and that has a header.
 *
 * So a metadata line over the header (with or without the same number of cells), a preamble of any length, `name,value`
 * lines and statistics lines at the end do not mislead it.
 */
#include "read/header.h"

#include "read/heading.h"

#include <stdio.h>
#include <string.h>

enum { COUNTS_MAX = 12, BLOCK_MAX = 6, COLUMNS_MAX = 4096 }; /* beyond that no table is looked for */

struct guess {
    struct mr_header found;
    double score;
};

static bool counts(const struct mr_sample_row *row) {
    return !row->blank && !row->broken && !row->comment;
}

static bool is_value(enum mr_cell_kind kind) {
    return kind == MR_CELL_NUMBER || kind == MR_CELL_TIME;
}

static bool is_rule_row(const struct mr_sample_row *row) {
    bool any = false;
    for (size_t i = 0; i < row->n; i++) {
        if (row->cell[i].n && !mr_cell_is_rule(&row->cell[i]))
            return false;
        any = any || row->cell[i].n;
    }
    return any;
}

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
            if (counts(row) && row->n == k && !is_rule_row(row) && seen++ >= skip)
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

/* Spot,1,2,3: a header that counts its columns. */
static bool is_numbered_header(const struct mr_sample_row *row) {
    long next = 1;
    size_t words = 0;
    for (size_t i = 0; i < row->n; i++) {
        char text[24];
        snprintf(text, sizeof text, "%ld", next);
        if (mr_cell_is(&row->cell[i], text))
            next++;
        else if (row->kind[i] == MR_CELL_WORD)
            words++;
        else
            return false;
    }
    return words && next > 3;
}

static bool fits(const struct mr_sample_row *row, size_t k, const enum mr_cell_kind *typed, size_t n_typed) {
    size_t agree = 0, values = 0;
    if (!counts(row) || row->n != k || is_numbered_header(row))
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
static bool begins_data(const struct mr_sample *sample, size_t i, size_t k, const enum mr_cell_kind *typed, size_t n_typed) {
    size_t seen = 0, like = 0;
    if (!fits(&sample->row[i], k, typed, n_typed))
        return false;
    for (size_t next = i + 1; next < sample->n && seen < 4; next++) {
        const struct mr_sample_row *row = &sample->row[next];
        if (!counts(row) || is_rule_row(row))
            continue;
        seen++;
        like += fits(row, k, typed, n_typed) || (row->n != k && fits_ragged(row, k, typed));
    }
    return 2 * like >= seen;
}

static bool same_cell(const struct mr_cell *a, const struct mr_cell *b) {
    return a->n == b->n && memcmp(a->p, b->p, a->n) == 0;
}

static bool same_row(const struct mr_sample_row *a, const struct mr_sample_row *b) {
    for (size_t j = 0; j < a->n && j < b->n; j++)
        if (!same_cell(&a->cell[j], &b->cell[j]))
            return false;
    return a->n == b->n;
}

/* Words nearly everywhere. A comment line may be a header too. */
static bool is_wordy(const struct mr_sample_row *row, size_t k) {
    size_t words = 0, values = 0;
    if (row->blank || row->broken || is_rule_row(row))
        return false;
    for (size_t j = 0; j < row->n; j++) {
        words += row->kind[j] == MR_CELL_WORD;
        values += is_value(row->kind[j]);
    }
    size_t least = k > 3 ? (k + 1) / 2 : k; /* columns may have been added without a name, but not most of them */
    return is_numbered_header(row) || (words && words >= 2 * values && row->n >= least && row->n <= k + 1 + k / 4);
}

/* A header names each column, and differently. */
static bool is_clean_header(const struct mr_sample_row *row, size_t k) {
    size_t n = row->n, named = 0;
    while (n && !row->cell[n - 1].n)
        n--;
    if (5 * n < 3 * k)
        return false;
    for (size_t j = 0; j < n; j++) {
        named += row->cell[j].n > 0;
        for (size_t i = 0; i < j; i++)
            if (row->cell[j].n && same_cell(&row->cell[i], &row->cell[j]))
                return false;
    }
    return 5 * named >= 4 * n;
}

static bool is_units_row(const struct mr_sample_row *row) {
    size_t units = 0, given = 0;
    for (size_t j = 0; j < row->n; j++) {
        const struct mr_cell *cell = &row->cell[j];
        bool bracketed = cell->n > 2 && (cell->p[0] == '[' || cell->p[0] == '(') &&
                         (cell->p[cell->n - 1] == ']' || cell->p[cell->n - 1] == ')');
        given += cell->n && row->kind[j] != MR_CELL_MISSING;
        units += bracketed || (row->kind[j] != MR_CELL_MISSING && mr_looks_like_unit(cell->p, cell->n));
    }
    return given && 2 * units >= given;
}

/* Words that stand in the headers of tables of any kind. */
static size_t header_words(const struct mr_sample_row *row) {
    static const char *const words[] = {"time", "date", "name", "zone", "temp", "humid", "press", "reading", "value", "unit",
                                        "channel", "serial", "note", "remark", "thick", "zeit", "datum", "no", "id", "item",
                                        "area", "start", "stop", "part", "spot", "year", "month", "day", "hour", "minute"};
    size_t hits = 0;
    for (size_t j = 0; j < row->n; j++)
        for (size_t w = 0; w < MR_COUNT(words); w++) {
            size_t len = strlen(words[w]);
            struct mr_cell head = {.p = row->cell[j].p, .n = (uint32_t)len};
            if (row->cell[j].n >= len && (len > 2 || row->cell[j].n == len) && mr_cell_is(&head, words[w])) {
                hits++;
                break;
            }
        }
    return hits;
}

/* Goes up from the first row of data: the header, and the units row between. */
static void find_header(const struct mr_sample *sample, size_t k, struct mr_header *out) {
    size_t clean[BLOCK_MAX], n_clean = 0, units = MR_NONE, last_wordy = MR_NONE, looked = 0, blanks = 0;
    for (size_t i = out->body; i-- > 0 && looked < BLOCK_MAX;) {
        const struct mr_sample_row *row = &sample->row[i];
        blanks += row->blank;
        if (row->blank || row->broken || is_rule_row(row))
            continue;
        if (!is_wordy(row, k) || (k == 1 && (looked || blanks > 1))) /* of one column any text would do, so only the next */
            break;
        looked++;
        bool units_row = is_units_row(row) && !n_clean && units == MR_NONE;
        if (units_row)
            units = i;
        else if (is_clean_header(row, k) && !(n_clean && row->comment))
            clean[n_clean++] = i;
        if (!units_row)
            last_wordy = last_wordy == MR_NONE ? i : last_wordy;
    }
    size_t best = MR_NONE, best_words = 0;
    for (size_t c = 0; c < n_clean; c++) {
        size_t words = header_words(&sample->row[clean[c]]);
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

/* Metadata that happen to fit the columns ("Job,1234" over "Zone,Area"; a row of names over a row of values): the real
 * header stands a little lower. Where a header was found above already, at most two rows may lie between, and a
 * repetition of it is none. */
static void find_late_header(const struct mr_sample *sample, size_t k, const enum mr_cell_kind *typed, size_t n_typed,
                             struct mr_header *out) {
    size_t most = out->body + (out->header == MR_NONE ? 30 : 3);
    for (size_t i = out->body + 1; i < sample->n && i < most && 2 * i < sample->n; i++) {
        const struct mr_sample_row *row = &sample->row[i];
        size_t values = 0;
        if (out->header != MR_NONE && same_row(row, &sample->row[out->header]))
            return;
        for (size_t j = 0; j < row->n; j++)
            values += is_value(row->kind[j]);
        if (!counts(row) || row->n != k || values || !is_wordy(row, k) || !is_clean_header(row, k) || !header_words(row))
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
        if (!counts(row) || row->n != k || is_rule_row(row))
            continue;
        bool header = k > 1 && out->header == MR_NONE && is_wordy(row, k) && is_clean_header(row, k);
        if (header) {
            out->header = i;
            continue;
        }
        if (out->header != MR_NONE && out->units == MR_NONE && i == out->header + 1 && is_units_row(row)) {
            out->units = i;
            continue;
        }
        out->body = i;
        return;
    }
}

static struct guess try_count(struct mr_arena *scratch, const struct mr_sample *sample, size_t k, size_t rows) {
    struct guess guess = {.found = {MR_NONE, MR_NONE, MR_NONE, k}};
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
        find_header(sample, k, &guess.found);
        if (k > 1)
            find_late_header(sample, k, typed, n_typed, &guess.found);
    }
    size_t from = guess.found.body != MR_NONE ? guess.found.body : guess.found.header, all = 0, like = 0;
    for (size_t i = from; from != MR_NONE && i < sample->n; i++) {
        all += counts(&sample->row[i]);
        like += counts(&sample->row[i]) && sample->row[i].n == k;
    }
    size_t lost = 0; /* rows above that begin with a value, as preambles do not */
    for (size_t i = 0; from != MR_NONE && i < from; i++)
        lost += counts(&sample->row[i]) && sample->row[i].n > 1 && is_value(sample->row[i].kind[0]);
    double body = guess.found.body != MR_NONE ? (double)like : 0.5;
    guess.score = all ? (double)like / (double)all * coherence * (body / (body + 1.0)) : 0;
    guess.score /= 1.0 + (double)lost;
    guess.score *= (1.0 - 0.5 / (double)k) * (guess.found.header != MR_NONE ? 1.5 : 1.0) * (n_typed ? 1.0 : 0.7);
    return guess;
}

struct mr_header mr_header_find(struct mr_arena *scratch, const struct mr_sample *sample) {
    struct guess best = {.found = {MR_NONE, MR_NONE, MR_NONE, 0}};
    size_t count[COUNTS_MAX] = {0}, rows[COUNTS_MAX] = {0}, n = 0;
    for (size_t i = sample->n; i-- > 0;) { /* from below: the body's counts are met first */
        const struct mr_sample_row *row = &sample->row[i];
        if (!counts(row) || row->n > COLUMNS_MAX)
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
    for (size_t c = 0; c < n; c++) {
        struct guess guess = try_count(scratch, sample, count[c], rows[c]);
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
    return best.found;
}
