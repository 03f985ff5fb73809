/*
 * wet_film.c - wet-film readings and the dry film that they forecast.
 *
 * A notched gauge in the fresh film tells the sprayer what the dry film will be: dry = wet x solids by volume
 * (volume balance, no source needed; practice of reading wet film: ASTM D4414, from memory), or dry = wet / ratio
 * where the supplier states wet to dry. It is a forecast only: nothing here is judged, and no reading of it counts
 * as dry film. Without a stated figure no forecast is made.
 */
#include "assess/thickness/thickness.h"

#include "numeric/stable_sort.h"
#include "numeric/summary_stats.h"

#include <math.h>

/* What the job states for one zone. */
struct wet_to_dry {
    double share; /* dry film of one unit of wet film; NaN: not stated, or stated twice and differently */
    const char *stated;
    bool contradicts;
};

static struct wet_to_dry stated_for(struct mr_assess *a, const struct mr_settings *set) {
    const struct mr_setting *solids = &set->v[MR_SOLIDS], *ratio = &set->v[MR_DFT_WET_RATIO];
    struct wet_to_dry w = {.share = MR_NAN, .stated = "not stated"};
    if (solids->set && solids->from_job && solids->value > 0) {
        w.share = solids->value / 100;
        w.stated = mr_printf(a->arena, "solids by volume %.4g %%", solids->value);
    }
    if (!ratio->set)
        return w;
    double by_ratio = 1 / ratio->value;
    w.contradicts = !isnan(w.share) && fabs(by_ratio - w.share) > 0.01 * w.share;
    w.stated = mr_printf(a->arena, "%s%swet to dry %.4g", isnan(w.share) ? "" : w.stated, isnan(w.share) ? "" : ", ",
                         ratio->value);
    w.share = w.contradicts ? MR_NAN : by_ratio;
    return w;
}

static int by_place(const void *a, const void *b) {
    const struct mr_placed *x = *(const struct mr_placed *const *)a, *y = *(const struct mr_placed *const *)b;
    int order = MR_ORDER(x->zone, y->zone);
    if (order == 0)
        order = MR_ORDER(x->coat, y->coat);
    return order ? order : MR_ORDER(x->t_utc_ms, y->t_utc_ms);
}

static const struct mr_settings *settings_of(const struct mr_assess *a, size_t zone) {
    return zone < a->aligned->zones.n ? a->aligned->zones.v[zone].settings : &a->job->settings;
}

static const char *zone_name(const struct mr_assess *a, size_t zone) {
    return zone < a->aligned->zones.n ? a->aligned->zones.v[zone].name : "no zone";
}

static struct mr_value film_value(const struct mr_assess *a, double um, const char *why) {
    return isnan(um) ? mr_v_blank(why) : mr_v_num(mr_from_canonical(a->job->display.film, um));
}

static const char *coat_text(struct mr_assess *a, int coat) {
    return coat ? mr_printf(a->arena, "coat %d", coat) : "not known";
}

static const char no_figure[] = "the job states no solids by volume and no wet to dry ratio";
static const char two_figures[] = "solids by volume and wet to dry ratio contradict each other";

/* One zone and coat: the wet film in short, and its forecast. */
static void add_group(struct mr_assess *a, struct mr_table *table, const struct mr_placed *const *v, size_t n) {
    struct wet_to_dry w = stated_for(a, settings_of(a, v[0]->zone));
    double *um = MR_ARRAY(a->arena, double, n);
    for (size_t i = 0; i < n; i++)
        um[i] = v[i]->reading->film_um;
    struct mr_moments m = mr_moments_of(um, n);
    const char *why = w.contradicts ? two_figures : no_figure;
    const struct mr_value row[] = {
        mr_v_text(zone_name(a, v[0]->zone)),
        mr_v_text(coat_text(a, v[0]->coat)),
        mr_v_count((int64_t)n),
        film_value(a, m.mean, ""),
        film_value(a, m.min, ""),
        film_value(a, m.max, ""),
        isnan(w.share) ? mr_v_blank(why) : mr_v_num(100 * w.share),
        film_value(a, m.mean * w.share, why),
        film_value(a, m.min * w.share, why),
        film_value(a, m.max * w.share, why),
        mr_v_text(w.stated),
    };
    mr_table_add(a->arena, table, row);
}

static void add_reading(struct mr_assess *a, struct mr_table *table, const struct mr_placed *p) {
    const struct mr_reading *r = p->reading;
    struct wet_to_dry w = stated_for(a, settings_of(a, p->zone));
    struct mr_place place = mr_line_place(a, r->file, r->line);
    const struct mr_value row[] = {
        mr_v_text(zone_name(a, p->zone)),
        mr_v_text(coat_text(a, p->coat)),
        p->t_utc_ms == MR_T_NONE ? mr_v_blank("no time") : mr_v_time(p->t_utc_ms),
        mr_v_text(r->area),
        mr_v_text(r->spot),
        film_value(a, r->film_um, ""),
        isnan(w.share) ? mr_v_blank(w.contradicts ? two_figures : no_figure) : mr_v_num(100 * w.share),
        film_value(a, r->film_um * w.share, w.contradicts ? two_figures : no_figure),
        mr_v_text(mr_printf(a->arena, "%s:%u", place.file, place.line)),
    };
    mr_table_add(a->arena, table, row);
}

