/*
 * material.c - the two parts against each other, and against the film that is on the steel.
 *
 * What each shift used is stock.c. Ratio: part A for one of part B, by volume, per shift, and for each zone the shift
 * that departs most of those in which it was sprayed. Loss: what the solids of the mixed volume leave over when area
 * times mean thickness is taken off. Consumption per zone is shared out by the length of the windows of each shift,
 * for nothing better is logged: it is shown, not judged. Rows that weigh need densities. Lots are lots.c.
 */
#include "assess/material/material.h"

#include <math.h>
#include <string.h>

/* What lies within the limits and the levels do not prove. */
static void hold_back(struct mr_assess *a, struct mr_check *c, const char *doubt) {
    if (c->outcome != MR_CONFORMS || !doubt)
        return;
    c->outcome = MR_NOT_SHOWN;
    c->detail = mr_printf(a->arena, "%s But %s.", c->detail, doubt);
}

static struct mr_check ratio_check(struct mr_assess *a, const struct mr_settings *settings, size_t zone,
                                   const struct mr_parts_used *u, const char *when) {
    struct mr_check c = mr_blank_check("material.ratio", "Ratio of the parts", "material", zone, 0);
    double want = mr_set_num(settings, MR_RATIO), tol = mr_set_num(settings, MR_RATIO_TOL) / 100.0;
    c.measured = mr_ratio_used(u);
    c.outcome = mr_judge_ratio(settings, c.measured);
    c.decimals = 3;
    c.limit_low = want * (1.0 - tol);
    c.limit_high = want * (1.0 + tol);
    c.rule = "part A used for one of part B, by volume";
    c.source = mr_source_of(a, settings, MR_RATIO_TOL);
    if (!isnan(c.measured))
        c.detail = mr_printf(a->arena, "%s: %.1f L of part A, %.1f L of part B.", when, u->a_l, u->b_l);
    else
        c.detail = u->rows_a > 0 && u->rows_b > 0
                       ? mr_printf(a->arena, "%s: the log gives weights, and the job file states no density.", when)
                       : mr_printf(a->arena, "%s: the material log does not show what both parts used.", when);
    c.evidence = u->evidence;
    return c;
}

/* One finding per shift that is off ratio or does not show it. */
static void find_ratio(struct mr_assess *a, const struct mr_stock *b, size_t s) {
    struct mr_check c = ratio_check(a, &a->job->settings, MR_NONE, &b->shift[s], a->aligned->shifts.v[s].name);
    const char *doubt = mr_stock_doubt(a, b, s, MR_NONE, &a->job->settings);
    hold_back(a, &c, doubt);
    if (c.outcome == MR_CONFORMS)
        return;
    bool required = mr_set_flag(&a->job->settings, MR_MATERIAL_REQUIRED), off = c.outcome == MR_DOES_NOT_CONFORM;
    if (!off && !required)
        return;
    struct mr_finding f =
        mr_finding_of(&c, off ? "off-ratio" : "ratio-not-shown", off && required ? MR_ERROR : MR_WARNING);
    f.t0_utc_ms = a->aligned->shifts.v[s].t0_utc_ms;
    f.t1_utc_ms = a->aligned->shifts.v[s].t1_utc_ms;
    f.what = off ? mr_printf(a->arena, "Shift %s used the parts at %.3f to 1 by volume; %.3f to %.3f is allowed.",
                             a->aligned->shifts.v[s].name, c.measured, c.limit_low, c.limit_high)
                 : mr_printf(a->arena, "Shift %s: the ratio of the parts is not shown. %s",
                             a->aligned->shifts.v[s].name, c.detail);
    f.next_step =
        off ? "Check the pump's displacement and the suction lines; compare the heat of the zones sprayed in "
              "that shift."
        : doubt && doubt == b->shift[s].apart ? mr_mend_apart
        : doubt && !isnan(c.measured)
            ? "Write into the material log when each level after was read, after the shift's last coat; correct a "
              "wrong time or level."
            : "Log the level of each drum before and after the shift; state densities where the log weighs.";
    f.caution = mr_caution_mix;
    mr_add_finding(a, &f);
}

/* Of the shifts in which a zone was sprayed, the one that departs most from the ratio; one that does not show it
 * before all. */
