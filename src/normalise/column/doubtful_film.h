/*
 * doubtful_film.h - headings of film that say more than film: "Thickness zorb um", "Thickness (unc)".
 */
#ifndef MILRISE_NORMALISE_COLUMN_DOUBTFUL_FILM_H
#define MILRISE_NORMALISE_COLUMN_DOUBTFUL_FILM_H

#include "normalise/column/plan.h"

/** mr_ask_doubtful_film - a column taken for film by one word of its heading, although another word there is neither
 *  the map's nor known to be harmless, is left out with a question; so is one alone that a letter marks. Refusing
 *  words are a list and never whole; this asks where the list ends. What the job file names stands. */
void mr_ask_doubtful_film(struct mr_arena *arena, struct mr_plan *plan, struct mr_diags *diags);

#endif
