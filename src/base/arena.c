/*
 * arena.c - the only caller of malloc, realloc and free in the project.
 *
 * Small items are cut from blocks of 64 KiB; an item of 16 KiB or more gets an allocation of its own, kept in a
 * doubly linked list, so that a log's columns can grow by realloc (which moves pages, not bytes) and be dropped
 * early. That keeps peak memory near the size of the data: plain doubling inside blocks would leave every
 * outgrown copy behind. Items from 4 MiB on are mapped pages: they come zeroed, grow by moving pages, and may be huge
 * pages, which halves the time that a log's columns cost (a 200 MB log fills 50,000 small pages, one fault each).
 */
#include "milrise/arena.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

enum {
    BLOCK_BYTES = 64 * 1024,
    LARGE_BYTES = 16 * 1024,
    MAPPED_BYTES = 4 * 1024 * 1024,
    PAGE_MOST = 64 * 1024,
    SHORT_TEXT = 256
};

struct block {
    struct block *next;
    size_t used, room;
    max_align_t data[];
};

struct large {
    struct large *prev, *next;
    size_t bytes;
    size_t mapped; /* bytes of the mapping; 0 = from malloc */
    max_align_t data[];
};

struct mr_arena {
    struct block *blocks;
    struct large *larges;
    struct mr_arena *children, *sibling;
    size_t bytes;
    void (*on_exhausted)(void *ctx);
    void *ctx;
};

static size_t fail_at, allocations;

void mr_arena_fail_at(size_t nth) {
    fail_at = nth;
    allocations = 0;
}

static _Noreturn void exhausted(const struct mr_arena *arena) {
    if (arena && arena->on_exhausted)
        arena->on_exhausted(arena->ctx);
    abort();
}

void mr_out_of_memory(void) {
    abort();
}

/* Blocks are not zeroed by calloc when they are resized, so callers clear what they hand out. */
static void *system_block(const struct mr_arena *arena, void *old, size_t bytes) {
    if (fail_at && ++allocations == fail_at)
        exhausted(arena);
    void *p = realloc(old, bytes);
    if (!p)
        exhausted(arena);
    return p;
}

static void system_release(struct large *l) {
    if (l->mapped)
        munmap(l, l->mapped);
    else
        free(l);
}

