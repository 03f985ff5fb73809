/*
 * film_comparison.h - rise against thickness over the zones of a job, while it is made (rise_thickness.c).
 */
#ifndef MILRISE_ASSESS_HEAT_FILM_COMPARISON_H
#define MILRISE_ASSESS_HEAT_FILM_COMPARISON_H

#include "assess/heat/heat_job.h"
#include "assess/heat/rise_line.h"

struct mr_film_member {
    size_t zone;
    double film_um, heat, heat_se;
    bool doubted;               /* the clock or the place of one of its probes */
    const char *lacks;          /* NULL: takes part */
    struct mr_rise_point point; /* after the fit */
    struct mr_place place;
    int64_t t0, t1; /* of its coats */
    const char *lots;
};

struct mr_film_comparison {
    struct mr_assess *a;
    const mr_coat_heats *coats;
    size_t n, n_in;
    struct mr_film_member *member; /* shape: n */
    double steel_mm;               /* of the rises shown */
    bool fitted;
    struct mr_rise_line line;
};

/** mr_film_lots - "lot A / lot B" of a window; "" where the log gives none. In the arena of a. */
const char *mr_film_lots(struct mr_assess *a, size_t window);

/** mr_heat_constants - the table of heat per volume of film: of the job, by coat, by lot (heat_constants.c). */
void mr_heat_constants(struct mr_film_comparison *c);

#endif
