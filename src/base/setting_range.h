/*
 * setting_range.h - the range in which a number of a job file has a sense. A value outside it is a slip of the pen or
 * of the unit; taken as it stands it would judge wrongly or keep the program busy for ever.
 */
#ifndef MILRISE_BASE_SETTING_RANGE_H
#define MILRISE_BASE_SETTING_RANGE_H

#include "milrise/settings.h"

/** mr_setting_in_range - whether value (canonical unit) lies in the range of a setting of type number; NaN does not.
 * mr_setting_range - that range as a person writes it, "0 s to 366 d". mr_setting_is_whole - only whole numbers do.
 */
bool mr_setting_in_range(enum mr_setting_id id, double value);
const char *mr_setting_range(enum mr_setting_id id);
bool mr_setting_is_whole(enum mr_setting_id id);

/** mr_setting_may_be_none - whether a job may do without a value: a limit that a specification need not have. */
bool mr_setting_may_be_none(enum mr_setting_id id);

/** mr_clock_offset_in_range - the same for the offset of an instrument's clock, in s. */
#define MR_CLOCK_OFFSET_RANGE "-3660 d to 3660 d"
bool mr_clock_offset_in_range(double offset_s);

/** mr_moment_in_range - the same for a day or a moment, in ms since 1970 by the clock on the wall. */
#define MR_MOMENT_RANGE "1970-01-01 to 2100-12-31"
bool mr_moment_in_range(int64_t local_ms);

#endif