static size_t telling_shift(struct mr_assess *a, const struct mr_stock *b, size_t zone) {
    const struct mr_alignment *al = a->aligned;
    const struct mr_settings *settings = al->zones.v[zone].settings;
    size_t found = MR_NONE;
    double worst = -1.0;
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->zone != zone || w->shift >= al->shifts.n)
            continue;
        double ratio = mr_ratio_used(&b->shift[w->shift]), want = mr_set_num(settings, MR_RATIO);
        double away = isnan(ratio) ? 0.0 : fabs(ratio / want - 1.0);
        bool off = mr_judge_ratio(settings, ratio) == MR_DOES_NOT_CONFORM;
        bool open = isnan(ratio) || mr_stock_doubt(a, b, w->shift, zone, settings);
        double rank = off ? 2.0 + away : open ? 1.5 : away;
        if (rank > worst) {
            worst = rank;
            found = w->shift;
        }
    }
    return found;
}

static void judge_zones(struct mr_assess *a, const struct mr_stock *b) {
    static const struct mr_parts_used nothing;
    for (size_t z = 0; z < a->aligned->zones.n; z++) {
        const struct mr_settings *settings = a->aligned->zones.v[z].settings;
        if (!mr_set_flag(settings, MR_MATERIAL_REQUIRED))
            continue;
        size_t s = telling_shift(a, b, z);
        struct mr_check c =
            ratio_check(a, settings, z, s == MR_NONE ? &nothing : &b->shift[s],
                        s == MR_NONE ? "No shift" : mr_printf(a->arena, "Shift %s", a->aligned->shifts.v[s].name));
        if (s != MR_NONE)
            hold_back(a, &c, mr_stock_doubt(a, b, s, z, settings));
        mr_add_check(a, &c);
    }
}

/* --- against the film -------------------------------------------------------------------------------- */

static double film_l(const struct mr_assess *a, size_t zone) {
    for (size_t i = 0; i < a->out->films.n; i++)
        if (a->out->films.v[i].zone == zone)
            return a->aligned->zones.v[zone].area_m2 * a->out->films.v[i].mean_um / 1000.0;
    return MR_NAN;
}

/* Volume of film on all zones that were sprayed; *missing names those without area or thickness. */
static double film_on_job_l(struct mr_assess *a, const char **missing) {
    double sum = 0.0;
    size_t unknown = 0;
    bool *sprayed = MR_ARRAY(a->arena, bool, a->aligned->zones.n);
    for (size_t i = 0; i < a->aligned->windows.n; i++)
        sprayed[a->aligned->windows.v[i].zone] = true;
    for (size_t z = 0; z < a->aligned->zones.n; z++) {
        double film = sprayed[z] ? film_l(a, z) : 0.0;
        if (isnan(film)) {
            const char *name = a->aligned->zones.v[z].name;
            if (unknown++ < 5)
                *missing = (*missing)[0] == '\0' ? name : mr_printf(a->arena, "%s, %s", *missing, name);
            continue;
        }
        sum += film;
    }
    if (unknown > 5)
        *missing = mr_printf(a->arena, "%s and %zu more", *missing, unknown - 5);
    return unknown > 0 ? MR_NAN : sum;
}

static double solids_share(const struct mr_assess *a) {
    double pct = mr_set_num(&a->job->settings, MR_SOLIDS);
    return isnan(pct) ? 1.0 : pct / 100.0;
}

static double loss_pct(const struct mr_assess *a, double film, double mixed) {
    return mixed > 0.0 ? 100.0 * (1.0 - film / (mixed * solids_share(a))) : MR_NAN;
}

