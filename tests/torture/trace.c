/*
 * trace.c - system calls by ptrace, on x86-64: a failing call never reaches the kernel, so that what a library does
 * behind stdio fails as well, which a wrapper around the C library's functions would not see. A filter in the kernel
 * lets every other call pass untraced.
 */
#include "trace.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdint.h>
#include <string.h>
#include <sys/ptrace.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <sys/user.h>
#include <sys/wait.h>
#include <unistd.h>

#include <linux/filter.h>
#include <linux/ptrace.h>
#include <linux/seccomp.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/personality.h>
#include <sys/prctl.h>

enum { CALLS_MOST = 12, FILTER_MOST = 64 };

static const struct {
    const char *name;
    long numbers[CALLS_MOST]; /* ends in -1 */
} classes[] = {
    {"open", {SYS_open, SYS_openat, SYS_openat2, SYS_creat, -1}},
    {"read", {SYS_read, SYS_pread64, SYS_readv, -1}},
    {"write", {SYS_write, SYS_pwrite64, SYS_writev, -1}},
    {"fsync", {SYS_fsync, SYS_fdatasync, -1}},
    {"close", {SYS_close, -1}},
    {"rename", {SYS_rename, SYS_renameat, SYS_renameat2, -1}},
    {"link", {SYS_link, SYS_linkat, SYS_symlink, SYS_symlinkat, -1}},
    {"mkdir", {SYS_mkdir, SYS_mkdirat, -1}},
    {"unlink", {SYS_unlink, SYS_unlinkat, SYS_rmdir, -1}},
    {"stat",
     {SYS_stat, SYS_fstat, SYS_lstat, SYS_newfstatat, SYS_statx, SYS_access, SYS_faccessat, SYS_readlink,
      SYS_readlinkat, -1}},
    {"list", {SYS_getdents64, -1}},
    {"lock", {SYS_flock, -1}},
    {"mmap", {SYS_mmap, SYS_mremap, SYS_brk, -1}},
    {"clone", {SYS_clone, SYS_clone3, -1}},
};

const char *const trace_calls[] = {"open",  "read",   "write", "fsync", "close", "rename", "link",
                                   "mkdir", "unlink", "stat",  "list",  "lock",  "mmap",   "clone"};
const size_t trace_call_count = sizeof trace_calls / sizeof trace_calls[0];

static bool in_class(const char *name, long number) {
    for (size_t i = 0; i < sizeof classes / sizeof classes[0]; i++)
        for (size_t k = 0; strcmp(classes[i].name, name) == 0 && classes[i].numbers[k] >= 0; k++)
            if (classes[i].numbers[k] == number)
                return true;
    return false;
}

struct tracer {
    const char *program;
    const struct fault *fault;
    struct traced *out;
    bool armed;
};

static bool ends_in(pid_t pid, uint64_t address, const char *end) {
    char text[4096];
    size_t n = 0;
    for (; n + sizeof(long) < sizeof text; n += sizeof(long)) {
        errno = 0;
        const long word = ptrace(PTRACE_PEEKDATA, pid, (void *)(uintptr_t)(address + n), NULL);
        if (errno)
            return false;
        memcpy(text + n, &word, sizeof word);
        if (memchr(&word, '\0', sizeof word))
            break;
    }
    text[sizeof text - 1] = '\0';
    const size_t length = strlen(text), m = strlen(end);
    return length >= m && strcmp(text + length - m, end) == 0;
}

static bool is_open(uint64_t number) {
    return number == SYS_open || number == SYS_openat || number == SYS_openat2;
}

static void set_register(pid_t pid, size_t offset, long value) {
    ptrace(PTRACE_POKEUSER, pid, (void *)offset, (void *)value);
}

/* A call whose number is -1 is left out, and gives what stands in rax. */
static void inject(struct tracer *t, pid_t pid, uint64_t count) {
    t->out->injected = true;
    if (t->fault->way == FAULT_KILL) {
        kill(pid, SIGKILL);
    } else if (t->fault->way == FAULT_SHORT) {
        if (count > 1)
            set_register(pid, offsetof(struct user, regs.rdx), (long)(count / 2));
    } else {
        set_register(pid, offsetof(struct user, regs.orig_rax), -1);
        set_register(pid, offsetof(struct user, regs.rax), -t->fault->error);
    }
}

/* The process of a thread: its memory is the one to unwind. */
static pid_t process_of(pid_t thread) {
    char path[64], line[256];
    snprintf(path, sizeof path, "/proc/%d/status", (int)thread);
    FILE *f = fopen(path, "r");
    int pid = (int)thread;
    while (f && fgets(line, sizeof line, f) && sscanf(line, "Tgid: %d", &pid) != 1) {
    }
    if (f)
        fclose(f);
    return pid;
}

