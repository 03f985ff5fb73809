/*
 * book_xlsx.c - the only user of libxlsxwriter (1.1.4 in Debian 12), and the guard in front of its traps:
 *
 *   NaN or infinite numbers are written as such (invalid)        -> blank cell
 *   control characters in properties and alternative texts       -> shown as \xNN
 *   invalid UTF-8, U+FFFE, U+FFFF are written as such            -> U+FFFD
 *   a literal "_x0041_" would be read back as "A"                -> its underscore is escaped
 *   more than 32,767 characters: refused                         -> cut, ends in "…"
 *   names that differ in the case of letters beyond Latin: taken -> folded in all of Unicode
 *   sheet names: empty, long, []:*?/\, apostrophes, duplicates   -> cleaned, cut, numbered
 *   "&G" in a footer, even from "R&&G", frees memory twice       -> a blank between & and G or [; at most 255 bytes
 *   links over 2,079 characters                                  -> not used: links go to sheets of the book only
 *   a missing temporary folder is replaced silently              -> the staging folder's own, made before
 *   a full disk gives a truncated workbook and success           -> read back after closing (book_check.c)
 *   an image that cannot be read prints to the terminal          -> its file is there: it was just written and closed
 *
 * Always in constant-memory mode: rows go to the disk as they come, so a sheet of a million rows takes no more memory
 * than one of ten. The locale's decimal mark would end up in the file; the library never sets LC_NUMERIC, and a
 * program that does has to set it back.
 */
#include "render/sheet/book_looks.h"

#include "base/text.h"
#include "base/utf8.h"
#include "render/publish/glib_text.h"

#include <errno.h>
#include <math.h>
#include <string.h>

enum {
    PAGE_BREAKS = 1000,
    LINKS_MOST = 60000, /* programs take 65,530 on a sheet */
    LINKS_OF_BRIEF = 500,
    CELL_CHARACTERS = 32767,
    NAME_CHARACTERS = 31,
    FOOTER_BYTES = 90,
    ALT_BYTES = 250,
    PROPERTY_CHARACTERS = 250
};

static void push_bytes(struct mr_book *b, const char *text, size_t n) {
    for (size_t i = 0; i < n; i++)
        MR_PUSH(b->arena, &b->scratch, text[i]);
}

/* Text that XML can carry: see the list above. max counts characters. Valid until the next call: the library copies.
 */
static char *guard(struct mr_book *b, const char *text, size_t max) {
    text = text ? text : "";
    const size_t n = strlen(text);
    size_t characters = 0;
    b->scratch.n = 0;
    for (size_t i = 0; i < n;) {
        size_t len = mr_utf8_length(text + i, n - i);
        const char *from = text + i;
        const bool not_a_character =
            len == 3 && memcmp(from, "\xef\xbf", 2) == 0 && ((unsigned char)from[2] & 0xfe) == 0xbe;
        i += len ? len : 1;
        if (len == 0 || not_a_character) {
            from = "\xef\xbf\xbd";
            len = 3;
        }
        if (++characters == max && i < n) {
            from = "…";
            len = 3;
            i = n;
        }
        push_bytes(b, from, len);
        const bool escape = len == 1 && from[0] == '_' && n - i >= 6 && (text[i] | 0x20) == 'x' &&
                            text[i + 5] == '_' && strspn(text + i + 1, "0123456789abcdefABCDEF") == 4;
        if (escape)
            push_bytes(b, "x005F_", 6);
    }
    push_bytes(b, "", 1);
    return b->scratch.v;
}

/* For places where the library does not escape control characters either: properties, alternative texts, names. */
static char *guarded_in(struct mr_arena *arena, struct mr_book *b, const char *text, size_t max) {
    text = text ? text : "";
    return mr_strdup(arena, guard(b, mr_clean_text(arena, text, strlen(text), 4 * max), max));
}

static char *guarded_copy(struct mr_book *b, const char *text, size_t max) {
    return guarded_in(b->arena, b, text, max);
}

/* Footer text: '&' begins a code there, so it is doubled, and never stands before G or [. */
static const char *footer_text(struct mr_arena *arena, const char *text) {
    MR_VEC(char) out = {0};
    const char *clean = mr_clean_text(arena, text, strlen(text), FOOTER_BYTES);
    for (const char *p = clean; *p; p++) {
        if (out.n >= FOOTER_BYTES && ((unsigned char)*p & 0xc0) != 0x80)
            break;
        MR_PUSH(arena, &out, *p);
        if (*p != '&')
            continue;
        MR_PUSH(arena, &out, '&');
        if (p[1] == 'G' || p[1] == '[' || p[1] == '&')
            MR_PUSH(arena, &out, ' ');
    }
    MR_PUSH(arena, &out, '\0');
    return out.v;
}

