#include "cli/cli.h"

#include <locale.h>
#include <malloc.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#ifndef MR_LIBRARIES /* the Makefile states them */
#define MR_LIBRARIES "libraries that are not stated"
#endif

static void no_memory(void *ctx) {
    (void)ctx;
    static const char text[] = "milrise: memory ran out\n"; /* what that left, the one that waits says */
    mr_render_discard();
    if (write(STDERR_FILENO, text, sizeof text - 1) < 0) {
        /* There is nobody left to tell. */
    }
    _exit(MR_EXIT_BUG);
}

#ifndef MR_ARENA_SEPARATE /* sanitizers have handlers of their own */
/* A library that gives up ends the process by a signal, for want of memory most of all. What it was making is removed
 * by the next run: nothing but these two calls is safe here. */
static void gave_up(int signal_number) {
    (void)signal_number;
    static const char text[] = "milrise: a library gave up, most likely for want of memory\n";
    if (write(STDERR_FILENO, text, sizeof text - 1) < 0) {
        /* There is nobody left to tell. */
    }
    _exit(MR_EXIT_BUG);
}
#endif

static void catch_signals(void) {
#ifndef MR_ARENA_SEPARATE
    static char stack[1 << 16]; /* its own: a library that recurses in its despair has used up the other */
    const stack_t apart = {.ss_sp = stack, .ss_size = sizeof stack};
    sigaltstack(&apart, NULL);
    static const int signals[] = {SIGABRT, SIGTRAP, SIGSEGV, SIGBUS, SIGFPE, SIGILL};
    const struct sigaction action = {.sa_handler = gave_up, .sa_flags = SA_ONSTACK};
    for (size_t i = 0; i < MR_COUNT(signals); i++)
        sigaction(signals[i], &action, NULL);
#endif
}

static int usage(FILE *to, int status) {
    fprintf(to,
            "Usage: milrise COMMAND [OPTION...] ...\n\n"
            "Makes batch reports for sprayed two-part ceramic coatings on steel: reads CSV exports of thickness\n"
            "gauges, hygrometers, thermometers and line-pressure loggers, aligns them by time and zone, judges them\n"
            "against the specification, and publishes an Excel workbook, charts and report.json.\n\n"
            "Commands:\n");
    for (size_t i = 0; i < mr_command_count; i++)
        fprintf(to, "  %-10s %-9s %s\n", mr_commands[i].name, mr_commands[i].operands, mr_commands[i].summary);
    fprintf(to, "\n`milrise COMMAND --help` explains one. `milrise --version` prints the version.\nThe report "
                "assists and does not replace a qualified coating inspector.\n");
    return status;
}

int mr_cli_main(int argc, char **argv) {
    /* Messages of the C library may be translated, numbers never: LC_NUMERIC stays "C". */
    setlocale(LC_CTYPE, "C.UTF-8");
    /* Blocks that are given back are handed out again, not unmapped: a picture of 11 MB, drawn a thousand times, took
     * half of its time in page faults. */
    mallopt(M_MMAP_THRESHOLD, 32 << 20);
    mallopt(M_TRIM_THRESHOLD, 256 << 20);
    /* What one thread gave back serves the others too: with a heap for each, two threads held 58 MiB more of 94 MB of
     * logs at the peak, for the same processor time. */
    mallopt(M_ARENA_MAX, 1);
    catch_signals();
    if (argc < 2)
        return usage(stderr, MR_EXIT_USAGE);
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0 || strcmp(argv[1], "help") == 0)
        return usage(stdout, fflush(stdout) == 0 ? MR_EXIT_CONFORMS : MR_EXIT_OUTPUT);
    if (strcmp(argv[1], "--version") == 0)
        return mr_cli_out("milrise " MR_VERSION "\nbuilt with " MR_LIBRARIES "\n");
    for (size_t i = 0; i < mr_command_count; i++) {
        const struct mr_command *command = &mr_commands[i];
        if (strcmp(argv[1], command->name) != 0)
            continue;
        struct mr_cli_options options = {.commands = mr_commands, .n_commands = mr_command_count};
        int status = mr_cli_parse(command, argc - 1, argv + 1, &options);
        if (status >= 0)
            return status;
        struct mr_arena *arena = mr_arena_new(no_memory, NULL);
        status = command->run(arena, &options);
        mr_arena_free(arena);
        return status;
    }
    fprintf(stderr, "milrise: \"%s\" is not a command\n\n", argv[1]);
    return usage(stderr, MR_EXIT_USAGE);
}
