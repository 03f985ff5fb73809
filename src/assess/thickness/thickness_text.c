/*
 * thickness_text.c - words and places that the thickness part says in more than one room.
 */
#include "assess/finding/line_ranges.h"
#include "assess/thickness/thickness.h"

#include <math.h>
#include <stdlib.h>

int mr_film_decimals(enum mr_unit unit) {
    switch ((int)unit) {
    case MR_UNIT_MIL:
        return 2;
    case MR_UNIT_FILM_MM:
        return 4;
    case MR_UNIT_FILM_IN:
        return 5;
    default:
        return 1;
    }
}

const char *mr_film_text(struct mr_assess *a, double um, enum mr_unit unit) {
    return mr_printf(a->arena, "%.*f %s", mr_film_decimals(unit), mr_from_canonical(unit, um), mr_unit_symbol(unit));
}

int mr_telling_decimals(double x, double y, int least) {
    if (isnan(x) || isnan(y) || !(fabs(x - y) > 0))
        return least;
    for (int d = least; d < 6; d++) {
        double unit = pow(10, d);
        if (fabs(round(x * unit) - round(y * unit)) > 0.5)
            return d;
    }
    return 6;
}

const char *mr_subject_text(struct mr_assess *a, const struct mr_subject *s) {
    return s->coat ? mr_printf(a->arena, "%s, coat %d", s->z->name, s->coat) : s->z->name;
}

const char *mr_limit_text(struct mr_assess *a, const struct mr_rule_verdict *v) {
    const struct mr_rule_limit *l = v->limit;
    const char *share = "";
    if (l->shared)
        share = mr_printf(a->arena, "; %s %g %% may lie %s it", l->share_strict ? "fewer than" : "at most",
                          (double)l->share / 1000, l->upper ? "above" : "below");
    return mr_printf(a->arena, "%s, %s: at %s %g %% of the specified %s%s", v->rule->title, l->title,
                     l->upper ? "most" : "least", (double)l->percent / 1000, l->of_maximum ? "maximum" : "minimum",
                     share);
}

const char *mr_value_name(struct mr_assess *a, const struct mr_film *film, const struct mr_rule_limit *limit,
                          size_t i) {
    switch (limit->value) {
    case MR_RULE_READING: {
        struct mr_place p = mr_line_place(a, film->readings[i].file, film->readings[i].line);
        return mr_printf(a->arena, "reading at %s:%u", p.file, p.line);
    }
    case MR_RULE_SPOT:
        return mr_printf(a->arena, "spot %s, area %s", film->spots.v[i].name,
                         film->areas.v[film->spots.v[i].area].name);
    case MR_RULE_AREA:
        return mr_printf(a->arena, "area %s", film->areas.v[i].name);
    case MR_RULE_MEAN:
        break;
    }
    return "mean of all readings";
}

static size_t spot_lines(const struct mr_film *film, size_t s, struct mr_line *out) {
    const struct mr_film_spot *spot = &film->spots.v[s];
    for (size_t i = 0; i < spot->n; i++)
        out[i] = (struct mr_line){film->readings[spot->first + i].file, film->readings[spot->first + i].line};
    return spot->n;
}

size_t mr_value_lines(const struct mr_film *film, const struct mr_rule_limit *limit, size_t i,
                      struct mr_line *lines) {
    size_t n = 0, first = 0, spots = film->spots.n;
    if (limit->value == MR_RULE_READING) {
        lines[0] = (struct mr_line){film->readings[i].file, film->readings[i].line};
        return 1;
    }
    if (limit->value == MR_RULE_SPOT)
        first = i, spots = 1;
    else if (limit->value == MR_RULE_AREA)
        first = film->areas.v[i].first, spots = film->areas.v[i].n;
    for (size_t s = first; s < first + spots; s++)
        n += spot_lines(film, s, lines + n);
    return n;
}
