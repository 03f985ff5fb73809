/*
 * floor_read.c - the least that reading can cost with libcsv: every byte of the files named through its state machine
 * in strict mode, in pieces of 64 KiB, with empty callbacks.
 */
#include <csv.h>
#include <fcntl.h>
#include <stdio.h>
#include <unistd.h>

static void nothing_of_cell(void *cell, size_t n, void *ctx) {
    (void)cell;
    (void)n;
    (void)ctx;
}

static void nothing_of_row(int end, void *ctx) {
    (void)end;
    (void)ctx;
}

int main(int argc, char **argv) {
    static char buffer[64 << 10];
    for (int i = 1; i < argc; i++) {
        struct csv_parser parser;
        int fd = open(argv[i], O_RDONLY);
        if (fd < 0 || csv_init(&parser, CSV_STRICT) != 0) {
            perror(argv[i]);
            return 1;
        }
        for (ssize_t n; (n = read(fd, buffer, sizeof buffer)) > 0;)
            if (csv_parse(&parser, buffer, (size_t)n, nothing_of_cell, nothing_of_row, NULL) != (size_t)n)
                return 1;
        csv_fini(&parser, nothing_of_cell, nothing_of_row, NULL);
        csv_free(&parser);
        close(fd);
    }
    return 0;
}
