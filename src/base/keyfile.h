/*
 * keyfile.h - text in sections of `key = value`, each with its place. Serves job files, column maps and rule sets.
 *
 *   # comment line            [section]   [section "argument"]   key = value   key = "quoted, to keep blanks"
 *
 * UTF-8 with or without byte-order mark, LF or CRLF. Sections may repeat. All errors are collected. Keys and section
 * names are folded to lower case with single blanks; arguments and values keep their case. A value runs to the end of
 * its line; nothing after it is a comment.
 */
#ifndef MILRISE_BASE_KEYFILE_H
#define MILRISE_BASE_KEYFILE_H

#include "milrise/arena.h"
#include "milrise/diag.h"

struct mr_key {
    const char *key, *value;
    const char *raw_key;         /* key with its case */
    struct mr_place place;       /* of the key */
    struct mr_place value_place; /* of the value's first character */
};

struct mr_key_section {
    const char *name, *argument; /* argument "" where none */
    struct mr_place place;
    MR_VEC(struct mr_key) keys;
};

struct mr_keyfile {
    MR_VEC(struct mr_key_section) sections; /* [0] holds keys before the first section header, name "" */
};

/** mr_keyfile_parse - text of n bytes, named file in places. Returns: MR_OK; MR_E_SYNTAX with every error in diags
 * (out then holds what could be read). */
enum mr_status mr_keyfile_parse(struct mr_arena *arena, const char *file, const char *text, size_t n,
                                struct mr_diags *diags, struct mr_keyfile *out) MR_MUST_USE;

/** mr_key_find - the last key of that folded name in a section, or NULL. */
const struct mr_key *mr_key_find(const struct mr_key_section *section, const char *key);

/** mr_nearest - the candidate nearest in spelling to word (edit distance at most a third of its length), or NULL. */
const char *mr_nearest(const char *word, const char *const *candidates, size_t n);

/** mr_fold - lower case (ASCII and Latin letters of UTF-8 by table), blanks, '_' and '-' made single blanks, ends
 * trimmed. */
char *mr_fold(struct mr_arena *arena, const char *text, size_t n);

/** mr_unaccent - Latin letters without their accents, letter case kept: "TEMPÉRATURE" is "TEMPERATURE", "łódź"
 * "lodz"; the Greek delta of differences becomes the word. */
char *mr_unaccent(struct mr_arena *arena, const char *text, size_t n);

#endif
