/*
 * text_set.h - texts looked up by what they say, however many there are: open addressing, only looked up, never
 * walked.
 */
#ifndef MILRISE_BASE_TEXT_SET_H
#define MILRISE_BASE_TEXT_SET_H

#include "milrise/arena.h"

struct mr_text_entry {
    const char *text; /* NULL: free */
    size_t at;        /* the user's own */
};

struct mr_text_set {
    struct mr_arena *arena; /* of the table; texts are borrowed */
    struct mr_text_entry *slot;
    size_t n, cap;
};

/** mr_text_entry - the entry of a text of n bytes without NUL. Its text is NULL where it is new: the caller sets it,
 * to one that lives as long as the set. Valid until the next call. */
struct mr_text_entry *mr_text_entry(struct mr_text_set *set, const char *text, size_t n);

#endif
