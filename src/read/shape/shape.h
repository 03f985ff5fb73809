/*
 * shape.h - delimiter, preamble, header, units and decimal mark of a file, from its head.
 */
#ifndef MILRISE_READ_SHAPE_H
#define MILRISE_READ_SHAPE_H

#include "milrise/read.h"

/** mr_shape_tell - text: the decoded head of the file, UTF-8, cut at a line end unless it is all of it; source->rule
 * is set. Sets delimiter, decimal, header_line, units_line, first_body_line, columns, preamble and last_decimals. */
void mr_shape_tell(struct mr_arena *arena, struct mr_arena *scratch, const char *text, size_t n,
                   struct mr_source *source);

#endif
