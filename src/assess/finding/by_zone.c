/*
 * by_zone.c - windows, actions and checks of each zone, so that no zone costs a look at those of all others.
 */
#include "assess/finding/assessment.h"

const struct mr_chains *mr_windows_by_zone(struct mr_assess *a) {
    const size_t n = a->aligned->windows.n;
    if (a->windows.first != NULL && a->windows_chained == n)
        return &a->windows;
    a->windows = mr_chains_new(a->arena, a->aligned->zones.n, n);
    a->windows_chained = n;
    for (size_t i = n; i-- > 0;)
        mr_chains_put(&a->windows, a->aligned->windows.v[i].zone, i);
    return &a->windows;
}

const struct mr_chains *mr_actions_by_zone(struct mr_assess *a) {
    const size_t n = a->aligned->actions.n;
    if (a->actions.first != NULL)
        return &a->actions;
    a->actions = mr_chains_new(a->arena, a->aligned->zones.n, n);
    for (size_t i = n; i-- > 0;)
        mr_chains_put(&a->actions, a->aligned->actions.v[i].zone, i);
    return &a->actions;
}

struct mr_chains mr_checks_by_zone(struct mr_assess *a) {
    struct mr_chains c = mr_chains_new(a->arena, a->aligned->zones.n, a->out->checks.n);
    for (size_t i = a->out->checks.n; i-- > 0;)
        mr_chains_put(&c, a->out->checks.v[i].zone, i);
    return c;
}
