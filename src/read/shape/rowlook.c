#include "read/shape/rowlook.h"

#include "read/record/trim.h"
#include "read/shape/heading.h"

#include <stdio.h>
#include <string.h>

bool mr_row_is_rule(const struct mr_sample_row *row) {
    bool any = false;
    for (size_t i = 0; i < row->n; i++) {
        if (row->cell[i].n && !mr_cell_is_rule(&row->cell[i]))
            return false;
        any = any || row->cell[i].n;
    }
    return any;
}

bool mr_row_counts_columns(const struct mr_sample_row *row) {
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

bool mr_cell_same(const struct mr_cell *a, const struct mr_cell *b) {
    return a->n == b->n && memcmp(a->p, b->p, a->n) == 0;
}

bool mr_row_same(const struct mr_sample_row *a, const struct mr_sample_row *b) {
    for (size_t j = 0; j < a->n && j < b->n; j++)
        if (!mr_cell_same(&a->cell[j], &b->cell[j]))
            return false;
    return a->n == b->n;
}

bool mr_row_is_wordy(const struct mr_sample *sample, const struct mr_sample_row *row, size_t k) {
    size_t words = 0, values = 0;
    if (row->blank || row->broken || mr_row_is_rule(row) || (sample->delimiter == MR_BLANKS && row->n != k))
        return false;
    for (size_t j = 0; j < row->n; j++) {
        words += row->kind[j] == MR_CELL_WORD;
        values += mr_kind_is_value(row->kind[j]);
    }
    size_t least = k > 3 ? (k + 1) / 2 : k; /* columns may have been added without a name, but not most of them */
    return mr_row_counts_columns(row) || (words && words >= 2 * values && row->n >= least && row->n <= k + 1 + k / 4);
}

bool mr_row_names_columns(const struct mr_sample_row *row, size_t k) {
    size_t n = row->n, named = 0;
    while (n && !row->cell[n - 1].n)
        n--;
    if (5 * n < 3 * k)
        return false;
    for (size_t j = 0; j < n; j++) {
        named += row->cell[j].n > 0;
        for (size_t i = 0; i < j; i++)
            if (row->cell[j].n && mr_cell_same(&row->cell[i], &row->cell[j]))
                return false;
    }
    return 5 * named >= 4 * n;
}

bool mr_row_is_units(const struct mr_sample_row *row) {
    size_t units = 0, given = 0;
    for (size_t j = 0; j < row->n; j++) {
        struct mr_cell cell = row->cell[j];
        if (row->kind[j] == MR_CELL_TIME) /* "2026-05-14,M,M" is a row of data without values */
            return false;
        while (row->comment && j == 0 && cell.n && *cell.p == '#')
            mr_trim(&cell, cell.p + 1, cell.n - 1);
        bool bracketed = cell.n > 2 && (cell.p[0] == '[' || cell.p[0] == '(') &&
                         (cell.p[cell.n - 1] == ']' || cell.p[cell.n - 1] == ')');
        given += cell.n && row->kind[j] != MR_CELL_MISSING;
        units += bracketed || (row->kind[j] != MR_CELL_MISSING && mr_looks_like_unit(cell.p, cell.n));
    }
    return given && 2 * units >= given;
}

size_t mr_row_header_words(const struct mr_sample_row *row) {
    static const char *const words[] = {"time",  "date", "name",    "zone",   "temp", "humid",  "press", "reading",
                                        "value", "unit", "channel", "serial", "note", "remark", "thick", "zeit",
                                        "datum", "no",   "id",      "item",   "area", "start",  "stop",  "part",
                                        "spot",  "year", "month",   "day",    "hour", "minute"};
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
