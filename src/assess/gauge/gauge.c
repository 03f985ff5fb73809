/*
 * gauge.c - verifications of the thickness gauges and what they say about the readings between them.
 *
 * Verifications of one gauge in one go (several plates, no reading between them, short pauses) are a session. What
 * counts for the readings before a session is the gauge as it was found: the first reading on each certified value.
 * What counts for the readings after it is the gauge as it was left: the last reading on each, after an adjustment if
 * there was one. A reading is bracketed when the session before it left the gauge passing and the session after it
 * found it passing. Tolerance of gauge and of reference combined: root sum of squares, or plain sum (ASTM D7091, both
 * ways from memory). The comparison is exact: whole quanta, squared.
 */
#include "assess/gauge/gauge.h"

#include "base/text.h"
#include "numeric/exact_decimal.h"
#include "numeric/stable_sort.h"

#include <math.h>
#include <string.h>

const char *mr_bracket_text(enum mr_bracket bracket) {
    static const char *const text[MR_BRACKET_COUNT] = {
        "between passing verifications",
        "no time, so no verification can be shown around it",
        "no verification of its gauge before it",
        "no verification of its gauge after it",
        "the verification before it did not pass",
        "the verification after it did not pass",
        "its gauge was verified with another probe",
    };
    return text[bracket];
}

struct mr_accuracy mr_gauge_uncertainty(const struct mr_assess *a, const struct mr_settings *settings,
                                        const char *gauge) {
    const struct mr_instrument *known = *gauge ? mr_job_instrument(a->job, gauge) : NULL;
    const char *text = known && *known->uncertainty ? known->uncertainty : mr_set_text(settings, MR_DFT_GAUGE_U);
    struct mr_accuracy u = {0}, unknown = {0};
    return mr_accuracy_scan(text, &u) ? unknown : u;
}

/* One name for a gauge, however files call it. */
static const char *gauge_name(const struct mr_assess *a, const char *serial, uint32_t file) {
    const char *name = *serial ? serial : a->aligned->data->files.v[file].instrument_name;
    const struct mr_instrument *known = name && *name ? mr_job_instrument(a->job, name) : NULL;
    return known ? known->name : name ? name : "";
}

/* Where all that name a gauge name the same one, the unnamed are taken to be of it. */
static void note_name(const char *name, const char **only, bool *several) {
    if (!*name)
        return;
    if (*only && strcmp(*only, name) != 0)
        *several = true;
    *only = name;
}

static void name_gauges(struct mr_assess *a, struct mr_arena *held, struct mr_gauges *g) {
    const struct mr_alignment *al = a->aligned;
    const char *only = NULL;
    bool several = false, unnamed = false;
    g->reading_gauge = MR_ARRAY(held, const char *, al->readings.n);
    for (size_t i = 0; i < al->readings.n; i++) {
        const struct mr_reading *r = al->readings.v[i].reading;
        g->reading_gauge[i] = gauge_name(a, r->serial, r->file);
        note_name(g->reading_gauge[i], &only, &several);
        unnamed = unnamed || !*g->reading_gauge[i];
    }
    g->base_gauge = MR_ARRAY(held, const char *, al->base_metal.n);
    for (size_t i = 0; i < al->base_metal.n; i++) {
        const struct mr_reading *r = al->base_metal.v[i].reading;
        g->base_gauge[i] = gauge_name(a, r->serial, r->file);
        note_name(g->base_gauge[i], &only, &several);
        unnamed = unnamed || !*g->base_gauge[i];
    }
    for (size_t i = 0; i < al->checks.n; i++) {
        const struct mr_verification *v = al->checks.v[i].check;
        struct mr_gauge_check c = {.checked = &al->checks.v[i],
                                   .gauge = gauge_name(a, v->serial, v->file),
                                   .probe = v->probe ? v->probe : ""};
        MR_PUSH(held, &g->checks, c);
        note_name(c.gauge, &only, &several);
        unnamed = unnamed || !*c.gauge;
    }
    if (several || !unnamed || !only)
        return;
    g->adopted = only;
    for (size_t i = 0; i < al->readings.n; i++)
        g->reading_gauge[i] = only;
    for (size_t i = 0; i < al->base_metal.n; i++)
        g->base_gauge[i] = only;
    for (size_t i = 0; i < g->checks.n; i++)
        g->checks.v[i].gauge = only;
}

