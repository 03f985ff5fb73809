/*
 * report_json.c - report.json, key by key in the order of the schema.
 */
#include "render/data/report_json.h"

#include "base/json.h"
#include "render/data/report_inputs.h"

#include <math.h>
#include <string.h>

static void put_evidence(struct mr_json *j, const mr_evidence_list *list) {
    mr_json_array(j, "evidence", false);
    for (size_t i = 0; i < list->n; i++) {
        const struct mr_place *p = &list->v[i].place;
        mr_json_object(j, NULL, true);
        mr_json_text(j, "file", p->file ? p->file : "");
        mr_json_count(j, "line", p->line);
        mr_json_count(j, "line_end", p->line_end > p->line ? p->line_end : p->line);
        if (list->v[i].note)
            mr_json_text(j, "note", list->v[i].note);
        mr_json_end(j);
    }
    mr_json_end(j);
}

static void put_zone_name(struct mr_json *j, const struct mr_assessment *a, size_t zone) {
    mr_json_text(j, "zone", zone < a->aligned->zones.n ? a->aligned->zones.v[zone].name : NULL);
}

static void put_job(struct mr_json *j, const struct mr_outline *o) {
    const struct mr_job *job = o->a->job;
    mr_json_text(j, "schema_version", MR_REPORT_SCHEMA);
    mr_json_text(j, "milrise_version", o->version);
    mr_json_object(j, "job", false);
    mr_json_text(j, "name", o->job_name);
    mr_json_text(j, "folder", o->folder);
    mr_json_text(j, "site", job->site);
    mr_json_text(j, "contract", job->contract);
    mr_json_text(j, "client", job->client);
    mr_json_text(j, "crew", job->crew);
    mr_json_text(j, "time_zone", job->time_zone);
    mr_json_end(j);
    mr_json_count(j, "revision", o->revision);
    mr_json_text(j, "date", o->stamp);
    mr_json_text(j, "outcome", mr_outcome_text(o->a->outcome));
    mr_json_flag(j, "judged", o->a->judged);
    size_t counts[4];
    mr_outcome_counts(o->a, counts);
    mr_json_object(j, "zones_by_outcome", true);
    for (int k = MR_DOES_NOT_CONFORM; k >= MR_NOT_REQUIRED; k--)
        mr_json_count(j, mr_outcome_text((enum mr_outcome)k), (int64_t)counts[k]);
    mr_json_end(j);
}

/* Of very many zones a check, a finding, a film is one line: keys on lines of their own are a fifth of the file. */
static bool in_lines(const struct mr_assessment *a) {
    return a->aligned->zones.n > MR_BOOK_ZONES_MOST;
}

static void put_check(struct mr_json *j, const struct mr_assessment *a, const struct mr_check *c) {
    mr_json_object(j, NULL, in_lines(a));
    mr_json_text(j, "id", c->id);
    mr_json_text(j, "title", c->title);
    mr_json_text(j, "group", c->group);
    put_zone_name(j, a, c->zone);
    mr_json_count(j, "coat", c->coat);
    mr_json_text(j, "outcome", mr_outcome_text(c->outcome));
    mr_json_number(j, "measured", c->measured);
    mr_json_number(j, "limit_low", c->limit_low);
    mr_json_number(j, "limit_high", c->limit_high);
    mr_json_text(j, "unit", mr_unit_symbol(c->unit));
    mr_json_text(j, "rule", c->rule);
    mr_json_text(j, "source", c->source);
    mr_json_text(j, "detail", c->detail);
    put_evidence(j, &c->evidence);
    mr_json_end(j);
}

/* What belongs to each zone, found once: a search per zone would be the square of their number. */
struct zone_parts {
    size_t *first, *next; /* checks as a chain per zone, MR_NONE at its end; the job's own under zones.n */
    const struct mr_zone_film **film; /* NULL where none */
};

static struct zone_parts parts_of(struct mr_arena *arena, const struct mr_assessment *a) {
    const size_t zones = a->aligned->zones.n;
    struct zone_parts p = {MR_ARRAY(arena, size_t, zones + 1), MR_ARRAY(arena, size_t, a->checks.n),
                           MR_ARRAY(arena, const struct mr_zone_film *, zones)};
    for (size_t z = 0; z <= zones; z++)
        p.first[z] = MR_NONE;
    for (size_t i = a->checks.n; i-- > 0;) {
        const size_t zone = a->checks.v[i].zone < zones ? a->checks.v[i].zone : zones;
        p.next[i] = p.first[zone];
        p.first[zone] = i;
    }
    for (size_t i = 0; i < a->films.n; i++)
        if (a->films.v[i].zone < zones)
            p.film[a->films.v[i].zone] = &a->films.v[i];
    return p;
}

