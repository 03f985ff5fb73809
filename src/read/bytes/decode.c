#include "read/bytes/decode.h"

#include "base/utf8.h"

#include <string.h>

/* Windows-1252, 80 to 9F. Source: the mapping table CP1252.TXT of the Unicode Consortium; 0 = no character. */
static const uint16_t high_1252[32] = {
    0x20AC, 0,      0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021, 0x02C6, 0x2030, 0x0160,
    0x2039, 0x0152, 0,      0x017D, 0,      0,      0x2018, 0x2019, 0x201C, 0x201D, 0x2022,
    0x2013, 0x2014, 0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0,      0x017E, 0x0178,
};

static size_t put_bad(struct mr_decoder *decoder, char *out) {
    decoder->bad++;
    out[0] = (char)0xff;
    return 1;
}

static size_t put(uint32_t code, char *out) {
    if (code < 0x80) {
        out[0] = (char)code;
        return 1;
    }
    size_t n = code < 0x800 ? 2 : code < 0x10000 ? 3 : 4;
    for (size_t i = n - 1; i > 0; i--) {
        out[i] = (char)(0x80 | (code & 0x3f));
        code >>= 6;
    }
    out[0] = (char)((0xf00U >> n) | code);
    return n;
}

static size_t decode_bytes(struct mr_decoder *decoder, const char *in, size_t n, char *out) {
    size_t used = 0;
    for (size_t i = 0; i < n; i++) {
        unsigned char c = (unsigned char)in[i];
        if (c < 0x80) {
            out[used++] = (char)c;
        } else {
            uint32_t code = c < 0xa0 && decoder->encoding == MR_ENC_CP1252 ? high_1252[c - 0x80] : c;
            used += code ? put(code, out + used) : put_bad(decoder, out + used);
        }
    }
    return used;
}

static uint32_t unit_at(const struct mr_decoder *decoder, size_t i) {
    const unsigned char *p = decoder->hold + i;
    return decoder->encoding == MR_ENC_UTF16LE ? (uint32_t)(p[0] | p[1] << 8) : (uint32_t)(p[0] << 8 | p[1]);
}

/* One or two held units, as far as they are whole. A lone surrogate is bad, and what follows it stands for itself. */
static size_t decode_held(struct mr_decoder *decoder, char *out) {
    if (decoder->held < 2)
        return 0;
    uint32_t first = unit_at(decoder, 0);
    size_t used = 0, taken = 2;
    if (first >= 0xd800 && first <= 0xdbff) {
        if (decoder->held < 4)
            return 0;
        uint32_t second = unit_at(decoder, 2);
        if (second >= 0xdc00 && second <= 0xdfff) {
            used = put(0x10000 + ((first - 0xd800) << 10) + (second - 0xdc00), out);
            taken = 4;
        } else {
            used = put_bad(decoder, out);
        }
    } else if (first >= 0xdc00 && first <= 0xdfff) {
        used = put_bad(decoder, out);
    } else {
        used = put(first, out);
    }
    decoder->held -= taken;
    memmove(decoder->hold, decoder->hold + taken, decoder->held);
    return used + decode_held(decoder, out + used);
}

size_t mr_decode(struct mr_decoder *decoder, const char *in, size_t n, char *out) {
    if (decoder->encoding == MR_ENC_CP1252 || decoder->encoding == MR_ENC_LATIN1)
        return decode_bytes(decoder, in, n, out);
    size_t used = 0;
    for (size_t i = 0; i < n; i++) {
        decoder->hold[decoder->held++] = (unsigned char)in[i];
        if (decoder->held % 2 == 0)
            used += decode_held(decoder, out + used);
    }
    return used;
}

size_t mr_decode_end(struct mr_decoder *decoder, char *out) {
    size_t used = decoder->held ? put_bad(decoder, out) : 0;
    decoder->held = 0;
    return used;
}

bool mr_decode_mend(const struct mr_row *row) {
    bool bad = false;
    for (size_t i = 0; i < row->n; i++) {
        const struct mr_cell *cell = &row->cell[i];
        size_t good = 0;
        while ((good += mr_utf8_valid_prefix(cell->p + good, cell->n - good)) < cell->n) {
            ((char *)(uintptr_t)cell->p)[good] = '?';
            bad = true;
        }
    }
    return bad;
}
