/*
 * repaired_areas.c - the same areas before and after their repair: the survey that missed a limit against the one
 * that closed it.
 */
#include "assess/thickness/thickness.h"

#include <string.h>

struct area_film { /* of the complete spots of one area, or of a whole survey */
    size_t spots;
    double mean_um, least_um; /* NaN where there is no complete spot */
};

static struct area_film film_of(const struct mr_subject *s, const struct mr_film *f, size_t from, size_t n) {
    const struct mr_rule *rule = s->rules->v[0];
    const size_t need = mr_spot_number(s->z->settings, rule);
    struct area_film out = {0, MR_NAN, MR_NAN};
    long double sum = 0;
    for (size_t i = from; i < from + n; i++) {
        const struct mr_film_spot *spot = &f->spots.v[i];
        if (spot->taken < need + spot->doubted)
            continue;
        const double um =
            mr_ratio_um(mr_ratio_subtract(mr_film_spot_mean(spot, rule->discards), s->limits.correction));
        sum += (long double)um;
        out.least_um = out.spots++ && out.least_um < um ? out.least_um : um;
    }
    if (out.spots)
        out.mean_um = (double)(sum / (long double)out.spots);
    return out;
}

static const struct mr_film_area *area_named(const struct mr_film *f, const char *id) {
    for (size_t i = 0; i < f->areas.n; i++)
        if (strcmp(f->readings[f->spots.v[f->areas.v[i].first].first].area_id, id) == 0)
            return &f->areas.v[i];
    return NULL;
}

static struct mr_value film_value(const struct mr_assess *a, double um) {
    return mr_v_num(mr_from_canonical(a->job->display.film, um));
}

static void add_repaired(struct mr_assess *a, const struct mr_subject *s, const struct mr_fault *fault,
                         const char *area, const struct area_film *before, const struct area_film *after,
                         int64_t after_utc_ms, struct mr_table *table) {
    const struct mr_value row[] = {
        mr_v_text(s->z->name),
        mr_v_text(s->coat ? mr_printf(a->arena, "coat %d", s->coat) : "system"),
        area ? mr_v_text(area) : mr_v_blank("whole zone"),
        mr_v_text(fault->repair.what),
        fault->repair.t_utc_ms == MR_T_NONE ? mr_v_blank("not known") : mr_v_time(fault->repair.t_utc_ms),
        mr_v_time(fault->failed->t1_utc_ms),
        mr_v_count((int64_t)before->spots),
        film_value(a, before->mean_um),
        film_value(a, before->least_um),
        mr_v_time(after_utc_ms),
        mr_v_count((int64_t)after->spots),
        film_value(a, after->mean_um),
        film_value(a, after->least_um),
    };
    mr_table_add(a->arena, table, row);
}

/* Areas by name where both surveys have them and the newer one measured them again; else the whole zone. */
static void add_fault(struct mr_assess *a, const struct mr_subject *s, const struct mr_fault *fault,
                      struct mr_table *table) {
    const struct mr_film *old = &fault->failed->film, *new = &fault->closing->film;
    if (!old->areas_by_id || !new->areas_by_id) {
        const struct area_film before = film_of(s, old, 0, old->spots.n), after = film_of(s, new, 0, new->spots.n);
        add_repaired(a, s, fault, NULL, &before, &after, fault->closing->t1_utc_ms, table);
        return;
    }
    for (size_t i = 0; i < old->areas.n; i++) {
        const struct mr_film_area *was = &old->areas.v[i];
        const struct mr_film_area *now = area_named(new, old->readings[old->spots.v[was->first].first].area_id);
        if (!now)
            continue;
        const struct mr_film_spot *last = &new->spots.v[now->first + now->n - 1];
        const struct area_film before = film_of(s, old, was->first, was->n),
                               after = film_of(s, new, now->first, now->n);
        add_repaired(a, s, fault, was->name, &before, &after, new->readings[last->first + last->n - 1].t_utc_ms,
                     table);
    }
}

void mr_repaired_table(struct mr_thickness *t) {
    struct mr_assess *a = t->a;
    const enum mr_unit u = a->job->display.film;
    const int d = mr_film_decimals(u);
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Film", MR_UNIT_NONE, 0},
        {"area", "Area", MR_UNIT_NONE, 0},
        {"repair", "Repaired by", MR_UNIT_NONE, 0},
        {"repaired", "Repaired", MR_UNIT_NONE, 0},
        {"measured_before", "Measured before", MR_UNIT_NONE, 0},
        {"spots_before", "Spots before", MR_UNIT_NONE, 0},
        {mr_film_key(a, "mean_before"), "Mean before", u, d},
        {mr_film_key(a, "least_before"), "Least spot before", u, d},
        {"measured_after", "Measured after", MR_UNIT_NONE, 0},
        {"spots_after", "Spots after", MR_UNIT_NONE, 0},
        {mr_film_key(a, "mean_after"), "Mean after", u, d},
        {mr_film_key(a, "least_after"), "Least spot after", u, d},
    };
    struct mr_table *table = mr_table_new(
        a->arena, "repaired-areas", "Before and after repair",
        "Areas of a survey that missed a limit, and the same areas measured again after the repair: means "
        "of the complete spots by the first rule. Before: of a survey whose readings are in its file, not in this "
        "workbook.",
        MR_COUNT(fields), fields);
    for (size_t i = 0; i < t->subjects.n; i++)
        for (size_t k = 0; k < t->subjects.v[i]->faults.n; k++)
            if (t->subjects.v[i]->faults.v[k].closing && t->subjects.v[i]->faults.v[k].repair.what)
                add_fault(a, t->subjects.v[i], &t->subjects.v[i]->faults.v[k], table);
    if (table->n_rows > 0)
        mr_add_table(a, table);
}
