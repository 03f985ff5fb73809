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
#include <sys/mman.h>

/* Shared with the processes that are started: the report runs in one of its own. */
struct shared {
    atomic_int armed;
    atomic_size_t count;
    size_t nth;
    int onwards;
};

static struct shared here, *shared = &here;

void *__libc_malloc(size_t n);
void *__libc_calloc(size_t n, size_t size);
void *__libc_realloc(void *p, size_t n);
char *setlocale(int category, const char *locale);

static int refused(void) {
    if (!shared->armed)
        return 0;
    const size_t at = atomic_fetch_add(&shared->count, 1) + 1;
    if (shared->nth == 0 || (shared->onwards ? at < shared->nth : at != shared->nth))
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
    void *page = mmap(NULL, sizeof here, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    if (page != MAP_FAILED)
        shared = page;
    shared->nth = text ? strtoul(text, NULL, 10) : 0;
    shared->onwards = text && strchr(text, '+') != NULL;
    shared->armed = 1;
    return result;
}

static void __attribute__((destructor)) report(void) {
    shared->armed = 0; /* where the report's process ends by itself, memory is there again for the one that waits */
    const char *path = getenv("MILRISE_ALLOC_COUNT");
    const size_t count = shared->count;
    FILE *f = path ? fopen(path, "w") : NULL;
    if (f) {
        fprintf(f, "%zu\n", count);
        fclose(f);
    }
}
