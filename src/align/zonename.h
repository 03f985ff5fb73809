/*
 * zonename.h - when do two ways of writing a zone mean the same one.
 *
 * Case, blanks and punctuation do not matter, nor leading zeros: "Deck-01" is "deck 1". A sign between two figures
 * does: "1-1" is not "11". Nothing else is folded; a misspelt name is another name.
 */
#ifndef MILRISE_ALIGN_ZONENAME_H
#define MILRISE_ALIGN_ZONENAME_H

#include "milrise/arena.h"

#include "milrise/align.h"

#define MR_ZONE_KEY_MAX 512 /* bytes of a key with its end; longer names are told apart by what fits */

/** mr_zone_key - the folded form. Returns its length; 0 where the name holds no letter or figure. */
size_t mr_zone_key(const char *text, char out[MR_ZONE_KEY_MAX]);

/** mr_name_next - one name from a list, trimmed, into out (size of a key); separators are single characters. NULL at
 * the end, else where to go on. mr_alias_next - the same for the register's aliases: ';', '|' or '/'. */
const char *mr_name_next(const char *list, const char *separators, char out[MR_ZONE_KEY_MAX]);
const char *mr_alias_next(const char *list, char out[MR_ZONE_KEY_MAX]);

/* A name that others may be slips of the pen for. */
struct mr_zone_candidate {
    const char *name, *key, *figures;
};
typedef MR_VEC(struct mr_zone_candidate) mr_zone_candidates;

void mr_zone_candidate_add(struct mr_arena *arena, mr_zone_candidates *list, const char *name);

/** mr_zone_near - the name that text may be a slip of the pen for: near in spelling, with the same figures; or NULL.
 *  room: space for list->n texts. */
const char *mr_zone_near(const char *text, const mr_zone_candidates *list, const char **room);

/* Texts and the number each stands for: an open-addressed table, used for look-ups only. */
struct mr_names {
    const char **text;
    size_t *value;
    size_t n, room; /* room is 0 or a power of two */
};

/** mr_names_get - the number of a text, or MR_NONE. */
size_t mr_names_get(const struct mr_names *names, const char *text);

/** mr_names_put - set it; text is copied where new. */
void mr_names_put(struct mr_arena *arena, struct mr_names *names, const char *text, size_t value);

#endif
