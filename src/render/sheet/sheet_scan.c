/*
 * sheet_scan.c - see sheet_scan.h.
 */
#include "render/sheet/sheet_scan.h"

#include "base/text.h"
#include "base/utf8.h"

#include <string.h>

static bool is_blank(char c) {
    return c == ' ' || c == '\n' || c == '\r' || c == '\t';
}

static bool is_name(char c) {
    return (c | 0x20) >= 'a' ? (c | 0x20) <= 'z' : mr_is_digit(c) || c == ':' || c == '-' || c == '.';
}

/* &amp; &#10; &#xA; - with its semicolon, or 0. */
static size_t reference_length(const char *p, size_t n) {
    static const char *const known[] = {"&amp;", "&lt;", "&gt;", "&quot;", "&apos;"};
    for (size_t i = 0; i < MR_COUNT(known); i++)
        if (n >= strlen(known[i]) && memcmp(p, known[i], strlen(known[i])) == 0)
            return strlen(known[i]);
    size_t i = 2, digits = 0;
    if (n < 4 || p[1] != '#')
        return 0;
    const bool hex = p[2] == 'x';
    for (i += hex; i < n && (mr_is_digit(p[i]) || (hex && (p[i] | 0x20) >= 'a' && (p[i] | 0x20) <= 'f')); i++)
        digits++;
    return digits && digits < 8 && i < n && p[i] == ';' ? i + 1 : 0;
}

/* Text, or the value of an attribute: no control characters, whole characters, whole references. */
static bool is_text(const char *p, size_t n) {
    for (size_t i = 0; i < n; i++) {
        const unsigned char c = (unsigned char)p[i];
        size_t more = 1;
        if (c >= 0x80)
            more = mr_utf8_length(p + i, n - i);
        else if (c == '&')
            more = reference_length(p + i, n - i);
        else if (c == '<' || (c < 0x20 && !is_blank((char)c)))
            return false;
        if (more == 0)
            return false;
        i += more - 1;
    }
    return true;
}

/* Attributes up to '/', '?' or '>': how many bytes, or 0 where they are not well-formed. */
static size_t attributes_length(const char *p, size_t n) {
    size_t i = 0;
    while (i < n) {
        const size_t from = i;
        while (i < n && is_blank(p[i]))
            i++;
        if (i < n && (p[i] == '/' || p[i] == '>' || p[i] == '?'))
            return i;
        const size_t name = i;
        while (i < n && is_name(p[i]))
            i++;
        if (from == name || i == name || i + 1 >= n || p[i] != '=' || p[i + 1] != '"')
            return 0;
        const char *value = p + i + 2, *end = memchr(value, '"', n - i - 2);
        if (!end || !is_text(value, (size_t)(end - value)))
            return 0;
        i = (size_t)(end + 1 - p);
    }
    return 0;
}

static bool open_element(struct mr_sheet_scan *s, const char *name, size_t n, bool empty) {
    if (n == 0 || n >= MR_SCAN_NAME || s->depth == MR_SCAN_DEPTH || (s->depth == 0 && s->begun))
        return false;
    s->begun = true;
    s->cells += n == 1 && name[0] == 'c';
    s->rows += n == 3 && memcmp(name, "row", 3) == 0;
    if (empty)
        return true;
    s->open[s->depth].n = n;
    memcpy(s->open[s->depth++].name, name, n);
    return true;
}

static bool close_element(struct mr_sheet_scan *s, const char *name, size_t n) {
    if (s->depth == 0 || s->open[s->depth - 1].n != n || memcmp(s->open[s->depth - 1].name, name, n) != 0)
        return false;
    s->depth--;
    return true;
}

/* A whole tag from '<' on: how many bytes, or 0 where it is not well-formed or not whole. */
static size_t take_tag(struct mr_sheet_scan *s, const char *p, size_t n) {
    const bool closing = n > 1 && p[1] == '/', declaration = n > 1 && p[1] == '?';
    const size_t name = 1 + (closing || declaration);
    size_t i = name;
    while (i < n && is_name(p[i]))
        i++;
    const size_t length = i - name;
    if (i == n || length == 0)
        return 0;
    if (closing)
        return p[i] == '>' && close_element(s, p + name, length) ? i + 1 : 0;
    if (p[i] != '>' && p[i] != '/') {
        const size_t more = attributes_length(p + i, n - i);
        if (more == 0)
            return 0;
        i += more;
    }
    const char end = p[i];
    i += end == '/' || end == '?';
    if (i >= n || p[i] != '>' || declaration != (end == '?') || (declaration && s->begun))
        return 0;
    if (declaration)
        return i + 1;
    return open_element(s, p + name, length, end == '/') ? i + 1 : 0;
}

static bool all_blank(const char *p, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (!is_blank(p[i]))
            return false;
    return true;
}

/* Tag by tag, each with the text that follows it up to the next '<'; the last one waits for what follows. */
ptrdiff_t mr_sheet_scan(struct mr_sheet_scan *scan, const char *data, size_t n, bool last) {
    size_t at = 0;
    if (!scan->begun && n && data[0] != '<')
        return -1;
    while (at < n) {
        const char *next = memchr(data + at + 1, '<', n - at - 1);
        if (!next && !last)
            break;
        const size_t end = next ? (size_t)(next - data) : n, tag = take_tag(scan, data + at, end - at);
        if (tag == 0)
            return -1;
        const char *text = data + at + tag;
        const size_t length = end - at - tag;
        if (scan->depth == 0 ? !all_blank(text, length) : !is_text(text, length))
            return -1;
        at = end;
    }
    return last && (scan->depth || !scan->begun) ? -1 : (ptrdiff_t)at;
}
