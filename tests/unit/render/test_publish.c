/* All or nothing: what stands in the reports folder after deaths, full disks, foreign files and refusals. */
#include "render/publish/publish.h"
#include "render_run.h"

#include <criterion/criterion.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static void stage(struct mr_publish *pub, const char *path, const char *text) {
    size_t index;
    file_put(mr_publish_path(pub, path, &index), text);
    cr_assert_eq(mr_publish_close(pub, index), MR_OK);
}

static void publish(struct run *run, const char *const *paths, const char *text) {
    struct mr_publish pub;
    cr_assert_eq(mr_publish_begin(&pub, run->arena, mr_printf(run->arena, "%s/reports", run->dir), &run->diags),
                 MR_OK);
    for (size_t i = 0; paths[i]; i++)
        stage(&pub, paths[i], text);
    cr_assert_eq(mr_publish_seal(&pub), MR_OK);
    cr_assert_eq(mr_publish_commit(&pub), MR_OK);
}

static const char *const three[] = {"charts/a.png", "x-report.xlsx", "report.json", NULL};

static const char *reports_text(struct run *run, const char *path) {
    const char *text = file_text(run->arena, mr_printf(run->arena, "%s/reports/%s", run->dir, path), NULL);
    return text ? text : "absent";
}

static void expect_all(struct run *run, const char *text) {
    for (size_t i = 0; three[i]; i++)
        cr_assert_str_eq(reports_text(run, three[i]), text, "%s holds %s, not %s", three[i],
                         reports_text(run, three[i]), text);
}

/* Dies by kill -9 in a child: after staging, after the journal, or in the middle of the renames. */
enum death { BEFORE_JOURNAL, AFTER_JOURNAL, AFTER_ONE_RENAME, AFTER_TWO_RENAMES };

static void die_in_child(struct run *run, enum death death) {
    fflush(NULL);
    pid_t child = fork();
    if (child == 0) {
        struct mr_publish pub;
        const char *out = mr_printf(run->arena, "%s/reports", run->dir);
        if (mr_publish_begin(&pub, run->arena, out, NULL) != MR_OK)
            _exit(9);
        for (size_t i = 0; three[i]; i++) {
            size_t index;
            file_put(mr_publish_path(&pub, three[i], &index), "new");
            if (mr_publish_close(&pub, index) != MR_OK)
                _exit(9);
        }
        if (death > BEFORE_JOURNAL && mr_publish_seal(&pub) != MR_OK)
            _exit(9);
        for (int i = 0; i < (int)death - AFTER_JOURNAL; i++)
            if (rename(mr_printf(run->arena, "%s/new/%s", pub.staging, three[i]),
                       mr_printf(run->arena, "%s/%s", out, three[i])) != 0)
                _exit(9);
        kill(getpid(), SIGKILL);
    }
    int status;
    waitpid(child, &status, 0);
    cr_assert(WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL, "the child ended otherwise: %x", status);
}

Test(publish, death_before_the_journal_leaves_the_former_reports) {
    struct run run = run_begin("job");
    publish(&run, three, "old");
    die_in_child(&run, BEFORE_JOURNAL);
    expect_all(&run, "old");
    struct mr_publish pub;
    cr_assert_eq(mr_publish_begin(&pub, run.arena, mr_printf(run.arena, "%s/reports", run.dir), &run.diags), MR_OK);
    mr_publish_discard(&pub);
    expect_all(&run, "old");
    cr_assert_null(strstr(tree_text(run.arena, run.dir), ".staging"), "%s", tree_text(run.arena, run.dir));
    run_end(&run);
}

Test(publish, death_after_the_journal_is_finished_by_the_next_run) {
    for (int death = AFTER_JOURNAL; death <= AFTER_TWO_RENAMES; death++) {
        struct run run = run_begin("job");
        publish(&run, three, "old");
        die_in_child(&run, (enum death)death);
        struct mr_publish pub;
        cr_assert_eq(mr_publish_begin(&pub, run.arena, mr_printf(run.arena, "%s/reports", run.dir), &run.diags),
                     MR_OK);
        mr_publish_discard(&pub);
        expect_all(&run, "new");
        cr_assert_null(strstr(tree_text(run.arena, run.dir), ".staging"));
        run_end(&run);
    }
}

Test(publish, half_a_journal_does_not_count) {
    struct run run = run_begin("job");
    publish(&run, three, "old");
    const char *staging = mr_printf(run.arena, "%s/reports/.staging-99999999", run.dir);
    mkdir(staging, 0777);
    mkdir(mr_printf(run.arena, "%s/new", staging), 0777);
    file_put(mr_printf(run.arena, "%s/new/report.json", staging), "new");
    file_put(mr_printf(run.arena, "%s/commit", staging), "milrise outputs 1\nnew report.json\nen");
    publish(&run, (const char *const[]){"other", NULL}, "x");
    expect_all(&run, "old");
    run_end(&run);
}

