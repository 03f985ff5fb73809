/*
 * pdf_update.c - see pdf_update.h. It knows how cairo writes an object: "12 0 obj", a line for each key, "endobj";
 * and that figures are numbered in the order in which they were drawn. Where that does not hold, nothing is appended.
 */
#include "render/submittal/pdf_update.h"

#include "base/utf8.h"

#include <stdlib.h>
#include <string.h>

struct renewed {
    unsigned long number;
    size_t at;
};

struct update {
    struct mr_buffer *doc;
    size_t old; /* bytes before the update */
    MR_VEC(struct renewed) entries;
};

/* The place of needle among the first `old` bytes from `from` on; MR_NONE. */
static size_t find(const struct update *u, const char *needle, size_t from) {
    const char *at = from < u->old ? memmem(u->doc->v.v + from, u->old - from, needle, strlen(needle)) : NULL;
    return at ? (size_t)(at - u->doc->v.v) : MR_NONE;
}

/* A text string in UTF-16 with its mark, as hexadecimal (7.9.2.2). */
static void put_text(struct mr_buffer *doc, const char *text) {
    mr_buffer_text(doc, "<FEFF");
    for (size_t i = 0, n = strlen(text); i < n;) {
        const unsigned char *c = (const unsigned char *)text + i;
        const size_t len = mr_utf8_length(text + i, n - i);
        unsigned long code =
            len == 2   ? (c[0] & 0x1fUL) << 6 | (c[1] & 0x3fUL)
            : len == 3 ? (c[0] & 0x0fUL) << 12 | (c[1] & 0x3fUL) << 6 | (c[2] & 0x3fUL)
            : len == 4 ? (c[0] & 0x07UL) << 18 | (c[1] & 0x3fUL) << 12 | (c[2] & 0x3fUL) << 6 | (c[3] & 0x3fUL)
            : len == 1 ? c[0]
                       : 0xfffd;
        i += len ? len : 1;
        if (code >= 0x10000) {
            code -= 0x10000;
            mr_buffer_text(doc, mr_printf(doc->arena, "%04lX", 0xd800 + (code >> 10)));
            code = 0xdc00 + (code & 0x3ff);
        }
        mr_buffer_text(doc, mr_printf(doc->arena, "%04lX", code));
    }
    mr_buffer_text(doc, ">");
}

/* Copies the object whose dictionary begins at `dictionary` with its end left open. Returns: its number; 0 where it
 * is none. */
static unsigned long reopen(struct update *u, size_t dictionary) {
    static const char mark[] = " 0 obj\n";
    const size_t n = strlen(mark);
    if (dictionary < n + 1 || memcmp(u->doc->v.v + dictionary - n, mark, n) != 0)
        return 0;
    size_t from = dictionary - n;
    while (from > 0 && u->doc->v.v[from - 1] >= '0' && u->doc->v.v[from - 1] <= '9')
        from--;
    const unsigned long number =
        strtoul(mr_strndup(u->doc->arena, u->doc->v.v + from, dictionary - n - from), NULL, 10);
    const size_t end = find(u, ">>\nendobj", dictionary);
    if (!number || end == MR_NONE)
        return 0;
    MR_PUSH(u->doc->arena, &u->entries, ((struct renewed){number, u->doc->v.n}));
    const char *copy = mr_strndup(u->doc->arena, u->doc->v.v + from, end - from);
    mr_buffer_text(u->doc, copy);
    return number;
}

static void end_object(struct update *u) {
    mr_buffer_text(u->doc, ">>\nendobj\n");
}

static bool put_catalog(struct update *u, const char *language) {
    const size_t at = find(u, "<< /Type /Catalog\n", 0);
    if (at == MR_NONE || !reopen(u, at))
        return false;
    mr_buffer_text(u->doc,
                   "   /MarkInfo << /Marked true >>\n   /ViewerPreferences << /DisplayDocTitle true >>\n   /Lang ");
    put_text(u->doc, language);
    mr_buffer_text(u->doc, "\n");
    end_object(u);
    return true;
}

static bool put_figures(struct update *u, size_t n, const char *const *alt) {
    static const char figure[] = "<< /Type /StructElem\n   /S /Figure\n";
    size_t seen = 0;
    unsigned long before = 0;
    for (size_t at = find(u, figure, 0); at != MR_NONE; at = find(u, figure, at + 1)) {
        if (seen == n)
            return false;
        const unsigned long number = reopen(u, at);
        if (number <= before)
            return false;
        before = number;
        mr_buffer_text(u->doc, "   /Alt ");
        put_text(u->doc, alt[seen++]);
        mr_buffer_text(u->doc, "\n");
        end_object(u);
    }
    return seen == n;
}

/* The value of a key of the old trailer, as written; NULL. */
static const char *trailer_value(const struct update *u, size_t trailer, const char *key) {
    const size_t at = find(u, key, trailer);
    if (at == MR_NONE)
        return NULL;
    const size_t from = at + strlen(key), end = find(u, "\n", from);
    return end == MR_NONE ? NULL : mr_strndup(u->doc->arena, u->doc->v.v + from, end - from);
}

static size_t last_trailer(const struct update *u) {
    size_t last = MR_NONE;
    for (size_t at = find(u, "trailer\n", 0); at != MR_NONE; at = find(u, "trailer\n", at + 1))
        last = at;
    return last;
}

static bool put_end(struct update *u) {
    const size_t trailer = last_trailer(u), at = u->doc->v.n;
    if (trailer == MR_NONE)
        return false;
    const char *size = trailer_value(u, trailer, "/Size "), *root = trailer_value(u, trailer, "/Root "),
               *info = trailer_value(u, trailer, "/Info "), *before = trailer_value(u, trailer, "startxref\n");
    if (!size || !root || !info || !before)
        return false;
    mr_buffer_text(u->doc, "xref\n0 0\n");
    for (size_t i = 0; i < u->entries.n; i++)
        mr_buffer_text(
            u->doc, mr_printf(u->doc->arena, "%lu 1\n%010zu 00000 n \n", u->entries.v[i].number, u->entries.v[i].at));
    mr_buffer_text(
        u->doc,
        mr_printf(u->doc->arena,
                  "trailer\n<< /Size %s\n   /Root %s\n   /Info %s\n   /Prev %s\n>>\nstartxref\n%zu\n%%%%EOF\n", size,
                  root, info, before, at));
    return true;
}

bool mr_pdf_update(struct mr_buffer *doc, const char *language, size_t n, const char *const *alt) {
    struct update u = {.doc = doc, .old = doc->v.n};
    if (put_figures(&u, n, alt) && put_catalog(&u, language) && put_end(&u))
        return true;
    doc->v.n = u.old;
    return false;
}
