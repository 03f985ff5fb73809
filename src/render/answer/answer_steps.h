/*
 * answer_steps.h - what is to be done, each thing once, with the places that it holds for.
 */
#ifndef MILRISE_RENDER_ANSWER_ANSWER_STEPS_H
#define MILRISE_RENDER_ANSWER_ANSWER_STEPS_H

#include "render/answer/answer_page.h"

#include "base/text_set.h"
#include "milrise/render.h"

/* One piece of advice. Of very many places and sentences only those that are shown are kept; the sets count all. */
struct mr_advice {
    const char *text;  /* a sentence; further lines are to be pasted */
    const char *paste; /* lines for the job file, or NULL */
    size_t n_zones;    /* that are among its places */
    struct mr_text_set seen_places, seen_details;
    MR_VEC(const char *) places;  /* zones; files for what is of no zone */
    MR_VEC(const char *) details; /* what was found, a sentence each */
};

struct mr_advices {
    struct mr_arena *arena;
    struct mr_text_set seen, cautions; /* seen: by text, with its number */
    MR_VEC(struct mr_advice) v;
    size_t n_zones; /* of the job */
    struct {
        MR_VEC(size_t) at;
    } * of_zone; /* shape: n_zones + 1; for each zone its steps, rising; last those of the checks of no zone */
};

/** mr_steps_of - lines to paste first; then for each zone its gravest step, then the others, gravest first. Where
 * nothing was published: what stands in the way, mistakes of the job file first. */
struct mr_advices mr_steps_of(struct mr_arena *arena, const struct mr_answer *answer);

/** mr_steps_of_zone - "2, 9-11": numbers of the steps that name the zone; "-" for none. zone n_zones: of the checks
 * of no zone. */
const char *mr_steps_of_zone(const struct mr_advices *steps, size_t zone);

/** mr_steps_add - steps [from, ...) until room_tenths of the page are filled (SIZE_MAX: all, up to sixty), the first
 * always. whole: with each sentence of what was found open to the eye. Returns: the first step that was
 * left out. */
size_t mr_steps_add(struct mr_page *page, const struct mr_advices *steps, size_t from, size_t room_tenths,
                    bool whole);

#endif