/* One finding for the whole job: how much was read, and what to do for a forecast. */
static void find_wet_film(struct mr_assess *a, const struct mr_placed *const *v, size_t n) {
    size_t open = 0, contradicted = 0, zones = 0, stray = 0;
    struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, n);
    for (size_t i = 0; i < n; i++) {
        struct wet_to_dry w = stated_for(a, settings_of(a, v[i]->zone));
        stray += v[i]->zone == MR_NONE;
        zones += v[i]->zone != MR_NONE && (i == 0 || v[i]->zone != v[i - 1]->zone);
        contradicted += w.contradicts;
        if (isnan(w.share))
            lines[open++] = (struct mr_line){v[i]->reading->file, v[i]->reading->line};
    }
    struct mr_finding f = mr_blank_finding(open ? "wet-film-no-forecast" : "wet-film-forecast",
                                           open ? MR_WARNING : MR_NOTE, MR_NONE, 0);
    f.measured = (double)n;
    f.rule = "wet film gives a forecast of the dry film and is never judged as thickness";
    f.source = "volume balance; practice of ASTM D4414, from memory";
    const char *read =
        mr_printf(a->arena, "%s in %s%s", mr_count_text(a, n, "wet-film reading"), mr_count_text(a, zones, "zone"),
                  stray ? mr_printf(a->arena, " (%zu without a zone)", stray) : "");
    if (!open) {
        for (size_t i = 0; i < n; i++)
            lines[i] = (struct mr_line){v[i]->reading->file, v[i]->reading->line};
        mr_add_lines(a, &f.evidence, lines, n, 8, "wet-film readings");
        f.what = mr_printf(a->arena,
                           "%s: the table Wet film gives the dry film that they forecast. A forecast is not judged.",
                           read);
        f.next_step = "Measure the dry film for acceptance.";
        mr_add_finding(a, &f);
        return;
    }
    f.what = contradicted
                 ? mr_printf(a->arena, "%s, no forecast for %zu: %s.", read, open, two_figures)
                 : mr_printf(a->arena, "%s, no forecast of the dry film for %zu: %s.", read, open, no_figure);
    f.next_step =
        contradicted ? "State one of them in the job file, as the supplier's data sheet gives it: `solids by volume` "
                       "under [material] or `wet to dry ratio` under [thickness]."
                     : "Add `solids by volume = ... %` under [material], or `wet to dry ratio = ...` under "
                       "[thickness], as the supplier's data sheet gives it.";
    mr_add_lines(a, &f.evidence, lines, open, 8, "wet-film readings without a forecast");
    mr_add_finding(a, &f);
}

static struct mr_table *group_table(struct mr_assess *a) {
    enum mr_unit unit = a->job->display.film;
    int digits = mr_film_decimals(unit);
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Coat", MR_UNIT_NONE, 0},
        {"readings", "Readings", MR_UNIT_NONE, 0},
        {mr_film_key(a, "wet_mean"), "Wet film, mean", unit, digits},
        {mr_film_key(a, "wet_min"), "Least", unit, digits},
        {mr_film_key(a, "wet_max"), "Greatest", unit, digits},
        {"dry_share", "Dry film of wet", MR_UNIT_PCT, 1},
        {mr_film_key(a, "forecast_mean"), "Dry film, forecast of the mean", unit, digits},
        {mr_film_key(a, "forecast_min"), "Forecast of the least", unit, digits},
        {mr_film_key(a, "forecast_max"), "Forecast of the greatest", unit, digits},
        {"stated", "Forecast by", MR_UNIT_NONE, 0},
    };
    return mr_table_new(a->arena, "wet-film", "Wet film",
                        "Wet-film readings and the dry film that they forecast: wet film times solids by volume, or "
                        "divided by the supplier's wet to dry ratio. A forecast is not judged.",
                        MR_COUNT(fields), fields);
}

static struct mr_table *reading_table(struct mr_assess *a) {
    enum mr_unit unit = a->job->display.film;
    int digits = mr_film_decimals(unit);
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Coat", MR_UNIT_NONE, 0},
        {"time", "Time", MR_UNIT_NONE, 0},
        {"area", "Area", MR_UNIT_NONE, 0},
        {"spot", "Spot", MR_UNIT_NONE, 0},
        {mr_film_key(a, "wet"), "Wet film", unit, digits},
        {"dry_share", "Dry film of wet", MR_UNIT_PCT, 1},
        {mr_film_key(a, "forecast"), "Dry film, forecast", unit, digits},
        {"where", "From", MR_UNIT_NONE, 0},
    };
    return mr_table_new(a->arena, "wet-film-readings", "Wet-film readings",
                        "Every wet-film reading with its forecast. A forecast is not judged.", MR_COUNT(fields),
                        fields);
}

void mr_wet_film(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    const struct mr_placed **v = MR_ARRAY(a->arena, const struct mr_placed *, al->wet_film.n);
    size_t n = 0;
    for (size_t i = 0; i < al->wet_film.n; i++)
        if (!al->wet_film.v[i].aside)
            v[n++] = &al->wet_film.v[i];
    if (n == 0)
        return;
    mr_sort_stable(a->arena, v, n, sizeof *v, by_place);
    struct mr_table *groups = group_table(a), *readings = reading_table(a);
    for (size_t i = 0, first = 0; i < n; i++) {
        add_reading(a, readings, v[i]);
        if (i + 1 < n && v[i + 1]->zone == v[i]->zone && v[i + 1]->coat == v[i]->coat)
            continue;
        add_group(a, groups, v + first, i + 1 - first);
        first = i + 1;
    }
    find_wet_film(a, v, n);
    mr_add_table(a, groups);
    mr_add_table(a, readings);
}
