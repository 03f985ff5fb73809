/*
 * column_map.h - the words by which kinds of files and their columns are known: the maps in templates/columns and
 * in the job's own folder columns. Adding an instrument's words takes a text file and no code.
 */
#ifndef MILRISE_NORMALISE_COLUMN_COLUMN_MAP_H
#define MILRISE_NORMALISE_COLUMN_COLUMN_MAP_H

#include "normalise/cell/words.h"
#include "normalise/column/meaning.h"

struct mr_map_word {
    enum mr_meaning meaning;
    const char *words; /* folded by mr_words_fold */
    bool own;          /* from the job */
    bool whole;        /* written =words in the map: only as a whole header */
    enum mr_unit unit; /* written "words [unit]" in the map: what the word itself says, as tmpf says °F */
};

struct mr_word_list { /* action words, yes and no, channel words */
    const char *name; /* folded */
    MR_VEC(const char *) words;
};

struct mr_map {
    enum mr_kind kind;
    MR_VEC(struct mr_map_word) words;
    MR_VEC(mr_meanings) needs; /* any one of these sets */
    mr_meanings helps, not_with;
    MR_VEC(const char *) file_words, needs_words, ignore;
    MR_VEC(const char *)
    never_words; /* a column of numbers with one of them in its heading speaks against the kind */
    MR_VEC(struct mr_word_list) lists; /* other sections, "actions.spray", "words.yes", "channels.line a" */
};

struct mr_maps {
    struct mr_map map[MR_KIND_COUNT]; /* by kind */
    MR_VEC(const char *) names;       /* maps of the job, for messages */
};

/** mr_maps_load - the built-in maps and the job's own; `only` names a map of the job whose kind then is *only_kind
 * ("" = none, MR_KIND_UNKNOWN). Words of the job's maps come first. Mistakes in a map are diagnostics; the rest of it
 * holds. */
void mr_maps_load(struct mr_arena *arena, const struct mr_job *job, struct mr_diags *diags, struct mr_maps *out);

/** mr_normalise_with - as mr_normalise (normalise.h), with maps that were loaded before and outlive *out: for
 * fuzzing, where loading them anew for each small input would take most of the time. */
enum mr_status mr_normalise_with(struct mr_arena *arena, const struct mr_maps *maps, const struct mr_sources *sources,
                                 struct mr_diags *diags, const struct mr_data **out) MR_MUST_USE;

/** mr_maps_kind - the kind of a job's map by its name (columns/NAME.map), MR_KIND_UNKNOWN where there is none. */
enum mr_kind mr_maps_kind(struct mr_arena *arena, const struct mr_job *job, const char *name);

/** mr_map_list - a word list of a map by its name, e.g. "words.yes"; NULL where absent. */
const struct mr_word_list *mr_map_list(const struct mr_map *map, const char *name);

/** mr_list_holds - whether one of the list's patterns equals (whole) or stands in (not whole) the folded words. */
bool mr_list_holds(const struct mr_word_list *list, const char *words, bool whole);

#endif
