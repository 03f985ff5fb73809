/*
 * stacks.c - unwinds by the tables that every library carries (.eh_frame), through elfutils' libdw.
 */
#include "stacks.h"

#include <elfutils/libdwfl.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

static bool same_way(struct stack_way a, struct stack_way b) {
    return a.inner == b.inner && a.outer == b.outer;
}

void stack_note(struct stack_list *list, struct stack_way way, size_t call) {
    for (size_t i = 0; i < list->n; i++)
        if (same_way(list->v[i].way, way)) {
            list->v[i].last = call;
            return;
        }
    if (list->n == list->cap) {
        list->cap = list->cap ? 2 * list->cap : 256;
        list->v = realloc(list->v, list->cap * sizeof *list->v);
        if (!list->v)
            abort();
    }
    list->v[list->n++] = (struct stack_seen){way, call, call};
}

/* Those in which both parts are new come first, so that fewer are needed. */
size_t stack_cover(struct stack_list *list) {
    size_t n = 0;
    for (int both = 1; both >= 0; both--)
        for (size_t i = n; i < list->n; i++) {
            const struct stack_seen s = list->v[i];
            bool inner = false, outer = false;
            for (size_t k = 0; k < n && !(inner && outer); k++) {
                inner = inner || list->v[k].way.inner == s.way.inner;
                outer = outer || list->v[k].way.outer == s.way.outer;
            }
            if (both ? inner || outer : inner && outer)
                continue;
            list->v[i] = list->v[n];
            list->v[n++] = s;
        }
    const size_t left_out = list->n - n;
    list->n = n;
    return left_out;
}

enum { PROCESSES = 8, FRAMES_MOST = 128 };

static struct process {
    pid_t pid;
    Dwfl *dwfl;
} process[PROCESSES];

struct frames {
    Dwfl *dwfl;
    const char *program;
    uint64_t at[FRAMES_MOST];
    size_t n, n_inner; /* n_inner: 0 until the program itself is met */
    uint64_t unknown;  /* a place in no module */
};

/* No separate debug files: the tables of the program itself suffice, and nothing is asked for over a network. */
static int no_debuginfo(Dwfl_Module *m, void **user, const char *name, Dwarf_Addr base, const char *file,
                        const char *link, GElf_Word crc, char **found) {
    (void)m, (void)user, (void)name, (void)base, (void)file, (void)link, (void)crc, (void)found;
    return -1;
}

static Dwfl *opened(pid_t pid) {
    static const Dwfl_Callbacks callbacks = {.find_elf = dwfl_linux_proc_find_elf, .find_debuginfo = no_debuginfo};
    struct process *free_one = NULL;
    for (size_t i = 0; i < PROCESSES; i++) {
        if (process[i].pid == pid)
            return process[i].dwfl;
        if (!process[i].pid && !free_one)
            free_one = &process[i];
    }
    Dwfl *dwfl = free_one ? dwfl_begin(&callbacks) : NULL;
    if (!dwfl)
        return NULL;
    if (dwfl_linux_proc_report(dwfl, pid) != 0 || dwfl_report_end(dwfl, NULL, NULL) != 0 ||
        dwfl_linux_proc_attach(dwfl, pid, true) != 0) {
        dwfl_end(dwfl);
        return NULL;
    }
    *free_one = (struct process){pid, dwfl};
    return dwfl;
}

static int take_frame(Dwfl_Frame *frame, void *ctx) {
    struct frames *f = ctx;
    Dwarf_Addr pc, from;
    bool is_activation;
    if (f->n == FRAMES_MOST || !dwfl_frame_pc(frame, &pc, &is_activation))
        return DWARF_CB_ABORT;
    Dwfl_Module *m = dwfl_addrmodule(f->dwfl, pc);
    if (!m)
        f->unknown = pc;
    const char *name = m ? dwfl_module_info(m, NULL, &from, NULL, NULL, NULL, NULL, NULL) : "";
    uint64_t at = m ? pc - from : pc;
    const bool ours = name && strcmp(name, f->program) == 0;
    for (; name && *name; name++)
        at = (at ^ (unsigned char)*name) * UINT64_C(1099511628211);
    for (size_t i = 0; i < f->n; i++)
        if (f->at[i] == at)
            return DWARF_CB_OK;
    f->at[f->n++] = at;
    if (ours && !f->n_inner)
        f->n_inner = f->n;
    return DWARF_CB_OK;
}

static uint64_t hash_of(const uint64_t *v, size_t n) {
    uint64_t h = UINT64_C(1469598103934665603);
    for (size_t i = 0; i < n; i++)
        h = (h ^ v[i]) * UINT64_C(1099511628211);
    return h;
}

static struct stack_way unwound(Dwfl *dwfl, pid_t thread, const char *program, uint64_t *unknown) {
    struct frames f = {.dwfl = dwfl, .program = program};
    dwfl_getthread_frames(dwfl, thread, take_frame, &f);
    *unknown = f.unknown;
    if (f.n <= 2) /* a call that begins a thread ends its own stack */
        return (struct stack_way){0};
    const size_t inner = f.n_inner ? f.n_inner : f.n;
    return (struct stack_way){hash_of(f.at, inner), hash_of(f.at + inner, f.n - inner)};
}

struct stack_way stack_of(pid_t pid, pid_t thread, const char *program) {
    Dwfl *dwfl = opened(pid);
    uint64_t unknown = 0;
    struct stack_way way = {0};
    if (dwfl)
        way = unwound(dwfl, thread, program, &unknown);
    if (!dwfl || !unknown)
        return way;
    dwfl_report_begin_add(dwfl); /* a library was loaded since */
    if (dwfl_linux_proc_report(dwfl, pid) == 0 && dwfl_report_end(dwfl, NULL, NULL) == 0)
        way = unwound(dwfl, thread, program, &unknown);
    return way;
}

void stack_end(void) {
    for (size_t i = 0; i < PROCESSES; i++)
        if (process[i].dwfl)
            dwfl_end(process[i].dwfl);
    memset(process, 0, sizeof process);
}