/* A large item of its own, new or resized. What lies beyond the old size is zero in a mapping, unknown otherwise. */
static struct large *system_large(const struct mr_arena *arena, struct large *old, size_t total) {
#ifndef MR_ARENA_SEPARATE /* sanitizers watch malloc, not mappings */
    if (total >= MAPPED_BYTES) {
        if (fail_at && ++allocations == fail_at)
            exhausted(arena);
        const bool was_mapped = old && old->mapped; /* asked before old is gone */
        void *p = was_mapped ? mremap(old, old->mapped, total, MREMAP_MAYMOVE)
                             : mmap(NULL, total, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
        if (p == MAP_FAILED)
            exhausted(arena);
        madvise(p, total, MADV_HUGEPAGE); /* a wish: small pages do as well */
        if (old && !was_mapped) {
            memcpy(p, old, sizeof *old + old->bytes);
            free(old);
        }
        struct large *l = p;
        l->mapped = total;
        return l;
    }
#endif
    struct large *l = system_block(arena, old, total);
    l->mapped = 0;
    return l;
}

struct mr_arena *mr_arena_new(void (*on_exhausted)(void *ctx), void *ctx) {
    struct mr_arena birth = {.on_exhausted = on_exhausted, .ctx = ctx};
    struct mr_arena *arena = system_block(&birth, NULL, sizeof *arena);
    *arena = birth;
    return arena;
}

struct mr_arena *mr_arena_like(const struct mr_arena *arena) {
    return mr_arena_new(arena->on_exhausted, arena->ctx);
}

struct mr_arena *mr_arena_child(struct mr_arena *parent) {
    struct mr_arena *child = mr_arena_like(parent);
    child->sibling = parent->children;
    parent->children = child;
    return child;
}

void mr_arena_reset(struct mr_arena *arena) {
    for (struct mr_arena *c = arena->children, *next; c; c = next) {
        next = c->sibling;
        mr_arena_free(c);
    }
    for (struct block *b = arena->blocks, *next; b; b = next) {
        next = b->next;
        free(b);
    }
    for (struct large *l = arena->larges, *next; l; l = next) {
        next = l->next;
        system_release(l);
    }
    arena->blocks = NULL;
    arena->larges = NULL;
    arena->children = NULL;
    arena->bytes = 0;
}

void mr_arena_free(struct mr_arena *arena) {
    if (!arena)
        return;
    mr_arena_reset(arena);
    free(arena);
}

size_t mr_arena_bytes(const struct mr_arena *arena) {
    size_t bytes = arena->bytes;
    for (const struct mr_arena *c = arena->children; c; c = c->sibling)
        bytes += mr_arena_bytes(c);
    return bytes;
}

static size_t round_up(size_t bytes) {
    const size_t unit = sizeof(max_align_t);
    return (bytes + unit - 1) / unit * unit;
}

static struct large *large_of(void *data) {
    return (struct large *)(void *)((char *)data - offsetof(struct large, data));
}

static void link_large(struct mr_arena *arena, struct large *l) {
    l->prev = NULL;
    l->next = arena->larges;
    if (l->next)
        l->next->prev = l;
    arena->larges = l;
}

static void unlink_large(struct mr_arena *arena, struct large *l) {
    if (l->prev)
        l->prev->next = l->next;
    else
        arena->larges = l->next;
    if (l->next)
        l->next->prev = l->prev;
}

static void *alloc_large(struct mr_arena *arena, size_t bytes) {
    struct large *l = system_large(arena, NULL, sizeof *l + bytes);
    l->bytes = bytes;
    link_large(arena, l);
    arena->bytes += bytes;
    if (!l->mapped)
        memset(l->data, 0, bytes);
    return l->data;
}

void *mr_alloc(struct mr_arena *arena, size_t count, size_t size) {
    if (size && count > (SIZE_MAX / 2) / size)
        exhausted(arena);
    size_t bytes = round_up(count * size);
    if (bytes == 0)
        bytes = sizeof(max_align_t);
    if (bytes >= LARGE_BYTES)
        return alloc_large(arena, bytes);
#ifdef MR_ARENA_SEPARATE
    /* Sanitizer builds give each item its own allocation, so that one byte past an item is seen. */
    return alloc_large(arena, count && size ? count * size : 1);
#endif
    struct block *b = arena->blocks;
    if (!b || b->room - b->used < bytes) {
        b = system_block(arena, NULL, sizeof *b + BLOCK_BYTES);
        *b = (struct block){.next = arena->blocks, .room = BLOCK_BYTES};
        arena->blocks = b;
    }
    void *p = (char *)b->data + b->used;
    b->used += bytes;
    arena->bytes += bytes;
    return memset(p, 0, bytes);
}

static bool is_large(const void *block, size_t bytes) {
#ifdef MR_ARENA_SEPARATE
    (void)bytes;
    return block != NULL;
#else
    return block && round_up(bytes) >= LARGE_BYTES;
#endif
}

void *mr_arena_grow(struct mr_arena *arena, void *block, size_t old_bytes, size_t new_bytes) {
    if (new_bytes <= old_bytes)
        return block;
    if (!is_large(block, old_bytes)) {
        void *p = mr_alloc(arena, 1, new_bytes);
        if (block && old_bytes)
            memcpy(p, block, old_bytes);
        return p;
    }
    struct large *l = large_of(block);
    size_t had = l->bytes, want = round_up(new_bytes);
    unlink_large(arena, l);
    l = system_large(arena, l, sizeof *l + want);
    l->bytes = want;
    link_large(arena, l);
    arena->bytes += want - had;
    size_t clean = l->mapped && had < want ? had : want;
    memset((char *)l->data + old_bytes, 0, clean - old_bytes);
    return l->data;
}

/* A block cut to less than LARGE_BYTES is copied where it grows again, as a small one is. Where the system cannot cut
 * it, it stays whole. */
void *mr_arena_fit(struct mr_arena *arena, void *block, size_t had_bytes, size_t keep_bytes) {
    const size_t keep = keep_bytes ? round_up(keep_bytes) : sizeof(max_align_t);
    if (!is_large(block, had_bytes) || keep >= large_of(block)->bytes)
        return block;
    struct large *l = large_of(block);
    const size_t total = sizeof *l + keep, had = l->bytes;
    unlink_large(arena, l);
    if (l->mapped) /* what remains of its last page is zero again, as mr_arena_grow takes it to be */
        memset((char *)l->data + keep, 0, had - keep < PAGE_MOST ? had - keep : PAGE_MOST);
    void *cut = l->mapped ? mremap(l, l->mapped, total, 0) : realloc(l, total);
    if (cut && cut != MAP_FAILED) {
        l = cut;
        l->mapped = l->mapped ? total : 0;
        l->bytes = keep;
        arena->bytes -= had - keep;
    }
    link_large(arena, l);
    return l->data;
}

void mr_arena_drop(struct mr_arena *arena, void *block) {
    for (struct large *l = arena->larges; block && l; l = l->next)
        if (l->data == block) {
            arena->bytes -= l->bytes;
            unlink_large(arena, l);
            system_release(l);
            return;
        }
}

void *mr_vec_room(struct mr_arena *arena, void *items, size_t *cap, size_t item_bytes) {
    size_t had = *cap, want = had ? had * 2 : 8;
    if (want > (SIZE_MAX / 2) / item_bytes)
        exhausted(arena);
    *cap = want;
    return mr_arena_grow(arena, items, had * item_bytes, want * item_bytes);
}

char *mr_strndup(struct mr_arena *arena, const char *text, size_t n) {
    char *copy = mr_alloc(arena, n + 1, 1);
    if (n)
        memcpy(copy, text, n);
    copy[n] = '\0';
    return copy;
}

char *mr_strdup(struct mr_arena *arena, const char *text) {
    return mr_strndup(arena, text, strlen(text));
}

char *mr_vprintf(struct mr_arena *arena, const char *format, va_list args) {
    char small[SHORT_TEXT];
    va_list again;
    va_copy(again, args);
    const int n = vsnprintf(small, sizeof small, format, again);
    va_end(again);
    if (n < 0)
        return mr_strdup(arena, "");
    if ((size_t)n < sizeof small)
        return mr_strndup(arena, small, (size_t)n);
    char *text = mr_alloc(arena, (size_t)n + 1, 1);
    vsnprintf(text, (size_t)n + 1, format, args);
    return text;
}

char *mr_printf(struct mr_arena *arena, const char *format, ...) {
    va_list args;
    va_start(args, format);
    char *text = mr_vprintf(arena, format, args);
    va_end(args);
    return text;
}
