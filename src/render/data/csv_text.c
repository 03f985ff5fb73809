/*
 * csv_text.c - see csv_text.h.
 */
#include "render/data/csv_text.h"

#include <string.h>

void mr_csv_cell(struct mr_buffer *out, const char *cell) {
    const bool quoted = strpbrk(cell, ",;\"\r\n\t") != NULL, formula = *cell && strchr("=+-@\t\r", *cell);
    mr_buffer_text(out, quoted ? "\"" : "");
    mr_buffer_text(out, formula ? "'" : "");
    for (; *cell; cell++) {
        mr_buffer_add(out, cell, 1);
        if (*cell == '"')
            mr_buffer_text(out, "\"");
    }
    mr_buffer_text(out, quoted ? "\"" : "");
}
