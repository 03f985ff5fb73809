#include "milrise/units.h"

#include "base/utf8.h"

#include <string.h>

struct unit {
    enum mr_dim dim;
    const char *symbol;
    double factor, zero;
};

static const struct unit units[] = {
#define MR_UNIT_ROW(id, dim_, symbol_, factor_, zero_) [id] = {dim_, symbol_, factor_, zero_},
    MR_UNIT_LIST(MR_UNIT_ROW)
#undef MR_UNIT_ROW
};

/* Spellings after folding (see fold_unit): lower case, no blanks, dots, brackets or degree signs; µ is u, ² is 2. */
static const struct spelling {
    const char *text;
    enum mr_unit unit;
} spellings[] = {
    {"um", MR_UNIT_UM},
    {"micron", MR_UNIT_UM},
    {"microns", MR_UNIT_UM},
    {"micrometer", MR_UNIT_UM},
    {"micrometre", MR_UNIT_UM},
    {"micrometers", MR_UNIT_UM},
    {"micrometres", MR_UNIT_UM},
    {"mikrometer", MR_UNIT_UM},
    {"mikron", MR_UNIT_UM},
    {"mikrony", MR_UNIT_UM},
    {"mikrometry", MR_UNIT_UM},
    {"mikrometr", MR_UNIT_UM},
    {"micrometri", MR_UNIT_UM},
    {"micrometro", MR_UNIT_UM},
    {"micrometros", MR_UNIT_UM},
    {"micras", MR_UNIT_UM},
    {"micra", MR_UNIT_UM},
    {"my", MR_UNIT_UM},
    {"?m", MR_UNIT_UM},
    {"umdft", MR_UNIT_UM},
    {"umdry", MR_UNIT_UM},
    {"micronsdft", MR_UNIT_UM},
    {"micronsdry", MR_UNIT_UM},
    {"dryum", MR_UNIT_UM},
    {"drymicrons", MR_UNIT_UM},
    {"milsdft", MR_UNIT_MIL},
    {"milsdry", MR_UNIT_MIL},
    {"drymils", MR_UNIT_MIL},
    {"0001in", MR_UNIT_MIL},
    {"0001inch", MR_UNIT_MIL},
    {"mil", MR_UNIT_MIL},
    {"mils", MR_UNIT_MIL},
    {"thou", MR_UNIT_MIL},
    {"mm", MR_UNIT_FILM_MM},
    {"millimeter", MR_UNIT_FILM_MM},
    {"millimetre", MR_UNIT_FILM_MM},
    {"millimeters", MR_UNIT_FILM_MM},
    {"millimetres", MR_UNIT_FILM_MM},
    {"in", MR_UNIT_FILM_IN},
    {"inch", MR_UNIT_FILM_IN},
    {"inches", MR_UNIT_FILM_IN},
    {"\"", MR_UNIT_FILM_IN},
    {"c", MR_UNIT_C},
    {"degc", MR_UNIT_C},
    {"degreec", MR_UNIT_C},
    {"degreesc", MR_UNIT_C},
    {"celsius", MR_UNIT_C},
    {"?c", MR_UNIT_C},
    {"?f", MR_UNIT_F},
    {"degcelsius", MR_UNIT_C},
    {"degreescelsius", MR_UNIT_C},
    {"gradc", MR_UNIT_C},
    {"centigrade", MR_UNIT_C},
    {"degreecelsius", MR_UNIT_C},
    {"gradcelsius", MR_UNIT_C},
    {"gradencelsius", MR_UNIT_C},
    {"gradercelsius", MR_UNIT_C},
    {"gradoscelsius", MR_UNIT_C},
    {"grauscelsius", MR_UNIT_C},
    {"gradicelsius", MR_UNIT_C},
    {"degrescelsius", MR_UNIT_C},
    {"stopniecelsjusza", MR_UNIT_C},
    {"f", MR_UNIT_F},
    {"degf", MR_UNIT_F},
    {"degreef", MR_UNIT_F},
    {"degreesf", MR_UNIT_F},
    {"fahrenheit", MR_UNIT_F},
    {"degfahrenheit", MR_UNIT_F},
    {"degreefahrenheit", MR_UNIT_F},
    {"degreesfahrenheit", MR_UNIT_F},
    {"k", MR_UNIT_K},
    {"degk", MR_UNIT_K},
    {"kelvin", MR_UNIT_K},
    {"k", MR_UNIT_RISE_K},
    {"kelvin", MR_UNIT_RISE_K},
    {"dk", MR_UNIT_RISE_K},
    {"c", MR_UNIT_RISE_C},
    {"degc", MR_UNIT_RISE_C},
    {"celsius", MR_UNIT_RISE_C},
    {"dc", MR_UNIT_RISE_C},
    {"f", MR_UNIT_RISE_F},
    {"degf", MR_UNIT_RISE_F},
    {"fahrenheit", MR_UNIT_RISE_F},
    {"df", MR_UNIT_RISE_F},
    {"kpa", MR_UNIT_KPA},
    {"kpag", MR_UNIT_KPA},
    {"psi", MR_UNIT_PSI},
    {"psig", MR_UNIT_PSI},
    {"lb/in2", MR_UNIT_PSI},
    {"lbf/in2", MR_UNIT_PSI},
    {"bar", MR_UNIT_BAR},
    {"barg", MR_UNIT_BAR},
    {"bars", MR_UNIT_BAR},
    {"mpag", MR_UNIT_MPA},
    {"mbarg", MR_UNIT_HPA},
    {"hpag", MR_UNIT_HPA},
    {"psigauge", MR_UNIT_PSI},
    {"bargauge", MR_UNIT_BAR},
    {"kpagauge", MR_UNIT_KPA},
    {"mpagauge", MR_UNIT_MPA},
    {"mpa", MR_UNIT_MPA},
    {"hpa", MR_UNIT_HPA},
    {"mbar", MR_UNIT_HPA},
    {"millibar", MR_UNIT_HPA},
    {"pa", MR_UNIT_PA},
    {"pascal", MR_UNIT_PA},
    {"mmhg", MR_UNIT_MMHG},
    {"kgf/cm^2", MR_UNIT_KGFCM2},
    {"kg/cm^2", MR_UNIT_KGFCM2},
    {"kgfcm2", MR_UNIT_KGFCM2},
    {"kp/cm2", MR_UNIT_KGFCM2},
    {"kgf/cm2", MR_UNIT_KGFCM2},
    {"kg/cm2", MR_UNIT_KGFCM2},
    {"kgcm2", MR_UNIT_KGFCM2},
    {"torr", MR_UNIT_MMHG},
    {"inhg", MR_UNIT_INHG},
    {"%", MR_UNIT_PCT},
    {"pct", MR_UNIT_PCT},
    {"percent", MR_UNIT_PCT},
    {"prozent", MR_UNIT_PCT},
    {"procent", MR_UNIT_PCT},
    {"procenten", MR_UNIT_PCT},
    {"porcentaje", MR_UNIT_PCT},
    {"pourcent", MR_UNIT_PCT},
    {"percentage", MR_UNIT_PCT},
    {"%rh", MR_UNIT_PCT},
    {"rh%", MR_UNIT_PCT},
    {"%rf", MR_UNIT_PCT},
    {"%hr", MR_UNIT_PCT},
    {"rel%", MR_UNIT_PCT},
    {"fraction", MR_UNIT_FRACTION},
    {"0-1", MR_UNIT_FRACTION},
    {"0to1", MR_UNIT_FRACTION},
    {"m2", MR_UNIT_M2},
    {"sqm", MR_UNIT_M2},
    {"qm", MR_UNIT_M2},
    {"m^2", MR_UNIT_M2},
    {"squaremeters", MR_UNIT_M2},
    {"squaremetres", MR_UNIT_M2},
    {"ft2", MR_UNIT_FT2},
    {"ft^2", MR_UNIT_FT2},
    {"sqft", MR_UNIT_FT2},
    {"sf", MR_UNIT_FT2},
    {"squarefeet", MR_UNIT_FT2},
    {"mm", MR_UNIT_MM},
    {"millimeter", MR_UNIT_MM},
    {"millimetre", MR_UNIT_MM},
    {"cm", MR_UNIT_CM},
    {"m", MR_UNIT_M},
    {"meter", MR_UNIT_M},
    {"metre", MR_UNIT_M},
    {"meters", MR_UNIT_M},
    {"metres", MR_UNIT_M},
    {"in", MR_UNIT_IN},
    {"inch", MR_UNIT_IN},
    {"inches", MR_UNIT_IN},
    {"\"", MR_UNIT_IN},
    {"ft", MR_UNIT_FT},
    {"feet", MR_UNIT_FT},
    {"foot", MR_UNIT_FT},
    {"l", MR_UNIT_L},
    {"liter", MR_UNIT_L},
    {"litre", MR_UNIT_L},
    {"liters", MR_UNIT_L},
    {"litres", MR_UNIT_L},
    {"ltr", MR_UNIT_L},
    {"ml", MR_UNIT_ML},
    {"gal", MR_UNIT_GAL},
    {"usgal", MR_UNIT_GAL},
    {"gallon", MR_UNIT_GAL},
    {"gallons", MR_UNIT_GAL},
    {"kg", MR_UNIT_KG},
    {"g", MR_UNIT_G},
    {"lb", MR_UNIT_LB},
    {"lbs", MR_UNIT_LB},
    {"ms", MR_UNIT_MS},
    {"msec", MR_UNIT_MS},
    {"milliseconds", MR_UNIT_MS},
    {"s", MR_UNIT_S},
    {"sec", MR_UNIT_S},
    {"secs", MR_UNIT_S},
    {"second", MR_UNIT_S},
    {"seconds", MR_UNIT_S},
    {"min", MR_UNIT_MIN},
    {"mins", MR_UNIT_MIN},
    {"minute", MR_UNIT_MIN},
    {"minutes", MR_UNIT_MIN},
    {"h", MR_UNIT_H},
    {"hr", MR_UNIT_H},
    {"hrs", MR_UNIT_H},
    {"hour", MR_UNIT_H},
    {"hours", MR_UNIT_H},
    {"d", MR_UNIT_DAY},
    {"day", MR_UNIT_DAY},
    {"days", MR_UNIT_DAY},
};

