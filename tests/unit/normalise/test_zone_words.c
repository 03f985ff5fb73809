/*
 * test_zone_words.c - a time zone in words is taken where the job's zone is called so on the days of the file; else
 * the file asks. Letters and offsets by the IANA time zone data base: Chicago shows CDT (UTC-5) from the second
 * Sunday of March to the first of November, Berlin CEST from the last Sunday of March to the last of October.
 */
#include "support/norm_rig.h"

#include <criterion/criterion.h>
#include <string.h>

struct zone_case {
    const char *heading, *above, *cell, *below; /* where a zone is named; "" = not there */
    const char *job_zone;
    bool asks;
};

static const struct zone_case cases[] = {
    {"time", "", "", "", "America/Chicago", false},
    {"time [CDT]", "", "", "", "America/Chicago", false},
    {"time [CST]", "", "", "", "America/Chicago", true},
    {"time [CET]", "", "", "", "America/Chicago", true},
    {"time [EST]", "", "", "", "America/Chicago", true}, /* the same offset that day, and in daily use another */
    {"Uhrzeit MESZ", "", "", "", "Europe/Berlin", false},
    {"Uhrzeit MEZ", "", "", "", "Europe/Berlin", true},
    {"time (Winterzeit)", "", "", "", "Europe/Berlin", true},
    {"time (Sommerzeit)", "", "", "", "Europe/Berlin", false},
    {"time (Europe/Paris)", "", "", "", "Europe/Berlin", false}, /* the same rules */
    {"time (Europe/London)", "", "", "", "Europe/Berlin", true},
    {"time (local)", "", "", "", "America/Chicago", false},
    {"time", "Time zone: CDT\n", "", "", "America/Chicago", false},
    {"time", "Time zone: CET\n", "", "", "America/Chicago", true},
    {"time", "Time zone: server\n", "", "", "America/Chicago", true},
    {"time", "Zeitzone: CET/CEST\n", "", "", "Europe/Berlin", false},
    {"time", "Time zone: Central Daylight Time\n", "", "", "America/Chicago", false},
    {"time", "Time zone: Eastern Time\n", "", "", "America/Chicago", true},
    {"time", "All times are CET\n", "", "", "America/Chicago", true},
    {"time", "All times are UTC\n", "", "", "America/Chicago", true},
    {"time", "Export for CET Engineering\n", "", "", "America/Chicago", false},
    {"time", "", " CDT", "", "America/Chicago", false},
    {"time", "", " CET", "", "America/Chicago", true},
    {"time", "", " Europe/Berlin", "", "America/Chicago", true},
    {"time", "", "", "Time zone: CET\n", "America/Chicago", true},
    {"time", "", "", "Time zone: CDT\n", "America/Chicago", false},
    {"time (CT)", "", "", "", "America/Chicago", false},
    {"time (CT)", "", "", "", "Europe/Berlin", true},
    {"time (US Central)", "", "", "", "Europe/Berlin", true},
    {"time (HNE)", "", "", "", "America/Chicago", true},
    {"time (-0500)", "", "", "", "Europe/Berlin", false}, /* stated in figures: applied */
    {"time", "Plot title: deck, GMT-05:00\n", "", "", "America/Chicago", false},
    {"time", "Plot title: deck, GMT-05:00\n", "", "", "Europe/Berlin", true},
    {"time", "GMT Offset: -6\n", "", "", "Europe/Berlin", false}, /* stated in figures: applied */
    {"time", "GMT Offset: somewhere\n", "", "", "America/Chicago", true},
    {"time", "Fuseau: CET\n", "", "", "America/Chicago", true},
    {"time", "Data et heure du site\n", "", "", "America/Chicago", false},
};

static void check(const struct zone_case *c, const char *stated) {
    struct norm_rig rig;
    norm_begin(&rig);
    rig.job->file = "job.milrise";
    rig.job->time_zone = c->job_zone;
    if (*stated)
        norm_rule(&rig, "climate.csv")->time_zone = stated;
    const char *text = mr_printf(rig.arena,
                                 "%s%s,Air [degC],RH [%%]\n2026-05-11 07:00:00%s,20,60\n2026-05-11 07:05:00%s,21,61\n"
                                 "2026-05-11 07:10:00%s,21,62\n%s",
                                 c->above, c->heading, c->cell, c->cell, c->cell, c->below);
    norm_add(&rig, "climate.csv", text, 0);
    norm_run(&rig);
    const struct mr_channel *air = norm_channel(&rig, 0, MR_M_AIR, 0);
    bool asks = c->asks && !*stated;
    cr_expect(norm_identity(&rig));
    cr_expect(asks == !(air && air->n == 3), "%s|%s|%s|%s in %s: %s", c->heading, c->above, c->cell, c->below,
              c->job_zone, norm_line(&rig, 0));
    cr_expect(asks == (norm_count(&rig, "zone-word") > 0), "%s|%s|%s: what is said", c->heading, c->above, c->cell);
    cr_expect(!asks || strstr(rig.data->files.v[0].mend, "time zone = "), "%s: %s", c->heading,
              rig.data->files.v[0].mend);
    norm_end(&rig);
}

Test(zone_words, asks_or_fits) {
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        check(&cases[i], "");
}

Test(zone_words, what_the_job_says_stands) {
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++)
        check(&cases[i], "Etc/GMT-1");
}

/* Start and stop of a spray log have headings of their own. */
Test(zone_words, spray_log) {
    static const struct {
        const char *start;
        size_t rows;
    } logs[] = {{"start", 1}, {"start (CDT)", 1}, {"start (CET)", 0}, {"start (UTC)", 0}};
    for (size_t i = 0; i < sizeof logs / sizeof logs[0]; i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        rig.job->file = "job.milrise";
        rig.job->time_zone = "America/Chicago";
        norm_add(&rig, "spray-log.csv",
                 mr_printf(rig.arena, "date,zone,coat,%s,stop\n2026-05-11,Deck 1,1,08:00,08:20\n", logs[i].start), 0);
        norm_run(&rig);
        cr_expect(norm_identity(&rig) && rig.data->sprays.n == logs[i].rows, "%s: %s", logs[i].start,
                  norm_line(&rig, 0));
        norm_end(&rig);
    }
}

/* 08:00 six hours behind UTC is 14:00 UTC. A number above 14 can only be minutes. */
Test(zone_words, an_offset_in_figures_is_applied) {
    static const struct {
        const char *above, *heading;
        int64_t first_utc_ms;
    } offsets[] = {{"GMT Offset: -6\n", "time", INT64_C(1778680800000)},
                   {"TZ offset: -300\n", "time", INT64_C(1778677200000)},
                   {"", "time (-0500)", INT64_C(1778677200000)},
                   {"Offset from UTC: -05:00\n", "time", INT64_C(1778677200000)}};
    for (size_t i = 0; i < MR_COUNT(offsets); i++) {
        struct norm_rig rig;
        norm_begin(&rig);
        norm_add(&rig, "a.csv",
                 mr_printf(rig.arena, "%s%s,Air degC,RH %%\n2026-05-13 08:00:00,20,50\n2026-05-13 08:01:00,20,51\n",
                           offsets[i].above, offsets[i].heading),
                 0);
        norm_run(&rig);
        cr_assert_gt(rig.data->channels.n, 0, "%s", norm_line(&rig, 0));
        cr_expect_eq(rig.data->files.v[0].basis, MR_TIME_UTC);
        cr_expect_eq(mr_whole(&rig.data->channels.v[0].t_ms, 0), offsets[i].first_utc_ms, "%s%s", offsets[i].above,
                     offsets[i].heading);
        norm_end(&rig);
    }
}
