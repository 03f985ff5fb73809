/*
 * book_looks.c - the formats of the workbook's cells, and what is kept of the library's errors.
 */
#include "render/sheet/book_looks.h"

#include <errno.h>

/* The library looks at few of the results of its writes and says nothing of why; a message needs the cause. */
void mr_keep_reason(struct mr_book *b) {
    if (!b->reason)
        b->reason = errno;
    errno = 0;
}

void mr_keep_error(struct mr_sheet *s, lxw_error error) {
    mr_keep_reason(s->book);
    if (error != LXW_NO_ERROR)
        s->book->failed = true;
}

enum mr_look mr_look_decimals(int decimals) {
    if (decimals < 0)
        return MR_LOOK_GENERAL;
    return (enum mr_look)(MR_LOOK_DECIMALS_0 + (decimals > 6 ? 6 : decimals));
}

enum mr_look mr_look_outcome(enum mr_outcome outcome, bool big) {
    return (enum mr_look)((big ? (int)MR_LOOK_BIG_NOT_REQUIRED : (int)MR_LOOK_NOT_REQUIRED) + (int)outcome);
}

/* Outcomes in rising darkness, so that they stay apart in grey; the word is always there too. */
static void outcome_look(lxw_format *f, enum mr_outcome outcome) {
    static const struct {
        lxw_color_t back, ink;
    } colours[] = {[MR_NOT_REQUIRED] = {0xFFFFFF, 0x6E6E6E},
                   [MR_CONFORMS] = {0xDCEBF5, 0x1A1A1A},
                   [MR_NOT_SHOWN] = {0xF2C464, 0x1A1A1A},
                   [MR_DOES_NOT_CONFORM] = {0xA8420A, 0xFFFFFF}};
    format_set_bg_color(f, colours[outcome].back);
    format_set_font_color(f, colours[outcome].ink);
    if (outcome >= MR_NOT_SHOWN)
        format_set_bold(f);
}

static lxw_format *plain(lxw_workbook *book) {
    lxw_format *f = workbook_add_format(book);
    format_set_font_name(f, "Arial");
    format_set_font_size(f, MR_BOOK_TYPE_PT);
    format_set_align(f, LXW_ALIGN_VERTICAL_TOP);
    return f;
}

static lxw_format *ruled(lxw_workbook *book) {
    lxw_format *f = plain(book);
    format_set_border(f, LXW_BORDER_HAIR);
    format_set_border_color(f, 0x9A9A9A);
    return f;
}

static void make_sign_look(lxw_workbook *book, lxw_format **look) {
    lxw_format *f = look[MR_LOOK_SIGN] = plain(book);
    format_set_bottom(f, LXW_BORDER_THIN);
    format_set_font_color(f, 0x4A4A4A);
    format_set_align(f, LXW_ALIGN_VERTICAL_BOTTOM);
}

static void make_number_looks(lxw_workbook *book, lxw_format **look) {
    static const char *const formats[] = {"0", "0.0", "0.00", "0.000", "0.0000", "0.00000", "0.000000"};
    for (size_t i = 0; i < MR_COUNT(formats); i++) {
        lxw_format *f = look[MR_LOOK_DECIMALS_0 + i] = ruled(book);
        format_set_num_format(f, formats[i]);
    }
    look[MR_LOOK_GENERAL] = ruled(book);
    look[MR_LOOK_COUNT] = ruled(book);
    format_set_num_format(look[MR_LOOK_COUNT], "0");
    look[MR_LOOK_TIME] = ruled(book);
    format_set_num_format(look[MR_LOOK_TIME], "yyyy-mm-dd hh:mm:ss");
    format_set_indent(look[MR_LOOK_TIME], 1);
    format_set_align(look[MR_LOOK_TIME], LXW_ALIGN_LEFT);
}

/* Widths of columns are counted in digits of the usual font; Arial has the same widths, or a double of the same
 * widths, everywhere, the library's own choice has not. */
static void set_usual_font(lxw_workbook *book) {
    lxw_format *usual = STAILQ_FIRST(book->formats);
    format_set_font_name(usual, "Arial");
    format_set_font_size(usual, MR_BOOK_TYPE_PT);
}

