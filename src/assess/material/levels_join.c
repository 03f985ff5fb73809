/*
 * levels_join.c - successive levels of one drum.
 *
 * A drum stands where it was left. What is gone from it was used without a record, perhaps without the other part;
 * what is there again was filled in, or one of the levels is wrong. A note that says so settles it, and so does
 * another lot: a drum of its own. A name may be a place beside the pump: where a drum was nearly empty and the next
 * level is the highest of its part, a full one took its place. Rows without a drum's name are one drum where only one
 * row stands at a moment and the level falls.
 */
#include "assess/finding/line_ranges.h"
#include "assess/material/material.h"

#include "base/keyfile.h"
#include "numeric/search.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double nearly_empty = 0.2; /* of a full drum: what a suction tube leaves and more; common practice */

/* A row of the log as one of its drum. */
struct drum_row {
    size_t at;
    char part;
    const char *drum; /* folded */
    int64_t t_utc_ms;
    double before;
};

/* A row lies before the one that goes on from it: by time, then, since levels fall, by level. */
static int by_drum(const void *a, const void *b) {
    const struct drum_row *x = a, *y = b;
    int order = MR_ORDER(x->part, y->part);
    order = order ? order : strcmp(x->drum, y->drum);
    order = order ? order : MR_ORDER(x->t_utc_ms, y->t_utc_ms);
    order = order ? order : MR_ORDER(y->before, x->before);
    return order ? order : MR_ORDER(x->at, y->at);
}

static struct drum_row *rows_by_drum(struct mr_assess *a, size_t *n) {
    const struct mr_alignment *al = a->aligned;
    struct drum_row *v = MR_ARRAY(a->arena, struct drum_row, al->data->materials.n);
    *n = 0;
    for (size_t i = 0; i < al->data->materials.n && i < al->material_utc.n; i++) {
        const struct mr_material *m = &al->data->materials.v[i];
        if (al->material_utc.v[i] != MR_T_NONE && !isnan(m->before) && !isnan(m->after))
            v[(*n)++] =
                (struct drum_row){i, m->part, mr_folded_name(a->arena, m->drum), al->material_utc.v[i], m->before};
    }
    qsort(v, *n, sizeof *v, by_drum);
    return v;
}

static const char *folded_note(struct mr_assess *a, const char *note) {
    const char *plain = mr_unaccent(a->arena, note, strlen(note));
    return mr_fold(a->arena, plain, strlen(plain));
}

/* Words of a note that say why a level is not where it was left. Common practice, no source. */
static bool says_why(struct mr_assess *a, const char *note) {
    static const char *const words[] = {
        "refill",    "re-fill",     "topped",      "top up",     "filled",    "full drum", "new drum", "fresh drum",
        "next drum", "changed",     "swapped",     "exchanged",  "replaced",  "spill",     "spilt",    "transfer",
        "decant",    "drained",     "purged",      "flushed",    "waste",     "discard",   "dispos",   "sampled",
        "leaked",    "nachgefullt", "aufgefullt",  "neues fass", "verschutt", "umgefullt", "rempli",   "nouveau fut",
        "renverse",  "rellenad",    "bidon nuevo", "derram"};
    static const char *const denials[] = {"not ", "no ", "never ", "nicht ", "kein", "pas ", "sin "};
    const char *text = note ? folded_note(a, note) : "";
    for (size_t i = 0; i < MR_COUNT(denials); i++)
        if (strstr(text, denials[i]))
            return false;
    for (size_t i = 0; i < MR_COUNT(words); i++)
        if (strstr(text, words[i]))
            return true;
    return false;
}

/* The highest level of each part, in litres and kilograms: what a full drum holds. */
struct fullest {
    double level[2][2];
};

static double *full_of(struct fullest *f, const struct mr_material *m) {
    return &f->level[m->part == 'B'][m->unit == MR_UNIT_KG];
}

static struct fullest fullest_of(const struct mr_data *d) {
    struct fullest f = {0};
    for (size_t i = 0; i < d->materials.n; i++) {
        const struct mr_material *m = &d->materials.v[i];
        *full_of(&f, m) = fmax(*full_of(&f, m), fmax(m->before, m->after));
    }
    return f;
}

static bool same_lot(struct mr_assess *a, const struct mr_material *x, const struct mr_material *y) {
    return !*x->lot || !*y->lot || strcmp(mr_folded_name(a->arena, x->lot), mr_folded_name(a->arena, y->lot)) == 0;
}

/* Whether the next row may begin anywhere: another drum, or said. */
static bool begins_anew(struct mr_assess *a, const struct mr_material *x, const struct mr_material *y, double full) {
    return x->unit != y->unit || !same_lot(a, x, y) || says_why(a, x->note) || says_why(a, y->note) ||
           (x->after <= nearly_empty * full && y->before >= full);
}