enum { FOLDED = 32 };

/* Characters beyond ASCII that units are written with; "" drops the character. The last are what is left of them
 * where a text was taken for another encoding: they stand for the whole unit only ("?m", "degc"), so no other text
 * turns into one. */
static const struct {
    const char *utf8, *as;
} letters[] = {
    {"\xc3\xa8", "e"},      {"\xc3\xb3", "o"}, {"\xc3\xb4", "o"}, {"\xc2\xb5", "u"}, /* µ micro sign */
    {"\xce\xbc", "u"},                                                               /* μ Greek mu */
    {"\xc2\xb0", ""},                                                                /* ° degree */
    {"\xc2\xba", ""},       /* º masculine ordinal, typed for a degree */
    {"\xcb\x9a", ""},       /* ˚ ring */
    {"\xe2\x84\x83", "c"},  /* ℃ */
    {"\xe2\x84\x89", "f"},  /* ℉ */
    {"\xc2\xb2", "2"},      /* ² */
    {"\xc3\x82", ""},       /* Â, left over where UTF-8 was taken for Windows-1252: "Âµm", "Â°C" */
    {"\xc2\xa0", ""},       /* no-break space */
    {"\xc3\xa6", "?"},      /* æ: µ of code page 850 */
    {"\xc3\xb8", "deg"},    /* ø: degree of code page 850 */
    {"\xef\xbf\xbd", "?"},  /* replacement character */
    {"\xe3\x8e\x9b", "um"}, /* ㎛ */
    {"\xe3\x8e\x9c", "mm"}, /* ㎜ */
};

