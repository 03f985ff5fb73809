/*
 * floor_book.c - the least that a workbook can cost with libxlsxwriter in its constant-memory mode: floor_book OUT,
 * and on its input a line for each sheet: rows, numbers, texts, formulas, letters of a text. Pictures by "picture
 * FILE" after their sheet.
 */
#include <stdio.h>
#include <string.h>
#include <xlsxwriter.h>

struct meant {
    unsigned rows;
    unsigned long numbers, texts, formulas;
    unsigned letters;
};

static void fill(lxw_worksheet *sheet, const struct meant *m, lxw_format *look) {
    static const char letters[] = "Bay 0042, spot 17, second of five readings with the gauge held flat, as it was "
                                  "entered; further words follow until the cell holds as many as it should hold, so "
                                  "that both programs write as many letters and neither gains by a shorter text.";
    const unsigned long cells = m->numbers + m->texts + m->formulas;
    char text[256];
    unsigned long done = 0, numbers = 0, texts = 0;
    snprintf(text, sizeof text, "%.*s", (int)(m->letters < 255 ? m->letters : 255), letters);
    for (unsigned row = 0; row < m->rows; row++) {
        const unsigned long upto = cells * (row + 1) / m->rows;
        for (lxw_col_t column = 0; done < upto; column++, done++) {
            if (numbers * cells <= done * m->numbers && numbers < m->numbers) {
                worksheet_write_number(sheet, row, column, 210.5 + (double)(done % 977) / 8, look);
                numbers++;
            } else if (texts * cells <= done * m->texts && texts < m->texts) {
                worksheet_write_string(sheet, row, column, text, look);
                texts++;
            } else {
                worksheet_write_formula_num(sheet, row, column, "=AVERAGE(F12:F16)", look, 231.25);
            }
        }
    }
}

int main(int argc, char **argv) {
    lxw_workbook_options options = {.constant_memory = LXW_TRUE};
    lxw_workbook *book = argc == 2 ? workbook_new_opt(argv[1], &options) : NULL;
    if (!book) {
        fputs("usage: floor_book OUT < SHEETS\n", stderr);
        return 2;
    }
    lxw_format *look = workbook_add_format(book);
    format_set_border(look, LXW_BORDER_THIN);
    lxw_worksheet *sheet = NULL;
    char line[4096];
    unsigned pictures = 0;
    while (fgets(line, sizeof line, stdin)) {
        struct meant m;
        line[strcspn(line, "\n")] = '\0';
        if (strncmp(line, "picture ", 8) == 0) {
            worksheet_insert_image(sheet, 22 * pictures++, 0, line + 8);
        } else if (sscanf(line, "%u %lu %lu %lu %u", &m.rows, &m.numbers, &m.texts, &m.formulas, &m.letters) == 5) {
            sheet = workbook_add_worksheet(book, NULL);
            if (!sheet)
                return 1;
            fill(sheet, &m, look);
        } else {
            fprintf(stderr, "floor_book: not understood: %s\n", line);
            return 2;
        }
    }
    return workbook_close(book) == LXW_NO_ERROR ? 0 : 1;
}
