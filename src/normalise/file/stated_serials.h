/*
 * stated_serials.h - an [instrument] section is one device: what its exports state as their serial must be its own.
 */
#ifndef MILRISE_NORMALISE_FILE_STATED_SERIALS_H
#define MILRISE_NORMALISE_FILE_STATED_SERIALS_H

#include "normalise/row/file_state.h"

/** mr_hold_serials - logs that a section takes by the pattern of their names: one that states another serial than the
 *  section does, or than another export of the section, is set aside with a question. Where the section's name or
 *  serial is that of some of them, only the others are. */
void mr_hold_serials(struct mr_file_state *files, size_t n);

#endif
