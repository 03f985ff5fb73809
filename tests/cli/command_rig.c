/* See command_rig.h. */
#include "command_rig.h"

#include <criterion/criterion.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

char cli_dir[64], cli_out[1 << 16], cli_err[1 << 16];

void cli_read(const char *path, char *to, size_t room) {
    FILE *f = fopen(path, "rb");
    size_t n = f ? fread(to, 1, room - 1, f) : 0;
    to[n] = '\0';
    if (f)
        fclose(f);
}

/* Runs `milrise ARGS` in the test's folder; cli_out and cli_err hold what it printed. */
int cli_run(const char *args) {
    return cli_run_within(0, args);
}

int cli_run_within(size_t mib, const char *args) {
    const char *bin = getenv("MILRISE_BIN");
    char command[2048], path[128], limit[64] = "";
    cr_assert_not_null(bin, "MILRISE_BIN names no program");
    if (mib)
        snprintf(limit, sizeof limit, "ulimit -v %zu && ", mib << 10);
    snprintf(command, sizeof command, "cd %s && %s'%s' %s >.out 2>.err", cli_dir, limit, bin, args);
    int status = system(command);
    snprintf(path, sizeof path, "%s/.out", cli_dir);
    cli_read(path, cli_out, sizeof cli_out);
    snprintf(path, sizeof path, "%s/.err", cli_dir);
    cli_read(path, cli_err, sizeof cli_err);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 128;
}

void cli_put(const char *name, const char *text) {
    char path[256];
    snprintf(path, sizeof path, "%s/%s", cli_dir, name);
    FILE *f = fopen(path, "wb");
    cr_assert_not_null(f);
    fputs(text, f);
    fclose(f);
}

bool cli_there(const char *name) {
    char path[256];
    struct stat st;
    snprintf(path, sizeof path, "%s/%s", cli_dir, name);
    return stat(path, &st) == 0;
}

void cli_begin(void) {
    strcpy(cli_dir, "/tmp/milrise-cli-XXXXXX");
    cr_assert_not_null(mkdtemp(cli_dir));
}

void cli_end(void) {
    char command[256];
    snprintf(command, sizeof command, "chmod -R u+rwx %s; rm -rf %s", cli_dir, cli_dir);
    cr_assert_eq(system(command), 0);
}
