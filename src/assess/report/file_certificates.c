/*
 * file_certificates.c - instruments whose calibration had run out when they were used, as the job file states it or
 * the export itself ("Calibration due: 2026-04-30"). The certificates of gauges that the job file states are judged
 * with the gauge.
 */
#include "assess/finding/finding_text.h"
#include "assess/finding/line_ranges.h"
#include "base/text.h"

static const struct certified_kind {
    enum mr_kind kind;
    enum mr_setting_id required; /* MR_SETTING_COUNT: always judged */
    const char *id, *group, *name;
} kinds[] = {
    {MR_KIND_THICKNESS, MR_SETTING_COUNT, "gauge.due", "gauge", "gauge"},
    {MR_KIND_VERIFICATION, MR_SETTING_COUNT, "gauge.due", "gauge", "gauge or its shims"},
    {MR_KIND_CLIMATE, MR_CLIMATE_REQUIRED, "climate.due", "climate", "instrument"},
    {MR_KIND_TEMPERATURE, MR_REACTION_REQUIRED, "reaction.due", "reaction", "logger"},
    {MR_KIND_PRESSURE, MR_LINES_REQUIRED, "lines.due", "lines", "logger"},
};

/* What the job states comes before what the file does. */
static int64_t certified_until(const struct mr_file *f, bool *by_job) {
    *by_job = f->instrument && f->instrument->certified_until_local_ms != MR_T_NONE;
    return *by_job ? f->instrument->certified_until_local_ms : f->certified_until_local_ms;
}

/* Whether a file speaks of a zone: by its readings, or as a log of a time in which the zone was sprayed. */
static bool speaks_of(const struct mr_alignment *al, uint32_t file, size_t zone) {
    const struct mr_file *f = &al->data->files.v[file];
    if (f->kind == MR_KIND_THICKNESS || f->kind == MR_KIND_VERIFICATION) {
        for (size_t i = 0; i < al->readings.n; i++)
            if (al->readings.v[i].zone == zone &&
                (f->kind == MR_KIND_VERIFICATION || al->readings.v[i].reading->file == file))
                return true;
        return false;
    }
    for (size_t i = 0; i < al->windows.n; i++) {
        const struct mr_window *w = &al->windows.v[i];
        if (w->zone == zone && w->t1_utc_ms + MR_DAY_MS >= f->first_ms && w->t0_utc_ms - MR_DAY_MS <= f->last_ms)
            return true;
    }
    return false;
}

static void add_due(struct mr_assess *a, const struct certified_kind *kind, uint32_t file, size_t zone,
                    int64_t until) {
    struct mr_check c = mr_blank_check(kind->id, "Calibration in date", kind->group, zone, 0);
    const struct mr_file *f = &a->aligned->data->files.v[file];
    c.outcome = MR_NOT_SHOWN;
    c.rule = "the instrument's calibration is in date when it is used";
    c.source = MR_SRC_CP;
    c.detail = mr_printf(a->arena, "Calibration of %s ran out on %s, and the file goes to %s.",
                         *f->instrument_name ? f->instrument_name : "its instrument", mr_day_label(a, until),
                         mr_day_label(a, f->last_ms));
    mr_add_evidence(a, &c.evidence, mr_line_place(a, file, 1), "the file");
    mr_add_check(a, &c);
    struct mr_finding finding = mr_finding_of(&c, "calibration-due", MR_WARNING);
    finding.what = mr_printf(a->arena, "Zone %s: %s", a->aligned->zones.v[zone].name, c.detail);
    finding.next_step =
        mr_printf(a->arena,
                  "Have the %s calibrated and ask the laboratory for its as-found condition; or state "
                  "the certificate in force in the job file, under [instrument].",
                  kind->name);
    mr_add_finding(a, &finding);
}

void mr_assess_certificates(struct mr_assess *a) {
    const struct mr_alignment *al = a->aligned;
    for (uint32_t file = 0; file < al->data->files.n; file++) {
        const struct mr_file *f = &al->data->files.v[file];
        bool by_job;
        const int64_t until = certified_until(f, &by_job);
        if (!mr_day_is_over(until, f->last_ms))
            continue;
        for (size_t k = 0; k < MR_COUNT(kinds); k++) {
            if (kinds[k].kind != f->kind || (by_job && f->kind == MR_KIND_THICKNESS))
                continue;
            for (size_t zone = 0; zone < al->zones.n; zone++)
                if ((kinds[k].required == MR_SETTING_COUNT ||
                     mr_set_flag(al->zones.v[zone].settings, kinds[k].required)) &&
                    speaks_of(al, file, zone))
                    add_due(a, &kinds[k], file, zone, until);
        }
    }
}
