/*
 * book_lean.c - a long sheet whose formulas are written once for each column.
 *
 * The format shares a formula among the cells of a column (ECMA-376, part 1, 18.3.1.40): the first has its text, the
 * others refer to it, and its references move along. That holds for formulas whose every reference lies in their own
 * row of their own sheet. The library does not offer it, but writes the rows of a sheet to a stream of its own,
 * behind which one is put that rewrites them row by row.
 */
#include "render/sheet/book_looks.h"

#include "base/text.h"

#include <string.h>

enum { COLUMNS = 64, FORMULA_BYTES = 200 };

static const char cell_head[] = "<c r=\"", row_end[] = "</row>", open_tag[] = "<f>", close_tag[] = "</f>";

struct lean_formula {
    char text[FORMULA_BYTES]; /* with '#' for the number of the row; "" = none yet */
    unsigned index;
};

struct lean {
    FILE *to;
    struct mr_arena *arena;
    MR_VEC(char) row; /* what of a row has come so far */
    struct lean_formula by_column[COLUMNS];
    unsigned n_shared, last_row;
};

static bool put(struct lean *l, const char *data, size_t n) {
    return fwrite_unlocked(data, 1, n, l->to) == n;
}

static bool put_text(struct lean *l, const char *text) {
    return put(l, text, strlen(text));
}

static bool is_letter(char c) {
    return c >= 'A' && c <= 'Z';
}

/* A formula of n bytes with '#' for the number of its row. Returns: false where it refers to anything else. */
static bool without_row(const char *text, size_t n, const char *row, char out[FORMULA_BYTES]) {
    size_t at = 0;
    const size_t digits = strlen(row);
    for (size_t i = 0; i < n; i++) {
        const bool number = mr_is_digit(text[i]), after_letter = i > 0 && is_letter(text[i - 1]);
        if (at + 1 >= FORMULA_BYTES || text[i] == '!' || text[i] == '$' || text[i] == '#')
            return false;
        if (!number || !after_letter) {
            out[at++] = text[i];
            continue;
        }
        const size_t more = strspn(text + i, "0123456789");
        if (more != digits || memcmp(text + i, row, digits) != 0)
            return false;
        out[at++] = '#';
        i += more - 1;
    }
    out[at] = '\0';
    return true;
}

/* The formula of n bytes of a cell, or a reference to the first of its column. */
static bool put_formula(struct lean *l, const char *cell, const char *text, size_t n) {
    char name[16] = "", column[8] = "", moving[FORMULA_BYTES];
    unsigned at = 0;
    const size_t length = strcspn(cell, "\"");
    memcpy(name, cell, length < sizeof name ? length : 0);
    const size_t letters = strspn(name, "ABCDEFGHIJKLMNOPQRSTUVWXYZ");
    for (size_t i = 0; i < letters; i++)
        at = 26 * at + (unsigned)(name[i] - 'A') + 1;
    if (at == 0 || at > COLUMNS || letters >= sizeof column || !without_row(text, n, name + letters, moving))
        return put_text(l, open_tag) && put(l, text, n) && put_text(l, close_tag);
    memcpy(column, name, letters);
    struct lean_formula *s = &l->by_column[at - 1];
    char tag[80];
    if (!s->text[0]) {
        s->index = l->n_shared++;
        memcpy(s->text, moving, sizeof moving);
        snprintf(tag, sizeof tag, "<f t=\"shared\" ref=\"%s:%s%u\" si=\"%u\">", name, column, l->last_row, s->index);
        return put_text(l, tag) && put(l, text, n) && put_text(l, close_tag);
    }
    if (strcmp(s->text, moving) != 0)
        return put_text(l, open_tag) && put(l, text, n) && put_text(l, close_tag);
    snprintf(tag, sizeof tag, "<f t=\"shared\" si=\"%u\"/>", s->index);
    return put_text(l, tag);
}

/* A whole row, ended by NUL. */
static bool put_row(struct lean *l) {
    const char *p = l->row.v, *cell = p;
    for (const char *f; (f = strstr(p, open_tag)) != NULL;) {
        for (const char *c = p; (c = strstr(c, cell_head)) != NULL && c < f; c += sizeof cell_head - 1)
            cell = c + sizeof cell_head - 1;
        const char *text = f + 3, *end = strstr(text, close_tag);
        if (!end || !put(l, p, (size_t)(f - p)) || !put_formula(l, cell, text, (size_t)(end - text)))
            return false;
        p = end + 4;
    }
    const bool good = put(l, p, strlen(p));
    l->row.n = 0;
    return good;
}

static ssize_t lean_write(void *cookie, const char *data, size_t n) {
    struct lean *l = cookie;
    for (size_t i = 0; i < n; i++) {
        MR_PUSH(l->arena, &l->row, data[i]);
        const size_t end = sizeof row_end - 1;
        if (data[i] != '>' || l->row.n < end || memcmp(l->row.v + l->row.n - end, row_end, end) != 0)
            continue;
        MR_PUSH(l->arena, &l->row, '\0');
        if (!put_row(l))
            return 0;
    }
    return (ssize_t)n;
}

static ssize_t lean_read(void *cookie, char *data, size_t n) {
    struct lean *l = cookie;
    const size_t got = fread(data, 1, n, l->to);
    return got == 0 && ferror(l->to) ? -1 : (ssize_t)got;
}

static int lean_seek(void *cookie, off64_t *offset, int whence) {
    struct lean *l = cookie;
    if (l->row.n > 0) {
        MR_PUSH(l->arena, &l->row, '\0');
        if (!put_row(l))
            return -1;
    }
    if (fseeko(l->to, *offset, whence) != 0)
        return -1;
    *offset = ftello(l->to);
    return *offset < 0 ? -1 : 0;
}

static int lean_close(void *cookie) {
    return fclose(((struct lean *)cookie)->to);
}

void mr_sheet_lean(struct mr_sheet *s, unsigned last_row) {
    if (!s || !s->sheet->optimize_tmpfile || s->next_row > 0)
        return;
    struct lean *l = MR_NEW(s->book->arena, struct lean);
    l->to = s->sheet->optimize_tmpfile;
    l->arena = s->book->arena;
    l->last_row = last_row + 1;
    FILE *file = fopencookie(l, "w+", (cookie_io_functions_t){lean_read, lean_write, lean_seek, lean_close});
    if (file) /* else the sheet is longer and no worse */
        s->sheet->file = s->sheet->optimize_tmpfile = file;
}
