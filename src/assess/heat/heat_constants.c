/*
 * heat_constants.c - what heat a volume of film gives off, of the job, by coat and by lot, as a table.
 */
#include "assess/heat/film_comparison.h"
#include "numeric/summary_stats.h"

#include <math.h>
#include <string.h>

const char *mr_film_lots(struct mr_assess *a, size_t window) {
    const struct mr_spray *log = a->aligned->windows.v[window].log;
    if (!log || (!*log->lot_a && !*log->lot_b))
        return "";
    return mr_printf(a->arena, "%s / %s", log->lot_a, log->lot_b);
}

/* One row of the constants: geometric mean and interval of heat per volume over a group, and how it differs from the
 * rest. */
static void add_constant(struct mr_film_comparison *c, struct mr_table *table, const char *what, const double *in,
                         size_t n, const double *rest, size_t n_rest) {
    struct mr_moments m = mr_moments_of(in, n), r = mr_moments_of(rest, n_rest);
    struct mr_interval ci = mr_mean_interval(m.mean, m.sd, n, 0.95);
    double p = MR_NAN;
    if (n > 1 && n_rest > 1) { /* Welch 1947: means of groups with spreads of their own */
        double va = m.sd * m.sd / (double)n, vb = r.sd * r.sd / (double)n_rest;
        double df = (va + vb) * (va + vb) / (va * va / (double)(n - 1) + vb * vb / (double)(n_rest - 1));
        p = va + vb > 0.0 ? 2.0 * mr_t_p(-fabs(m.mean - r.mean) / sqrt(va + vb), df) : MR_NAN;
    }
    const struct mr_value v[] = {
        mr_v_text(what),
        mr_v_count((int64_t)n),
        n ? mr_v_num(exp(m.mean) * 1e-6) : mr_v_blank("no data"),
        n > 1 ? mr_v_num(exp(ci.low) * 1e-6) : mr_v_blank("one value"),
        n > 1 ? mr_v_num(exp(ci.high) * 1e-6) : mr_v_blank("one value"),
        n > 1 ? mr_v_num(100.0 * m.sd) : mr_v_blank("one value"),
        n && n_rest ? mr_v_num(100.0 * (exp(m.mean - r.mean) - 1.0)) : mr_v_blank("nothing to compare with"),
        isnan(p) ? mr_v_blank("too few") : mr_v_num(p),
    };
    mr_table_add(c->a->arena, table, v);
}

/* Splits the coats by a key of each and adds a row per key, in the order in which the keys first come. */
static void add_groups(struct mr_film_comparison *c, struct mr_table *table, const char *word, const char **keys) {
    size_t n = c->coats->n;
    double *in = MR_ARRAY(c->a->arena, double, n), *rest = MR_ARRAY(c->a->arena, double, n);
    for (size_t i = 0; i < n; i++) {
        bool seen = !keys[i];
        for (size_t k = 0; k < i && !seen; k++)
            seen = keys[k] && strcmp(keys[k], keys[i]) == 0;
        if (seen)
            continue;
        size_t n_in = 0, n_rest = 0;
        for (size_t k = 0; k < n; k++) {
            const struct mr_coat_heat *coat = &c->coats->v[k];
            if (!keys[k])
                continue;
            double z = log(coat->heat / (coat->film_um * 1e-6));
            if (strcmp(keys[k], keys[i]) == 0)
                in[n_in++] = z;
            else
                rest[n_rest++] = z;
        }
        add_constant(c, table, mr_printf(c->a->arena, "%s %s", word, keys[i]), in, n_in, rest, n_rest);
    }
}

static bool counts(const struct mr_film_comparison *c, const struct mr_coat_heat *coat) {
    if (isnan(coat->heat) || isnan(coat->film_um) || coat->heat <= 0.0 || coat->film_um <= 0.0)
        return false;
    for (size_t i = 0; i < c->n; i++)
        if (c->member[i].zone == coat->zone)
            return !c->member[i].lacks && !c->member[i].point.out;
    return false;
}

void mr_heat_constants(struct mr_film_comparison *c) {
    struct mr_assess *a = c->a;
    const struct mr_field fields[] = {
        {"what", "Constant", MR_UNIT_NONE, 0},
        {"n", "Values", MR_UNIT_NONE, 0},
        {"value", "Value", MR_UNIT_NONE, 1},
        {"low", "95 % from", MR_UNIT_NONE, 1},
        {"high", "95 % to", MR_UNIT_NONE, 1},
        {"scatter_pct", "Scatter", MR_UNIT_PCT, 1},
        {"differs_pct", "Differs from the rest", MR_UNIT_PCT, 1},
        {"p", "Probability, single", MR_UNIT_NONE, -1},
    };
    struct mr_table *table = mr_table_new(
        a->arena, "heat-constants", "Heat constants",
        "Heat per volume of film in MJ/m3, over the zones that fit: of the job, coat by coat and lot by lot. Where a "
        "coat's own film was not measured, its equal share of the system's film stands for it. The free line's "
        "intercept should be near zero.",
        MR_COUNT(fields), fields);
    const struct mr_rise_line *l = &c->line;
    const struct mr_value job[] = {mr_v_text("Heat per volume of film, job"),
                                   mr_v_count((int64_t)l->n_clean),
                                   mr_v_num(l->heat_per_volume * 1e-6),
                                   mr_v_num(l->volume_low * 1e-6),
                                   mr_v_num(l->volume_high * 1e-6),
                                   mr_v_num(100.0 * l->scatter),
                                   mr_v_blank(""),
                                   mr_v_blank("")};
    mr_table_add(a->arena, table, job);
    const char **keys = MR_ARRAY(a->arena, const char *, c->coats->n);
    for (size_t i = 0; i < c->coats->n; i++)
        keys[i] = counts(c, &c->coats->v[i]) ? mr_printf(a->arena, "%d", c->coats->v[i].coat) : NULL;
    add_groups(c, table, "Coat", keys);
    for (size_t i = 0; i < c->coats->n; i++)
        keys[i] = keys[i] && *mr_film_lots(a, c->coats->v[i].window) ? mr_film_lots(a, c->coats->v[i].window) : NULL;
    add_groups(c, table, "Lots", keys);
    if (l->free_fitted) {
        double t = mr_t_q(0.975, (double)l->n - 2.0) * l->free.intercept_se;
        const struct mr_value line[] = {mr_v_text("Intercept of the free line, kJ/m2"),
                                        mr_v_count((int64_t)l->n),
                                        mr_v_num(l->free.intercept / 1e3),
                                        mr_v_num((l->free.intercept - t) / 1e3),
                                        mr_v_num((l->free.intercept + t) / 1e3),
                                        mr_v_blank(""),
                                        mr_v_blank(""),
                                        mr_v_blank("")};
        mr_table_add(a->arena, table, line);
        const struct mr_value r2[] = {mr_v_text("R2 of the free line"),
                                      mr_v_count((int64_t)l->n),
                                      mr_v_num(l->free.r2),
                                      mr_v_blank(""),
                                      mr_v_blank(""),
                                      mr_v_blank(""),
                                      mr_v_blank(""),
                                      mr_v_blank("")};
        mr_table_add(a->arena, table, r2);
    }
    mr_add_table(a, table);
}