/* Returns false where the text is too long or holds a character that no unit has. */
static bool fold_unit(const char *text, size_t n, char out[FOLDED]) {
    size_t used = 0;
    for (size_t i = 0; i < n;) {
        size_t len = mr_utf8_length(text + i, n - i);
        if (!len)
            return false;
        if (len > 1) {
            size_t k = 0;
            while (k < MR_COUNT(letters) &&
                   (strlen(letters[k].utf8) != len || memcmp(letters[k].utf8, text + i, len)))
                k++;
            if (k == MR_COUNT(letters) || used + 3 >= FOLDED)
                return false;
            for (const char *c = letters[k].as; *c; c++)
                out[used++] = *c;
        } else if (!strchr(" \t.()[]{}_", text[i])) {
            char c = text[i];
            if (used + 1 >= FOLDED)
                return false;
            out[used++] = c >= 'A' && c <= 'Z' ? (char)(c + 32) : c;
        }
        i += len;
    }
    out[used] = '\0';
    if (strcmp(out, "u") == 0 && !memchr(text, 'u', n) && !memchr(text, 'U', n)) /* "µ" alone; a letter u is none */
        memcpy(out, "um", 3);
    return used > 0;
}

static bool find_spelling(const char *folded, enum mr_dim dim, enum mr_unit *out) {
    for (size_t i = 0; i < MR_COUNT(spellings); i++) {
        const struct spelling *s = &spellings[i];
        if (*s->text == *folded && units[s->unit].dim == dim && strcmp(s->text, folded) == 0) {
            *out = s->unit;
            return true;
        }
    }
    return false;
}

