/* The workbook's guard: hostile texts and numbers, names, and the read-back that a full disk makes necessary. */
#include "render/sheet/book.h"
#include "render_run.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static struct mr_book *open_book(struct run *run, const char *name) {
    const char *tmp = mr_printf(run->arena, "%s/tmp", run->dir);
    mkdir(tmp, 0777);
    const struct mr_book_info info = {
        .title = "R&G \x01 \xff",
        .subject = "&G",
        .company = "a & b",
        .comments = "<>",
        .created_utc_ms = 1778457600000,
        .footer_left = "R&G &&G &[Picture] &[Date] ÄÖÜ 漢字漢字漢字漢字漢字漢字漢字漢字漢字"
                       "漢字漢字漢字漢字漢字漢字漢字漢字漢字",
        .footer_middle = "&&&&&&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G&G",
        .tmp_dir = tmp};
    return mr_book_open(run->arena, mr_printf(run->arena, "%s/%s", run->dir, name), &info);
}

static char *check(struct run *run, const char *name, int *status) {
    char *text = NULL;
    *status = python_script(
        run->arena, mr_printf(run->arena, "check-workbook.py %s/%s --cells %s/cells", run->dir, name, run->dir),
        &text);
    return text;
}

static const char *const hostile_names[] = {"",
                                            "A name that is far longer than thirty-one characters",
                                            "a name that is far longer than THIRTY-one of them",
                                            "[x]:*?/\\",
                                            "'quoted'",
                                            "History",
                                            "Findings",
                                            "findings",
                                            "FINDINGS ",
                                            "Ä",
                                            "ä",
                                            "\xff\xfe",
                                            "  ",
                                            "漢字の名前とても長い名前です"
                                            "漢字の名前とても長い名前です漢字の名前",
                                            "=1+1",
                                            "\x01\x02"};

Test(book, hostile_texts_numbers_and_names_give_a_sound_workbook) {
    struct run run = run_begin("job");
    struct mr_book *book = open_book(&run, "h.xlsx");
    char *huge = MR_ARRAY(run.arena, char, 100001), *wide = MR_ARRAY(run.arena, char, 80001);
    memset(huge, 'x', 100000);
    for (size_t i = 0; i < 40000; i++)
        memcpy(wide + 2 * i, "µ", 2);
    const char *const texts[] = {"=cmd|' /C calc'!A0",
                                 "_x0041_",
                                 "tab\there\nline\rreturn\x01\x1f",
                                 "\xff\xfe\xc3\x28",
                                 "\xef\xbf\xbe \xef\xbf\xbf",
                                 "\xed\xa0\x80",
                                 "]]> <&>\"'",
                                 "+1",
                                 "-1",
                                 "@x",
                                 "",
                                 NULL,
                                 huge,
                                 wide,
                                 "NaN",
                                 "1e999"};
    const double numbers[] = {NAN, INFINITY, -INFINITY, 1e308, -0.0, 0.1 + 0.2, 5e-324};
    for (size_t i = 0; i < MR_COUNT(hostile_names); i++) {
        struct mr_sheet *s = mr_sheet_add(book, hostile_names[i]);
        cr_assert(s, "name %zu", i);
        mr_sheet_text(s, 0, 0, MR_LOOK_TITLE, "title");
        for (size_t k = 0; k < MR_COUNT(texts); k++)
            mr_sheet_text(s, 1 + (unsigned)k, 0, MR_LOOK_TEXT, texts[k]);
        for (size_t k = 0; k < MR_COUNT(numbers); k++)
            mr_sheet_number(s, 40 + (unsigned)k, 0, MR_LOOK_GENERAL, numbers[k]);
        mr_sheet_time(s, 50, 0, MR_LOOK_TIME, MR_T_NONE);
        mr_sheet_time(s, 51, 0, MR_LOOK_TIME, INT64_MAX);
        mr_sheet_time(s, 52, 0, MR_LOOK_TIME, 1778493600000);
        mr_sheet_link(s, 53, 0, MR_LOOK_LINK, s, 0, "\x01 here & there");
    }
    const char *wrong = mr_book_close(book);
    cr_assert_null(wrong, "%s", wrong);
    int status;
    char *text = check(&run, "h.xlsx", &status);
    if (status == 77)
        printf("SKIPPED ALOUD: %s", text);
    else {
        cr_assert_eq(status, 0, "%s", text);
        char *cells = file_text(run.arena, mr_printf(run.arena, "%s/cells", run.dir), NULL);
        cr_assert(strstr(cells, "Ä\t2\t1\t\"=cmd|' /C calc'!A0\"\n"),
                  "a text that looks like a formula stays a text");
        cr_assert(strstr(cells, "Ä\t3\t1\t'_x005F_x0041_'\n"), "an escape in the data stays what it is");
        cr_assert(strstr(cells, "Ä\t53\t1\t46153.4166666666"), "a moment in days since 1899-12-30");
        cr_assert_null(strstr(cells, "Ä\t41\t1\t"), "NaN is a blank");
    }
    run_end(&run);
}