static void judge_loss(struct mr_assess *a, const struct mr_stock *b) {
    const char *missing = "";
    double film = film_on_job_l(a, &missing), mixed = mr_mixed_l(&b->job), loss = loss_pct(a, film, mixed);
    double tol = mr_set_num(&a->job->settings, MR_RATIO_TOL), limit = mr_set_num(&a->job->settings, MR_LOSS_MAX);
    bool required = mr_set_flag(&a->job->settings, MR_MATERIAL_REQUIRED),
         impossible = !isnan(tol) && mr_below(loss, -tol);
    struct mr_check c = mr_blank_check("material.loss", "material not on the steel", "material", MR_NONE, 0);
    c.measured = loss;
    c.unit = MR_UNIT_PCT;
    c.decimals = 0;
    c.limit_high = limit;
    c.rule = "mixed volume against area times mean thickness";
    c.source = mr_source_of(a, &a->job->settings, MR_LOSS_MAX);
    c.outcome = isnan(loss) || impossible ? MR_NOT_SHOWN : mr_above(loss, limit) ? MR_DOES_NOT_CONFORM : MR_CONFORMS;
    c.detail = isnan(film)    ? mr_printf(a->arena, "Area or thickness is not known for %s.", missing)
               : isnan(mixed) ? "The material log does not show what both parts used."
                              : mr_printf(a->arena, "%.1f L mixed, %.1f L of film on the steel.", mixed, film);
    c.evidence = b->job.evidence;
    hold_back(a, &c, b->job.doubt);
    if (required && (!isnan(limit) || impossible))
        mr_add_check(a, &c);
    bool asked = required && !isnan(limit) && c.outcome != MR_CONFORMS;
    if (!asked && !impossible)
        return;
    bool bad = c.outcome == MR_DOES_NOT_CONFORM;
    struct mr_finding f = mr_finding_of(&c,
                                        impossible ? "film-exceeds-material"
                                        : bad      ? "material-loss"
                                                   : "loss-not-shown",
                                        bad ? MR_ERROR : MR_WARNING);
    f.what =
        impossible
            ? mr_printf(a->arena,
                        "The steel carries %.1f L of film, but only %.1f L were mixed; one of the figures is wrong.",
                        film, mixed)
            : mr_printf(a->arena, "Material that did not stay on the steel: %s", c.detail);
    f.next_step = impossible
                      ? "Compare areas, thickness and drum levels; look for drums that were not logged."
                      : "Complete areas, thickness readings and drum levels, or look for spills and overspray.";
    f.caution = mr_caution_mix;
    mr_add_finding(a, &f);
}

/* --- tables ------------------------------------------------------------------------------------------ */

static void add_use_row(struct mr_assess *a, struct mr_table *table, const char *name, const struct mr_parts_used *u,
                        double film, bool doubt) {
    enum mr_unit volume = a->job->display.volume;
    double mixed = mr_mixed_l(u);
    const struct mr_settings *s = &a->job->settings;
    const enum mr_outcome within = mr_judge_ratio(s, mr_ratio_used(u));
    struct mr_value v[] = {
        mr_v_text(name),
        mr_v_num(u->rows_a > 0 ? mr_from_canonical(volume, u->a_l) : MR_NAN),
        mr_v_num(u->rows_b > 0 ? mr_from_canonical(volume, u->b_l) : MR_NAN),
        mr_v_num(mr_ratio_used(u)),
        mr_v_num(mr_set_num(s, MR_RATIO)),
        mr_v_num(mr_set_num(s, MR_RATIO_TOL)),
        mr_v_outcome((int)(doubt && within == MR_CONFORMS ? MR_NOT_SHOWN : within)),
        mr_v_num(mr_from_canonical(volume, mixed)),
        isnan(film) ? mr_v_blank("not known") : mr_v_num(mr_from_canonical(volume, film)),
        mr_v_num(100.0 - loss_pct(a, film, mixed)),
        mr_v_num((double)u->spray_ms / 60e3),
    };
    mr_table_add(a->arena, table, v);
}

static void add_balance_table(struct mr_assess *a, const struct mr_stock *b) {
    enum mr_unit volume = a->job->display.volume;
    struct mr_field fields[] = {
        {"shift", "Shift", MR_UNIT_NONE, 0},
        {"part_a", "Part A used", volume, 2},
        {"part_b", "Part B used", volume, 2},
        {"ratio", "A for one of B", MR_UNIT_NONE, 3},
        {"ratio_wanted", "Ratio wanted", MR_UNIT_NONE, -1},
        {"ratio_tolerance", "Tolerance", MR_UNIT_PCT, -1},
        {"ratio_outcome", "Ratio", MR_UNIT_NONE, 0},
        {"mixed", "Mixed", volume, 2},
        {"film", "Film on the steel", volume, 2},
        {"on_steel", "On the steel", MR_UNIT_PCT, 0},
        {"spray_min", "Spray windows", MR_UNIT_MIN, 0},
    };
    struct mr_table *table =
        mr_table_new(a->arena, "material", "Material",
                     "Parts used against each other by volume, and against area times mean thickness of the newest "
                     "complete survey. A row of the log belongs to the shift before its time, or of its day.",
                     MR_COUNT(fields), fields);
    for (size_t s = 0; s < a->aligned->shifts.n; s++)
        add_use_row(a, table, a->aligned->shifts.v[s].name, &b->shift[s], MR_NAN,
                    mr_stock_doubt(a, b, s, MR_NONE, &a->job->settings) != NULL);
    const char *missing = "";
    add_use_row(a, table, "(whole job)", &b->job, film_on_job_l(a, &missing), b->job.doubt != NULL);
    mr_add_table(a, table);
}

