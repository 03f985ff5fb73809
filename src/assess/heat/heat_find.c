/*
 * heat_find.c - from a series to its events: detect, group what overlaps, fit, look again at what is left.
 * See heat.h.
 *
 * A group is a run of rises each of which begins before the one before it has cooled by nine tenths. It is fitted
 * together, at most MR_HEAT_TOGETHER at a time; what an earlier group has left in the steel is taken off first. A
 * second coat that lands before the first one's peak makes one climb with a knee: it shows as a rise in the residuals
 * of the first fit and is then added, if the sum of squares says so clearly.
 */
#include "assess/heat/heat_group.h"

#include <math.h>
#include <string.h>

static const double WORTH_ADDING = 15.0; /* an event found in residuals must make the fit likelier by this, as minus
                                          * twice the log likelihood: four parameters, and a dozen places to look */

static const double WORTH_FITTING = 7.0; /* so much the first step must promise, before it is fitted at all */

static const double BEFORE = 1.5, AFTER = 1.5; /* of the slowest event: how much record goes into a fit */

static int64_t moment_ms(const struct mr_heat_finder *f, double t_s) {
    return f->zero_ms + (int64_t)llround(t_s * 1e3);
}

static bool in_focus(const struct mr_heat_finder *f, const struct mr_heat_candidate *c) {
    if (!f->options->focus)
        return true;
    int64_t onset = moment_ms(f, c->onset_s);
    for (size_t i = 0; i < f->options->n_focus; i++)
        if (onset >= f->options->focus[i].early_ms && onset <= f->options->focus[i].last_ms)
            return true;
    return false;
}

/* An earlier event without a fit cannot be taken off: stay clear of it. What lies outside the focus is weather. */
static double clear_of_earlier(const struct mr_heat_finder *f, double begin) {
    for (size_t i = f->out->n; i-- > 0;) {
        const struct mr_heat_found *before = &f->out->v[i];
        if (!before->aside)
            return fmax(begin, before->fit == MR_FIT_OK ? before->peak_s : before->end_s);
    }
    return begin;
}

static size_t gather(const struct mr_heat_finder *f, size_t i, size_t at_most, struct mr_heat_group *g) {
    const struct mr_heat_candidate *c = f->found->v;
    size_t n = f->found->n;
    *g = (struct mr_heat_group){.m = 0, .next_s = HUGE_VAL, .aside = !in_focus(f, &c[i])};
    if (g->aside)
        at_most = 1;
    do
        g->event[g->m++] = c[i++];
    while (i < n && g->m < at_most && c[i].segment_from == c[i - 1].segment_from && c[i].onset_s < c[i - 1].end_s &&
           in_focus(f, &c[i]));
    const struct mr_heat_candidate *first = &g->event[0], *last = &g->event[g->m - 1];
    double begin = fmin(clear_of_earlier(f, first->onset_s - BEFORE * f->bins->slowest_s), first->onset_s);
    if (i < n && c[i].segment_from == last->segment_from)
        g->next_s = c[i].onset_s;
    double end = fmax(last->end_s, last->peak_s + AFTER * f->bins->slowest_s);
    for (size_t j = i; j < n && c[j].segment_from == last->segment_from && c[j].onset_s < end; j++)
        if (in_focus(f, &c[j]))
            end = c[j].onset_s;
    g->from = mr_heat_bin_at(f->bins, begin);
    g->to = mr_heat_bin_at(f->bins, end);
    if (g->from < first->segment_from)
        g->from = first->segment_from;
    if (g->to > last->segment_to)
        g->to = last->segment_to;
    return i;
}

/* The fit as one can use it: onsets in order and inside the data. */
static bool sensible(const struct mr_heat_finder *f, const struct mr_heat_group *g, const struct mr_heat_fit *fit) {
    double end = f->bins->t_s[g->to - 1];
    for (size_t j = 0; j < fit->m; j++) {
        if (!isfinite(fit->rise[j]) || !isfinite(fit->rise_se[j]) || fit->curve[j].onset_s >= end)
            return false;
        if (j && fit->curve[j].onset_s <= fit->curve[j - 1].onset_s)
            return false;
    }
    return true;
}

static struct mr_heat_task task_of(struct mr_heat_finder *f) {
    return (struct mr_heat_task){.work = f->work,
                                 .scratch = f->scratch,
                                 .room = &f->room,
                                 .bins = f->bins,
                                 .carried = f->carried.v,
                                 .n_carried = f->carried.n,
                                 .zero_ms = f->zero_ms,
                                 .references = f->options->references,
                                 .usual = f->options->usual};
}

