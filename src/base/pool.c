#include "base/pool.h"

#include <pthread.h>
#include <stdatomic.h>

enum { THREADS_MOST = 64 };

static size_t most = 1;
static void (*watcher)(void *ctx, size_t done, size_t n);
static void *watcher_ctx;

void mr_pool_watch(void (*tell)(void *ctx, size_t done, size_t n), void *ctx) {
    watcher = tell;
    watcher_ctx = ctx;
}

void mr_pool_threads(size_t threads) {
    most = threads < 1 ? 1 : threads > THREADS_MOST ? THREADS_MOST : threads;
}

size_t mr_pool_most(void) {
    return most;
}

struct pool {
    size_t n;
    void (*work)(void *ctx, size_t piece, size_t worker);
    void *ctx;
    atomic_size_t next, workers, done;
};

static void *work_some(void *ctx) {
    struct pool *p = ctx;
    const size_t worker = atomic_fetch_add(&p->workers, 1);
    for (size_t i; (i = atomic_fetch_add(&p->next, 1)) < p->n;) {
        p->work(p->ctx, i, worker);
        const size_t done = atomic_fetch_add(&p->done, 1) + 1;
        if (watcher)
            watcher(watcher_ctx, done, p->n);
    }
    return NULL;
}

void mr_pool_each(size_t n, void (*work)(void *ctx, size_t piece, size_t worker), void *ctx) {
    struct pool p = {.n = n, .work = work, .ctx = ctx};
    pthread_t thread[THREADS_MOST];
    size_t started = 0;
    while (started + 1 < most && started + 1 < n && pthread_create(&thread[started], NULL, work_some, &p) == 0)
        started++;
    work_some(&p);
    for (size_t i = 0; i < started; i++)
        pthread_join(thread[i], NULL);
}
