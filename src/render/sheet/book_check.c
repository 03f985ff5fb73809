/*
 * book_check.c - reads a finished workbook back: the zip's directory, every part's checksum, that every part is
 * well-formed XML or a whole PNG, and that each sheet holds the rows, cells and pictures that it was given. Needed
 * because the writing library does not look at what its temporary files return: with a full disk it delivers a valid
 * zip of truncated or empty sheets and says that all is well.
 */
#include "render/sheet/book.h"

#include "base/text.h"
#include "render/sheet/sheet_scan.h"

#include <expat.h>
#include <minizip/unzip.h>
#include <string.h>

/* The longest cell: 32,767 characters, each written as a reference. */
enum { NAME_BYTES = 512, PIECE_BYTES = 1 << 16, LEFT_BYTES = 1 << 19 };

static bool ends_with(const char *text, const char *end) {
    const size_t n = strlen(text), m = strlen(end);
    return n >= m && strcmp(text + n - m, end) == 0;
}

/* What the XML of one part holds. */
struct part_counts {
    size_t rows, cells, pictures;
    struct mr_arena *arena;
    MR_VEC(const char *) names; /* of the workbook's sheets, in order */
};

struct part_reader {
    struct mr_arena *arena;
    unzFile zip;
    char *buffer; /* LEFT_BYTES for what a piece left over, PIECE_BYTES for the next */
};

/* How the bytes of one part are looked at; neither: a picture. */
struct part_look {
    XML_Parser parser;
    struct mr_sheet_scan *sheet;
    size_t left; /* bytes that the sheet's scan has not used yet */
};

static void count_element(void *ctx, const XML_Char *name, const XML_Char **attributes) {
    struct part_counts *c = ctx;
    c->pictures += strcmp(name, "xdr:pic") == 0;
    if (strcmp(name, "sheet") != 0)
        return;
    for (size_t i = 0; attributes[i]; i += 2)
        if (strcmp(attributes[i], "name") == 0)
            MR_PUSH(c->arena, &c->names, mr_strdup(c->arena, attributes[i + 1]));
}

static const char *feed(struct mr_arena *arena, XML_Parser parser, const char *name, const char *data, int n) {
    if (XML_Parse(parser, data, n, n == 0) == XML_STATUS_OK)
        return NULL;
    return n ? mr_printf(arena, "part %s is not well-formed: %s", name, XML_ErrorString(XML_GetErrorCode(parser)))
             : mr_printf(arena, "part %s is incomplete", name);
}

static const char *scan(struct part_reader *r, const char *name, struct part_look *look, size_t n) {
    const size_t all = look->left + n;
    const ptrdiff_t used = mr_sheet_scan(look->sheet, r->buffer, all, n == 0);
    if (used < 0 || all - (size_t)used > LEFT_BYTES)
        return n ? mr_printf(r->arena, "part %s is not well-formed", name)
                 : mr_printf(r->arena, "part %s is incomplete", name);
    look->left = all - (size_t)used;
    memmove(r->buffer, r->buffer + used, look->left);
    return NULL;
}

/* A damaged part may just end early without an error: its length is held against the directory's. */
static const char *read_part(struct part_reader *r, const char *name, uint64_t bytes, struct part_look *look) {
    static const char png_end[] = "IEND\xae"
                                  "B`\x82";
    const char *wrong = NULL;
    char tail[8] = {0};
    uint64_t seen = 0;
    int n;
    while (!wrong && (n = unzReadCurrentFile(r->zip, r->buffer + look->left, PIECE_BYTES)) != 0) {
        if (n < 0)
            wrong = mr_printf(r->arena, "part %s cannot be read back", name);
        else if (look->sheet)
            wrong = scan(r, name, look, (size_t)n);
        else if (look->parser)
            wrong = feed(r->arena, look->parser, name, r->buffer, n);
        else if (n >= 8)
            memcpy(tail, r->buffer + n - 8, 8);
        seen += n > 0 ? (uint64_t)n : 0;
    }
    if (!wrong && seen != bytes)
        wrong = mr_printf(r->arena, "part %s ends too early", name);
    if (!wrong && look->sheet)
        wrong = scan(r, name, look, 0);
    if (!wrong && look->parser)
        wrong = feed(r->arena, look->parser, name, r->buffer, 0);
    if (!wrong && ends_with(name, ".png") && memcmp(tail, png_end, 8) != 0)
        wrong = mr_printf(r->arena, "picture %s is incomplete", name);
    return wrong;
}

