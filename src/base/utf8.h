/*
 * utf8.h - the few questions about UTF-8 that every stage asks.
 */
#ifndef MILRISE_BASE_UTF8_H
#define MILRISE_BASE_UTF8_H

#include <stddef.h>

/** mr_utf8_length - bytes of the well-formed character at text (1 to 4), or 0 where none stands there.
 *  Follows RFC 3629: no overlong forms, no surrogates, nothing above U+10FFFF. */
size_t mr_utf8_length(const char *text, size_t n);

/** mr_utf8_valid_prefix - how many leading bytes of text are well-formed UTF-8. */
size_t mr_utf8_valid_prefix(const char *text, size_t n);

/** mr_utf8_characters - characters of well-formed text, for columns of letters that are equally wide. */
size_t mr_utf8_characters(const char *text, size_t n);

#endif
