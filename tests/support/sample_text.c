/* sample_text.c - texts in memory and on disk, in the encodings that exports come in. */
#include "support/sample.h"

#include <errno.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

void sample_add(struct sample_text *text, const char *format, ...) {
    va_list args;
    va_start(args, format);
    va_list again;
    va_copy(again, args);
    int need = vsnprintf(NULL, 0, format, args);
    va_end(args);
    if (need < 0)
        abort();
    if (text->n + (size_t)need + 1 > text->cap) {
        text->cap = 2 * text->cap + (size_t)need + 4096;
        text->data = realloc(text->data, text->cap);
        if (!text->data)
            abort();
    }
    vsnprintf(text->data + text->n, (size_t)need + 1, format, again);
    va_end(again);
    text->n += (size_t)need;
}

/* The texts hold ASCII and characters below U+0800 only. */
static unsigned code_point(const char **p) {
    unsigned char c = (unsigned char)*(*p)++;
    if (c < 0x80)
        return c;
    return (unsigned)(c & 0x1F) << 6 | (unsigned)((unsigned char)*(*p)++ & 0x3F);
}

static void put_char(FILE *f, const char **p, enum sample_encoding encoding) {
    const char *start = *p;
    unsigned code = code_point(p);
    if (encoding == SAMPLE_UTF16LE_BOM) {
        putc((int)(code & 0xFF), f);
        putc((int)(code >> 8), f);
    } else if (encoding == SAMPLE_CP1252) {
        putc((int)(code & 0xFF), f); /* the same as Latin-1 for what we write */
    } else {
        fwrite(start, 1, (size_t)(*p - start), f);
    }
}

static bool make_folders(const char *path) {
    char folder[1024];
    for (const char *slash = strchr(path + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
        snprintf(folder, sizeof folder, "%.*s", (int)(slash - path), path);
        if (mkdir(folder, 0777) != 0 && errno != EEXIST)
            return false;
    }
    return true;
}

bool sample_save(struct sample_text *text, const char *dir, const char *path, enum sample_encoding encoding,
                 const char *line_end) {
    char full[1024];
    snprintf(full, sizeof full, "%s/%s", dir, path);
    FILE *f = make_folders(full) ? fopen(full, "wb") : NULL;
    bool ok = f != NULL;
    if (ok) {
        if (encoding == SAMPLE_UTF8_BOM)
            fputs("\xEF\xBB\xBF", f);
        if (encoding == SAMPLE_UTF16LE_BOM)
            fputs("\xFF\xFE", f);
        const char *end = text->data + text->n;
        for (const char *p = text->data; p < end;) {
            if (*p != '\n') {
                put_char(f, &p, encoding);
                continue;
            }
            p++;
            for (const char *e = line_end; *e;)
                put_char(f, &e, encoding);
        }
        ok = !ferror(f);
        ok = fclose(f) == 0 && ok;
    }
    free(text->data);
    *text = (struct sample_text){0};
    return ok;
}

bool sample_write(const char *dir) {
    struct sample_plan plan;
    sample_make_plan(&plan);
    return sample_write_job(&plan, dir) && sample_write_hand(&plan, dir) && sample_write_gauges(&plan, dir) &&
           sample_write_climate(&plan, dir) && sample_write_steel(&plan, dir) && sample_write_lines(&plan, dir) &&
           sample_write_again(&plan, dir);
}
