/*
 * spot_tables.c - spots and areas of the surveys that count, each as the mean of what lies in it. Where spots have
 * more readings than they need, also as they are held against a minimum and a maximum: without readings beyond the
 * opposite limit (rules_judge.c).
 */
#include "assess/thickness/thickness.h"
#include "numeric/search.h"

#include <math.h>
#include <string.h>

static const char *film_name(struct mr_assess *a, const struct mr_subject *s) {
    return s->coat ? mr_printf(a->arena, "coat %d", s->coat) : "system";
}

static struct mr_value film(const struct mr_assess *a, double um) {
    return mr_v_num(mr_from_canonical(a->job->display.film, um));
}

/* A spot with more readings than it needs is judged without those beyond the opposite limit (rules_judge.c). */
bool mr_leaves_aside(const struct mr_subject *s, const struct mr_rule *rule) {
    const struct mr_film *f = &s->counting->film;
    for (size_t i = 0; i < f->spots.n; i++)
        if (f->spots.v[i].n > mr_spot_number(s->z->settings, rule))
            return true;
    return false;
}

static bool any_leaves_aside(const struct mr_thickness *t) {
    for (size_t i = 0; i < t->subjects.n; i++)
        for (size_t r = 0; t->subjects.v[i]->counting && r < t->subjects.v[i]->rules->n; r++)
            if (mr_leaves_aside(t->subjects.v[i], t->subjects.v[i]->rules->v[r]))
                return true;
    return false;
}

/* The rule that stands for all rules of a film, which take the same readings for a spot; NULL: they do not. */
static const struct mr_rule *common_rule(const struct mr_subject *s) {
    const struct mr_rule *first = s->rules->n ? s->rules->v[0] : NULL;
    for (size_t r = 1; r < s->rules->n; r++)
        if (s->rules->v[r]->discards != first->discards ||
            mr_spot_number(s->z->settings, s->rules->v[r]) != mr_spot_number(s->z->settings, first))
            return NULL;
    return first;
}

/* A spot as a rule holds it against a minimum, or a maximum. */
static struct mr_value against(const struct mr_assess *a, const struct mr_subject *s, size_t spot, bool upper) {
    const struct mr_rule *rule = common_rule(s);
    const struct mr_film *f = &s->counting->film;
    if (!rule || (rule->discards ? f->spots.v[spot].kept_weight : f->spots.v[spot].weight) == 0)
        return mr_v_blank(rule ? "no usual reading" : "the rules differ");
    return film(a, mr_ratio_um(mr_rule_spot_mean(f, rule, upper, &s->limits, spot)));
}

/* Least and greatest kept reading of a spot, and its lines. */
static void spot_extremes(const struct mr_film *f, const struct mr_film_spot *spot, struct mr_ratio correction,
                          double *low, double *high) {
    *low = *high = MR_NAN;
    for (size_t i = spot->first; i < spot->first + spot->n && spot->taken == spot->n; i++) {
        double um = mr_ratio_um(mr_ratio_subtract(mr_ratio_of(f->readings[i].quanta, 1), correction));
        *low = isnan(*low) || um < *low ? um : *low;
        *high = isnan(*high) || um > *high ? um : *high;
    }
}

static int by_line(const void *item, const void *key) {
    const struct mr_position *p = item;
    const struct mr_film_reading *r = key;
    return p->file != r->file ? MR_ORDER(p->file, r->file) : MR_ORDER(p->line, r->line);
}

/* Middle of the positions of a spot's readings; NaN where none has one. */
static struct mr_position spot_position(const struct mr_assess *a, const struct mr_film *f,
                                        const struct mr_film_spot *spot) {
    const struct mr_data *d = a->aligned->data;
    struct mr_position sum = {0};
    double n = 0;
    for (size_t i = spot->first; i < spot->first + spot->n; i++) {
        const size_t at =
            mr_first_from(&f->readings[i], d->positions.v, d->positions.n, sizeof *d->positions.v, by_line);
        if (at == d->positions.n || by_line(&d->positions.v[at], &f->readings[i]) != 0)
            continue;
        sum.x_mm += d->positions.v[at].x_mm;
        sum.y_mm += d->positions.v[at].y_mm;
        n++;
    }
    sum.x_mm = n > 0 ? sum.x_mm / n : MR_NAN;
    sum.y_mm = n > 0 ? sum.y_mm / n : MR_NAN;
    return sum;
}

static bool has_positions(const struct mr_assess *a) {
    return a->aligned->data->positions.n > 0;
}

static enum mr_unit position_unit(const struct mr_assess *a) {
    return a->job->display.length == MR_UNIT_IN ? MR_UNIT_FT : MR_UNIT_M;
}

static struct mr_value position(const struct mr_assess *a, double mm) {
    return isfinite(mm) ? mr_v_num(mr_from_canonical(position_unit(a), mm)) : mr_v_blank("no position");
}

