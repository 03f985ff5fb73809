/*
 * value_range.h - units by the size of the numbers.
 */
#ifndef MILRISE_NORMALISE_UNIT_VALUE_RANGE_H
#define MILRISE_NORMALISE_UNIT_VALUE_RANGE_H

#include "normalise/unit/unit_evidence.h"

enum { MR_SAMPLE_MOST = 4096 };

/* Values of one meaning in one file, or over the files that state their unit. */
struct mr_value_sample {
    size_t n;
    double v[MR_SAMPLE_MOST];
    size_t whole; /* values without a fraction */
};

/** mr_sample_add - a value, unless it is NaN or the sample is full. */
void mr_sample_add(struct mr_value_sample *sample, double value);

/** mr_sample_rank - the value below which `share` of the sample lies; sorts it. NaN where it is empty. */
double mr_sample_rank(struct mr_value_sample *sample, double share);

/** mr_sample_channel - the values of channel k as written; mr_sample_readings - of film readings without a unit. */
void mr_sample_channel(const struct mr_log *log, size_t k, struct mr_value_sample *out);
void mr_sample_readings(const struct mr_file_state *file, struct mr_value_sample *out);

/** mr_sample_stated - add a file's values of a kind and meaning whose unit is stated, canonical. */
void mr_sample_stated(const struct mr_file_state *file, enum mr_kind kind, enum mr_meaning meaning,
                      struct mr_value_sample *out);

/** mr_unit_by_range - the only unit in which such values occur on a site. */
struct mr_unit_evidence mr_unit_by_range(struct mr_file_state *file, enum mr_meaning meaning,
                                         struct mr_value_sample *sample);

/** mr_unit_by_company - the only unit in which the sample lies near the others, which are canonical. */
struct mr_unit_evidence mr_unit_by_company(struct mr_file_state *file, enum mr_meaning meaning,
                                           struct mr_value_sample *sample, struct mr_value_sample *others);

/** mr_unit_by_neighbours - by the temperatures of the same file that state theirs. others: room to work in. */
struct mr_unit_evidence mr_unit_by_neighbours(struct mr_file_state *file, enum mr_meaning meaning,
                                              struct mr_value_sample *sample, struct mr_value_sample *others);

/** mr_sample_job - the stated values of a meaning over all files of the kind. */
void mr_sample_job(const struct mr_file_state *files, size_t n, const struct mr_file_state *self,
                   enum mr_meaning meaning, struct mr_value_sample *out);

#endif