static void at_call(struct tracer *t, pid_t pid) {
    struct user_regs_struct r;
    if (ptrace(PTRACE_GETREGS, pid, NULL, &r) != 0)
        return;
    if (!t->armed && is_open(r.orig_rax))
        t->armed = ends_in(pid, r.orig_rax == SYS_open ? r.rdi : r.rsi, t->fault->after);
    const bool terminal = strcmp(t->fault->call, "write") == 0 && r.rdi <= 2;
    if (!t->armed || terminal || !in_class(t->fault->call, (long)r.orig_rax))
        return;
    t->out->calls++;
    if (t->fault->stacks) {
        struct stack_way way = stack_of(process_of(pid), pid, t->program);
        if (!way.inner) /* cannot be read: a way of its own */
            way.inner = t->out->calls;
        stack_note(t->fault->stacks, way, t->out->calls);
    }
    const bool hit = t->fault->way == FAULT_ON ? t->out->calls >= t->fault->nth : t->out->calls == t->fault->nth;
    if (hit && t->fault->way != FAULT_NONE)
        inject(t, pid, r.rdx);
}

static void stopped(struct tracer *t, pid_t pid, int status) {
    const int signal = WSTOPSIG(status);
    long pass = 0;
    if (status >> 8 == (SIGTRAP | PTRACE_EVENT_SECCOMP << 8))
        at_call(t, pid);
    else if (signal != SIGTRAP && signal != SIGSTOP)
        pass = signal;
    else if (signal == SIGTRAP && status >> 16 == 0)
        pass = SIGTRAP; /* a real one, as a library raises it that gives up */
    ptrace(PTRACE_CONT, pid, NULL, (void *)pass);
}

/* Calls of the class and those that open files stop, all others go on. */
static bool filter_calls(const char *class) {
    struct sock_filter code[FILTER_MOST];
    size_t n = 0;
    code[n++] = (struct sock_filter)BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, nr));
    for (size_t i = 0; i < sizeof classes / sizeof classes[0]; i++)
        for (size_t k = 0; classes[i].numbers[k] >= 0 && n + 3 < FILTER_MOST; k++)
            if (strcmp(classes[i].name, class) == 0 || strcmp(classes[i].name, "open") == 0) {
                code[n++] =
                    (struct sock_filter)BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, (unsigned)classes[i].numbers[k], 0, 1);
                code[n++] = (struct sock_filter)BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_TRACE);
            }
    code[n++] = (struct sock_filter)BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW);
    const struct sock_fprog program = {(unsigned short)n, code};
    return prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0 && prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program) == 0;
}

static void child_side(char *const argv[], const char *err, const char *class) {
    const int fd = open(err, O_WRONLY | O_CREAT | O_TRUNC, 0666);
    dup2(fd, 1);
    dup2(fd, 2);
    ptrace(PTRACE_TRACEME, 0, NULL, NULL);
    raise(SIGSTOP);
    personality(ADDR_NO_RANDOMIZE);
    alarm(RUN_SECONDS_MOST); /* crosses the exec: the kernel ends a run that does not end by itself */
    if (!filter_calls(class))
        _exit(125);
    execv(argv[0], argv);
    _exit(126);
}

bool trace_run(char *const argv[], const char *err, const struct fault *fault, struct traced *out) {
    *out = (struct traced){0};
    struct tracer t = {.program = argv[0], .fault = fault, .out = out};
    const pid_t child = fork();
    if (child == 0)
        child_side(argv, err, fault->call);
    int status;
    if (child < 0 || waitpid(child, &status, 0) != child || !WIFSTOPPED(status))
        return false;
    const long options = PTRACE_O_TRACESECCOMP | PTRACE_O_EXITKILL | PTRACE_O_TRACECLONE | PTRACE_O_TRACEFORK |
                         PTRACE_O_TRACEVFORK | PTRACE_O_TRACEEXEC;
    if (ptrace(PTRACE_SETOPTIONS, child, NULL, (void *)options) != 0) {
        kill(child, SIGKILL);
        waitpid(child, &status, 0);
        return false;
    }
    ptrace(PTRACE_CONT, child, NULL, NULL);
    for (pid_t pid; (pid = waitpid(-1, &status, __WALL)) > 0;) {
        if (WIFSTOPPED(status)) {
            stopped(&t, pid, status);
            continue;
        }
        if (pid != child)
            continue;
        out->signalled = WIFSIGNALED(status);
        out->status = WIFEXITED(status) ? WEXITSTATUS(status) : 128 + WTERMSIG(status);
        break;
    }
    while (waitpid(-1, &status, __WALL | WNOHANG) > 0) {
    }
    stack_end();
    return true;
}
