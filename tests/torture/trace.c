/*
 * trace.c - system calls by ptrace, on x86-64: a failing call never reaches the kernel, so that what a library does
 * behind stdio fails as well, which a wrapper around the C library's functions would not see.
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

#include <linux/ptrace.h>

enum { THREADS_MOST = 64, CALLS_MOST = 12 };

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
    const struct fault *fault;
    struct traced *out;
    bool armed;
    pid_t failing[THREADS_MOST]; /* threads whose call is being refused */
    size_t n_failing;
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

static void arm(struct tracer *t, pid_t pid, const struct ptrace_syscall_info *info) {
    const uint64_t number = info->entry.nr;
    const uint64_t path = number == SYS_open ? info->entry.args[0] : info->entry.args[1];
    if ((number == SYS_open || number == SYS_openat || number == SYS_openat2) && ends_in(pid, path, t->fault->after))
        t->armed = true;
}

static void set_register(pid_t pid, size_t offset, long value) {
    ptrace(PTRACE_POKEUSER, pid, (void *)offset, (void *)value);
}

static void inject(struct tracer *t, pid_t pid, const struct ptrace_syscall_info *info) {
    t->out->injected = true;
    if (t->fault->way == FAULT_KILL) {
        kill(pid, SIGKILL);
    } else if (t->fault->way == FAULT_SHORT) {
        if (info->entry.args[2] > 1)
            set_register(pid, offsetof(struct user, regs.rdx), (long)(info->entry.args[2] / 2));
    } else if (t->n_failing < THREADS_MOST) {
        set_register(pid, offsetof(struct user, regs.orig_rax), -1);
        t->failing[t->n_failing++] = pid;
    }
}

static void at_entry(struct tracer *t, pid_t pid, const struct ptrace_syscall_info *info) {
    if (!t->armed)
        arm(t, pid, info);
    const bool terminal = strcmp(t->fault->call, "write") == 0 && info->entry.args[0] <= 2;
    if (!t->armed || terminal || !in_class(t->fault->call, (long)info->entry.nr))
        return;
    t->out->calls++;
    const bool hit = t->fault->way == FAULT_ON ? t->out->calls >= t->fault->nth : t->out->calls == t->fault->nth;
    if (hit && t->fault->way != FAULT_NONE)
        inject(t, pid, info);
}

static void at_exit(struct tracer *t, pid_t pid) {
    for (size_t i = 0; i < t->n_failing; i++)
        if (t->failing[i] == pid) {
            set_register(pid, offsetof(struct user, regs.rax), -t->fault->error);
            t->failing[i] = t->failing[--t->n_failing];
            return;
        }
}

static void stopped(struct tracer *t, pid_t pid, int status) {
    const int signal = WSTOPSIG(status);
    struct ptrace_syscall_info info;
    long pass = 0;
    if (signal == (SIGTRAP | 0x80)) {
        if (ptrace(PTRACE_GET_SYSCALL_INFO, pid, (void *)sizeof info, &info) > 0) {
            if (info.op == PTRACE_SYSCALL_INFO_ENTRY)
                at_entry(t, pid, &info);
            else if (info.op == PTRACE_SYSCALL_INFO_EXIT)
                at_exit(t, pid);
        }
    } else if (signal != SIGTRAP && signal != SIGSTOP) {
        pass = signal;
    } else if (signal == SIGTRAP && status >> 16 == 0) {
        pass = SIGTRAP; /* a real one, as a library raises it that gives up */
    }
    ptrace(PTRACE_SYSCALL, pid, NULL, (void *)pass);
}

static void child_side(char *const argv[], const char *err) {
    const int fd = open(err, O_WRONLY | O_CREAT | O_TRUNC, 0666);
    dup2(fd, 1);
    dup2(fd, 2);
    ptrace(PTRACE_TRACEME, 0, NULL, NULL);
    raise(SIGSTOP);
    alarm(RUN_SECONDS_MOST); /* crosses the exec: the kernel ends a run that does not end by itself */
    execv(argv[0], argv);
    _exit(126);
}

bool trace_run(char *const argv[], const char *err, const struct fault *fault, struct traced *out) {
    *out = (struct traced){0};
    struct tracer t = {.fault = fault, .out = out};
    const pid_t child = fork();
    if (child == 0)
        child_side(argv, err);
    int status;
    if (child < 0 || waitpid(child, &status, 0) != child || !WIFSTOPPED(status))
        return false;
    const long options = PTRACE_O_TRACESYSGOOD | PTRACE_O_EXITKILL | PTRACE_O_TRACECLONE | PTRACE_O_TRACEFORK |
                         PTRACE_O_TRACEVFORK | PTRACE_O_TRACEEXEC;
    if (ptrace(PTRACE_SETOPTIONS, child, NULL, (void *)options) != 0) {
        kill(child, SIGKILL);
        waitpid(child, &status, 0);
        return false;
    }
    ptrace(PTRACE_SYSCALL, child, NULL, NULL);
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
    return true;
}
