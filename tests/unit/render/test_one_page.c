/* However much there is to tell, the roll-up's page is one page, and what it leaves out is counted. */
#include "milrise/render.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

static const struct mr_field fields[] = {{"below", "Folder", MR_UNIT_NONE, 0},
                                         {"state", "State", MR_UNIT_NONE, 0},
                                         {"film_low_um", "Least mean", MR_UNIT_UM, 0},
                                         {"film_mean_um", "Mean", MR_UNIT_UM, 0},
                                         {"film_high_um", "Greatest mean", MR_UNIT_UM, 0}};

static void hold_page_of(size_t rows, size_t tables, const char *state) {
    static const char *const keys[] = {"below", "state", "film_mean_um", "no such column"};
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_table *t = mr_table_new(arena, "jobs", "Jobs", "", MR_COUNT(fields), fields);
    for (size_t i = 0; i < rows; i++) {
        const double um = 180 + (double)i / 50;
        const struct mr_value row[] = {mr_v_text(mr_printf(arena, "site/job %zu", i)), mr_v_text(state),
                                       mr_v_num(um - 20), mr_v_num(um), mr_v_num(um + 30)};
        mr_table_add(arena, t, row);
    }
    struct mr_one_page_part parts[8];
    for (size_t i = 0; i < tables; i++)
        parts[i] = (struct mr_one_page_part){"Jobs", t, 0, rows, MR_COUNT(keys), keys};
    const struct mr_one_page page = {.title = "Jobs of a share",
                                     .lead = "All of them.",
                                     .foot = "The report assists.",
                                     .version = "0",
                                     .n_parts = tables,
                                     .parts = parts,
                                     .film = t};
    char folder[] = "/tmp/milrise-page-XXXXXX", command[512];
    cr_assert_not_null(mkdtemp(folder));
    cr_assert_eq(mr_render_one_page(arena, folder, "page.pdf", &page), MR_OK);
    snprintf(command, sizeof command, "pdfinfo %s/page.pdf | grep -q '^Pages: *1$'", folder);
    cr_expect_eq(system(command), 0, "%zu rows in %zu tables: not one page", rows, tables);
    snprintf(command, sizeof command, "pdftotext %s/page.pdf - | grep -c 'more in the sheet Jobs' | grep -qx %zu",
             folder, rows > 100 ? tables : 0);
    cr_expect_eq(system(command), 0, "%zu rows in %zu tables: what is left out is not counted", rows, tables);
    snprintf(command, sizeof command, "rm -r %s", folder);
    cr_expect_eq(system(command), 0);
    mr_arena_free(arena);
}

Test(one_page, it_stays_one_page_however_much_there_is_to_tell) {
    hold_page_of(0, 1, "conforms");
    hold_page_of(1, 5, "conforms");
    hold_page_of(3000, 1, "does not conform");
    hold_page_of(3000, 5,
                 "mistake in the job file: job.milrise:1:1: the section's name is not closed, and so on and on");
}
