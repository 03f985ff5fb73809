/*
 * stated_unit.c - units with a factor, and units that are none of the quantity: 0.1 mil is a tenth of a mil, and a
 * film in nm or a humidity in mV is set aside with a question.
 */
#include "normalise/column/stated_unit.h"

#include "base/text.h"
#include "normalise/cell/number.h"
#include "normalise/column/meaning.h"

#include <math.h>
#include <string.h>

enum { TEXT_MOST = 48 };

bool mr_is_scaled(struct mr_unit_scale scale) {
    return fabs(scale.times - 1.0) > 0.0 || fabs(scale.over - 1.0) > 0.0;
}

/* --- factors ------------------------------------------------------------------------------------------------------
 */

/* Lower case, × as x, a decimal comma as a point. The multiplication sign is c3 97 in UTF-8. */
static size_t plain_text(const char *text, size_t n, char out[TEXT_MOST]) {
    size_t used = 0;
    if (n >= TEXT_MOST)
        return 0;
    for (size_t i = 0; i < n; i++) {
        char c = text[i];
        if (i + 1 < n && memcmp(text + i, "\xc3\x97", 2) == 0) {
            c = 'x';
            i++;
        } else if (c == ',' && i && i + 1 < n && mr_is_digit(text[i - 1]) && mr_is_digit(text[i + 1])) {
            c = '.';
        }
        out[used++] = c >= 'A' && c <= 'Z' ? (char)(c + 32) : c;
    }
    out[used] = '\0';
    return used;
}

static size_t skip(const char *p, const char *marks) {
    return strspn(p, marks);
}

/* A power of ten as its exponent: 1e-3, 10^-3, 0.001, 1000; the bytes it takes, 0 where it is no number. */
static size_t take_factor(const char *p, double *factor) {
    struct mr_number x;
    size_t n = strspn(p, "0123456789.");
    if (n && p[n] == 'e' && (mr_is_digit(p[n + 1]) || (strchr("+-", p[n + 1]) && mr_is_digit(p[n + 2]))))
        n += 2 + strspn(p + n + 2, "0123456789");
    if (!n || !mr_is_digit(*p) || mr_number_scan(p, n, (struct mr_number_style){'.', false}, &x) != MR_NUM_OK ||
        !(x.value > 0.0))
        return 0;
    *factor = x.value;
    if (p[n] == '^' || (p[n] == '*' && p[n + 1] == '*')) {
        size_t mark = p[n] == '^' ? 1 : 2;
        bool minus = p[n + mark] == '-';
        const char *digits = p + n + mark + minus;
        if (!mr_is_digit(*digits) || fabs(x.value - 10.0) > 0.0)
            return 0;
        *factor = pow(10.0, minus ? -(*digits - '0') : *digits - '0');
        n += mark + minus + 1;
    }
    if (p[n] == '/' && fabs(x.value - 1.0) <= 0.0) { /* 1/10 */
        size_t digits = strspn(p + n + 1, "0123456789");
        if (digits && mr_number_scan(p + n + 1, digits, (struct mr_number_style){'.', false}, &x) == MR_NUM_OK &&
            x.value > 0.0) {
            *factor = 1.0 / x.value;
            n += 1 + digits;
        }
    }
    return n;
}

/* "tenths of", "hundertstel" and their kin, folded by unaccenting hands: the stems that such words begin with. */
static size_t take_part_word(const char *p, double *factor) {
    static const struct {
        const char *stem;
        double over;
    } words[] = {{"tenth", 10.0},
                 {"hundredth", 100.0},
                 {"thousandth", 1000.0},
                 {"zehntel", 10.0},
                 {"hundertstel", 100.0},
                 {"tausendstel", 1000.0},
                 {"dixieme", 10.0},
                 {"dixi\xc3\xa8me", 10.0},
                 {"centieme", 100.0},
                 {"centi\xc3\xa8me", 100.0},
                 {"decima", 10.0},
                 {"d\xc3\xa9"
                  "cima",
                  10.0},
                 {"decimo", 10.0},
                 {"d\xc3\xa9"
                  "cimo",
                  10.0},
                 {"centesim", 100.0},
                 {"tiende", 10.0},
                 {"tiondel", 10.0},
                 {"dziesi", 10.0}};
    for (size_t i = 0; i < MR_COUNT(words); i++) {
        size_t k = strlen(words[i].stem);
        if (strncmp(p, words[i].stem, k) != 0)
            continue;
        *factor = 1.0 / words[i].over;
        while (p[k] && p[k] != ' ')
            k++;
        static const char *const joins[] = {"of a ", "of an ", "of ", "a ", "de ", "di ", "van ", "av ", "d'"};
        k += skip(p + k, " ");
        for (size_t j = 0; j < MR_COUNT(joins); j++)
            if (strncmp(p + k, joins[j], strlen(joins[j])) == 0)
                return k + strlen(joins[j]);
        return k;
    }
    return 0;
}

