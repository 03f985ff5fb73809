#include "read/bytes/encoding.h"

#include "base/utf8.h"

#include <string.h>

const char *mr_encoding_text(enum mr_encoding encoding) {
    static const char *const texts[] = {
        [MR_ENC_UTF8] = "UTF-8",          [MR_ENC_UTF16LE] = "UTF-16LE", [MR_ENC_UTF16BE] = "UTF-16BE",
        [MR_ENC_CP1252] = "Windows-1252", [MR_ENC_LATIN1] = "Latin-1",   [MR_ENC_BINARY] = "binary",
    };
    return texts[encoding];
}

static void count_head(struct mr_byte_counts *counts, const char *p, size_t n) {
    for (size_t i = 0; i < n && counts->n + i < MR_HEAD_BYTES; i++) {
        unsigned char c = (unsigned char)p[i];
        if (c == 0 && (counts->n + i) % 2 == 0)
            counts->nul_even++;
        else if (c == 0)
            counts->nul_odd++;
        else if (c < 0x20 && !(c >= 9 && c <= 13) && c != 0x1a && c != 0x1b)
            counts->controls++;
    }
}

static bool undefined_1252(unsigned char c) {
    return c == 0x81 || c == 0x8d || c == 0x8f || c == 0x90 || c == 0x9d;
}

/* How many bytes a character that starts with c takes, as far as its first byte tells. */
static size_t expected(unsigned char c) {
    return c >= 0xf0 && c <= 0xf4 ? 4 : c >= 0xe0 && c < 0xf0 ? 3 : c >= 0xc2 && c < 0xe0 ? 2 : 1;
}

/* Bytes from the first one above ASCII on: returns how many were used. */
static size_t count_high(struct mr_byte_counts *counts, const char *p, size_t n) {
    size_t len = mr_utf8_length(p, n);
    if (len > 1) {
        counts->utf8_good++;
        return len;
    }
    if (n < expected((unsigned char)*p)) { /* may become whole with the next chunk */
        memcpy(counts->hold, p, n);
        counts->held = n;
        return n;
    }
    counts->utf8_bad++;
    return 1;
}

/* The held start of a character with the bytes that follow it. Returns how many bytes of p were used. */
static size_t count_held(struct mr_byte_counts *counts, const char *p, size_t n) {
    char joined[8];
    size_t held = counts->held, more = n < 4 ? n : 4;
    memcpy(joined, counts->hold, held);
    memcpy(joined + held, p, more);
    counts->held = 0;
    size_t at = 0;
    while (at < held) {
        size_t used = (unsigned char)joined[at] < 0x80 ? 1 : count_high(counts, joined + at, held + more - at);
        if (counts->held) /* still not whole: all of p is in it */
            return more;
        at += used;
    }
    return at - held;
}

void mr_count_bytes(struct mr_byte_counts *counts, const char *p, size_t n) {
    size_t i = counts->held && n ? count_held(counts, p, n) : 0;
    bool high = i > 0;
    if (counts->n < MR_HEAD_BYTES)
        count_head(counts, p, n);
    while (i < n) {
        uint64_t word;
        while (i + 8 <= n && (memcpy(&word, p + i, 8), !(word & 0x8080808080808080ULL)))
            i += 8;
        if (i >= n)
            break;
        if ((unsigned char)p[i] < 0x80) {
            i++;
            continue;
        }
        high = true;
        i += count_high(counts, p + i, n - i);
    }
    for (size_t k = 0; high && k < n; k++)
        counts->undefined_1252 += undefined_1252((unsigned char)p[k]);
    counts->n += n;
}

static const struct {
    const char *magic;
    size_t n;
    const char *what;
} magics[] = {
    {"PK\3\4", 4, "a ZIP archive or an .xlsx workbook"},
    {"\xD0\xCF\x11\xE0", 4, "an old workbook or document of an office suite"},
    {"%PDF-", 5, "a PDF document"},
    {"\x89PNG", 4, "a PNG picture"},
    {"\xFF\xD8\xFF", 3, "a JPEG picture"},
    {"GIF8", 4, "a GIF picture"},
    {"\x1F\x8B", 2, "a gzip archive"},
    {"7z\xBC\xAF", 4, "a 7z archive"},
    {"SQLite format 3", 16, "an SQLite database"},
    {"\x7F"
     "ELF",
     4, "a program"},
    {"{\\rtf", 5, "a rich text document"},
};

static bool is_known_binary(const char *head, size_t head_n, struct mr_arena *arena, struct mr_source *out) {
    for (size_t i = 0; i < MR_COUNT(magics); i++)
        if (head_n >= magics[i].n && memcmp(head, magics[i].magic, magics[i].n) == 0) {
            out->encoding_why = mr_printf(arena, "its first bytes are those of %s", magics[i].what);
            return true;
        }
    return false;
}