static void set_properties(struct mr_book *b, const struct mr_book_info *info) {
    lxw_doc_properties p = {
        .title = guarded_copy(b, info->title, PROPERTY_CHARACTERS),
        .subject = guarded_copy(b, info->subject, PROPERTY_CHARACTERS),
        .author = guarded_copy(b, info->author && info->author[0] ? info->author : "milrise", PROPERTY_CHARACTERS),
        .company = guarded_copy(b, info->company, PROPERTY_CHARACTERS),
        .comments = guarded_copy(b, info->comments, PROPERTY_CHARACTERS),
        .created = (time_t)(info->created_utc_ms / 1000)};
    if (p.created <= 0)
        p.created = 1; /* 0 would mean "now" */
    workbook_set_properties(b->book, &p);
}

struct mr_book *mr_book_open(struct mr_arena *arena, const char *path, const struct mr_book_info *info) {
    struct mr_book *b = MR_NEW(arena, struct mr_book);
    b->arena = arena;
    b->path = path;
    lxw_workbook_options options = {.constant_memory = LXW_TRUE, .tmpdir = mr_strdup(arena, info->tmp_dir)};
    b->book = workbook_new_opt(path, &options);
    if (!b->book)
        return NULL;
    b->brief = mr_arena_like(arena);
    set_properties(b, info);
    mr_book_looks(b->book, b->look);
    b->header = mr_printf(arena, "&L&10%s&R&10&A", footer_text(arena, info->footer_left));
    b->footer = mr_printf(arena, "&L&10%s&R&10%s &P %s &N", footer_text(arena, info->footer_middle),
                          footer_text(arena, info->page ? info->page : "page"),
                          footer_text(arena, info->of ? info->of : "of"));
    b->letter = info->letter;
    return b;
}

const char *mr_book_close(struct mr_book *b) {
    errno = 0;
    const lxw_error error = mr_looks_close(b);
    mr_arena_free(b->brief);
    b->brief = NULL;
    mr_keep_reason(b);
    struct mr_sheet_meant *meant = MR_ARRAY(b->arena, struct mr_sheet_meant, b->sheets.n);
    for (size_t i = 0; i < b->sheets.n; i++)
        meant[i] = b->sheets.v[i]->meant;
    const char *wrong = error != LXW_NO_ERROR
                            ? mr_printf(b->arena, "the workbook could not be written: %s", lxw_strerror(error))
                        : b->failed ? "the workbook's library refused a sheet"
                                    : mr_book_check(b->arena, b->path, b->sheets.n, meant);
    mr_keep_reason(b);
    errno = b->reason;
    return wrong;
}

static const char *cut(struct mr_arena *arena, const char *text, size_t max) {
    size_t n = 0, i = 0;
    for (; text[i]; i++)
        if (((unsigned char)text[i] & 0xc0) != 0x80 && n++ == max)
            break;
    while (i > 0 && text[i - 1] == ' ')
        i--;
    return mr_strndup(arena, text, i);
}

static const char *clean_name(struct mr_book *b, const char *name) {
    struct mr_arena *arena = b->arena;
    char *text = guarded_copy(b, name, 200); /* a control character has become \xNN and loses its backslash below */
    for (char *p = text; *p; p++)
        if (strchr("[]:*?/\\'", *p))
            *p = ' ';
    while (*text == ' ')
        text++;
    text = mr_strdup(arena, cut(arena, text, NAME_CHARACTERS));
    return text[0] ? text : "Sheet";
}

static bool name_free(const struct mr_book *b, const char *name) {
    for (size_t i = 0; i < b->sheets.n; i++)
        if (mr_same_name(b->sheets.v[i]->name, name))
            return false;
    return workbook_validate_sheet_name(b->book, name) == LXW_NO_ERROR;
}

struct mr_sheet *mr_sheet_add(struct mr_book *b, const char *wanted) {
    const char *base = clean_name(b, wanted), *name = base;
    for (unsigned i = 2; !name_free(b, name) && i < 10000; i++) {
        const char *tail = mr_printf(b->arena, " (%u)", i);
        name = mr_printf(b->arena, "%s%s",
                         cut(b->arena, base, NAME_CHARACTERS - mr_utf8_characters(tail, strlen(tail))), tail);
    }
    struct mr_sheet *s = MR_NEW(b->arena, struct mr_sheet);
    *s = (struct mr_sheet){
        .book = b, .sheet = workbook_add_worksheet(b->book, name), .name = name, .meant = {.name = name}};
    mr_keep_reason(b);
    if (!s->sheet) {
        b->failed = true;
        return NULL;
    }
    mr_page_of(s);
    MR_PUSH(b->arena, &b->sheets, s);
    return s;
}

