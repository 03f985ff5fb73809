/*
 * summary_rows.c - rows of statistics and footers among the rows of data: "Mean", "Deck 1 Total", "n". A gauge writes
 * them in whatever column is at hand, and a mean that counts as a reading is the worst kind of error, for it looks
 * like the rest. The other way round a genuine row must not go: "n" is north, "End" is a spot, "Range" a place. So
 * each word says where it may stand.
 */
#include "normalise/row/summary_rows.h"

#include <string.h>

enum {
    FIRST = 1,  /* a row's first cell, in a row that is less filled than the others */
    PLACE = 2,  /* the whole of a zone, spot, number or time, whatever stands beside it */
    SUFFIX = 4, /* the end of a zone or spot: "Deck 1 average" */
    NOTE = 8,   /* the whole of a note or of a column without a heading */
    SPOT = 16,  /* as PLACE, but not for zones: a road has a median, and SD may be the south deck */
    VAGUE = 32, /* FIRST only where the row has nothing but the word and a value, or stands under another such row */
    SURE = FIRST | PLACE | SUFFIX | NOTE,
};

/* Folded by fold(): lower case, marks as single blanks. */
static const struct {
    const char *words;
    int where;
} table[] = {
    {"mean", SURE},
    {"average", SURE},
    {"avg", SURE},
    {"averages", SURE},
    {"std dev", SURE},
    {"stdev", SURE},
    {"stddev", SURE},
    {"standard deviation", SURE},
    {"median", FIRST | VAGUE | SPOT | NOTE},
    {"total", SURE},
    {"totals", SURE},
    {"subtotal", SURE},
    {"sub total", SURE},
    {"subtotals", SURE},
    {"sous total", SURE},
    {"grand total", SURE},
    {"variance", SURE},
    {"coefficient of variation", SURE},
    {"number of readings", SURE},
    {"no of readings", SURE},
    {"total readings", SURE},
    {"total area", SURE},
    {"mittelwert", SURE},
    {"durchschnitt", SURE},
    {"standardabweichung", SURE},
    {"gesamt", SURE},
    {"summe", SURE},
    {"gesamtsumme", SURE},
    {"zwischensumme", SURE},
    {"gesamtfl\xc3\xa4"
     "che",
     SURE},
    {"anzahl", SURE},
    {"moyenne", SURE},
    {"\xc3\xa9"
     "cart type",
     SURE},
    {"ecart type", SURE},
    {"somme", SURE},
    {"total g\xc3\xa9n\xc3\xa9ral", SURE},
    {"promedio", SURE},
    {"desviaci\xc3\xb3n est\xc3\xa1ndar", SURE},
    {"m\xc3\xa9"
     "dia",
     SURE},
    {"desvio padr\xc3\xa3o", SURE},
    {"gemiddelde", SURE},
    {"totaal", SURE},
    {"medelv\xc3\xa4rde", SURE},
    {"razem", SURE},
    {"suma cz\xc4\x99\xc5\x9b"
     "ciowa",
     SURE},
    {"\xc5\x9brednia", SURE},
    {"srednia", SURE},
    {"odchylenie", SURE},
    {"odchylenie standardowe", SURE},
    {"desviacion estandar", SURE},
    {"desviacion", SURE},
    {"desvio", SURE},
    {"desvio padrao", SURE},
    {"medel", SURE},
    {"minimalwert", FIRST | SPOT},
    {"maximalwert", FIRST | SPOT},
    {"keskiarvo", SURE},
    {"gjennomsnitt", SURE},
    {"gennemsnit", SURE},
    {"totale", SURE},
    {"xbar", SURE},
    {"x bar", SURE},
    {"count", SURE},
    {"std", SURE},
    {"cv", FIRST | VAGUE | SPOT | NOTE},
    {"cov", FIRST | VAGUE | SPOT | NOTE},
    {"sd", FIRST | VAGUE | SPOT | NOTE},
    {"\xc3\xb8", FIRST | PLACE | NOTE},
    {"sigma", FIRST | VAGUE | SPOT | NOTE},
    {"s d", FIRST | VAGUE | SPOT | NOTE},
    {"sum", FIRST | PLACE | NOTE},
    {"suma", FIRST | PLACE | NOTE},
    {"soma", FIRST | PLACE | NOTE},
    {"somma", FIRST | PLACE | NOTE},
    {"summa", FIRST | PLACE | NOTE},
    {"mittel", FIRST | PLACE | NOTE},
    {"media", FIRST | SPOT},
    {"statistics", FIRST | PLACE | NOTE},
    {"statistik", FIRST | PLACE | NOTE},
    {"summary", FIRST | PLACE | NOTE},
    {"min", FIRST | SPOT},
    {"max", FIRST | SPOT},
    {"minimum", FIRST | SPOT},
    {"maximum", FIRST | SPOT},
    {"minimo", FIRST | SPOT},
    {"maximo", FIRST | SPOT},
    {"m\xc3\xadnimo", FIRST | SPOT},
    {"m\xc3\xa1ximo", FIRST | SPOT},
    {"highest", FIRST | SPOT},
    {"lowest", FIRST | SPOT},
    {"limit", FIRST | PLACE},
    {"limits", FIRST | PLACE},
    {"lower limit", FIRST | PLACE},
    {"upper limit", FIRST | PLACE},
    {"low limit", FIRST | PLACE},
    {"high limit", FIRST | PLACE},
    {"specification", FIRST | PLACE},
    {"spec", FIRST | PLACE},
    {"specified", FIRST | PLACE},
    {"tolerance", FIRST | PLACE},
    {"required", FIRST | PLACE},
    {"sollwert", FIRST | PLACE},
    {"grenzwert", FIRST | PLACE},
    {"end of data", FIRST},
    {"end of file", FIRST},
    {"end of log", FIRST},
    {"eof", FIRST},
    {"end of report", FIRST},
    {"signature", FIRST},
    {"signed", FIRST},
    {"number of records", FIRST},
    {"download complete", FIRST},
    {"readings", FIRST},
    {"records", FIRST},
    {"end", FIRST | VAGUE},
    {"range", FIRST | VAGUE},
    {"result", FIRST | VAGUE},
};

