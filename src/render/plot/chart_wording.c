/*
 * chart_wording.c - figures, times and sources as short texts for charts.
 */
#include "base/text.h"
#include "render/plot/chart_axes.h"

#include <math.h>
#include <string.h>

enum { SOURCES_SHOWN = 6 };

const char *mr_figure_text(struct mr_arena *arena, double value, int decimals) {
    if (!isfinite(value))
        return "not known";
    if (fabs(value) < 0.5 * pow(10.0, -decimals))
        value = 0.0; /* no "-0.0" */
    return mr_printf(arena, "%.*f", decimals, value);
}

const char *mr_shown(struct mr_arena *arena, double canonical, enum mr_unit unit, int decimals) {
    if (!isfinite(canonical))
        return "not known";
    const char *number = mr_figure_text(arena, mr_from_canonical(unit, canonical), decimals);
    return mr_printf(arena, "%s %s", number, mr_unit_symbol(unit));
}

const char *mr_short_text(struct mr_arena *arena, double canonical, enum mr_unit unit) {
    const double v = mr_from_canonical(unit, canonical);
    int decimals = 0;
    while (decimals < 2 && fabs(v - round(v * pow(10.0, decimals)) / pow(10.0, decimals)) > 0.005)
        decimals++;
    return mr_shown(arena, canonical, unit, decimals);
}

int mr_unit_decimals(enum mr_unit unit) {
    static const struct {
        enum mr_unit unit;
        int decimals;
    } rows[] = {{MR_UNIT_UM, 0},      {MR_UNIT_MIL, 2}, {MR_UNIT_FILM_MM, 3},
                {MR_UNIT_FILM_IN, 4}, {MR_UNIT_KPA, 0}, {MR_UNIT_PSI, 1}};
    for (size_t i = 0; i < MR_COUNT(rows); i++)
        if (rows[i].unit == unit)
            return rows[i].decimals;
    return 1;
}

const char *mr_clock_text(const struct mr_chart_job *job, int64_t t_utc_ms, bool seconds) {
    if (t_utc_ms == MR_T_NONE)
        return "";
    const int64_t in_day = mr_local_ms(job->a->aligned, t_utc_ms) % MR_DAY_MS;
    const int s = (int)((in_day < 0 ? in_day + MR_DAY_MS : in_day) / 1000);
    if (seconds)
        return mr_printf(job->arena, "%02d:%02d:%02d", s / 3600, s / 60 % 60, s % 60);
    return mr_printf(job->arena, "%02d:%02d", s / 3600, s / 60 % 60);
}

const char *mr_day_text(const struct mr_chart_job *job, int64_t t_utc_ms) {
    if (t_utc_ms == MR_T_NONE)
        return "";
    char date[MR_DATE_TEXT];
    mr_date_text(mr_local_ms(job->a->aligned, t_utc_ms), date);
    return mr_strdup(job->arena, date);
}

const char *mr_offset_text(const struct mr_chart_job *job, int64_t t_utc_ms) {
    const int64_t minutes = (mr_local_ms(job->a->aligned, t_utc_ms) - t_utc_ms) / 60000;
    const int64_t size = minutes < 0 ? -minutes : minutes;
    return mr_printf(job->arena, "UTC%c%02d:%02d", minutes < 0 ? '-' : '+', (int)(size / 60), (int)(size % 60));
}

const char *mr_zone_name(const struct mr_assessment *a, size_t zone) {
    return zone < a->aligned->zones.n ? a->aligned->zones.v[zone].name : "whole job";
}

struct mr_ink mr_outcome_ink(enum mr_outcome outcome) {
    switch (outcome) {
    case MR_CONFORMS:
        return MR_INK_BLUE;
    case MR_NOT_SHOWN:
        return MR_INK_AMBER;
    case MR_DOES_NOT_CONFORM:
        return MR_INK_RED;
    case MR_NOT_REQUIRED:
        break;
    }
    return MR_INK_GREY;
}

enum mr_mark mr_outcome_mark(enum mr_outcome outcome) {
    switch (outcome) {
    case MR_CONFORMS:
        return MR_DOT;
    case MR_NOT_SHOWN:
        return MR_UP;
    case MR_DOES_NOT_CONFORM:
        return MR_CROSS;
    case MR_NOT_REQUIRED:
        break;
    }
    return MR_RING;
}

const char *mr_rise_text(struct mr_arena *arena, enum mr_unit unit, double rise_k, double half_k) {
    if (!isfinite(half_k))
        return mr_shown(arena, rise_k, unit, 1);
    const int decimals = mr_from_canonical(unit, half_k) < 0.095 ? 2 : 1;
    return mr_printf(arena, "%s ± %s", mr_figure_text(arena, mr_from_canonical(unit, rise_k), decimals),
                     mr_shown(arena, half_k, unit, decimals));
}

void mr_source_add(const struct mr_chart_job *job, struct mr_sources_text *set, const char *path) {
    if (!path || !path[0])
        return;
    for (size_t i = 0; i < set->path.n; i++)
        if (strcmp(set->path.v[i], path) == 0)
            return;
    MR_PUSH(job->arena, &set->path, path);
}

void mr_source_track(const struct mr_chart_job *job, struct mr_sources_text *set, const struct mr_track *track,
                     int64_t t0_utc_ms, int64_t t1_utc_ms) {
    const struct mr_data *data = job->a->aligned->data;
    uint32_t before = UINT32_MAX;
    for (size_t i = mr_track_first(track, t0_utc_ms); i < track->n && mr_track_ms(track, i) <= t1_utc_ms; i++) {
        const uint32_t file = mr_track_file(track, i);
        if (file != before && file < data->files.n)
            mr_source_add(job, set, data->files.v[file].source->path);
        before = file;
        if (!mr_is_column(&track->file))
            break;
    }
}

const char *mr_source_list(const struct mr_chart_job *job, const struct mr_sources_text *set) {
    if (set->path.n == 0)
        return "none";
    const char *text = set->path.v[0];
    for (size_t i = 1; i < set->path.n && i < SOURCES_SHOWN; i++)
        text = mr_printf(job->arena, "%s, %s", text, set->path.v[i]);
    if (set->path.n > SOURCES_SHOWN)
        text = mr_printf(job->arena, "%s and %zu more", text, set->path.n - SOURCES_SHOWN);
    return text;
}
