/*
 * taken_back.c - readings that were deleted in the gauge or marked as none. A slip of the probe may be deleted; a
 * whole spot that misses the specification is film that was measured, and measuring again closes nothing. SSPC-PA 2
 * (2015) lets unusual readings be discarded that do not repeat (from memory).
 */
#include "assess/finding/finding_text.h"
#include "assess/finding/line_ranges.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

enum { ROWS_LOOKED_AT = 1000 }; /* for more of one spot, so that a memory deleted whole takes no minutes */

/* Rows of one place may stand apart from each other; where no spot is named, only those in a row are one. */
static bool same_spot(const struct mr_taken_back *a, const struct mr_taken_back *b) {
    return a->file == b->file && *a->spot && strcmp(a->zone, b->zone) == 0 && strcmp(a->area, b->area) == 0 &&
           strcmp(a->spot, b->spot) == 0;
}

/* Of a zone that the row names, else of each that other readings of its file are of. */
static bool is_of_zone(const struct mr_alignment *al, const struct mr_taken_back *r, size_t zone) {
    const size_t named = *r->zone ? mr_zone_find(al, r->zone, NULL) : MR_NONE;
    if (named < al->zones.n)
        return named == zone;
    for (size_t i = 0; i < al->readings.n; i++)
        if (al->readings.v[i].reading->file == r->file && al->readings.v[i].zone == zone)
            return true;
    return false;
}

static bool misses(const struct mr_settings *set, size_t n, double sum_um) {
    const double mean_um = sum_um / (double)n;
    return (double)n >= fmax(1, mr_set_num(set, MR_DFT_GAGE_PER_SPOT)) &&
           (mean_um < mr_set_num(set, MR_DFT_MIN) || mean_um > mr_set_num(set, MR_DFT_MAX));
}

static void judge_zone(struct mr_assess *a, size_t zone) {
    const struct mr_data *data = a->aligned->data;
    const struct mr_settings *set = a->aligned->zones.v[zone].settings;
    struct mr_check c = mr_blank_check("thickness.taken-back", "Readings taken back", "thickness", zone, 0);
    bool *seen = MR_ARRAY(mr_work(a), bool, data->taken_back.n);
    size_t readings = 0, spots = 0;
    for (size_t i = 0; i < data->taken_back.n; i++) {
        const struct mr_taken_back *r = &data->taken_back.v[i];
        size_t n = r->n;
        double sum_um = r->sum_um;
        if (seen[i] || !is_of_zone(a->aligned, r, zone))
            continue;
        for (size_t k = i + 1; k < data->taken_back.n && k < i + ROWS_LOOKED_AT && *r->spot; k++)
            if (same_spot(r, &data->taken_back.v[k])) {
                seen[k] = true;
                n += data->taken_back.v[k].n;
                sum_um += data->taken_back.v[k].sum_um;
            }
        if (!misses(set, n, sum_um))
            continue;
        struct mr_place place = mr_line_place(a, r->file, r->line);
        place.line_end = r->line_end > r->line ? r->line_end : 0;
        mr_add_evidence(a, &c.evidence, place, "taken back");
        readings += n;
        spots++;
    }
    if (!spots)
        return;
    c.outcome = MR_NOT_SHOWN;
    c.measured = (double)readings;
    c.rule = "readings that were taken back fill no spot that misses the specification";
    c.source = "SSPC-PA 2 (2015): unusual readings that do not repeat may be discarded; from memory";
    c.detail = mr_printf(a->arena, "%s of %s that %s the specification %s taken back.",
                         mr_count_text(a, readings, "reading"), mr_count_text(a, spots, "spot"),
                         spots == 1 ? "misses" : "miss", readings == 1 ? "was" : "were");
    mr_add_check(a, &c);
    struct mr_finding f = mr_finding_of(&c, "readings-taken-back", MR_WARNING);
    f.what = mr_printf(a->arena, "Zone %s: %s", a->aligned->zones.v[zone].name, c.detail);
    f.next_step =
        "Restore them in the gauge's memory and export it anew: film that was measured stands until it is repaired.";
    mr_add_finding(a, &f);
}

void mr_assess_taken_back(struct mr_assess *a) {
    for (size_t zone = 0; zone < a->aligned->zones.n && a->aligned->data->taken_back.n; zone++)
        judge_zone(a, zone);
}
