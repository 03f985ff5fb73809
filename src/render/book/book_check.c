/*
 * book_check.c - reads a finished workbook back: the zip's directory, every part's checksum, and that every part is
 * well-formed XML or a whole PNG. Needed because the writing library does not look at what its temporary files
 * return: with a full disk it delivers a valid zip of truncated parts and says that all is well.
 */
#include "render/book/book.h"

#include <expat.h>
#include <minizip/unzip.h>
#include <string.h>

enum { NAME_BYTES = 512, PIECE_BYTES = 1 << 16 };

static bool ends_with(const char *text, const char *end) {
    const size_t n = strlen(text), m = strlen(end);
    return n >= m && strcmp(text + n - m, end) == 0;
}

/* A damaged part may just end early without an error: its length is held against the directory's. */
static const char *check_part(struct mr_arena *arena, unzFile zip, const char *name, uint64_t bytes, char *buffer) {
    const bool xml = ends_with(name, ".xml") || ends_with(name, ".rels");
    XML_Parser parser = xml ? XML_ParserCreate("UTF-8") : NULL;
    const char *wrong = NULL;
    char tail[8] = {0};
    uint64_t seen = 0;
    int n;
    while (!wrong && (n = unzReadCurrentFile(zip, buffer, PIECE_BYTES)) != 0) {
        if (n < 0)
            wrong = mr_printf(arena, "part %s cannot be read back", name);
        else if (xml && XML_Parse(parser, buffer, n, 0) != XML_STATUS_OK)
            wrong =
                mr_printf(arena, "part %s is not well-formed: %s", name, XML_ErrorString(XML_GetErrorCode(parser)));
        else if (n >= 8)
            memcpy(tail, buffer + n - 8, 8);
        seen += n > 0 ? (uint64_t)n : 0;
    }
    if (!wrong && seen != bytes)
        wrong = mr_printf(arena, "part %s ends too early", name);
    if (!wrong && xml && XML_Parse(parser, buffer, 0, 1) != XML_STATUS_OK)
        wrong = mr_printf(arena, "part %s is incomplete", name);
    if (!wrong && ends_with(name, ".png") &&
        memcmp(tail,
               "IEND\xae"
               "B`\x82",
               8) != 0)
        wrong = mr_printf(arena, "picture %s is incomplete", name);
    if (parser)
        XML_ParserFree(parser);
    return wrong;
}

const char *mr_book_check(struct mr_arena *arena, const char *path) {
    unzFile zip = unzOpen64(path);
    if (!zip)
        return "the workbook cannot be opened again";
    char *buffer = mr_alloc(arena, PIECE_BYTES, 1);
    const char *wrong = NULL;
    size_t parts = 0;
    for (int at = unzGoToFirstFile(zip); !wrong && at == UNZ_OK; at = unzGoToNextFile(zip)) {
        char name[NAME_BYTES];
        unz_file_info64 info;
        if (unzGetCurrentFileInfo64(zip, &info, name, sizeof name, NULL, 0, NULL, 0) != UNZ_OK ||
            unzOpenCurrentFile(zip) != UNZ_OK) {
            wrong = "the workbook's directory is damaged";
            break;
        }
        wrong = check_part(arena, zip, name, info.uncompressed_size, buffer);
        if (unzCloseCurrentFile(zip) != UNZ_OK && !wrong)
            wrong = mr_printf(arena, "part %s does not match its checksum", name);
        parts++;
    }
    if (!wrong && parts < 5)
        wrong = "the workbook has too few parts";
    unzClose(zip);
    mr_arena_drop(arena, buffer);
    return wrong;
}
