/*
 * stated_certificate.h - until when a file says that its instrument is calibrated. Private to libmilrise.
 */
#ifndef MR_STATED_CERTIFICATE_H
#define MR_STATED_CERTIFICATE_H

#include "normalise/row/file_state.h"

/** mr_stated_certificate - "Calibration due: 2026-04-30" above the table: midnight of that day, local ms; MR_T_NONE
 * where the file states none. Of a date that means two days, the earlier. */
int64_t mr_stated_certificate(struct mr_file_state *state);

#endif
