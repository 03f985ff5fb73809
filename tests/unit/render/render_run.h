/*
 * render_run.h - what the tests of the render stage share: a folder of their own, a rendered fixture, files compared.
 */
#ifndef MILRISE_TESTS_RENDER_RUN_H
#define MILRISE_TESTS_RENDER_RUN_H

#include "fixture_assessment.h"
#include "milrise/render.h"

struct run {
    struct mr_arena *arena;
    struct mr_diags diags;
    struct mr_published published;
    const char *dir; /* the job folder, new and empty at first */
};

/** run_begin - a new job folder called name inside a new temporary folder. */
struct run run_begin(const char *name);

/** run_end - remove it all. */
void run_end(struct run *run);

/** run_render - render an assessment with a number of threads. */
enum mr_status run_render(struct run *run, const struct mr_assessment *a, unsigned threads, bool charts);

/** run_fixture - render the fixture. */
enum mr_status run_fixture(struct run *run, unsigned threads, bool charts);

/** tree_text - every file and folder below dir, sorted, each file with its length and SHA-256. */
char *tree_text(struct mr_arena *arena, const char *dir);

/** file_text - a file's bytes, NUL-terminated; NULL where it cannot be read. */
char *file_text(struct mr_arena *arena, const char *path, size_t *out_n);
void file_put(const char *path, const char *text);

/** python_script - runs a script of the project with arguments. Returns: exit status, 77 where there is no python3.
 * What it printed goes to *out_text. */
int python_script(struct mr_arena *arena, const char *arguments, char **out_text);

/** each_fixture - renders the fixture in both units and the hostile one, and has check look at what was published: it
 * gives the arguments of python_script, which must find nothing. */
void each_fixture(const char *name, const char *(*check)(struct run *run));

#endif
