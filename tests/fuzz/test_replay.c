/*
 * test_replay.c - every committed corpus file through its fuzz target.
 *
 * A target aborts where a law is broken; the file that was running is then the last one named in the output.
 */
#include "fuzz/fuzz.h"

#include <criterion/criterion.h>
#include <dirent.h>
#include <string.h>

enum { TARGETS_MAX = 32, FILE_MAX_BYTES = 1 << 20 };

static struct {
    const char *name;
    fuzz_fn fn;
} targets[TARGETS_MAX];
static size_t n_targets;

void fuzz_register(const char *name, fuzz_fn fn) {
    if (n_targets == TARGETS_MAX)
        abort();
    targets[n_targets].name = name;
    targets[n_targets++].fn = fn;
}

/* Each input lies in an allocation of just its size, so that the sanitizers see one byte too many. */
static void replay_file(const char *path, fuzz_fn fn) {
    FILE *f = fopen(path, "rb");
    cr_assert(f, "%s cannot be opened", path);
    char *buffer = malloc(FILE_MAX_BYTES);
    size_t n = fread(buffer, 1, FILE_MAX_BYTES, f);
    fclose(f);
    uint8_t *data = malloc(n ? n : 1);
    memcpy(data, buffer, n);
    free(buffer);
    fprintf(stderr, "replaying %s\n", path);
    fn(data, n);
    free(data);
}

static size_t replay(const char *name, fuzz_fn fn) {
    char folder[512], path[1024];
    snprintf(folder, sizeof folder, "tests/fuzz/corpus/%s", name);
    DIR *dir = opendir(folder);
    cr_assert(dir, "target %s has no corpus folder %s", name, folder);
    size_t files = 0;
    for (const struct dirent *entry; (entry = readdir(dir)) != NULL;) {
        if (entry->d_name[0] == '.')
            continue;
        snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
        replay_file(path, fn);
        files++;
    }
    closedir(dir);
    return files;
}

Test(replay, every_corpus_file_keeps_the_laws_of_its_target) {
    cr_assert(n_targets >= 3, "only %zu fuzz targets are linked", n_targets);
    for (size_t i = 0; i < n_targets; i++) {
        size_t files = replay(targets[i].name, targets[i].fn);
        cr_expect(files > 0, "the corpus of %s is empty", targets[i].name);
    }
}
