/*
 * sheet_scan.h - the XML of a worksheet read back: well-formed or not, and how many rows and cells it holds.
 *
 * A library's parser needs a seventh of a large report's time for this. The library that writes sheets uses a small
 * part of XML: elements, attributes in double quotes, references and one declaration at the start; whatever else
 * comes is not its work and counts as damage. Nesting, attributes, references and every character are checked as in
 * XML 1.0, sections 2.2 to 2.4, 3.1 and 4.1.
 */
#ifndef MILRISE_RENDER_BOOK_SHEET_SCAN_H
#define MILRISE_RENDER_BOOK_SHEET_SCAN_H

#include <stdbool.h>
#include <stddef.h>

enum { MR_SCAN_DEPTH = 16, MR_SCAN_NAME = 32 };

struct mr_sheet_scan { /* all zero at the start */
    size_t rows, cells;
    bool begun; /* the outermost element has been seen */
    size_t depth;
    struct {
        size_t n;
        char name[MR_SCAN_NAME];
    } open[MR_SCAN_DEPTH];
};

/** mr_sheet_scan - the next bytes of a part.
 *
 *  data, n  what the last call left over, and what follows it
 *  last     nothing follows
 *  Returns: how many bytes were used, the rest to be handed in again before what follows; -1 where they are not
 *  well-formed. With `last`, n where the part is whole, else -1. */
ptrdiff_t mr_sheet_scan(struct mr_sheet_scan *scan, const char *data, size_t n, bool last);

#endif
