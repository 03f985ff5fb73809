/*
 * rise_thickness.c - rise against thickness over the zones of the job. The statistics are rise_line.c's.
 *
 * A zone takes part when its steel and film are known, each coat has a fitted heat, and no doubt hangs over the clock
 * or the place of its probe: the heat of another zone would bend the line for all. The heats are summed, the film is
 * the mean. A zone's own heat is uncertain too: it misses the band by its whole interval, and lies in it by simple
 * acceptance where that interval is small against the band, as for the rise of a coat (heat_verdict.c). Shown is the
 * rise on one steel: the band's, else the middle one of those zones.
 */
#include "assess/finding/clock_hold.h"
#include "assess/finding/finding_text.h"
#include "assess/heat/film_comparison.h"
#include "assess/heat/steel.h"
#include "numeric/distributions.h"
#include "numeric/select.h"

#include <math.h>
#include <string.h>

/* zone_coats, films: of each zone. */
static struct mr_film_member member_of(struct mr_film_comparison *c, const struct mr_chains *zone_coats,
                                       const struct mr_chains *films, size_t zone) {
    const struct mr_zone *z = &c->a->aligned->zones.v[zone];
    struct mr_film_member m = {.zone = zone, .film_um = MR_NAN, .t0 = MR_T_NONE, .t1 = MR_T_NONE, .lots = ""};
    double squares = 0.0;
    int coats = 0;
    for (size_t i = mr_chains_first(zone_coats, zone); i != MR_NONE; i = zone_coats->next[i]) {
        const struct mr_coat_heat *coat = &c->coats->v[i];
        coats++;
        const struct mr_window *w = &c->a->aligned->windows.v[coat->window];
        m.t0 = m.t0 == MR_T_NONE ? w->t0_utc_ms : m.t0;
        m.t1 = w->t1_utc_ms;
        m.heat += coat->heat;
        squares += coat->heat_se * coat->heat_se;
        const char *lots = mr_film_lots(c->a, coat->window);
        m.lots = coats == 1 || strcmp(m.lots, lots) == 0 ? lots : "several";
        for (size_t p = 0; p < coat->n_probes; p++) {
            if (coat->probes[p].event == MR_NONE)
                continue;
            const struct mr_place place = c->a->out->heats.v[coat->probes[p].event].place;
            m.place = m.place.file ? m.place : place;
            m.doubted |= mr_is_doubted(c->a, zone, &place);
        }
    }
    m.heat_se = sqrt(squares);
    for (size_t i = mr_chains_first(films, zone); i != MR_NONE; i = films->next[i])
        m.film_um = c->a->out->films.v[i].mean_um;
    double most = mr_set_num(z->settings, MR_RISE_HEAT_SE) / 100.0;
    if (coats == 0)
        m.lacks = "no spray window";
    else if (isnan(z->steel_mm) || z->steel_mm <= 0.0)
        m.lacks = "steel thickness not known";
    else if (isnan(m.film_um) || m.film_um <= 0.0)
        m.lacks = "no film thickness";
    else if (isnan(m.heat) || m.heat <= 0.0)
        m.lacks = "a coat without a fitted heat";
    else if (m.doubted)
        m.lacks = "the clock or the place of its probe is in doubt";
    else if (m.heat_se > most * m.heat)
        m.lacks = "heat too uncertain";
    return m;
}

static void choose_steel(struct mr_film_comparison *c) {
    double stated = mr_set_num(&c->a->job->settings, MR_RISE_STEEL), *work = MR_ARRAY(c->a->arena, double, c->n);
    size_t n = 0;
    for (size_t i = 0; i < c->n; i++)
        if (!c->member[i].lacks)
            work[n++] = c->a->aligned->zones.v[c->member[i].zone].steel_mm;
    mr_sort(work, n);
    c->steel_mm = !isnan(stated) ? stated : n ? work[n / 2] : MR_NAN;
}