static void put_checks(struct mr_json *j, const struct mr_assessment *a, const struct zone_parts *p, size_t zone) {
    mr_json_array(j, "checks", false);
    for (size_t i = p->first[zone]; i != MR_NONE; i = p->next[i])
        put_check(j, a, &a->checks.v[i]);
    mr_json_end(j);
}

static void put_film(struct mr_json *j, const struct mr_zone_film *f, bool in_line) {
    if (!f) {
        mr_json_null(j, "film");
        return;
    }
    const struct {
        const char *key;
        size_t n;
    } counts[] = {{"readings", f->n_readings},     {"spots", f->n_spots},
                  {"areas", f->n_areas},           {"readings_needed", f->need_readings},
                  {"spots_needed", f->need_spots}, {"areas_needed", f->need_areas}};
    const struct {
        const char *key;
        double value;
    } figures[] = {{"mean_um", f->mean_um},
                   {"sd_um", f->sd_um},
                   {"cv_pct", f->cv_pct},
                   {"min_um", f->min_um},
                   {"q1_um", f->q1_um},
                   {"median_um", f->median_um},
                   {"q3_um", f->q3_um},
                   {"max_um", f->max_um},
                   {"mean_low_um", f->ci_low_um},
                   {"mean_high_um", f->ci_high_um},
                   {"spots_below_pct", f->share_below_pct},
                   {"spots_above_pct", f->share_above_pct},
                   {"limit_min_um", f->limit_min_um},
                   {"limit_max_um", f->limit_max_um}};
    mr_json_object(j, "film", in_line);
    for (size_t i = 0; i < MR_COUNT(counts); i++)
        mr_json_count(j, counts[i].key, (int64_t)counts[i].n);
    for (size_t i = 0; i < MR_COUNT(figures); i++)
        mr_json_number(j, figures[i].key, figures[i].value);
    mr_json_end(j);
}

static void put_zones(struct mr_json *j, struct mr_arena *arena, const struct mr_assessment *a) {
    const struct zone_parts parts = parts_of(arena, a);
    mr_json_array(j, "zones", false);
    for (size_t i = 0; i < a->aligned->zones.n; i++) {
        const struct mr_zone *z = &a->aligned->zones.v[i];
        const struct mr_zone_result *r = &a->zones[i];
        mr_json_object(j, NULL, false);
        mr_json_text(j, "name", z->name);
        mr_json_flag(j, "registered", z->registered);
        mr_json_text(j, "specification", z->settings ? z->settings->spec : "");
        mr_json_number(j, "area_m2", z->area_m2);
        mr_json_number(j, "steel_mm", z->steel_mm);
        mr_json_number(j, "profile_um", z->profile_um);
        mr_json_text(j, "substrate", z->substrate);
        mr_json_text(j, "grade", z->grade);
        mr_json_count(j, "coats", z->coats);
        mr_json_text(j, "outcome", mr_outcome_text(r->outcome));
        mr_json_text(j, "because_of", r->worst ? r->worst : "");
        mr_json_object(j, "outcomes", in_lines(a));
        for (size_t g = 0; g < MR_COUNT(r->by_group); g++)
            mr_json_text(j, mr_groups[g], mr_outcome_text(r->by_group[g]));
        mr_json_end(j);
        put_film(j, parts.film[i], in_lines(a));
        put_checks(j, a, &parts, i);
        mr_json_end(j);
    }
    mr_json_end(j);
    put_checks(j, a, &parts, a->aligned->zones.n);
}

static void put_findings(struct mr_json *j, const struct mr_assessment *a) {
    static const char *const gravity[] = {
        [MR_NOTE] = "note", [MR_WARNING] = "needs review", [MR_ERROR] = "does not conform"};
    mr_json_array(j, "findings", false);
    for (size_t i = 0; i < a->findings.n; i++) {
        const struct mr_finding *f = &a->findings.v[i];
        mr_json_object(j, NULL, in_lines(a));
        mr_json_text(j, "id", f->id);
        mr_json_text(j, "gravity", gravity[f->severity]);
        put_zone_name(j, a, f->zone);
        mr_json_count(j, "coat", f->coat);
        mr_json_time(j, "from", f->t0_utc_ms);
        mr_json_time(j, "to", f->t1_utc_ms);
        mr_json_text(j, "what", f->what);
        mr_json_number(j, "measured", f->measured);
        mr_json_number(j, "limit", f->limit);
        mr_json_text(j, "unit", mr_unit_symbol(f->unit));
        mr_json_text(j, "rule", f->rule);
        mr_json_text(j, "source", f->source);
        mr_json_text(j, "next_step", f->next_step);
        mr_json_text(j, "caution", f->caution);
        put_evidence(j, &f->evidence);
        mr_json_end(j);
    }
    mr_json_end(j);
}

