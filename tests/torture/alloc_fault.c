/*
 * alloc_fault.c - preloaded: from the first setlocale on, the n-th allocation fails (MILRISE_ALLOC_NTH=n, or n+ for
 * all from there), in the program and in every library. MILRISE_ALLOC_COUNT names a file for the number of them.
 */
#include <dlfcn.h>
#include <errno.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static atomic_int armed;
static atomic_size_t count;
static size_t nth;
static int onwards;

void *__libc_malloc(size_t n);
void *__libc_calloc(size_t n, size_t size);
void *__libc_realloc(void *p, size_t n);
char *setlocale(int category, const char *locale);

static int refused(void) {
    if (!armed)
        return 0;
    const size_t at = atomic_fetch_add(&count, 1) + 1;
    if (nth == 0 || (onwards ? at < nth : at != nth))
        return 0;
    errno = ENOMEM;
    return 1;
}

void *malloc(size_t n) {
    return refused() ? NULL : __libc_malloc(n);
}

void *calloc(size_t n, size_t size) {
    return refused() ? NULL : __libc_calloc(n, size);
}

void *realloc(void *p, size_t n) {
    return n > 0 && refused() ? NULL : __libc_realloc(p, n);
}

char *setlocale(int category, const char *locale) {
    char *(*real)(int, const char *);
    void *found = dlsym(RTLD_NEXT, "setlocale");
    memcpy(&real, &found, sizeof real);
    char *result = real(category, locale);
    const char *text = getenv("MILRISE_ALLOC_NTH");
    nth = text ? strtoul(text, NULL, 10) : 0;
    onwards = text && strchr(text, '+') != NULL;
    armed = 1;
    return result;
}

static void __attribute__((destructor)) report(void) {
    armed = 0;
    const char *path = getenv("MILRISE_ALLOC_COUNT");
    FILE *f = path ? fopen(path, "w") : NULL;
    if (f) {
        fprintf(f, "%zu\n", (size_t)count);
        fclose(f);
    }
}