static void add_spots(struct mr_thickness *t, const struct mr_subject *s, bool sides, struct mr_table *table) {
    struct mr_assess *a = t->a;
    const struct mr_film *f = &s->counting->film;
    for (size_t i = 0; i < f->spots.n; i++) {
        const struct mr_film_spot *spot = &f->spots.v[i];
        const struct mr_film_area *area = &f->areas.v[spot->area];
        struct mr_line *lines = MR_ARRAY(mr_work(a), struct mr_line, spot->n);
        for (size_t k = 0; k < spot->n; k++)
            lines[k] = (struct mr_line){f->readings[spot->first + k].file, f->readings[spot->first + k].line};
        double low, high;
        size_t parts;
        spot_extremes(f, spot, s->limits.correction, &low, &high);
        const struct mr_position at =
            has_positions(a) ? spot_position(a, f, spot) : (struct mr_position){.x_mm = MR_NAN, .y_mm = MR_NAN};
        struct mr_ratio mean = mr_ratio_subtract(mr_film_spot_mean(spot, false), s->limits.correction);
        struct mr_ratio area_mean =
            mr_ratio_subtract(mr_film_area_mean(f, area, false, 1, &parts), s->limits.correction);
        const struct mr_value row[] = {
            mr_v_text(s->z->name),
            mr_v_text(film_name(a, s)),
            mr_v_text(area->name),
            mr_v_text(spot->name),
            spot->taken ? mr_v_count((int64_t)spot->taken) : mr_v_blank("a mean of a number not given"),
            film(a, mr_ratio_um(mean)),
            film(a, low),
            film(a, high),
            film(a, mr_ratio_um(area_mean)),
            mr_v_count((int64_t)parts),
            mr_v_count((int64_t)spot->kept),
            spot->kept_weight
                ? film(a, mr_ratio_um(mr_ratio_subtract(mr_film_spot_mean(spot, true), s->limits.correction)))
                : mr_v_blank("no usual reading"),
            mr_v_count((int64_t)spot->doubted),
            mr_v_time(f->readings[spot->first].t_utc_ms),
            mr_v_text(f->readings[spot->first].gauge),
            mr_v_text(mr_lines_text(a, lines, spot->n, 4)),
        };
        struct mr_value all[MR_COUNT(row) + 4];
        size_t n = MR_COUNT(row);
        memcpy(all, row, sizeof row);
        if (sides) {
            all[n++] = against(a, s, i, false);
            all[n++] = against(a, s, i, true);
        }
        if (has_positions(a)) {
            all[n++] = position(a, at.x_mm);
            all[n++] = position(a, at.y_mm);
        }
        mr_table_add(a->arena, table, all);
    }
}

void mr_spot_table(struct mr_thickness *t) {
    struct mr_assess *a = t->a;
    enum mr_unit u = a->job->display.film;
    int d = mr_film_decimals(u);
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Film", MR_UNIT_NONE, 0},
        {"area", "Area", MR_UNIT_NONE, 0},
        {"spot", "Spot", MR_UNIT_NONE, 0},
        {"readings", "Readings", MR_UNIT_NONE, 0},
        {mr_film_key(a, "spot_mean"), "Spot mean", u, d},
        {mr_film_key(a, "min"), "Least", u, d},
        {mr_film_key(a, "max"), "Greatest", u, d},
        {mr_film_key(a, "area_mean"), "Area mean", u, d},
        {"area_spots", "Spots in area", MR_UNIT_NONE, 0},
        {"counted", "Usual readings", MR_UNIT_NONE, 0},
        {mr_film_key(a, "counted_mean"), "Mean of usual readings", u, d},
        {"doubted", "In doubt", MR_UNIT_NONE, 0},
        {"time", "Time", MR_UNIT_NONE, 0},
        {"gauge", "Gauge", MR_UNIT_NONE, 0},
        {"lines", "File and lines", MR_UNIT_NONE, 0},
    };
    const struct mr_field of_sides[] = {{mr_film_key(a, "mean_to_min"), "Mean held against the minimum", u, d},
                                        {mr_film_key(a, "mean_to_max"), "Mean held against the maximum", u, d}},
                          of_places[] = {
                              {position_unit(a) == MR_UNIT_M ? "along_m" : "along_ft", "Along", position_unit(a), 2},
                              {position_unit(a) == MR_UNIT_M ? "across_m" : "across_ft", "Across", position_unit(a),
                               2}};
    const bool sides = any_leaves_aside(t);
    struct mr_field all[MR_COUNT(fields) + MR_COUNT(of_sides) + MR_COUNT(of_places)];
    size_t n = MR_COUNT(fields);
    memcpy(all, fields, sizeof fields);
    for (size_t i = 0; sides && i < MR_COUNT(of_sides); i++)
        all[n++] = of_sides[i];
    for (size_t i = 0; has_positions(a) && i < MR_COUNT(of_places); i++)
        all[n++] = of_places[i];
    struct mr_table *table =
        mr_table_new(a->arena, "spots", "Spots and areas",
                     "A spot is the mean of gauge readings within a 4 cm circle, an area the mean "
                     "of its spot means (SSPC-PA 2, 3.2 and 8.2). "
                     "Survey that counts, corrected. Unusual readings that were not repeated are left out of the "
                     "mean of usual readings where the job says so. A reading in doubt completes no spot.",
                     n, all);
    for (size_t i = 0; i < t->subjects.n; i++)
        if (t->subjects.v[i]->counting) {
            add_spots(t, t->subjects.v[i], sides, table);
            mr_work_done(a);
        }
    mr_add_table(a, table);
}

