/*
 * meaning.h - what is known of each meaning and kind without looking at a file: words, dimensions, ranges.
 */
#ifndef MILRISE_NORMALISE_COLUMN_MEANING_H
#define MILRISE_NORMALISE_COLUMN_MEANING_H

#include "milrise/normalise.h"

/* A set of meanings, one bit each. */
__extension__ typedef unsigned __int128 mr_meanings;
#define MR_BIT(meaning) ((mr_meanings)1 << (unsigned)(meaning))

/** mr_meaning_find - a meaning by its word, letter case and blanks folded; false where there is none. */
bool mr_meaning_find(struct mr_arena *arena, const char *word, enum mr_meaning *out);
bool mr_kind_find(struct mr_arena *arena, const char *word, enum mr_kind *out);

/** mr_meaning_dim - dimension of a meaning. */
enum mr_dim mr_meaning_dim(enum mr_meaning meaning);

/** mr_unit_fits - as mr_unit_parse for a dimension; a volume may be a mass too, for drums are weighed. */
bool mr_unit_fits(const char *text, size_t n, enum mr_dim dim, enum mr_unit *out);

/** mr_unit_suffix - where the unit at the end of folded words begins: "dft um" -> 3; "area m 2" -> 4; 0 = none. */
size_t mr_unit_suffix(const char *words, enum mr_dim dim, enum mr_unit *out);

/** mr_is_channel - meanings that carry a log's values. */
bool mr_is_channel(enum mr_meaning meaning);

/** mr_is_row_time - meanings that tell the time of a row. */
bool mr_is_row_time(enum mr_meaning meaning);

/** mr_is_day_of_row - whether a heading of a day is of the row itself: "Datum" beside "Date". A day of delivery or of
 *  entry is another thing. words: folded. */
bool mr_is_day_of_row(const char *words);

/** mr_is_time - meanings that hold a moment or a part of one: of the row, of a start or stop, of a shelf date. */
bool mr_is_time(enum mr_meaning meaning);

/** mr_is_log - climate, temperature, pressure. */
bool mr_is_log(enum mr_kind kind);

/** mr_is_film_kind - rows are plain readings of film: dry, wet, or on base metal. */
bool mr_is_film_kind(enum mr_kind kind);

/** mr_physical_range - what a channel or film reading can show, canonical. */
void mr_physical_range(const struct mr_settings *settings, enum mr_meaning meaning, double *least, double *most);

#endif