Test(publish, staging_of_a_run_at_work_is_left_alone) {
    struct run run = run_begin("job");
    struct mr_publish first;
    cr_assert_eq(mr_publish_begin(&first, run.arena, mr_printf(run.arena, "%s/reports", run.dir), &run.diags), MR_OK);
    stage(&first, "report.json", "first");
    publish(&run, three, "second");
    expect_all(&run, "second");
    cr_assert_eq(mr_publish_seal(&first), MR_OK);
    cr_assert_eq(mr_publish_commit(&first), MR_OK);
    cr_assert_str_eq(reports_text(&run, "report.json"), "first");
    run_end(&run);
}

Test(publish, refused_rename_is_undone) {
    struct run run = run_begin("job");
    publish(&run, three, "old");
    const char *blocked = mr_printf(run.arena, "%s/reports/z-last", run.dir);
    mkdir(blocked, 0777); /* a folder of that name cannot be replaced by a file */
    struct mr_publish pub;
    cr_assert_eq(mr_publish_begin(&pub, run.arena, mr_printf(run.arena, "%s/reports", run.dir), &run.diags), MR_OK);
    stage(&pub, "charts/a.png", "new");
    stage(&pub, "charts/b.png", "new");
    stage(&pub, "x-report.xlsx", "new");
    stage(&pub, "z-last", "new");
    stage(&pub, "report.json", "new");
    cr_assert_eq(mr_publish_seal(&pub), MR_OK);
    cr_assert_eq(mr_publish_commit(&pub), MR_E_OUTPUT);
    expect_all(&run, "old");
    const char *tree = tree_text(run.arena, run.dir);
    cr_assert_null(strstr(tree, "b.png"), "a file that was not there before is gone again: %s", tree);
    cr_assert_null(strstr(tree, ".staging"), "%s", tree);
    cr_assert_geq(run.diags.list.n, 1);
    const struct mr_diag *d = &run.diags.list.v[run.diags.list.n - 1];
    cr_assert(strstr(d->place.file, "z-last") && strstr(d->what, "Is a directory"), "%s", mr_diag_line(run.arena, d));
    run_end(&run);
}

Test(publish, exit_path_removes_staging) {
    struct run run = run_begin("job");
    struct mr_publish pub;
    cr_assert_eq(mr_publish_begin(&pub, run.arena, mr_printf(run.arena, "%s/reports", run.dir), &run.diags), MR_OK);
    stage(&pub, "charts/a.png", "x");
    mr_render_discard();
    cr_assert_null(strstr(tree_text(run.arena, run.dir), ".staging"));
    mr_render_discard();
    run_end(&run);
}

Test(publish, stale_outputs_go_and_foreign_files_stay) {
    struct run run = run_begin("job");
    cr_assert_eq(run_fixture(&run, 2, true), MR_OK);
    const char *reports = run.published.dir;
    file_put(mr_printf(run.arena, "%s/my notes.txt", reports), "mine");
    file_put(mr_printf(run.arena, "%s/charts/own.png", reports), "mine");
    file_put(mr_printf(run.arena, "%s/charts/climate-2026-05-11.svg", reports), "touched up by hand");
    cr_assert_eq(run_fixture(&run, 2, false), MR_OK); /* this time without charts */
    const char *tree = tree_text(run.arena, reports);
    cr_assert(strstr(tree, "my notes.txt") && strstr(tree, "charts/own.png"), "%s", tree);
    cr_assert(strstr(tree, "charts/climate-2026-05-11.svg"), "changed since: no longer ours");
    cr_assert_null(strstr(tree, "charts/climate-2026-05-11.png"), "%s", tree);
    cr_assert_null(strstr(tree, "charts/thickness"), "%s", tree);
    run_end(&run);
}

Test(publish, paths_that_leave_the_folder_are_never_removed) {
    struct run run = run_begin("job");
    publish(&run, three, "old");
    const char *outside = mr_printf(run.arena, "%s/precious", run.dir);
    file_put(outside, "x");
    /* SHA-256 of "x", by sha256sum */
    const char *sha = "2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881";
    static const char *const paths[] = {"../precious", "charts/../../precious", "..", "/etc/hostname", "a/..", ""};
    struct mr_publish pub;
    cr_assert_eq(mr_publish_begin(&pub, run.arena, mr_printf(run.arena, "%s/reports", run.dir), &run.diags), MR_OK);
    for (size_t i = 0; i < MR_COUNT(paths); i++)
        mr_publish_stale(&pub, paths[i], sha);
    cr_assert_eq(pub.stale.n, 0);
    mr_publish_stale(&pub, "charts/a.png", sha); /* ours by name, but not what was written */
    cr_assert_eq(mr_publish_seal(&pub), MR_OK);
    cr_assert_eq(mr_publish_commit(&pub), MR_OK);
    cr_assert_str_eq(file_text(run.arena, outside, NULL), "x");
    expect_all(&run, "old");
    run_end(&run);
}

