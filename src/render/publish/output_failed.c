/*
 * output_failed.c - one way to say that an output could not be written.
 */
#include "render/publish/output_failed.h"

#include <string.h>

enum mr_status mr_output_failed(struct mr_diags *diags, const char *path, int error) {
    mr_diag_add(diags, MR_ERROR, "output", (struct mr_place){.file = path}, NULL,
                "The former report is unchanged. Free space on the disk or mend the permissions, then run again.",
                "cannot be written: %s", strerror(error));
    return MR_E_OUTPUT;
}