/* Thousandths of a quantum unit are dropped, so that squares of the comparison stay inside 128 bits: 10^-6 um is
 * left.
 */
static mr_wide coarse(int64_t quanta) {
    return quanta / 1000;
}

static void judge_check(struct mr_gauges *g, struct mr_gauge_check *c, const struct mr_accuracy *gauge,
                        const struct mr_accuracy *reference) {
    const struct mr_verification *v = c->checked->check;
    double tolerance = mr_accuracy_um(gauge, v->certified_um), ref = mr_accuracy_um(reference, v->certified_um);
    ref = isnan(ref) ? 0 : ref;
    c->tolerance_sum_um = tolerance + ref;
    c->tolerance_rss_um = sqrt(tolerance * tolerance + ref * ref);
    int64_t certified, reading;
    if (g->wrong || !mr_film_quanta(v->certified_written, v->certified_unit, &certified) ||
        !mr_film_quanta(v->reading_written, v->unit, &reading))
        return;
    mr_wide size = coarse(certified < 0 ? -certified : certified), off = coarse(reading) - coarse(certified);
    mr_wide t = size * gauge->percent + coarse(gauge->quanta) * 100000;
    mr_wide r = size * reference->percent + coarse(reference->quanta) * 100000;
    off = (off < 0 ? -off : off) * 100000;
    c->pass = g->by_sum ? off <= t + r : off * off <= t * t + r * r;
}

static int by_gauge_and_time(const void *x, const void *y) {
    const struct mr_gauge_check *a = x, *b = y;
    int order = strcmp(a->gauge, b->gauge);
    if (order == 0)
        order = strcmp(a->probe, b->probe);
    if (order == 0)
        order = MR_ORDER(a->checked->t_utc_ms, b->checked->t_utc_ms);
    if (order == 0)
        order = MR_ORDER(a->checked->check->file, b->checked->check->file);
    return order ? order : MR_ORDER(a->checked->check->line, b->checked->check->line);
}

struct gauge_use { /* a reading, for the question whether the gauge was used between two verifications */
    const char *gauge;
    int64_t t_utc_ms;
};

static int by_use(const void *x, const void *y) {
    const struct gauge_use *a = x, *b = y;
    int order = strcmp(a->gauge, b->gauge);
    return order ? order : MR_ORDER(a->t_utc_ms, b->t_utc_ms);
}

/* Whether a reading of the gauge lies after t0 and before t1. */
static bool used_between(const struct gauge_use *uses, size_t n, const char *gauge, int64_t t0, int64_t t1) {
    struct gauge_use after = {gauge, t0};
    size_t next = mr_first_after(&after, uses, n, sizeof *uses, by_use);
    return next < n && strcmp(uses[next].gauge, gauge) == 0 && uses[next].t_utc_ms < t1;
}

static bool same_session(const struct mr_gauge_check *a, const struct mr_gauge_check *b, int64_t pause_ms,
                         const struct gauge_use *uses, size_t n_uses) {
    const struct mr_checked *x = a->checked, *y = b->checked;
    bool turned = *x->check->when && *y->check->when && strcmp(x->check->when, y->check->when) != 0;
    return strcmp(a->gauge, b->gauge) == 0 && strcmp(a->probe, b->probe) == 0 && !turned &&
           y->t_utc_ms - x->t_utc_ms <= pause_ms && !used_between(uses, n_uses, a->gauge, x->t_utc_ms, y->t_utc_ms);
}

