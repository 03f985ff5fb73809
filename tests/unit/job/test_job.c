/* The job file: what it may say, and what is told when it says it wrongly. */
#include "read/job/job_reader.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static struct mr_arena *arena;
static struct mr_diags diags;

static void begin(void) {
    arena = mr_arena_new(NULL, NULL);
    mr_diags_init(&diags, arena);
}

static void end(void) {
    mr_arena_free(arena);
}

static enum mr_status read_job(const char *text, struct mr_job **job) {
    return mr_job_parse(arena, "dir", "job.milrise", text, strlen(text), &diags, job);
}

struct refused {
    const char *text, *told; /* the job file; the one line that it gets */
};

static void expect_refused(const struct refused *rows, size_t n) {
    for (size_t i = 0; i < n; i++) {
        struct mr_job *job;
        mr_diags_init(&diags, arena);
        cr_assert_eq(read_job(rows[i].text, &job), MR_E_JOB, "%s", rows[i].text);
        cr_assert_eq(diags.list.n, 1, "%s: %zu", rows[i].text, diags.list.n);
        cr_assert_str_eq(mr_diag_line(arena, &diags.list.v[0]), rows[i].told);
    }
}

TestSuite(job, .init = begin, .fini = end);

Test(job, the_template_is_a_job_file) {
    const struct mr_text_file *t = mr_template("job/job.milrise");
    cr_assert_not_null(t);
    struct mr_job *job;
    enum mr_status status = mr_job_parse(arena, "d", "job.milrise", t->data, t->size, &diags, &job);
    cr_assert_eq(status, MR_OK, "%s", diags.list.n ? mr_diag_line(arena, &diags.list.v[0]) : "");
    cr_assert_str_eq(job->name, "New job");
    cr_assert_float_eq(mr_set_num(&job->settings, MR_DFT_MIN), 200, 0);
}

Test(job, every_default_can_be_read) {
    const struct mr_job *job = mr_job_default(arena);
    for (size_t i = 0; i < MR_SETTING_COUNT; i++) {
        const struct mr_setting_def *def = &mr_setting_defs[i];
        bool wants_value = *def->initial && strcmp(def->initial, "none") != 0;
        cr_assert_eq(job->settings.v[i].set, wants_value, "[%s] %s", def->section, def->key);
        cr_assert_not(job->settings.v[i].from_job);
        if (wants_value && def->type != MR_SETTING_TEXT)
            cr_assert(isfinite(job->settings.v[i].value), "[%s] %s", def->section, def->key);
    }
}

Test(job, a_specification_takes_the_jobs_limits_wherever_it_stands) {
    struct mr_job *job;
    cr_assert_eq(
        read_job("[thickness \"Tank\"]\nmaximum = 20 mil\n[thickness]\nminimum = 8 mil\nmaximum = 12 mil\n", &job),
        MR_OK);
    const struct mr_settings *tank = mr_job_spec(job, "tank");
    cr_assert_not_null(tank);
    cr_assert_float_eq(mr_set_num(tank, MR_DFT_MIN), 8 * 25.4, 1e-12);
    cr_assert_float_eq(mr_set_num(tank, MR_DFT_MAX), 20 * 25.4, 1e-12);
    cr_assert_float_eq(tank->v[MR_DFT_MAX].written, 20, 0);
    cr_assert_eq(tank->v[MR_DFT_MAX].unit, MR_UNIT_MIL);
    cr_assert(tank->v[MR_DFT_MIN].from_job && tank->v[MR_DFT_MIN].place.line == 4);
    cr_assert_null(mr_job_spec(job, "deck"));
    cr_assert_eq(mr_job_spec(job, ""), &job->settings);
}

/* Lines that a report gives for pasting may stand at the end of the file. */
Test(job, a_second_section_of_an_instrument_adds_to_the_first) {
    struct mr_job *job;
    cr_assert_eq(read_job("[instrument \"L 1\"]\nfiles = a.csv\n[instrument \"L 1\"]\nclock offset = 24 h\n", &job),
                 MR_OK);
    cr_expect_eq(job->instruments.n, 1);
    cr_expect_str_eq(job->instruments.v[0].files, "a.csv");
    cr_expect_float_eq(job->instruments.v[0].offset_s, 86400, 0);
    cr_expect_eq(
        read_job("[instrument \"L 1\"]\nclock offset = 1 h\n[instrument \"L 1\"]\nclock offset = 24 h\n", &job),
        MR_E_JOB);
    cr_expect_eq(read_job("[instrument \"L 1\"]\nfiles = a.csv\n[instrument \"L 1\"]\nfiles = b.csv\n", &job),
                 MR_E_JOB);
}

