/*
 * pool.h - independent pieces of work on all processors.
 *
 * The law: a piece writes nothing but what is its own (its slot of a result, an arena of its own, see
 * mr_arena_child); whoever called puts the results together afterwards, in the order of the pieces. So a run gives
 * the same bytes at any number of threads. Diagnostics are kept by piece likewise (mr_diags_append).
 */
#ifndef MILRISE_BASE_POOL_H
#define MILRISE_BASE_POOL_H

#include <stddef.h>

/** mr_pool_threads - how many threads mr_pool_each may use from now on, the caller's among them; 1 at first. For the
 * command, before it calls a stage. */
void mr_pool_threads(size_t threads);

/** mr_pool_most - that number. */
size_t mr_pool_most(void);

/** mr_pool_watch - from now on `tell` learns after each piece how many of n are done, on whatever thread; NULL ends
 * it. For the command, while no piece is at work. */
void mr_pool_watch(void (*tell)(void *ctx, size_t done, size_t n), void *ctx);

/** mr_pool_each - work on each of n pieces, the first ones first; worker is below mr_pool_most(), one thread each.
 * Returns when all are done. Threads that cannot be started are done without. */
void mr_pool_each(size_t n, void (*work)(void *ctx, size_t piece, size_t worker), void *ctx);

#endif