/* The cells of a lean sheet are those of any other to both readers: formulas that go down a column, those that differ
 * from row to row, those over other rows and sheets, and texts that look like formulas; and it takes fewer bytes. */
Test(book, lean_sheets_say_the_same_in_fewer_bytes) {
    enum { ROWS = 3000 };
    struct run run = run_begin("job");
    struct mr_book *book = open_book(&run, "lean.xlsx");
    struct mr_sheet *sheets[2];
    for (size_t k = 0; k < 2; k++)
        sheets[k] = mr_sheet_add(book, k ? "Lean" : "Full");
    mr_sheet_lean(sheets[1], ROWS);
    for (size_t k = 0; k < 2; k++) {
        mr_sheet_text(sheets[k], 0, 0, MR_LOOK_TITLE, "title");
        for (unsigned r = 1; r < ROWS; r += r % 11 == 0 ? 3 : 1) {
            const char *const formulas[] = {
                mr_printf(run.arena, "=IF(ISNUMBER(A%u),(A%u-1),\"\")", r + 1, r + 1),
                mr_printf(run.arena, "=A%u+%u", r + 1, r % 5), mr_printf(run.arena, "=SUM(A%u:A%u)", r, r + 1),
                mr_printf(run.arena, "='Full'!A%u", r + 1), mr_printf(run.arena, "=LOG10(A%u)", r + 1)};
            mr_sheet_number(sheets[k], r, 0, MR_LOOK_GENERAL, r);
            for (unsigned c = 0; c < MR_COUNT(formulas); c++) {
                const struct mr_cell_out cell = {
                    .look = MR_LOOK_GENERAL, .kind = MR_CELL_NUMBER, .number = r + c, .formula = formulas[c]};
                mr_sheet_cell(sheets[k], r, c + 1, &cell);
            }
            mr_sheet_text(sheets[k], r, 10, MR_LOOK_TEXT, "<c r=\"A1\"><f>A1</f>");
        }
    }
    const char *wrong = mr_book_close(book);
    cr_assert_null(wrong, "%s", wrong);
    char *text = NULL;
    const int status = python_script(run.arena, mr_printf(run.arena, "check-lean.py %s/lean.xlsx", run.dir), &text);
    if (status == 77)
        printf("SKIPPED ALOUD: %s", text);
    else
        cr_assert_eq(status, 0, "%s", text);
    run_end(&run);
}

Test(book, cut_sheet_names_stay_unique_and_short) {
    struct run run = run_begin("job");
    struct mr_book *book = open_book(&run, "n.xlsx");
    const char *seen[40];
    for (size_t i = 0; i < 40; i++) {
        struct mr_sheet *s = mr_sheet_add(book, "The same very long name of a sheet again and again");
        mr_sheet_text(s, 0, 0, MR_LOOK_TITLE, "title");
        seen[i] = mr_sheet_name(s);
        cr_assert_leq(strlen(seen[i]), 31);
        for (size_t k = 0; k < i; k++)
            cr_assert(strcasecmp(seen[i], seen[k]) != 0, "%s", seen[i]);
    }
    const char *wrong = mr_book_close(book);
    cr_assert_null(wrong, "%s", wrong);
    run_end(&run);
}

/* What a full temporary folder leaves: a valid zip whose parts end in mid-element. Made here by cutting parts and
 * zipping anew. */