/* A file may not grow beyond a limit: as a full disk, for every size at which something else breaks. */
Test(publish, full_disk_leaves_the_former_reports, .timeout = 60) {
    struct run run = run_begin("job");
    cr_assert_eq(run_fixture(&run, 1, false), MR_OK);
    const char *before = tree_text(run.arena, run.dir);
    static const struct {
        rlim_t bytes;
        bool charts; /* with charts a chart fails first; without, the workbook or report.json */
    } limits[] = {{0, true},  {100, true},   {5000, true},   {60000, true}, {150000, true},
                  {0, false}, {5000, false}, {20000, false}, {80000, false}};
    size_t failed = 0;
    for (size_t i = 0; i < MR_COUNT(limits); i++) {
        fflush(NULL);
        pid_t child = fork();
        if (child == 0) {
            signal(SIGXFSZ, SIG_IGN);
            setrlimit(RLIMIT_FSIZE, &(struct rlimit){limits[i].bytes, RLIM_INFINITY});
            int null = open("/dev/null", O_WRONLY);
            dup2(null, 2);                                                          /* the library's own complaint */
            struct mr_assessment *a = fixture_assessment(run.arena, run.dir, true); /* other units, so other bytes */
            enum mr_status status = run_render(&run, a, 2, limits[i].charts);
            _exit(status == MR_E_OUTPUT && run.diags.count[MR_ERROR] > 0 ? 1 : status == MR_OK ? 0 : 9);
        }
        int status;
        waitpid(child, &status, 0);
        cr_assert(WIFEXITED(status) && WEXITSTATUS(status) <= 1, "limit %llu: %x",
                  (unsigned long long)limits[i].bytes, status);
        if (WEXITSTATUS(status) == 1) {
            failed++;
            cr_assert_str_eq(tree_text(run.arena, run.dir), before, "limit %llu changed the reports",
                             (unsigned long long)limits[i].bytes);
        }
    }
    cr_assert_eq(failed, MR_COUNT(limits));
    run_end(&run);
}

Test(publish, folder_that_cannot_be_made_or_written_is_told) {
    struct run run = run_begin("job");
    file_put(mr_printf(run.arena, "%s/reports", run.dir), "a file in the folder's place");
    cr_assert_eq(run_fixture(&run, 1, false), MR_E_OUTPUT);
    const struct mr_diag *d = &run.diags.list.v[0];
    cr_assert(strstr(d->place.file, "/reports") && strstr(d->what, "Not a directory"), "%s",
              mr_diag_line(run.arena, d));
    cr_assert_str_eq(file_text(run.arena, mr_printf(run.arena, "%s/reports", run.dir), NULL),
                     "a file in the folder's place");
    run_end(&run);
}

/* As another user than root: rights refuse. */
Test(publish, folder_without_rights_is_told) {
    struct run run = run_begin("job");
    cr_assert_eq(run_fixture(&run, 1, false), MR_OK);
    const char *before = tree_text(run.arena, run.dir);
    chmod(run.published.dir, 0555);
    fflush(NULL);
    pid_t child = fork();
    if (child == 0) {
        if (getuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0))
            _exit(8);
        enum mr_status status = run_fixture(&run, 1, false);
        const struct mr_diag *d = run.diags.list.n ? &run.diags.list.v[0] : NULL;
        _exit(status == MR_E_OUTPUT && d && strstr(d->what, "Permission denied") ? 0 : 1);
    }
    int status;
    waitpid(child, &status, 0);
    chmod(run.published.dir, 0755);
    cr_assert(WIFEXITED(status) && WEXITSTATUS(status) == 0, "%x", status);
    cr_assert_str_eq(tree_text(run.arena, run.dir), before);
    run_end(&run);
}

/* Two runs over one job: each publishes whole, the last one wins, nothing is left over. */
Test(publish, two_runs_at_once_end_whole) {
    struct run run = run_begin("job");
    for (int round = 0; round < 3; round++) {
        pid_t child[2];
        fflush(NULL);
        for (int k = 0; k < 2; k++) {
            child[k] = fork();
            if (child[k] == 0)
                _exit((int)run_render(&run, fixture_assessment(run.arena, run.dir, k == 1), 1, true));
        }
        for (int k = 0; k < 2; k++) {
            int status;
            waitpid(child[k], &status, 0);
            cr_assert(WIFEXITED(status) && WEXITSTATUS(status) == MR_OK, "%x", status);
        }
        char *text = NULL;
        int status = python_script(
            run.arena, mr_printf(run.arena, "check-report templates/report.schema.json %s/reports", run.dir), &text);
        cr_assert(status == 0 || status == 77, "%s", text); /* the script holds every output against its SHA-256 */
        cr_assert_null(strstr(tree_text(run.arena, run.dir), ".staging"));
    }
    run_end(&run);
}
