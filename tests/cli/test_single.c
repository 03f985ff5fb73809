/* One figure, one submittal, by a command of its own; words of the job's own on its pages. */
#include "command_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

TestSuite(single, .init = cli_begin, .fini = cli_end, .timeout = 120);

static const char job[] = "[job]\nname = Quay\ntime zone = UTC\n[thickness]\nminimum = 200 um\nmaximum = 400 um\n"
                          "rules = plain-limits\n";
static const char zones[] = "Zone,Aliases,Area (m2),Coats\nDeck plate 1,D1,10,1\nDeck plate 2,D2,10,1\n";
static const char thin[] = "Date,Time,Zone,Spot,Reading (um)\n2026-05-11,10:00:00,Deck plate 1,1,150\n"
                           "2026-05-11,10:00:10,Deck plate 1,1,151\n2026-05-11,10:00:20,Deck plate 1,1,152\n"
                           "2026-05-11,10:05:00,Deck plate 2,1,250\n2026-05-11,10:05:10,Deck plate 2,1,251\n"
                           "2026-05-11,10:05:20,Deck plate 2,1,252\n";

static void put_job(void) {
    cli_put("job.milrise", job);
    cli_put("zones.csv", zones);
    cli_put("gauge.csv", thin);
}

static const char *file(const char *name) {
    static char text[1 << 20];
    char path[256];
    snprintf(path, sizeof path, "%s/%s", cli_dir, name);
    memset(text, 0, sizeof text);
    cli_read(path, text, sizeof text);
    return text;
}

/* The text of a PDF's pages; NULL where pdftotext is missing. */
static const char *pdf_text(const char *name) {
    char command[512];
    snprintf(command, sizeof command, "cd %s && pdftotext -layout '%s' text.txt", cli_dir, name);
    return system(command) == 0 ? file("text.txt") : NULL;
}

static void hold(const char *text, const char *part) {
    cr_expect_not_null(strstr(text, part), "\"%s\" in: %.2000s", part, text);
}

Test(single, a_figure_is_made_in_the_format_asked_for) {
    put_job();
    cr_assert_eq(cli_run("figure . --kind thickness --zone D1 --format svg"), 0);
    hold(cli_out, "thickness-deck-plate-1.svg\n");
    hold(file("reports/thickness-deck-plate-1.svg"), "<svg");
    cr_assert_not(cli_there("reports/thickness-deck-plate-2.svg"));
    cr_assert_eq(cli_run("figure . -k thickness -q"), 0);
    cr_assert_str_empty(cli_out);
    hold(file("reports/thickness-deck-plate-1.pdf"), "%PDF-1.5");
    hold(file("reports/thickness-deck-plate-2.pdf"), "%PDF-1.5");
}

/* One figure, one number, one file: made alone it is drawn anew, in the second report it was taken over. */
Test(single, a_figure_made_alone_is_the_one_that_the_report_holds) {
    static const char *const names[] = {"png", "svg", "pdf"};
    char with[1024], command[512];
    put_job();
    cr_assert_eq(cli_run("report -q"), 1);
    snprintf(with, sizeof with, "%s2026-05-11,10:10:00,Deck plate 2,2,260\n", thin);
    cli_put("gauge.csv", with);
    cr_assert_eq(cli_run("report -q"), 1);
    hold(file("reports/revision-1/charts/thickness-deck-plate-1.svg"), "Quay · since revision 0 · ");
    hold(file("reports/revision-1/charts/thickness-deck-plate-2.svg"), "Quay · since revision 1 · ");
    for (size_t i = 0; i < 3; i++) {
        snprintf(command, sizeof command, "figure . -q --kind thickness --format %s", names[i]);
        cr_assert_eq(cli_run(command), 0);
        for (int deck = 1; deck <= 2; deck++) {
            snprintf(command, sizeof command,
                     "cd %s/reports && cmp thickness-deck-plate-%d.%s latest/charts/thickness-deck-plate-%d.%s",
                     cli_dir, deck, names[i], deck, names[i]);
            cr_expect_eq(system(command), 0, "deck %d, %s", deck, names[i]);
        }
    }
    cr_assert_eq(cli_run("figure . -q --kind thickness --zone D1 --size slide --format svg"), 0);
    hold(file("reports/thickness-deck-plate-1.svg"), "Quay · since revision 0 · ");
    cli_put("gauge.csv", thin);
    cr_assert_eq(cli_run("figure . -q --kind thickness --zone D1 --format svg"), 0);
    hold(file("reports/thickness-deck-plate-1.svg"), "draft, not published");
}

