/*
 * copied_readings.c - areas whose readings are those of another area, one by one: typed or pasted twice, or one
 * memory under two names. Values prove nothing, so this is told and judges nothing. That it is no chance is reckoned
 * from how often neighbouring readings of the job agree.
 */
#include "assess/finding/line_ranges.h"
#include "assess/thickness/thickness.h"

#include "base/text.h"
#include "numeric/search.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { FEWEST = 6, NEIGHBOURS = 5 };

static const double chance_most = 1e-6; /* of any pair in the job; project decision */

/* The readings of one area in one survey, in their order. */
struct measured_area {
    size_t zone, survey;
    const char *name;
    mr_index_list at; /* into the alignment's readings */
    uint64_t hash;
};

typedef MR_VEC(struct measured_area) measured_areas;

static double film_um(const struct mr_alignment *al, size_t at) {
    return al->readings.v[at].reading->film_um;
}

static bool agree(const struct mr_alignment *al, size_t i, size_t k) {
    const double x = film_um(al, i), y = film_um(al, k);
    return !(x < y) && !(x > y);
}

static struct measured_area *area_of(struct mr_thickness *t, measured_areas *list, const struct mr_placed *p) {
    const char *name = mr_area_id(t->scratch, p->reading->area);
    for (size_t i = list->n; i-- > 0 && list->v[i].zone == p->zone;)
        if (list->v[i].survey == p->survey && strcmp(list->v[i].name, name) == 0)
            return &list->v[i];
    struct measured_area area = {.zone = p->zone, .survey = p->survey, .name = name};
    MR_PUSH(t->scratch, list, area);
    return &list->v[list->n - 1];
}

static uint64_t hash_of(const struct mr_alignment *al, const mr_index_list *at) {
    uint64_t h = MR_HASH_SEED;
    for (size_t i = 0; i < at->n; i++) {
        const double x = film_um(al, at->v[i]);
        h = mr_hash(h, &x, sizeof x);
    }
    return h;
}

static bool same_readings(const struct mr_alignment *al, const struct measured_area *a,
                          const struct measured_area *b) {
    if (a->at.n != b->at.n || a->hash != b->hash)
        return false;
    for (size_t i = 0; i < a->at.n; i++)
        if (!agree(al, a->at.v[i], b->at.v[i]))
            return false;
    return true;
}

static int by_hash(const void *a, const void *b) {
    const struct measured_area *x = *(const struct measured_area *const *)a,
                               *y = *(const struct measured_area *const *)b;
    const int order = MR_ORDER(x->hash, y->hash);
    return order ? order : MR_ORDER(x, y); /* both lie in one array: the order of zones and areas */
}

/* How likely two readings that have nothing to do with each other agree: as often as neighbours do. */
static double agreement(const struct mr_alignment *al, const measured_areas *list) {
    size_t pairs = 1, equal = 1;
    for (size_t i = 0; i < list->n; i++)
        for (size_t k = 1; k < list->v[i].at.n; k++)
            for (size_t lag = 1; lag <= NEIGHBOURS && lag <= k; lag++, pairs++)
                equal += agree(al, list->v[i].at.v[k], list->v[i].at.v[k - lag]);
    return (double)equal / (double)pairs;
}

static void tell(struct mr_assess *a, const struct measured_area *first, const struct measured_area *again) {
    const struct mr_alignment *al = a->aligned;
    struct mr_finding f = mr_blank_finding("copied-readings", MR_WARNING, again->zone, 0);
    const char *other =
        first->zone == again->zone ? "" : mr_printf(a->arena, " of zone %s", al->zones.v[first->zone].name);
    f.what = mr_printf(a->arena, "Zone %s: the %zu readings of area %s are those of area %s%s, one by one.",
                       al->zones.v[again->zone].name, again->at.n, *again->name ? again->name : "(no name)",
                       *first->name ? first->name : "(no name)", other);
    f.measured = (double)again->at.n;
    f.rule = "readings of two areas differ as independent readings do";
    f.source = MR_SRC_PD;
    f.next_step = "Compare both with the memory of the gauge; if one is a copy, take it out and measure that area.";
    struct mr_line *lines = MR_ARRAY(a->arena, struct mr_line, again->at.n);
    const struct measured_area *both[] = {first, again};
    for (size_t k = 0; k < MR_COUNT(both); k++) {
        for (size_t i = 0; i < both[k]->at.n; i++) {
            const struct mr_reading *r = al->readings.v[both[k]->at.v[i]].reading;
            lines[i] = (struct mr_line){r->file, r->line};
        }
        mr_add_lines(a, &f.evidence, lines, both[k]->at.n, 4, k ? "the same readings" : "readings");
    }
    mr_add_finding(a, &f);
}

void mr_find_copied_readings(struct mr_thickness *t, const mr_index_list *of_zone) {
    const struct mr_alignment *al = t->a->aligned;
    measured_areas list = {0};
    for (size_t zone = 0; zone < al->zones.n; zone++)
        for (size_t i = 0; i < of_zone[zone].n; i++) {
            struct measured_area *area = area_of(t, &list, &al->readings.v[of_zone[zone].v[i]]);
            MR_PUSH(t->scratch, &area->at, of_zone[zone].v[i]);
        }
    for (size_t i = 0; i < list.n; i++)
        list.v[i].hash = hash_of(al, &list.v[i].at);
    const struct measured_area **v = MR_ARRAY(t->scratch, const struct measured_area *, list.n);
    for (size_t i = 0; i < list.n; i++)
        v[i] = &list.v[i];
    qsort(v, list.n, sizeof *v, by_hash);
    const double likely = agreement(al, &list), pairs = 0.5 * (double)list.n * (double)list.n;
    for (size_t i = 1, first = 0; i < list.n; i++) {
        const size_t n = v[i]->at.n;
        if (!same_readings(al, v[first], v[i]))
            first = i;
        else if (n >= FEWEST && pairs * pow(likely, (double)n) <= chance_most)
            tell(t->a, v[first], v[i]);
    }
}