bool mr_unit_parse(const char *text, size_t n, enum mr_dim dim, enum mr_unit *out) {
    char folded[FOLDED];
    return fold_unit(text, n, folded) && find_spelling(folded, dim, out);
}

bool mr_unit_find(const char *text, size_t n, enum mr_unit *out) {
    static const enum mr_dim order[] = {MR_DIM_FILM,   MR_DIM_TEMP,   MR_DIM_PRESSURE, MR_DIM_SHARE,   MR_DIM_AREA,
                                        MR_DIM_LENGTH, MR_DIM_VOLUME, MR_DIM_MASS,     MR_DIM_DURATION};
    char folded[FOLDED];
    bool known = fold_unit(text, n, folded);
    for (size_t i = 0; known && i < MR_COUNT(order); i++)
        if (find_spelling(folded, order[i], out))
            return true;
    return false;
}

double mr_to_canonical(enum mr_unit unit, double written) {
    if (unit == MR_UNIT_F)
        return (written - 32.0) * 5.0 / 9.0;
    if (unit == MR_UNIT_RISE_F)
        return written * 5.0 / 9.0;
    return (written - units[unit].zero) * units[unit].factor;
}

double mr_from_canonical(enum mr_unit unit, double canonical) {
    if (unit == MR_UNIT_F)
        return canonical * 9.0 / 5.0 + 32.0;
    if (unit == MR_UNIT_RISE_F)
        return canonical * 9.0 / 5.0;
    return canonical / units[unit].factor + units[unit].zero;
}

enum mr_dim mr_unit_dim(enum mr_unit unit) {
    return units[unit].dim;
}

const char *mr_unit_symbol(enum mr_unit unit) {
    return units[unit].symbol;
}

enum mr_unit mr_dim_canonical(enum mr_dim dim) {
    static const enum mr_unit canonical[] = {
        [MR_DIM_NONE] = MR_UNIT_NONE,   [MR_DIM_FILM] = MR_UNIT_UM,      [MR_DIM_TEMP] = MR_UNIT_C,
        [MR_DIM_RISE] = MR_UNIT_RISE_K, [MR_DIM_PRESSURE] = MR_UNIT_KPA, [MR_DIM_SHARE] = MR_UNIT_PCT,
        [MR_DIM_AREA] = MR_UNIT_M2,     [MR_DIM_LENGTH] = MR_UNIT_MM,    [MR_DIM_VOLUME] = MR_UNIT_L,
        [MR_DIM_MASS] = MR_UNIT_KG,     [MR_DIM_DURATION] = MR_UNIT_S,
    };
    return canonical[dim];
}
