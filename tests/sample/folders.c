#include "sample/folders.h"
#include "support/sample.h"

#include <criterion/criterion.h>
#include <ftw.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <unistd.h>

void folder_make(char *out, size_t size) {
    snprintf(out, size, "/tmp/milrise-sample-XXXXXX");
    cr_assert(mkdtemp(out) != NULL);
}

static int remove_one(const char *path, const struct stat *st, int kind, struct FTW *walk) {
    (void)st;
    (void)kind;
    (void)walk;
    return remove(path);
}

void folder_remove(const char *path) {
    nftw(path, remove_one, 8, FTW_DEPTH | FTW_PHYS);
}

char *folder_slurp(const char *path, size_t *out_n) {
    FILE *f = fopen(path, "rb");
    if (!f)
        return NULL;
    size_t n = 0, cap = 1 << 16;
    char *data = malloc(cap + 1);
    for (size_t got; data && (got = fread(data + n, 1, cap - n, f)) > 0;) {
        n += got;
        if (n == cap)
            data = realloc(data, (cap *= 2) + 1);
    }
    fclose(f);
    if (data)
        data[n] = 0;
    *out_n = n;
    return data;
}

void folder_copy_sample(const char *folder) {
    char command[512];
    snprintf(command, sizeof command, "cp -R 'sample-data/%s' '%s/job' && rm -rf '%s/job/reports'", SAMPLE_FOLDER,
             folder, folder);
    cr_assert_eq(system(command), 0);
}

static int report(const char *folder, const char *option) {
    const char *milrise = getenv("MILRISE_BIN");
    char command[1024];
    snprintf(command, sizeof command, "'%s' report %s '%s/job' >'%s/out.txt' 2>'%s/err.txt'",
             milrise ? milrise : "build/release/milrise", option, folder, folder, folder);
    int status = system(command);
    cr_assert(WIFEXITED(status), "milrise was ended by a signal");
    return WEXITSTATUS(status);
}

int folder_report(const char *folder) {
    return report(folder, "--no-charts");
}

int folder_report_whole(const char *folder) {
    return report(folder, "");
}

int folder_run(const char *folder, const char *command) {
    static char line[8192];
    snprintf(line, sizeof line, "D='%s'; %s", folder, command);
    const int status = system(line);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

char *folder_hold(const char *folder, const char *check, int expected, const char *when) {
    static char line[8000];
    char path[256];
    size_t n;
    snprintf(line, sizeof line, "{ %s; } >\"$D\"/held.txt 2>&1", check);
    const int status = folder_run(folder, line);
    snprintf(path, sizeof path, "%s/held.txt", folder);
    char *text = folder_slurp(path, &n);
    if (status == 77 || status == 127)
        printf("SKIPPED ALOUD: %s", status == 77 && text ? text : "python3 is not there\n");
    else
        cr_expect_eq(status, expected, "%s: %s", when, text ? text : "");
    return text;
}
