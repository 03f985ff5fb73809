/*
 * test_vanishing.c - files that change, grow, shrink or go away between being described and being read.
 */
#include "milrise/read.h"

#include <criterion/criterion.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static const char table[] = "t,x\n1,5.2\n2,5.3\n3,5.4\n";

static void put(const char *path, const char *text, const char *mode) {
    FILE *f = fopen(path, mode);
    cr_assert(f);
    fputs(text, f);
    fclose(f);
}

static void temporary(char path[256]) {
    snprintf(path, 256, "%s/milrise-vanish-XXXXXX", getenv("TMPDIR") ? getenv("TMPDIR") : "/tmp");
    int fd = mkstemp(path);
    cr_assert(fd >= 0);
    close(fd);
}

static bool count(void *ctx, const struct mr_row *row) {
    (void)row;
    ++*(uint64_t *)ctx;
    return true;
}

static void cut_to(const char *path, long n) {
    cr_assert_eq(truncate(path, n), 0);
}

enum change { NOTHING, GROWN, TOUCHED, OTHER_BYTES, CUT, GONE, REPLACED_BY_FOLDER };

static void change_file(const char *path, enum change change) {
    switch (change) {
    case NOTHING:
        return;
    case GROWN:
        put(path, "4,5.5\n5,", "a");
        return;
    case TOUCHED: /* written again with the same bytes */
        put(path, table, "w");
        return;
    case OTHER_BYTES: /* as many bytes and rows, another value */
        put(path, "t,x\n1,5.2\n2,9.9\n3,5.4\n", "w");
        return;
    case CUT:
        cut_to(path, 12);
        return;
    case REPLACED_BY_FOLDER:
        unlink(path);
        cr_assert_eq(mkdir(path, 0777), 0);
        return;
    case GONE:
        unlink(path);
        return;
    }
}

Test(vanishing, a_file_is_read_as_described_or_not_at_all) {
    static const struct {
        const char *name;
        enum change change;
        enum mr_status status;
        uint64_t rows;
    } cases[] = {
        {"nothing changed", NOTHING, MR_OK, 4},
        {"grown: read as it was", GROWN, MR_OK, 4},
        {"written again, the same", TOUCHED, MR_OK, 4},
        {"other bytes", OTHER_BYTES, MR_E_IO, 4},
        {"cut", CUT, MR_E_IO, 3},
        {"gone", GONE, MR_E_IO, 0},
        {"a folder now", REPLACED_BY_FOLDER, MR_E_IO, 0},
    };
    for (size_t i = 0; i < MR_COUNT(cases); i++) {
        char path[256];
        temporary(path);
        put(path, table, "w");
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        struct mr_source source;
        cr_assert_eq(mr_read_source(arena, mr_job_default(arena), path, "t.csv", NULL, &source), MR_OK);
        usleep(20000); /* so that the file system's clock moves on */
        change_file(path, cases[i].change);
        uint64_t rows = 0;
        enum mr_status status = mr_read_rows(&source, count, &rows);
        cr_expect_eq(status, cases[i].status, "%s: %s", cases[i].name, mr_status_text(status));
        cr_expect_eq(rows, cases[i].rows, "%s: %llu rows", cases[i].name, (unsigned long long)rows);
        struct mr_sources sources = {0};
        MR_PUSH(arena, &sources.list, source);
        bool told = strstr(mr_read_dump(arena, &sources), "its rows cannot be read: the file has changed") != NULL;
        cr_expect_eq(told, cases[i].status != MR_OK, "%s", cases[i].name);
        mr_arena_free(arena);
        unlink(path);
        rmdir(path);
    }
}

struct writer {
    const char *path;
    atomic_bool stop;
};

static void *keep_writing(void *ctx) {
    struct writer *w = ctx;
    FILE *f = fopen(w->path, "a");
    while (!atomic_load(&w->stop)) {
        fputs("9,9.9\n", f);
        fflush(f);
        usleep(200);
    }
    fclose(f);
    return NULL;
}

/* A file that is a link out of the job folder now and then. */
struct swapper {
    char inside[64], outside[64], link[64], file[64];
    atomic_bool stop;
};

static void *keep_swapping(void *ctx) {
    struct swapper *s = ctx;
    while (!atomic_load(&s->stop)) {
        cr_assert_eq(symlink(s->outside, s->link) | rename(s->link, s->inside), 0);
        put(s->file, table, "w");
        cr_assert_eq(rename(s->file, s->inside), 0);
    }
    return NULL;
}

