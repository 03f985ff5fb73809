/*
 * register_words.h - the names and aliases of the zone registers, as folded words. Private to libmilrise.
 */
#ifndef MR_REGISTER_WORDS_H
#define MR_REGISTER_WORDS_H

#include "normalise/row/file_state.h"

struct mr_zone_words {
    const char *words; /* of its name or one alias, folded */
    const char *zone;  /* its name */
};

struct mr_register_words {
    MR_VEC(struct mr_zone_words) v;
    size_t zones;
};

/** mr_register_words - of all registers among n files. */
struct mr_register_words mr_register_words(struct mr_arena *arena, const struct mr_file_state *files, size_t n);

/** mr_words_without - the words without those of a name that stands among them; NULL where it does not. */
const char *mr_words_without(struct mr_arena *arena, const char *words, const char *name);

/** mr_number_behind - a number of one or two digits that stands behind the name in the words and belongs to no date:
 * "Deck 2" may be another place than "Deck"; NULL. */
const char *mr_number_behind(const char *words, const char *name);

#endif
