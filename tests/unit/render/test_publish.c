/* All or nothing: what stands in the reports folder after deaths, full disks, foreign files and refusals. */
#include "render/publish/beneath.h"
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

static const char content_a[] = "aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa";

static const char *const three[] = {"charts/a.png", "x-report.xlsx", "report.json", NULL};

static void begin(struct run *run, struct mr_publish *pub) {
    cr_assert_eq(mr_publish_begin(pub, run->arena, run->dir, NULL, &run->diags), MR_OK, "%s",
                 run->diags.list.n ? mr_diag_line(run->arena, &run->diags.list.v[0]) : "");
}

static enum mr_status stage(struct mr_publish *pub, const char *path, const char *text) {
    struct mr_handed handed;
    const size_t index = mr_publish_file(pub, path);
    if (mr_handed_open(pub, index, &handed) != 0)
        return MR_E_OUTPUT;
    mr_handed_put(&handed, text, strlen(text));
    return mr_handed_end(pub, index, &handed) == 0 ? mr_publish_close(pub, index) : MR_E_OUTPUT;
}

static enum mr_status make(struct mr_publish *pub, const char *text) {
    enum mr_status status = mr_publish_start(pub);
    for (size_t i = 0; status == MR_OK && three[i]; i++)
        status = stage(pub, three[i], text);
    return status;
}

static enum mr_status publish(struct run *run, const char *text) {
    struct mr_publish pub;
    enum mr_status status = mr_publish_begin(&pub, run->arena, run->dir, NULL, &run->diags);
    if (status == MR_OK)
        status = make(&pub, text);
    if (status == MR_OK)
        status = mr_publish_commit(&pub, pub.revisions.next, content_a);
    mr_publish_end(&pub);
    return status;
}

static const char *reports(struct run *run, const char *path) {
    return mr_printf(run->arena, "%s/reports/%s", run->dir, path);
}

static const char *reports_text(struct run *run, const char *path) {
    const char *text = file_text(run->arena, reports(run, path), NULL);
    return text ? text : "absent";
}

static void expect_latest(struct run *run, const char *text) {
    for (size_t i = 0; three[i]; i++)
        cr_assert_str_eq(reports_text(run, mr_printf(run->arena, "latest/%s", three[i])), text);
}

static bool has(struct run *run, const char *what) {
    return strstr(tree_text(run->arena, run->dir), what) != NULL;
}

static const struct mr_diag *last_diag(struct run *run) {
    cr_assert_geq(run->diags.list.n, 1);
    return &run->diags.list.v[run->diags.list.n - 1];
}

Test(publish, each_revision_stays_and_latest_names_the_newest) {
    struct run run = run_begin("job");
    for (int i = 0; i < 3; i++)
        cr_assert_eq(publish(&run, mr_printf(run.arena, "text %d", i)), MR_OK);
    expect_latest(&run, "text 2");
    cr_assert_str_eq(reports_text(&run, "revision-0/report.json"), "text 0");
    cr_assert_str_eq(reports_text(&run, "revision-1/report.json"), "text 1");
    char target[64] = "";
    cr_assert_gt(readlink(reports(&run, "latest"), target, sizeof target - 1), 0);
    cr_assert_str_eq(target, "revision-2");
    cr_assert_not(has(&run, MR_MAKING_PREFIX));
    run_end(&run);
}

/* Dies by kill -9 in a child, after so many steps. */
static void die_in_child(struct run *run, int steps) {
    fflush(NULL);
    pid_t child = fork();
    if (child == 0) {
        struct mr_publish pub;
        if (mr_publish_begin(&pub, run->arena, run->dir, NULL, NULL) != MR_OK)
            _exit(9);
        if (steps > 0 && mr_publish_start(&pub) != MR_OK)
            _exit(9);
        for (int i = 0; i < 3 && i < steps - 1; i++)
            if (stage(&pub, three[i], "new") != MR_OK)
                _exit(9);
        if (steps > 4 && renameat(pub.making, "report", pub.reports, "revision-1") != 0) /* no list: never whole */
            _exit(9);
        kill(getpid(), SIGKILL);
    }
    int status;
    waitpid(child, &status, 0);
    cr_assert(WIFSIGNALED(status) && WTERMSIG(status) == SIGKILL, "the child ended otherwise: %x", status);
}