static void put_clocks(struct mr_json *j, const struct mr_alignment *al) {
    mr_json_array(j, "clocks", false);
    for (size_t i = 0; i < al->clocks.n; i++) {
        const struct mr_clock *c = &al->clocks.v[i];
        mr_json_object(j, NULL, false);
        mr_json_text(j, "instrument", c->instrument);
        mr_json_text(j, "time_zone", c->time_zone);
        mr_json_flag(j, "stated", c->stated);
        mr_json_number(j, "offset_s", c->offset_s);
        mr_json_number(j, "drift_s_per_day", c->drift_s_per_day);
        mr_json_flag(j, "estimated", c->estimated);
        mr_json_number(j, "estimated_offset_s", c->estimated ? c->est_offset_s : MR_NAN);
        mr_json_number(j, "estimated_spread_s", c->estimated ? c->est_spread_s : MR_NAN);
        mr_json_number(j, "estimated_drift_s_per_day", c->estimated ? c->est_drift_s_per_day : MR_NAN);
        mr_json_count(j, "events", (int64_t)c->est_events);
        mr_json_text(j, "against", c->est_against);
        mr_json_flag(j, "applied", c->est_applied);
        mr_json_text(j, "note", c->note);
        mr_json_end(j);
    }
    mr_json_end(j);
}

static void put_windows(struct mr_json *j, const struct mr_assessment *a) {
    const struct mr_alignment *al = a->aligned;
    mr_json_array(j, "shifts", false);
    for (size_t i = 0; i < al->shifts.n; i++) {
        mr_json_object(j, NULL, true);
        mr_json_text(j, "name", al->shifts.v[i].name);
        mr_json_time(j, "from", al->shifts.v[i].t0_utc_ms);
        mr_json_time(j, "to", al->shifts.v[i].t1_utc_ms);
        mr_json_end(j);
    }
    mr_json_end(j);
    mr_json_array(j, "windows", false);
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        mr_json_object(j, NULL, true);
        put_zone_name(j, a, w->zone);
        mr_json_count(j, "coat", w->coat);
        mr_json_time(j, "from", w->t0_utc_ms);
        mr_json_time(j, "to", w->t1_utc_ms);
        mr_json_flag(j, "found_in_data", w->found);
        mr_json_text(j, "shift", w->shift < al->shifts.n ? al->shifts.v[w->shift].name : NULL);
        mr_report_place(j, "place", &w->place);
        mr_json_end(j);
    }
    mr_json_end(j);
}

static void put_heats(struct mr_json *j, const struct mr_assessment *a) {
    static const char *const fits[] = {[MR_FIT_NONE] = "none",
                                       [MR_FIT_OK] = "fits",
                                       [MR_FIT_POOR] = "poor",
                                       [MR_FIT_NO_CONVERGENCE] = "no convergence"};
    mr_json_array(j, "heat_events", false);
    for (size_t i = 0; i < a->heats.n; i++) {
        const struct mr_heat_event *e = &a->heats.v[i];
        const struct mr_track *t = e->track < a->aligned->tracks.n ? &a->aligned->tracks.v[e->track] : NULL;
        const struct {
            const char *key;
            double value;
        } figures[] = {{"baseline_c", e->baseline_c},
                       {"peak_c", e->peak_c},
                       {"rise_k", e->rise_k},
                       {"rise_se_k", e->rise_se_k},
                       {"rise_fit_k", e->rise_fit_k},
                       {"rise_without_loss_k", e->rise_adiabatic_k},
                       {"rise_without_loss_se_k", e->rise_adiabatic_se_k},
                       {"greatest_rate_k_per_s", e->rate_k_per_s},
                       {"time_to_peak_s", e->time_to_peak_s},
                       {"time_above_half_s", e->time_above_half_s},
                       {"area_k_s", e->area_k_s},
                       {"reaction_rate_per_s", e->k_per_s},
                       {"reaction_rate_se_per_s", e->k_se},
                       {"cooling_constant_s", e->tau_s},
                       {"cooling_constant_se_s", e->tau_se},
                       {"onset_se_s", e->onset_se_s},
                       {"baseline_drift_k_per_s", e->drift_k_per_s},
                       {"fit_rmse_k", e->rmse_k}};
        mr_json_object(j, NULL, false);
        put_zone_name(j, a, e->zone);
        mr_json_count(j, "coat", e->coat);
        mr_json_flag(j, "at_gun", e->gun);
        mr_json_text(j, "instrument", t ? t->instrument : NULL);
        mr_json_text(j, "channel", t ? t->channel : NULL);
        mr_json_time(j, "onset", e->t_onset);
        mr_json_time(j, "peak", e->t_peak);
        mr_json_time(j, "end", e->t_end);
        for (size_t k = 0; k < MR_COUNT(figures); k++)
            mr_json_number(j, figures[k].key, figures[k].value);
        mr_json_text(j, "fit", fits[e->fit]);
        mr_json_text(j, "fit_note", e->fit_note);
        mr_report_place(j, "place", &e->place);
        mr_json_end(j);
    }
    mr_json_end(j);
}

