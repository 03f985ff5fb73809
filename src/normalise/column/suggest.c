/*
 * suggest.c - what to write into the job file where a file leaves its kind open. Evidence first: half a guess by
 * words, then numbers that obey the vapour law, then numbers that move against each other as air and humidity do.
 * Without any, the kinds are listed and a ? is left: a pasted guess would be believed.
 */
#include "normalise/column/suggest.h"

#include "normalise/column/alike.h"
#include "normalise/column/refusing_words.h"

#include <string.h>

/* --- names that match when pasted ----------------------------------------------------------------------------------
 */

const char *mr_file_key(struct mr_arena *arena, const struct mr_source *source) {
    bool outside = source->full_path && strcmp(source->full_path, source->path) == 0;
    const char *slash = strrchr(source->path, '/');
    char *key =
        mr_printf(arena, "[file \"%s%s\"]", outside ? "**/" : "", outside && slash ? slash + 1 : source->path);
    for (char *c = key + strlen("[file \""); c[2]; c++)
        *c = *c == '"' ? '?' : *c; /* a pattern's ? stands for any character */
    return key;
}

static const char *folded_head(struct mr_arena *arena, const char *text) {
    return mr_words_fold(arena, text, strlen(text));
}

/* A heading is a name where it is one line of a few characters, stands once, and has no mark of the job file in it.
 */
const char *mr_column_key(struct mr_arena *arena, const struct mr_source *source, size_t index) {
    const char *text = source->columns[index].text, *words = folded_head(arena, text);
    bool good = *words && strlen(text) <= 60 && !strpbrk(text, "=#\"\n\r\t") && text[0] != '[';
    for (size_t i = 0; i < source->n_columns && i < MR_COLUMNS_MOST && good; i++)
        good = i == index || strcmp(folded_head(arena, source->columns[i].text), words) != 0;
    return good && strcmp(mr_clean_text(arena, text, strlen(text), 60), text) == 0
               ? mr_printf(arena, "column %s", text)
               : mr_printf(arena, "column %zu", index + 1);
}

bool mr_names_column(struct mr_arena *arena, const struct mr_source *source, const char *name, size_t index) {
    const struct mr_head *head = &source->columns[index];
    const char *wanted = folded_head(arena, name);
    if ((*head->text && strcmp(folded_head(arena, head->text), wanted) == 0) ||
        (*head->name && strcmp(folded_head(arena, head->name), wanted) == 0))
        return true;
    if (strcmp(wanted, mr_printf(arena, "column %zu", index + 1)) == 0)
        return true;
    if (strcmp(wanted, mr_printf(arena, "%zu", index + 1)) != 0)
        return false;
    for (size_t i = 0; i < source->n_columns; i++)
        if (strcmp(folded_head(arena, source->columns[i].text), wanted) == 0)
            return false;
    return true;
}

const char *mr_unit_choices(enum mr_meaning meaning) {
    switch (mr_meaning_dim(meaning)) {
    case MR_DIM_FILM:
        return "um, mil, mm or in";
    case MR_DIM_TEMP:
        return "degC, degF or K";
    case MR_DIM_PRESSURE:
        return "psi, bar, kPa or MPa";
    case MR_DIM_SHARE:
        return "% or fraction";
    case MR_DIM_RISE:
        return "K or degF";
    case MR_DIM_AREA:
        return "m2 or ft2";
    case MR_DIM_LENGTH:
        return "mm, m, in or ft";
    case MR_DIM_VOLUME:
        return "L or gal";
    case MR_DIM_MASS:
        return "kg or lb";
    case MR_DIM_DURATION:
        return "s, min or h";
    case MR_DIM_NONE:
        break;
    }
    return "";
}

const char *mr_one_line(struct mr_arena *arena, const char *lines) {
    const char *out = "";
    for (const char *line = lines; *line;) {
        size_t n = strcspn(line, "\n");
        if (*line != '#')
            out = mr_printf(arena, "%s%s%.*s", out, *out ? " / " : "", (int)n, line);
        line += n + (line[n] == '\n');
    }
    return out;
}

