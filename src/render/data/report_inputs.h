/*
 * report_inputs.h - parts of report.json: what it rests on.
 */
#ifndef MILRISE_RENDER_DATA_REPORT_INPUTS_H
#define MILRISE_RENDER_DATA_REPORT_INPUTS_H

#include "base/json.h"
#include "milrise/assess.h"

void mr_report_inputs(struct mr_json *json, const struct mr_assessment *assessment);
void mr_report_tables(struct mr_json *json, struct mr_arena *arena, const struct mr_assessment *assessment);
void mr_report_config(struct mr_json *json, const struct mr_job *job);
void mr_report_settings(struct mr_json *json, const struct mr_job *job);
void mr_report_certificates(struct mr_json *json, const struct mr_job *job); /* of the instruments that state one */

/* file, line, line_end; null where place names no file */
void mr_report_place(struct mr_json *json, const char *key, const struct mr_place *place);

#endif
