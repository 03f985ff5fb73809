/*
 * output_failed.c - one way to say that an output could not be written.
 */
#include "render/publish/output_failed.h"

#include <errno.h>
#include <string.h>

enum mr_status mr_output_failed(struct mr_diags *diags, const char *path, int error) {
    const bool full = error == ENOSPC || error == EDQUOT;
    mr_diag_add(diags, MR_ERROR, "output", (struct mr_place){.file = path}, NULL,
                full ? "The disk that holds the reports is full: free space on it, then run again. The former report "
                       "is unchanged."
                     : "Correct the cause, then run again. The former report is unchanged.",
                "cannot be written: %s", strerror(error));
    return MR_E_OUTPUT;
}
