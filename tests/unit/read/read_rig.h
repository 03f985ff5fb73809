/*
 * read_rig.h - a text through the reader, written down in one compact string that a table of cases can hold.
 *
 * First the shape: encoding, delimiter (t = tab, 0 = none), decimal mark (- = not settled), line ends, lines of
 * header, units and body, columns. Then one line for each record: p, h, b, _, o or x (preamble, header, body, blank,
 * other table, broken) with its physical lines, what broke it, and its cells, quoted ones in quotes.
 */
#ifndef TEST_READ_RIG_H
#define TEST_READ_RIG_H

#include "milrise/read.h"

#include <stddef.h>

/** rig_read - chunk: bytes per read. job may be NULL. The text lives in arena. */
char *rig_read(struct mr_arena *arena, const struct mr_job *job, const char *data, size_t n, size_t chunk,
               struct mr_diags *diags);

/** rig_source - as rig_read for a source that is described already. */
char *rig_source(struct mr_arena *arena, const struct mr_source *source, size_t chunk);

/** rig_encode - UTF-8 text in another encoding, with a byte-order mark where asked. Text must fit the encoding. */
char *rig_encode(struct mr_arena *arena, const char *text, size_t n, enum mr_encoding encoding, bool bom,
                 size_t *out_n);

#endif
