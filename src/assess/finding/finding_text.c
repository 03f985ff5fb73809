/*
 * finding_text.c - small helpers of wording, limits and evidence; see finding_text.h.
 */
#include "assess/finding/finding_text.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

static int decimals_for(enum mr_unit unit) {
    switch (mr_unit_dim(unit)) {
    case MR_DIM_FILM:
        return unit == MR_UNIT_MIL ? 1 : 0;
    case MR_DIM_TEMP:
    case MR_DIM_RISE:
    case MR_DIM_SHARE:
    case MR_DIM_VOLUME:
    case MR_DIM_MASS:
    case MR_DIM_AREA:
    case MR_DIM_DURATION:
        return 1;
    case MR_DIM_PRESSURE:
        return unit == MR_UNIT_BAR ? 2 : unit == MR_UNIT_MPA ? 3 : unit == MR_UNIT_PSI ? 1 : 0;
    case MR_DIM_LENGTH:
    case MR_DIM_NONE:
        return 2;
    }
    return 2;
}

const char *mr_source_of(struct mr_assess *a, const struct mr_settings *settings, enum mr_setting_id id) {
    const struct mr_setting *s = &settings->v[id];
    if (!s->from_job)
        return mr_setting_defs[id].source;
    return s->place.line > 0 ? mr_printf(a->arena, "job file, line %u", s->place.line) : "job file";
}

struct mr_limit mr_limit_of(struct mr_assess *a, const struct mr_settings *settings, enum mr_setting_id id) {
    const struct mr_setting *s = &settings->v[id];
    struct mr_limit l = {.set = s->set, .written = MR_NAN, .unit = s->unit, .source = mr_source_of(a, settings, id)};
    if (s->set)
        l.written = s->written;
    else
        l.unit = mr_dim_canonical(mr_setting_defs[id].dim);
    l.decimals = decimals_for(l.unit);
    return l;
}

static double slack(double limit) {
    return 1e-9 * fmax(1.0, fabs(limit));
}

int64_t mr_setting_ms(const struct mr_settings *settings, enum mr_setting_id id) {
    double s = mr_set_num(settings, id);
    return isnan(s) ? 0 : (int64_t)llround(s * 1000.0);
}

bool mr_below(double value, double limit) {
    return value < limit - slack(limit);
}

bool mr_above(double value, double limit) {
    return value > limit + slack(limit);
}

const char *mr_zone_label(struct mr_assess *a, size_t zone, int coat) {
    if (zone == MR_NONE)
        return "the job";
    const char *name = a->aligned->zones.v[zone].name;
    return coat > 0 ? mr_printf(a->arena, "zone %s, coat %d", name, coat) : mr_printf(a->arena, "zone %s", name);
}

const char *mr_coat_label(struct mr_assess *a, size_t zone, int coat) {
    return mr_printf(a->arena, "%s, coat %d", a->aligned->zones.v[zone].name, coat);
}

const char *mr_value_text(struct mr_assess *a, double value, enum mr_unit unit, int decimals) {
    if (isnan(value))
        return "?";
    const char *symbol = mr_unit_symbol(unit), *gap = symbol[0] == '\0' ? "" : " ";
    if (decimals < 0)
        return mr_printf(a->arena, "%.6g%s%s", value, gap, symbol);
    if (fabs(value) < 0.5 * pow(10.0, -decimals))
        value = 0.0; /* no "-0.0" */
    return mr_printf(a->arena, "%.*f%s%s", decimals, value, gap, symbol);
}

int mr_miss_decimals(double value, double limit, int decimals) {
    for (int d = decimals < 0 ? 0 : decimals; d <= 6 && (value < limit || value > limit); d++) {
        double scale = pow(10.0, d), shown = round(value * scale) / scale;
        if (value < limit ? shown < limit : shown > limit)
            return d;
    }
    return decimals;
}