Test(book, damaged_workbooks_are_noticed) {
    struct run run = run_begin("job");
    cr_assert_eq(run_fixture(&run, 1, true), MR_OK);
    const char *good = run.published.workbook;
    cr_assert_null(mr_book_check(run.arena, good, 0, NULL));
    static const struct {
        const char *what, *script;
    } rows[] = {
        {"sheet cut short", "d=z.read('xl/worksheets/sheet2.xml');o['xl/worksheets/sheet2.xml']=d[:len(d)//2]"},
        {"empty sheet", "o['xl/worksheets/sheet3.xml']=b''"},
        {"picture cut short", "n=[x for x in o if x.endswith('.png')][0];o[n]=o[n][:-20]"},
        {"bad character",
         "o['xl/worksheets/sheet1.xml']=o['xl/worksheets/sheet1.xml'].replace(b'Coating',b'\\xff\\xfe')"},
        {"parts missing", "o={k:v for k,v in list(o.items())[:3]}"},
    };
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const char *bad = mr_printf(run.arena, "%s/bad.xlsx", run.dir);
        const char *code = mr_printf(
            run.arena,
            "python3 -c \"import zipfile,sys\nz=zipfile.ZipFile(sys.argv[1]);o={n:z.read(n) for n in "
            "z.namelist()}\n%s\n"
            "with zipfile.ZipFile(sys.argv[2],'w') as w:\n for n,d in o.items(): w.writestr(n,d)\" '%s' '%s'",
            rows[i].script, good, bad);
        if (system(code) != 0) {
            printf("SKIPPED ALOUD: no python3 to damage workbooks with\n");
            break;
        }
        cr_assert(mr_book_check(run.arena, bad, 0, NULL), "not noticed: %s", rows[i].what);
    }
    run_end(&run);
}

/* Times in the header before a part stand in the zip's directory too, which is what counts. */
static size_t past_local_header(const char *bytes, size_t at) {
    enum { HEADER = 100 };
    for (size_t i = at > HEADER ? at - HEADER : 0; i <= at; i++)
        if (memcmp(bytes + i, "PK\3\4", 4) == 0)
            return i + HEADER;
    return at;
}

Test(book, cut_and_flipped_workbooks_are_noticed) {
    struct run run = run_begin("job");
    cr_assert_eq(run_fixture(&run, 1, true), MR_OK);
    const char *good = run.published.workbook;
    const char *cut = mr_printf(run.arena, "%s/cut.xlsx", run.dir);
    size_t n;
    char *bytes = file_text(run.arena, good, &n);
    static const double parts[] = {0, 0.1, 0.5, 0.9, 0.999};
    for (size_t i = 0; i < MR_COUNT(parts); i++) {
        FILE *f = fopen(cut, "w");
        fwrite(bytes, 1, (size_t)(parts[i] * (double)n), f);
        fclose(f);
        cr_assert(mr_book_check(run.arena, cut, 0, NULL), "cut to %g", parts[i]);
    }
    for (size_t k = 1; k < 12; k++) { /* one flipped byte of a part */
        const size_t at = past_local_header(bytes, n * k / 12);
        char keep = bytes[at];
        bytes[at] = (char)~keep;
        FILE *f = fopen(cut, "w");
        fwrite(bytes, 1, n, f);
        fclose(f);
        cr_assert(mr_book_check(run.arena, cut, 0, NULL), "flipped byte %zu of %zu", at, n);
        bytes[at] = keep;
    }
    cr_assert(mr_book_check(run.arena, "/nonexistent.xlsx", 0, NULL));
    run_end(&run);
}

/* A wrapped text of two lines needs a row of two lines, or its second line is hidden: 2 x 12.9 pt and 2 pt (project
 * decision). */
Test(book, a_row_is_as_high_as_its_wrapped_text) {
    struct run run = run_begin("job");
    struct mr_book *book = open_book(&run, "w.xlsx");
    struct mr_sheet *s = mr_sheet_add(book, "W");
    const double width = 30;
    mr_sheet_width(s, 0, width);
    const struct mr_cell_out cell = {.look = MR_LOOK_WRAP, .text = "first line\nsecond line"};
    mr_sheet_row(s, run.arena, 0, 1, &cell, &width);
    const char *wrong = mr_book_close(book);
    cr_assert_null(wrong, "%s", wrong);
    const int status =
        system(mr_printf(run.arena,
                         "unzip -p '%s/w.xlsx' xl/worksheets/sheet1.xml | grep -q 'ht=\"26.5' ||"
                         "python3 -c \"import zipfile,sys;sys.exit('ht=\\\"26.5' not in zipfile.ZipFile("
                         "'%s/w.xlsx').read('xl/worksheets/sheet1.xml').decode())\"",
                         run.dir, run.dir));
    cr_assert_eq(status, 0);
    run_end(&run);
}