/* Words of a cell up to ':' or '=' ("n = 24"); 0 where there are none or too many. *stated: such a mark followed. */
static size_t fold(const char *p, size_t n, char out[64], bool *stated) {
    size_t used = 0;
    *stated = false;
    if (n > 60)
        return 0;
    for (size_t i = 0; i < n; i++) {
        char c = p[i];
        if (c == ':' || c == '=') {
            *stated = true;
            break;
        }
        c = c >= 'A' && c <= 'Z' ? (char)(c + 32) : c;
        if (i && (unsigned char)p[i - 1] == 0xc3 && (unsigned char)c >= 0x80 && (unsigned char)c <= 0x9e)
            c = (char)(c + 32); /* U+00C0 to U+00DE */
        bool mark = strchr("._- #*()\t", c) && c;
        if (!mark)
            out[used++] = c;
        else if (used && out[used - 1] != ' ')
            out[used++] = ' ';
    }
    while (used && out[used - 1] == ' ')
        used--;
    return used;
}

/* Where the words may say a statistic, as bits; `end`: where only their end does. */
static int find(const char *words, size_t n, bool end) {
    for (size_t i = 0; n && i < MR_COUNT(table); i++) {
        size_t k = strlen(table[i].words);
        if (end ? (table[i].where & SUFFIX) && n > k + 1 && words[n - k - 1] == ' ' &&
                      memcmp(words + n - k, table[i].words, k) == 0
                : n == k && memcmp(words, table[i].words, k) == 0)
            return table[i].where;
    }
    return 0;
}

static size_t filled(const struct mr_row *row) {
    size_t n = 0;
    for (size_t i = 0; i < row->n; i++)
        n += row->cell[i].n > 0;
    return n;
}

static bool first_says(const struct mr_row *row, bool no_data, bool after_summary) {
    size_t i = 0;
    while (i < row->n && !row->cell[i].n)
        i++;
    if (i == row->n)
        return false;
    char words[64];
    bool stated;
    size_t n = fold(row->cell[i].p, row->cell[i].n, words, &stated);
    int where = find(words, n, false);
    if (n == 1 && *words == 'n') /* north, unless it is written "n = 24" */
        return stated || no_data;
    return (where & FIRST) && (!(where & VAGUE) || no_data || after_summary || filled(row) <= 2);
}

bool mr_state_summary(const struct mr_row *row) {
    return first_says(row, true, false);
}

/* A column whose cells name a place, a number in a row, or a time: statistics have no such thing of their own. */
static bool is_place(enum mr_meaning m) {
    return m == MR_M_ZONE || m == MR_M_COAT || m == MR_M_AREA_ID || m == MR_M_SPOT || m == MR_M_READING_NO ||
           m == MR_M_DATE || m == MR_M_CLOCK || m == MR_M_DATETIME || m == MR_M_DRUM || m == MR_M_PART ||
           m == MR_M_LOT || m == MR_M_START || m == MR_M_WHEN;
}

static bool has_suffix(enum mr_meaning m) {
    return m == MR_M_ZONE || m == MR_M_SPOT || m == MR_M_AREA_ID || m == MR_M_READING_NO;
}

/* "n" under a mean is a count of no more readings than the file has shown; elsewhere it is north. */
static bool is_count(const struct mr_file_state *state, const struct mr_row *row) {
    double value;
    for (size_t i = 0; i < state->plan->n && state->count.after_summary; i++) {
        const struct mr_plan_column *c = &state->plan->col[i];
        if (c->as.meaning == MR_M_FILM && c->cell < row->n && row->cell[c->cell].n)
            return mr_scan_decimal(row->cell[c->cell].p, row->cell[c->cell].n, c->style.mark == ',' ? ',' : '.',
                                   &value) &&
                   value <= (double)state->records.readings.n;
    }
    return false;
}

bool mr_record_summary(const struct mr_file_state *state, const struct mr_row *row) {
    if (state->plan->kind == MR_KIND_SHIFT_RECORD)
        return false;
    if (filled(row) < state->count.fullest && first_says(row, false, state->count.after_summary))
        return true;
    for (size_t i = 0; i < state->plan->n; i++) {
        const struct mr_plan_column *c = &state->plan->col[i];
        if (c->cell >= row->n || !row->cell[c->cell].n)
            continue;
        enum mr_meaning m = c->as.meaning;
        bool note = m == MR_M_NOTE || (m == MR_M_IGNORE && !*c->words);
        if (!is_place(m) && !note)
            continue;
        char words[64];
        bool stated;
        const struct mr_cell *cell = &row->cell[c->cell];
        size_t n = fold(cell->p, cell->n, words, &stated);
        bool wide = m == MR_M_ZONE || m == MR_M_AREA_ID;
        if (find(words, n, false) & (note ? NOTE : wide ? PLACE : PLACE | SPOT))
            return true;
        if (has_suffix(m) && find(words, n, true))
            return true;
        if (n == 1 && *cell->p == 'n' && is_place(m) && (stated || is_count(state, row)))
            return true;
    }
    return false;
}
