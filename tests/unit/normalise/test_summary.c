/*
 * test_summary.c - rows of statistics among readings: none counts, and no reading goes because of a word.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <string.h>

#define SPOTS "Zone,Spot,DFT um,Note\nDeck 1,1,212,wet edge\nDeck 1,2,214,\n"

static const struct {
    const char *head, *row;
    bool summary;
} rows[] = {
    {SPOTS, "Deck 1,Mean,213,", true},
    {SPOTS, "Deck 1,MIN,212,x", true},
    {SPOTS, "Deck 1,Std. Dev.,1.4,", true},
    {SPOTS, "Deck 1,Mittelwert,213,", true},
    {SPOTS,
     "Deck 1,\xc3\x89"
     "cart-type,1.4,",
     true},
    {SPOTS,
     "Deck 1,M\xc3\xa9"
     "dia,213,",
     true},
    {SPOTS, "Deck 1,n = 2,2,", true},
    {SPOTS, "Deck 1 average,,213,", true},
    {SPOTS, "Deck 1 Total,3,426,x", true},
    {SPOTS, "Average,3,213,x", true},
    {SPOTS, ",,213,average", true},
    {SPOTS, "Deck 1,3,2,count", true},
    {SPOTS, "Limits,,250,", true},
    {SPOTS, "Specification,1,250,x", true},
    {SPOTS, "SD,,1.4,", true},
    {SPOTS, "Range,,2,", true},
    {SPOTS, "Deck 1,Mean,213,\nDeck 1,n,2,", true},
    {SPOTS, "Mean,,213,\nSD,7,1.4,", true},
    /* genuine readings */
    {SPOTS, "Deck 1,n,212,", false},
    {SPOTS, "Deck 1,N,212,", false},
    {SPOTS, "N,3,212,", false},
    {SPOTS, "Deck 1,Mean,213,\nDeck 2,n,212,", false},
    {SPOTS, "End,1,212,", false},
    {SPOTS, "Deck 1,End,212,", false},
    {SPOTS, "Firing range,1,212,", false},
    {SPOTS, "Range,1,212,", false},
    {SPOTS, "Median,1,212,", false},
    {SPOTS, "East median,1,212,", false},
    {SPOTS, "SD,1,212,", false},
    {SPOTS, "Mean Street,1,212,", false},
    {SPOTS, "Total plant,1,212,", false},
    {SPOTS, "Zona media,1,212,", false},
    {SPOTS, "Deck 1,3,212,max", false},
    {SPOTS, "Deck 1,3,212,average of three", false},
    {SPOTS, "Deck 1,Maxwell,212,", false},
};

static uint64_t used(const char *text, uint64_t *aside) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "readings.csv", text, 0);
    norm_run(&rig);
    cr_expect(rig.status == MR_OK && norm_identity(&rig), "%s", text);
    cr_expect(rig.data->files.v[0].kind == MR_KIND_THICKNESS, "%s", text);
    uint64_t n = rig.data->files.v[0].account.rows_used;
    *aside = rig.data->files.v[0].account.by_reason[MR_ASIDE_SUMMARY];
    norm_end(&rig);
    return n;
}

Test(summary, a_word_of_statistics_counts_where_it_may_stand) {
    for (size_t i = 0; i < MR_COUNT(rows); i++) {
        char text[400];
        uint64_t aside;
        snprintf(text, sizeof text, "%s%s\n", rows[i].head, rows[i].row);
        uint64_t n = used(text, &aside), lines = strchr(rows[i].row, '\n') ? 2 : 1;
        cr_expect(n == 2 + (rows[i].summary ? 0 : 1), "%s: %d used", rows[i].row, (int)n);
        cr_expect(aside == lines - (rows[i].summary ? 0 : 1), "%s: %d set aside", rows[i].row, (int)aside);
    }
}

/* What a spreadsheet prints below a table is no row of it; the rows of a place of that name are. */
Test(summary, a_line_of_the_printer_is_no_row) {
    uint64_t aside;
    cr_expect(used("Zone,Spot,DFT um\nDeck 1,1,212\nDeck 1,2,214\nPage 1 of 1,,\n", &aside) == 2 && aside == 1);
    cr_expect(used("Zone,Spot,DFT um\nDeck 1,1,212\nDeck 1,2,214\nPrinted 2026-05-13 by QA\n", &aside) == 2 &&
              aside == 1);
    cr_expect(used("Zone,Spot,DFT um\nDeck 1,1,212\nDeck 1,2,214\nPage 1,3,215\n", &aside) == 3 && aside == 0);
}

/* Under a merged zone the word stands in the next cell, and would be hidden once the blank is filled in. */
Test(summary, merged_cells_hide_no_word_and_take_no_zone_from_it) {
    uint64_t aside;
    cr_expect(used("Zone,Spot,DFT um\nDeck 1,1,212\n,2,214\n,3,216\n,Mean,214\nDeck 1 average,,214\n,4,215\n",
                   &aside) == 4);
    cr_expect(aside == 2);
}