static struct mr_unit_scale scale_of(double factor) {
    double over = round(1.0 / factor);
    bool whole = factor < 1.0 && fabs(over * factor - 1.0) < 1e-9;
    return whole ? (struct mr_unit_scale){1.0, over} : (struct mr_unit_scale){factor, 1.0};
}

bool mr_unit_scaled(const char *text, size_t n, enum mr_dim dim, struct mr_stated_unit *out) {
    char plain[TEXT_MOST];
    double factor = 1.0;
    enum mr_unit unit;
    mr_trim(&text, &n);
    if (dim == MR_DIM_NONE || !n)
        return false;
    if (mr_unit_fits(text, n, dim, &unit)) {
        *out = (struct mr_stated_unit){.unit = unit, .scale = MR_UNSCALED};
        return true;
    }
    if (!plain_text(text, n, plain))
        return false;
    const char *p = plain;
    p += skip(p, "x* ");
    size_t k = take_factor(p, &factor);
    if (!k)
        k = take_part_word(p, &factor);
    if (!k)
        return false;
    p += k;
    p += skip(p, " ");
    if ((*p == 'x' || *p == '*') && p[1])
        p += 1 + skip(p + 1, " ");
    if (!mr_unit_fits(p, strlen(p), dim, &unit))
        return false;
    *out = (struct mr_stated_unit){.unit = unit, .scale = scale_of(factor)};
    return true;
}

/* --- units of other trades ----------------------------------------------------------------------------------------
 */

static bool in_list(const char *text, const char *const *list, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (strcmp(text, list[i]) == 0)
            return true;
    return false;
}

static bool unit_foreign(const char *text, size_t n) {
    static const char *const units[] = {
        "nm",         "pm",          "angstrom",     "angstroms",    "nanometer", "nanometre",
        "nanometers", "nanometres",  "kn",           "mn",           "lbf",       "kgf",
        "newton",     "newtons",     "mv",           "kv",           "uv",        "volt",
        "volts",      "millivolt",   "millivolts",   "ma",           "ua",        "amp",
        "amps",       "ampere",      "ohm",          "ohms",         "kohm",      "hz",
        "khz",        "mhz",         "ppm",          "ppb",          "ppmv",      "count",
        "counts",     "cts",         "cnt",          "cnts",         "adc",       "digits",
        "lsb",        "db",          "dbm",          "lux",          "lx",        "rpm",
        "kw",         "watt",        "watts",        "joule",        "w/m2",      "g/m3",
        "g/kg",       "m/s",         "km/h",         "mph",          "knots",     "kts",
        "rad",        "mol",         "raw",          "\xc3\xa5",     "\xc3\x85",  "gpa",
        "microinch",  "microinches", "\xe2\x84\xab", "\xe2\x84\xa6", "\xce\xa9",  "k\xce\xa9",
        "furlong",    "units",       "pixel",        "pixels",       "px",        "k\xe2\x84\xa6",
        "m\xce\xa9"};
    char plain[TEXT_MOST];
    mr_trim(&text, &n);
    return plain_text(text, n, plain) && in_list(plain, units, MR_COUNT(units));
}

/* A prefix and a unit of the SI, or a customary one; "in2", "µm^2" and "dm³" too. */
static bool has_prefix(const char *word, size_t n) {
    static const char *const bases[] = {"m",  "s",   "a",  "w",   "j",  "v",   "n",        "l",        "pa",
                                        "hz", "bar", "in", "ohm", "eq", "mol", "\xce\xa9", "\xce\xb5", "e"};
    static const char *const prefixes[] = {"n", "u", "\xc2\xb5", "\xce\xbc", "m", "c", "d", "h", "k", "g"};
    for (size_t i = 0; i < MR_COUNT(prefixes); i++) {
        size_t k = strlen(prefixes[i]);
        if (n <= k || memcmp(word, prefixes[i], k) != 0)
            continue;
        for (size_t b = 0; b < MR_COUNT(bases); b++)
            if (strlen(bases[b]) == n - k && memcmp(word + k, bases[b], n - k) == 0)
                return true;
    }
    return false;
}

