#include "assess/finding/assessment.h"

struct mr_arena *mr_work(struct mr_assess *a) {
    if (!a->work)
        a->work = mr_arena_child(a->arena);
    return a->work;
}

void mr_work_done(struct mr_assess *a) {
    if (a->work)
        mr_arena_reset(a->work);
}