static bool is_binary(const struct mr_byte_counts *counts, struct mr_arena *arena, struct mr_source *out) {
    uint64_t seen = counts->n < MR_HEAD_BYTES ? counts->n : MR_HEAD_BYTES;
    uint64_t nuls = counts->nul_even + counts->nul_odd;
    if (nuls > seen / 4 || counts->controls > seen / 50) {
        out->encoding_why =
            mr_printf(arena, "%llu NULs and %llu other control characters in its first %llu bytes",
                      (unsigned long long)nuls, (unsigned long long)counts->controls, (unsigned long long)seen);
        return true;
    }
    return false;
}

static bool starts(const char *head, size_t n, const char *with, size_t with_n) {
    return n >= with_n && memcmp(head, with, with_n) == 0;
}

static bool tell_by_nuls(const struct mr_byte_counts *counts, struct mr_arena *arena, struct mr_source *out) {
    uint64_t seen = counts->n < MR_HEAD_BYTES ? counts->n : MR_HEAD_BYTES, half = seen / 2;
    uint64_t low = counts->nul_odd, high = counts->nul_even; /* little-endian text has its NULs at odd places */
    if (seen < 4 || counts->controls > seen / 50)
        return false;
    if (low > half / 4 && high <= low / 10)
        out->encoding = MR_ENC_UTF16LE;
    else if (high > half / 4 && low <= high / 10)
        out->encoding = MR_ENC_UTF16BE;
    else
        return false;
    out->encoding_why = mr_printf(arena, "no byte-order mark, but NULs at %llu of %llu %s places",
                                  (unsigned long long)(low > high ? low : high), (unsigned long long)half,
                                  low > high ? "odd" : "even");
    return true;
}

static void tell_by_characters(const struct mr_byte_counts *counts, struct mr_arena *arena, struct mr_source *out) {
    unsigned long long good = counts->utf8_good, bad = counts->utf8_bad + (counts->held ? 1 : 0);
    out->encoding = MR_ENC_UTF8;
    if (!good && !bad) {
        out->encoding_why = "only ASCII characters";
    } else if (!bad) {
        out->encoding_why = mr_printf(arena, "%llu characters above ASCII, all well-formed UTF-8", good);
    } else if (good > bad) {
        out->encoding_why = mr_printf(arena, "%llu well-formed UTF-8 characters against %llu bad bytes", good, bad);
    } else {
        out->encoding = MR_ENC_CP1252;
        out->encoding_why =
            mr_printf(arena, "%llu bytes above ASCII that are not UTF-8%s", bad,
                      counts->undefined_1252 ? "; some have no character in Windows-1252 either" : "");
    }
    out->bad_bytes = out->encoding == MR_ENC_UTF8 ? bad : counts->undefined_1252;
}

static bool tell_by_statement(const char *stated, struct mr_source *out) {
    static const struct {
        const char *word;
        enum mr_encoding encoding;
    } words[] = {{"utf-8", MR_ENC_UTF8},
                 {"utf-16le", MR_ENC_UTF16LE},
                 {"utf-16be", MR_ENC_UTF16BE},
                 {"windows-1252", MR_ENC_CP1252},
                 {"latin-1", MR_ENC_LATIN1}};
    for (size_t i = 0; i < MR_COUNT(words); i++)
        if (strcmp(stated, words[i].word) == 0) {
            out->encoding = words[i].encoding;
            out->encoding_why = "stated in the job file";
            return true;
        }
    return false;
}

void mr_encoding_tell(struct mr_arena *arena, const struct mr_byte_counts *counts, const char *head, size_t head_n,
                      const char *stated, struct mr_source *out) {
    static const char utf8[] = "\xEF\xBB\xBF", le[] = "\xFF\xFE", be[] = "\xFE\xFF";
    bool mark8 = starts(head, head_n, utf8, 3), mark_le = starts(head, head_n, le, 2);
    bool mark_be = starts(head, head_n, be, 2);
    out->bom = mark8 || mark_le || mark_be;
    if (tell_by_statement(stated, out)) {
        out->bad_bytes = out->encoding == MR_ENC_UTF8 ? counts->utf8_bad + (counts->held ? 1 : 0) : 0;
        return;
    }
    if (mark_le || mark_be) {
        out->encoding = mark_le ? MR_ENC_UTF16LE : MR_ENC_UTF16BE;
        out->encoding_why = "byte-order mark";
    } else if (is_known_binary(head, head_n, arena, out)) {
        out->encoding = MR_ENC_BINARY;
    } else if (tell_by_nuls(counts, arena, out)) {
        return;
    } else if (is_binary(counts, arena, out)) {
        out->encoding = MR_ENC_BINARY;
    } else if (mark8) {
        out->encoding = MR_ENC_UTF8;
        out->encoding_why = "byte-order mark";
        out->bad_bytes = counts->utf8_bad + (counts->held ? 1 : 0);
    } else {
        tell_by_characters(counts, arena, out);
    }
}
