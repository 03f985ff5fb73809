/*
 * legend.c - lines above and below a table that say in which unit a column stands: "temp: - Air Temperature (C)",
 * "T2M      Temperature at 2 Meters (C)", "Lufttemperatur;momentary value;celsius", "Units: degC".
 */
#include "normalise/unit/unit_evidence.h"

#include "base/keyfile.h"

#include <string.h>

enum { WORDS_MOST = 3 };

static bool is_blank(char c) {
    return c == ' ' || c == '\t';
}

/* "# 4. T2M ..." begins with T2M. */
static const char *begin(const char *text) {
    text += strspn(text, "# \t*-");
    size_t digits = strspn(text, "0123456789");
    if (digits && (text[digits] == '.' || text[digits] == ')') && is_blank(text[digits + 1]))
        text += digits + 1;
    return text + strspn(text, " \t");
}

/* Bytes of the name that a line begins with, 0 where it has none. */
static size_t name_length(const char *text) {
    size_t n = 0;
    while (text[n] && !strchr(":=\t([", text[n]) && !(text[n] == ' ' && (text[n + 1] == ' ' || text[n + 1] == '-')))
        n++;
    return text[n] ? n : 0;
}

struct found {
    enum mr_unit unit;
    bool several;
};

static void add(struct found *f, const char *text, size_t n, enum mr_dim dim) {
    enum mr_unit unit;
    while (n && is_blank(*text)) {
        text++;
        n--;
    }
    while (n && (is_blank(text[n - 1]) || text[n - 1] == '.'))
        n--;
    if (n > 3 && (strncmp(text, "in ", 3) == 0 || strncmp(text, "In ", 3) == 0)) {
        text += 3;
        n -= 3;
    }
    if (!n || !mr_unit_parse(text, n, dim, &unit))
        return;
    f->several |= f->unit != MR_UNIT_NONE && f->unit != unit;
    f->unit = unit;
}

/* One to three words that are a unit together. A letter alone is one only between marks, and "in" is first a small
 * word. */
static void add_words(struct found *f, const char *text, size_t n, enum mr_dim dim) {
    for (size_t start = 0; start < n;) {
        size_t end = start;
        for (size_t words = 0; words < WORDS_MOST && end < n; words++) {
            while (end < n && is_blank(text[end]))
                end++;
            while (end < n && !is_blank(text[end]))
                end++;
            if (end - start > 1 && !(end - start == 2 && (text[start] | 32) == 'i' && (text[start + 1] | 32) == 'n'))
                add(f, text + start, end - start, dim);
        }
        while (start < n && !is_blank(text[start]))
            start++;
        while (start < n && is_blank(text[start]))
            start++;
    }
}

static struct found units_in(const char *text, enum mr_dim dim) {
    struct found f = {MR_UNIT_NONE, false};
    for (const char *p = text; *p;) {
        size_t n = strcspn(p, "\t,;:()[]=");
        size_t dash = n;
        while (dash && p[dash - 1] != '-')
            dash--;
        add(&f, p, n, dim);
        if (dash && dash > 1 && p[dash - 2] == ' ')
            add(&f, p + dash, n - dash, dim);
        add_words(&f, p, n, dim);
        p += n + (p[n] != '\0');
    }
    return f;
}

