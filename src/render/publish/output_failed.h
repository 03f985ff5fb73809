/*
 * output_failed.h - one way to say that an output could not be written.
 */
#ifndef MILRISE_RENDER_PUBLISH_OUTPUT_FAILED_H
#define MILRISE_RENDER_PUBLISH_OUTPUT_FAILED_H

#include "milrise/diag.h"

/** mr_output_failed - one diagnostic: which path, and what the system said. Returns MR_E_OUTPUT. */
enum mr_status mr_output_failed(struct mr_diags *diags, const char *path, int error);

#endif