static struct mr_heat_task task_of_group(struct mr_heat_finder *f, const struct mr_heat_group *g) {
    struct mr_heat_task task = task_of(f);
    task.from = g->from;
    task.to = g->to;
    task.candidates = g->event;
    task.m = g->m;
    return task;
}

static void fit_group(struct mr_heat_finder *f, struct mr_heat_group *g) {
    struct mr_heat_task task = task_of_group(f, g);
    g->status = g->aside ? MR_E_FEW : mr_heat_fit_events(&task, &g->fit);
    mr_arena_reset(f->work);
    if (g->status == MR_OK && !sensible(f, g, &g->fit))
        g->status = MR_E_NOFIT;
}

static double fitted(const struct mr_heat_finder *f, const struct mr_heat_fit *fit, double t_s) {
    double u = t_s - fit->line_at_s, c = fit->line_c + u * (fit->drift_k_per_s + u * fit->bend_k_per_s2);
    for (size_t j = 0; j < fit->m; j++)
        c += mr_heat_rise(&fit->curve[j], t_s);
    for (size_t j = 0; j < f->carried.n; j++)
        c += mr_heat_rise(&f->carried.v[j], t_s);
    return c;
}

/* Not noise, not drift. Without a fit only the size can tell. */
static bool is_event(const struct mr_heat_finder *f, const struct mr_heat_group *g, size_t j) {
    const struct mr_heat_fit *fit = &g->fit;
    double least = fmax(f->bins->least_k, 4.0 * fit->rise_se[j]);
    return fit->rise[j] >= least && mr_heat_peak_delay(&fit->curve[j]) <= 1.5 * f->bins->slowest_s;
}

static void remove_event(struct mr_heat_group *g, size_t j) {
    memmove(&g->event[j], &g->event[j + 1], (g->m - j - 1) * sizeof *g->event);
    g->m--;
}

/* Takes out what the fit does not bear out, worst first. */
static void weed(struct mr_heat_finder *f, struct mr_heat_group *g) {
    while (g->status == MR_OK && g->m) {
        size_t worst = MR_NONE;
        for (size_t j = 0; j < g->m; j++)
            if (!is_event(f, g, j) && (worst == MR_NONE || g->fit.rise[j] < g->fit.rise[worst]))
                worst = j;
        if (worst == MR_NONE)
            return;
        if (g->m == 1) { /* something rose, but not as the model does: its size decides below */
            g->status = MR_E_NOFIT;
            break;
        }
        remove_event(g, worst);
        fit_group(f, g);
    }
    /* A lone climb without a fit: drift makes small ones. */
    if (g->status != MR_OK && g->m == 1 && g->event[0].peak_c - g->event[0].valley_c < 3.0 * f->bins->least_k)
        g->m = 0;
}

/* The group with one event more, fitted; true where that says clearly more than before. */
static bool wider_fits(struct mr_heat_finder *f, struct mr_heat_group *g, const struct mr_heat_candidate *more) {
    struct mr_heat_group wider = *g;
    size_t at = 0;
    while (at < g->m && g->event[at].onset_s <= more->onset_s)
        at++;
    memmove(&wider.event[at + 1], &g->event[at], (g->m - at) * sizeof *g->event);
    wider.event[at] = *more;
    wider.event[at].segment_from = g->event[0].segment_from;
    wider.event[at].segment_to = g->event[0].segment_to;
    wider.m++;
    struct mr_heat_task task = task_of_group(f, &wider);
    double promise = mr_heat_fit_promise(&task, &g->fit, at);
    mr_arena_reset(f->work);
    if (promise > g->fit.criterion - WORTH_FITTING)
        return false;
    fit_group(f, &wider);
    if (wider.status != MR_OK || wider.fit.criterion > g->fit.criterion - WORTH_ADDING)
        return false;
    if (!is_event(f, &wider, at))
        return false;
    *g = wider;
    return true;
}

/* A further event that the residuals show, largest rise first: true where it was added and helped. */
static bool look_again(struct mr_heat_finder *f, struct mr_heat_group *g) {
    if (g->status != MR_OK || g->m == 0 || g->m == MR_HEAT_TOGETHER || g->fit.rmse_k < 1.3 * f->bins->noise_k)
        return false;
    struct mr_heat_bins left = *f->bins; /* the residuals as a record of its own */
    left.n = g->to - g->from;
    left.t_s += g->from;
    left.weight += g->from;
    left.c = MR_ARRAY(f->scratch, double, left.n);
    double largest = 0.0;
    for (size_t i = g->from; i < g->to; i++)
        left.c[i - g->from] = f->bins->c[i] - fitted(f, &g->fit, f->bins->t_s[i]);
    for (size_t j = 0; j < g->m; j++)
        largest = fmax(largest, g->fit.rise[j]);
    left.least_k = fmax(left.least_k, 0.05 * largest);
    mr_heat_candidates more = {0};
    mr_heat_detect(f->scratch, &left, false, &more);
    for (int tries = 0; tries < 3; tries++) {
        size_t best = MR_NONE;
        for (size_t i = 0; i < more.n; i++)
            if (best == MR_NONE ||
                more.v[i].peak_c - more.v[i].valley_c > more.v[best].peak_c - more.v[best].valley_c)
                best = i;
        if (best == MR_NONE)
            return false;
        if (wider_fits(f, g, &more.v[best]))
            return true;
        more.v[best].peak_c = more.v[best].valley_c;
    }
    return false;
}