Test(job, instruments_assignments_and_files) {
    struct mr_job *job;
    cr_assert_eq(
        read_job("[instrument \"Logger 1\"]\nserial = L-7\nclock check = 2026-05-11 08:00:00 shown, 2026-05-11 "
                 "07:56:00 true\n"
                 "[assign \"Logger 1\"]\nT1 = Deck 3, 2026-05-11 07:00 .. 2026-05-11 12:00\nT2 = gun\nall = Tank\n"
                 "[file \"x/*.csv\"]\nkind = thickness\ndelimiter = blanks\nmissing = -9999, 0\ncolumn Dicke 1 = "
                 "thickness [um]\n",
                 &job),
        MR_OK);
    const struct mr_instrument *i = mr_job_instrument(job, "l 7");
    cr_assert_not_null(i);
    cr_assert_eq(i->n_points, 1);
    cr_assert_eq(i->point[0].shown_local_ms - i->point[0].true_local_ms, 240000);
    cr_assert_eq(job->assignments.n, 3);
    cr_assert_str_eq(job->assignments.v[0].zone, "Deck 3");
    cr_assert_eq(job->assignments.v[0].to_local_ms - job->assignments.v[0].from_local_ms, 5 * 3600000);
    cr_assert_str_eq(job->assignments.v[1].zone, "gun");
    cr_assert_eq(job->assignments.v[1].from_local_ms, MR_T_NONE);
    cr_assert_str_eq(job->assignments.v[2].channel, "");
    cr_assert_str_eq(job->file_rules.v[0].column.v[0].name, "Dicke 1");
    cr_assert_str_eq(job->file_rules.v[0].column.v[0].unit, "um");
    cr_assert_str_eq(job->file_rules.v[0].delimiter, "blanks");
}

Test(job, what_is_wrong_is_told_with_place_and_mend) {
    static const struct refused rows[] = {
        {"[thickness]\nminimum = 12,5 mil\n",
         "job.milrise:2:11: error[job-file]: \"12,5 mil\" the number contains a "
         "comma; write a point for decimals and nothing "
         "between thousands (key \"minimum\"). Write a value from 1 um to 100 mm, or none."},
        {"[thickness]\nminimum = 200\n", "job.milrise:2:11: error[job-file]: \"200\" the unit is missing (key "
                                         "\"minimum\"). Write a value from 1 um to 100 mm, or none."},
        {"[thickness]\nminimun = 8 mil\n",
         "job.milrise:2:1: error[job-file]: \"minimun\" is not a key of this section. Did you mean \"minimum\"?"},
        {"[thicknes]\n",
         "job.milrise:1:1: error[job-file]: \"thicknes\" is not a section of a job file. Did you mean [thickness]?"},
        {"[climate]\ndew-point spread minimum = 3 degC\nrequired = perhaps\n",
         "job.milrise:3:12: error[job-file]: \"perhaps\" expected yes or no (key \"required\"). Write yes or no. For "
         "example: "
         "required "
         "= yes"},
        {"[thickness]\nminimum = 300 um\nmaximum = 8 mil\n",
         "job.milrise:3:11: error[job-file]: \"8 mil\" \"minimum\" is greater than \"maximum\" (300 um against 8 "
         "mil). "
         "Check both values and "
         "their units."},
        {"[instrument]\nserial = 1\n", "job.milrise:1:1: error[job-file]: \"instrument\" the section needs a name in "
                                       "quotes. Write it as [instrument \"gauge 1\"]."},
        {"[job]\ndates = 2026-05-12 .. 2026-05-11\n",
         "job.milrise:2:9: error[job-file]: \"2026-05-12 .. 2026-05-11\" "
         "the span ends before it begins (key \"dates\"). Write the "
         "earlier one first."},
        {"[file \"*\"]\ndates = european\n", "job.milrise:2:9: error[job-file]: \"european\" is not accepted "
                                             "here (key \"dates\"). Write one of: year-first, "
                                             "month-first, day-first, year-day-month."},
        {"[report]\nunits = metric\n",
         "job.milrise:2:9: error[job-file]: \"metric\" is not a system of units. Write SI or US."},
        {"x = 1\n",
         "job.milrise:1:5: error[job-file]: \"1\" comes before the first section (key \"x\"). Put it under "
         "a [section]."},
        {"[lines]\npause maximum = 5 min\npause maximum = 6 min\n",
         "job.milrise:3:17: error[job-file]: \"6 min\" this key appears twice in the section (key \"pause "
         "maximum\"). "
         "Keep one of "
         "them; the first is in line 2."},
    };
    expect_refused(rows, MR_COUNT(rows));
}

