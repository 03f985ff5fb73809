/*
 * caution.h - the cautions that stand beside findings on lines and material, in the project's own words.
 */
#ifndef MILRISE_ASSESS_FINDING_CAUTION_H
#define MILRISE_ASSESS_FINDING_CAUTION_H

extern const char mr_caution_relieve[]; /* before anything is opened */
extern const char mr_caution_mix[];     /* part A and part B kept apart */

#endif
