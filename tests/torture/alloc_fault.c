/*
 * alloc_fault.c - preloaded: from the first setlocale on, the n-th allocation fails (MILRISE_ALLOC_NTH=n, or n+ for
 * all from there), in the program and in every library. MILRISE_ALLOC_COUNT names a file for the number of them,
 * MILRISE_ALLOC_STACKS one for each call stack: its first and its last allocation, and its inner and its outer part
 * as stacks.h has them.
 */
#include <dlfcn.h>
#include <errno.h>
#include <execinfo.h>
#include <inttypes.h>
#include <link.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

enum { STACKS_MOST = 1 << 18, FRAMES_MOST = 96 };

struct way {
    uint64_t hash, inner, outer;
    size_t first, last;
};

/* Shared with the processes that are started: the report runs in one of its own. One thread allocates at a time. */
struct shared {
    atomic_int armed;
    atomic_size_t count;
    size_t nth;
    int onwards;
    size_t n_ways;
    struct way way[STACKS_MOST]; /* by hash; only touched where stacks are asked for */
};

static struct shared *shared;
static int noting;
static __thread int inside;

void *__libc_malloc(size_t n);
void *__libc_calloc(size_t n, size_t size);
void *__libc_realloc(void *p, size_t n);
char *setlocale(int category, const char *locale);

/* Where the program itself lies; what lies elsewhere is a library's. */
static uintptr_t program_from, program_to;

static int find_program(struct dl_phdr_info *info, size_t size, void *ctx) {
    (void)size, (void)ctx;
    for (int i = 0; i < info->dlpi_phnum; i++) {
        const ElfW(Phdr) *h = &info->dlpi_phdr[i];
        if (h->p_type == PT_LOAD && (h->p_flags & PF_X)) {
            program_from = info->dlpi_addr + h->p_vaddr;
            program_to = program_from + h->p_memsz;
        }
    }
    return 1; /* the program comes first */
}

static struct way *slot_of(uint64_t h) {
    size_t slot = (size_t)(h ^ h >> 32) % STACKS_MOST;
    while (shared->way[slot].hash && shared->way[slot].hash != h)
        slot = (slot + 1) % STACKS_MOST;
    return &shared->way[slot];
}

/* A place that recurs counts once, so that the depth of a recursion makes no other way. */
static void note_way(size_t at) {
    void *frame[FRAMES_MOST];
    const int n = backtrace(frame, FRAMES_MOST);
    uint64_t part[2] = {UINT64_C(1469598103934665603), UINT64_C(1469598103934665603)};
    int outer = 0;
    for (int i = 2; i < n; i++) {
        const uintptr_t place = (uintptr_t)frame[i];
        int again = 0;
        for (int k = 2; k < i && !again; k++)
            again = frame[k] == frame[i];
        if (!again)
            part[outer] = (part[outer] ^ (uint64_t)place) * UINT64_C(1099511628211);
        outer |= place >= program_from && place < program_to;
    }
    const uint64_t h = part[0] ^ part[1] * UINT64_C(0x9e3779b97f4a7c15);
    struct way *way = slot_of(h);
    if (!way->hash && shared->n_ways++ < STACKS_MOST / 2)
        *way = (struct way){h, part[0], part[1], at, at};
    way->last = at;
}

static int refused(void) {
    if (!shared || !shared->armed || inside)
        return 0;
    const size_t at = atomic_fetch_add(&shared->count, 1) + 1;
    if (noting) {
        inside = 1;
        note_way(at);
        inside = 0;
    }
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
    if (shared)
        return result; /* libraries ask for the locale too: counting goes on */
    const char *text = getenv("MILRISE_ALLOC_NTH");
    void *page =
        mmap(NULL, sizeof *shared, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS | MAP_NORESERVE, -1, 0);
    void *frame[4];
    if (page == MAP_FAILED)
        return result;
    noting = getenv("MILRISE_ALLOC_STACKS") != NULL;
    if (noting)
        backtrace(frame, 4); /* loads what it needs */
    dl_iterate_phdr(find_program, NULL);
    shared = page;
    shared->nth = text ? strtoul(text, NULL, 10) : 0;
    shared->onwards = text && strchr(text, '+') != NULL;
    shared->armed = 1;
    return result;
}

static void __attribute__((destructor)) report(void) {
    if (!shared)
        return;
    shared->armed = 0; /* where the report's process ends by itself, memory is there again for the one that waits */
    const char *path = getenv("MILRISE_ALLOC_COUNT"), *stacks = getenv("MILRISE_ALLOC_STACKS");
    FILE *f = path ? fopen(path, "w") : NULL;
    if (f) {
        fprintf(f, "%zu\n", (size_t)shared->count);
        fclose(f);
    }
    f = stacks ? fopen(stacks, "w") : NULL;
    for (size_t i = 0; f && i < STACKS_MOST; i++)
        if (shared->way[i].hash)
            fprintf(f, "%zu %zu %" PRIu64 " %" PRIu64 "\n", shared->way[i].first, shared->way[i].last,
                    shared->way[i].inner, shared->way[i].outer);
    if (f)
        fclose(f);
}
