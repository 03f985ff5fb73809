/*
 * test_sheet_scan.c - what the read-back of a sheet takes for whole. XML 1.0 (fifth edition), sections in brackets.
 */
#include "render/sheet/sheet_scan.h"

#include "milrise/base.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define HEAD "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n"

/* In pieces of `piece` bytes, as a zip hands them out; the rest comes again with the next. */
static bool whole(const char *xml, size_t n, size_t piece, struct mr_sheet_scan *scan) {
    char *buffer = malloc(n + 1);
    size_t left = 0;
    bool good = true;
    *scan = (struct mr_sheet_scan){0};
    for (size_t at = 0; good && at < n;) {
        const size_t take = piece < n - at ? piece : n - at;
        memcpy(buffer + left, xml + at, take);
        const ptrdiff_t used = mr_sheet_scan(scan, buffer, left + take, false);
        good = used >= 0;
        if (!good)
            break;
        left = left + take - (size_t)used;
        memmove(buffer, buffer + used, left);
        at += take;
    }
    good = good && mr_sheet_scan(scan, buffer, left, true) == (ptrdiff_t)left;
    free(buffer);
    return good;
}

Test(sheet_scan, counts_rows_and_cells_whatever_the_pieces) {
    static const char xml[] =
        HEAD "<worksheet xmlns:r=\"http://example.org/r\"><sheetData>"
             "<row r=\"1\" spans=\"1:3\"><c r=\"A1\" s=\"3\" t=\"inlineStr\"><is><t>8 &amp; µm &#10; "
             "&lt;</t></is></c><c r=\"B1\" s=\"2\"/></row>\n<row r=\"2\"/><row r=\"3\"><c r=\"A3\"><f>A1&gt;"
             "B1</f><v>1.5</v></c></row></sheetData><col min=\"1\"/></worksheet>\n";
    for (size_t piece = 1; piece < sizeof xml; piece++) {
        struct mr_sheet_scan scan;
        cr_assert(whole(xml, sizeof xml - 1, piece, &scan), "pieces of %zu", piece);
        cr_assert_eq(scan.rows, 3);
        cr_assert_eq(scan.cells, 3);
    }
}

Test(sheet_scan, damage_is_noticed) {
    static const char *const bad[] = {
        "",
        "x",
        HEAD,
        "<a>",                 /* cut short [2.1] */
        "<a></b>",             /* element type match [3] */
        "<a/><b/>",            /* one outermost element [2.1] */
        "<a></a>x",            /* text outside it */
        "<a><b></a></b>",      /* nesting */
        "<a x=1/>",            /* attribute without quotes [3.1] */
        "<a x=\"1\"y=\"2\"/>", /* no blank between attributes */
        "<a x=\"1/>",          /* quote left open */
        "<a>&</a>",            /* bare ampersand [4.1] */
        "<a>&amp</a>",         /* reference without its end */
        "<a>&nbsp;</a>",       /* a reference that nothing declares */
        "<a>\x01</a>",         /* no character [2.2] */
        "<a>\xff\xfe</a>",     /* not UTF-8 */
        "<a>\xc3</a>",         /* half a character */
        "<a x=\"\x02\"/>",
        "<a",
        "<a></a",
        "<a><?xml version=\"1.0\"?></a>", /* declaration inside [2.8] */
        "<a>]]<b</a>",
    };
    for (size_t i = 0; i < MR_COUNT(bad); i++)
        for (size_t piece = 1; piece < 8; piece++) {
            struct mr_sheet_scan scan;
            cr_assert_not(whole(bad[i], strlen(bad[i]), piece, &scan), "taken for whole: %s", bad[i]);
        }
}

/* Whatever is cut out of a sheet's middle, counts or nesting tell. */
Test(sheet_scan, a_stretch_that_is_lost_is_noticed) {
    char xml[8192] = HEAD "<worksheet><sheetData>";
    for (int row = 1; row <= 60; row++) {
        char line[128];
        snprintf(line, sizeof line, "<row r=\"%d\"><c r=\"A%d\"><v>%d.5</v></c><c r=\"B%d\"><v>7</v></c></row>", row,
                 row, row, row);
        strcat(xml, line);
    }
    strcat(xml, "</sheetData></worksheet>");
    const size_t n = strlen(xml);
    for (size_t at = 0; at + 512 < n; at += 7) {
        char cut[8192];
        struct mr_sheet_scan scan;
        memcpy(cut, xml, at);
        memcpy(cut + at, xml + at + 512, n - at - 512);
        cr_assert(!whole(cut, n - 512, 4096, &scan) || scan.rows != 60 || scan.cells != 120, "cut at %zu", at);
    }
}
