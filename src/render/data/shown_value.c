/*
 * shown_value.c - see shown_value.h.
 */
#include "render/data/shown_value.h"

#include <math.h>
#include <string.h>

enum { DECIMALS_MOST = 6 };

/* decimals -1: as many as needed. */
static const char *number_text(struct mr_arena *arena, double value, int decimals) {
    if (decimals >= 0)
        return mr_figure_text(arena, value, decimals);
    char *text = mr_printf(arena, "%.*f", DECIMALS_MOST, value);
    size_t n = strlen(text);
    while (text[n - 1] == '0')
        text[--n] = '\0';
    if (text[n - 1] == '.')
        text[--n] = '\0';
    return strcmp(text, "-0") == 0 ? "0" : text;
}

const char *mr_shown_text(const struct mr_outline *o, struct mr_arena *arena, const struct mr_field *f,
                          const struct mr_value *v) {
    switch (v->type) {
    case MR_V_BLANK:
    case MR_V_TEXT:
        break;
    case MR_V_NUMBER:
        return number_text(arena, v->number, v->own_decimals > 0 ? v->own_decimals - 1 : f->decimals);
    case MR_V_COUNT:
        return mr_printf(arena, "%lld", (long long)v->count);
    case MR_V_TIME: {
        const char *text = mr_local_text(arena, o->a->aligned, v->count);
        return o->offset_text[0] && strlen(text) > 19 ? mr_strndup(arena, text, 19) : text;
    }
    case MR_V_OUTCOME:
        return mr_outcome_text((enum mr_outcome)v->count);
    }
    return v->text ? v->text : "";
}

const char *mr_shown_value(const struct mr_outline *o, const struct mr_table *t, size_t row, size_t column) {
    const struct mr_value v = mr_table_value(t, row, column);
    return mr_shown_text(o, o->arena, &t->fields[column], &v);
}

/* Enough digits that the figure stands on the side of the limit on which it is. */
static int telling_decimals(double value, double limit, int decimals) {
    for (int d = decimals; d >= 0 && d < DECIMALS_MOST; d++) {
        const double scale = pow(10.0, d), v = round(value * scale), l = round(limit * scale);
        if ((value < limit) == (v < l) && (value > limit) == (v > l))
            return d;
    }
    return decimals;
}

static int decimals_of(const struct mr_check *c) {
    const int low = telling_decimals(c->measured, c->limit_low, c->decimals),
              high = telling_decimals(c->measured, c->limit_high, c->decimals);
    return c->outcome != MR_DOES_NOT_CONFORM ? c->decimals : low > high ? low : high;
}

static const char *with_unit(struct mr_arena *arena, const char *number, enum mr_unit unit) {
    const char *symbol = mr_unit_symbol(unit);
    return symbol && symbol[0] ? mr_printf(arena, "%s %s", number, symbol) : number;
}

const char *mr_shown_measured(struct mr_arena *arena, const struct mr_check *c) {
    if (!isfinite(c->measured))
        return "";
    return with_unit(arena, number_text(arena, c->measured, decimals_of(c)), c->unit);
}

/* With the digits of the figure beside it, or as few as it has. */
static const char *limit_text(struct mr_arena *arena, const struct mr_check *c, double limit) {
    const char *full = number_text(arena, limit, -1), *like = number_text(arena, limit, decimals_of(c));
    return strlen(full) < strlen(like) ? full : like;
}

const char *mr_shown_limits(struct mr_arena *arena, const struct mr_check *c) {
    const bool low = isfinite(c->limit_low), high = isfinite(c->limit_high);
    if (low && high)
        return with_unit(
            arena,
            mr_printf(arena, "%s to %s", limit_text(arena, c, c->limit_low), limit_text(arena, c, c->limit_high)),
            c->unit);
    if (!low && !high)
        return "";
    return mr_printf(arena, "%s %s", low ? "at least" : "at most",
                     with_unit(arena, limit_text(arena, c, low ? c->limit_low : c->limit_high), c->unit));
}

const char *mr_shown_places(struct mr_arena *arena, const mr_evidence_list *e) {
    if (e->n == 0)
        return "";
    const char *first = mr_place_text(arena, &e->v[0].place);
    return e->n == 1 ? first : mr_printf(arena, "%s, +%zu", first, e->n - 1);
}
