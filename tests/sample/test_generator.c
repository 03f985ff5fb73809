/*
 * The sample job is what its generator writes, to the byte: otherwise the truth behind it would be lost.
 */
#include "sample/folders.h"
#include "support/sample.h"

#include <criterion/criterion.h>
#include <ftw.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static char fresh[64];
static int files_seen;

static int compare_file(const char *path, const struct stat *st, int kind, struct FTW *walk) {
    (void)st;
    (void)walk;
    if (kind != FTW_F)
        return 0;
    size_t n_new, n_old;
    const char *below = path + strlen(fresh) + 1;
    char committed[512];
    snprintf(committed, sizeof committed, "sample-data/%s/%s", SAMPLE_FOLDER, below);
    char *made = folder_slurp(path, &n_new), *kept = folder_slurp(committed, &n_old);
    cr_assert(made != NULL);
    cr_assert(kept != NULL, "%s is not committed; run make sample", committed);
    size_t same = 0;
    while (same < n_new && same < n_old && made[same] == kept[same])
        same++;
    cr_assert(same == n_new && same == n_old, "%s differs from byte %zu on; run make sample", committed, same);
    free(made);
    free(kept);
    files_seen++;
    return 0;
}

static int count_file(const char *path, const struct stat *st, int kind, struct FTW *walk) {
    (void)st;
    (void)walk;
    if (kind == FTW_F && !strstr(path, "/reports/"))
        files_seen--;
    return 0;
}

Test(sample_generator, committed_files_are_what_the_generator_writes) {
    folder_make(fresh, sizeof fresh);
    cr_assert(sample_write(fresh));
    cr_assert_eq(nftw(fresh, compare_file, 8, FTW_PHYS), 0);
    cr_assert_geq(files_seen, 17);
    cr_assert_eq(nftw("sample-data/" SAMPLE_FOLDER, count_file, 8, FTW_PHYS), 0);
    cr_assert_eq(files_seen, 0, "the folder holds a file that the generator does not write");
    folder_remove(fresh);
}
