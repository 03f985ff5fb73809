/*
 * stock.c - what each shift used of both parts, and what takes the proof from it.
 *
 * Levels show what was sprayed before they were read. What is beyond the limits does not conform whenever it was
 * read; what lies within them is shown only by levels that can be of that shift and that join from one to the next.
 */
#include "assess/material/material.h"

#include <math.h>

enum { MINUTE_MS = 60000 }; /* hand-kept times are written to the minute */

/* What is gone from the drums, or there again, beside what a shift's own rows show. */
struct beside {
    double a_l, b_l;
};

double mr_ratio_used(const struct mr_parts_used *u) {
    return u->rows_a > 0 && u->rows_b > 0 && u->b_l > 0.0 ? u->a_l / u->b_l : MR_NAN;
}

double mr_mixed_l(const struct mr_parts_used *u) {
    return u->rows_a > 0 && u->rows_b > 0 ? u->a_l + u->b_l : MR_NAN;
}

enum mr_outcome mr_judge_ratio(const struct mr_settings *settings, double ratio) {
    double want = mr_set_num(settings, MR_RATIO), tol = mr_set_num(settings, MR_RATIO_TOL) / 100.0;
    if (isnan(ratio) || isnan(want) || isnan(tol))
        return MR_NOT_SHOWN;
    return mr_below(ratio, want * (1.0 - tol)) || mr_above(ratio, want * (1.0 + tol)) ? MR_DOES_NOT_CONFORM
                                                                                      : MR_CONFORMS;
}

static void take(struct mr_assess *a, struct mr_parts_used *u, const struct mr_material *m, double litres) {
    *(m->part == 'A' ? &u->a_l : &u->b_l) += litres;
    *(m->part == 'A' ? &u->rows_a : &u->rows_b) += 1;
    struct mr_place at = {a->aligned->data->files.v[m->file].source->path, m->line, 0, 0};
    mr_add_evidence(a, &u->evidence, at, mr_printf(a->arena, "part %c, %s", m->part, m->drum));
}

static void doubt(struct mr_parts_used *u, const char *why) {
    u->doubt = u->doubt ? u->doubt : why;
}

static void note_time(struct mr_parts_used *u, const struct mr_material *m, int64_t t_utc_ms, bool of_day) {
    int64_t *last = m->part == 'A' ? &u->last_a_utc_ms : &u->last_b_utc_ms;
    const int64_t t = of_day ? INT64_MAX : t_utc_ms;
    *last = t > *last ? t : *last;
}

/* One row of the log; whether it is of a shift. A rise is left out; one that is no refill hides what was used. */
static bool take_row(struct mr_assess *a, struct mr_stock *b, const struct mr_drums *drums, size_t i) {
    const struct mr_material *m = &a->aligned->data->materials.v[i];
    const struct mr_level_row of = mr_level_row(a, i);
    struct mr_parts_used *u = of.shift == MR_NONE ? NULL : &b->shift[of.shift];
    if (m->after > m->before) {
        mr_find_rising_level(a, m);
        if (u && !drums->refilled[i])
            doubt(u, mr_printf(a->arena, "the level of %s rises in line %u", *m->drum ? m->drum : "a drum", m->line));
        return u != NULL;
    }
    const double litres = mr_litres_of(a, m, m->before - m->after);
    take(a, &b->job, m, litres);
    if (!u)
        return false;
    take(a, u, m, litres);
    if (of.doubt)
        doubt(u, of.doubt);
    else
        note_time(u, m, a->aligned->material_utc.v[i], of.of_day);
    return true;
}

static void widen(struct mr_parts_used *u, const struct beside *x) {
    struct mr_parts_used with = *u;
    with.a_l += x->a_l;
    with.b_l += x->b_l;
    double ratio = mr_ratio_used(&with);
    ratio = isnan(ratio) ? (double)INFINITY : ratio;
    u->least = fmin(u->least, ratio);
    u->most = fmax(u->most, ratio);
}

/* Levels that do not join: nobody knows whether what is gone was sprayed at the end of the one shift or before the
 * first levels of the other, or whether one of the levels is wrong. Each shift is judged with it too. */
