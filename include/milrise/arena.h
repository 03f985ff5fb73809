/*
 * arena.h - who owns memory. The law, stated once:
 *
 *   Results live in the arena passed in; inputs are borrowed and const; nothing else owns anything.
 *
 * One arena serves a job, another is scratch that a caller resets. Items never move except those that
 * mr_arena_grow is asked to grow, so pointers stay valid until the arena is reset or freed. Memory from an
 * arena is zeroed.
 *
 * Exhaustion: an allocation never returns NULL. When memory runs out the arena calls the handler given at its
 * birth, which must not return (the command's handler removes unfinished outputs and leaves with status 4).
 * With no handler the arena aborts. Decision and reasons: DEVELOPERS.md, "Memory".
 */
#ifndef MILRISE_ARENA_H
#define MILRISE_ARENA_H

#include "milrise/base.h"

#include <stdarg.h>

struct mr_arena;

/** mr_arena_new - an empty arena. on_exhausted: called with ctx when memory runs out, must not return; may be NULL.
 *  Returns: the arena, owned by the caller; free it with mr_arena_free. */
struct mr_arena *mr_arena_new(void (*on_exhausted)(void *ctx), void *ctx);

/** mr_arena_like - an empty arena of its own with the handler of another: scratch memory for a call that has only
 * results. */
struct mr_arena *mr_arena_like(const struct mr_arena *arena);

/** mr_arena_child - an arena that is freed when its parent is reset or freed, so that what it holds lives as long.
 *  Several threads may fill one each; making it is the parent's thread's. Never freed by the caller. */
struct mr_arena *mr_arena_child(struct mr_arena *parent);

/** mr_arena_reset - forget everything in the arena, keep the arena. */
void mr_arena_reset(struct mr_arena *arena);

/** mr_arena_free - free the arena and all that lives in it. NULL is allowed. */
void mr_arena_free(struct mr_arena *arena);

/** mr_arena_bytes - bytes handed out and not reset, for reports on memory. */
size_t mr_arena_bytes(const struct mr_arena *arena);

/** mr_alloc - count items of size bytes, zeroed, aligned for any type. count 0 gives a valid pointer. */
void *mr_alloc(struct mr_arena *arena, size_t count, size_t size);

/** mr_arena_grow - a larger copy of block (old_bytes long) with room for new_bytes; the tail is zeroed.
 *  Large blocks are resized in place where the system can. block may be NULL. The old pointer is dead. */
void *mr_arena_grow(struct mr_arena *arena, void *block, size_t old_bytes, size_t new_bytes);

/** mr_arena_fit - give back what a large block of had_bytes holds beyond keep_bytes; small ones stay as they are.
 *  Returns: the block, which may have moved. NULL is allowed. */
void *mr_arena_fit(struct mr_arena *arena, void *block, size_t had_bytes, size_t keep_bytes);

/** mr_arena_drop - give a large block back early (small ones stay until reset). NULL is allowed. */
void mr_arena_drop(struct mr_arena *arena, void *block);

char *mr_strdup(struct mr_arena *arena, const char *text);
char *mr_strndup(struct mr_arena *arena, const char *text, size_t n);
char *mr_printf(struct mr_arena *arena, const char *format, ...) MR_PRINTF(2, 3);
char *mr_vprintf(struct mr_arena *arena, const char *format, va_list args) MR_PRINTF(2, 0);

/** mr_out_of_memory - for a library that lacks memory where no arena is at hand: ends the process by abort, which the
 * command turns into its exit status. */
_Noreturn void mr_out_of_memory(void);

/* For tests: the nth allocation from the system (counted from 1 over all arenas) is refused; 0 turns it off. */
void mr_arena_fail_at(size_t nth);

#define MR_NEW(arena, type) ((type *)mr_alloc((arena), 1, sizeof(type)))
#define MR_ARRAY(arena, type, n) ((type *)mr_alloc((arena), (n), sizeof(type)))

/* MR_PUSH - append item to an MR_VEC. The list may move; do not keep pointers to its items while pushing. */
#define MR_PUSH(arena, vec, item)                                                                                    \
    do {                                                                                                             \
        if ((vec)->n == (vec)->cap)                                                                                  \
            (vec)->v = mr_vec_room((arena), (vec)->v, &(vec)->cap, sizeof *(vec)->v);                                \
        (vec)->v[(vec)->n++] = (item);                                                                               \
    } while (0)

/* MR_FIT - a list that will hardly grow any more keeps no room for it. It may move. */
#define MR_FIT(arena, vec)                                                                                           \
    do {                                                                                                             \
        (vec)->v = mr_arena_fit((arena), (vec)->v, (vec)->cap * sizeof *(vec)->v, (vec)->n * sizeof *(vec)->v);      \
        (vec)->cap = (vec)->n;                                                                                       \
    } while (0)

/* For MR_PUSH only. */
void *mr_vec_room(struct mr_arena *arena, void *items, size_t *cap, size_t item_bytes);

#endif
