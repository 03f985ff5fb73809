/*
 * repeated_runs.h - a file's rows under comparison with another's, and readings without times among them.
 */
#ifndef MILRISE_NORMALISE_FILE_REPEATED_RUNS_H
#define MILRISE_NORMALISE_FILE_REPEATED_RUNS_H

#include "normalise/file/row_keys.h"

#include <string.h>

/* A file's rows under comparison. */
struct mr_compared_rows {
    struct mr_file_state *file;
    size_t n;
    bool is_log;
    int64_t first, last; /* MR_T_NONE where no row has a time */
    bool timed;
    int8_t *fate; /* shape: n; made when first needed */
    size_t repeated;
    size_t partner; /* the file that most of its repeated rows stand in */
};

static inline int64_t mr_row_moment(const struct mr_compared_rows *s, size_t i) {
    return mr_row_time(s->file, i);
}

static inline void mr_need_fates(struct mr_compared_rows *s) {
    if (s->fate)
        return;
    s->fate = MR_ARRAY(s->file->scratch, int8_t, s->n);
    memset(s->fate, MR_FATE_USED, s->n);
}

/** mr_compare_untimed - readings of b, the later file, that follow each other in a too are set aside as repeated. */
void mr_compare_untimed(struct mr_compared_rows *a, struct mr_compared_rows *b, size_t a_index);

#endif
