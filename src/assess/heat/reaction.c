/*
 * reaction.c - group "reaction" in its order: events, coats, their judgement, the comparison with the film.
 */
#include "assess/heat/heat_job.h"

void mr_assess_reaction(struct mr_assess *a) {
    mr_coat_heats coats = {0};
    mr_no_pulses absent = {0};
    mr_heat_collect(a, &absent);
    mr_heat_coats(a, &absent, &coats);
    mr_heat_settle_cooling(a, &coats);
    mr_heat_judge(a, &coats);
    mr_heat_against_film(a, &coats);
}