static void fit(struct mr_film_comparison *c) {
    struct mr_rise_point *points = MR_ARRAY(c->a->arena, struct mr_rise_point, c->n);
    size_t n = 0;
    for (size_t i = 0; i < c->n; i++)
        if (!c->member[i].lacks)
            points[n++] = (struct mr_rise_point){.film_um = c->member[i].film_um, .heat = c->member[i].heat};
    c->n_in = n;
    double least = mr_set_num(&c->a->job->settings, MR_RISE_ZONES),
           share = mr_set_num(&c->a->job->settings, MR_RISE_PREDICTION);
    if (isnan(share) || (double)n < (isnan(least) ? 4.0 : least))
        return;
    c->fitted = mr_rise_film(c->a->arena, points, n, share / 100.0, 0.95, &c->line) == MR_OK;
    for (size_t i = 0, k = 0; i < c->n; i++)
        if (!c->member[i].lacks)
            c->member[i].point = points[k++];
}

/* ---- checks ---- */

static void find_misfit(struct mr_film_comparison *c, const struct mr_film_member *m, const struct mr_check *check) {
    struct mr_assess *a = c->a;
    struct mr_finding f = mr_finding_of(check, "rise-does-not-fit-film", MR_ERROR);
    f.t0_utc_ms = m->t0;
    f.t1_utc_ms = m->t1;
    f.what = mr_printf(a->arena,
                       "%s: its coats gave off %.0f %% of the heat that a film of %s gives on this job (band %.0f to "
                       "%.0f %%). Rise and film may each be within their own limits.",
                       mr_capitalised(a, mr_zone_label(a, m->zone, 0)), 100.0 * m->point.ratio,
                       mr_value_text(a, mr_from_canonical(a->job->display.film, m->film_um), a->job->display.film, 1),
                       check->limit_low, check->limit_high);
    f.next_step = m->point.ratio < 1.0
                      ? "Measure the film at the probe again, check the line pressures of its windows and test the "
                        "film there. The comparison shows a misfit, not its cause."
                      : "Measure the film at the probe again and check the zone's steel thickness. The comparison "
                        "shows a misfit, not its cause.";
    mr_add_finding(a, &f);
}

/* By the whole interval of the zone's own heat; see above. */
static enum mr_outcome outcome_of(const struct mr_film_comparison *c, const struct mr_film_member *m) {
    const double low = c->line.band_low, high = c->line.band_high, at = m->point.ratio;
    const double half = mr_normal_q(0.975) * m->heat_se / m->heat * at;
    const bool all_out = at + half < low || at - half > high, all_in = at - half >= low && at + half <= high;
    if (m->point.out)
        return all_out ? MR_DOES_NOT_CONFORM : MR_NOT_SHOWN;
    return all_in || half <= (high - low) / 3.0 ? MR_CONFORMS : MR_NOT_SHOWN;
}

