/*
 * heat_notes.c - how probes look, and beside the figure of one coat's heat: the check with its limits, then what each
 * probe showed.
 */
#include "render/chart/chart_heat.h"

#include <math.h>
#include <string.h>

const struct mr_heat_look mr_heat_looks[MR_PROBES_MOST] = {{{0x00, 0x72, 0xb2}, MR_SOLID, MR_DIAMOND},
                                                           {{0xb8, 0x4a, 0x00}, MR_DASHED, MR_SQUARE},
                                                           {{0x00, 0x7f, 0x5c}, MR_DASH_DOT, MR_UP},
                                                           {{0x94, 0x44, 0x7a}, MR_LONG_DASH, MR_DOWN}};

int64_t mr_heat_peak_ms(const struct mr_heat_event *e) {
    return e->fit == MR_FIT_OK && isfinite(e->time_to_peak_s) ? e->t_onset + (int64_t)(e->time_to_peak_s * 1000.0)
                                                              : e->t_peak;
}

const char *mr_heat_coat(const struct mr_heat_view *v) {
    return v->coat > 0 ? mr_printf(v->job->arena, "coat %d", v->coat) : "coat not known";
}

static const struct mr_check *rise_check(const struct mr_heat_view *v) {
    const struct mr_check *found = NULL;
    for (size_t i = 0; i < v->job->a->checks.n; i++) {
        const struct mr_check *c = &v->job->a->checks.v[i];
        if (c->zone == v->zone && c->coat == v->coat && strcmp(c->group, "reaction") == 0 &&
            (!found || strcmp(c->id, "reaction.rise") == 0))
            found = c;
    }
    return found;
}

/* A check's value with its unit. The specification's unit may be another than the figure's, which has one for all
 * rises: nobody is to compare kelvins with degrees Fahrenheit. */
static const char *value_text(const struct mr_heat_view *v, const struct mr_check *c, double value) {
    struct mr_arena *arena = v->job->arena;
    if (mr_unit_dim(c->unit) == MR_DIM_RISE && c->unit != v->rise)
        return mr_short_text(arena, mr_to_canonical(c->unit, value), v->rise);
    return mr_printf(arena, "%s %s", mr_figure_text(arena, value, c->decimals), mr_unit_symbol(c->unit));
}

static const char *limits_text(const struct mr_heat_view *v, const struct mr_check *c) {
    struct mr_arena *arena = v->job->arena;
    const bool low = isfinite(c->limit_low), high = isfinite(c->limit_high);
    const char *l = value_text(v, c, c->limit_low), *h = value_text(v, c, c->limit_high);
    return low && high ? mr_printf(arena, "%.*s to %s", (int)strcspn(l, " "), l, h)
           : low       ? mr_printf(arena, "at least %s", l)
           : high      ? mr_printf(arena, "at most %s", h)
                       : "none";
}

static const char *probe_name(const struct mr_heat_view *v, const struct mr_track *t) {
    const char *instrument = t->instrument[0] ? t->instrument : "probe";
    return mr_printf(v->job->arena, "%s, %s", instrument, t->channel[0] ? t->channel : "channel");
}

static const char *fit_text(enum mr_fit fit) {
    switch (fit) {
    case MR_FIT_OK:
        return "fits";
    case MR_FIT_POOR:
        return "poor";
    case MR_FIT_NO_CONVERGENCE:
        return "did not converge";
    case MR_FIT_NONE:
        break;
    }
    return "none";
}

static const char *minutes(struct mr_arena *arena, double s) {
    return isfinite(s) && s > 0 ? mr_printf(arena, "%s min", mr_figure_text(arena, s / 60.0, 1)) : "not determined";
}

static double event_notes(struct mr_drawlist *list, const struct mr_heat_view *v, const struct mr_heat_event *e,
                          double x, double y, double w) {
    struct mr_arena *arena = v->job->arena;
    const bool fits = e->fit == MR_FIT_OK && isfinite(e->rise_fit_k);
    const struct mr_note notes[] = {
        {"onset", mr_clock_text(v->job, e->t_onset, true)},
        {"peak", mr_clock_text(v->job, mr_heat_peak_ms(e), true)},
        {fits ? "rise, fitted" : "rise, plain", mr_shown(arena, fits ? e->rise_fit_k : e->rise_k, v->rise, 1)},
        {"fitted curve", fit_text(e->fit)},
        {"time to peak", minutes(arena, e->time_to_peak_s)},
        {"baseline", mr_shown(arena, e->baseline_c, v->temp, 1)},
        {"rise without loss",
         isfinite(e->rise_adiabatic_k) ? mr_shown(arena, e->rise_adiabatic_k, v->rise, 1) : "not determined"},
        {"cooling constant", minutes(arena, e->tau_s)},
    };
    return mr_notes(list, x, y, w, v->n > 1 ? 4 : MR_COUNT(notes), notes);
}

void mr_heat_notes(struct mr_drawlist *list, const struct mr_heat_view *v, double x, double y, double w) {
    struct mr_arena *arena = v->job->arena;
    const double foot = list->height_pt - MR_PAGE_FOOT - 4;
    const struct mr_check *c = rise_check(v);
    if (c) {
        const bool with_doubt = isfinite(v->rise_k) && isfinite(v->rise_95_k) && strcmp(c->id, "reaction.rise") == 0;
        const char *measured = with_doubt              ? mr_rise_text(arena, v->rise, v->rise_k, v->rise_95_k)
                               : isfinite(c->measured) ? value_text(v, c, c->measured)
                                                       : "not determined";
        const struct mr_note judged[] = {{"Judged", NULL},
                                         {"outcome", mr_outcome_text(c->outcome)},
                                         {"measured", measured},
                                         {"limits here", limits_text(v, c)}};
        y = mr_notes(list, x, y, w, MR_COUNT(judged), judged);
    }
    size_t left_out = v->left_out;
    for (size_t i = 0; i < v->n; i++) {
        const bool event = v->probe[i].event != NULL;
        const double need = 16 + (event ? v->n > 1 ? 42.4 : 84.8 : 10.6) + (i + 1 < v->n || left_out ? 16 : 0);
        if (y + need > foot) {
            left_out += v->n - i;
            break;
        }
        const struct mr_note heading = {probe_name(v, v->probe[i].track), NULL};
        mr_draw_mark(list, mr_heat_looks[i].ink, mr_heat_looks[i].mark, 6.5, x + 3.5, y + 1.4);
        list->ops.v[list->ops.n - 1].beside = true;
        y = mr_notes(list, x + 10, y + 4, w - 10, 1, &heading);
        if (event)
            y = event_notes(list, v, v->probe[i].event, x, y, w);
        else
            y = mr_notes(list, x, y, w, 1, &(struct mr_note){"pulse", "none found"});
    }
    if (left_out)
        mr_notes(list, x, y + 4, w, 1, &(struct mr_note){"further probes", mr_printf(arena, "%zu", left_out)});
}
