#include "base/utf8.h"

#include <stdint.h>

size_t mr_utf8_length(const char *text, size_t n) {
    const unsigned char *p = (const unsigned char *)text;
    if (n == 0)
        return 0;
    if (p[0] < 0x80)
        return 1;
    size_t len = p[0] >= 0xf0 ? 4 : p[0] >= 0xe0 ? 3 : 2;
    if (p[0] < 0xc2 || p[0] > 0xf4 || n < len)
        return 0;
    uint32_t code = p[0] & (0x7fU >> len);
    for (size_t i = 1; i < len; i++) {
        if ((p[i] & 0xc0) != 0x80)
            return 0;
        code = code << 6 | (p[i] & 0x3fU);
    }
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
    if (code < least[len] || (code >= 0xd800 && code <= 0xdfff) || code > 0x10ffff)
        return 0;
    return len;
}

size_t mr_utf8_valid_prefix(const char *text, size_t n) {
    size_t i = 0;
    while (i < n) {
        size_t len = mr_utf8_length(text + i, n - i);
        if (!len)
            break;
        i += len;
    }
    return i;
}

size_t mr_utf8_characters(const char *text, size_t n) {
    size_t seen = 0;
    for (size_t i = 0; i < n; i++)
        seen += ((unsigned char)text[i] & 0xc0) != 0x80;
    return seen;
}