static void judge(struct mr_film_comparison *c, const struct mr_film_member *m) {
    struct mr_assess *a = c->a;
    const struct mr_settings *set = a->aligned->zones.v[m->zone].settings;
    const char *wanted = mr_set_text(set, MR_RISE_AGAINST);
    if (!mr_set_flag(set, MR_REACTION_REQUIRED) || strcmp(wanted, "no") == 0)
        return;
    struct mr_check k =
        mr_blank_check("reaction.rise-against-film", "Rise against thickness", "reaction", m->zone, 0);
    k.unit = MR_UNIT_PCT;
    k.decimals = 1;
    k.rule = mr_printf(a->arena, "heat per volume of film like that of the other zones, band of %.4g %% over the job",
                       mr_set_num(&a->job->settings, MR_RISE_PREDICTION));
    k.source = MR_SRC_PD;
    if (c->fitted && !m->lacks) {
        k.measured = 100.0 * m->point.ratio;
        k.limit_low = 100.0 * c->line.band_low;
        k.limit_high = 100.0 * c->line.band_high;
        k.outcome = outcome_of(c, m);
        k.detail = mr_printf(a->arena,
                             "The zone gave %.1f %% of the heat expected for its film; on a sound job a difference "
                             "this large has probability %.3g.%s",
                             k.measured, m->point.p,
                             k.outcome == MR_NOT_SHOWN ? " Its own heat is too uncertain to tell." : "");
    } else {
        bool possible = strcmp(wanted, "yes") == 0 || c->fitted;
        k.outcome = possible ? MR_NOT_SHOWN : MR_NOT_REQUIRED;
        k.detail = m->lacks ? mr_printf(a->arena, "Not compared: %s.", m->lacks)
                            : mr_printf(a->arena, "Not compared: only %zu zones have heat, film and steel thickness.",
                                        c->n_in);
    }
    if (m->place.file)
        mr_add_evidence(a, &k.evidence, m->place, "heat of the zone's coats");
    mr_add_evidence(a, &k.evidence, a->aligned->zones.v[m->zone].place, "zone register");
    mr_add_check(a, &k);
    if (k.outcome == MR_DOES_NOT_CONFORM)
        find_misfit(c, m, &k);
}

static void tell_what_lacks(struct mr_film_comparison *c) {
    struct mr_assess *a = c->a;
    if (c->fitted || c->n == 0 || strcmp(mr_set_text(&a->job->settings, MR_RISE_AGAINST), "no") == 0)
        return;
    struct mr_finding f = mr_blank_finding("rise-not-compared", MR_NOTE, MR_NONE, 0);
    f.measured = (double)c->n_in;
    f.limit = mr_set_num(&a->job->settings, MR_RISE_ZONES);
    f.rule = "rise against thickness over the job";
    f.source = mr_source_of(a, &a->job->settings, MR_RISE_ZONES);
    const char *first = "";
    for (size_t i = 0; i < c->n && !*first; i++)
        if (c->member[i].lacks)
            first = mr_printf(a->arena, " The first that does not: %s, %s.", mr_zone_label(a, c->member[i].zone, 0),
                              c->member[i].lacks);
    f.what = mr_printf(
        a->arena, "Rise was not compared with thickness: %zu of %zu zones have heat, film and steel thickness.%s",
        c->n_in, c->n, first);
    f.next_step = "State the steel thickness in the zone register and keep a probe on each zone.";
    mr_add_finding(a, &f);
}

/* ---- the comparison itself, for the chart; tables ---- */

static void keep_comparison(struct mr_film_comparison *c) {
    struct mr_assess *a = c->a;
    const double capacity = mr_steel_capacity(c->steel_mm, 20.0);
    a->out->rise.steel_mm = c->steel_mm;
    for (size_t i = 0; i < c->n; i++) {
        const struct mr_film_member *m = &c->member[i];
        if (m->lacks)
            continue;
        const struct mr_rise_zone z = {m->zone,
                                       m->film_um,
                                       m->heat / capacity,
                                       c->fitted ? m->point.expected / capacity : MR_NAN,
                                       c->fitted ? m->point.low / capacity : MR_NAN,
                                       c->fitted ? m->point.high / capacity : MR_NAN};
        MR_PUSH(a->arena, &a->out->rise.zones, z);
    }
}

