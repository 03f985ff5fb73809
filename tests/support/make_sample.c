/* make_sample.c - writes the sample job below the given folder: make_sample sample-data */
#include "support/sample.h"

#include <stdio.h>

int main(int argc, char **argv) {
    char dir[1024];
    if (argc != 2 || snprintf(dir, sizeof dir, "%s/%s", argv[1], SAMPLE_FOLDER) >= (int)sizeof dir) {
        fprintf(stderr, "usage: make_sample FOLDER\n");
        return 2;
    }
    if (!sample_write(dir)) {
        perror(dir);
        return 1;
    }
    return 0;
}
