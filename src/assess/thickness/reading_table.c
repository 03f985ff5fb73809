/*
 * reading_table.c - every gauge reading of the surveys that count, in the order of the spots, with the figures that
 * decide whether it is unusual: the workbook recalculates them.
 */
#include "assess/thickness/thickness.h"

#include "numeric/select.h"

#include <math.h>

static struct mr_value film(const struct mr_assess *a, double um) {
    return mr_v_num(mr_from_canonical(a->job->display.film, um));
}

static double reading_um(const struct mr_film_reading *r) {
    return mr_ratio_um((struct mr_ratio){r->quanta, 1});
}

/* Distance from the median of the reading's spot; NaN of spots of one or two. */
static double from_median_um(const struct mr_film *f, const struct mr_film_reading *r, double *work) {
    const struct mr_film_spot *spot = &f->spots.v[r->spot];
    if (spot->n < 3 || isnan(f->spread_um))
        return MR_NAN;
    for (size_t i = 0; i < spot->n; i++)
        work[i] = reading_um(&f->readings[spot->first + i]);
    return fabs(reading_um(r) - mr_median(work, spot->n));
}

static const char *standing_of(const struct mr_film_reading *r) {
    return !r->unusual ? "usual" : r->discarded ? "left out" : r->doubted ? "in doubt" : "unusual";
}

static void add_readings(struct mr_thickness *t, const struct mr_subject *s, struct mr_table *table) {
    struct mr_assess *a = t->a;
    const struct mr_film *f = &s->counting->film;
    const struct mr_ratio correction = s->limits.correction;
    double *work = MR_ARRAY(a->arena, double, f->n);
    for (size_t i = 0; i < f->n; i++) {
        const struct mr_film_reading *r = &f->readings[i];
        const struct mr_film_spot *spot = &f->spots.v[r->spot];
        const struct mr_value shown = film(a, reading_um(r)),
                              corrected = film(
                                  a, mr_ratio_um(mr_ratio_subtract((struct mr_ratio){r->quanta, 1}, correction)));
        const double from_median = from_median_um(f, r, work);
        const struct mr_value row[] = {
            mr_v_text(s->z->name),
            mr_v_text(s->coat ? mr_printf(a->arena, "coat %d", s->coat) : "system"),
            mr_v_text(f->areas.v[spot->area].name),
            mr_v_text(spot->name),
            shown,
            film(a, mr_ratio_um(correction)),
            corrected,
            isnan(from_median) ? mr_v_blank(MR_FEW_IN_SPOT) : film(a, from_median),
            isnan(from_median) ? mr_v_blank(MR_FEW_IN_SPOT) : film(a, mr_ratio_um((struct mr_ratio){r->others, 1})),
            mr_v_text(standing_of(r)),
            r->discarded ? mr_v_blank(MR_LEFT_OUT) : corrected,
            mr_v_time(r->t_utc_ms),
            mr_v_text(r->gauge),
            mr_v_text(a->aligned->data->files.v[r->file].source->path),
            mr_v_count(r->line),
            shown,
        };
        mr_table_add(a->arena, table, row);
    }
}

void mr_reading_table(struct mr_thickness *t) {
    struct mr_assess *a = t->a;
    const enum mr_unit u = a->job->display.film;
    const int d = mr_film_decimals(u) + 1;
    const struct mr_field fields[] = {
        {"zone", "Zone", MR_UNIT_NONE, 0},
        {"coat", "Film", MR_UNIT_NONE, 0},
        {"area", "Area", MR_UNIT_NONE, 0},
        {"spot", "Spot", MR_UNIT_NONE, 0},
        {mr_film_key(a, "shown"), "As the gauge showed it", u, d},
        {mr_film_key(a, "correction"), "Correction", u, d},
        {mr_film_key(a, "corrected"), "Corrected", u, d},
        {mr_film_key(a, "from_median"), "From the spot's median", u, d},
        {mr_film_key(a, "others"), "Median of the others", u, d},
        {"standing", "Standing", MR_UNIT_NONE, 0},
        {mr_film_key(a, "usual"), "Usual", u, d},
        {"time", "Time", MR_UNIT_NONE, 0},
        {"gauge", "Gauge", MR_UNIT_NONE, 0},
        {"file", "File", MR_UNIT_NONE, 0},
        {"line", "Line", MR_UNIT_NONE, 0},
        {mr_film_key(a, "reported"), "As reported", u, d},
    };
    struct mr_table *table = mr_table_new(
        a->arena, "gauge-readings", "Gauge readings",
        "Readings of the survey that counts. Corrected: less the base metal or profile and any coat below. Unusual: "
        "farther from the median of the others of its spot than the sheet Thickness by zone says, and no other "
        "reading "
        "within the spread of it. Change a reading under \"As the gauge showed it\" to see what would follow; "
        "\"As reported\" keeps what the file says.",
        MR_COUNT(fields), fields);
    for (size_t i = 0; i < t->subjects.n; i++)
        if (t->subjects.v[i]->counting)
            add_readings(t, t->subjects.v[i], table);
    mr_add_table(a, table);
}