/* The zip's current part. */
static const char *check_part(struct part_reader *r, const char *name, uint64_t bytes, struct part_counts *out) {
    const bool sheet = strncmp(name, "xl/worksheets/sheet", 19) == 0 && ends_with(name, ".xml"),
               xml = !sheet && (ends_with(name, ".xml") || ends_with(name, ".rels"));
    struct mr_sheet_scan counts = {0};
    struct part_look look = {.parser = xml ? XML_ParserCreate("UTF-8") : NULL, .sheet = sheet ? &counts : NULL};
    if (xml && !look.parser)
        return "memory ran out while the workbook was read back";
    *out = (struct part_counts){.arena = r->arena};
    if (xml) {
        XML_SetUserData(look.parser, out);
        XML_SetStartElementHandler(look.parser, count_element);
    }
    const char *wrong = read_part(r, name, bytes, &look);
    if (look.parser)
        XML_ParserFree(look.parser);
    if (sheet) {
        out->rows = counts.rows;
        out->cells = counts.cells;
    }
    return wrong;
}

/* "xl/worksheets/sheet12.xml" -> 12; 0 for another name. */
static size_t numbered(const char *name, const char *start) {
    const size_t n = strlen(start);
    if (strncmp(name, start, n) != 0)
        return 0;
    size_t number = 0;
    const char *p = name + n;
    for (; mr_is_digit(*p) && number < 1000000; p++)
        number = 10 * number + (size_t)(*p - '0');
    return strcmp(p, ".xml") == 0 ? number : 0;
}

/* Drawings are numbered over the sheets that have pictures, in the sheets' order. */
static const char *compare(struct mr_arena *arena, size_t n, const struct mr_sheet_meant *meant,
                           const struct part_counts *book, const struct part_counts *sheet,
                           const struct part_counts *drawing) {
    if (book->names.n != n)
        return mr_printf(arena, "the workbook has %zu sheets, not %zu", book->names.n, n);
    size_t drawings = 0;
    for (size_t i = 0; i < n; i++) {
        const struct mr_sheet_meant *m = &meant[i];
        const struct part_counts *s = &sheet[i + 1];
        const size_t pictures = m->pictures ? drawing[++drawings].pictures : 0;
        if (strcmp(book->names.v[i], m->name) != 0)
            return mr_printf(arena, "sheet %zu is called \"%s\", not \"%s\"", i + 1, book->names.v[i], m->name);
        if (s->rows != m->rows || s->cells != m->cells || pictures != m->pictures)
            return mr_printf(arena,
                             "sheet \"%s\" holds %zu rows, %zu cells and %zu pictures instead of %zu, %zu and %zu",
                             m->name, s->rows, s->cells, pictures, m->rows, m->cells, m->pictures);
    }
    return NULL;
}

/* Every part; those that the sheets' contents are counted in are kept by name. */
static const char *check_parts(struct part_reader *r, size_t n_meant, const struct mr_sheet_meant *meant) {
    struct part_counts *sheet = MR_ARRAY(r->arena, struct part_counts, n_meant + 1),
                       *drawing = MR_ARRAY(r->arena, struct part_counts, n_meant + 1), book = {0}, part;
    const char *wrong = NULL;
    size_t parts = 0;
    for (int at = unzGoToFirstFile(r->zip); !wrong && at == UNZ_OK; at = unzGoToNextFile(r->zip)) {
        char name[NAME_BYTES];
        unz_file_info64 info;
        if (unzGetCurrentFileInfo64(r->zip, &info, name, sizeof name, NULL, 0, NULL, 0) != UNZ_OK ||
            unzOpenCurrentFile(r->zip) != UNZ_OK)
            return "the workbook's directory is damaged";
        wrong = check_part(r, name, info.uncompressed_size, &part);
        if (unzCloseCurrentFile(r->zip) != UNZ_OK && !wrong)
            wrong = mr_printf(r->arena, "part %s does not match its checksum", name);
        parts++;
        const size_t s = numbered(name, "xl/worksheets/sheet"), d = numbered(name, "xl/drawings/drawing");
        if (s >= 1 && s <= n_meant)
            sheet[s] = part;
        if (d >= 1 && d <= n_meant)
            drawing[d] = part;
        if (strcmp(name, "xl/workbook.xml") == 0)
            book = part;
    }
    if (!wrong && parts < 5)
        wrong = "the workbook has too few parts";
    return wrong || n_meant == 0 ? wrong : compare(r->arena, n_meant, meant, &book, sheet, drawing);
}

const char *mr_book_check(struct mr_arena *arena, const char *path, size_t n_meant,
                          const struct mr_sheet_meant *meant) {
    struct part_reader r = {.arena = arena, .zip = unzOpen64(path)};
    if (!r.zip)
        return "the workbook cannot be opened again";
    r.buffer = mr_alloc(arena, LEFT_BYTES + PIECE_BYTES, 1);
    const char *wrong = check_parts(&r, n_meant, meant);
    unzClose(r.zip);
    mr_arena_drop(arena, r.buffer);
    return wrong;
}