/* The library has lost whole sheets and said that all is well: what was handed over is counted again. */
Test(book, a_sheet_that_lacks_rows_cells_or_pictures_is_noticed) {
    struct run run = run_begin("job");
    struct mr_book *book = open_book(&run, "c.xlsx");
    struct mr_sheet *a = mr_sheet_add(book, "One & two"), *b = mr_sheet_add(book, "Empty");
    for (unsigned row = 0; row < 5; row++)
        for (unsigned column = 0; column <= row; column++)
            mr_sheet_number(a, row, column, MR_LOOK_GENERAL, row + 0.5);
    cr_assert(b);
    const char *wrong = mr_book_close(book), *path = mr_printf(run.arena, "%s/c.xlsx", run.dir);
    cr_assert_null(wrong, "%s", wrong);
    const struct mr_sheet_meant good[] = {{"One & two", 5, 15, 0}, {"Empty", 0, 0, 0}};
    cr_assert_null(mr_book_check(run.arena, path, 2, good));
    struct mr_sheet_meant bad[] = {
        {"One & two", 6, 15, 0}, {"One & two", 5, 14, 0}, {"One & two", 5, 15, 1}, {"Two", 5, 15, 0}};
    for (size_t i = 0; i < MR_COUNT(bad); i++) {
        const struct mr_sheet_meant both[] = {bad[i], good[1]};
        cr_assert(mr_book_check(run.arena, path, 2, both), "row %zu", i);
    }
    cr_assert(mr_book_check(run.arena, path, 1, good), "a sheet too many");
    run_end(&run);
}

/* Every planted flaw must be seen by the checking script, else its silence means nothing. */
Test(book, checking_script_notices_planted_flaws) {
    struct run run = run_begin("job");
    cr_assert_eq(run_fixture(&run, 1, true), MR_OK);
    static const struct {
        const char *part, *from, *to;
    } rows[] = {
        {"xl/workbook.xml", "name=\\\"Findings\\\"", "name=\\\"verdict\\\""},
        {"xl/workbook.xml", "name=\\\"Findings\\\"", "name=\\\"Find/ings\\\""},
        {"xl/workbook.xml", "\\$4:\\$4", "#REF!"},
        {"xl/worksheets/sheet4.xml", "<v>203.2</v>", "<v>NAN</v>"},
        {"xl/worksheets/sheet4.xml", "<v>203.2</v>", "<v>203,2</v>"},
        {"xl/worksheets/sheet4.xml", "<is><t>Group</t></is>", "<is><t>Zone</t></is>"},
        {"xl/worksheets/sheet1.xml", "'Checks'!A1", "'Cheques'!A1"},
        {"xl/worksheets/sheet1.xml", "<f>'Zones'!", "<f>'Zone'!"},
        {"xl/worksheets/sheet1.xml", "</f><v>does not conform</v>", "</f><v></v>"},
        {"xl/drawings/drawing1.xml", "descr=", "title="},
    };
    char *text = NULL;
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        const char *bad = mr_printf(run.arena, "%s/bad.xlsx", run.dir);
        const char *code = mr_printf(
            run.arena,
            "python3 -c \"import zipfile,sys\nz=zipfile.ZipFile(sys.argv[1]);o={n:z.read(n) for n in z.namelist()}\n"
            "a=o[sys.argv[3]];b=a.replace(sys.argv[4].encode(),sys.argv[5].encode(),1)\nassert "
            "a!=b\no[sys.argv[3]]=b\n"
            "with zipfile.ZipFile(sys.argv[2],'w') as w:\n for n,d in o.items(): w.writestr(n,d)\" '%s' '%s' '%s' "
            "\"%s\" \"%s\"",
            run.published.workbook, bad, rows[i].part, rows[i].from, rows[i].to);
        cr_assert_eq(system(code), 0, "row %zu was not planted", i);
        const int status = python_script(run.arena, mr_printf(run.arena, "check-workbook.py %s", bad), &text);
        if (status == 77) {
            printf("SKIPPED ALOUD: %s", text);
            break;
        }
        cr_assert_neq(status, 0, "row %zu, %s: not noticed", i, rows[i].from);
    }
    run_end(&run);
}
