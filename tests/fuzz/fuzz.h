/*
 * fuzz.h - one file tests/fuzz/fuzz_NAME.c per fuzz target, with its corpus in tests/fuzz/corpus/NAME/.
 *
 *     #include "fuzz/fuzz.h"
 *     FUZZ_TARGET(table) {       // data and size are in scope
 *         ...
 *         FUZZ_CHECK(rows == calls);
 *     }
 *
 * Each file is built twice: alone with a fuzzing engine (make fuzz-smoke, make fuzz, make fuzz-afl), and together
 * with the others into the test program that replays all corpora (make test). A broken law aborts, which all of them
 * notice.
 */
#ifndef TEST_FUZZ_H
#define TEST_FUZZ_H

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

typedef void (*fuzz_fn)(const uint8_t *data, size_t size);

#define FUZZ_CHECK(law)                                                                                              \
    do {                                                                                                             \
        if (!(law)) {                                                                                                \
            fprintf(stderr, "%s:%d: does not hold: %s\n", __FILE__, __LINE__, #law);                                 \
            abort();                                                                                                 \
        }                                                                                                            \
    } while (0)

#ifdef MR_FUZZER
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);
#define FUZZ_TARGET(name)                                                                                            \
    static void fuzz_##name(const uint8_t *data, size_t size);                                                       \
    int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {                                                   \
        fuzz_##name(data, size);                                                                                     \
        return 0;                                                                                                    \
    }                                                                                                                \
    static void fuzz_##name(const uint8_t *data, size_t size)
#else
void fuzz_register(const char *name, fuzz_fn fn);
#define FUZZ_TARGET(name)                                                                                            \
    static void fuzz_##name(const uint8_t *data, size_t size);                                                       \
    __attribute__((constructor)) static void register_##name(void) {                                                 \
        fuzz_register(#name, fuzz_##name);                                                                           \
    }                                                                                                                \
    static void fuzz_##name(const uint8_t *data, size_t size)
#endif

#endif