static void add_zone_table(struct mr_film_comparison *c) {
    struct mr_assess *a = c->a;
    enum mr_unit film = a->job->display.film, rise = a->job->display.rise;
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {mr_film_key(a, "film"), "Film", film, 1},
        {"rise_adiabatic", mr_printf(a->arena, "Rise as on %.3g mm steel", c->steel_mm), rise, 2},
        {"fit_rise", "Expected", rise, 2},
        {"low_rise", "Band, low", rise, 2},
        {"high_rise", "Band, high", rise, 2},
        {"ratio_pct", "Of expected", MR_UNIT_PCT, 1},
        {"probability", "Probability", MR_UNIT_NONE, -1},
        {"fits", "Fits", MR_UNIT_NONE, 0},
        {"heat_kj_m2", "Heat per m2 (kJ)", MR_UNIT_NONE, 1},
        {"heat_se_kj_m2", "Its standard error (kJ)", MR_UNIT_NONE, 2},
        {"steel_mm", "Steel", MR_UNIT_MM, -1},
        {"lots", "Lots A / B", MR_UNIT_NONE, 0},
    };
    struct mr_table *table =
        mr_table_new(a->arena, "rise-against-thickness", "Rise against thickness",
                     "Heat given off per area, heat loss put back, shown as the rise on one steel "
                     "thickness, against the mean film. The line goes through "
                     "zero; the band holds over all zones together (generalised extreme "
                     "Studentised deviate test, Rosner 1983, on the logarithm of heat "
                     "per film). It shows which zones do not fit, never why. Slopes of line and band are as fitted.",
                     MR_COUNT(fields), fields);
    double capacity = mr_steel_capacity(c->steel_mm, 20.0);
    for (size_t i = 0; i < c->n; i++) {
        const struct mr_film_member *m = &c->member[i];
        const char *why = m->lacks ? m->lacks : "too few zones";
        bool in = c->fitted && !m->lacks;
        const struct mr_value blank = mr_v_blank(why);
        const struct mr_value v[] = {
            mr_v_text(a->aligned->zones.v[m->zone].name),
            isnan(m->film_um) ? mr_v_blank("no film thickness") : mr_v_num(mr_from_canonical(film, m->film_um)),
            m->lacks ? blank : mr_v_num(mr_from_canonical(rise, m->heat / capacity)),
            in ? mr_v_num(mr_from_canonical(rise, m->point.expected / capacity)) : blank,
            in ? mr_v_num(mr_from_canonical(rise, m->point.low / capacity)) : blank,
            in ? mr_v_num(mr_from_canonical(rise, m->point.high / capacity)) : blank,
            in ? mr_v_num(100.0 * m->point.ratio) : blank,
            in ? mr_v_num(m->point.p) : blank,
            in ? mr_v_text(m->point.out ? "no" : "yes") : blank,
            isnan(m->heat) || m->heat <= 0.0 ? blank : mr_v_num(m->heat / 1e3),
            isnan(m->heat_se) || m->heat <= 0.0 ? blank : mr_v_num(m->heat_se / 1e3),
            mr_v_num(a->aligned->zones.v[m->zone].steel_mm),
            mr_v_text(m->lots),
        };
        mr_table_add(a->arena, table, v);
    }
    if (table->n_rows > 0)
        mr_add_table(a, table);
}

void mr_heat_against_film(struct mr_assess *a, const mr_coat_heats *coats) {
    struct mr_film_comparison c = {.a = a, .coats = coats, .n = a->aligned->zones.n};
    if (!coats->n)
        return;
    c.member = MR_ARRAY(a->arena, struct mr_film_member, c.n);
    struct mr_chains zone_coats = mr_chains_new(a->arena, c.n, coats->n),
                     films = mr_chains_new(a->arena, c.n, a->out->films.n);
    for (size_t i = coats->n; i-- > 0;)
        mr_chains_put(&zone_coats, coats->v[i].zone, i);
    for (size_t i = a->out->films.n; i-- > 0;)
        mr_chains_put(&films, a->out->films.v[i].zone, i);
    for (size_t z = 0; z < c.n; z++)
        c.member[z] = member_of(&c, &zone_coats, &films, z);
    choose_steel(&c);
    fit(&c);
    for (size_t z = 0; z < c.n; z++)
        judge(&c, &c.member[z]);
    tell_what_lacks(&c);
    if (c.n_in > 0) {
        keep_comparison(&c);
        add_zone_table(&c);
    }
    if (c.fitted)
        mr_heat_constants(&c);
}
