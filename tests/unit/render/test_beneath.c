/* Whatever lies in the reports folder: nothing outside it is written, renamed, removed or followed. */
#include "render/publish/beneath.h"
#include "render/publish/publish.h"
#include "render_run.h"

#include <criterion/criterion.h>
#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* A job with a folder beside it that nobody may touch. */
static const char *begin(struct run *run, const char **outside) {
    *run = run_begin("job");
    *outside = mr_printf(run->arena, "%s/../precious", run->dir);
    cr_assert_eq(mkdir(*outside, 0777), 0);
    file_put(mr_printf(run->arena, "%s/kept", *outside), "x");
    return tree_text(run->arena, *outside);
}

static const char *in_job(struct run *run, const char *path) {
    return mr_printf(run->arena, "%s/%s", run->dir, path);
}

Test(beneath, a_link_in_the_place_of_reports_is_refused) {
    struct run run;
    const char *outside, *before = begin(&run, &outside);
    cr_assert_eq(symlink("../precious", in_job(&run, "reports")), 0);
    cr_assert_eq(run_fixture(&run, 1, false), MR_E_OUTPUT);
    cr_assert(strstr(run.diags.list.v[0].what, "is a link"), "%s", mr_diag_line(run.arena, &run.diags.list.v[0]));
    cr_assert_str_eq(tree_text(run.arena, outside), before);
    run_end(&run);
}

Test(beneath, links_in_reports_are_replaced_or_passed_by_never_followed) {
    static const char *const names[] = {"latest", "revision-0", "revision-7", ".making-1-0", MR_SIGN, "charts"};
    for (size_t i = 0; i < MR_COUNT(names); i++) {
        struct run run;
        const char *outside, *before = begin(&run, &outside);
        cr_assert_eq(mkdir(in_job(&run, "reports"), 0777), 0);
        cr_assert_eq(symlink("../../precious", in_job(&run, mr_printf(run.arena, "reports/%s", names[i]))), 0);
        cr_assert_eq(run_fixture(&run, 1, false), MR_OK, "%s", names[i]);
        cr_assert_str_eq(tree_text(run.arena, outside), before, "%s", names[i]);
        cr_assert_eq(access(in_job(&run, "reports/latest/report.json"), F_OK), 0, "%s", names[i]);
        run_end(&run);
    }
}

Test(beneath, what_a_dead_run_left_is_removed_without_following_its_links) {
    struct run run;
    const char *outside, *before = begin(&run, &outside);
    cr_assert_eq(mkdir(in_job(&run, "reports"), 0777), 0);
    cr_assert_eq(mkdir(in_job(&run, "reports/.making-99999999-0"), 0777), 0);
    cr_assert_eq(mkdir(in_job(&run, "reports/.making-99999999-0/report"), 0777), 0);
    cr_assert_eq(symlink("../../../../precious", in_job(&run, "reports/.making-99999999-0/report/charts")), 0);
    cr_assert_eq(link(mr_printf(run.arena, "%s/kept", outside), in_job(&run, "reports/.making-99999999-0/hard")), 0);
    cr_assert_eq(mkfifo(in_job(&run, "reports/.making-99999999-0/fifo"), 0666), 0);
    cr_assert_eq(run_fixture(&run, 1, false), MR_OK);
    cr_assert_str_eq(tree_text(run.arena, outside), before);
    cr_assert_null(strstr(tree_text(run.arena, run.dir), "99999999"));
    run_end(&run);
}

Test(beneath, a_list_that_points_outside_makes_no_revision_whole) {
    struct run run;
    const char *outside, *before = begin(&run, &outside);
    /* SHA-256 of "x", by sha256sum */
    static const char sha[] = "2d711642b726b04401627ca9fbac32f5c8530fb1903cc4db02258717921a4881";
    cr_assert_eq(mkdir(in_job(&run, "reports"), 0777), 0);
    cr_assert_eq(mkdir(in_job(&run, "reports/revision-3"), 0777), 0);
    static const char *const paths[] = {"../../../precious/kept", "/etc/hostname", "..", "a/../../x", ""};
    for (size_t i = 0; i < MR_COUNT(paths); i++) {
        file_put(in_job(&run, "reports/revision-3/" MR_MANIFEST),
                 mr_printf(run.arena, "# milrise revision 3\n# content %s\n%s  %s\n", sha, sha, paths[i]));
        struct mr_publish pub;
        cr_assert_eq(mr_publish_begin(&pub, run.arena, run.dir, NULL, &run.diags), MR_OK);
        cr_assert_not(pub.revisions.any, "%s", paths[i]);
        mr_revisions_retire(run.arena, pub.reports, 0);
        mr_publish_end(&pub);
    }
    static const char *const halves[] = {"", "# milrise revision 3\n", "# milrise revision 3\n# content aaaa\n",
                                         "# milrise revision 4\n"};
    for (size_t i = 0; i < MR_COUNT(halves); i++) {
        struct mr_manifest read;
        file_put(in_job(&run, "reports/revision-3/" MR_MANIFEST), halves[i]);
        const int folder = open(in_job(&run, "reports/revision-3"), O_RDONLY | O_DIRECTORY);
        cr_assert_not(mr_manifest_read(run.arena, folder, &read), "%s", halves[i]);
        close(folder);
    }
    cr_assert_str_eq(tree_text(run.arena, outside), before);
    cr_assert_eq(access(in_job(&run, "reports/revision-3"), F_OK), 0);
    run_end(&run);
}

Test(beneath, latest_that_is_a_folder_is_left_alone_and_said) {
    struct run run;
    const char *outside;
    begin(&run, &outside);
    cr_assert_eq(mkdir(in_job(&run, "reports"), 0777), 0);
    cr_assert_eq(mkdir(in_job(&run, "reports/latest"), 0777), 0);
    file_put(in_job(&run, "reports/latest/mine"), "x");
    cr_assert_eq(run_fixture(&run, 1, false), MR_E_OUTPUT);
    cr_assert(strstr(run.diags.list.v[0].place.file, "latest"));
    cr_assert_str_eq(file_text(run.arena, in_job(&run, "reports/latest/mine"), NULL), "x");
    cr_assert_null(strstr(tree_text(run.arena, run.dir), "revision-"));
    run_end(&run);
}

Test(beneath, paths_leave_the_folder_by_no_way) {
    struct run run;
    const char *outside;
    begin(&run, &outside);
    cr_assert_eq(symlink("../precious", in_job(&run, "away")), 0);
    const int folder = open(run.dir, O_RDONLY | O_DIRECTORY);
    static const char *const paths[] = {"../precious/kept", "away/kept", "away",
                                        "/etc/hostname",    "..",        "a/../../precious/kept"};
    for (size_t i = 0; i < MR_COUNT(paths); i++) {
        cr_assert_lt(mr_beneath_open(folder, paths[i], O_RDONLY), 0, "%s", paths[i]);
        cr_assert_neq(mr_beneath_write(folder, paths[i], "y", 1), 0, "%s", paths[i]);
    }
    cr_assert_str_eq(file_text(run.arena, mr_printf(run.arena, "%s/kept", outside), NULL), "x");
    close(folder);
    run_end(&run);
}
