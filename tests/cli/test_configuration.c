/*
 * test_configuration.c - what steered a report is listed with its hash: the job file, rules and maps of the job's
 * own, and those built in.
 */
#include "command_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

TestSuite(configuration, .init = cli_begin, .fini = cli_end, .timeout = 60);

/* By the system's own program, not by ours. */
static void sum_of(const char *name, char out[65]) {
    char command[512];
    snprintf(command, sizeof command, "sha256sum '%s/%s'", cli_dir, name);
    FILE *p = popen(command, "r");
    cr_assert(p && fread(out, 1, 64, p) == 64);
    out[64] = '\0';
    pclose(p);
}

static bool lists(const char *json, const char *name, const char *sum) {
    char path[256];
    snprintf(path, sizeof path, "\"path\": \"%s\"", name);
    const char *from = strstr(json, "\"configuration\": ["), *at = from ? strstr(from, path) : NULL,
               *sha = at ? strstr(at, sum) : NULL;
    return sha && sha - at < 200;
}

Test(configuration, job_file_rules_and_maps_are_inputs_with_their_hash) {
    static char json[1 << 22];
    static const char *const own[] = {"job.milrise", "rules/ours.rule", "columns/ours.map", "wording/ours.wording"};
    char command[512], path[256], sum[65];
    cli_put("job.milrise", "[job]\nname = Quay\ntime zone = UTC\n[thickness]\nminimum = 200 um\n");
    cli_put("zones.csv", "Zone,Area (m2),Coats\nDeck,10,1\n");
    snprintf(command, sizeof command,
             "cd '%s' && mkdir rules columns wording && cp \"$OLDPWD/templates/rules/plain-limits.rule\" "
             "rules/ours.rule && printf '[kind]\\nname = material\\n' > columns/ours.map && "
             "printf '[cover]\\nfirm = Ours\\n' > wording/ours.wording",
             cli_dir);
    cr_assert_eq(system(command), 0);
    cr_assert_eq(cli_run("report -q --no-charts ."), 1, "%s", cli_err);
    snprintf(path, sizeof path, "%s/reports/latest/report.json", cli_dir);
    cli_read(path, json, sizeof json);
    for (size_t i = 0; i < sizeof own / sizeof own[0]; i++) {
        sum_of(own[i], sum);
        cr_expect(lists(json, own[i], sum), "%s %s", own[i], sum);
    }
    const char *built_in = strstr(json, "\"path\": \"rules/restriction-level-3.rule\"");
    cr_expect(built_in && strstr(built_in, "\"built_in\": true") < built_in + 100);
    cr_expect_not_null(strstr(json, "\"id\": \"configuration\""), "and the sheet of the workbook");
}

/* Roofs stand on columns, and so may a folder's name; what lies there is read unless it is the job's own map or rule.
 */
Test(configuration, exports_in_a_folder_named_as_one_of_the_jobs_own_are_read) {
    static const char *const folders[] = {"columns", "rules", "wording"};
    static char json[1 << 22];
    for (size_t i = 0; i < MR_COUNT(folders); i++) {
        char command[256], path[256];
        snprintf(command, sizeof command, "rm -rf %s/* && mkdir %s/%s", cli_dir, cli_dir, folders[i]);
        cr_assert_eq(system(command), 0);
        cli_put("job.milrise", "[job]\nname = Quay\ntime zone = UTC\n[thickness]\nminimum = 200 um\n");
        cli_put("zones.csv", "Zone,Area (m2),Coats\nDeck,10,1\n");
        snprintf(path, sizeof path, "%s/film.csv", folders[i]);
        cli_put(path, "Date,Time,Zone,Spot,Reading (um)\n2026-05-11,10:00:00,Deck,1,150\n");
        cr_assert_eq(cli_run("report -q --no-charts ."), 1, "%s", cli_err);
        snprintf(path, sizeof path, "%s/reports/latest/report.json", cli_dir);
        cli_read(path, json, sizeof json);
        snprintf(path, sizeof path, "\"path\": \"%s/film.csv\"", folders[i]);
        const char *inputs = strstr(json, "\"inputs\": ["), *at = inputs ? strstr(inputs, path) : NULL,
                   *kind = at ? strstr(at, "\"kind\": \"thickness\"") : NULL;
        cr_expect(kind && kind - at < 400, "%s", folders[i]);
    }
}
