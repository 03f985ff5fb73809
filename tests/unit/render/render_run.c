#include "render_run.h"

#include "base/outfile.h"
#include "base/sha256.h"

#include <criterion/criterion.h>
#include <dirent.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

/* The list of what was suppressed would count as a sanitizer's log. */
const char *__lsan_default_options(void);
const char *__lsan_default_options(void) {
    return "print_suppressions=0";
}

/* fontconfig, pango and cairo keep their caches until the process ends. */
const char *__lsan_default_suppressions(void);
const char *__lsan_default_suppressions(void) {
    return "leak:libfontconfig\nleak:libpango\nleak:libcairo\nleak:libglib\n";
}

struct run run_begin(const char *name) {
    struct run run = {.arena = mr_arena_new(NULL, NULL)};
    mr_diags_init(&run.diags, run.arena);
    char *base = mr_strdup(run.arena, "/tmp/milrise-render-XXXXXX");
    if (!mkdtemp(base))
        abort();
    run.dir = mr_printf(run.arena, "%s/%s", base, name);
    if (mkdir(run.dir, 0777) != 0)
        abort();
    return run;
}

static void remove_all(const char *path) {
    struct stat st;
    if (lstat(path, &st) != 0)
        return;
    if (!S_ISDIR(st.st_mode)) {
        unlink(path);
        return;
    }
    chmod(path, 0777);
    DIR *dir = opendir(path);
    struct dirent *e;
    while (dir && (e = readdir(dir))) {
        char below[4096];
        if (strcmp(e->d_name, ".") && strcmp(e->d_name, "..")) {
            snprintf(below, sizeof below, "%s/%s", path, e->d_name);
            remove_all(below);
        }
    }
    if (dir)
        closedir(dir);
    rmdir(path);
}

void run_end(struct run *run) {
    char *base = mr_strdup(run->arena, run->dir);
    *strrchr(base, '/') = '\0';
    remove_all(base);
    mr_arena_free(run->arena);
}

enum mr_status run_render(struct run *run, const struct mr_assessment *a, unsigned threads, bool charts) {
    struct mr_render_options options = {.version = "0.1.0", .threads = threads, .charts = charts};
    return mr_render(run->arena, a, &options, &run->diags, &run->published);
}

enum mr_status run_fixture(struct run *run, unsigned threads, bool charts) {
    return run_render(run, fixture_assessment(run->arena, run->dir, false), threads, charts);
}

typedef MR_VEC(char *) lines;

static void walk(struct mr_arena *arena, const char *dir, const char *below, lines *out) {
    DIR *d = opendir(mr_printf(arena, "%s/%s", dir, below));
    struct dirent *e;
    while (d && (e = readdir(d))) {
        if (!strcmp(e->d_name, ".") || !strcmp(e->d_name, ".."))
            continue;
        const char *path = mr_printf(arena, "%s%s%s", below, below[0] ? "/" : "", e->d_name);
        const char *full = mr_printf(arena, "%s/%s", dir, path);
        struct stat st;
        char sha[65] = "";
        uint64_t bytes = 0;
        if (lstat(full, &st) == 0 && S_ISDIR(st.st_mode)) {
            MR_PUSH(arena, out, mr_printf(arena, "%s/", path));
            walk(arena, dir, path, out);
            continue;
        }
        int fd = open(full, O_RDONLY);
        if (fd >= 0) {
            mr_sha256_fd(fd, sha, &bytes);
            close(fd);
        }
        MR_PUSH(arena, out, mr_printf(arena, "%s %llu %s", path, (unsigned long long)bytes, sha));
    }
    if (d)
        closedir(d);
}

static int by_text(const void *a, const void *b) {
    return strcmp(*(char *const *)a, *(char *const *)b);
}

char *tree_text(struct mr_arena *arena, const char *dir) {
    lines all = {0};
    walk(arena, dir, "", &all);
    if (all.n)
        qsort(all.v, all.n, sizeof *all.v, by_text);
    size_t size = 1;
    for (size_t i = 0; i < all.n; i++)
        size += strlen(all.v[i]) + 1;
    char *text = MR_ARRAY(arena, char, size), *at = text;
    for (size_t i = 0; i < all.n; i++)
        at += sprintf(at, "%s\n", all.v[i]);
    return text;
}

char *file_text(struct mr_arena *arena, const char *path, size_t *out_n) {
    char *text;
    size_t n;
    if (mr_file_slurp(arena, path, (size_t)1 << 30, &text, &n) != MR_OK)
        return NULL;
    if (out_n)
        *out_n = n;
    return text;
}

void file_put(const char *path, const char *text) {
    FILE *f = fopen(path, "w");
    if (!f)
        abort();
    fputs(text, f);
    fclose(f);
}

int python_script(struct mr_arena *arena, const char *arguments, char **out_text) {
    const char *python = access("/usr/bin/python3", X_OK) == 0 ? "/usr/bin/python3" : "python3";
    FILE *p = popen(mr_printf(arena, "%s scripts/%s 2>&1", python, arguments), "r");
    char *text = MR_ARRAY(arena, char, 65536);
    *out_text = text;
    if (!p)
        return 77;
    size_t n = fread(text, 1, 65535, p);
    text[n] = '\0';
    int status = pclose(p);
    status = WIFEXITED(status) ? WEXITSTATUS(status) : 1;
    return status == 127 ? 77 : status;
}

void each_fixture(const char *name, const char *(*check)(struct run *run)) {
    for (int k = 0; k < 3; k++) {
        struct run run = run_begin(name);
        struct mr_assessment *a =
            k == 2 ? fixture_hostile(run.arena, run.dir) : fixture_assessment(run.arena, run.dir, k == 1);
        cr_assert_eq(run_render(&run, a, 2, true), MR_OK);
        char *text = NULL;
        const int status = python_script(run.arena, check(&run), &text);
        if (status == 77)
            printf("SKIPPED ALOUD: %s", text);
        else
            cr_assert_eq(status, 0, "set %d: %s", k, text);
        run_end(&run);
    }
}
