/*
 * stacks.h - by which way a traced program came to where it stands: the return addresses of its stack as one number.
 */
#ifndef MILRISE_TESTS_TORTURE_STACKS_H
#define MILRISE_TESTS_TORTURE_STACKS_H

#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>

/* A stack in two parts. Inner: from the call out to the innermost place in the program itself, so the way through a
 * library and the place where the program entered it. Outer: the places about that one, so the way there. */
struct stack_way {
    uint64_t inner, outer;
};

/** stack_of - a stopped thread's stack; inner 0 where it cannot be read. A place that recurs counts once, so that the
 * depth of a recursion makes no other way. program: its file. stack_end - forgets the processes. */
struct stack_way stack_of(pid_t pid, pid_t thread, const char *program);
void stack_end(void);

/* Ways seen, each with its first and its last call. */
struct stack_seen {
    struct stack_way way;
    size_t first, last; /* numbers of calls, from 1 */
};
struct stack_list {
    struct stack_seen *v; /* in order of first */
    size_t n, cap;
};
void stack_note(struct stack_list *list, struct stack_way way, size_t call);

/** stack_cover - fewer of them, in which each inner part and each outer part still stands. Returns: how many are left
 * out. */
size_t stack_cover(struct stack_list *list);

#endif
