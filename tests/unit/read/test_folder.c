/*
 * test_folder.c - which files a job has, in which order, and by which rules.
 */
#include "milrise/read.h"
#include "read/job/job_lookup.h"
#include "read/source/source.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static char *make_folder(struct mr_arena *arena) {
    char *dir = mr_printf(arena, "%s/milrise-folder-XXXXXX", getenv("TMPDIR") ? getenv("TMPDIR") : "/tmp");
    cr_assert(mkdtemp(dir));
    return dir;
}

static void put_file(struct mr_arena *arena, const char *dir, const char *path, const char *text) {
    FILE *f = fopen(mr_printf(arena, "%s/%s", dir, path), "w");
    cr_assert(f, "%s", path);
    fputs(text, f);
    fclose(f);
}

static void put_folder(struct mr_arena *arena, const char *dir, const char *path) {
    cr_assert_eq(mkdir(mr_printf(arena, "%s/%s", dir, path), 0777), 0);
}

static void remove_folder(struct mr_arena *arena, const char *dir) {
    cr_assert_eq(system(mr_printf(arena, "rm -rf '%s'", dir)), 0);
}

static struct mr_job *job_in(struct mr_arena *arena, const char *dir) {
    struct mr_job *job = MR_NEW(arena, struct mr_job);
    *job = *mr_job_default(arena);
    job->dir = dir;
    return job;
}

static struct mr_file_rule rule_for(const char *glob) {
    return (struct mr_file_rule){.glob = glob,
                                 .kind = "",
                                 .encoding = "",
                                 .delimiter = "",
                                 .decimal = "",
                                 .dates = "",
                                 .time_zone = "",
                                 .instrument = "",
                                 .missing = "",
                                 .columns = ""};
}

static char *listed(struct mr_arena *arena, const struct mr_sources *sources) {
    char *text = mr_strdup(arena, "");
    for (size_t i = 0; i < sources->list.n; i++)
        text = mr_printf(arena, "%s%s%s%s", text, i ? " " : "", sources->list.v[i].readable ? "" : "!",
                         sources->list.v[i].path);
    return text;
}

Test(folder, files_are_listed_in_byte_order_and_the_jobs_own_ones_left_out) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    char *dir = make_folder(arena);
    static const char *const folders[] = {"reports", "columns", "rules", "steel", "steel/reports", ".git"};
    static const char *const files[] = {"job.milrise",
                                        "reports/r.xlsx",
                                        "columns/a.map",
                                        "rules/b.rule",
                                        "columns/film.csv",
                                        "b.csv",
                                        "a.csv",
                                        "Z.csv",
                                        "steel/2.csv",
                                        "steel/10.csv",
                                        "steel/reports/x.csv",
                                        ".hidden",
                                        ".git/x",
                                        "steel/job.milrise",
                                        "skip.csv"};
    for (size_t i = 0; i < MR_COUNT(folders); i++)
        put_folder(arena, dir, folders[i]);
    for (size_t i = 0; i < MR_COUNT(files); i++)
        put_file(arena, dir, files[i], "a,b\n1,2\n");
    cr_assert_eq(symlink("steel", mr_printf(arena, "%s/again", dir)), 0);
    cr_assert_eq(symlink("nowhere", mr_printf(arena, "%s/dangling.csv", dir)), 0);
    cr_assert_eq(symlink("../a.csv", mr_printf(arena, "%s/steel/link.csv", dir)), 0);
    cr_assert_eq(mkfifo(mr_printf(arena, "%s/pipe.csv", dir), 0666), 0);

    struct mr_job *job = job_in(arena, dir);
    struct mr_file_rule ignore = rule_for("skip*");
    ignore.kind = "ignore";
    MR_PUSH(arena, &job->file_rules, ignore);
    struct mr_diags diags;
    struct mr_sources sources;
    mr_diags_init(&diags, arena);
    cr_assert_eq(mr_read_folder(arena, job, &diags, &sources), MR_OK);
    cr_expect_str_eq(listed(arena, &sources),
                     "Z.csv a.csv b.csv columns/film.csv !dangling.csv !pipe.csv steel/10.csv steel/2.csv "
                     "steel/job.milrise steel/link.csv steel/reports/x.csv");
    cr_assert_eq(diags.list.n, 3);
    cr_expect_str_eq(diags.list.v[0].id, "linked-folder");
    cr_expect_str_eq(diags.list.v[1].place.file, "dangling.csv");
    cr_expect_str_eq(diags.list.v[1].what, "cannot be read: No such file or directory");
    cr_expect_str_eq(diags.list.v[2].what, "cannot be read: it is a folder, a pipe or a device");
    char *dump = mr_read_dump(arena, &sources);
    cr_expect(strstr(dump, "read: 11 files\nfile Z.csv\n  8 bytes, sha256 "), "%s", dump);
    cr_expect(strstr(dump, "file pipe.csv\n  not readable\n"), "%s", dump);
    remove_folder(arena, dir);
    mr_arena_free(arena);
}

Test(folder, a_job_folder_that_is_not_there_is_an_error) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_diags diags;
    struct mr_sources sources;
    mr_diags_init(&diags, arena);
    cr_expect_eq(mr_read_folder(arena, job_in(arena, "/nonexistent/folder"), &diags, &sources), MR_E_IO);
    cr_expect_eq(diags.count[MR_ERROR], 1);
    cr_expect_eq(sources.list.n, 0);
    mr_arena_free(arena);
}

Test(folder, names_that_are_no_text_are_shown_harmless) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    char *dir = make_folder(arena);
    put_file(arena, dir, "a\n\xFF.csv", "a,b\n1,2\n");
    struct mr_sources sources;
    cr_assert_eq(mr_read_folder(arena, job_in(arena, dir), NULL, &sources), MR_OK);
    cr_assert_eq(sources.list.n, 1);
    cr_expect_str_eq(sources.list.v[0].path, "a\\x0a\\xff.csv");
    cr_expect(sources.list.v[0].readable);
    remove_folder(arena, dir);
    mr_arena_free(arena);
}

Test(folder, of_several_rules_the_first_that_states_a_key_wins) {
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_job *job = job_in(arena, "x");
    struct mr_file_rule first = rule_for("steel/*.csv"), second = rule_for("**/*.csv");
    struct mr_file_column a = {.name = "P1", .meaning = "temperature", .unit = ""},
                          b = {.name = "P1", .meaning = "ignore", .unit = ""};
    first.encoding = "windows-1252";
    second.encoding = "utf-8";
    second.delimiter = "semicolon";
    MR_PUSH(arena, &first.column, a);
    MR_PUSH(arena, &second.column, b);
    MR_PUSH(arena, &job->file_rules, first);
    MR_PUSH(arena, &job->file_rules, second);
    const struct mr_file_rule *rule = mr_file_rule_for(arena, job, "steel/x.csv");
    cr_assert(rule);
    cr_expect_str_eq(rule->encoding, "windows-1252");
    cr_expect_str_eq(rule->delimiter, "semicolon");
    cr_expect_str_eq(rule->dates, "");
    cr_assert_eq(rule->column.n, 2);
    cr_expect_str_eq(rule->column.v[0].meaning, "temperature");
    cr_expect_null(mr_file_rule_for(arena, job, "notes.txt"));
    mr_arena_free(arena);
}