/* The mean of the spots with enough readings, also of those that only a reading in doubt completes: it can miss a
 * limit (rules_judge.c). Returns: their number. */
static size_t judged_area(const struct mr_film *f, const struct mr_film_area *area, bool kept, size_t need,
                          struct mr_ratio *out_mean) {
    struct mr_ratio sum = {0, 1};
    size_t n = 0;
    for (size_t s = area->first; s < area->first + area->n; s++) {
        const struct mr_film_spot *spot = &f->spots.v[s];
        if ((kept ? spot->kept : spot->taken) < need)
            continue;
        sum = mr_ratio_add(sum, mr_film_spot_mean(spot, kept));
        n++;
    }
    *out_mean = n ? mr_ratio_divide(sum, (int64_t)n) : sum;
    return n;
}

/* Areas as a rule sees them: of its complete spots only. */
static void add_areas(struct mr_thickness *t, const struct mr_subject *s, const struct mr_rule *rule,
                      struct mr_table *table) {
    struct mr_assess *a = t->a;
    const struct mr_film *f = &s->counting->film;
    const size_t per_spot = mr_spot_number(s->z->settings, rule), per_area = mr_area_number(s->z->settings, rule);
    for (size_t i = 0; rule->counts_areas && i < f->areas.n; i++) {
        size_t firm;
        struct mr_ratio mean;
        (void)mr_film_area_mean(f, &f->areas.v[i], rule->discards, per_spot, &firm);
        const size_t spots = judged_area(f, &f->areas.v[i], rule->discards, per_spot, &mean);
        const struct mr_value row[] = {
            mr_v_text(s->z->name),
            mr_v_text(film_name(a, s)),
            mr_v_text(rule->title),
            mr_v_text(f->areas.v[i].name),
            mr_v_count((int64_t)f->areas.v[i].n),
            mr_v_count((int64_t)spots),
            mr_v_count((int64_t)firm),
            mr_v_count((int64_t)per_area),
            mr_v_count((int64_t)per_spot),
            mr_v_text(rule->discards ? "usual" : "all"),
            mr_v_text(firm >= per_area    ? "yes"
                      : spots >= per_area ? "in doubt"
                                          : "no"),
            spots ? film(a, mr_ratio_um(mr_ratio_subtract(mean, s->limits.correction))) : mr_v_blank("no whole spot"),
            spots ? film(a, mr_ratio_um(mr_rule_area_mean(f, rule, false, &s->limits, i)))
                  : mr_v_blank("no whole spot"),
            spots ? film(a, mr_ratio_um(mr_rule_area_mean(f, rule, true, &s->limits, i)))
                  : mr_v_blank("no whole spot"),
        };
        mr_table_add(a->arena, table, row);
    }
}

void mr_area_table(struct mr_thickness *t) {
    struct mr_assess *a = t->a;
    enum mr_unit u = a->job->display.film;
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Film", MR_UNIT_NONE, 0},
        {"rule", "Rule", MR_UNIT_NONE, 0},
        {"area", "Area", MR_UNIT_NONE, 0},
        {"spots", "Spots", MR_UNIT_NONE, 0},
        {"complete", "Complete spots", MR_UNIT_NONE, 0},
        {"firm", "Without readings in doubt", MR_UNIT_NONE, 0},
        {"needed", "Spots needed", MR_UNIT_NONE, 0},
        {"per_spot", "Readings per spot", MR_UNIT_NONE, 0},
        {"readings", "Readings taken", MR_UNIT_NONE, 0},
        {"whole", "Area complete", MR_UNIT_NONE, 0},
        {mr_film_key(a, "mean"), "Mean of complete spots", u, mr_film_decimals(u)},
        {mr_film_key(a, "mean_to_min"), "Mean held against the minimum", u, mr_film_decimals(u)},
        {mr_film_key(a, "mean_to_max"), "Mean held against the maximum", u, mr_film_decimals(u)},
    };
    const size_t n = any_leaves_aside(t) ? MR_COUNT(fields) : MR_COUNT(fields) - 2;
    struct mr_table *table = mr_table_new(a->arena, "thickness-areas", "Areas",
                                          "Areas of the survey that counts, as each rule reckons them: the mean of "
                                          "the means of complete spots. An incomplete area is not judged; one that "
                                          "is complete only with readings in doubt can miss a limit, never hold it.",
                                          n, fields);
    for (size_t i = 0; i < t->subjects.n; i++)
        for (size_t r = 0; t->subjects.v[i]->counting && r < t->subjects.v[i]->rules->n; r++)
            add_areas(t, t->subjects.v[i], t->subjects.v[i]->rules->v[r], table);
    if (table->n_rows > 0)
        mr_add_table(a, table);
}
