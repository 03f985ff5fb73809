/*
 * tree.h - a folder as one number: names, kinds, where links lead, bytes.
 */
#ifndef MILRISE_TESTS_TORTURE_TREE_H
#define MILRISE_TESTS_TORTURE_TREE_H

#include <stdbool.h>
#include <stdint.h>

/** tree_digest - of all below a folder, whose own name does not count. skip: names whose folder or file is left out;
 * bare: names whose bytes are left out; both end in NULL, and *
 * at the end of a name stands for any rest. Numbers in names that begin with a dot (of processes) do not
 * count. */
uint64_t tree_digest(const char *folder, const char *const *skip, const char *const *bare);

/** tree_copy - folders, files with their times, links. Returns: false where not all of it was copied. tree_remove - a
 * folder and all below it, if it is there. */
bool tree_copy(const char *from, const char *to);
void tree_remove(const char *folder);

#endif