/* What would change nothing without a word is refused, and so is a word that no setting knows. */
Test(job, words_and_keys_without_effect_are_refused) {
    static const struct refused rows[] = {
        {"[thickness \"tank\"]\nverification tolerance = 2 %\n",
         "job.milrise:2:26: error[job-file]: \"2 %\" holds for the whole job (key \"verification tolerance\"). State "
         "it "
         "under [thickness], without the name of a specification."},
        {"[report \"tank\"]\nunits = US\n",
         "job.milrise:2:9: error[job-file]: \"US\" holds for the whole job (key \"units\"). State it under [report], "
         "without the name of a specification."},
        {"[thickness]\ncombine tolerances = product\n", "job.milrise:2:22: error[job-file]: \"product\" is no way to "
                                                        "combine tolerances. Write root sum of squares, or "
                                                        "sum."},
        {"[reaction \"tank\"]\nrise against thickness = yse\n",
         "job.milrise:2:26: error[job-file]: \"yse\" does not say whether heat is compared with film. Write yes, no "
         "or "
         "where possible."},
    };
    expect_refused(rows, MR_COUNT(rows));
    struct mr_job *job;
    mr_diags_init(&diags, arena);
    cr_assert_eq(read_job("[reaction]\nrise against thickness = Yes\n[thickness]\ncombine tolerances = Sum\n", &job),
                 MR_OK);
    cr_assert_str_eq(mr_set_text(&job->settings, MR_RISE_AGAINST), "yes");
    cr_assert_str_eq(mr_set_text(&job->settings, MR_DFT_CHECK_COMBINE), "sum");
}

/* Of two values nobody can say which holds, wherever the second one stands. */
Test(job, a_key_that_is_stated_twice_is_refused) {
    static const struct refused rows[] = {
        {"[thickness]\nminimum = 200 um\n[climate]\n[thickness]\nminimum = 100 um\n",
         "job.milrise:5:11: error[job-file]: \"100 um\" this key appears twice in the section (key \"minimum\"). "
         "Keep one of them; the first is in line 2."},
        {"[thickness \"Tank\"]\nminimum = 200 um\n[thickness \"tank\"]\nminimum = 100 um\n",
         "job.milrise:4:11: error[job-file]: \"100 um\" this key appears twice in the section (key \"minimum\"). "
         "Keep one of them; the first is in line 2."},
        {"[job]\nname = x\ntime zone = UTC\ntime zone = Asia/Tokyo\n",
         "job.milrise:4:13: error[job-file]: \"Asia/Tokyo\" this key appears twice in the section (key \"time "
         "zone\"). Keep one of them; the first is in line 3."},
        {"[file \"a.csv\"]\ndecimal = comma\ndecimal = point\n",
         "job.milrise:3:11: error[job-file]: \"point\" this key appears twice in the section (key \"decimal\"). "
         "Keep one of them; the first is in line 2."},
    };
    expect_refused(rows, MR_COUNT(rows));
}

/* Who decided and why: a mark that holds the place says neither. */
Test(job, a_disposition_says_who_and_why) {
    static const struct {
        const char *by, *why;
        enum mr_status status;
    } cases[] = {{"engineer", "the supplier allows this film", MR_OK},
                 {"QA", "built up by hand", MR_OK},
                 {"engineer", "tbd", MR_E_JOB},
                 {"engineer", "-", MR_E_JOB},
                 {"engineer", "", MR_E_JOB},
                 {"unknown", "built up by hand", MR_E_JOB},
                 {"N/A", "built up by hand", MR_E_JOB},
                 {"--", "built up by hand", MR_E_JOB}};
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        struct mr_job *job = NULL;
        const char *text = mr_printf(arena,
                                     "[job]\nname = x\ntime zone = UTC\n[disposition \"Deck\"]\ndecision = repair\n"
                                     "by = %s\nwhen = 2026-05-12\nwhy = %s\n",
                                     cases[i].by, cases[i].why);
        cr_expect_eq(read_job(text, &job), cases[i].status, "%s: %s", cases[i].by, cases[i].why);
    }
}

Test(job, a_missing_job_file_says_how_to_get_one) {
    const struct mr_job *job;
    cr_assert_eq(mr_job_load(arena, "/nonexistent", &diags, &job), MR_E_JOB);
    cr_assert_not_null(strstr(mr_diag_line(arena, &diags.list.v[0]), "milrise new"));
}

Test(job, the_texts_that_steer_a_job_are_listed_with_their_fingerprints) {
    char folder[] = "/tmp/milrise-job-XXXXXX", path[64];
    cr_assert(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/job.milrise", folder);
    FILE *f = fopen(path, "w");
    fputs("abc\n", f); /* not a job file, which does not matter here */
    fclose(f);
    const struct mr_job *job;
    cr_assert_eq(mr_job_load(arena, folder, &diags, &job), MR_E_JOB);
    cr_assert_gt(job->config.n, 10);
    cr_assert_str_eq(job->config.v[0].path, "job.milrise");
    /* by sha256sum */
    cr_assert_str_eq(job->config.v[0].sha256, "edeaaff3f1774ad2888673770c6d64097e391bc362d7d6fb34982ddf0efd18cb");
    cr_assert_not(job->config.v[0].built_in);
    cr_assert(job->config.v[job->config.n - 1].built_in);
    unlink(path);
    rmdir(folder);
}
