/*
 * decode.h - UTF-16, Windows-1252 and Latin-1 into UTF-8, as a stream of chunks of any size.
 *
 * Written by hand although iconv is at hand: it stops at each bad byte, its state is opaque, and the tables are three
 * lines. What is no character becomes the byte FF, which no UTF-8 text holds, so that the row it stands in can be
 * told. Byte-order marks pass through; whoever splits lines drops them at the start of any line, for joined exports
 * have them in mid-file too.
 */
#ifndef MILRISE_READ_DECODE_H
#define MILRISE_READ_DECODE_H

#include "milrise/read.h"

/* Zeroed but for encoding is the start. */
struct mr_decoder {
    enum mr_encoding encoding;
    unsigned char hold[4]; /* bytes of a character that is not whole yet */
    size_t held;
    uint64_t bad; /* characters that could not be told */
};

#define MR_DECODED_MAX(n) (3 * (n) + 16) /* room for n bytes decoded */

/** mr_decode - n bytes, none of which are UTF-8, into out. Returns: bytes written. */
size_t mr_decode(struct mr_decoder *decoder, const char *in, size_t n, char *out);

/** mr_decode_end - what an unfinished last character leaves. Returns: bytes written. */
size_t mr_decode_end(struct mr_decoder *decoder, char *out);

/** mr_decode_mend - bytes that are no text become question marks: cells are UTF-8, always. The cells lie in buffers
 * of the pass that reads them, so they are changed in place. Returns: whether there were any. */
bool mr_decode_mend(const struct mr_row *row);

#endif
