/*
 * keyfile.c - a strict reader of sections and keys. No library of Debian 12 gives a person the place of a value that
 * is well-formed but wrong ("12,5 is not a number"), so each key and value keeps line and column, and every error is
 * told, not only the first.
 */
#include "base/keyfile.h"

#include "base/utf8.h"

#include <glib.h>
#include <stdlib.h>
#include <string.h>

struct key_reader {
    struct mr_arena *arena;
    struct mr_diags *diags;
    struct mr_keyfile *out;
    const char *file;
    uint32_t line;
    bool failed;
};

static bool blank(char c) {
    return c == ' ' || c == '\t';
}

char *mr_fold(struct mr_arena *arena, const char *text, size_t n) {
    char *out = mr_alloc(arena, n * 2 + 1, 1);
    size_t used = 0;
    for (size_t i = 0; i < n;) {
        size_t len = mr_utf8_length(text + i, n - i);
        if (len == 0 || len == 1) {
            char c = text[i++];
            if (c == '_' || c == '-' || c == '\t' || c == ' ' || c == '\r' || c == '\n') {
                if (used && out[used - 1] != ' ')
                    out[used++] = ' ';
            } else {
                out[used++] = c >= 'A' && c <= 'Z' ? (char)(c + 32) : c;
            }
            continue;
        }
        gunichar folded = g_unichar_tolower(g_utf8_get_char(text + i));
        i += len;
        if (folded == 0xa0) {
            if (used && out[used - 1] != ' ')
                out[used++] = ' ';
            continue;
        }
        char utf8[6];
        int k = g_unichar_to_utf8(folded, utf8);
        memcpy(out + used, utf8, (size_t)k);
        used += (size_t)k;
    }
    while (used && out[used - 1] == ' ')
        used--;
    out[used] = '\0';
    return out;
}

/* Letters that are no letter with a mark to the decomposition, though people type them without it. */
static const char *plain_letter(gunichar c) {
    static const struct {
        gunichar letter;
        const char *plain;
    } letters[] = {{0xc6, "AE"},  {0xd8, "O"},   {0xdf, "ss"},      {0xe6, "ae"},      {0xf8, "o"},
                   {0x110, "D"},  {0x111, "d"},  {0x131, "i"},      {0x141, "L"},      {0x142, "l"},
                   {0x152, "OE"}, {0x153, "oe"}, {0x394, "delta "}, {0x3b4, "delta "}, {0x2206, "delta "}};
    for (size_t i = 0; i < MR_COUNT(letters); i++)
        if (letters[i].letter == c)
            return letters[i].plain;
    return NULL;
}

char *mr_unaccent(struct mr_arena *arena, const char *text, size_t n) {
    char *out = mr_alloc(arena, n * 3 + 1, 1);
    size_t used = 0;
    for (size_t i = 0, len; i < n; i += len) {
        len = mr_utf8_length(text + i, n - i);
        len = len ? len : 1;
        gunichar c = len > 1 ? g_utf8_get_char(text + i) : 0, parts[4];
        const char *plain = plain_letter(c);
        gunichar base =
            c >= 0xc0 && c < 0x250 && g_unichar_fully_decompose(c, FALSE, parts, MR_COUNT(parts)) > 1 ? parts[0] : 0;
        if (c >= 0x300 && c < 0x370)
            continue; /* an accent behind its letter */
        if (plain) {
            memcpy(out + used, plain, strlen(plain));
            used += strlen(plain);
        } else if (base && base < 0x80) {
            out[used++] = (char)base;
        } else {
            memcpy(out + used, text + i, len);
            used += len;
        }
    }
    out[used] = '\0';
    return out;
}

static void complain(struct key_reader *r, size_t column, const char *text, size_t n, const char *mend,
                     const char *what) {
    char *copy = mr_strndup(r->arena, text, n);
    struct mr_place place = {.file = r->file, .line = r->line, .column = (uint32_t)column + 1};
    mr_diag_add(r->diags, MR_ERROR, "key-file", place, copy, mend, "%s", what);
    r->failed = true;
}

static struct mr_key_section *open_section(struct key_reader *r, const char *name, const char *argument,
                                           struct mr_place place) {
    struct mr_key_section s = {.name = name, .argument = argument, .place = place};
    MR_PUSH(r->arena, &r->out->sections, s);
    return &r->out->sections.v[r->out->sections.n - 1];
}

/* [name] or [name "argument"] */
static void read_section(struct key_reader *r, const char *text, size_t n, size_t column) {
    struct mr_place place = {.file = r->file, .line = r->line, .column = (uint32_t)column + 1};
    if (text[n - 1] != ']') {
        complain(r, column, text, n, "Close the section's name with ].", "the section's name is not closed");
        open_section(r, "?", "", place);
        return;
    }
    const char *inner = text + 1, *end = text + n - 1, *quote = memchr(inner, '"', (size_t)(end - inner));
    const char *argument = "";
    const char *name_end = quote ? quote : end;
    if (quote) {
        const char *close = memchr(quote + 1, '"', (size_t)(end - quote - 1));
        if (!close || close + 1 != end) {
            complain(r, column, text, n, "Write it as [section \"NAME\"].", "the section's quoted name is malformed");
            close = end;
        }
        argument = mr_strndup(r->arena, quote + 1, (size_t)(close - quote - 1));
    }
    char *name = mr_fold(r->arena, inner, (size_t)(name_end - inner));
    if (!*name)
        complain(r, column, text, n, "Write a name between [ and ].", "the section has no name");
    open_section(r, name, argument, place);
}

