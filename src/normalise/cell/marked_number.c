/*
 * marked_number.c - numbers with something beside them: flags, limits, brackets, fractions of an inch, a
 * spreadsheet's ="..."
 */
#include "normalise/cell/number.h"

#include <string.h>

bool mr_missing_listed(const char *list, const char *text, size_t n) {
    mr_trim(&text, &n);
    double value = 0;
    struct mr_number number;
    bool is_number =
        mr_number_scan(text, n, (struct mr_number_style){'.', false}, &number) == MR_NUM_OK && !number.unit;
    if (is_number)
        value = number.value;
    while (*list) {
        size_t k = strcspn(list, ",");
        const char *item = list;
        size_t item_n = k;
        mr_trim(&item, &item_n);
        double listed;
        if (item_n && mr_text_equal_fold(item, item_n, text, n))
            return true;
        if (is_number && item_n && mr_scan_decimal(item, item_n, '.', &listed) && listed >= value && listed <= value)
            return true;
        list += k + (list[k] == ',');
    }
    return false;
}

bool mr_number_flag(const char *text, size_t n) {
    static const char *const flags[] = {"h",  "l",  "hi", "lo", "high", "low",          "*",           "**", "!",
                                        "!!", "h!", "l!", "h*", "l*",   "\xe2\x86\x91", "\xe2\x86\x93"};
    if (n > 2 && ((*text == '(' && text[n - 1] == ')') || (*text == '[' && text[n - 1] == ']'))) {
        text++;
        n -= 2;
    }
    for (size_t i = 0; i < MR_COUNT(flags); i++)
        if (mr_text_equal_fold(text, n, flags[i], strlen(flags[i])))
            return true;
    return false;
}

char mr_number_marked(const char *text, size_t n) {
    static const struct {
        const char *text;
        char mark;
    } marks[] = {{"<=", '<'},
                 {">=", '>'},
                 {"<", '<'},
                 {">", '>'},
                 {"~", '~'},
                 {"(", '('},
                 {"\xe2\x89\xa4", '<'},
                 {"\xe2\x89\xa5", '>'},
                 {"\xe2\x89\x88", '~'},
                 {"ca.", '~'},
                 {"ca ", '~'},
                 {"approx.", '~'},
                 {"approx ", '~'}};
    mr_trim(&text, &n);
    for (size_t i = 0; i < MR_COUNT(marks); i++) {
        size_t k = strlen(marks[i].text);
        if (n <= k || memcmp(text, marks[i].text, k) != 0 || (marks[i].mark == '(' && text[n - 1] != ')'))
            continue;
        struct mr_number x;
        return mr_number_scan(text + k, n - k - (marks[i].mark == '('), (struct mr_number_style){'?', true}, &x) ==
                       MR_NUM_OK
                   ? marks[i].mark
                   : 0;
    }
    return 0;
}

/* Digits at text, at most four; *value is what they say. */
static size_t figures_at(const char *text, size_t n, double *value) {
    size_t i = 0;
    *value = 0.0;
    for (; i < n && i < 4 && mr_is_digit(text[i]); i++)
        *value = *value * 10.0 + (text[i] - '0');
    return i < n && mr_is_digit(text[i]) ? 0 : i;
}

bool mr_fraction_scan(const char *text, size_t n, struct mr_number *out) {
    double whole = 0.0, above, below;
    *out = (struct mr_number){0};
    mr_trim(&text, &n);
    size_t i = figures_at(text, n, &above);
    if (i && i < n && (text[i] == '-' || text[i] == ' ')) {
        whole = above;
        i++;
        size_t k = figures_at(text + i, n - i, &above);
        if (!k)
            return false;
        i += k;
    }
    if (!i || i >= n || text[i] != '/')
        return false;
    size_t k = figures_at(text + i + 1, n - i - 1, &below);
    bool power = below >= 2.0 && below <= 64.0 &&
                 ((unsigned)below & ((unsigned)below - 1U)) == 0; /* 7/13 is a date or a count */
    if (!k || !power || above < 1.0 || above >= below)
        return false;
    text += i + 1 + k;
    n -= i + 1 + k;
    mr_trim(&text, &n);
    if (n && (mr_is_digit(*text) || *text == '/' || *text == '-' || n > 12))
        return false;
    out->value = whole + above / below;
    out->unit = n ? text : NULL;
    out->unit_n = n;
    return true;
}

void mr_unwrap(const char **text, size_t *n) {
    if (*n < 3 || memcmp(*text, "=\"", 2) != 0 || (*text)[*n - 1] != '"')
        return;
    *text += 2;
    *n -= 3;
}