static void put_story(struct mr_json *j, const struct mr_assessment *a) {
    static const char *const kinds[] = {"window", "pause", "heat", "line", "climate", "action", "check"};
    mr_json_array(j, "timeline", false);
    for (size_t i = 0; i < a->timeline.n; i++) {
        const struct mr_shift_event *s = &a->timeline.v[i];
        mr_json_object(j, NULL, true);
        mr_json_text(j, "kind", kinds[s->kind]);
        mr_json_text(j, "shift", s->shift < a->aligned->shifts.n ? a->aligned->shifts.v[s->shift].name : NULL);
        put_zone_name(j, a, s->zone);
        mr_json_time(j, "from", s->t0_utc_ms);
        mr_json_time(j, "to", s->t1_utc_ms);
        mr_json_text(j, "what", s->what);
        mr_json_text(j, "outcome", mr_outcome_text(s->outcome));
        mr_report_place(j, "place", &s->place);
        mr_json_end(j);
    }
    mr_json_end(j);
}

/* The key and the date let the next report take an unchanged figure over. */
static void put_figures(struct mr_json *j, const struct mr_outline *o) {
    mr_json_array(j, "figures", false);
    for (size_t i = 0; i < o->charts->n; i++) {
        const struct mr_chart *c = &o->charts->v[i];
        mr_json_object(j, NULL, true);
        mr_json_text(j, "stem", c->stem);
        mr_json_text(j, "kind", c->kind);
        put_zone_name(j, o->a, c->zone);
        mr_json_text(j, "title", c->title);
        mr_json_count(j, "since_revision", c->since);
        mr_json_time(j, "created", c->created_utc_ms);
        mr_json_text(j, "key", c->key);
        mr_json_end(j);
    }
    mr_json_end(j);
}

static void put_outputs(struct mr_json *j, const struct mr_publish *outputs) {
    mr_json_array(j, "outputs", false);
    for (size_t i = 0; i < outputs->files.n; i++) {
        const struct mr_made_file *f = &outputs->files.v[i];
        if (!f->sha256[0])
            continue; /* report.json itself */
        mr_json_object(j, NULL, true);
        mr_json_text(j, "path", f->path);
        mr_json_count(j, "bytes", (int64_t)f->bytes);
        mr_json_text(j, "sha256", f->sha256);
        mr_json_end(j);
    }
    mr_json_end(j);
}

int mr_report_json(const struct mr_outline *o, FILE *file, const struct mr_publish *outputs) {
    struct mr_json *j = mr_json_open(o->arena, file);
    mr_json_object(j, NULL, false);
    put_job(j, o);
    put_zones(j, o->arena, o->a);
    put_findings(j, o->a);
    mr_report_inputs(j, o->a);
    mr_report_config(j, o->a->job);
    mr_report_settings(j, o->a->job);
    mr_report_certificates(j, o->a->job);
    put_clocks(j, o->a->aligned);
    put_windows(j, o->a);
    put_heats(j, o->a);
    put_story(j, o->a);
    mr_report_tables(j, o->arena, o->a);
    put_figures(j, o);
    put_outputs(j, outputs);
    mr_json_end(j);
    return mr_json_close(j);
}