static bool customary(const char *word, size_t n) {
    static const char *const words[] = {
        "ft",    "in",     "feet", "foot", "yd",   "yds",       "yard",    "yards",  "mile",   "miles", "rod",
        "oz",    "lb",     "lbs",  "gr",   "pt",   "pts",       "point",   "points", "twip",   "twips", "mesh",
        "au",    "a.u.",   "ra",   "rz",   "ph",   "aw",        "r",       "mc",     "strain", "ratio", "turns",
        "score", "grade",  "bit",  "bits", "byte", "bytes",     "ppmw",    "vol",    "vol%",   "grit",  "gauss",
        "tesla", "cycles", "hits", "arb.", "arb",  "arbitrary", "min/max", "u"};
    char copy[TEXT_MOST];
    memcpy(copy, word, n);
    copy[n] = '\0';
    return in_list(copy, words, MR_COUNT(words)) || unit_foreign(copy, n);
}

/* What brackets hold that are no remark: a unit of any trade, or marks that only units have. */
static bool unit_like(const char *plain) {
    size_t n = strlen(plain);
    if (strpbrk(plain, "^*?") || strstr(plain, "\xc2\xb2") || strstr(plain, "\xc2\xb3") ||
        strstr(plain, "\xc2\xb7") || strncmp(plain, "\xc2\xb0", 2) == 0)
        return true;
    while (n > 1 && (plain[n - 1] == '2' || plain[n - 1] == '3'))
        n--;
    size_t first = strcspn(plain, " /");
    first = first < n ? first : n;
    bool words = plain[first] == ' ';
    return customary(plain, first) || (!words && has_prefix(plain, first) && strcmp(plain, "min") != 0) ||
           strcmp(plain, "unknown") == 0;
}

static bool unit_neutral(const char *text, size_t n) {
    static const char *const systems[] = {"si", "metric",       "metrisch", "metrique", "metrico",   "imperial",
                                          "us", "us customary", "english",  "standard", "customary", "default"};
    char plain[TEXT_MOST];
    mr_trim(&text, &n);
    if (!n || strspn(text, "0123456789-\xe2\x80\x93\x94") >= n)
        return true;
    return plain_text(text, n, plain) && in_list(plain, systems, MR_COUNT(systems));
}

enum mr_unit_says mr_unit_says(const char *text, size_t n, enum mr_dim dim, struct mr_stated_unit *out) {
    bool any = false;
    if (mr_unit_scaled(text, n, dim, out))
        return MR_UNIT_FITS;
    if (unit_neutral(text, n))
        return MR_UNIT_SILENT;
    for (size_t at = 0; at < n;) { /* "degC, %" */
        size_t k = 0;
        while (at + k < n && text[at + k] != ',' && text[at + k] != ';')
            k++;
        struct mr_stated_unit part;
        if (k < n && k && mr_unit_scaled(text + at, k, dim, &part)) {
            if (any && part.unit != out->unit)
                return MR_UNIT_UNKNOWN; /* two of them */
            *out = part;
            any = true;
        }
        at += k + 1;
    }
    return any ? MR_UNIT_FITS : MR_UNIT_UNKNOWN;
}

/* --- headings -----------------------------------------------------------------------------------------------------
 */

/* What stands in the last pair of brackets that ends the heading. */
static bool bracketed(const char *text, const char **out, size_t *out_n, bool *square) {
    size_t n = strlen(text);
    char close = n ? text[n - 1] : '\0', open = close == ']' ? '[' : close == ')' ? '(' : close == '}' ? '{' : '\0';
    if (!open)
        return false;
    for (size_t at = n - 1; at-- > 0;)
        if (text[at] == open) {
            *out = text + at + 1;
            *out_n = n - at - 2;
            *square = open == '[';
            return true;
        }
    return false;
}

/* Factors without brackets only where they cannot be the number of a reading: "DFT 0.1 mil", never "Reading 10 um".
 */
static bool sure_factor(const char *text) {
    char plain[TEXT_MOST];
    if (!plain_text(text, strlen(text), plain))
        return false;
    bool digits = mr_is_digit(*plain);
    return (*plain == 'x' && mr_is_digit(plain[1 + skip(plain + 1, " ")])) || strncmp(plain, "0.", 2) == 0 ||
           (digits && plain[1] == 'e') || (digits && strchr(plain, '/') && plain[1] == '/') ||
           (!digits && *plain != 'x' && *plain != '*');
}