/* A figure or a submittal in the job's own folder would be an input of the next report. */
Test(single, what_is_made_never_becomes_an_input) {
    put_job();
    cr_assert_eq(cli_run("report -q"), 1);
    for (int i = 0; i < 2; i++) {
        cr_assert_eq(cli_run("figure . -k thickness -f svg"), 0);
        hold(cli_out, "./reports/thickness-deck-plate-1.svg\n");
        hold(file("reports/thickness-deck-plate-1.svg"), "since revision 0");
        cr_assert_eq(cli_run("submittal . -q"), 1);
        cr_assert_eq(cli_run("report -q"), 1);
        cr_assert_not(cli_there("reports/revision-1"));
    }
    cr_assert_eq(cli_run("figure . -k thickness --to ."), 2);
    hold(cli_err, ". lies in the job folder, where every file is an input. Name a folder elsewhere, or ./reports.");
    cr_assert_eq(cli_run("submittal . --to ."), 2);
    cr_assert_not(cli_there("thickness-deck-plate-1.pdf"));
    cr_assert_eq(cli_run("figure . -q -k thickness -f svg --to /tmp"), 0);
    cr_assert_eq(remove("/tmp/thickness-deck-plate-1.svg"), 0);
    cr_assert_eq(remove("/tmp/thickness-deck-plate-2.svg"), 0);
}

Test(single, names_that_are_not_there_are_answered_with_those_that_are) {
    put_job();
    cr_assert_eq(cli_run("figure ."), 0);
    hold(cli_out, "thickness");
    hold(cli_out, "half-page");
    cr_assert_eq(cli_run("figure . -k thicknes"), 2);
    hold(cli_err, "there is no kind \"thicknes\". Did you mean \"thickness\"? There are: verdicts, ");
    cr_assert_eq(cli_run("figure . -k thickness -Z huge"), 2);
    hold(cli_err, "there is no size \"huge\". There are: half-page, ");
    cr_assert_eq(cli_run("figure . -k thickness -f bmp"), 2);
    hold(cli_err, "There are: png, svg, pdf.");
    cr_assert_eq(cli_run("figure . -k thickness -z \"Deck plat 2\""), 2);
    hold(cli_err, "Did you mean \"Deck plate 2\"?");
    cr_assert_eq(cli_run("figure . -k lines"), 3);
    hold(cli_err, "no figure of the kind lines");
    cr_assert_eq(cli_run("submittal . -z nowhere"), 2);
    hold(cli_err, "There are: Deck plate 1, Deck plate 2.");
}

Test(single, the_job_chooses_the_figures_of_a_report) {
    put_job();
    char with[512];
    snprintf(with, sizeof with, "%s[report]\nfigures = standard, normal-plots\n", job);
    cli_put("job.milrise", with);
    cr_assert_eq(cli_run("report -q"), 2);
    hold(cli_err, "job.milrise:9:11");
    hold(cli_err, "\"normal-plots\" is no kind of figure");
    hold(cli_err, "Did you mean normal-plot? There are: standard, all, verdicts, ");
    snprintf(with, sizeof with, "%s[report]\nfigures = thickness\n", job);
    cli_put("job.milrise", with);
    cr_assert_eq(cli_run("report -q"), 1);
    cr_assert(cli_there("reports/latest/charts/thickness-deck-plate-1.png"));
    cr_assert_not(cli_there("reports/latest/charts/verdicts.png"));
    cli_put("job.milrise", job);
    cr_assert_eq(cli_run("report -q"), 1);
    cr_assert(cli_there("reports/latest/charts/verdicts.png"), "another choice is another report");
}

/* Of the submittal in the folder; NULL, and said, without pdftotext. */
static const char *submittal_text(const char *of_zones) {
    char name[64];
    snprintf(name, sizeof name, "reports/%s-submittal%s.pdf", strrchr(cli_dir, '/') + 1, of_zones);
    const char *text = pdf_text(name);
    if (!text)
        printf("SKIPPED ALOUD: pdftotext is not there\n");
    return text;
}

