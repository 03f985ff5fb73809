/*
 * gauge_compare.c - two gauges on the same places: their difference with its interval.
 *
 * A place is a spot by name, else an area by name, of one zone between the same coats and repairs. The difference is
 * the mean over places of the difference of means, with Student's interval (NIST/SEMATECH e-Handbook 7.3.1).
 */
#include "assess/thickness/thickness.h"

#include "numeric/stable_sort.h"
#include "numeric/summary_stats.h"

#include <math.h>
#include <string.h>

struct gauge_place { /* readings of one gauge at one place */
    const char *area, *spot;
    size_t window;
    enum mr_stage stage;
    const char *gauge;
    double um;
};

static int by_place(const void *a, const void *b) {
    const struct gauge_place *x = a, *y = b;
    int order = strcmp(x->area, y->area);
    if (order == 0)
        order = strcmp(x->spot, y->spot);
    if (order == 0)
        order = MR_ORDER(x->window, y->window);
    return order ? order : MR_ORDER(x->stage, y->stage);
}

static int by_gauge(const void *a, const void *b) {
    const struct gauge_place *x = a, *y = b;
    int order = by_place(a, b);
    return order ? order : strcmp(x->gauge, y->gauge);
}

static struct gauge_place *places_of(struct mr_thickness *t, const struct mr_subject *s, size_t *out_n) {
    size_t n = 0, most = 0;
    for (size_t k = 0; k < s->surveys.n; k++)
        most += s->surveys.v[k].film.n;
    struct gauge_place *v = MR_ARRAY(mr_work(t->a), struct gauge_place, most);
    for (size_t k = 0; k < s->surveys.n; k++)
        for (size_t i = 0; i < s->surveys.v[k].film.n; i++) {
            const struct mr_film_reading *r = &s->surveys.v[k].film.readings[i];
            const struct mr_placed *p = &t->a->aligned->readings.v[r->at];
            if (*r->area_id && *r->gauge)
                v[n++] =
                    (struct gauge_place){r->area_id, r->spot_id, p->window, p->stage, r->gauge, p->reading->film_um};
        }
    mr_sort_stable(mr_work(t->a), v, n, sizeof *v, by_gauge);
    *out_n = n;
    return v;
}

static double mean_of(const struct gauge_place *v, size_t begin, size_t end, const char *gauge) {
    double sum = 0;
    size_t n = 0;
    for (size_t i = begin; i < end; i++)
        if (strcmp(v[i].gauge, gauge) == 0) {
            sum += v[i].um;
            n++;
        }
    return n ? sum / (double)n : MR_NAN;
}

static void compare_pair(struct mr_thickness *t, const struct mr_subject *s, const struct gauge_place *v, size_t n,
                         const char *one, const char *two, struct mr_table *table) {
    struct mr_assess *a = t->a;
    enum mr_unit unit = a->job->display.film;
    double *difference = MR_ARRAY(mr_work(t->a), double, n);
    size_t places = 0;
    for (size_t begin = 0, end; begin < n; begin = end) {
        for (end = begin; end < n && by_place(&v[end], &v[begin]) == 0; end++)
            continue;
        double d = mean_of(v, begin, end, one) - mean_of(v, begin, end, two);
        if (!isnan(d))
            difference[places++] = d;
    }
    if (places == 0)
        return;
    struct mr_moments m = mr_moments_of(difference, places);
    struct mr_interval ci =
        mr_mean_interval(m.mean, m.sd, places, mr_set_num(s->z->settings, MR_DFT_CONFIDENCE) / 100);
    const char *none = "needs at least two places";
    const struct mr_value row[] = {
        mr_v_text(s->z->name),
        mr_v_text(one),
        mr_v_text(two),
        mr_v_count((int64_t)places),
        mr_v_num(mr_from_canonical(unit, m.mean)),
        isnan(ci.low) ? mr_v_blank(none) : mr_v_num(mr_from_canonical(unit, ci.low)),
        isnan(ci.high) ? mr_v_blank(none) : mr_v_num(mr_from_canonical(unit, ci.high)),
    };
    mr_table_add(a->arena, table, row);
    if (!(ci.low > 0) && !(ci.high < 0))
        return;
    struct mr_finding f = mr_blank_finding("gauges-differ", MR_WARNING, s->zone, 0);
    f.measured = mr_from_canonical(unit, m.mean);
    f.unit = unit;
    f.decimals = mr_film_decimals(unit);
    const bool less = m.mean < 0;
    f.what = mr_printf(a->arena, "Zone %s: gauge %s shows %s more than gauge %s on the same %s (%s to %s).",
                       s->z->name, less ? two : one, mr_film_text(a, fabs(m.mean), unit), less ? one : two,
                       mr_count_text(a, places, "place"), mr_film_text(a, less ? -ci.high : ci.low, unit),
                       mr_film_text(a, less ? -ci.low : ci.high, unit));
    f.rule = "two gauges on the same places agree";
    f.source = "Student's interval, NIST/SEMATECH e-Handbook 7.3.1";
    f.next_step = "Verify both gauges on the same shims, and find which one is wrong.";
    mr_add_finding(a, &f);
}

static void compare_zone(struct mr_thickness *t, const struct mr_subject *s, struct mr_table *table) {
    size_t n;
    struct gauge_place *v = places_of(t, s, &n);
    MR_VEC(const char *) gauges = {0};
    for (size_t i = 0; i < n; i++) {
        bool known = false;
        for (size_t k = 0; k < gauges.n; k++)
            known = known || strcmp(gauges.v[k], v[i].gauge) == 0;
        if (!known)
            MR_PUSH(mr_work(t->a), &gauges, v[i].gauge);
    }
    for (size_t i = 0; i < gauges.n; i++)
        for (size_t k = i + 1; k < gauges.n; k++)
            compare_pair(t, s, v, n, gauges.v[i], gauges.v[k], table);
    mr_work_done(t->a);
}

void mr_gauge_comparison(struct mr_thickness *t) {
    enum mr_unit unit = t->a->job->display.film;
    int digits = mr_film_decimals(unit);
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"gauge", "Gauge", MR_UNIT_NONE, 0},
        {"other", "Other gauge", MR_UNIT_NONE, 0},
        {"places", "Places in common", MR_UNIT_NONE, 0},
        {mr_film_key(t->a, "difference"), "Mean difference", unit, digits},
        {mr_film_key(t->a, "low"), "From", unit, digits},
        {mr_film_key(t->a, "high"), "To", unit, digits},
    };
    struct mr_table *table =
        mr_table_new(t->a->arena, "gauge-comparison", "Gauges compared",
                     "Readings of two gauges on the same named spots or areas between the same coats and repairs. "
                     "An interval that does not hold zero means that the gauges differ.",
                     MR_COUNT(fields), fields);
    for (size_t i = 0; i < t->subjects.n; i++)
        if (t->subjects.v[i]->coat == 0)
            compare_zone(t, t->subjects.v[i], table);
    if (table->n_rows)
        mr_add_table(t->a, table);
}
