/*
 * film_judge.h - films from plain numbers, for tests of the thickness rules.
 */
#ifndef MILRISE_TEST_FILM_JUDGE_H
#define MILRISE_TEST_FILM_JUDGE_H

#include "assess/film/film.h"
#include "assess/film/rules.h"

/** film_rule - a built-in rule set; the test fails where it cannot be read. */
const struct mr_rule *film_rule(struct mr_arena *arena, const char *name);

/** film_rule_text - a rule set from its text. */
const struct mr_rule *film_rule_text(struct mr_arena *arena, const char *name, const char *text);

/** film_of - readings in order, as written, grouped without ids. */
void film_of(struct mr_arena *arena, const double *written, size_t n, enum mr_unit unit, size_t per_spot,
             size_t per_area, struct mr_film *out);

/** film_limits_of - NaN = none. */
struct mr_film_limits film_limits_of(double min, double max, enum mr_unit unit);

/** film_outcome - the worst limit of a rule. */
enum mr_outcome film_outcome(struct mr_arena *arena, const struct mr_film *film, const struct mr_rule *rule,
                             const struct mr_film_limits *limits);

#endif