Test(single, a_submittal_is_a_draft_until_a_revision_says_the_same) {
    put_job();
    cr_assert_eq(cli_run("submittal . -q"), 1);
    const char *text = submittal_text("");
    if (!text)
        return;
    hold(text, "draft, not published");
    cr_assert_eq(cli_run("report -q"), 1);
    cr_assert_eq(cli_run("submittal . -q -z D2"), 1);
    text = submittal_text("-deck-plate-2");
    cr_assert_null(strstr(text, "draft"));
    hold(text, "revision 0");
    hold(text, "These pages show 1 of 2 zones: Deck plate 2.");
    hold(text, "2 zones: ");
}

/* A PNG of one white pixel, made by hand: signature, IHDR, IDAT, IEND (PNG specification, 5). */
static const unsigned char pixel[] = {
    0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 0x00, 0x00, 0x00, 0x0d, 0x49, 0x48, 0x44, 0x52, 0x00, 0x00,
    0x00, 0x01, 0x00, 0x00, 0x00, 0x01, 0x08, 0x02, 0x00, 0x00, 0x00, 0x90, 0x77, 0x53, 0xde, 0x00, 0x00, 0x00,
    0x0c, 0x49, 0x44, 0x41, 0x54, 0x78, 0xda, 0x63, 0xf8, 0xff, 0xff, 0x3f, 0x00, 0x05, 0xfe, 0x02, 0xfe, 0x33,
    0x12, 0x95, 0x14, 0x00, 0x00, 0x00, 0x00, 0x49, 0x45, 0x4e, 0x44, 0xae, 0x42, 0x60, 0x82};

static const char own[] = "[cover]\nfirm = Example Coatings\ntitle = Bericht\nlogo = logo.png\nroles = Signed by\n"
                          "[headings]\nFindings = Feststellungen\n";

static void put_wording(const char *text) {
    char path[256];
    snprintf(path, sizeof path, "mkdir -p %s/wording", cli_dir);
    cr_assert_eq(system(path), 0);
    cli_put("wording/own.wording", text);
    snprintf(path, sizeof path, "%s/wording/logo.png", cli_dir);
    FILE *f = fopen(path, "wb");
    cr_assert_eq(fwrite(pixel, 1, sizeof pixel, f), sizeof pixel);
    fclose(f);
    put_job();
    char with[512];
    snprintf(with, sizeof with, "%s[report]\nwording = own\npaper = Letter\n", job);
    cli_put("job.milrise", with);
}

Test(single, a_job_may_have_words_of_its_own) {
    put_wording(own);
    cr_assert_eq(cli_run("submittal . -q"), 1, "%s", cli_err);
    const char *text = submittal_text("");
    if (!text)
        return;
    hold(text, "Example Coatings");
    hold(text, "Bericht");
    hold(text, "Signed by");
    hold(text, "Feststellungen");
    cr_assert_null(strstr(text, "Accepted for the owner by"));
    cr_assert_null(strstr(text, "cannot be drawn"));
}

Test(single, a_mistake_in_the_words_stops_with_its_place) {
    put_wording("[cover]\nfrm = Example Coatings\n");
    cr_assert_eq(cli_run("submittal . -q"), 2);
    hold(cli_err, "wording/own.wording:2:1");
    hold(cli_err, "firm");
    put_wording("[cover]\nlogo = other.png\n");
    cr_assert_eq(cli_run("submittal . -q"), 2);
    hold(cli_err, "wording/own.wording:2:");
    put_wording("[cover]\nlogo = own.wording\n");
    cr_assert_eq(cli_run("submittal . -q"), 2);
    hold(cli_err, "is no PNG file of at most 4000 by 4000 points");
    put_wording(own);
    cli_put("job.milrise", "[job]\nname = Quay\ntime zone = UTC\n[report]\nwording = owm\npaper = A7\n");
    cr_assert_eq(cli_run("submittal . -q"), 2);
    hold(cli_err, "Did you mean own?");
    hold(cli_err, "A4 or Letter");
}
