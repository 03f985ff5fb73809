/*
 * job_reader.h - the parts of the job file's reader.
 */
#ifndef MILRISE_READ_JOB_READER_H
#define MILRISE_READ_JOB_READER_H

#include "base/keyfile.h"
#include "milrise/job.h"

/* A job under construction. */
struct mr_job_reader {
    struct mr_arena *arena;
    struct mr_diags *diags;
    struct mr_job *job;
    bool failed;
};

/** mr_job_parse - as mr_job_load from memory: text of n bytes named file; the job's folder is dir (not opened). */
enum mr_status mr_job_parse(struct mr_arena *arena, const char *dir, const char *file, const char *text, size_t n,
                            struct mr_diags *diags, struct mr_job **out) MR_MUST_USE;

/* Sections of things rather than limits (job_sections.c). */
void mr_job_read_job(struct mr_job_reader *r, const struct mr_key_section *section);
void mr_job_read_instrument(struct mr_job_reader *r, const struct mr_key_section *section);
void mr_job_read_assign(struct mr_job_reader *r, const struct mr_key_section *section);
void mr_job_read_disposition(struct mr_job_reader *r, const struct mr_key_section *section);
void mr_job_read_file(struct mr_job_reader *r, const struct mr_key_section *section);

/* Sections of limits (job_limits.c). */
bool mr_job_is_limits(const char *section_name);
void mr_job_read_limits(struct mr_job_reader *r, const struct mr_keyfile *keys);
void mr_job_check_limits(struct mr_job_reader *r);

/* How dates and accuracies are written, each with its range. */
#define MR_MOMENT_MEND "Write dates as 2026-05-11 and moments as 2026-05-11 14:30, from " MR_MOMENT_RANGE "."
#define MR_ACCURACY_MEND "Write a share, a length or both, each from " MR_ACCURACY_RANGE ". For example: 2 um + 3 %"

/** mr_moment_scan - a date or moment of the job file. Returns: NULL, or what is wrong as a clause; *out is then
 * untouched. */
const char *mr_moment_scan(const char *text, size_t n, int64_t *out_local_ms);

/** mr_job_read_wording - the words that the job names, once its texts are loaded (wording.c). */
void mr_job_read_wording(struct mr_job_reader *r);

/** mr_job_wrong - an error at a value. mr_job_unknown - an unknown key, with the nearest of the known ones. */
void mr_job_wrong(struct mr_job_reader *r, const struct mr_key *key, const char *mend, const char *what);
void mr_job_unknown(struct mr_job_reader *r, const struct mr_key *key, const char *const *known, size_t n);

#endif
