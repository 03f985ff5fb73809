/*
 * test_pub_exports.c - climate files that nobody here wrote, from the data folder that stands beside the repository.
 * The files are not part of the project: where they are absent the test skips aloud.
 *
 * NREL MIDC 2018-10-14 and NREL TMY3 station 723170, as in the test data of pvlib-python; a dew point table by
 * halesowenweather.co.uk. The expected figures were typed from the files.
 */
#include "support/norm_rig.h"

#include "base/text.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool load(struct norm_rig *rig, const char *name) {
    const char *field = getenv("MILRISE_FIELD_DATA");
    char *path = mr_printf(rig->arena, "%s/climate/%s", field ? field : "", name);
    FILE *f = field ? fopen(path, "rb") : NULL;
    if (!f) {
        printf("SKIPPED ALOUD: %s is not there (MILRISE_FIELD_DATA)\n", name);
        return false;
    }
    char *data = mr_alloc(rig->arena, 1 << 20, 1);
    size_t n = fread(data, 1, 1 << 20, f);
    fclose(f);
    norm_add(rig, name, data, n);
    norm_run(rig);
    cr_assert(rig->status == MR_OK && norm_identity(rig));
    return true;
}

static int64_t at(int y, int m, int d, int hour, int minute) {
    return mr_days_from_civil(y, m, d) * INT64_C(86400000) + (hour * 60 + minute) * INT64_C(60000);
}

Test(exports, midc_minutes_with_date_and_time_apart_and_units_in_brackets) {
    struct norm_rig rig;
    norm_begin(&rig);
    if (load(&rig, "midc_20181014.txt")) {
        const struct mr_file *f = &rig.data->files.v[0];
        cr_expect_str_eq(f->date_order, "month-first");
        cr_expect(f->account.rows_used == 1440 && f->account.rows_set_aside == 0);
        static const double first[] = {-4.669, -4.987, -5.171}, last[] = {-7.915, -5.832, -6.152};
        for (size_t k = 0; k < 3; k++) {
            const struct mr_channel *c = norm_channel(&rig, 0, MR_M_PROBE_TEMP, k);
            cr_assert(c && c->n == 1440, "channel %zu", k);
            cr_expect(mr_real(&c->value, 0) == first[k] && mr_real(&c->value, 1439) == last[k], "channel %zu", k);
            for (size_t i = 0; i < c->n; i++)
                cr_assert(mr_whole(&c->t_ms, i) == at(2018, 10, 14, 0, (int)i) &&
                              mr_whole(&c->line, i) == (int64_t)i + 2,
                          "row %zu", i);
        }
    }
    norm_end(&rig);
}

Test(exports, tmy3_hours_that_end_at_24_below_a_row_of_metadata) {
    struct norm_rig rig;
    norm_begin(&rig);
    if (load(&rig, "tmy3_723170_first50.csv")) {
        const struct mr_channel *air = norm_channel(&rig, 0, MR_M_AIR, 0), *rh = norm_channel(&rig, 0, MR_M_RH, 0),
                                *dew = norm_channel(&rig, 0, MR_M_DEW, 0);
        cr_assert(air && rh && dew && air->n == 48, "%s", norm_line(&rig, 0));
        cr_expect(mr_real(&air->value, 0) == 10.0 && mr_real(&rh->value, 0) == 77 && mr_real(&dew->value, 0) == 6.1);
        cr_expect(mr_real(&air->value, 47) == 0.0 && mr_real(&rh->value, 47) == 75 &&
                  mr_real(&dew->value, 47) == -3.9);
        for (size_t i = 0; i < 48; i++)
            cr_assert(mr_whole(&air->t_ms, i) == at(1988, 1, 1, (int)i + 1, 0), "row %zu", i);
        cr_expect(rig.data->files.v[0].account.rows_header == 2);
    }
    norm_end(&rig);
}

Test(exports, a_dew_point_table_has_columns_and_units_but_no_time) {
    struct norm_rig rig;
    norm_begin(&rig);
    if (load(&rig, "dewpoint_table_C.csv")) {
        const struct mr_file *f = &rig.data->files.v[0];
        cr_expect(f->kind == MR_KIND_CLIMATE && f->account.by_reason[MR_ASIDE_NO_TIME] == 80, "%s",
                  norm_line(&rig, 0));
        cr_expect(f->columns[0].meaning == MR_M_AIR && f->columns[0].unit == MR_UNIT_C);
        cr_expect(f->columns[1].meaning == MR_M_RH && f->columns[1].unit == MR_UNIT_PCT);
        cr_expect(f->columns[2].meaning == MR_M_DEW && f->columns[2].unit == MR_UNIT_C);
    }
    norm_end(&rig);
}