/* Mixed volume of each shift shared out by the length of its windows. */
static double consumed_l(const struct mr_alignment *al, const struct mr_stock *b, size_t zone,
                         int64_t *out_spray_ms) {
    double sum = 0.0;
    *out_spray_ms = 0;
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->zone != zone || w->shift >= al->shifts.n)
            continue;
        const struct mr_parts_used *u = &b->shift[w->shift];
        double length = (double)(w->t1_utc_ms - w->t0_utc_ms);
        sum += u->spray_ms > 0 ? mr_mixed_l(u) * length / (double)u->spray_ms : MR_NAN;
        *out_spray_ms += w->t1_utc_ms - w->t0_utc_ms;
    }
    return sum;
}

static void add_zone_table(struct mr_assess *a, const struct mr_stock *b) {
    enum mr_unit volume = a->job->display.volume;
    struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"spray_min", "Spray windows", MR_UNIT_MIN, 1},
        {"consumed", "Mixed, by window share", volume, 2},
        {"area", "Area", a->job->display.area, 1},
        {"mean_film", "Mean thickness", a->job->display.film, 1},
        {"film", "Film on the steel", volume, 2},
        {"on_steel", "On the steel", MR_UNIT_PCT, 0},
    };
    struct mr_table *table =
        mr_table_new(a->arena, "material-zones", "Material by zone",
                     "What each zone received, shared out by the length of its windows: an estimate, not judged. "
                     "Compare a share on the steel that is far from the other zones'.",
                     MR_COUNT(fields), fields);
    for (size_t z = 0; z < a->aligned->zones.n; z++) {
        int64_t spray_ms;
        double consumed = consumed_l(a->aligned, b, z, &spray_ms), film = film_l(a, z),
               area = a->aligned->zones.v[z].area_m2;
        if (spray_ms == 0)
            continue;
        struct mr_value v[] = {
            mr_v_text(a->aligned->zones.v[z].name),
            mr_v_num((double)spray_ms / 60e3),
            mr_v_num(mr_from_canonical(volume, consumed)),
            mr_v_num(mr_from_canonical(a->job->display.area, area)),
            mr_v_num(mr_from_canonical(a->job->display.film, film / area * 1000.0)),
            mr_v_num(mr_from_canonical(volume, film)),
            mr_v_num(100.0 - loss_pct(a, film, consumed)),
        };
        mr_table_add(a->arena, table, v);
    }
    if (table->n_rows > 0)
        mr_add_table(a, table);
}

/* --- the part ---------------------------------------------------------------------------------------- */

static void find_no_log(struct mr_assess *a) {
    struct mr_finding f = mr_blank_finding("no-material-log", MR_WARNING, MR_NONE, 0);
    f.rule = "the material log shows what both parts used";
    f.source = mr_source_of(a, &a->job->settings, MR_MATERIAL_REQUIRED);
    f.what = "The job asks for a material balance, and no material log was found in the job folder.";
    f.next_step = "Add the log of drum levels, or write `required = no` under [material].";
    mr_add_finding(a, &f);
}

void mr_assess_material(struct mr_assess *a) {
    struct mr_stock b = mr_take_stock(a);
    bool any = a->aligned->data->materials.n > 0;
    if (any) {
        for (size_t s = 0; s < a->aligned->shifts.n; s++)
            find_ratio(a, &b, s);
        judge_loss(a, &b);
    } else if (mr_set_flag(&a->job->settings, MR_MATERIAL_REQUIRED)) {
        find_no_log(a);
    }
    judge_zones(a, &b);
    if (any) {
        add_balance_table(a, &b);
        add_zone_table(a, &b);
    }
    mr_assess_lots(a);
}