Test(publish, death_before_the_rename_leaves_the_former_report) {
    for (int steps = 0; steps <= 5; steps++) {
        struct run run = run_begin("job");
        cr_assert_eq(publish(&run, "old"), MR_OK);
        die_in_child(&run, steps);
        expect_latest(&run, "old");
        cr_assert_eq(publish(&run, "newer"), MR_OK);
        expect_latest(&run, "newer");
        cr_assert_str_eq(reports_text(&run, "revision-0/report.json"), "old");
        cr_assert_not(has(&run, MR_MAKING_PREFIX));
        run_end(&run);
    }
}

Test(publish, death_between_rename_and_link_is_mended_by_the_next_run) {
    struct run run = run_begin("job");
    cr_assert_eq(publish(&run, "old"), MR_OK);
    cr_assert_eq(publish(&run, "new"), MR_OK);
    unlink(reports(&run, "latest"));
    cr_assert_eq(symlink("revision-0", reports(&run, "latest")), 0);
    struct mr_publish pub;
    begin(&run, &pub);
    cr_assert(pub.revisions.any);
    cr_assert_eq(pub.revisions.newest.revision, 1);
    cr_assert_eq(mr_publish_relink(&pub), MR_OK);
    mr_publish_end(&pub);
    expect_latest(&run, "new");
    cr_assert_not(has(&run, MR_MAKING_PREFIX));
    run_end(&run);
}

/* `latest` cannot be renamed over a folder: what was put in place a moment before is taken back. */
Test(publish, a_refused_link_takes_the_revision_back) {
    struct run run = run_begin("job");
    cr_assert_eq(publish(&run, "old"), MR_OK);
    struct mr_publish pub;
    begin(&run, &pub);
    cr_assert_eq(make(&pub, "new"), MR_OK);
    cr_assert_eq(unlink(reports(&run, "latest")), 0);
    cr_assert_eq(mkdir(reports(&run, "latest"), 0777), 0);
    cr_assert_eq(mr_publish_commit(&pub, pub.revisions.next, content_a), MR_E_OUTPUT);
    mr_publish_end(&pub);
    cr_assert_not(has(&run, "revision-1") || has(&run, MR_MAKING_PREFIX));
    cr_assert_str_eq(reports_text(&run, "revision-0/report.json"), "old");
    run_end(&run);
}

Test(publish, bytes_that_change_on_the_disk_are_noticed) {
    struct run run = run_begin("job");
    struct mr_publish pub;
    struct mr_handed handed;
    begin(&run, &pub);
    cr_assert_eq(mr_publish_start(&pub), MR_OK);
    const size_t index = mr_publish_file(&pub, "report.json");
    cr_assert_eq(mr_handed_open(&pub, index, &handed), 0);
    cr_assert_eq(mr_handed_put(&handed, "12345", 5), 0);
    cr_assert_eq(pwrite(handed.fd, "X", 1, 2), 1); /* as long as before, another byte */
    cr_assert_eq(mr_handed_end(&pub, index, &handed), 0);
    cr_assert_eq(mr_publish_close(&pub, index), MR_E_OUTPUT);
    cr_assert(strstr(last_diag(&run)->what, "read back"), "%s", last_diag(&run)->what);
    mr_publish_end(&pub);
    cr_assert_not(has(&run, "revision-"));
    run_end(&run);
}

Test(publish, exit_path_removes_what_is_being_made) {
    struct run run = run_begin("job");
    struct mr_publish pub;
    begin(&run, &pub);
    cr_assert_eq(make(&pub, "x"), MR_OK);
    cr_assert(has(&run, MR_MAKING_PREFIX));
    mr_render_discard();
    cr_assert_not(has(&run, MR_MAKING_PREFIX));
    mr_render_discard();
    mr_publish_end(&pub);
    run_end(&run);
}

Test(publish, the_same_content_makes_no_new_revision) {
    struct run run = run_begin("job");
    cr_assert_eq(run_fixture(&run, 2, false), MR_OK);
    cr_assert_not(run.published.unchanged);
    const char *before = tree_text(run.arena, run.dir);
    cr_assert_eq(run_fixture(&run, 1, false), MR_OK);
    cr_assert(run.published.unchanged);
    cr_assert_eq(run.published.revision, 0);
    cr_assert_str_eq(tree_text(run.arena, run.dir), before);
    cr_assert_eq(run_fixture(&run, 1, true), MR_OK); /* with charts: another report */
    cr_assert_not(run.published.unchanged);
    cr_assert_eq(run.published.revision, 1);
    run_end(&run);
}

