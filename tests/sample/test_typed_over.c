/*
 * Cells of the sample's workbook that no formula follows, typed over in each row of every table on which an outcome
 * rests (scripts/typed-over.py): each is counted. Single ones: make recalculate.
 */
#include "sample/folders.h"

#include <criterion/criterion.h>
#include <stdlib.h>

Test(sample_typed_over, each_cell_on_which_an_outcome_rests_is_noticed, .timeout = 900) {
    char folder[64];
    folder_make(folder, sizeof folder);
    free(folder_hold(folder,
                     "/usr/bin/python3 -W ignore scripts/typed-over.py "
                     "\"${MILRISE_BIN:-build/release/milrise}\" --few",
                     0, "typed over"));
    folder_remove(folder);
}