static int by_certified(const void *x, const void *y) {
    const struct mr_gauge_check *a = *(const struct mr_gauge_check *const *)x,
                                *b = *(const struct mr_gauge_check *const *)y;
    return MR_ORDER(a->checked->check->certified_um, b->checked->check->certified_um);
}

/* First and last reading on each certified value of a session. */
static void judge_session(struct mr_arena *arena, const struct mr_gauges *g, struct mr_gauge_session *s) {
    const struct mr_gauge_check **order = MR_ARRAY(arena, const struct mr_gauge_check *, s->n);
    for (size_t i = 0; i < s->n; i++)
        order[i] = &g->checks.v[s->first + i];
    mr_sort_stable(arena, order, s->n, sizeof *order, by_certified);
    s->as_found = s->as_left = true;
    for (size_t i = 0; i < s->n; i++) {
        bool first = i == 0 || by_certified(&order[i - 1], &order[i]) != 0;
        bool last = i + 1 == s->n || by_certified(&order[i], &order[i + 1]) != 0;
        s->as_found = s->as_found && (!first || order[i]->pass);
        s->as_left = s->as_left && (!last || order[i]->pass);
    }
}

static void find_sessions(struct mr_assess *a, struct mr_arena *held, struct mr_gauges *g,
                          const struct gauge_use *uses, size_t n_uses) {
    int64_t pause_ms = (int64_t)(mr_set_num(&a->job->settings, MR_DFT_CHECK_SESSION) * 1000);
    for (size_t i = 0; i < g->checks.n; i++) {
        const struct mr_gauge_check *c = &g->checks.v[i];
        if (c->checked->t_utc_ms == MR_T_NONE)
            continue;
        struct mr_gauge_session *last = g->sessions.n ? &g->sessions.v[g->sessions.n - 1] : NULL;
        if (last && last->first + last->n == i && same_session(c - 1, c, pause_ms, uses, n_uses)) {
            last->n++;
            last->t1_utc_ms = c->checked->t_utc_ms;
            continue;
        }
        struct mr_gauge_session s = {c->gauge, c->probe, i, 1, c->checked->t_utc_ms, c->checked->t_utc_ms,
                                     false,    false};
        MR_PUSH(held, &g->sessions, s);
    }
    for (size_t i = 0; i < g->sessions.n; i++)
        judge_session(mr_work(a), g, &g->sessions.v[i]);
}

static bool of_group(const struct mr_gauge_session *s, const struct mr_gauge_session *group) {
    return strcmp(s->gauge, group->gauge) == 0 && strcmp(s->probe, group->probe) == 0;
}

static int by_group_and_end(const void *item, const void *key) {
    const struct mr_gauge_session *a = item, *b = key;
    int order = strcmp(a->gauge, b->gauge);
    order = order ? order : strcmp(a->probe, b->probe);
    return order ? order : MR_ORDER(a->t1_utc_ms, b->t1_utc_ms);
}

/* By the sessions of one gauge and probe. */
static enum mr_bracket bracket_in(const struct mr_gauges *g, const struct mr_gauge_session *group, int64_t t,
                                  int64_t age_ms) {
    struct mr_gauge_session key = {.gauge = group->gauge, .probe = group->probe, .t1_utc_ms = t};
    size_t next = mr_first_after(&key, g->sessions.v, g->sessions.n, sizeof *g->sessions.v, by_group_and_end);
    const struct mr_gauge_session *before = next > 0 ? &g->sessions.v[next - 1] : NULL;
    const struct mr_gauge_session *after = next < g->sessions.n ? &g->sessions.v[next] : NULL;
    if (!before || !of_group(before, group) || t - before->t1_utc_ms > age_ms)
        return MR_BRACKET_NONE_BEFORE;
    if (!before->as_left)
        return MR_BRACKET_FAILED_BEFORE;
    if (!after || !of_group(after, group) || after->t0_utc_ms - t > age_ms)
        return MR_BRACKET_NONE_AFTER;
    return after->as_found ? MR_BRACKET_OK : MR_BRACKET_FAILED_AFTER;
}

