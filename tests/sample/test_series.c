/* The samples beside the sample job's workbook are those of its exports (scripts/check-series.py). */
#include "sample/folders.h"

#include <criterion/criterion.h>
#include <stdbool.h>
#include <stdlib.h>

static void hold(const char *folder, bool listed, int expected, const char *when) {
    free(folder_hold(folder,
                     listed ? "/usr/bin/python3 scripts/check-series.py \"$D\"/job"
                            : "/usr/bin/python3 scripts/check-series.py --values \"$D\"/job",
                     expected, when));
}

Test(sample_series, each_sample_stands_in_the_line_it_names, .timeout = 240) {
    static const char *const lies[] = {
        "sed -i '100s/,[0-9]*\\r*$/,9/' \"$D\"/series/pl-31.csv",         /* another line */
        "sed -i '/T10:0[0-9]:/d' \"$D\"/series/k8-117.csv",               /* rows left out */
        "sed -i '50s/,[0-9.]*,/,1.5,/3' \"$D\"/series/hy-2210.csv",       /* another value */
        "sed -i '60s/^\\(.*\\)Z,/\\1Z,2026/' \"$D\"/series/hy-2231.csv"}; /* another moment on site */
    char folder[64];
    folder_make(folder, sizeof folder);
    folder_copy_sample(folder);
    cr_assert_eq(folder_report(folder), 1);
    hold(folder, true, 0, "as published");
    cr_assert_eq(folder_run(folder, "mv \"$D\"/job/reports/latest/series \"$D\"/kept"), 0);
    for (size_t i = 0; i < sizeof lies / sizeof *lies; i++) {
        cr_assert_eq(folder_run(folder, "rm -rf \"$D\"/series \"$D\"/job/reports/latest/series && "
                                        "cp -r \"$D\"/kept \"$D\"/series"),
                     0);
        cr_assert_eq(folder_run(folder, lies[i]), 0);
        cr_assert_eq(folder_run(folder, "mv \"$D\"/series \"$D\"/job/reports/latest/series"), 0);
        hold(folder, false, 1, lies[i]);
    }
    hold(folder, true, 1, "a file that is not as listed");
    folder_remove(folder);
}
