/*
 * setting_range.h - the range in which a number of a job file has a sense. A value outside it is a slip of the pen or
 * of the unit; taken as it stands it would judge wrongly or keep the program busy for ever.
 */
#ifndef MILRISE_BASE_SETTING_RANGE_H
#define MILRISE_BASE_SETTING_RANGE_H

#include "milrise/settings.h"

/** mr_setting_range - NULL where value (canonical unit) lies in the setting's range or is not a number that is set;
 * else the range as a person writes it, "0 to 366 d". */
const char *mr_setting_range(enum mr_setting_id id, double value);

/** mr_clock_offset_range - the same for the offset of an instrument's clock, in s. */
const char *mr_clock_offset_range(double offset_s);

#endif