/* "2026-05-11 14:03:20", or from its blank on. */
static const char *local_text(struct mr_assess *a, int64_t t_utc_ms, bool with_date) {
    int64_t local = mr_local_ms(a->aligned, t_utc_ms);
    int64_t day = local / MR_DAY_MS - (local % MR_DAY_MS < 0), s = (local - day * MR_DAY_MS) / 1000;
    int year, month, d;
    mr_civil_from_days(day, &year, &month, &d);
    int h = (int)(s / 3600), min = (int)(s / 60 % 60), sec = (int)(s % 60);
    if (!with_date)
        return mr_printf(a->arena, "%02d:%02d:%02d", h, min, sec);
    return mr_printf(a->arena, "%04d-%02d-%02d %02d:%02d:%02d", year, month, d, h, min, sec);
}

const char *mr_moment_text(struct mr_assess *a, int64_t t_utc_ms) {
    return t_utc_ms == MR_T_NONE ? "an unknown time" : local_text(a, t_utc_ms, true);
}

const char *mr_span_text(struct mr_assess *a, int64_t t0_utc_ms, int64_t t1_utc_ms) {
    if (t0_utc_ms == MR_T_NONE || t1_utc_ms == MR_T_NONE)
        return mr_moment_text(a, t0_utc_ms == MR_T_NONE ? t1_utc_ms : t0_utc_ms);
    int64_t d0 = mr_local_ms(a->aligned, t0_utc_ms), d1 = mr_local_ms(a->aligned, t1_utc_ms);
    bool same_day = d0 / MR_DAY_MS == d1 / MR_DAY_MS;
    return mr_printf(a->arena, "%s to %s", local_text(a, t0_utc_ms, true), local_text(a, t1_utc_ms, !same_day));
}

const char *mr_ms_text(struct mr_assess *a, double ms) {
    char text[MR_DURATION_TEXT];
    mr_duration_text(ms, text);
    return mr_strdup(a->arena, text);
}

const char *mr_day_label(struct mr_assess *a, int64_t local_ms) {
    char date[MR_DATE_TEXT];
    mr_date_text(local_ms, date);
    return mr_strdup(a->arena, date);
}

const char *mr_count_text(struct mr_assess *a, size_t n, const char *one) {
    return mr_printf(a->arena, "%zu %s%s", n, one, n == 1 ? "" : "s");
}

const char *mr_capitalised(struct mr_assess *a, const char *text) {
    char *copy = mr_strdup(a->arena, text);
    if (copy[0] >= 'a' && copy[0] <= 'z')
        copy[0] = (char)(copy[0] - 'a' + 'A');
    return copy;
}

size_t mr_shift_near(const struct mr_alignment *aligned, int64_t t_utc_ms) {
    size_t best = MR_NONE;
    int64_t best_ms = INT64_MAX;
    for (size_t i = 0; i < aligned->shifts.n; i++) {
        const struct mr_shift *s = &aligned->shifts.v[i];
        int64_t away = t_utc_ms < s->t0_utc_ms   ? s->t0_utc_ms - t_utc_ms
                       : t_utc_ms > s->t1_utc_ms ? t_utc_ms - s->t1_utc_ms
                                                 : 0;
        if (away < best_ms) {
            best = i;
            best_ms = away;
        }
    }
    return best;
}

size_t mr_shift_about(const struct mr_assess *a, int64_t t_utc_ms) {
    size_t near = mr_shift_near(a->aligned, t_utc_ms);
    if (near == MR_NONE)
        return MR_NONE;
    const struct mr_shift *s = &a->aligned->shifts.v[near];
    int64_t limit = mr_setting_ms(&a->job->settings, MR_SHIFT_BREAK);
    return t_utc_ms < s->t0_utc_ms - limit || t_utc_ms > s->t1_utc_ms + limit ? MR_NONE : near;
}