/* "Thickness in 10 um": behind "in" no reading is numbered. */
static bool follows_in(const char *text, const char *tail) {
    static const char *const words[] = {"in", "en", "i", "w"};
    const char *end = tail;
    while (end > text && strchr(" _", end[-1]))
        end--;
    const char *from = end;
    while (from > text && !strchr(" _", from[-1]))
        from--;
    return from > text && mr_is_digit(*tail) && mr_word_among(from, (size_t)(end - from), words, MR_COUNT(words));
}

static struct mr_stated_unit at_the_end(struct mr_arena *arena, const char *text, enum mr_dim dim) {
    struct mr_stated_unit out = {.scale = MR_UNSCALED};
    size_t n = strlen(text), words = 0;
    for (size_t at = n; at-- > 1 && words < 5;) {
        if (text[at - 1] != ' ' && text[at - 1] != '_' && text[at - 1] != ',')
            continue;
        const char *tail = text + at;
        words++;
        struct mr_stated_unit found;
        if ((sure_factor(tail) || follows_in(text, tail)) && mr_unit_scaled(tail, strlen(tail), dim, &found) &&
            mr_is_scaled(found.scale))
            out = found;
        else if (words == 1 && unit_foreign(tail, strlen(tail)))
            out.unknown = mr_strdup(arena, tail);
    }
    return out;
}

struct mr_stated_unit mr_heading_unit(struct mr_arena *arena, const struct mr_head *head, enum mr_dim dim) {
    struct mr_stated_unit out = {.scale = MR_UNSCALED};
    const char *text = head->unit;
    size_t n = strlen(text);
    bool square = true;
    if (dim == MR_DIM_NONE || (!n && !bracketed(head->text, &text, &n, &square)))
        return dim == MR_DIM_NONE ? out : at_the_end(arena, head->text, dim);
    if (mr_unit_scaled(text, n, dim, &out))
        return mr_is_scaled(out.scale) ? out : (struct mr_stated_unit){.scale = MR_UNSCALED};
    char plain[TEXT_MOST];
    bool stated = square ? !mr_unit_fits(text, n, dim, &out.unit) && (!unit_neutral(text, n) || *text == '-')
                         : plain_text(text, n, plain) && !mr_unit_fits(text, n, dim, &out.unit) && unit_like(plain);
    if (stated)
        out.unknown = mr_strndup(arena, text, n);
    out.unit = MR_UNIT_NONE;
    return out;
}

/* --- units within a heading ---------------------------------------------------------------------------------------
 */

static bool is_unit_word(const char *word, size_t n, enum mr_dim dim, enum mr_unit *unit) {
    static const char *const other_words[] = {"in", "pa", "PA", "IN", "In"}; /* part A; a preposition */
    return n > 1 && !mr_word_among(word, n, other_words, MR_COUNT(other_words)) && mr_unit_fits(word, n, dim, unit);
}

struct mr_stated_unit mr_unit_inside(struct mr_arena *arena, const char *text, enum mr_dim dim) {
    static const char parts[] = " \t_,;:/()[]{}*";
    struct mr_stated_unit out = {.scale = MR_UNSCALED};
    const char *slash = strchr(text, '/');
    bool factor = strchr(text, '*') || strstr(text, "\xc3\x97") || (slash && mr_is_digit(slash[1]));
    if (dim != MR_DIM_FILM && dim != MR_DIM_PRESSURE)
        return out;
    for (const char *w = text; *w;) {
        const size_t n = strcspn(w, parts);
        enum mr_unit unit;
        if (n > 1 && unit_foreign(w, n))
            out.unknown = mr_strndup(arena, w, n);
        else if (is_unit_word(w, n, dim, &unit)) {
            if (out.unit != MR_UNIT_NONE && out.unit != unit)
                out.unknown = mr_strdup(arena, text); /* two of them */
            out.unit = unit;
        }
        factor |= (*w == 'x' || *w == 'X') && (n == 1 || mr_is_digit(w[1]));
        w += n;
        w += *w != '\0';
    }
    if (out.unit != MR_UNIT_NONE && factor && !out.unknown)
        out.unknown = mr_strdup(arena, text);
    if (out.unknown)
        out.unit = MR_UNIT_NONE;
    return out;
}
