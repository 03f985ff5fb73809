/*
 * settings.h (stage read) - reading the values behind milrise/settings.h.
 */
#ifndef MILRISE_BASE_SETTING_READ_H
#define MILRISE_BASE_SETTING_READ_H

#include "milrise/settings.h"

/** mr_settings_defaults - every setting at its default. */
void mr_settings_defaults(struct mr_settings *out);

/** mr_setting_read - a value as a job writes it (text is borrowed; "" and "none" unset it). Returns NULL and *out, or
 * what is wrong as a clause; *out is then untouched. The caller fills from_job and place. */
const char *mr_setting_read(const struct mr_setting_def *def, const char *text, struct mr_setting *out);

#endif