static void finish(struct mr_heat_finder *f, const struct mr_heat_group *g) {
    double quiet = f->out->n ? f->out->v[f->out->n - 1].peak_s : -HUGE_VAL;
    for (size_t j = 0; j < g->m; j++) {
        mr_heat_measure(f, g, j, quiet);
        if (f->out->n)
            quiet = f->out->v[f->out->n - 1].peak_s;
    }
    for (size_t j = 0; g->status == MR_OK && j < g->m; j++)
        if (g->fit.rise_se[j] <= 0.5 * g->fit.rise[j])
            MR_PUSH(f->scratch, &f->carried, g->fit.curve[j]);
    /* Tails that have died away would only cost time. */
    size_t kept = 0;
    for (size_t j = 0; j < f->carried.n; j++)
        if (g->event[g->m - 1].onset_s - f->carried.v[j].onset_s < 30.0 * f->carried.v[j].tau_s)
            f->carried.v[kept++] = f->carried.v[j];
    f->carried.n = kept;
}

/* The focus that no fitted pulse fills. */
static void look_for_absence(struct mr_heat_finder *f, size_t i) {
    const struct mr_heat_focus *focus = &f->options->focus[i];
    struct mr_heat_absence *out = &f->options->absence[i];
    *out = (struct mr_heat_absence){.rise_k = MR_NAN, .rise_se_k = MR_NAN, .most_k = MR_NAN, .warmed_k = MR_NAN};
    for (size_t j = 0; j < f->out->n; j++) {
        int64_t onset = moment_ms(f, f->out->v[j].onset_s);
        if (f->out->v[j].fit == MR_FIT_OK && onset >= focus->from_ms && onset <= focus->late_ms)
            return;
    }
    double from = (double)(focus->from_ms - f->zero_ms) * 1e-3, late = (double)(focus->late_ms - f->zero_ms) * 1e-3;
    struct mr_heat_task task = task_of(f);
    task.from = mr_heat_bin_at(f->bins, from - BEFORE * f->bins->slowest_s);
    task.to = mr_heat_bin_at(f->bins, late + f->bins->slowest_s);
    if (task.to > task.from + 5 && f->bins->t_s[task.from] < from && f->bins->t_s[task.to - 1] > late)
        *out = mr_heat_absent(task, from, late);
    mr_arena_reset(f->work);
}

void mr_heat_find(struct mr_arena *arena, struct mr_arena *scratch, const struct mr_heat_series *series,
                  const struct mr_heat_options *options, mr_heat_list *out) {
    struct mr_heat_bins bins;
    mr_heat_candidates found = {0};
    for (size_t i = 0; options->absence && i < options->n_focus; i++)
        options->absence[i] =
            (struct mr_heat_absence){.rise_k = MR_NAN, .rise_se_k = MR_NAN, .most_k = MR_NAN, .warmed_k = MR_NAN};
    mr_heat_reduce(scratch, series, options, &bins);
    if (bins.n < 5)
        return;
    mr_heat_detect(scratch, &bins, true, &found);
    struct mr_heat_finder f = {.arena = arena,
                               .scratch = scratch,
                               .bins = &bins,
                               .found = &found,
                               .out = out,
                               .options = options,
                               .zero_ms = series->zero_ms,
                               .work = mr_arena_like(scratch)};
    for (size_t i = 0; i < found.n;) {
        struct mr_heat_group g;
        size_t next = gather(&f, i, MR_HEAT_TOGETHER, &g);
        fit_group(&f, &g);
        if (g.status != MR_OK && g.m > 1) { /* one by one instead */
            next = gather(&f, i, 1, &g);
            fit_group(&f, &g);
        }
        for (int more = 0; more < 3 && look_again(&f, &g); more++)
            continue;
        weed(&f, &g);
        if (g.m)
            finish(&f, &g);
        i = next;
    }
    for (size_t i = 0; options->absence && i < options->n_focus; i++)
        look_for_absence(&f, i);
    mr_arena_free(f.work);
}