const char *mr_sheet_name(const struct mr_sheet *s) {
    return s ? s->name : "";
}

static void count_row(struct mr_sheet *s, unsigned row) {
    s->meant.rows += row >= s->next_row;
    s->next_row = row >= s->next_row ? row + 1 : s->next_row;
}

static void count_cell(struct mr_sheet *s, unsigned row) {
    count_row(s, row);
    s->meant.cells++;
}

void mr_sheet_height(struct mr_sheet *s, unsigned row, double points) {
    if (!s || s->folded == row + 1)
        return;
    count_row(s, row);
    s->extra_pt += points - MR_ROW_PT;
    mr_keep_error(s, worksheet_set_row(s->sheet, row, points, NULL));
}

static void sheet_blank(struct mr_sheet *s, unsigned row, unsigned column, enum mr_look look) {
    if (!s)
        return;
    count_cell(s, row);
    mr_keep_error(s, worksheet_write_blank(s->sheet, row, (lxw_col_t)column, s->book->look[look]));
}

/* Long texts that need no guarding are the common case: look before copying. */
static bool needs_guard(const char *text) {
    size_t n = 0;
    for (; *text; text++, n++)
        if ((unsigned char)*text >= 0x80 || *text == '_')
            return true;
    return n > CELL_CHARACTERS;
}

void mr_sheet_text(struct mr_sheet *s, unsigned row, unsigned column, enum mr_look look, const char *text) {
    if (!s)
        return;
    if (!text || !text[0]) {
        sheet_blank(s, row, column, look);
        return;
    }
    if (needs_guard(text))
        text = guard(s->book, text, CELL_CHARACTERS);
    count_cell(s, row);
    mr_keep_error(s, worksheet_write_string(s->sheet, row, (lxw_col_t)column, text, s->book->look[look]));
}

void mr_sheet_number(struct mr_sheet *s, unsigned row, unsigned column, enum mr_look look, double value) {
    if (!s)
        return;
    if (!isfinite(value)) {
        sheet_blank(s, row, column, look);
        return;
    }
    count_cell(s, row);
    mr_keep_error(s, worksheet_write_number(s->sheet, row, (lxw_col_t)column, value, s->book->look[look]));
}

/* Days since 1899-12-30, the workbook's own count. */
double mr_book_days(int64_t local_ms) {
    return (double)local_ms / (double)MR_DAY_MS + 25569.0;
}

/* Moments before 1900-03-01 are not dates in a workbook. */
void mr_sheet_time(struct mr_sheet *s, unsigned row, unsigned column, enum mr_look look, int64_t local_ms) {
    const double days = local_ms == MR_T_NONE ? (double)MR_NAN : mr_book_days(local_ms);
    mr_sheet_number(s, row, column, look, days >= 61.0 && days < 2958466.0 ? days : (double)MR_NAN);
}

void mr_sheet_link(struct mr_sheet *s, unsigned row, unsigned column, enum mr_look look,
                   const struct mr_sheet *target, unsigned target_row, const char *text) {
    if (!s)
        return;
    if (!target || !text || !text[0] || s->links >= LINKS_MOST) {
        mr_sheet_text(s, row, column, look == MR_LOOK_LINK ? MR_LOOK_TEXT : look, text);
        return;
    }
    s->links++;
    count_cell(s, row);
    struct mr_arena *brief = s->book->brief; /* the library copies */
    if (s->links % LINKS_OF_BRIEF == 0)
        mr_arena_reset(brief);
    const char *url = mr_printf(brief, "internal:'%s'!A%u", target->name, target_row + 1);
    mr_keep_error(s, worksheet_write_url_opt(s->sheet, row, (lxw_col_t)column, url, s->book->look[look],
                                             guarded_in(brief, s->book, text, CELL_CHARACTERS), NULL));
}

/* The value as worked out is stored with the formula: readers that do not calculate show it. */
static void write_formula(struct mr_sheet *s, unsigned row, unsigned column, const struct mr_cell_out *c) {
    const lxw_col_t col = (lxw_col_t)column;
    lxw_format *look = mr_live_look(s, row, column, c->look);
    count_cell(s, row);
    if (c->kind == MR_CELL_TEXT)
        mr_keep_error(s, worksheet_write_formula_str(s->sheet, row, col, c->formula, look,
                                                     guard(s->book, c->text, CELL_CHARACTERS)));
    else if (c->array)
        mr_keep_error(s,
                      worksheet_write_array_formula_num(s->sheet, row, col, row, col, c->formula, look, c->number));
    else
        mr_keep_error(s, worksheet_write_formula_num(s->sheet, row, col, c->formula, look, c->number));
}