static bool is_same_drum(const struct drum_row *x, const struct drum_row *y) {
    return x->part == y->part && strcmp(x->drum, y->drum) == 0;
}

static bool stands_alone(const struct drum_row *v, size_t n, size_t i) {
    return (i == 0 || v[i - 1].t_utc_ms != v[i].t_utc_ms || v[i - 1].part != v[i].part) &&
           (i + 1 == n || v[i + 1].t_utc_ms != v[i].t_utc_ms || v[i + 1].part != v[i].part);
}

static const char *where(struct mr_assess *a, const struct mr_material *x, const struct mr_material *y) {
    const double gone = x->after - y->before;
    const enum mr_unit shown = x->unit == MR_UNIT_KG ? MR_UNIT_KG : a->job->display.volume;
    return mr_printf(a->arena, "%s of part %c %s %s between lines %u and %u",
                     mr_value_text(a, mr_from_canonical(shown, fabs(gone)), shown, 1), x->part,
                     gone > 0.0 ? "are gone from" : "are there again in",
                     *x->drum ? mr_printf(a->arena, "drum %s", x->drum) : "a drum without a name", x->line, y->line);
}

static bool is_equal(double x, double y) {
    return !mr_below(x, y) && !mr_above(x, y);
}

/* Rows i-1 and i of one drum, where they do not join. Of rows of one moment nobody knows which came last. */
static bool is_apart(struct mr_assess *a, const struct drum_row *v, size_t n, size_t i, struct fullest *full) {
    const struct mr_data *d = a->aligned->data;
    const struct mr_material *x = &d->materials.v[v[i - 1].at], *y = &d->materials.v[v[i].at];
    if (!is_same_drum(&v[i - 1], &v[i]) || is_equal(x->after, y->before))
        return false;
    for (size_t k = i - 1; k-- > 0 && is_same_drum(&v[k], &v[i]) && v[k].t_utc_ms == v[i - 1].t_utc_ms;)
        if (is_equal(d->materials.v[v[k].at].after, y->before))
            return false;
    if (!*v[i].drum && (x->after < y->before || !stands_alone(v, n, i - 1) || !stands_alone(v, n, i)))
        return false;
    return !begins_anew(a, x, y, *full_of(full, x));
}

/* A row whose level rises is a refill if it says so, or if another goes on from there. */
static bool is_refill(struct mr_assess *a, const struct drum_row *v, size_t n, size_t i) {
    const struct mr_data *d = a->aligned->data;
    const double after = d->materials.v[v[i].at].after;
    return says_why(a, d->materials.v[v[i].at].note) ||
           (i + 1 < n && is_same_drum(&v[i], &v[i + 1]) && is_equal(v[i + 1].before, after)) ||
           (i > 0 && is_same_drum(&v[i], &v[i - 1]) && v[i - 1].t_utc_ms == v[i].t_utc_ms &&
            is_equal(v[i - 1].before, after));
}

struct mr_drums mr_join_levels(struct mr_assess *a) {
    const struct mr_data *d = a->aligned->data;
    struct mr_drums drums = {.refilled = MR_ARRAY(a->arena, bool, d->materials.n)};
    struct fullest full = fullest_of(d);
    size_t n;
    const struct drum_row *v = rows_by_drum(a, &n);
    for (size_t i = 0; i < n; i++) {
        const struct mr_material *y = &d->materials.v[v[i].at], *x = i ? &d->materials.v[v[i - 1].at] : NULL;
        drums.refilled[v[i].at] = y->after > y->before && is_refill(a, v, n, i);
        if (!x || !is_apart(a, v, n, i, &full))
            continue;
        struct mr_levels_apart pair = {v[i - 1].at, v[i].at, mr_litres_of(a, x, x->after - y->before),
                                       where(a, x, y)};
        MR_PUSH(a->arena, &drums.apart, pair);
    }
    return drums;
}

const char mr_mend_apart[] = "Correct the level in the material log; or say in its note what became of it (refilled, "
                             "spilled, transferred), and log another drum under a name of its own.";

void mr_find_apart(struct mr_assess *a, const struct mr_levels_apart *pair) {
    const struct mr_material *x = &a->aligned->data->materials.v[pair->row],
                             *y = &a->aligned->data->materials.v[pair->next];
    struct mr_finding f = mr_blank_finding("levels-do-not-join", MR_WARNING, MR_NONE, 0);
    f.measured = x->after - y->before;
    f.unit = x->unit;
    f.decimals = 2;
    f.rule = "a drum stands where it was left";
    f.source = MR_SRC_PD;
    f.what = mr_printf(a->arena, "Material log: %s; counted in, the parts are off ratio.", pair->where);
    f.next_step = mr_mend_apart;
    mr_add_evidence(a, &f.evidence, mr_line_place(a, x->file, x->line), "the level after");
    mr_add_evidence(a, &f.evidence, mr_line_place(a, y->file, y->line), "the next level before");
    mr_add_finding(a, &f);
}
