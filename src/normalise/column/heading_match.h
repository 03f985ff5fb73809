/*
 * heading_match.h - one heading against the words of a map.
 */
#ifndef MILRISE_NORMALISE_COLUMN_HEADING_MATCH_H
#define MILRISE_NORMALISE_COLUMN_HEADING_MATCH_H

#include "normalise/column/plan.h"

/* What a heading is looked at with. */
struct mr_heading_case {
    struct mr_arena *arena;
    const struct mr_map *map, *climate;
    const struct mr_head *head;
    const struct mr_shape *shape;
};

/* The word of a map that fits best. */
struct mr_best_word {
    int score; /* 0 = none fits */
    enum mr_meaning meaning;
    enum mr_unit unit; /* from the end of the header, or of the word itself */
    bool by_word;      /* the latter */
    const char *pattern;
    const char *refused; /* the word that refused a meaning of a sensor; NULL */
};

/** mr_best_word - of all words of the map; *out_words: the heading, folded. */
struct mr_best_word mr_best_word(const struct mr_heading_case *heading, const char **out_words);

/** mr_known_by_unit - a column of numbers in degrees is a temperature, whatever the clerk called the probe. */
bool mr_known_by_unit(const struct mr_heading_case *heading, const char *words);

/** mr_word_covers - whether a word of a map is the whole heading. */
bool mr_word_covers(const struct mr_map_word *word, const char *words);

/** mr_film_words - whether words, a unit at their end apart, are a map's for the film, or are nothing but a unit. */
bool mr_film_words(const struct mr_map *map, const char *words);

/** mr_generic_word - a word such as "reading" that many kinds share. */
bool mr_generic_word(const char *words);

#endif