/* The first session of each gauge and probe. */
typedef MR_VEC(const struct mr_gauge_session *) group_list;

static group_list groups_of(struct mr_arena *arena, const struct mr_gauges *g) {
    group_list groups = {0};
    for (size_t i = 0; i < g->sessions.n; i++)
        if (i == 0 || !of_group(&g->sessions.v[i], &g->sessions.v[i - 1]))
            MR_PUSH(arena, &groups, &g->sessions.v[i]);
    return groups;
}

/* A gauge is verified with its probe. Where a side names none, any of its gauge may have been meant: one that failed
 * counts, and one that passed will do. */
static enum mr_bracket bracket_of(const struct mr_gauges *g, const group_list *groups, const char *gauge,
                                  const char *probe, int64_t t, int64_t age_ms) {
    if (t == MR_T_NONE)
        return MR_BRACKET_NO_TIME;
    enum mr_bracket best = MR_BRACKET_NONE_BEFORE;
    bool passed = false, met = false, other = false;
    for (size_t i = 0; i < groups->n; i++) {
        const struct mr_gauge_session *group = groups->v[i];
        if (strcmp(group->gauge, gauge) != 0)
            continue;
        if (*probe && *group->probe &&
            !mr_text_equal_fold(probe, strlen(probe), group->probe, strlen(group->probe))) {
            other = true;
            continue;
        }
        const enum mr_bracket is = bracket_in(g, group, t, age_ms);
        if (is == MR_BRACKET_FAILED_BEFORE || is == MR_BRACKET_FAILED_AFTER)
            return is;
        passed = passed || is == MR_BRACKET_OK;
        best = is;
        met = true;
    }
    return passed ? MR_BRACKET_OK : other && !met ? MR_BRACKET_OTHER_PROBE : best;
}

void mr_gauges_judge(struct mr_assess *a, struct mr_arena *held, struct mr_gauges *out) {
    const struct mr_alignment *al = a->aligned;
    const struct mr_settings *set = &a->job->settings;
    *out = (struct mr_gauges){0};
    struct mr_accuracy gauge = {0}, reference = {0};
    const char *combine = mr_set_text(set, MR_DFT_CHECK_COMBINE);
    out->by_sum = mr_text_equal_fold(combine, strlen(combine), "sum", 3);
    out->wrong = mr_accuracy_scan(mr_set_text(set, MR_DFT_CHECK_TOL), &gauge);
    if (!out->wrong)
        out->wrong = mr_accuracy_scan(mr_set_text(set, MR_DFT_CHECK_REF), &reference);
    if (!out->wrong && !gauge.known)
        out->wrong = "no tolerance is stated";
    name_gauges(a, held, out);
    for (size_t i = 0; i < out->checks.n; i++)
        judge_check(out, &out->checks.v[i], &gauge, &reference);
    mr_sort_stable(mr_work(a), out->checks.v, out->checks.n, sizeof *out->checks.v, by_gauge_and_time);
    struct gauge_use *uses = MR_ARRAY(mr_work(a), struct gauge_use, al->readings.n);
    for (size_t i = 0; i < al->readings.n; i++)
        uses[i] = (struct gauge_use){out->reading_gauge[i], al->readings.v[i].t_utc_ms};
    mr_sort_stable(mr_work(a), uses, al->readings.n, sizeof *uses, by_use);
    find_sessions(a, held, out, uses, al->readings.n);
    int64_t age_ms = (int64_t)(mr_set_num(set, MR_DFT_CHECK_AGE) * 1000);
    const group_list groups = groups_of(mr_work(a), out);
    out->bracket = MR_ARRAY(held, unsigned char, al->readings.n);
    for (size_t i = 0; i < al->readings.n; i++)
        out->bracket[i] =
            (unsigned char)bracket_of(out, &groups, out->reading_gauge[i],
                                      al->readings.v[i].reading->probe ? al->readings.v[i].reading->probe : "",
                                      al->readings.v[i].t_utc_ms, age_ms);
}
