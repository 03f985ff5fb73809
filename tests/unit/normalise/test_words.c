/*
 * test_words.c - words of headings, and the names that are printed for a job file.
 */
#include "support/norm_rig.h"

#include "normalise/column/suggest.h"

#include <criterion/criterion.h>
#include <string.h>

Test(words, neither_letter_case_nor_accents_nor_marks_count) {
    static const struct {
        const char *text, *folded;
    } rows[] = {
        {"TEMPÉRATURE DE L’AIR", "temperature de l air"},
        {"temperatura do aço", "temperatura do aco"},
        {"Wilgotność względna", "wilgotnosc wzgledna"},
        {"GRUBOŚĆ POWŁOKI", "grubosc powloki"},
        {"Oberfla\xcc\x88"
         "che",
         "oberflache"}, /* the accent behind its letter */
        {"ΔT", "delta t"},
        {"∆Temp", "delta temp"},
        {"SteelTemp CH-03", "steel temp ch 03"},
        {"温度", "温度"},
    };
    struct norm_rig rig;
    norm_begin(&rig);
    for (size_t i = 0; i < MR_COUNT(rows); i++)
        cr_expect_str_eq(mr_words_fold(rig.arena, rows[i].text, strlen(rows[i].text)), rows[i].folded, "%s: %s",
                         rows[i].text, mr_words_fold(rig.arena, rows[i].text, strlen(rows[i].text)));
    norm_end(&rig);
}

Test(words, a_word_of_a_map_may_state_its_unit_and_nothing_else) {
    struct norm_rig rig;
    norm_begin(&rig);
    static const char map[] =
        "[kind]\nname = temperature\n[columns]\ntemperature = zz [degF], =qq\nsteel = yy [furlong]\n";
    MR_PUSH(rig.arena, &rig.job->texts,
            ((struct mr_text_file){.name = "columns/own.map", .data = map, .size = strlen(map)}));
    norm_add(&rig, "a.csv", "time,zz,qq\n2026-05-13 08:00,50,20\n2026-05-13 08:01,50,20\n", 0);
    norm_run(&rig);
    cr_expect_eq(rig.data->files.v[0].columns[1].unit, MR_UNIT_F);
    cr_expect(strstr(rig.data->files.v[0].columns[1].unit_why, "name says"), "%s",
              rig.data->files.v[0].columns[1].unit_why);
    cr_expect(strstr(norm_first(&rig, "column-map"), "tmpf [degF]"), "%s", norm_first(&rig, "column-map"));
    norm_end(&rig);
}

Test(words, keys_for_a_job_file_match_when_pasted) {
    struct norm_rig rig;
    norm_begin(&rig);
    norm_add(&rig, "logs/a \"b\".csv", "time,T = 1,same,same,\"a, [b]\",Prüfung\n2026-05-13 08:00,1,2,3,4,5\n", 0);
    struct mr_source *source = &rig.sources.list.v[0];
    static const char *const keys[] = {"column time", "column 2",      "column 3",
                                       "column 4",    "column a, [b]", "column Prüfung"};
    for (size_t i = 0; i < MR_COUNT(keys); i++) {
        const char *key = mr_column_key(rig.arena, source, i);
        cr_expect_str_eq(key, keys[i]);
        for (size_t k = 0; k < MR_COUNT(keys); k++)
            cr_expect_eq(mr_names_column(rig.arena, source, key + strlen("column "), k), k == i, "%s for column %zu",
                         key, k);
    }
    cr_expect_str_eq(mr_file_key(rig.arena, source), "[file \"logs/a ?b?.csv\"]");
    source->path = source->full_path = "/elsewhere/a.csv";
    cr_expect_str_eq(mr_file_key(rig.arena, source), "[file \"**/a.csv\"]");
    norm_end(&rig);
}
