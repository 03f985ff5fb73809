/*
 * stacks.h - by which way a traced program came to where it stands: the return addresses of its stack as one number.
 */
#ifndef MILRISE_TESTS_TORTURE_STACKS_H
#define MILRISE_TESTS_TORTURE_STACKS_H

#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>

/** stack_of - a stopped thread's stack; 0 where it cannot be read. A place that recurs counts once, so that the depth
 * of a recursion makes no other way. stack_end - forgets the processes. */
uint64_t stack_of(pid_t pid, pid_t thread);
void stack_end(void);

/* Ways seen, each with its first and its last call. */
struct stack_seen {
    uint64_t hash;
    size_t first, last; /* numbers of calls, from 1 */
};
struct stack_list {
    struct stack_seen *v; /* in order of first */
    size_t n, cap;
};
void stack_note(struct stack_list *list, uint64_t hash, size_t call);

#endif
