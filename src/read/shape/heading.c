#include "read/shape/heading.h"

#include "read/record/trim.h"

#include <string.h>

/* yyyy-mm-dd, DD.MM.YY, hh:mm:ss and their kin: letters of date formats only, with something between them. */
static bool is_time_format(const char *p, size_t n) {
    size_t between = 0, letters = 0;
    for (size_t i = 0; i < n; i++) {
        if (strchr("-/.:, ", p[i]) && p[i])
            between++;
        else if (strchr("yYmMdDhHsSfTtZz", p[i]) && p[i])
            letters++;
        else
            return false;
    }
    return between >= 1 && letters >= 4;
}

bool mr_looks_like_unit(const char *p, size_t n) {
    static const char *const words[] = {"mbar",    "hr",  "hrs",  "sec",   "secs", "mins", "lx",      "lux",  "w",
                                        "v",       "mv",  "ma",   "hz",    "rpm",  "deg",  "degrees", "degc", "degf",
                                        "ppm",     "mps", "kts",  "knots", "mph",  "utc",  "dec",     "um",   "mils",
                                        "percent", "pct", "psig", "yr",    "mo",   "dy",   "mn",      "degt"};
    enum mr_unit unit;
    struct mr_cell cell;
    mr_trim(&cell, p, n);
    if (!cell.n || cell.n > 24)
        return false;
    if (mr_unit_find(cell.p, cell.n, &unit) || is_time_format(cell.p, cell.n))
        return true;
    for (size_t i = 0; i < MR_COUNT(words); i++)
        if (strlen(words[i]) == cell.n) {
            size_t k = 0;
            while (k < cell.n && (cell.p[k] | 0x20) == words[i][k])
                k++;
            if (k == cell.n)
                return true;
        }
    bool sign = cell.p[0] == '%' || memcmp(cell.p, "\xC2\xB0", cell.n > 2 ? 2 : cell.n) == 0 ||
                memcmp(cell.p, "\xC2\xB5", cell.n > 2 ? 2 : cell.n) == 0; /* degree, micro */
    if (sign && cell.n <= 8)
        return true;
    bool compound = false; /* W/m^2, kg/m3 */
    for (uint32_t i = 0; i < cell.n; i++) {
        if (mr_is_blank(cell.p[i]) || cell.p[i] == ':')
            return false;
        compound = compound || cell.p[i] == '^' || (cell.p[i] == '/' && i > 0);
    }
    return compound && cell.n <= 10;
}

/* White space of any kind, line ends of a quoted header included, becomes single blanks. */
static char *one_line(struct mr_arena *arena, const char *p, size_t n) {
    char *out = mr_alloc(arena, n + 1, 1);
    size_t used = 0;
    for (size_t i = 0; i < n; i++) {
        if (!mr_is_blank(p[i]))
            out[used++] = p[i];
        else if (used && out[used - 1] != ' ')
            out[used++] = ' ';
    }
    while (used && out[used - 1] == ' ')
        used--;
    out[used] = '\0';
    return out;
}

static void cut(struct mr_arena *arena, struct mr_head *head, size_t name_n, const char *unit, size_t unit_n) {
    head->name = one_line(arena, head->text, name_n);
    head->unit = one_line(arena, unit, unit_n);
}

/* "Name [unit]" always; "Name (unit)" where it looks like one, for brackets also hold remarks. */
static bool by_brackets(struct mr_arena *arena, struct mr_head *head, size_t n) {
    const char *text = head->text;
    char close = n ? text[n - 1] : 0, open = close == ']' ? '[' : close == ')' ? '(' : close == '}' ? '{' : 0;
    if (!open)
        return false;
    size_t at = n - 1, depth = 0;
    do {
        depth += text[at] == close;
        depth -= text[at] == open;
    } while (depth && at--);
    if (depth || at == 0 || at + 2 >= n)
        return false;
    if (open != '[' && !mr_looks_like_unit(text + at + 1, n - at - 2))
        return false;
    cut(arena, head, at, text + at + 1, n - at - 2);
    return true;
}

/* "Name, unit", "Name / unit", "Name; unit" where what follows looks like a unit. A remark in brackets may close the
 * cell: "Temp, °C (serial 12)"; n is the text before it. */
static bool by_mark(struct mr_arena *arena, struct mr_head *head, size_t n) {
    enum mr_unit unit;
    for (size_t at = n; at-- > 1;) {
        char c = head->text[at];
        struct mr_cell rest;
        mr_trim(&rest, head->text + at + 1, n - at - 1);
        if (((c == ',' || c == ';') && mr_looks_like_unit(rest.p, rest.n)) ||
            (c == '/' && rest.n && mr_unit_find(rest.p, rest.n, &unit))) {
            cut(arena, head, at, rest.p, rest.n);
            return true;
        }
    }
    return false;
}

/* Where a remark in brackets begins that ends the text; n where there is none. */
static size_t find_remark(const char *text, size_t n) {
    size_t at = n;
    if (n && text[n - 1] == ')')
        while (at-- > 0)
            if (text[at] == '(')
                return at;
    return n;
}

struct mr_head mr_heading(struct mr_arena *arena, const struct mr_cell *text, const struct mr_cell *units_cell) {
    struct mr_head head = {.text = mr_strndup(arena, text->p ? text->p : "", text->n), .unit = ""};
    size_t remark = find_remark(head.text, text->n);
    if (by_brackets(arena, &head, text->n))
        remark = text->n;
    else if (!by_mark(arena, &head, remark))
        head.name = one_line(arena, head.text, text->n);
    else if (remark < text->n)
        head.name = mr_printf(arena, "%s %s", head.name, one_line(arena, head.text + remark, text->n - remark));
    if (units_cell && units_cell->n) {
        const char *p = units_cell->p;
        size_t n = units_cell->n;
        if (n > 2 && ((p[0] == '[' && p[n - 1] == ']') || (p[0] == '(' && p[n - 1] == ')'))) {
            p++;
            n -= 2;
        }
        if (!*head.unit)
            head.unit = one_line(arena, p, n);
    }
    return head;
}