/* --- the lines
 * -------------------------------------------------------------------------------------------------------
 */

static const char *add_column(struct mr_guesses *g, const char *lines, size_t i, enum mr_meaning m,
                              const char *unit) {
    return mr_printf(g->arena, "%s\n%s = %s%s%s%s", lines, mr_column_key(g->arena, g->source, i), mr_meaning_word(m),
                     *unit ? " [" : "", unit, *unit ? "]" : "");
}

static const char *first_lines(struct mr_guesses *g, const char *kind) {
    return mr_printf(g->arena, "kind = %s", kind);
}

static bool whole_within(const struct mr_shape *s, double least, double most) {
    return s->cells && s->integers == s->cells && s->least >= least && s->most <= most;
}

/* Year, month, day and hour in a row of columns, as tables without a heading keep them. */
static const char *add_parts(struct mr_guesses *g, const char *lines) {
    const struct mr_shape *s = g->shapes->col;
    for (size_t i = 0; i + 3 < g->shapes->columns; i++)
        if (whole_within(&s[i], 1990.0, 2100.0) && whole_within(&s[i + 1], 1.0, 12.0) &&
            whole_within(&s[i + 2], 1.0, 31.0) && whole_within(&s[i + 3], 0.0, 24.0)) {
            lines = add_column(g, lines, i, MR_M_YEAR, "");
            lines = add_column(g, lines, i + 1, MR_M_MONTH, "");
            lines = add_column(g, lines, i + 2, MR_M_DAY, "");
            return add_column(g, lines, i + 3, MR_M_HOUR, "");
        }
    return lines;
}

/* The hours of a day count up and begin anew: most differ from the one before, and none is beyond 24. */
static const char *add_hour(struct mr_guesses *g, const char *lines) {
    for (size_t i = 0; i < g->shapes->columns; i++) {
        const struct mr_shape *s = &g->shapes->col[i];
        if (whole_within(s, 0.0, 24.0) && s->most >= 23.0 && s->rising * 10 >= s->cells * 8)
            return add_column(g, lines, i, MR_M_HOUR, "");
    }
    return lines;
}

/* The columns that look like times, whatever they are called. */
static const char *add_times(struct mr_guesses *g, const char *lines) {
    bool date = false;
    for (size_t i = 0; i < g->shapes->columns; i++) {
        const struct mr_shape *s = &g->shapes->col[i];
        bool numeric = s->numbers * 10 >= s->cells * 9;
        if (s->cells && s->datetimes * 10 >= s->cells * 8)
            return add_column(g, lines, i, MR_M_DATETIME, "");
        if (s->cells && s->dates * 10 >= s->cells * 8 && !date) {
            lines = add_column(g, lines, i, MR_M_DATE, "");
            date = true;
        } else if (s->cells && s->clocks * 10 >= s->cells * 8 && !numeric) {
            return add_column(g, lines, i, MR_M_CLOCK, "");
        }
    }
    return date ? add_hour(g, lines) : add_parts(g, lines);
}

/* A legend that speaks of tenths makes any unit wrong. */
static const char *scale_warning(struct mr_guesses *g) {
    for (size_t i = 0; i < g->source->preamble.n; i++)
        if (mr_text_scaled(g->arena, g->source->preamble.v[i].value))
            return mr_printf(
                g->arena, "\n# line %u of the file says \"%s\": export such columns in the unit itself",
                (unsigned)g->source->preamble.v[i].place.line,
                mr_clean_text(g->arena, g->source->preamble.v[i].value, strlen(g->source->preamble.v[i].value), 60));
    return "";
}