/* Whatever lies there when it is opened: bytes from outside the job folder are never taken without being told. */
Test(vanishing, what_is_read_through_a_link_that_leaves_the_job_is_told, .timeout = 60) {
    char base[] = "/tmp/milrise-swap-XXXXXX", dir[64];
    cr_assert(mkdtemp(base));
    struct swapper s = {.stop = false};
    snprintf(dir, sizeof dir, "%s/job", base);
    snprintf(s.inside, sizeof s.inside, "%s/job/a.csv", base);
    snprintf(s.outside, sizeof s.outside, "%s/elsewhere.csv", base);
    snprintf(s.link, sizeof s.link, "%s/job/.link", base);
    snprintf(s.file, sizeof s.file, "%s/job/.file", base);
    cr_assert_eq(mkdir(dir, 0777), 0);
    put(s.outside, "t,x\n1,5.2\n", "w");
    put(s.inside, table, "w");
    pthread_t thread;
    cr_assert_eq(pthread_create(&thread, NULL, keep_swapping, &s), 0);
    size_t seen[2] = {0};
    for (size_t i = 0; i < 20000 && (seen[0] < 50 || seen[1] < 50); i++) {
        struct mr_arena *arena = mr_arena_new(NULL, NULL);
        struct mr_job job = *mr_job_default(arena);
        struct mr_sources sources;
        struct mr_diags diags;
        job.dir = dir;
        mr_diags_init(&diags, arena);
        cr_assert_eq(mr_read_folder(arena, &job, &diags, &sources), MR_OK);
        for (size_t k = 0; k < sources.list.n; k++) {
            const struct mr_source *source = &sources.list.v[k];
            const bool from_outside = source->readable && source->size == strlen("t,x\n1,5.2\n");
            bool told = false;
            for (size_t d = 0; d < diags.list.n; d++)
                told = told || strcmp(diags.list.v[d].id, "linked-file") == 0;
            cr_assert_eq(told, from_outside);
            seen[from_outside]++;
        }
        mr_arena_free(arena);
    }
    atomic_store(&s.stop, true);
    pthread_join(thread, NULL);
    cr_expect(seen[0] > 0 && seen[1] > 0, "both were to be seen: %zu and %zu", seen[0], seen[1]);
    cr_assert_eq(remove(s.inside) | remove(s.outside) | rmdir(dir) | rmdir(base), 0);
}

/* A logger at work: the file is read to where it stood when it was opened, and that is said. */
Test(vanishing, a_file_that_grows_while_it_is_read_is_read_to_where_it_stood, .timeout = 60) {
    char path[256];
    temporary(path);
    FILE *f = fopen(path, "w");
    fputs("t,x\n", f);
    for (int i = 0; i < 2000000; i++)
        fputs("1,5.2\n", f);
    fclose(f);
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_diags diags;
    struct mr_source source;
    mr_diags_init(&diags, arena);
    struct writer w = {.path = path};
    pthread_t thread;
    cr_assert_eq(pthread_create(&thread, NULL, keep_writing, &w), 0);
    cr_assert_eq(mr_read_source(arena, mr_job_default(arena), path, "t.csv", &diags, &source), MR_OK);
    uint64_t rows = 0;
    const enum mr_status status = mr_read_rows(&source, count, &rows);
    atomic_store(&w.stop, true);
    pthread_join(thread, NULL);
    cr_assert_eq(status, MR_OK);
    cr_assert_eq(rows, source.rows);
    cr_assert(source.grew);
    bool said = false;
    for (size_t i = 0; i < diags.list.n; i++)
        said = said || strcmp(diags.list.v[i].id, "grew") == 0;
    cr_assert(said);
    mr_arena_free(arena);
    unlink(path);
}

Test(vanishing, a_file_without_permission_is_listed_with_a_reason) {
    char path[256];
    temporary(path);
    put(path, table, "w");
    cr_assert_eq(chmod(path, 0), 0);
    if (geteuid() == 0) /* root may read everything */
        cr_assert_eq(seteuid(65534), 0);
    struct mr_arena *arena = mr_arena_new(NULL, NULL);
    struct mr_diags diags;
    struct mr_source source;
    mr_diags_init(&diags, arena);
    cr_expect_eq(mr_read_source(arena, mr_job_default(arena), path, "t.csv", &diags, &source), MR_E_IO);
    cr_expect_not(source.readable);
    cr_expect_str_eq(source.path, "t.csv");
    cr_assert_eq(diags.list.n, 1);
    cr_expect_str_eq(
        mr_diag_line(arena, &diags.list.v[0]),
        "t.csv: error[unreadable]: cannot be read: Permission denied. Make the file readable, or take it out of "
        "the folder.");
    uint64_t rows = 0;
    cr_expect_eq(mr_read_rows(&source, count, &rows), MR_E_IO);
    mr_arena_free(arena);
    if (getuid() == 0)
        cr_assert_eq(seteuid(0), 0);
    unlink(path);
}

static void leave(void *ctx) {
    _exit(*(int *)ctx);
}

/* Every allocation in turn is refused: the handler is always called, and nothing else happens first. */
Test(vanishing, each_allocation_may_fail, .timeout = 60) {
    static const char text[] =
        "Serial: K8\n\n\"Time\",\"T, degC\"\n10:00,\"1,5\"\n10:01,\"x\ny\"\n10:02,1.5\n\"open\n10:03,2\n";
    int refused = 0;
    for (size_t nth = 1; nth < 400; nth++) {
        pid_t child = fork();
        cr_assert(child >= 0);
        if (child == 0) {
            int code = 4;
            mr_arena_fail_at(nth);
            struct mr_arena *arena = mr_arena_new(leave, &code);
            struct mr_source source;
            uint64_t rows = 0;
            bool ok =
                mr_read_memory(arena, mr_job_default(arena), "t.csv", text, strlen(text), NULL, &source) == MR_OK &&
                mr_read_rows(&source, count, &rows) == MR_OK && rows == source.rows;
            _exit(ok ? 0 : 1);
        }
        int status;
        cr_assert_eq(waitpid(child, &status, 0), child);
        cr_assert(WIFEXITED(status), "allocation %zu: killed by signal %d", nth, WTERMSIG(status));
        cr_assert(WEXITSTATUS(status) == 4 || WEXITSTATUS(status) == 0, "allocation %zu: status %d", nth,
                  WEXITSTATUS(status));
        if (WEXITSTATUS(status) == 0)
            break;
        refused++;
    }
    cr_expect(refused > 3, "only %d allocations were refused", refused);
}