bool mr_legend_scope(const char *words, const char *column, enum mr_dim dim) {
    static const char *const unit_words[] = {
        "unidades",    "unites",        "eenheden",    "enheter",     "jednostki", "masseinheit", "masseinheiten",
        "messeinheit", "messeinheiten", "meeteenheid", "maateenheid", "mattenhet", "matenhet",    "uom",
        "unit",        "units",         "einheit",     "einheiten",   "unidad",    "unidade",     "unite",
        "unita",       "eenheid",       "enhet",       "jednostka"};
    static const char *const any[] = {
        "measurement", "measuring", "display",   "data",     "of",      "the",       "in",        "default",
        "log",         "logger",    "export",    "scale",    "reading", "readings",  "value",     "values",
        "measure",     "all",       "are",       "given",    "taken",   "shown",     "stated",    "measured",
        "recorded",    "alle",      "messwerte", "werte",    "angaben", "messungen", "lecturas",  "valores",
        "medidas",     "todas",     "lectures",  "valeurs",  "mesures", "toutes",    "letture",   "valori",
        "misure",      "tutte",     "leituras",  "metingen", "waarden", "varden",    "matvarden", "odczyty",
        "wartosci",    "medida",    "medicao",   "medicion", "mesure",  "misura",    "miary",     "pomiaru",
        "di",          "von",       "messung",   "las",      "les",     "le",        "die",       "as",
        "de"};
    static const struct {
        enum mr_dim dim;
        const char *word;
    } own[] = {{MR_DIM_TEMP, "temperature"},  {MR_DIM_TEMP, "temperatures"},  {MR_DIM_TEMP, "temp"},
               {MR_DIM_TEMP, "temperatur"},   {MR_DIM_TEMP, "temperatura"},   {MR_DIM_TEMP, "temperatuur"},
               {MR_DIM_PRESSURE, "pressure"}, {MR_DIM_PRESSURE, "pressures"}, {MR_DIM_PRESSURE, "druck"},
               {MR_DIM_PRESSURE, "pression"}, {MR_DIM_PRESSURE, "presion"},   {MR_DIM_PRESSURE, "line"},
               {MR_DIM_FILM, "thickness"},    {MR_DIM_FILM, "film"},          {MR_DIM_FILM, "coating"},
               {MR_DIM_FILM, "dft"},          {MR_DIM_FILM, "schichtdicke"},  {MR_DIM_FILM, "epaisseur"},
               {MR_DIM_FILM, "espesor"},      {MR_DIM_FILM, "spessore"}};
    bool unit = false;
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ') {
        size_t n = strcspn(w, " ");
        bool says = mr_word_among(w, n, unit_words, MR_COUNT(unit_words));
        unit |= says;
        char word[64];
        bool general = says || n >= sizeof word || mr_word_among(w, n, any, MR_COUNT(any));
        for (size_t i = 0; i < MR_COUNT(own) && !general; i++)
            general = own[i].dim == dim && mr_word_among(w, n, &own[i].word, 1);
        if (general)
            continue;
        memcpy(word, w, n);
        word[n] = '\0';
        if (!mr_words_hold(column, word))
            return false;
    }
    return unit;
}

static const char *fold(struct mr_file_state *state, const char *text, size_t n) {
    return mr_words_fold(state->scratch, text, n);
}

static const char *shown(struct mr_file_state *state, const char *text) {
    char *copy = mr_strdup(state->scratch, text);
    for (char *c = copy; *c; c++)
        *c = *c == '\t' ? ';' : *c;
    return mr_clean_text(state->scratch, copy, strlen(copy), 80);
}

struct mr_unit_evidence mr_legend_unit(struct mr_file_state *state, size_t col, const char *name, enum mr_dim dim) {
    struct mr_unit_evidence out = {MR_UNIT_NONE, MR_ORIGIN_UNKNOWN, "", false};
    const struct mr_head *head = &state->source->columns[col];
    const char *own[] = {fold(state, name, strlen(name)), fold(state, head->name, strlen(head->name)),
                         fold(state, head->text, strlen(head->text))};
    bool agreed = true;
    for (size_t i = 0; i < state->legend.n; i++) {
        const char *text = begin(state->legend.v[i].text);
        size_t n = name_length(text);
        const char *words = fold(state, text, n);
        bool named = false;
        for (size_t k = 0; k < MR_COUNT(own); k++)
            named |= *own[k] && strcmp(own[k], words) == 0;
        if (!n || (!named && !mr_legend_scope(words, own[0], dim)))
            continue;
        struct found f = units_in(text + n, dim);
        if (f.unit == MR_UNIT_NONE)
            continue;
        out.denied |= mr_text_scaled(state->scratch, text + n);
        agreed &= !f.several && (out.unit == MR_UNIT_NONE || out.unit == f.unit);
        out.unit = f.unit;
        out.origin = MR_ORIGIN_LEGEND;
        out.why = mr_printf(state->arena, "%sline %u of the file says \"%s\"",
                            out.denied ? "" : "inferred: ", (unsigned)state->legend.v[i].line, shown(state, text));
    }
    if (out.denied || !agreed)
        out.unit = MR_UNIT_NONE;
    return out;
}