Test(publish, a_changed_workbook_is_kept_and_said) {
    struct run run = run_begin("job");
    cr_assert_eq(run_fixture(&run, 1, false), MR_OK);
    const char *workbook = mr_strdup(run.arena, run.published.workbook);
    file_put(workbook, "with remarks");
    cr_assert_eq(run_fixture(&run, 1, false), MR_OK);
    cr_assert_not(run.published.unchanged);
    cr_assert_eq(run.published.revision, 1);
    cr_assert_str_eq(file_text(run.arena, workbook, NULL), "with remarks");
    cr_assert_str_eq(last_diag(&run)->id, "changed-report");
    cr_assert(strstr(last_diag(&run)->place.file, "revision-0/job-report.xlsx"), "%s", last_diag(&run)->place.file);
    run_end(&run);
}

Test(publish, retention_removes_only_whole_revisions_without_foreign_files) {
    struct run run = run_begin("job");
    for (int i = 0; i < 5; i++)
        cr_assert_eq(publish(&run, mr_printf(run.arena, "text %d", i)), MR_OK);
    file_put(reports(&run, "revision-0/remarks.txt"), "mine");
    file_put(reports(&run, "revision-1/report.json"), "changed");
    struct mr_publish pub;
    begin(&run, &pub);
    mr_revisions_retire(run.arena, pub.reports, 2);
    mr_publish_end(&pub);
    cr_assert(has(&run, "revision-0/remarks.txt"));
    cr_assert(has(&run, "revision-1/report.json"));
    cr_assert_not(has(&run, "revision-2/"));
    cr_assert(has(&run, "revision-3/report.json") && has(&run, "revision-4/report.json"));
    run_end(&run);
}

/* A file may not grow beyond a limit: as a full disk, for every size at which something else breaks. */
Test(publish, full_disk_leaves_the_former_report, .timeout = 90) {
    struct run run = run_begin("job");
    cr_assert_eq(run_fixture(&run, 1, false), MR_OK);
    static const struct {
        rlim_t bytes;
        bool charts; /* with charts a chart fails first; without, the workbook or report.json */
    } limits[] = {{0, true},  {100, true},   {5000, true},   {60000, true}, {150000, true},
                  {0, false}, {5000, false}, {20000, false}, {80000, false}};
    const char *before = tree_text(run.arena, run.published.dir);
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
        cr_assert(WIFEXITED(status) && WEXITSTATUS(status) == 1, "limit %llu: %x",
                  (unsigned long long)limits[i].bytes, status);
        cr_assert_str_eq(tree_text(run.arena, run.published.dir), before, "limit %llu changed the report",
                         (unsigned long long)limits[i].bytes);
        cr_assert_not(has(&run, "revision-1") || has(&run, MR_MAKING_PREFIX));
        if (limits[i].bytes > 1000) {
            const char *sign = reports_text(&run, MR_SIGN);
            cr_assert(strstr(sign, "NOT PUBLISHED") && strstr(sign, "File too large"), "%s", sign);
        }
    }
    cr_assert_eq(run_render(&run, fixture_assessment(run.arena, run.dir, true), 2, false), MR_OK);
    cr_assert_not(has(&run, MR_SIGN), "the note goes with the next report");
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
    chmod(reports(&run, ""), 0555);
    fflush(NULL);
    pid_t child = fork();
    if (child == 0) {
        if (getuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0))
            _exit(8);
        enum mr_status status = run_fixture(&run, 1, true);
        const struct mr_diag *d = run.diags.list.n ? &run.diags.list.v[0] : NULL;
        _exit(status == MR_E_OUTPUT && d && strstr(d->what, "Permission denied") ? 0 : 1);
    }
    int status;
    waitpid(child, &status, 0);
    chmod(reports(&run, ""), 0755);
    cr_assert(WIFEXITED(status) && WEXITSTATUS(status) == 0, "%x", status);
    cr_assert_str_eq(tree_text(run.arena, run.dir), before);
    run_end(&run);
}

/* Two runs over one job: one waits for the other, both reports are whole, nothing is left over. */
Test(publish, two_runs_at_once_end_whole, .timeout = 120) {
    struct run run = run_begin("job");
    for (int round = 0; round < 2; round++) {
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
            run.arena, mr_printf(run.arena, "check-report templates/report.schema.json %s/reports/latest", run.dir),
            &text);
        cr_assert(status == 0 || status == 77, "%s", text); /* the script holds every output against its SHA-256 */
        cr_assert_not(has(&run, MR_MAKING_PREFIX));
    }
    run_end(&run);
}
