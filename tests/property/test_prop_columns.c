/*
 * test_prop_columns.c - laws of columns over random gauge exports: synonyms, order of columns and rows, a split into
 * two files and unrelated columns change no reading; a unit nobody knows leaves none; every row is accounted for.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { JOBS = 500, ROWS_MOST = 12, COLUMNS = 5 };

static uint64_t seed;
static unsigned pick(unsigned n) {
    seed = seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (unsigned)(seed >> 33) % n;
}

/* Time, zone, area, spot, thickness in um; the words of each column that mean the same. */
static const char *const names[COLUMNS][6] = {
    {"Time", "Timestamp", "Date time", "Zeitstempel", "Fecha y hora", "Horodatage"},
    {"Zone", "Bereich", "Location", "Sector", "Zona", "Strefa"},
    {"Area", "Area no", "Area id", "Area", "Test area", "Area"},
    {"Spot", "Messpunkt", "Spot no", "Spot id", "Point", "Spot"},
    {"Thickness [um]", "DFT (um)", "Schichtdicke [\xc2\xb5m]", "Espesor (um)", "Dry film thickness, um",
     "Coating thickness (microns)"}};

/* Headings that have nothing to do with a film, refusing words among them. "Target", "Sollwert" and "Humidity" are
 * not here: they make the kind of the file a question; nor is "Flag", whose codes are asked for. */
static const char *const strangers[] = {"Std [um]",   "Uncertainty um", "Battery [V]",    "Soll [um]",
                                        "Limit [um]", "Operator",       "Tolerance um",   "Memo",
                                        "Pass no",    "GPS lat",        "DFT forecast um"};

struct export_job {
    size_t rows, order[COLUMNS];
    unsigned word[COLUMNS], film_um[ROWS_MOST];
    const char *thickness; /* heading of the film; NULL = the synonym */
    const char *stranger;
};

static struct export_job random_job(void) {
    struct export_job j = {.rows = 3 + pick(ROWS_MOST - 2)};
    for (size_t i = 0; i < COLUMNS; i++)
        j.order[i] = i;
    for (size_t i = 0; i < j.rows; i++)
        j.film_um[i] = 180 + pick(140);
    return j;
}

static void write_row(struct mr_arena *arena, const struct export_job *j, size_t i, char **text) {
    for (size_t k = 0; k < COLUMNS; k++) {
        const char *cell[COLUMNS] = {mr_printf(arena, "2026-05-12 09:%02zu:00", i), "Deck 1", "A1",
                                     mr_printf(arena, "S%zu", i + 1), mr_printf(arena, "%u", j->film_um[i])};
        *text = mr_printf(arena, "%s%s%s", *text, k ? "," : "", cell[j->order[k]]);
    }
    *text = mr_printf(arena, "%s%s\n", *text, j->stranger ? ",5" : "");
}

static char *heading(struct mr_arena *arena, const struct export_job *j) {
    char *text = mr_printf(arena, "%s", "");
    for (size_t k = 0; k < COLUMNS; k++) {
        size_t c = j->order[k];
        const char *name = c == 4 && j->thickness ? j->thickness : names[c][j->word[c]];
        text = mr_printf(arena, strchr(name, ',') ? "%s%s\"%s\"" : "%s%s%s", text, k ? "," : "", name);
    }
    return mr_printf(arena, "%s%s%s\n", text, j->stranger ? "," : "", j->stranger ? j->stranger : "");
}

static int by_value(const void *a, const void *b) {
    const double *x = a, *y = b;
    return (*x > *y) - (*x < *y);
}

/* The readings as sorted figures, each with its time; NaN-free since every row has both. */
static size_t readings(const struct export_job *j, bool reversed, size_t split, double out[ROWS_MOST], bool *whole) {
    struct norm_rig rig;
    norm_begin(&rig);
    size_t cut = split ? split : j->rows;
    for (size_t part = 0; part < (split ? 2U : 1U); part++) {
        char *text = heading(rig.arena, j);
        size_t from = part ? cut : 0, to = part ? j->rows : cut;
        for (size_t i = from; i < to; i++)
            write_row(rig.arena, j, reversed ? to - 1 - (i - from) : i, &text);
        norm_add(&rig, part ? "dft-b.csv" : "dft-a.csv", text, 0);
    }
    norm_run(&rig);
    *whole = norm_identity(&rig);
    size_t n = rig.data->readings.n;
    for (size_t i = 0; i < n && i < ROWS_MOST; i++) {
        const struct mr_reading *r = &rig.data->readings.v[i];
        bool placed = strcmp(r->zone, "Deck 1") == 0 && strcmp(r->area, "A1") == 0 && *r->spot == 'S';
        out[i] = placed ? (double)(r->t_ms / 60000 % 60) * 1000.0 + r->film_um : -1.0;
    }
    norm_end(&rig);
    qsort(out, n < ROWS_MOST ? n : ROWS_MOST, sizeof *out, by_value);
    return n;
}

struct verdicts {
    size_t synonyms, columns, rows, split, stranger, unit, identity;
};

static bool differs(const struct export_job *j, bool reversed, size_t split, const double *base, size_t n,
                    struct verdicts *v) {
    double out[ROWS_MOST];
    bool whole;
    size_t got = readings(j, reversed, split, out, &whole);
    v->identity += !whole;
    return got != n || memcmp(out, base, n * sizeof *out) != 0;
}

static void try_laws(struct verdicts *v) {
    static const char *const unknown[] = {"Thickness [zorb]", "Thickness (nm)", "DFT [psi]",
                                          "Thickness [?]",    "DFT (kN)",       "Thickness [counts]",
                                          "DFT (furlong)",    "Thickness (dm)"};
    struct export_job j = random_job(), k;
    double base[ROWS_MOST];
    bool whole;
    size_t n = readings(&j, false, 0, base, &whole);
    v->identity += !whole || n != j.rows;
    k = j;
    for (size_t c = 0; c < COLUMNS; c++)
        k.word[c] = pick(6);
    v->synonyms += differs(&k, false, 0, base, n, v);
    k = j;
    for (size_t c = COLUMNS - 1; c > 0; c--) {
        size_t other = pick((unsigned)c + 1), kept = k.order[c];
        k.order[c] = k.order[other];
        k.order[other] = kept;
    }
    v->columns += differs(&k, false, 0, base, n, v);
    v->rows += differs(&j, true, 0, base, n, v);
    v->split += differs(&j, false, 1 + pick((unsigned)j.rows - 1), base, n, v);
    k = j;
    k.stranger = strangers[pick(sizeof strangers / sizeof strangers[0])];
    v->stranger += differs(&k, false, 0, base, n, v);
    k = j;
    k.thickness = unknown[pick(sizeof unknown / sizeof unknown[0])];
    double none[ROWS_MOST];
    v->unit += readings(&k, false, 0, none, &whole) != 0;
    v->identity += !whole;
}

Test(columns, laws) {
    struct verdicts v = {0};
    for (uint64_t i = 1; i <= JOBS; i++) {
        seed = i * 7919;
        try_laws(&v);
    }
    printf("columns: %d random jobs; violations: synonyms %zu, order of columns %zu, order of rows %zu, split %zu, "
           "unrelated column %zu, unknown unit %zu, identity of rows %zu\n",
           JOBS, v.synonyms, v.columns, v.rows, v.split, v.stranger, v.unit, v.identity);
    cr_expect(!v.synonyms && !v.columns && !v.rows && !v.split && !v.stranger && !v.unit && !v.identity);
}