void mr_evidence_track(struct mr_assess *a, mr_evidence_list *list, const struct mr_track *track, int64_t t0_utc_ms,
                       int64_t t1_utc_ms, const char *note) {
    if (track == NULL || track->n == 0)
        return;
    size_t i = mr_track_first(track, t0_utc_ms), last = mr_track_first(track, t1_utc_ms);
    if (i > 0 && (i == track->n || mr_track_ms(track, i) > t0_utc_ms))
        i--;
    if (last == track->n)
        last--;
    while (i <= last) {
        struct mr_place run = mr_track_place(a->aligned, track, i);
        uint32_t file = mr_track_file(track, i), low = mr_track_line(track, i), high = low;
        for (; i <= last && mr_track_file(track, i) == file; i++) {
            low = mr_track_line(track, i) < low ? mr_track_line(track, i) : low;
            high = mr_track_line(track, i) > high ? mr_track_line(track, i) : high;
        }
        run.line = low;
        run.line_end = high > low ? high : 0;
        mr_add_evidence(a, list, run, note);
    }
}

struct mr_check mr_blank_check(const char *id, const char *title, const char *group, size_t zone, int coat) {
    return (struct mr_check){.id = id,
                             .title = title,
                             .group = group,
                             .zone = zone,
                             .coat = coat,
                             .outcome = MR_NOT_SHOWN,
                             .measured = MR_NAN,
                             .limit_low = MR_NAN,
                             .limit_high = MR_NAN};
}

struct mr_finding mr_blank_finding(const char *id, enum mr_severity severity, size_t zone, int coat) {
    return (struct mr_finding){.id = id,
                               .severity = severity,
                               .zone = zone,
                               .coat = coat,
                               .t0_utc_ms = MR_T_NONE,
                               .t1_utc_ms = MR_T_NONE,
                               .measured = MR_NAN,
                               .limit = MR_NAN};
}

struct mr_finding mr_finding_of(const struct mr_check *check, const char *id, enum mr_severity severity) {
    struct mr_finding f = mr_blank_finding(id, severity, check->zone, check->coat);
    f.measured = check->measured;
    f.limit = isnan(check->limit_high) || check->measured < check->limit_low ? check->limit_low : check->limit_high;
    f.unit = check->unit;
    f.decimals = check->decimals;
    f.rule = check->rule;
    f.source = check->source;
    f.evidence = check->evidence;
    return f;
}

static void add_unshown_coats(struct mr_assess *a, size_t z, const bool *seen, struct mr_check c) {
    c.rule = "each required coat is judged over its window";
    c.source = MR_SRC_PD;
    c.detail = "No spray window of this coat is known, so the time to judge is not known.";
    for (int coat = 1; coat <= a->aligned->zones.v[z].coats; coat++) {
        if (seen[coat])
            continue;
        c.coat = coat;
        mr_add_check(a, &c);
    }
}

void mr_add_unjudged(struct mr_assess *a, const char *id, const char *title, const char *group,
                     enum mr_setting_id required) {
    const struct mr_alignment *al = a->aligned;
    bool **seen = MR_ARRAY(a->arena, bool *, al->zones.n);
    for (size_t z = 0; z < al->zones.n; z++)
        seen[z] = MR_ARRAY(a->arena, bool, (size_t)al->zones.v[z].coats + 1);
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->coat >= 1 && w->coat <= al->zones.v[w->zone].coats)
            seen[w->zone][w->coat] = true;
    }
    for (size_t z = 0; z < al->zones.n; z++) {
        const struct mr_settings *settings = al->zones.v[z].settings;
        if (mr_set_flag(settings, required)) {
            add_unshown_coats(a, z, seen[z],
                              mr_blank_check(mr_printf(a->arena, "%s.window", id), title, group, z, 0));
            continue;
        }
        struct mr_check c = mr_blank_check(id, title, group, z, 0);
        c.outcome = MR_NOT_REQUIRED;
        c.rule = mr_printf(a->arena, "%s is judged where the specification asks for it", group);
        c.source = mr_source_of(a, settings, required);
        c.detail = "The specification does not ask for it.";
        mr_add_check(a, &c);
    }
}

const char *mr_film_key(struct mr_assess *a, const char *stem) {
    return mr_printf(a->arena, "%s_%s", stem, a->job->display.film == MR_UNIT_MIL ? "mil" : "um");
}
