/*
 * job_reader.c - what is wrong in a job file, told at its line and column.
 */
#include "read/job/job_reader.h"

void mr_job_wrong(struct mr_job_reader *r, const struct mr_key *key, const char *mend, const char *what) {
    r->failed = true;
    mr_diag_add(r->diags, MR_ERROR, "job-file", key->value_place, key->value, mend, "%s (key \"%s\")", what,
                key->raw_key);
}

void mr_job_unknown(struct mr_job_reader *r, const struct mr_key *key, const char *const *known, size_t n) {
    r->failed = true;
    const char *near = mr_nearest(key->key, known, n);
    const char *mend =
        near ? mr_printf(r->arena, "Did you mean \"%s\"?", near) : "Remove the line or put a # before it.";
    mr_diag_add(r->diags, MR_ERROR, "job-file", key->place, key->raw_key, mend, "is not a key of this section");
}
