/*
 * doubtful_channels.h - columns of a hygrometer's log that speak of a place: "RH office", "Steel temp Deck".
 */
#ifndef MILRISE_NORMALISE_FILE_DOUBTFUL_CHANNELS_H
#define MILRISE_NORMALISE_FILE_DOUBTFUL_CHANNELS_H

#include "normalise/row/file_state.h"

/** mr_ask_doubtful_channels - climate columns whose heading has a word that nobody knows leave the log with a
 *  question: they may have stood in an office. A heading that names a zone of the register places its column there.
 *  What the job names or assigns stands. n: files; every file has been read. */
void mr_ask_doubtful_channels(struct mr_file_state *files, size_t n);

#endif