void mr_sheet_cell(struct mr_sheet *s, unsigned row, unsigned column, const struct mr_cell_out *c) {
    const bool text = c->kind == MR_CELL_TEXT, any = text ? c->text && c->text[0] : isfinite(c->number);
    if (!s)
        return;
    if (c->formula && any && c->kind != MR_CELL_TIME) {
        if (text && c->target) { /* the jump stays where the formula takes the place of its text */
            mr_sheet_link(s, row, column, c->look, c->target, c->target_row, c->text);
            s->meant.cells--;
        }
        write_formula(s, row, column, c);
    } else if (text && c->target)
        mr_sheet_link(s, row, column, c->look, c->target, c->target_row, c->text);
    else if (text)
        mr_sheet_text(s, row, column, c->look, c->text);
    else if (c->kind == MR_CELL_NUMBER)
        mr_sheet_number(s, row, column, c->look, c->number);
    else
        mr_sheet_time(s, row, column, c->look, c->local_ms);
}

static void insert_image(struct mr_sheet *s, unsigned row, unsigned column, const unsigned char *png, size_t n,
                         const char *alt, double scale) {
    s->meant.pictures++;
    lxw_image_options options = {.object_position = LXW_OBJECT_MOVE_DONT_SIZE,
                                 .x_scale = scale,
                                 .y_scale = scale,
                                 .description = guarded_copy(s->book, alt, ALT_BYTES)};
    mr_keep_error(s, worksheet_insert_image_buffer_opt(s->sheet, row, (lxw_col_t)column, png, n, &options));
}

void mr_sheet_image(struct mr_sheet *s, unsigned row, unsigned column, const unsigned char *png, size_t n,
                    const char *alt) {
    if (s)
        insert_image(s, row, column, png, n, alt, 1);
}

static unsigned big_endian(const unsigned char *b) {
    return (unsigned)b[0] << 24 | (unsigned)b[1] << 16 | (unsigned)b[2] << 8 | b[3];
}

/* As the file states it in a pHYs chunk before its pixels, and the library reads it; else 96. */
static double dots_per_inch(const unsigned char *png, size_t n) {
    enum { SIGNATURE = 8, FRAME = 12, USUAL_DPI = 96 };
    for (size_t at = SIGNATURE; at + FRAME < n;) {
        const size_t length = big_endian(png + at);
        const unsigned char *name = png + at + 4, *data = png + at + 8;
        if (length > n - at - FRAME || memcmp(name, "IDAT", 4) == 0)
            break;
        if (memcmp(name, "pHYs", 4) == 0 && length == 9 && data[8] == 1 && big_endian(data) > 0)
            return big_endian(data) * 0.0254;
        at += FRAME + length;
    }
    return USUAL_DPI;
}

/* The library takes a picture's size from its dots per inch where it states them; the picture is scaled from there.
 * Sides as in the head of the file (PNG specification, 11.2.2); the reader of the job has checked it. */
void mr_sheet_picture(struct mr_sheet *s, unsigned row, unsigned column, const unsigned char *png, size_t n,
                      const char *alt, double width_pt, double height_pt) {
    enum { HEAD = 24 };
    if (!s || n < HEAD || big_endian(png + 16) == 0 || big_endian(png + 20) == 0)
        return;
    const double w_pt = width_pt / big_endian(png + 16), h_pt = height_pt / big_endian(png + 20);
    insert_image(s, row, column, png, n, alt, fmin(w_pt, h_pt) * dots_per_inch(png, n) / 72.0);
}

static bool name_taken(const struct mr_book *b, const char *name) {
    for (size_t i = 0; i < b->names.n; i++)
        if (strcmp(b->names.v[i], name) == 0)
            return true;
    return false;
}

void mr_book_name(struct mr_book *b, const char *wanted, const struct mr_sheet *sheet, unsigned row,
                  unsigned column) {
    if (!sheet)
        return;
    char *name = mr_strndup(b->arena, wanted, strnlen(wanted, 200));
    for (char *p = name; *p; p++)
        *p = (*p | 0x20) >= 'a' && (*p | 0x20) <= 'z' ? *p : mr_is_digit(*p) ? *p : '_';
    const char *base = name, *own = base;
    for (unsigned i = 2; name_taken(b, own) && i < 100000; i++)
        own = mr_printf(b->arena, "%s_%u", base, i);
    MR_PUSH(b->arena, &b->names, own);
    const char *cell = mr_printf(b->arena, "='%s'!$%c$%u", sheet->name, (char)('A' + column % 26), row + 1);
    if (workbook_define_name(b->book, own, cell) != LXW_NO_ERROR)
        b->failed = true;
}