static void read_key(struct key_reader *r, const char *text, size_t n, size_t column) {
    const char *equals = memchr(text, '=', n);
    if (!equals) {
        complain(r, column, text, n, "Write `key = value`, `[section]`, or # before a comment.",
                 "this is not a key with a value");
        return;
    }
    size_t key_n = (size_t)(equals - text);
    while (key_n && blank(text[key_n - 1]))
        key_n--;
    size_t value_at = (size_t)(equals - text) + 1;
    while (value_at < n && blank(text[value_at]))
        value_at++;
    const char *value = text + value_at;
    size_t value_n = n - value_at;
    const char *folded = mr_fold(r->arena, text, key_n);
    if (!*folded) { /* nothing before the =, or only marks that fold to blanks */
        complain(r, column, text, n, "Write a key before the =.", "a key is missing");
        return;
    }
    if (value_n >= 2 && value[0] == '"' && value[value_n - 1] == '"') {
        value++;
        value_n -= 2;
    }
    struct mr_key_section *s = &r->out->sections.v[r->out->sections.n - 1];
    struct mr_key key = {
        .key = folded,
        .raw_key = mr_strndup(r->arena, text, key_n),
        .value = mr_strndup(r->arena, value, value_n),
        .place = {.file = r->file, .line = r->line, .column = (uint32_t)column + 1},
        .value_place = {.file = r->file, .line = r->line, .column = (uint32_t)(column + (size_t)(value - text)) + 1},
    };
    MR_PUSH(r->arena, &s->keys, key);
}

static void read_line(struct key_reader *r, const char *text, size_t n) {
    size_t bad = mr_utf8_valid_prefix(text, n);
    if (bad < n || memchr(text, '\0', n)) {
        complain(r, bad, text, n, "Save the file as UTF-8 text.", "the line holds bytes that are not UTF-8 text");
        return;
    }
    size_t start = 0;
    while (start < n && blank(text[start]))
        start++;
    while (n > start && (blank(text[n - 1]) || text[n - 1] == '\r'))
        n--;
    if (start == n || text[start] == '#')
        return;
    if (text[start] == '[')
        read_section(r, text + start, n - start, start);
    else
        read_key(r, text + start, n - start, start);
}

enum mr_status mr_keyfile_parse(struct mr_arena *arena, const char *file, const char *text, size_t n,
                                struct mr_diags *diags, struct mr_keyfile *out) {
    *out = (struct mr_keyfile){0};
    struct key_reader r = {.arena = arena, .diags = diags, .out = out, .file = mr_strdup(arena, file)};
    open_section(&r, "", "", (struct mr_place){.file = r.file});
    if (n >= 3 && memcmp(text, "\xef\xbb\xbf", 3) == 0) {
        text += 3;
        n -= 3;
    }
    while (n) {
        const char *end = memchr(text, '\n', n);
        size_t length = end ? (size_t)(end - text) : n;
        r.line++;
        read_line(&r, text, length);
        size_t step = end ? length + 1 : length;
        text += step;
        n -= step;
    }
    return r.failed ? MR_E_SYNTAX : MR_OK;
}

const struct mr_key *mr_key_find(const struct mr_key_section *section, const char *key) {
    for (size_t i = section->keys.n; i-- > 0;)
        if (strcmp(section->keys.v[i].key, key) == 0)
            return &section->keys.v[i];
    return NULL;
}

enum { WORD_MAX = 64 };

/* Letters that changed places count once, as any other slip (optimal string alignment). */
static size_t edit_distance(const char *a, const char *b) {
    size_t n = strlen(a), m = strlen(b), rows[3][WORD_MAX + 1];
    size_t *before = rows[0], *last = rows[1], *row = rows[2];
    if (n > WORD_MAX || m > WORD_MAX)
        return SIZE_MAX;
    for (size_t j = 0; j <= m; j++)
        row[j] = j;
    for (size_t i = 1; i <= n; i++) {
        size_t *spare = before;
        before = last;
        last = row;
        row = spare;
        row[0] = i;
        for (size_t j = 1; j <= m; j++) {
            size_t best = last[j - 1] + (a[i - 1] != b[j - 1]);
            best = last[j] + 1 < best ? last[j] + 1 : best;
            best = row[j - 1] + 1 < best ? row[j - 1] + 1 : best;
            const bool swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
            row[j] = swapped && before[j - 2] + 1 < best ? before[j - 2] + 1 : best;
        }
    }
    return row[m];
}

const char *mr_nearest(const char *word, const char *const *candidates, size_t n) {
    const char *best = NULL;
    size_t best_distance = strlen(word) / 3 + 1;
    for (size_t i = 0; i < n; i++) {
        size_t d = edit_distance(word, candidates[i]);
        if (d < best_distance) {
            best_distance = d;
            best = candidates[i];
        }
    }
    return best;
}