static void count_apart(struct mr_assess *a, struct mr_stock *b, const struct mr_drums *drums) {
    const size_t n = a->aligned->shifts.n;
    struct beside *before = MR_ARRAY(a->arena, struct beside, n), *after = MR_ARRAY(a->arena, struct beside, n);
    for (size_t i = 0; i < drums->apart.n; i++) {
        const struct mr_levels_apart *p = &drums->apart.v[i];
        const size_t from = mr_level_row(a, p->row).shift, to = mr_level_row(a, p->next).shift;
        for (size_t s = from == MR_NONE ? to : from; s < n && s <= (to == MR_NONE ? from : to); s++) {
            struct beside *x = s == to && s != from ? &before[s] : &after[s];
            *(a->aligned->data->materials.v[p->row].part == 'A' ? &x->a_l : &x->b_l) += p->litres;
            b->shift[s].apart = b->shift[s].apart ? b->shift[s].apart : p->where;
        }
    }
    for (size_t s = 0; s < n; s++) {
        struct mr_parts_used *u = &b->shift[s];
        const struct beside both = {before[s].a_l + after[s].a_l, before[s].b_l + after[s].b_l};
        if (!u->apart)
            continue;
        u->least = u->most = mr_ratio_used(u);
        widen(u, &before[s]);
        widen(u, &after[s]);
        widen(u, &both);
    }
}

static bool takes_proof(const struct mr_parts_used *u, const struct mr_settings *settings) {
    return u->apart &&
           (mr_judge_ratio(settings, u->least) != MR_CONFORMS || mr_judge_ratio(settings, u->most) != MR_CONFORMS);
}

static void tell_apart(struct mr_assess *a, const struct mr_stock *b, const struct mr_drums *drums) {
    for (size_t i = 0; i < drums->apart.n; i++) {
        const struct mr_levels_apart *p = &drums->apart.v[i];
        const size_t from = mr_level_row(a, p->row).shift, to = mr_level_row(a, p->next).shift;
        if ((from != MR_NONE && takes_proof(&b->shift[from], &a->job->settings)) ||
            (to != MR_NONE && takes_proof(&b->shift[to], &a->job->settings)))
            mr_find_apart(a, p);
    }
}

struct mr_stock mr_take_stock(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    struct mr_stock b = {.shift = MR_ARRAY(a->arena, struct mr_parts_used, al->shifts.n)};
    const struct mr_drums drums = mr_join_levels(a);
    size_t dated = 0, in_shifts = 0;
    for (size_t i = 0; i < al->data->materials.n; i++) {
        in_shifts += take_row(a, &b, &drums, i);
        dated += i < al->material_utc.n && al->material_utc.v[i] != MR_T_NONE;
    }
    if (dated && !in_shifts && al->shifts.n) {
        b.job = (struct mr_parts_used){0};
        mr_find_other_days(a);
    }
    count_apart(a, &b, &drums);
    tell_apart(a, &b, &drums);
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->shift < al->shifts.n)
            b.shift[w->shift].spray_ms += w->t1_utc_ms - w->t0_utc_ms;
        b.job.spray_ms += w->t1_utc_ms - w->t0_utc_ms;
    }
    for (size_t s = 0; s < al->shifts.n; s++)
        if (b.shift[s].doubt)
            doubt(&b.job, b.shift[s].doubt);
    return b;
}

/* Coats that were sprayed after the last levels of a part were read. */
static const char *sprayed_after(struct mr_assess *a, const struct mr_parts_used *u, size_t shift, size_t zone) {
    for (size_t i = 0; i < a->aligned->windows.n; i++) {
        const struct mr_window *w = &a->aligned->windows.v[i];
        const bool part_a = u->last_a_utc_ms <= u->last_b_utc_ms;
        const int64_t last = part_a ? u->last_a_utc_ms : u->last_b_utc_ms;
        if (w->shift != shift || (zone != MR_NONE && w->zone != zone) || w->t1_utc_ms - MINUTE_MS <= last)
            continue;
        return mr_printf(a->arena, "the last levels of part %c were read at %s, and %s was sprayed until %s",
                         part_a ? 'A' : 'B', mr_moment_text(a, last), mr_zone_label(a, w->zone, w->coat),
                         mr_moment_text(a, w->t1_utc_ms));
    }
    return NULL;
}

const char *mr_stock_doubt(struct mr_assess *a, const struct mr_stock *stock, size_t shift, size_t zone,
                           const struct mr_settings *settings) {
    const struct mr_parts_used *u = &stock->shift[shift];
    if (u->doubt)
        return u->doubt;
    const char *after = u->rows_a && u->rows_b ? sprayed_after(a, u, shift, zone) : NULL;
    return after ? after : takes_proof(u, settings) ? u->apart : NULL;
}
