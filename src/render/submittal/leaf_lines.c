/*
 * leaf_lines.c - how wide a text is and how it breaks into lines. Widths come from the figures' table of advances,
 * which is exact for Latin letters and costs nothing; any other text is measured by the graphics library.
 */
#include "base/utf8.h"
#include "render/draw/draw_cairo.h"
#include "render/submittal/leaves.h"

#include <string.h>

/* Unicode's noncharacters (The Unicode Standard, 23.7), which the graphics library refuses. */
static bool is_noncharacter(const unsigned char *c, size_t len) {
    if (len == 3 && c[0] == 0xef)
        return (c[1] == 0xb7 && c[2] >= 0x90 && c[2] <= 0xaf) || (c[1] == 0xbf && c[2] >= 0xbe);
    return len == 4 && (c[1] & 0x0f) == 0x0f && c[2] == 0xbf && c[3] >= 0xbe;
}

const char *mr_leaf_clean(struct mr_arena *arena, const char *text, size_t n, size_t max) {
    char *clean = mr_clean_text(arena, text, n, max);
    size_t to = 0;
    for (size_t i = 0, len; clean[i]; i += len) {
        len = mr_utf8_length(clean + i, strnlen(clean + i, 4));
        len = len ? len : 1;
        const bool bad = is_noncharacter((const unsigned char *)clean + i, len);
        memmove(clean + to, bad ? "?" : clean + i, bad ? 1 : len);
        to += bad ? 1 : len;
    }
    clean[to] = '\0';
    return clean;
}

static bool in_table(const char *text, size_t n) {
    for (size_t i = 0; i < n; i++) {
        const unsigned char c = (unsigned char)text[i];
        if (c > 0xc3 && (c & 0xc0) != 0x80)
            return false;
    }
    return true;
}

static double span_width(const struct mr_leaves *l, const char *text, size_t n, double size, bool bold) {
    char line[256];
    if (n >= sizeof line) { /* in parts: a line of that length breaks somewhere anyway */
        const size_t half = mr_utf8_valid_prefix(text, sizeof line - 1);
        const size_t part = half ? half : sizeof line - 1;
        return span_width(l, text, part, size, bold) + span_width(l, text + part, n - part, size, bold);
    }
    memcpy(line, text, n);
    line[n] = '\0';
    return l->other_font || !in_table(line, n) ? mr_font_width(line, size, bold) : mr_text_width(line, size, bold);
}

double mr_leaf_width(const struct mr_leaves *l, const char *text, double size, bool bold) {
    return span_width(l, text, strlen(text), size, bold);
}

/* How much of a word that is too long fits: up to a sign of division where one stands in the second half, else to the
 * last letter. At least one letter. */
static size_t part_that_fits(const struct mr_leaves *l, const char *word, size_t n, double size, bool bold,
                             double width) {
    size_t fits = 0, divided = 0;
    double wide = 0;
    while (fits < n) {
        size_t len = mr_utf8_length(word + fits, n - fits);
        len = len ? len : 1;
        wide += span_width(l, word + fits, len, size, bold);
        if (wide > width && fits > 0)
            break;
        fits += len;
        if (fits < n && strchr("/-_.:,;", word[fits - 1]))
            divided = fits;
    }
    return divided > fits / 2 ? divided : fits;
}

static void wrap_line(const struct mr_leaves *l, const char *text, size_t n, double size, bool bold, double width,
                      mr_leaf_lines *out) {
    const double blank = mr_text_width(" ", size, bold);
    size_t from = 0, to = 0; /* the line under construction */
    double wide = 0;
    for (size_t i = 0; i < n;) {
        while (i < n && text[i] == ' ')
            i++;
        size_t end = i;
        while (end < n && text[end] != ' ')
            end++;
        if (end == i)
            break;
        double word = span_width(l, text + i, end - i, size, bold);
        const double gap = to > from ? blank * (double)(i - to) : 0;
        if (to > from && wide + gap + word > width) {
            MR_PUSH(l->arena, out, mr_strndup(l->arena, text + from, to - from));
            from = to = i;
            wide = 0;
        } else if (to > from) {
            wide += gap;
        } else {
            from = to = i;
        }
        while (word > width) { /* stands alone in its line */
            const size_t part = part_that_fits(l, text + i, end - i, size, bold, width);
            if (part == end - i)
                break;
            MR_PUSH(l->arena, out, mr_strndup(l->arena, text + i, part));
            i += part;
            from = i;
            word = span_width(l, text + i, end - i, size, bold);
        }
        wide += word;
        to = i = end;
    }
    MR_PUSH(l->arena, out, mr_strndup(l->arena, text + from, to - from));
}

void mr_leaf_wrap(const struct mr_leaves *l, const char *text, double size, bool bold, double width,
                  mr_leaf_lines *out) {
    for (const char *line = text ? text : "";; line++) {
        const size_t n = strcspn(line, "\n");
        const char *clean = mr_leaf_clean(l->arena, line, n, 4 * n + 4);
        wrap_line(l, clean, strlen(clean), size, bold, width, out);
        line += n;
        if (!*line)
            break;
    }
}