/* Nothing is advised that the column's own heading denies: a force is no temperature. */
static bool refuted(const struct mr_guesses *g, size_t i) {
    const char *text = g->source->columns[i].text;
    return mr_refusing_word(folded_head(g->arena, text), text, MR_M_PROBE_TEMP) != NULL;
}

/* The column that the doubt is about: of the kind's needs, with the unit its heading states. */
static const char *by_guess(struct mr_guesses *g) {
    const struct mr_guess *guess = &g->guess[g->first];
    const char *lines = first_lines(g, mr_kind_word(g->first)), *others = "";
    size_t written = 0;
    for (size_t i = 0; i < g->shapes->columns && written < 12; i++) {
        const struct mr_column *c = &guess->col[i].as;
        if (c->meaning == MR_M_IGNORE || mr_meaning_dim(c->meaning) == MR_DIM_NONE || c->meaning == MR_M_ELAPSED ||
            (written && c->unit != MR_UNIT_NONE))
            continue; /* the first, and those without a unit */
        const char *choices = c->unit == MR_UNIT_NONE ? mr_unit_choices(c->meaning) : "";
        lines = add_column(g, lines, i, c->meaning,
                           *choices                  ? "?"
                           : c->unit != MR_UNIT_NONE ? mr_unit_symbol(c->unit)
                                                     : "");
        if (*choices && !strstr(others, choices))
            others = mr_printf(g->arena, "%s%s%s", others, *others ? "; " : "", choices);
        written++;
    }
    if (*others)
        lines = mr_printf(g->arena, "%s\n# replace ? with the unit: %s%s", lines, others, scale_warning(g));
    if (g->second != MR_KIND_UNKNOWN)
        lines = mr_printf(g->arena, "%s\n# or, if that is what it is: kind = %s", lines, mr_kind_word(g->second));
    return lines;
}

const char *mr_kind_words(struct mr_arena *arena) {
    const char *list = "";
    for (enum mr_kind k = MR_KIND_THICKNESS; k < MR_KIND_NOT_A_TABLE; k++)
        list = mr_printf(arena, "%s%s%s", list, *list ? ", " : "", mr_kind_word(k));
    return list;
}

static const char *by_hand(struct mr_guesses *g) {
    const char *lines = mr_printf(g->arena, "# replace ? with one of: %s\nkind = ?", mr_kind_words(g->arena));
    lines = add_times(g, lines);
    for (size_t i = 0; i < g->shapes->columns; i++) {
        const struct mr_shape *s = &g->shapes->col[i];
        if (!s->numbers || refuted(g, i) || s->numbers * 2 < s->cells || s->datetimes || s->dates * 2 > s->cells ||
            !(s->most > s->least) || mr_shape_counts(s))
            continue;
        lines = mr_printf(g->arena,
                          "%s\n# replace ? with what the column measures and its unit, such as thickness [um], air "
                          "[degC], humidity [%%], line A [psi]",
                          lines);
        return mr_printf(g->arena, "%s\n%s = ? [?]", lines, mr_column_key(g->arena, g->source, i));
    }
    return lines;
}

/* Units stated in headings tell the kind, if not which column is which. */
static enum mr_kind kind_by_units(const struct mr_guesses *g, size_t *col, enum mr_unit *unit) {
    static const struct {
        enum mr_dim dim;
        enum mr_kind kind;
    } rows[] = {
        {MR_DIM_PRESSURE, MR_KIND_PRESSURE}, {MR_DIM_FILM, MR_KIND_THICKNESS}, {MR_DIM_TEMP, MR_KIND_TEMPERATURE}};
    for (size_t k = 0; k < MR_COUNT(rows); k++)
        for (size_t i = 0; i < g->shapes->columns; i++) {
            const char *text = g->source->columns[i].unit;
            if (g->shapes->col[i].numbers && *text && !refuted(g, i) &&
                mr_unit_parse(text, strlen(text), rows[k].dim, unit) && *unit != MR_UNIT_FILM_MM &&
                *unit != MR_UNIT_FILM_IN) { /* millimetres may be rain */
                *col = i;
                return rows[k].kind;
            }
        }
    return MR_KIND_UNKNOWN;
}