void mr_book_looks(lxw_workbook *book, lxw_format **look) {
    set_usual_font(book);
    lxw_format *f = look[MR_LOOK_TITLE] = plain(book);
    format_set_bold(f);
    format_set_font_size(f, 16);
    f = look[MR_LOOK_SUBTITLE] = plain(book);
    format_set_bold(f);
    format_set_font_size(f, 12);
    f = look[MR_LOOK_NOTE] = plain(book);
    format_set_font_color(f, 0x4A4A4A);
    f = look[MR_LOOK_HEAD] = ruled(book);
    format_set_bold(f);
    format_set_text_wrap(f);
    format_set_bg_color(f, 0xE6E6E6);
    format_set_indent(f, 1);
    format_set_align(f, LXW_ALIGN_VERTICAL_CENTER);
    f = look[MR_LOOK_TEXT] = ruled(book);
    format_set_indent(f, 1);
    f = look[MR_LOOK_WRAP] = ruled(book);
    format_set_text_wrap(f);
    format_set_indent(f, 1);
    f = look[MR_LOOK_NAME] = plain(book);
    format_set_font_color(f, 0x4A4A4A);
    f = look[MR_LOOK_VALUE] = plain(book);
    format_set_indent(f, 1);
    f = look[MR_LOOK_SUMMARY] = plain(book);
    format_set_bold(f);
    format_set_font_size(f, 12);
    format_set_indent(f, 1);
    format_set_align(f, LXW_ALIGN_VERTICAL_CENTER);
    f = look[MR_LOOK_LINK] = plain(book);
    format_set_font_color(f, 0x1F4E79);
    format_set_underline(f, LXW_UNDERLINE_SINGLE);
    f = look[MR_LOOK_LINK_CELL] = ruled(book);
    format_set_font_color(f, 0x1F4E79);
    format_set_underline(f, LXW_UNDERLINE_SINGLE);
    format_set_text_wrap(f);
    format_set_indent(f, 1);
    f = look[MR_LOOK_BLANK] = ruled(book);
    format_set_font_color(f, 0x6E6E6E);
    format_set_italic(f);
    format_set_text_wrap(f);
    format_set_indent(f, 1);
    for (int k = MR_NOT_REQUIRED; k <= MR_DOES_NOT_CONFORM; k++) {
        f = look[mr_look_outcome((enum mr_outcome)k, false)] = ruled(book);
        outcome_look(f, (enum mr_outcome)k);
        format_set_text_wrap(f);
        format_set_indent(f, 1);
        f = look[mr_look_outcome((enum mr_outcome)k, true)] = ruled(book);
        outcome_look(f, (enum mr_outcome)k);
        format_set_font_size(f, 14);
        format_set_bold(f);
        format_set_indent(f, 1);
        format_set_align(f, LXW_ALIGN_VERTICAL_CENTER);
    }
    make_sign_look(book, look);
    make_number_looks(book, look);
}

static bool is_outcome(enum mr_look look) {
    const int last = (int)MR_DOES_NOT_CONFORM;
    return (look >= MR_LOOK_NOT_REQUIRED && (int)look <= (int)MR_LOOK_NOT_REQUIRED + last) ||
           (look >= MR_LOOK_BIG_NOT_REQUIRED && (int)look <= (int)MR_LOOK_BIG_NOT_REQUIRED + last);
}

lxw_format *mr_live_look(struct mr_sheet *s, unsigned row, unsigned column, enum mr_look look) {
    if (!is_outcome(look))
        return s->book->look[look];
    for (size_t i = 0; i < s->outcomes.n; i++)
        if (s->outcomes.v[i].column == column) {
            s->outcomes.v[i].to = row;
            return s->book->look[look];
        }
    const struct mr_outcome_cells cells = {column, row, row};
    MR_PUSH(s->book->arena, &s->outcomes, cells);
    return s->book->look[look];
}

/* A cell that says another word after a change must not keep the colour of the first. */
static void colour(struct mr_sheet *s, const struct mr_outcome_cells *c, lxw_format *const *format) {
    for (int k = MR_NOT_REQUIRED; k <= MR_DOES_NOT_CONFORM + 1; k++) {
        const char *word = k <= MR_DOES_NOT_CONFORM ? mr_outcome_text((enum mr_outcome)k) : MR_UNKNOWN_WORD;
        lxw_conditional_format rule = {.type = LXW_CONDITIONAL_TYPE_CELL,
                                       .criteria = LXW_CONDITIONAL_CRITERIA_EQUAL_TO,
                                       .value_string = mr_printf(s->book->arena, "\"%s\"", word),
                                       .format = format[k]};
        mr_keep_error(s, worksheet_conditional_format_range(s->sheet, c->from, (lxw_col_t)c->column, c->to,
                                                            (lxw_col_t)c->column, &rule));
    }
}

static void make_rules(lxw_workbook *book, lxw_format **format) {
    for (int k = MR_NOT_REQUIRED; k <= MR_DOES_NOT_CONFORM; k++)
        outcome_look(format[k] = workbook_add_format(book), (enum mr_outcome)k);
    lxw_format *f = format[MR_DOES_NOT_CONFORM + 1] = workbook_add_format(book);
    format_set_bg_color(f, 0x1A1A1A);
    format_set_font_color(f, 0xFFFFFF);
    format_set_bold(f);
}

lxw_error mr_looks_close(struct mr_book *b) {
    lxw_format *format[MR_DOES_NOT_CONFORM + 2] = {NULL};
    for (size_t i = 0; i < b->sheets.n; i++)
        for (size_t k = 0; k < b->sheets.v[i]->outcomes.n; k++) {
            if (!format[0])
                make_rules(b->book, format);
            colour(b->sheets.v[i], &b->sheets.v[i]->outcomes.v[k], format);
        }
    return workbook_close(b->book);
}
