/*
 * test_stated_serials.c - a section of the job file is one device, whatever the pattern of its files catches. Common
 * practice, no source.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <string.h>

#define ROWS "Time,T1 [degC]\n2026-05-11 08:00,20.1\n2026-05-11 08:01,20.2\n2026-05-11 08:02,20.3\n"

static const struct {
    const char *name, *serial; /* of the section */
    const char *a, *b;         /* lines above the two files */
    bool stated;               /* [file] names the device of the second one */
    size_t used_a, used_b;
} rows[] = {{"K8", "", "Serial: K8\n", "Serial: K8\n", false, 3, 3},
            {"K8", "", "Serial: K8\n", "Serial: N3-208\n", false, 3, 0},
            {"K8", "", "Serial: K8\n", "Serial: N3-208\n", true, 3, 3},
            {"K8", "117", "Serial: 881\n", "Serial: 117\n", false, 0, 3},
            {"K8", "117", "Serial: K8\n", "Serial: K8-117\n", false, 3, 3},
            {"Deck logger", "", "Serial: 881\n", "Serial: 117\n", false, 0, 0},
            {"Deck logger", "", "Serial: 881\n", "Serial: 881\n", false, 3, 3},
            {"Deck logger", "", "Serial: 881\n", "", false, 3, 3}};

Test(stated_serials, a_section_is_one_device) {
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        const struct mr_instrument own = {.name = rows[i].name,
                                          .serial = rows[i].serial,
                                          .files = "temps*.csv",
                                          .time_zone = "",
                                          .uncertainty = "",
                                          .certificate = "",
                                          .certified_until_local_ms = MR_T_NONE,
                                          .zones = ""};
        MR_PUSH(rig.arena, &rig.job->instruments, own);
        if (rows[i].stated)
            norm_rule(&rig, "temps b.csv")->instrument = "N3-208";
        norm_add(&rig, "temps a.csv", mr_printf(rig.arena, "%s%s", rows[i].a, ROWS), 0);
        /* an hour later, so that neither repeats the other */
        char *later = mr_printf(rig.arena, "%s%s", rows[i].b, ROWS);
        for (char *p = strstr(later, " 08:"); p; p = strstr(p, " 08:"))
            p[2] = '9';
        norm_add(&rig, "temps b.csv", later, 0);
        norm_run(&rig);
        cr_expect(norm_identity(&rig));
        const size_t a = (size_t)rig.data->files.v[0].account.rows_used,
                     b = (size_t)rig.data->files.v[1].account.rows_used;
        cr_expect(a == rows[i].used_a && b == rows[i].used_b, "case %zu: %zu and %zu rows", i, a, b);
        cr_expect_eq(norm_count(&rig, "other-serial"), (size_t)((a == 0) + (b == 0)), "case %zu", i);
        norm_end(&rig);
    }
}