static struct mr_suggestion by_units(struct mr_guesses *g, enum mr_kind kind, size_t col, enum mr_unit unit) {
    struct mr_suggestion out = {.lines = add_times(g, first_lines(g, mr_kind_word(kind))),
                                .question = MR_ASK_KIND_UNITS};
    const char *words = kind == MR_KIND_PRESSURE    ? "line A, line B or main"
                        : kind == MR_KIND_THICKNESS ? "thickness, or certified"
                                                    : "temperature, steel or air";
    out.lines = mr_printf(
        g->arena, "%s\n# replace ? with one of: %s; write one such line for each column to be used\n%s = ? [%s]",
        out.lines, words, mr_column_key(g->arena, g->source, col), mr_unit_symbol(unit));
    out.why = mr_printf(g->arena, "a heading states %s, but no heading says what its column measures",
                        mr_unit_symbol(unit));
    return out;
}

static struct mr_suggestion by_numbers(struct mr_guesses *g, const struct mr_alike *a) {
    struct mr_suggestion out = {.lines = add_times(g, first_lines(g, mr_kind_word(MR_KIND_CLIMATE))),
                                .question = MR_ASK_KIND_NUMBERS};
    const char *unit = a->unit == MR_UNIT_F ? "degF" : "degC";
    out.lines = add_column(g, out.lines, a->air, MR_M_AIR, unit);
    out.lines = add_column(g, out.lines, a->rh, MR_M_RH, "%");
    if (a->dew != MR_NONE) {
        out.lines = add_column(g, out.lines, a->dew, MR_M_DEW, unit);
        out.why = mr_printf(g->arena,
                            "no heading says what kind of file this is, but three columns fit air temperature, "
                            "humidity and dew point by the vapour law within %.2g K",
                            a->off_k);
    } else {
        out.lines = mr_printf(g->arena, "%s\n# judged only by how the numbers move; check the unit: degC, degF or K",
                              out.lines);
        out.why = "no heading says what kind of file this is; two columns move against each other as air temperature "
                  "and humidity do";
    }
    return out;
}

static bool in_blanks(const struct mr_guesses *g) {
    const struct mr_shape *s = &g->shapes->col[0];
    return g->source->n_columns == 1 && !g->source->delimiter && s->cells && !s->numbers &&
           (!s->n_texts || strchr(s->texts[0], ' '));
}

struct mr_suggestion mr_suggest_kind(struct mr_guesses *g) {
    struct mr_suggestion out = {.lines = "", .question = MR_ASK_KIND_GUESS};
    if (g->first != MR_KIND_UNKNOWN) {
        out.lines = by_guess(g);
        out.why =
            g->second != MR_KIND_UNKNOWN
                ? mr_printf(g->arena, "unsure between %s and %s", mr_kind_text(g->first), mr_kind_text(g->second))
                : mr_printf(g->arena, "perhaps %s, but the evidence is too weak", mr_kind_text(g->first));
        return out;
    }
    struct mr_alike alike;
    size_t col;
    enum mr_unit unit;
    enum mr_kind kind = kind_by_units(g, &col, &unit);
    if (kind == MR_KIND_PRESSURE || kind == MR_KIND_THICKNESS)
        return by_units(g, kind, col, unit);
    if (mr_find_alike(g->arena, g->source, g->shapes, &alike))
        return by_numbers(g, &alike);
    if (kind != MR_KIND_UNKNOWN)
        return by_units(g, kind, col, unit);
    if (in_blanks(g)) {
        out.why = "no commas, semicolons or tabs separate its columns; export it with one of them";
        return out;
    }
    out.lines = by_hand(g);
    out.question = MR_ASK_KIND_HAND;
    out.why = "no column heading or cell tells what kind of file this is";
    return out;
}
