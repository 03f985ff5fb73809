/*
 * evidence.c - no check and no finding without a place. What speaks of rows that the part which judged does not name
 * (that nothing was sprayed after the survey, that each reading lies between verifications) gets the rows it was
 * judged by: the zone's readings, its gauges' verifications, else what asks for the zone: its row of the register,
 * the job file.
 *
 * Last of all, when every outcome is settled: what hangs on a doubtful clock is held back by the evidence of the
 * parts that judged (clock_hold.h), and rows named here must not hold back what does not.
 */
#include "assess/finding/line_ranges.h"

#include <string.h>

enum { RANGES_MOST = 20, GAUGES_MOST = 16 };

typedef MR_VEC(struct mr_line) line_list;

struct rows_of_zone {
    line_list readings;
    MR_VEC(const char *) gauges; /* serials of those readings, each once */
};

static void add_gauge(struct mr_assess *a, struct rows_of_zone *rows, const char *serial) {
    for (size_t i = 0; i < rows->gauges.n; i++)
        if (rows->gauges.v[i] == serial || strcmp(rows->gauges.v[i], serial) == 0)
            return;
    if (rows->gauges.n < GAUGES_MOST)
        MR_PUSH(mr_work(a), &rows->gauges, serial);
}

/* Readings by zone. */
static struct rows_of_zone *find_rows(struct mr_assess *a, const bool *wanted) {
    const struct mr_alignment *al = a->aligned;
    struct rows_of_zone *rows = MR_ARRAY(mr_work(a), struct rows_of_zone, al->zones.n + 1);
    for (size_t i = 0; i < al->readings.n; i++) {
        const struct mr_placed *p = &al->readings.v[i];
        if (p->zone >= al->zones.n || !wanted[p->zone])
            continue;
        MR_PUSH(mr_work(a), &rows[p->zone].readings, ((struct mr_line){p->reading->file, p->reading->line}));
        add_gauge(a, &rows[p->zone], p->reading->serial);
    }
    return rows;
}

static void add_verifications(struct mr_assess *a, mr_evidence_list *list, const struct rows_of_zone *rows) {
    line_list lines = {0};
    for (size_t i = 0; i < a->aligned->checks.n; i++) {
        const struct mr_verification *v = a->aligned->checks.v[i].check;
        for (size_t k = 0; k < rows->gauges.n; k++)
            if (strcmp(rows->gauges.v[k], v->serial) == 0)
                MR_PUSH(mr_work(a), &lines, ((struct mr_line){v->file, v->line}));
    }
    mr_add_lines(a, list, lines.v, lines.n, RANGES_MOST, "verifications of the gauge");
}

static void fill(struct mr_assess *a, mr_evidence_list *list, size_t zone, const char *group,
                 struct rows_of_zone *rows) {
    if (zone < a->aligned->zones.n) {
        if (strcmp(group, "gauge") == 0)
            add_verifications(a, list, &rows[zone]);
        mr_add_lines(a, list, rows[zone].readings.v, rows[zone].readings.n, RANGES_MOST, "readings of the zone");
        const struct mr_place place = a->aligned->zones.v[zone].place;
        if (list->n == 0 && place.file)
            mr_add_evidence(a, list, place, "zone register");
    }
    if (list->n == 0)
        mr_add_evidence(a, list, (struct mr_place){a->job->file, 1, 0, 0}, "job file");
}

/* The check that a finding speaks of. */
static const struct mr_check *check_of(const struct mr_assessment *out, const struct mr_chains *checks,
                                       const struct mr_finding *f) {
    for (size_t i = mr_chains_first(checks, f->zone); i != MR_NONE; i = checks->next[i]) {
        const struct mr_check *c = &out->checks.v[i];
        if (c->zone == f->zone && c->rule && f->rule && strcmp(c->rule, f->rule) == 0)
            return c;
    }
    return NULL;
}

void mr_assess_evidence(struct mr_assess *a) {
    struct mr_assessment *out = a->out;
    const size_t zones = a->aligned->zones.n;
    bool *wanted = MR_ARRAY(a->arena, bool, zones + 1);
    for (size_t i = 0; i < out->checks.n; i++)
        if (out->checks.v[i].evidence.n == 0 && out->checks.v[i].zone < zones)
            wanted[out->checks.v[i].zone] = true;
    for (size_t i = 0; i < out->findings.n; i++)
        if (out->findings.v[i].evidence.n == 0 && out->findings.v[i].zone < zones)
            wanted[out->findings.v[i].zone] = true;
    struct rows_of_zone *rows = find_rows(a, wanted);
    for (size_t i = 0; i < out->checks.n; i++) {
        struct mr_check *c = &out->checks.v[i];
        if (c->evidence.n == 0)
            fill(a, &c->evidence, c->zone, c->group, rows);
    }
    const struct mr_chains checks = mr_checks_by_zone(a);
    for (size_t i = 0; i < out->findings.n; i++) {
        struct mr_finding *f = &out->findings.v[i];
        const struct mr_check *c = f->evidence.n == 0 ? check_of(out, &checks, f) : NULL;
        if (f->evidence.n == 0)
            fill(a, &f->evidence, f->zone, c ? c->group : "", rows);
    }
}
